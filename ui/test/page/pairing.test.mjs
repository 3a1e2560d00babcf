// A device that has to show the code, as a phone at the field meets it; on the
// loopback address, where --pair-here asks everybody.
import assert from "node:assert/strict";
import { after, before, describe, it } from "node:test";
import { audit, browser, noBrowser, page, shot, until, workshop } from "./harness.mjs";

describe("pairing", { skip: noBrowser() }, () => {
  let b;
  before(async () => { b = await browser(); });
  after(async () => { await b?.close(); });
  const phone = { width: 390, height: 844, hasTouch: true, isMobile: true, deviceScaleFactor: 2, ground: "sun" };

  it("lets a phone in by its code, once; another needs the next one", { timeout: 900_000 }, async (t) => {
    const w = await workshop(["wren.yaml"], ["--pair-here"]);
    t.after(() => w.close());
    const codes = () => [...w.terminal().matchAll(/\b([a-z0-9]{4}-[a-z0-9]{4})\b/g)].map((m) => m[1]);
    await until(() => codes().length === 1, "a code in the terminal");
    const come = async () => { const p = await page(b, phone); t.after(() => p.context().close()); await p.goto(`${w.url}/#/wren.yaml/field`); await p.waitForSelector(".pairing"); return p; };
    const p = await come();
    assert.ok(!(await p.locator("body").innerText()).includes("Wren"), "nothing of the hangar is shown");
    assert.deepEqual(await audit(p), []);
    await shot(p, "pairing-sun-390");
    const type = async (p, code) => { await p.getByLabel("Code").fill(code); await p.getByRole("button", { name: "Pair" }).tap(); };
    await type(p, "abcd-efgh");
    await p.waitForSelector(".pairing [role=alert]:has-text(\"not the code\")");
    // Two tries within a second are too many, so this one may have to be made again.
    await until(async () => { if (await p.locator(".pairing").count() === 0) return true; await type(p, codes()[0].toUpperCase()).catch(() => undefined); await new Promise((ok) => setTimeout(ok, 1200)); return (await p.locator(".pairing").count()) === 0; }, "paired");
    await p.waitForSelector(".fan svg");
    assert.ok(!p.url().includes(codes()[0]), "no secret in the address");
    const seen = await p.evaluate(() => document.cookie + JSON.stringify(localStorage) + JSON.stringify(sessionStorage));
    assert.ok(!seen.includes("fledge-device"), "no script can read the key");
    await p.reload();
    await p.waitForSelector(".fan svg"); // still paired
    const q = await come();
    await new Promise((ok) => setTimeout(ok, 1200));
    await type(q, codes()[0]);
    await q.waitForSelector(".pairing [role=alert]:has-text(\"not the code\")");
    await until(() => codes().length === 2, "the next code in the terminal");
    await until(async () => { if (await q.locator(".pairing").count() === 0) return true; await type(q, codes()[1]).catch(() => undefined); await new Promise((ok) => setTimeout(ok, 1200)); return (await q.locator(".pairing").count()) === 0; }, "the second one paired");
    await q.waitForSelector(".fan svg");
    // A key that is gone leads back to the code, with what was open.
    await p.context().clearCookies();
    await p.evaluate(() => { location.hash = "#/"; });
    await p.waitForSelector(".pairing");
    assert.ok(p.wrongs.length === 0 && q.wrongs.length === 0, [...p.wrongs, ...q.wrongs].join());
  });
});
