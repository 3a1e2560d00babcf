// A page of another origin, in a real browser, tries what a hostile site could
// try on a workshop that is open beside it.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import { readFileSync, readdirSync } from "node:fs";
import { test } from "node:test";
import { browser, noBrowser, workshop } from "./harness.mjs";

test("a page of another origin gets nothing and changes nothing", { skip: noBrowser() }, async () => {
  const shop = await workshop(["wren.yaml"]);
  const before = readFileSync(shop.path("wren.yaml"), "utf8");
  const site = createServer((_, res) => {
    res.setHeader("Content-Type", "text/html");
    res.end("<!doctype html><title>another site</title>");
  });
  await new Promise((ok) => site.listen(0, "127.0.0.1", ok));
  const b = await browser();
  try {
    const p = await b.newPage();
    const answers = new Map();
    const sent = new Set();
    p.on("request", (r) => { if (r.url().startsWith(shop.url)) sent.add(new URL(r.url()).pathname + " " + r.method()); });
    p.on("response", (r) => { if (r.url().startsWith(shop.url)) answers.set(new URL(r.url()).pathname + " " + r.request().method(), r.status()); });
    // "localhost" is another site than 127.0.0.1, and the port differs besides.
    await p.goto(`http://localhost:${site.address().port}/`);
    const tried = await p.evaluate(async (shop) => {
      const out = {};
      const note = async (name, work) => { try { out[name] = await work(); } catch (e) { out[name] = "refused: " + e.name; } };
      const json = { "Content-Type": "application/json" };
      await note("reads the hangar", async () => (await fetch(shop + "/api/hangar")).text());
      await note("reads it blindly", async () => (await fetch(shop + "/api/hangar", { mode: "no-cors" })).type);
      await note("reads with cookies", async () => (await fetch(shop + "/api/builds/wren.yaml", { credentials: "include" })).text());
      await note("writes JSON", async () => (await fetch(shop + "/api/hangar/example", { method: "POST", headers: json, body: '{"name":"tern"}' })).text());
      await note("writes as a form", async () => (await fetch(shop + "/api/hangar/example", { method: "POST", mode: "no-cors", body: '{"name":"tern"}' })).type);
      await note("uploads", async () => (await fetch(shop + "/api/uploads?name=x.csv", { method: "POST", mode: "no-cors", body: new Blob(["x"]) })).type);
      await note("deletes", async () => (await fetch(shop + "/api/hangar", { method: "DELETE" })).text());
      await note("listens", () => new Promise((ok, no) => { const e = new EventSource(shop + "/api/events"); e.onopen = () => ok("open"); e.onerror = () => no(new DOMException("", "Closed")); }));
      await note("opens a socket", () => new Promise((ok, no) => { const s = new WebSocket(shop.replace("http", "ws") + "/api/events"); s.onopen = () => ok("open"); s.onerror = () => no(new DOMException("", "Closed")); }));
      await note("loads it as a script", () => new Promise((ok, no) => { const s = document.createElement("script"); s.src = shop + "/api/hangar"; s.onload = () => ok("loaded"); s.onerror = () => no(new DOMException("", "Closed")); document.head.append(s); }));
      await note("frames it", () => new Promise((ok) => {
        const f = document.createElement("iframe");
        f.src = shop + "/";
        f.onload = () => { try { ok(f.contentDocument ? "readable" : "refused: opaque"); } catch (e) { ok("refused: " + e.name); } };
        document.body.append(f);
      }));
      await note("sends a form", () => new Promise((ok) => {
        const i = document.createElement("iframe"); i.name = "sink";
        const f = document.createElement("form");
        Object.assign(f, { method: "post", action: shop + "/api/hangar/example", target: "sink", enctype: "text/plain" });
        const x = document.createElement("input"); x.name = '{"name":"tern","x":"'; x.value = '"}'; f.append(x);
        document.body.append(i, f);
        f.submit();
        setTimeout(() => ok("sent blindly"), 1000);
      }));
      return out;
    }, shop.url);
    const frames = [];
    for (const f of p.frames()) if (f !== p.mainFrame()) frames.push(await f.evaluate(() => document.body?.innerText ?? "").catch(() => ""));
    for (const [what, got] of Object.entries(tried)) {
      if (got === "opaque" || got === "sent blindly") continue; // the page learns nothing; what the server did is looked at below
      assert.match(got, /^refused/, `${what}: ${got}`);
    }
    for (const text of frames) assert.ok(!/wren|hangar/i.test(text), `a frame shows: ${text.slice(0, 200)}`);
    for (const [what, status] of answers) {
      if (what === "/ GET") continue; // the page itself may be linked to; a browser then refuses to frame it
      assert.ok(status >= 400, `${what}: ${status}`);
    }
    assert.ok(sent.size >= 5, "the tries did not set out: " + [...sent]);
    assert.ok(answers.size >= 1, "the workshop answered none: " + [...answers]);
    assert.deepEqual(readdirSync(shop.dir).filter((f) => f.endsWith(".yaml")), ["wren.yaml"], "a build was made from elsewhere");
    assert.equal(readFileSync(shop.path("wren.yaml"), "utf8"), before);
  } finally {
    await b.close();
    await shop.close();
    await new Promise((ok) => site.close(ok));
  }
});
