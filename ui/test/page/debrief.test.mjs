// The debrief sheet and the comparison, as their user meets them. The flight
// is made up (flight.mjs): 40 m/s through the air in 3 m/s of wind.
import assert from "node:assert/strict";
import { after, before, describe, it } from "node:test";
import { gpx } from "./flight.mjs";
import { audit, browser, noBrowser, seat, shot } from "./harness.mjs";

const slow = { timeout: 600_000 }, long = { timeout: 900_000 };

describe("the debrief sheet", { skip: noBrowser() }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });

  const sit = (t, hash, opt) => seat(t, b, hash, { files: ["tern.yaml", "wren.yaml"], ...opt });
  const drop = (p) => p.setInputFiles(".drop input[type=file]", { name: "flight.gpx", mimeType: "application/gpx+xml", buffer: Buffer.from(gpx()) });

  it("draws the flight, its passes and the claims; one moment in all pictures", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/debrief");
    await p.waitForSelector(".drop");
    await drop(p);
    await p.waitForSelector(".debriefed .flight-above", slow);
    assert.equal(await p.locator(".flight-above .flight-pass").count(), 2, "the two passes of the best pair");
    const two = Number(/([\d.]+)/.exec(await p.locator(".pair b").first().innerText())?.[1]);
    assert.ok(Math.abs(two - 40) < 1, `two-way airspeed ${two} of a flight at 40 m/s`);
    const wind = Number(/wind ([\d.]+)/.exec(await p.locator(".wind").textContent())?.[1]);
    assert.ok(Math.abs(wind - 3) < 0.5, `wind ${wind} of 3 m/s`);
    const mark = await p.locator(".moment-mark circle").getAttribute("cx"), was = await p.locator(".moment output").innerText();
    await p.locator("#moment").focus();
    for (let i = 0; i < 40; i++) await p.keyboard.press("ArrowRight");
    await p.waitForFunction((s) => document.querySelector(".moment output").textContent !== s, was);
    assert.notEqual(await p.locator(".moment-mark circle").getAttribute("cx"), mark);
    assert.match(await p.locator("#claims").innerText(), /not shown/);
    assert.ok((await p.locator("#claims .span-diamond path").count()) >= 1, "the measured value beside the claim");
    assert.deepEqual(await audit(p), []);
    await shot(p, "debrief-drawn-1440");
    await p.setViewportSize({ width: 390, height: 844 });
    await p.evaluate(() => { document.documentElement.dataset.ground = "slate"; });
    await p.waitForTimeout(300);
    assert.ok((await p.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, "nothing sticks out");
    await shot(p, "debrief-drawn-slate-390");
    assert.deepEqual(p.wrongs, []);
  });

  it("enters a flight, shows it in the book and strikes it", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/debrief");
    await p.waitForSelector("#logbook .entry-fields input");
    await p.click("#logbook .entry button[type=submit]");
    await p.waitForSelector("text=Entered.");
    await p.click('.logbook-kinds button:has-text("flights")');
    await p.waitForSelector("#logbook .book tbody tr");
    assert.match(await p.locator("#logbook .book").innerText(), /Tern/);
    await p.click('#logbook .book button:has-text("strike")');
    await p.fill("#logbook .book form input", "entered twice");
    await p.keyboard.press("Enter");
    await p.waitForSelector(".book-row-struck", slow);
    assert.match(await p.locator(".book-row-struck").innerText(), /entered twice/);
    assert.deepEqual(p.wrongs, []);
  });

  it("lays two builds over each other with their numbers side by side", long, async (t) => {
    const { p } = await sit(t, "#/wren.yaml/bench");
    await p.waitForSelector("#compare form .act", slow);
    await p.click("#compare form .act");
    await p.waitForSelector("#compare .overlay-other", slow);
    assert.equal(await p.locator("#compare .stamp").count(), 2);
    assert.ok((await p.locator("#compare .span-line").count()) >= 10);
    await shot(p, "bench-compared-1440", false);
    assert.deepEqual(p.wrongs, []);
  });
});
