// The photograph under the drawing, as a builder uses it: a picture of a plan,
// slightly turned, noisy, at no known scale, is laid under, scaled by one known
// length and traced. The picture is drawn here, so its truth is known.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, describe, it } from "node:test";
import { crc32, deflateSync } from "node:zlib";
import { audit, browser, noBrowser, page, settled, shot, until, workshop } from "./harness.mjs";

const long = { timeout: 900_000 };
// What the picture shows (m): another wing than the build on the board has.
const wing = [[0.25, 0, 0.205], [0.268, 0.31, 0.162], [0.312, 0.545, 0.09]], nose = [0, 0], tail = [0.83, 0];
// How it was taken: pixels a metre, turned so many degrees, the nose at this pixel.
const perMetre = 1730, turn = 3.6, at = [420, 1180], size = [2300, 2400];
const pixel = ([x, y]) => {
  const a = (turn * Math.PI) / 180, c = Math.cos(a), s = Math.sin(a);
  return [at[0] + perMetre * (c * x - s * -y), at[1] + perMetre * (s * x + c * -y)];
};

/** The picture as a JPEG: paper with grain, the outlines in pencil. */
async function picture(b) {
  const p = await b.newPage();
  const line = (pts) => pts.map(pixel);
  const half = (sign) => [...wing.map(([x, y]) => [x, sign * y]), ...[...wing].reverse().map(([x, y, c]) => [x + c, sign * y])];
  const url = await p.evaluate(async ({ size, lines }) => {
    const c = document.createElement("canvas");
    [c.width, c.height] = size;
    const g = c.getContext("2d");
    g.fillStyle = "#d8d2c4";
    g.fillRect(0, 0, ...size);
    g.lineWidth = 4;
    g.strokeStyle = "#3a3a42";
    for (const l of lines) { g.beginPath(); l.forEach(([x, y], i) => (i ? g.lineTo(x, y) : g.moveTo(x, y))); g.stroke(); }
    const d = g.getImageData(0, 0, ...size);
    let seed = 12345;
    for (let i = 0; i < d.data.length; i += 4) {
      seed = (seed * 1103515245 + 12345) & 0x7fffffff;
      const n = ((seed >> 8) % 61) - 30, shade = (i / d.data.length) * 40;
      for (let k = 0; k < 3; k++) d.data[i + k] += n - shade;
    }
    g.putImageData(d, 0, 0);
    return c.toDataURL("image/jpeg", 0.8);
  }, { size, lines: [line(half(1)).concat([pixel([wing[0][0], 0])]), line(half(-1)).concat([pixel([wing[0][0], 0])]), line([nose, [0.11, 0.03], [0.4, 0.028], [0.83, 0.009], tail, [0.83, -0.009], [0.4, -0.028], [0.11, -0.03], nose])] });
  await p.close();
  return Buffer.from(url.split(",")[1], "base64");
}

/** A whole and valid PNG of so many pixels, black. */
function blackPNG(w, h) {
  const chunk = (name, data) => { const b = Buffer.alloc(12 + data.length); b.writeUInt32BE(data.length, 0); b.write(name, 4, "latin1"); data.copy(b, 8); b.writeUInt32BE(crc32(b.subarray(4, 8 + data.length)), 8 + data.length); return b; };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(w, 0); head.writeUInt32BE(h, 4); head[8] = 1; // one bit a pixel, grey
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), chunk("IHDR", head), chunk("IDAT", deflateSync(Buffer.alloc(h * (1 + Math.ceil(w / 8))))), chunk("IEND", Buffer.alloc(0))]);
}

describe("a photograph under the drawing", { skip: noBrowser() }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });

  async function sit(t, opt) {
    const w = await workshop(["tern.yaml"]);
    t.after(() => w.close());
    const p = await page(b, opt);
    t.after(() => p.context().close());
    await p.goto(`${w.url}/#/tern.yaml/bench`);
    await p.getByRole("button", { name: "Lay a photograph of the plan" }).click();
    const lay = (name, mimeType, buffer) => p.setInputFiles(".underlay input[type=file]", { name, mimeType, buffer });
    return { w, p, lay };
  }

  it("is scaled by one known length and traced into stations within what a hand can point at", long, async (t) => {
    const { w, p, lay } = await sit(t);
    await lay("plan.jpg", "image/jpeg", await picture(b));
    await p.waitForSelector(".drawing image.photo");
    /** Where a place of the picture lies on the screen, brought into sight. */
    const seen = async (place) => {
      const [u, v] = pixel(place);
      return p.evaluate(async ({ u, v, size }) => {
        const e = document.querySelector(".drawing image.photo"), box = e.closest(".drawing"), svg = e.ownerSVGElement;
        const spot = () => { const q = svg.createSVGPoint(); q.x = (u / size[0]) * e.width.baseVal.value; q.y = (v / size[1]) * e.height.baseVal.value; return q.matrixTransform(e.getScreenCTM()); };
        let q = spot();
        const r = box.getBoundingClientRect();
        box.scrollBy(q.x - (r.left + r.width / 2), q.y - (r.top + r.height / 2));
        q = spot();
        scrollBy(0, q.y - innerHeight / 2);
        await new Promise((ok) => requestAnimationFrame(() => ok(undefined)));
        q = spot();
        return [q.x, q.y];
      }, { u, v, size });
    };
    const points = () => p.locator(".tracing .cross:not(.cross-aim)").count();
    /** Clicks a place as a hand does: on whole pixels, one off now and then. */
    let hand = 0;
    const click = async (place) => {
      const n = await points(), [x, y] = await seen(place);
      hand++;
      await p.mouse.click(Math.round(x) + (hand % 3) - 1, Math.round(y) + ((hand >> 1) % 3) - 1);
      await until(async () => (await points()) !== n || n === 0, "a point set");
    };
    await p.getByRole("button", { name: "Scale by a known length" }).click();
    await click(nose);
    await click(tail);
    await p.getByLabel("They are this far apart").fill("830 mm");
    await p.getByLabel("and lie along").selectOption("length");
    await p.getByRole("button", { name: "Scale it" }).click();
    await p.waitForSelector(".task", { state: "detached" });
    const turned = await p.evaluate(() => Number(/rotate\(([-\d.]+)\)/.exec(document.querySelector("image.photo").getAttribute("transform"))[1]));
    assert.ok(Math.abs(turned + turn) < 0.5, `turned back by ${turned} degrees, taken at ${turn}`);
    await p.getByRole("button", { name: "Put the datum in its place" }).click();
    await click(nose);
    await p.getByRole("button", { name: "Put it there" }).click();
    await p.waitForSelector(".task", { state: "detached" });
    await settled(p);
    await shot(p, "bench-photo-1440", false);
    await p.getByRole("button", { name: "4 times" }).click();
    await settled(p);
    const scale = await p.evaluate(() => { const e = document.querySelector("image.photo"); return e.getBoundingClientRect().width; });
    assert.ok(scale > 2000, "looked at from close by");
    await p.getByRole("button", { name: "Trace into stations" }).click();
    for (const [x, y, c] of wing) { await click([x, y]); await click([x + c, y]); }
    await shot(p, "bench-tracing-1440", false);
    const perPixel = Number(/A pixel here is ([\d.]+)/.exec(await p.locator(".task").innerText())[1]) / 1000;
    assert.ok(perPixel > 0 && perPixel < 0.001, `${perPixel} m a pixel`);
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    assert.equal(await points(), 6);
    await p.getByRole("button", { name: "Write 3 stations" }).click();
    await until(() => readFileSync(w.path("tern.yaml"), "utf8") !== was, "the stations written");
    const text = readFileSync(w.path("tern.yaml"), "utf8"), block = text.slice(text.indexOf("stations:"), text.indexOf("controls:"));
    const got = [...block.matchAll(/x: (-?[\d.]+) mm, y: (-?[\d.]+) mm, z: (-?[\d.]+) mm, chord: ([\d.]+) mm ± ([\d.]+) mm, twist: (-?[\d.]+) deg measured/g)].map((m) => m.slice(1).map(Number));
    assert.equal(got.length, 3, block);
    // Each point is set within a pixel each way and half a pixel of rounding;
    // the nose and the tail the same, over 830 mm, at the whole drawing's scale
    // (a quarter of this one's), for scale and datum: 1.5 pixels of those.
    const one = 1.5 * perPixel, whole = 4 * one;
    wing.forEach(([x, y, c], i) => {
      const near = (v, true_, by, what) => assert.ok(Math.abs(v / 1000 - true_) <= by + 1e-4, `station ${i}: ${what} ${v} mm of ${1000 * true_} mm, allowed ${1000 * by}`);
      near(got[i][3], c, 2 * one + 2 * whole * c / 0.83, "chord");
      near(got[i][0], x, one + whole + 2 * whole * (x + y) / 0.83, "leading edge");
      near(got[i][1], y, one + whole + 2 * whole * (x + y) / 0.83, "place out");
    });
    assert.deepEqual(got.map((g) => g[2]), [12, 22, 32], "heights are not in the picture: kept");
    await p.getByRole("button", { name: /^Undo/ }).click();
    await until(() => readFileSync(w.path("tern.yaml"), "utf8") === was, "one step taken back, to the byte");
    // It is there again after a reload, and gone when taken away.
    await p.reload();
    await p.waitForSelector(".drawing image.photo");
    await p.getByRole("button", { name: "The picture under the drawing" }).click();
    assert.deepEqual(await audit(p), []);
    await p.getByRole("button", { name: "Take the picture away" }).click();
    await p.waitForSelector(".drawing image.photo", { state: "detached" });
    assert.deepEqual(p.wrongs, []);
  });

  it("is set and traced by keys alone", long, async (t) => {
    const { p, lay } = await sit(t);
    await lay("plan.jpg", "image/jpeg", await picture(b));
    await p.waitForSelector(".drawing image.photo");
    await p.getByRole("button", { name: "Scale by a known length" }).press("Enter");
    const glass = p.locator(".glass");
    await glass.focus();
    await p.keyboard.press("Enter"); // at the datum
    for (let i = 0; i < 20; i++) await p.keyboard.press("Shift+ArrowRight");
    await p.keyboard.press("ArrowRight");
    await p.keyboard.press("Enter");
    await until(async () => (await p.locator(".task").innerText()).includes("201 mm apart"), "201 mm between the crosses").catch(async (e) => { throw new Error(`${e.message}: ${await p.locator(".task").innerText()}`); });
    await p.keyboard.press("Backspace");
    await until(async () => (await p.locator(".tracing .cross:not(.cross-aim)").count()) === 1, "one taken back");
    assert.deepEqual(await audit(p), []);
    assert.deepEqual(p.wrongs, []);
  });

  it("refuses what is no picture and what is too large, and runs nothing of it", long, async (t) => {
    const { w, p, lay } = await sit(t);
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    const svg = Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9" onload="document.title='run'"><script>document.title='run'</script></svg>`);
    for (const [name, type, bytes, say] of [
      ["notes.jpg", "image/jpeg", Buffer.from("mass 988 g, balances at 339 mm"), /no JPEG, PNG or WebP/],
      ["plan.svg", "image/svg+xml", svg, /no JPEG, PNG or WebP/],
      ["plan.png", "image/png", svg, /no JPEG, PNG or WebP/],
      ["empty.png", "image/png", Buffer.alloc(0), /no JPEG, PNG or WebP/],
      ["cut.jpg", "image/jpeg", Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 16, 74, 70]), /cannot be read/],
      ["huge.png", "image/png", blackPNG(13000, 13000), /13000 by 13000 pixels/],
      ["heavy.png", "image/png", Buffer.concat([blackPNG(10, 10), Buffer.alloc(65e6 - 1000)]), /larger than 64 MB/],
    ]) {
      if (bytes.length > 50e6) { // the driver sends no file so large: it is made in the page
        await p.evaluate((n) => {
          const d = new DataTransfer(), f = document.querySelector(".underlay input[type=file]");
          d.items.add(new File([new Uint8Array([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), new Uint8Array(n)], "heavy.png", { type: "image/png" }));
          f.files = d.files;
          f.dispatchEvent(new Event("change", { bubbles: true }));
        }, bytes.length);
      } else await lay(name, type, bytes);
      await until(async () => say.test((await p.locator(".underlay [role=alert]").textContent({ timeout: 1000 }).catch(() => "")) ?? ""), `a refusal of ${name} that says ${say}`);
      assert.equal(await p.locator("image.photo").count(), 0, name);
    }
    // A picture after all of them still goes under.
    await lay("small.png", "image/png", blackPNG(40, 30));
    await p.waitForSelector("image.photo");
    assert.equal(await p.locator(".underlay [role=alert]").count(), 0);
    assert.notEqual(await p.title(), "run");
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was);
    assert.deepEqual(p.wrongs, []);
  });
});
