// The one event stream of this tab.
import { batch } from "@preact/signals";
import { build, changedOnDisk, connected, file, keptSince, drawing, loadHangar, loadHello, me, open, redraw, say } from "../state/shop";
import { bookChanged } from "../state/today";
import { forgetAll, lookAll, take } from "../state/work";
import type { Job } from "./types";

let source: EventSource | null = null;
let serial: string | null = null;

function on<T>(name: string, f: (data: T) => void): void {
  source?.addEventListener(name, (e) => f(JSON.parse((e as MessageEvent<string>).data) as T));
}

export function listen(): void {
  if (source) return;
  source = new EventSource("/api/events");
  source.onopen = () => { connected.value = true; };
  source.onerror = () => { connected.value = false; };
  on<{ serial: string | number }>("hello", (d) => {
    const now = String(d.serial);
    const anew = serial !== null && serial !== now;
    serial = now;
    connected.value = true;
    if (anew) forgetAll();
    if (anew || keptSince.value) {
      void loadHello().then(() => loadHangar()).then(() => { if (file.value) return open(file.value, true); return undefined; }).catch(() => undefined);
    } else lookAll();
  });
  on<Job>("job", take);
  on<{ file: string; etag: string; ok: boolean; why: string; by?: string }>("build", (d) => {
    const b = build.peek();
    if (!b || d.file !== b.file) return;
    if (d.etag === b.etag && changedOnDisk.peek()?.why === "gone") { changedOnDisk.value = null; say(`${d.file} is back, as it was.`); }
    if (d.etag === b.etag || d.by === me) return;
    if (d.why === "gone") {
      say(`${d.file} is no longer in the hangar.`);
      changedOnDisk.value = { file: d.file, etag: d.etag, why: d.why, at: new Date() };
      return;
    }
    if (d.why === "disk") changedOnDisk.value = { file: d.file, etag: d.etag, why: d.why, at: new Date() };
    else { say("Changed in another window: shown here too."); void open(d.file, true); }
  });
  on<{ file: string }>("warm", (d) => { if (d.file === file.peek() && drawing.peek()?.rough !== false) void redraw(); });
  on<{ kind: string }>("logbook", (d) => { bookChanged(d.kind); if (d.kind === "factor" && file.peek()) void redraw(); });
  on<object>("hangar", () => { void loadHangar().catch(() => undefined); });
  on<object>("stopping", () => batch(() => { connected.value = false; say("The workshop was closed."); }));
}

/** Stops listening: on leaving the page, so that no stream is left behind. */
export function deafen(): void {
  source?.close();
  source = null;
}
