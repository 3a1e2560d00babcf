// Starts the built command on a temporary hangar and a headless Chromium, and
// ends both, whatever happens.
import { spawn } from "node:child_process";
import { accessSync, constants, copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
export const root = resolve(here, "../../..");
const bin = process.env.FLEDGE_BIN ?? join(root, "bin/fledge");
export const sheets = join(root, ".make/sheets");
/** How long a page may take for anything it does by itself; only a failure waits so long. */
export const patience = Number(process.env.FLEDGE_PATIENCE ?? 180) * 1000;
const axe = readFileSync(join(root, "ui/node_modules/axe-core/axe.min.js"), "utf8");

/** The browser on PATH, or null. */
export function findBrowser() {
  for (const dir of (process.env.PATH ?? "").split(delimiter)) {
    for (const name of ["chromium", "chromium-browser", "google-chrome"]) {
      const p = join(dir, name);
      try { accessSync(p, constants.X_OK); return p; } catch { /* not here */ }
    }
  }
  return null;
}

/** True when the page tests cannot run here; in CI that is a failure. */
export function noBrowser() {
  if (findBrowser()) return false;
  if (process.env.CI) throw new Error("No Chromium on PATH: `make browser` installs it.");
  return "no Chromium on PATH (`make browser` installs it)";
}

/** A workshop on a hangar of its own holding the named examples. */
export async function workshop(files = [], flags = []) {
  const dir = mkdtempSync(join(tmpdir(), "fledge-hangar-"));
  for (const f of files) copyFileSync(join(root, "examples", f), join(dir, f));
  const child = spawn(bin, ["workshop", dir, "--no-open", "--end-with-input", ...flags], { stdio: ["pipe", "pipe", "pipe"] });
  let out = "";
  const url = await new Promise((ok, no) => {
    const t = setTimeout(() => no(new Error("The workshop did not start:\n" + out)), patience);
    const hear = (d) => {
      out += d;
      const m = /http:\/\/(127\.0\.0\.1|localhost|\[::1\]):\d+/.exec(out);
      if (m) { clearTimeout(t); ok(m[0]); }
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (c) => { clearTimeout(t); no(new Error(`The workshop ended with ${c}:\n${out}`)); });
  });
  const gone = new Promise((ok) => child.on("exit", ok));
  const kill = () => child.kill("SIGKILL");
  process.on("exit", kill);
  return {
    url, dir, pid: child.pid,
    /** What the terminal shows. */
    terminal: () => out,
    path: (f) => join(dir, f),
    async close() {
      child.stdin.end();
      const t = setTimeout(kill, 5000);
      await gone;
      clearTimeout(t);
      process.off("exit", kill);
      rmSync(dir, { recursive: true, force: true });
    },
    async stop() { child.stdin.end(); const t = setTimeout(kill, 5000); await gone; clearTimeout(t); },
  };
}

export async function browser() {
  const b = await chromium.launch({
    executablePath: findBrowser(), timeout: patience,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--force-color-profile=srgb"],
  });
  const kill = () => { try { b.close(); } catch { /* gone */ } };
  process.on("exit", kill);
  return b;
}

/** A page that fails the test on errors of script or policy. */
export async function page(b, opt = {}) {
  const { ground = "paper", width = 1440, height = 1000, ...more } = opt;
  const context = await b.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...more });
  await context.addInitScript((g) => { if (!localStorage.getItem("ground")) localStorage.setItem("ground", g); }, ground);
  context.setDefaultTimeout(patience);
  context.setDefaultNavigationTimeout(patience);
  const p = await context.newPage();
  const wrongs = [];
  p.on("pageerror", (e) => wrongs.push(String(e)));
  p.on("console", (m) => { if (m.type() === "error" && !/Failed to load resource|net::ERR/.test(m.text())) wrongs.push(m.text()); });
  // What the page asks must be what the server takes: a body of the wrong shape
  // or a route that is not there is the page's fault, whatever it then shows.
  p.on("response", (r) => { if ([400, 405, 415, 500].includes(r.status())) void r.text().then((text) => wrongs.push(`${r.request().method()} ${new URL(r.url()).pathname}: ${r.status()} ${text.slice(0, 200)}`), () => wrongs.push(`${r.url()}: ${r.status()}`)); });
  p.wrongs = wrongs;
  return p;
}

/** A workshop of the Tern, or of other examples, for one test, and a page of browser b at a place in it. */
export async function seat(t, b, hash, { files = ["tern.yaml"], ...opt } = {}) {
  const w = await workshop(files);
  t.after(() => w.close());
  const p = await page(b, opt);
  t.after(() => p.context().close());
  await p.goto(`${w.url}/${hash}`);
  return { w, p };
}

/** Violations the accessibility audit finds, as lines. */
export async function audit(p) {
  return p.evaluate(async (src) => {
    if (!window.axe) (0, eval)(src);
    const r = await window.axe.run(document, { resultTypes: ["violations"] });
    return r.violations.map((v) => `${v.id} (${v.impact}): ${v.help}: ${v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " " + (n.any[0]?.message ?? "")).join(" | ")}`);
  }, axe).catch(async (e) => {
    // The page's policy forbids eval: the audit comes in by the debugger.
    if (!/eval/i.test(String(e))) throw e;
    await p.evaluate(axe + ";0");
    return p.evaluate(async () => {
      const r = await window.axe.run(document, { resultTypes: ["violations"] });
      return r.violations.map((v) => `${v.id} (${v.impact}): ${v.help}: ${v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " " + (n.any[0]?.message ?? "")).join(" | ")}`);
    });
  });
}

/** The box of an element once it has stood still for three frames. */
export async function still(locator) {
  return locator.evaluate(async (e) => {
    e.scrollIntoView({ block: "center" });
    for (let same = 0, last = ""; same < 3; ) {
      await new Promise((ok) => requestAnimationFrame(() => ok(undefined)));
      const r = e.getBoundingClientRect(), now = [r.x, r.y, r.width, r.height].join();
      same = now === last ? same + 1 : 0;
      last = now;
    }
    const r = e.getBoundingClientRect();
    return { x: r.x, y: r.y, width: r.width, height: r.height };
  });
}

/** Waits until the page's layout has stood still for six frames, whatever the machine's speed. */
export async function settled(p) {
  await p.evaluate(async () => {
    for (let same = 0, last = ""; same < 6; ) {
      await new Promise((ok) => requestAnimationFrame(() => ok(undefined)));
      const now = document.documentElement.scrollHeight + " " + [...document.querySelectorAll("svg")].map((e) => e.getAttribute("width") + "x" + e.getAttribute("height")).join();
      same = now === last ? same + 1 : 0;
      last = now;
    }
  });
}

/** Repeats a look until it holds; says the last failure when it never does. */
export async function until(look, what = "what was waited for", most = patience) {
  for (const end = Date.now() + most; ; ) {
    try { const v = await look(); if (v) return v; if (Date.now() > end) throw new Error(`never came: ${what}`); } catch (e) { if (Date.now() > end) throw e; }
    await new Promise((ok) => setTimeout(ok, 50));
  }
}

export async function shot(p, name, full = true) {
  mkdirSync(sheets, { recursive: true });
  // On a picture of the whole page the title block stands at its end, not over the middle.
  if (full) await p.evaluate(() => { const s = new CSSStyleSheet(); s.replaceSync(".foot { position: static !important; }"); document.adoptedStyleSheets = [s]; });
  await p.screenshot({ path: join(sheets, name + ".png"), fullPage: full });
  if (full) await p.evaluate(() => { document.adoptedStyleSheets = []; });
}
