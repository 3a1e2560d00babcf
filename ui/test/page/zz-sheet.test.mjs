// The check sheet: all pictures on one page, to be looked at; and the budget.
import assert from "node:assert/strict";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { it } from "node:test";
import { gzipSync } from "node:zlib";
import { root, sheets } from "./harness.mjs";

it("keeps the script under 250 kB, compressed", () => {
  const dir = join(root, "internal/web/dist/assets");
  const size = readdirSync(dir).filter((f) => f.endsWith(".js")).reduce((s, f) => s + gzipSync(readFileSync(join(dir, f))).length, 0);
  assert.ok(size < 250_000, `${size} bytes`);
});

it("asks for nothing outside the machine", () => {
  const dir = join(root, "internal/web/dist");
  const files = [join(dir, "index.html"), ...readdirSync(join(dir, "assets")).map((f) => join(dir, "assets", f))];
  for (const f of files) {
    const far = [...readFileSync(f, "utf8").matchAll(/https?:\/\/[a-z0-9.-]+/gi)].map((m) => m[0]).filter((u) => !/w3\.org/.test(u));
    assert.deepEqual(far, [], f);
  }
});

it("lays all pictures on one sheet", () => {
  if (!existsSync(sheets)) mkdirSync(sheets, { recursive: true });
  const names = readdirSync(sheets).filter((f) => f.endsWith(".png")).sort();
  writeFileSync(join(sheets, "index.html"), `<!doctype html><meta charset="utf-8"><title>Check sheet</title><style>body{font:14px serif;display:flex;flex-wrap:wrap;gap:1rem}figure{margin:0}img{height:34rem;border:1px solid #888;object-fit:cover;object-position:top}</style>` +
    names.map((n) => `<figure><a href="${n}"><img src="${n}" alt="" loading="lazy"></a><figcaption>${n}</figcaption></figure>`).join("\n"));
});
