// The workshop as its user meets it, in a real browser on the built command.
import assert from "node:assert/strict";
import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, describe, it } from "node:test";
import { gpx } from "./flight.mjs";
import { audit, browser, noBrowser, page, root, seat, settled, shot, still, until, workshop } from "./harness.mjs";

const skip = noBrowser();
const long = { timeout: 900_000 };
const slow = { timeout: 600_000 }; // a whole check with all its remedies, on a busy machine
const verdict = ".stamp-cell .stamp:not(.stamp-none)";

describe("the workshop", { skip }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });

  const sit = (t, files, hash = "#/", opt = {}) => seat(t, b, hash, { files, ...opt });
  const quiet = (p) => assert.deepEqual(p.wrongs, [], "nothing went wrong in the page");

  it("leads from the first run to a verdict", long, async (t) => {
    const { p } = await sit(t, []);
    await p.waitForSelector("text=The hangar is empty");
    await shot(p, "hangar-empty-1440");
    assert.equal(await p.locator(".question").count(), 5, "five questions");
    await p.click('.example button:has-text("wren")');
    await p.waitForSelector(".drawing svg .plan .ink3");
    await p.waitForSelector(verdict, slow);
    await p.waitForSelector(".busy", { state: "detached", timeout: 180_000 }).catch(() => undefined);
    assert.match(await p.locator(".verdict").innerText(), /GO|HOLD/);
    quiet(p);
  });

  it("makes a build from five answers", long, async (t) => {
    const { w, p } = await sit(t, []);
    await p.fill("#ask-name", "Plover");
    for (const s of await p.locator(".question select").all()) await s.selectOption({ index: 1 });
    for (const i of await p.locator(".question input").all()) { const v = await i.getAttribute("placeholder"); if (!(await i.inputValue())) await i.fill(v); }
    await p.getByRole("button", { name: "Put it on the board" }).click();
    await p.waitForSelector(".drawing svg .plan .ink3");
    assert.match(readFileSync(w.path("plover.yaml"), "utf8"), /Plover/);
    quiet(p);
  });

  /** How many steps can be taken back. */
  const undos = (p) => p.evaluate(() => Number(/^Undo \((\d+)\)/.exec([...document.querySelectorAll(".shown button")].map((e) => e.textContent).find((t) => t?.startsWith("Undo")) ?? "")?.[1] ?? 0));
  const written = (p, more = 0) => until(async () => (await undos(p)) > more, `a step that can be taken back, after ${more}`);

  it("moves a part by pointer and by keys, and takes it back", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    const part = p.locator('.board-drawing [data-part="battery"]');
    await part.waitFor();
    const label = () => p.locator(".board-drawing .balance .label", { hasText: /^balances/ }).textContent();
    const before = await label(), was = readFileSync(w.path("tern.yaml"), "utf8");
    const box = await still(part.locator(".part-line").first());
    const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    await p.mouse.move(from.x, from.y);
    await p.mouse.down();
    await p.mouse.move(from.x - 20, from.y, { steps: 4 });
    await until(async () => (await label()) !== before, "a moved balance point");
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was, "nothing is written while the hand is on it");
    await shot(p, "bench-dragging-1440", false);
    await p.mouse.up();
    await p.waitForSelector(".said:not(:empty)");
    await written(p);
    const moved = readFileSync(w.path("tern.yaml"), "utf8");
    assert.notEqual(moved, was);
    assert.match(moved, /As first built/, "comments are kept");
    const laid = (at) => p.waitForSelector(`.board-drawing [data-part="battery"][aria-valuenow="${at}"]:not(.part-held)`);
    await p.waitForSelector('.board-drawing [data-part="battery"]:not(.part-held)');
    const at = Number(await part.getAttribute("aria-valuenow"));
    await part.focus();
    // On a slow machine the pause between two keys may write the first already.
    await p.keyboard.press("ArrowLeft");
    await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("Enter");
    await laid(at - 11);
    await written(p, 1);
    const end = await part.getAttribute("aria-valuemax"), sofar = await undos(p);
    await p.keyboard.press("End");
    await p.keyboard.press("Enter");
    await laid(end); // no further than it may
    await written(p, sofar);
    for (let n = await undos(p); n > 0; n--) {
      await p.locator('.shown button:has-text("Undo")').click();
      await until(async () => (await undos(p)) === n - 1, `${n - 1} steps to take back`);
    }
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was, "all taken back, to the byte");
    await until(async () => (await label()) === before, "the balance as it was");
    quiet(p);
  });

  it("edits a value by clicking it, refuses nonsense, keeps the file", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    await p.locator('.board-drawing [data-part="motor"]').click();
    const v = p.locator('.slip [data-path="parts.motor.mass"]');
    await v.click();
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    await p.fill(".value-form input", "92 parsecs");
    await p.click(".value-form button[type=submit]");
    await p.waitForSelector("[role=alert]");
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was);
    await shot(p, "bench-refused-1440", false);
    await p.fill(".value-form input", "97 g weighed");
    await p.keyboard.press("Enter");
    await written(p);
    assert.match(readFileSync(w.path("tern.yaml"), "utf8"), /name: motor, kind: motor, mass: 97 g weighed/);
    await p.waitForFunction(() => document.querySelector('.slip [data-path="parts.motor.mass"]')?.textContent.includes("97"));
    quiet(p);
  });

  it("redraws the fan as a slider moves, and writes only when told", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/field");
    // All flown: the picture stands still until something is turned.
    await until(() => p.evaluate(() => Number(document.querySelector(".fan svg")?.dataset.n) >= 64 && !document.querySelector(".odds")?.textContent.includes("flying on")), "all launches flown");
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    const s = p.locator('input[data-path="launch.held.nose_up"]');
    await s.focus();
    const drawn = await p.locator(".fan-failed").getAttribute("d");
    for (let i = 0; i < 12; i++) await p.keyboard.press("ArrowRight");
    await p.waitForFunction((d) => document.querySelector(".fan-failed")?.getAttribute("d") !== d, drawn);
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was);
    await p.getByRole("button", { name: "Write it into the build" }).waitFor();
    await shot(p, "field-trying-1440", false);
    await p.getByRole("button", { name: "Write it into the build" }).click();
    await written(p);
    assert.notEqual(readFileSync(w.path("tern.yaml"), "utf8"), was);
    quiet(p);
  });

  it("tries a remedy, shows before and after, puts it back or keeps it", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    await p.waitForSelector(".remedies .try", slow);
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    await p.locator(".remedies .try").first().click();
    await p.waitForSelector(".before-after", slow);
    await shot(p, "bench-tried-1440", false);
    assert.equal(await p.locator(".before-after .stamp").count(), 2);
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was, "nothing written yet");
    await p.getByRole("button", { name: "Put it back" }).click();
    await p.waitForSelector(".tried", { state: "detached" });
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was);
    await p.locator(".remedies .try").first().click();
    await p.getByRole("button", { name: "Keep it", exact: true }).click();
    await written(p);
    assert.notEqual(readFileSync(w.path("tern.yaml"), "utf8"), was);
    quiet(p);
  });

  it("reads a dropped log", long, async (t) => {
    const { p } = await sit(t, ["tern.yaml"], "#/tern.yaml/debrief");
    await p.waitForSelector(".drop");
    const data = await p.evaluateHandle((text) => { const d = new DataTransfer(); d.items.add(new File([text], "flight.gpx", { type: "application/gpx+xml" })); return d; }, gpx());
    await p.dispatchEvent(".drop", "drop", { dataTransfer: data });
    await p.waitForSelector(".debriefed", slow);
    const said = await p.locator(".debriefed").innerText();
    assert.match(said, /m\/s/);
    await p.waitForSelector(".debriefed .flight svg");
    await shot(p, "debrief-read-1440");
    quiet(p);
  });

  it("says so when the file changes on disk, and never writes over it", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    await p.locator('.board-drawing [data-part="motor"]').click();
    await p.waitForSelector('.slip [data-path="parts.motor.mass"]');
    const text = readFileSync(w.path("tern.yaml"), "utf8");
    writeFileSync(w.path("tern.yaml"), text.replace("mass: 92 g weighed", "mass: 95 g weighed"));
    await p.waitForSelector("text=was changed on disk");
    await shot(p, "bench-disk-1440", false);
    // A change of the same value: asked.
    await p.locator('.slip [data-path="parts.motor.mass"]').click();
    await p.fill(".value-form input", "99 g weighed");
    await p.keyboard.press("Enter");
    await p.waitForSelector("[role=alertdialog]");
    await shot(p, "bench-merge-1440", false);
    assert.match(readFileSync(w.path("tern.yaml"), "utf8"), /mass: 95 g weighed/, "theirs stands");
    await p.getByRole("button", { name: "Write mine" }).click();
    await p.waitForSelector("[role=alertdialog]", { state: "detached" });
    assert.match(readFileSync(w.path("tern.yaml"), "utf8"), /mass: 99 g weighed/);
    quiet(p);
  });

  it("keeps two windows in step", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    const q = await p.context().newPage();
    await q.goto(`${w.url}/#/tern.yaml/bench`);
    await q.waitForSelector('.board-drawing [data-part="battery"]');
    await p.locator('.board-drawing [data-part="battery"]').focus();
    await p.keyboard.press("Home");
    await p.keyboard.press("Enter");
    await written(p);
    await written(q);
    const a = await p.locator('.board-drawing [data-part="battery"]').getAttribute("aria-valuemin");
    for (const x of [p, q]) await x.waitForSelector(`.board-drawing [data-part="battery"][aria-valuenow="${a}"]`);
    quiet(p);
  });

  it("draws her before anything is worked out", long, async (t) => {
    const w = await workshop(["tern.yaml"]);
    t.after(() => w.close());
    const p = await page(b);
    const asked = [];
    let release;
    const gate = new Promise((ok) => { release = ok; });
    p.on("request", (r) => asked.push(new URL(r.url()).pathname));
    await p.route("**/api/builds/*/drawing?*", async (r) => { await gate; await r.continue(); });
    await p.goto(`${w.url}/#/tern.yaml/bench`);
    await p.waitForSelector(".drawing svg .plan .ink3");
    await p.waitForSelector("text=balance: being worked out");
    assert.ok(!asked.includes("/api/jobs"), "no work is asked for while she is not drawn");
    release();
    await p.waitForSelector(".drawing .balance");
    await until(() => asked.includes("/api/jobs"), "the check");
    quiet(p);
    await p.context().close();
  });

  it("shows what it kept when the server is away", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    await p.waitForSelector(".drawing svg .plan .ink3");
    await p.waitForFunction(() => navigator.serviceWorker?.controller !== null && navigator.serviceWorker !== undefined, null);
    await p.reload();
    await p.waitForSelector(".drawing svg .plan .ink3");
    await w.stop();
    await p.reload();
    await p.waitForSelector(".drawing svg .plan .ink3");
    await p.waitForSelector("text=Not connected");
    await shot(p, "bench-away-1440", false);
  });

  it("fits a phone", long, async (t) => {
    const { p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench", { width: 390, height: 844, hasTouch: true, isMobile: true, deviceScaleFactor: 2, ground: "sun" });
    for (const sheet of ["bench", "field", "debrief"]) {
      await p.evaluate((s) => { location.hash = `#/tern.yaml/${s}`; }, sheet);
      await p.waitForSelector(sheet === "bench" ? ".drawing svg .plan .ink3" : sheet === "field" ? ".fan svg" : ".drop");
      const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${sheet}: nothing sticks out (${wide} px)`);
      const small = await p.evaluate(() => [...document.querySelectorAll("button, a[href], select, input:not(.unseen)")].filter((e) => {
        const r = e.getBoundingClientRect();
        return r.width > 0 && r.height > 0 && r.height < 24 && !e.classList.contains("term") && !e.closest(".note-why, p");
      }).map((e) => e.outerHTML.slice(0, 90)));
      assert.deepEqual(small, [], `${sheet}: nothing too small for a thumb`);
    }
    quiet(p);
  });

  it("can be stopped and says so", long, async (t) => {
    const { p } = await sit(t, ["tern.yaml"], "#/tern.yaml/bench");
    // Pressed in the page, as soon as it is there: the driver may be slower than the check.
    await p.waitForFunction(() => { const e = [...document.querySelectorAll(".busy button")].find((x) => x.textContent === "Stop"); e?.click(); return !!e; });
    await p.waitForSelector(".board-notes :text('Stopped.')");
    await p.locator(".board-notes").getByRole("button", { name: "Work it out" }).click();
    await p.waitForSelector(".board-notes .busy, .board-notes .note");
    await shot(p, "bench-running-1440", false);
    quiet(p);
  });

  it("explains a term, in place, by keyboard", long, async (t) => {
    const { p } = await sit(t, ["tern.yaml"], "#/tern.yaml/field");
    const term = p.locator(".sliders .term").first(); // the lists beside the fan change while it refines
    await term.waitFor();
    await term.focus();
    await p.keyboard.press("Enter");
    await p.waitForSelector("dialog[open]");
    assert.ok((await p.locator("dialog").innerText()).length > 30);
    assert.deepEqual(await audit(p), []);
    await p.keyboard.press("Escape");
    await p.waitForSelector("dialog[open]", { state: "detached" });
    quiet(p);
  });

  it("shows a broken file for what it is", long, async (t) => {
    const { w, p } = await sit(t, ["tern.yaml"], "#/");
    writeFileSync(w.path("broken.yaml"), readFileSync(w.path("tern.yaml"), "utf8").replace("mass: 92 g weighed", "mass: 92"));
    await p.goto(`${w.url}/#/broken.yaml/bench`);
    await p.reload();
    await p.waitForSelector("text=says something that cannot be");
    assert.deepEqual(await audit(p), []);
    await shot(p, "bench-broken-1440");
    quiet(p);
  });

  it("has no accessibility violation on any sheet, on any ground; every view as a picture", { timeout: 1_500_000 }, async (t) => {
    const w = await workshop(["tern.yaml"]);
    t.after(() => w.close());
    copyFileSync(join(root, "examples/wren.yaml"), w.path("wren.yaml"));
    const found = [];
    const p = await page(b);
    t.after(() => p.context().close());
    await p.goto(`${w.url}/#/`);
    for (const [name, hash, ready] of [["hangar", "#/", ".questions"], ["bench", "#/tern.yaml/bench", "#strength .bars svg"], ["field", "#/tern.yaml/field", "#land .plot svg"], ["debrief", "#/tern.yaml/debrief", ".drop"]]) {
      await p.evaluate((h) => { location.hash = h; }, hash);
      if (name === "bench") await p.waitForSelector(".remedies", slow);
      for (const id of ["fit", "balance", "setup", "strength", "launch", "fly", "radio", "land"]) {
        if (!(await p.locator("#" + id).count())) continue;
        await p.evaluate((i) => document.getElementById(i).scrollIntoView(), id);
        if (id !== "launch") await p.waitForSelector(`#${id} .folded`, slow);
      }
      await p.waitForSelector(ready, slow);
      // Every drawing can be taken away, and stands by itself.
      for (const v of await p.evaluate(async () => {
        const wrong = [...document.querySelectorAll("figure.plot, figure.chart")].filter((f) => f.querySelector("svg") && ![...f.querySelectorAll("button")].some((e) => /^Copy/.test(e.textContent))).map((f) => "no copy of: " + f.textContent.slice(0, 80));
        let given = null;
        navigator.clipboard.writeText = (text) => { given = text; return Promise.resolve(); };
        for (const e of [...document.querySelectorAll("main button")].filter((x) => /^Copy .*as SVG$/.test(x.textContent))) {
          given = null;
          e.click();
          await new Promise((ok) => setTimeout(ok));
          const what = (e.closest("figure")?.textContent ?? "the drawing").slice(0, 80);
          if (!given) { wrong.push("nothing copied: " + what); continue; }
          const doc = new DOMParser().parseFromString(given, "image/svg+xml");
          if (doc.querySelector("parsererror")) wrong.push("no XML: " + what);
          if (/var\(|blob:|https?:(?!\/\/www\.w3\.org)|<script|<image/.test(given)) wrong.push("does not stand by itself: " + what);
          for (const [, id] of given.matchAll(/url\(#([\w-]+)\)/g)) if (!doc.getElementById(id)) wrong.push(`lacks #${id}: ${what}`);
          const img = new Image(), u = URL.createObjectURL(new Blob([given], { type: "image/svg+xml" }));
          await new Promise((ok) => { img.onload = () => ok(); img.onerror = () => { wrong.push("no picture: " + what); ok(); }; img.src = u; });
          if (img.naturalWidth < 100 || img.naturalHeight < 60) wrong.push(`${img.naturalWidth} by ${img.naturalHeight}: ${what}`);
          URL.revokeObjectURL(u);
        }
        return wrong;
      })) found.push(`${name}: ${v}`);
      for (const [width, height] of [[1440, 1000], [820, 1180], [390, 844]]) {
        await p.setViewportSize({ width, height });
        await p.evaluate(() => scrollTo(0, 0));
        await settled(p);
        const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        if (wide > 0) found.push(`${name} ${width}: sticks out by ${wide} px`);
        for (const ground of width === 820 ? ["paper"] : ["paper", "slate", "sun"]) {
          await p.evaluate((g) => { document.documentElement.dataset.ground = g; }, ground);
          for (const v of await audit(p)) found.push(`${name} ${ground} ${width}: ${v}`);
          await shot(p, `${name}-${ground}-${width}`);
        }
      }
      await p.setViewportSize({ width: 1440, height: 1000 });
    }
    quiet(p);
    assert.deepEqual(found, []);
  });
});
