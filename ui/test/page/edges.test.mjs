// What happens beside the straight way: two windows taking back, the file
// written, moved and brought back while a part is in the hand, sounds, claims,
// a kit weighed, a flight entered as it was set.
import assert from "node:assert/strict";
import { readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, describe, it } from "node:test";
import { audit, browser, noBrowser, root, seat, settled, shot, still, until } from "./harness.mjs";

const long = { timeout: 900_000 }, slow = { timeout: 600_000 };

describe("beside the straight way", { skip: noBrowser() }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });

  const sit = (t, hash, opt) => seat(t, b, hash, opt);
  const undo = (p) => p.locator(".shown button", { hasText: /^Undo/ });
  const ends = async (p, key) => { // moves the battery to an end of its travel, written
    await p.locator('.board-drawing [data-part="battery"]').focus();
    const was = await undo(p).textContent();
    await p.keyboard.press(key);
    await p.keyboard.press("Enter");
    await until(async () => (await undo(p).textContent()) !== was, "the move is written");
  };

  it("takes back in two windows at once: each step once, nothing lost", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/bench");
    const q = await p.context().newPage();
    await q.goto(`${w.url}/#/tern.yaml/bench`);
    for (const x of [p, q]) await x.waitForSelector('.board-drawing [data-part="battery"]');
    const text = readFileSync(w.path("tern.yaml"), "utf8");
    for (const k of ["Home", "End", "Home"]) await ends(p, k);
    for (const x of [p, q]) await until(async () => (await undo(x).textContent()) === "Undo (3)", "three steps in both windows");
    // Both press in the same moment: one comes first, the other is told or takes the next.
    const answers = Promise.all([p, q].map((x) => x.waitForResponse((r) => r.url().endsWith("/undo"))));
    await Promise.all([p, q].map((x) => x.evaluate(() => [...document.querySelectorAll(".shown button")].find((e) => e.textContent.startsWith("Undo")).click())));
    const took = (await answers).filter((r) => r.ok()).length;
    assert.ok(took >= 1, "one of them took its step");
    const left = async (x) => Number(/\((\d)\)/.exec(await undo(x).textContent())?.[1] ?? 0);
    for (const x of [p, q]) await until(async () => (await left(x)) === 3 - took, "both windows show what is left");
    for (const x of [p, q]) assert.equal(await x.locator(".strip-red").count(), 0, "no refusal is left standing");
    // Pressed faster than answered: each press one step.
    const n = await left(p);
    await p.evaluate((n) => { for (let i = 0; i < n; i++) document.dispatchEvent(new KeyboardEvent("keydown", { key: "z", ctrlKey: true, bubbles: true })); }, n);
    for (const x of [p, q]) await until(async () => (await left(x)) === 0, "all taken back");
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), text, "as it was, comments and all");
    assert.deepEqual(p.wrongs, []);
  });

  it("keeps both changes when the file is written while a part is in the hand", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/bench");
    const part = p.locator('.board-drawing [data-part="battery"]');
    await part.waitFor();
    await p.waitForSelector(".drawing .balance");
    const box = await still(part.locator(".part-line").first());
    const text = readFileSync(w.path("tern.yaml"), "utf8");
    await p.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await p.mouse.down();
    await p.mouse.move(box.x + box.width / 2 - 25, box.y + box.height / 2, { steps: 5 });
    await p.waitForSelector(".part-held");
    const told = p.waitForResponse((r) => r.url().includes("/preview")).catch(() => undefined);
    writeFileSync(w.path("tern.yaml"), text.replace("mass: 92 g weighed", "mass: 95 g weighed"));
    await told;
    await p.mouse.move(box.x + box.width / 2 - 30, box.y + box.height / 2, { steps: 3 });
    assert.equal(await p.locator("text=was changed on disk").count(), 0, "nothing moves under the hand");
    await p.mouse.up();
    await until(() => { const now = readFileSync(w.path("tern.yaml"), "utf8"); return now.includes("95 g weighed") && now !== text.replace("mass: 92 g weighed", "mass: 95 g weighed"); }, "both changes in the file");
    assert.deepEqual(p.wrongs, []);
  });

  it("says that the file is gone, and that it is back", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/bench");
    await p.waitForSelector('.board-drawing [data-part="battery"]');
    renameSync(w.path("tern.yaml"), w.path("gull.yaml"));
    await p.waitForSelector("text=is no longer in the folder");
    await settled(p);
    await shot(p, "bench-gone-1440", false);
    assert.deepEqual(await audit(p), []);
    renameSync(w.path("gull.yaml"), w.path("tern.yaml"));
    await p.waitForSelector("text=is no longer in the folder", { state: "detached" });
    await ends(p, "Home");
    assert.deepEqual(p.wrongs, []);
  });

  it("judges readings typed in, pairs two ways for the wind, and takes one away", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/debrief");
    await p.click("text=Readings, typed in");
    const type = async (speed, direction) => {
      await p.fill("#debrief-read-speed", speed);
      await p.fill("#debrief-read-direction", direction);
      await p.selectOption("#debrief-read-level", "yes");
      await p.click("text=Add the reading");
    };
    await type("52 m/s", "90 deg");
    await p.waitForFunction(() => /52\.0 m\/s.*no known wind/.test(document.querySelector("main")?.textContent ?? ""), null, slow);
    await type("56 m/s", "270 deg");
    await p.waitForFunction(() => /two-way speed, typed\s*54\.0\s+m\/s/.test(document.querySelector("main")?.textContent ?? ""), null, slow);
    await settled(p);
    await shot(p, "debrief-typed-1440");
    assert.deepEqual(await audit(p), []);
    assert.equal(await p.locator(".readings li").count(), 2);
    await p.locator(".readings li button").first().click();
    await until(async () => (await p.locator(".readings li").count()) === 1, "one is taken away");
    await p.waitForFunction(() => /56\.0 m\/s.*no known wind/.test(document.querySelector("main")?.textContent ?? ""), null, slow);
    assert.deepEqual(p.wrongs, []);
  });

  it("hears a pass, asks about a second, and takes a claim", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/debrief");
    await p.waitForSelector(".drop");
    const buffer = readFileSync(join(root, "internal/track/testdata/logs/evidence-flyby1.wav"));
    await p.setInputFiles(".drop input[type=file]", { name: "there.wav", mimeType: "audio/wav", buffer });
    await p.waitForSelector(".debriefed .facts", slow);
    assert.match(await p.locator(".debriefed .facts").innerText(), /past the listener/);
    assert.equal(await p.locator(".ask-pair").count(), 0, "one recording is no pair");
    await p.setInputFiles(".drop input[type=file]", { name: "back.wav", mimeType: "audio/wav", buffer });
    await p.waitForSelector(".ask-pair input", slow);
    await p.check(".ask-pair input");
    await p.waitForFunction(() => /two-way|opposite/.test(document.querySelector(".debriefed")?.textContent ?? ""), null, slow);
    await p.click("text=Add one of the claims");
    await p.fill("#add-what", "endurance");
    await p.fill("#add-value", "9 min");
    await p.fill("#add-by", "maker");
    await p.click("#claims button[type=submit]");
    await until(() => /what: endurance/.test(readFileSync(w.path("tern.yaml"), "utf8")), "the claim in the file");
    assert.deepEqual(await audit(p), []);
    assert.deepEqual(p.wrongs, []);
  });

  it("makes a build of a kit, weighed with pauses", long, async (t) => {
    const { w, p } = await sit(t, "#/");
    await p.click("text=Begin weighing");
    await p.selectOption("#kit-layout", "conventional");
    await p.fill("#kit-name", "Snipe");
    await p.fill("#kit-mass-wing", "258 g");
    await p.fill("#kit-span", "one metre");
    await p.click("text=What is still open?");
    await p.waitForSelector(".kit .strip-red, .kit .refusal, .kit .strip");
    await p.fill("#kit-span", "1040 mm");
    await p.reload();
    await p.click("text=Go on weighing");
    assert.equal(await p.inputValue("#kit-span"), "1040 mm", "kept while away");
    await p.click("text=What is still open?");
    await p.waitForSelector(".kit-open");
    assert.deepEqual(await audit(p), []);
    await shot(p, "hangar-kit-1440");
    await p.locator(".kit button[type=submit]").click();
    await p.waitForSelector(".drawing svg .plan .ink3");
    assert.match(readFileSync(w.path("snipe.yaml"), "utf8"), /258 g weighed/);
    assert.deepEqual(p.wrongs, []);
  });
});
