// The views of the field and debrief sheets that draw what one verb answers,
// each as a picture on every ground and held to the accessibility audit.
import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { after, before, describe, it } from "node:test";
import { gpx } from "./flight.mjs";
import { audit, browser, noBrowser, seat, shot } from "./harness.mjs";

const slow = { timeout: 400_000 }, long = { timeout: 900_000 };

/** The made-up flight as a table whose columns no guess could know: metres
    north and east and a speed under words that mean nothing. */
function table() {
  const rows = [...gpx().matchAll(/lat="([\d.]+)" lon="([\d.]+)"><ele>([\d.]+)<\/ele><time>([^<]+)/g)];
  const t0 = Date.parse(rows[0][4]), lat0 = Number(rows[0][1]), lon0 = Number(rows[0][2]), k = 111_200;
  return "q1;q2;q3;q4\n" + rows.map((m) => [Date.parse(m[4]) - t0, ((m[1] - lat0) * k).toFixed(2), ((m[2] - lon0) * k * Math.cos((lat0 * Math.PI) / 180)).toFixed(2), m[3]].join(";")).join("\n") + "\n";
}

describe("the sheets' own views", { skip: noBrowser() }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });

  const sit = (t, hash, opt) => seat(t, b, hash, opt);
  /** Brings a detail into sight, where it works itself out. */
  const see = async (p, id) => { await p.waitForSelector("#" + id, slow); await p.locator("#" + id).evaluate((e) => e.scrollIntoView()); };
  /** Audit and pictures: broad on paper and slate, narrow in full sun. */
  async function judged(p, name, id) {
    const found = [];
    for (const [width, height, ground] of [[1440, 1000, "paper"], [1440, 1000, "slate"], [390, 844, "sun"]]) {
      await p.setViewportSize({ width, height });
      await p.waitForFunction((w) => document.querySelector(".sheet").getBoundingClientRect().width <= w, width);
      assert.ok((await p.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, `${name} at ${width}: nothing sticks out`);
      await p.evaluate((g) => { document.documentElement.dataset.ground = g; }, ground);
      if (ground !== "slate") for (const v of await audit(p)) found.push(`${name} ${ground} ${width}: ${v}`);
      await p.locator("#" + id).evaluate((e) => e.scrollIntoView());
      await shot(p, `${name}-${ground}-${width}`, false);
    }
    await p.setViewportSize({ width: 1440, height: 1000 });
    assert.deepEqual(found, []);
  }

  it("draws the speed trial's course and the sortie as a stream", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/field");
    await see(p, "trial");
    await p.waitForSelector("#trial .course", slow);
    assert.match(await p.locator("#trial .course").getAttribute("aria-label"), /base of 200 m .*Wind [\d.]+.m\/s/);
    assert.match(await p.locator("#trial .claims").innerText(), /235 km\/h/);
    await judged(p, "field-trial", "trial");
    await see(p, "sortie");
    await p.waitForSelector("#sortie .sortie-stream", slow);
    const label = await p.locator("#sortie .sortie-stream").getAttribute("aria-label");
    const lost = [...label.matchAll(/([\d.]+) % lost/g)].reduce((s, m) => s + Number(m[1]), 0), home = Number(/([\d.]+) % come home whole/.exec(label)[1]);
    assert.ok(Math.abs(lost + home - 100) <= 3, `${lost} % lost and ${home} % home`);
    assert.equal(await p.locator("#sortie .stages > li").count(), 4);
    await judged(p, "field-sortie", "sortie");
    assert.deepEqual(p.wrongs, []);
  });

  it("shows the card's page before it is printed, on the paper asked for", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/field");
    await see(p, "card");
    await p.locator("#card .card-form select").first().selectOption("letter");
    await p.locator("#card .options > button").click();
    await p.fill("#card-launches", "64");
    await p.fill("#card-looks", "16");
    await p.click("#card .options form button[type=submit]");
    await p.waitForSelector("#card .printed-page img", slow);
    await p.waitForFunction(() => { const i = document.querySelector("#card .printed-page img"); return i?.complete && i.naturalWidth > 0; });
    const [w, h] = await p.locator("#card .printed-page img").evaluate((i) => [i.naturalWidth, i.naturalHeight]);
    assert.ok(Math.abs(w / h - 215.9 / 279.4) < 0.01, `${w} x ${h} is letter`);
    assert.match(await p.locator("#card .files").innerText(), /tern-card\.pdf/);
    await judged(p, "field-card", "card");
    assert.deepEqual(p.wrongs, []);
  });

  it("counts with another day and says so, and never writes it", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/field");
    const was = readFileSync(w.path("tern.yaml"), "utf8");
    await p.waitForSelector(".fan svg", slow);
    await p.click(".today > button");
    assert.match(await p.locator(".today").innerText(), /the build says wind/);
    await p.fill("#today-seed", "7");
    await p.click(".today-form button[type=submit]");
    await p.waitForFunction(() => document.querySelector(".today > button").textContent.includes("seed 7"));
    await p.locator(".today-form input[type=checkbox]").check();
    await p.waitForFunction(() => document.querySelector(".today > button").textContent.includes("without what was learned"));
    assert.deepEqual(await audit(p), []);
    assert.equal(readFileSync(w.path("tern.yaml"), "utf8"), was);
    assert.deepEqual(p.wrongs, []);
  });

  it("reads a table by columns put right by hand, and keeps the map for the next log", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/debrief");
    await p.waitForSelector(".drop input[type=file]", { state: "attached" });
    const file = (name) => ({ name, mimeType: "text/csv", buffer: Buffer.from(table()) });
    await p.setInputFiles(".drop input[type=file]", file("monday.csv"));
    await p.locator(".fold > button", { hasText: "How monday.csv is read" }).click();
    await p.waitForSelector(".columns tbody tr");
    const set = async (row, holds, unit) => {
      await p.locator(`select[aria-label="${row} holds"]`).selectOption(holds);
      await p.locator(`select[aria-label="${row} is in"]`).selectOption(unit);
    };
    await set("q1", "time", "ms");
    await set("q2", "north", "m");
    await set("q3", "east", "m");
    await set("q4", "height", "m");
    await shot(p, "debrief-columns-1440", false);
    await p.locator(".keep-map input").fill("my recorder");
    await p.locator(".keep-map button").click();
    await p.waitForSelector(".debriefed .flight-above", slow);
    assert.ok(existsSync(w.path("my recorder.columns.json")));
    const two = Number(/([\d.]+)/.exec(await p.locator(".pair b").first().innerText())?.[1]);
    assert.ok(Math.abs(two - 40) < 1, `two-way airspeed ${two} of a flight at 40 m/s`);
    await p.locator(".drop .word-button").first().click();
    await p.waitForSelector(".debriefed", { state: "detached" });
    await p.setInputFiles(".drop input[type=file]", file("tuesday.csv"));
    await p.locator(".fold > button", { hasText: "as kept in my recorder.columns.json" }).waitFor();
    await p.waitForSelector(".debriefed .flight-above", slow);
    assert.deepEqual(await audit(p), []);
    assert.deepEqual(p.wrongs, []);
  });

  it("judges a failed launch by what was told, and makes the pack for review", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/debrief");
    await p.waitForSelector(".drop");
    await p.locator(".fold > button", { hasText: "A launch that failed" }).click();
    await p.selectOption("#told-outcome", { label: await p.locator("#told-outcome option").nth(3).innerText() });
    await shot(p, "debrief-told-1440", false);
    await p.setInputFiles(".drop input[type=file]", { name: "flight.gpx", mimeType: "application/gpx+xml", buffer: Buffer.from(gpx()) });
    await p.locator(".fold > button", { hasText: "A pack for others" }).click();
    await p.fill("#told-flown", "a field of our own");
    await p.locator(".fold form", { hasText: "An evidence sheet" }).locator("button[type=submit]").click();
    await p.waitForSelector(".debriefed .files", slow);
    await p.waitForSelector(".debriefed .failed-launch", slow);
    const [got] = await Promise.all([p.waitForEvent("download"), p.locator(".debriefed .files a", { hasText: "in one archive" }).click()]);
    assert.equal(got.suggestedFilename(), "for-review.zip");
    assert.deepEqual(p.wrongs, []);
  });

  it("keeps a lesson, counts with it, and forgets it", long, async (t) => {
    const { p } = await sit(t, "#/tern.yaml/debrief");
    await see(p, "learn");
    await p.locator("#learn .fold > button", { hasText: "Readings to learn from" }).click();
    await p.locator("#learn .told select").first().selectOption({ label: "the cord" });
    await p.fill("#learn-read-cord_pull", "40 N");
    await p.fill("#learn-read-stretch", "8 m");
    await p.locator("#learn button", { hasText: "Add the reading" }).click();
    await p.locator("#learn button", { hasText: "What do they teach?" }).click();
    await p.locator("#learn .lesson button", { hasText: "Keep the lesson" }).click(slow);
    await p.locator("#learn .lesson", { hasText: "The lesson is kept" }).waitFor(slow);
    assert.ok((await p.locator("#learn .spans li").count()) > 0, "before and after are shown");
    await judged(p, "debrief-learn", "learn");
    await p.locator("#learn .lesson button", { hasText: "Forget it" }).click();
    await p.locator("#learn .lesson", { hasText: "Forgotten" }).waitFor(slow);
    assert.deepEqual(p.wrongs, []);
  });

  it("mends on paper first, then writes; scores; the book is searched and put right", long, async (t) => {
    const { w, p } = await sit(t, "#/tern.yaml/debrief");
    await see(p, "score");
    await p.locator("#score .empty", { hasText: "Nothing to score yet" }).waitFor({ timeout: 30_000 }); // at once, not after other work
    await see(p, "repair");
    await p.locator("#repair select").first().selectOption("nose");
    const was = readdirSync(w.dir).filter((f) => f.endsWith(".yaml"));
    await p.fill("#repair-x", "80 mm");
    await p.fill("#repair-mass", "14 g weighed");
    await p.locator("#repair form button[type=submit]").click();
    await p.waitForSelector("#repair .repaired", slow);
    assert.deepEqual(readdirSync(w.dir).filter((f) => f.endsWith(".yaml")), was, "nothing is written yet");
    await judged(p, "debrief-repair", "repair");
    await p.locator("#repair button", { hasText: "Write the repaired revision" }).click();
    await p.locator("#repair [role=status]", { hasText: "Written" }).waitFor(slow);
    assert.equal(readdirSync(w.dir).filter((f) => f.endsWith(".yaml")).length, was.length + 1);
    await see(p, "logbook");
    await p.locator(".logbook-kinds button", { hasText: "repairs" }).click();
    await p.waitForSelector("#logbook .book tbody tr");
    await p.locator("#logbook .book button", { hasText: "put right" }).first().click();
    await p.locator("#logbook .book-doing form").waitFor();
    await p.fill("#amend-repair-note", "epoxy and glass");
    await p.locator("#logbook .book-doing button[type=submit]").click();
    await p.locator("#logbook .book td", { hasText: "epoxy and glass" }).waitFor();
    await p.locator("#logbook form[role=search] input").fill("epoxy");
    await p.locator("#logbook form[role=search] button").click();
    await p.locator("#logbook .hits li").first().waitFor();
    await judged(p, "debrief-logbook", "logbook");
    assert.deepEqual(p.wrongs, []);
  });
});
