// What the page knows: the hangar, the build on the board, its drawing and the
// answers worked out for it. Views read these signals and call the actions.
import { batch, computed, signal } from "@preact/signals";
import { ahead, at, asRefusal, get, getKept, post, put, Refusal, tab } from "../wire/client";
import type { Balance, BuildView, Conflict, Drawing, Edited, Hangar, Hello, Preview, Term } from "../wire/types";
import { sheetOf, type SheetName } from "./route";
import { setToday, todayAsked, todayQuery, type Today } from "./today";

export const hello = signal<Hello | null>(null);
export const hangar = signal<Hangar | null>(null);
export const file = signal<string | null>(null);
export const sheet = signal<SheetName>("bench");
export const build = signal<BuildView | null>(null);
export const drawing = signal<Drawing | null>(null);
/** The balance while a part is being dragged, not yet written. */
export const moving = signal<{ balance: Balance; ats: Map<string, [number, number, number]> } | null>(null);
export const refused = signal<Refusal | null>(null);
export const loading = signal<boolean>(false);
/** Set while what is shown was kept by the browser: since when. */
export const keptSince = signal<Date | null>(null);
export const connected = signal<boolean>(true);
/** A sentence for everybody, screen readers too; gone after a while. */
export const said = signal<string>("");
/** Somebody else changed the file on disk while this tab looked at it. */
export const changedOnDisk = signal<{ file: string; etag: string; why: string; at: Date } | null>(null);
export const conflict = signal<{ conflict: Conflict; sets: string[]; say: string } | null>(null);
export const terms = signal<Term[]>([]);
/** Settings tried and not written: path to text. */
export const trying = signal<ReadonlyMap<string, string>>(new Map());

export const etag = computed(() => build.value?.etag ?? "");
export const tryingSets = computed(() => [...trying.value].map(([p, v]) => `${p}=${v}`));
export const values = computed(() => new Map((build.value?.values ?? []).map((v) => [v.path, v])));

let silence: ReturnType<typeof setTimeout> | undefined;
export function say(text: string): void {
  said.value = text;
  clearTimeout(silence);
  silence = setTimeout(() => { said.value = ""; }, 9000);
}

export type Units = "metric" | "imperial";
export const units = signal<Units>((localStorage.getItem("units") as Units | null) ?? "metric");
export function setUnits(u: Units): void {
  units.value = u;
  localStorage.setItem("units", u);
  if (file.value) void open(file.value, true);
}

export async function loadHello(): Promise<void> {
  const { body, at: when } = await getKept<Hello>("/hello");
  hello.value = body;
  keptSince.value = when;
}

export async function loadHangar(): Promise<void> {
  const { body, at: when } = await getKept<Hangar>("/hangar");
  batch(() => { hangar.value = body; if (when) keptSince.value = when; });
}

export async function loadTerms(): Promise<void> {
  try { terms.value = (await get<{ terms: Term[] }>("/terms")).terms; } catch { terms.value = []; }
}

let opening = 0;
/** Puts a build on the board. */
export async function open(name: string, again = false): Promise<void> {
  const mine = ++opening;
  if (!again) batch(() => { build.value = null; drawing.value = null; moving.value = null; trying.value = new Map(); changedOnDisk.value = null; });
  batch(() => { file.value = name; loading.value = true; refused.value = null; });
  try {
    const { body: b, at: when } = await getKept<BuildView>(at(name, `?units=${units.value}`));
    if (mine !== opening) return;
    batch(() => {
      build.value = b; keptSince.value = when; changedOnDisk.value = null;
      // Her shape at once; the balance, which takes models, follows.
      if (b.drawing && drawing.value?.file !== name) drawing.value = b.drawing;
    });
    if (b.ok) await redraw();
  } catch (e) {
    if (mine === opening) refused.value = asRefusal(e);
  } finally {
    if (mine === opening) loading.value = false;
  }
}

/** Fetches the drawing of the build as written, or with what is being tried. */
export async function redraw(): Promise<void> {
  const name = file.value;
  if (!name) return;
  const q = [`units=${units.value}`, ...todayQuery.value, ...tryingSets.value.map((s) => "sets=" + encodeURIComponent(s))].join("&");
  try {
    const { body: d } = await getKept<Drawing>(at(name, "/drawing?" + q));
    if (file.value === name) batch(() => { drawing.value = d; moving.value = null; });
  } catch (e) {
    refused.value = asRefusal(e);
  }
}

/** Another day, seed or state of knowledge: the drawing follows, answers are worked out anew when seen. */
export function changeToday(t: Partial<Today>): void {
  setToday(t);
  if (file.value) void redraw();
}

/** Writes values into the file. True when it was written. */
export async function edit(sets: string[], why: string, opt: { anyway?: boolean; base?: string } = {}): Promise<boolean> {
  const b = build.value;
  if (!b) return false;
  try {
    const e = await post<Edited>(at(b.file, "/edit"), { base: opt.base ?? b.etag, sets, say: why, ...(opt.anyway ? { anyway: true } : {}) });
    conflict.value = null;
    await open(b.file, true);
    say(e.merged?.length ? `Written. The file had changed elsewhere too (${e.merged.map((m) => m.path).join(", ")}); both changes are kept.` : `Written: ${why}.`);
    return true;
  } catch (e) {
    const r = asRefusal(e);
    if (r.status === 409 && r.body.conflict) conflict.value = { conflict: r.body.conflict, sets, say: why };
    else refused.value = r;
    return false;
  } finally {
    moving.value = null;
  }
}

export async function writeText(text: string, base: string, anyway = false): Promise<boolean> {
  const b = build.value;
  if (!b) return false;
  try {
    await put<Edited>(at(b.file, "/text"), { base, text, say: "text edited", ...(anyway ? { anyway: true } : {}) });
    await open(b.file, true);
    say("Written.");
    return true;
  } catch (e) {
    const r = asRefusal(e);
    if (r.status === 409 && r.body.conflict) conflict.value = { conflict: r.body.conflict, sets: [], say: "text edited" };
    else refused.value = r;
    return false;
  }
}

let steps: Promise<void> = Promise.resolve();
/** Takes a step back or does it again, one after the other however fast they are asked for. */
export function step(which: "undo" | "redo"): Promise<void> {
  return (steps = steps.then(() => oneStep(which)));
}

async function oneStep(which: "undo" | "redo"): Promise<void> {
  const b = build.value;
  if (!b) return;
  const what = which === "undo" ? b.history.undo_say : b.history.redo_say;
  try {
    await post<Edited>(at(b.file, "/" + which), { base: b.etag });
    await open(b.file, true);
    say(`${which === "undo" ? "Taken back" : "Done again"}: ${what ?? "the last change"}.`);
  } catch (e) {
    const r = asRefusal(e);
    if (r.code === "changed" && !r.body.conflict?.paths?.length) { // another window was quicker
      await open(b.file, true);
      say(`Nothing was ${which === "undo" ? "taken back" : "done again"}: the file had just been changed elsewhere. It is shown as it is now.`);
    } else refused.value = r;
  }
}

let asking: AbortController | null = null;
/** Asks what the balance would be; later calls overtake earlier ones. */
export async function preview(sets: string[]): Promise<void> {
  const b = build.value;
  if (!b) return;
  asking?.abort();
  const mine = (asking = new AbortController());
  try {
    const p = await post<Preview>(at(b.file, "/preview"), { sets: [...tryingSets.value, ...sets], ...todayAsked.value }, mine.signal);
    if (mine.signal.aborted) return;
    moving.value = { balance: p.balance, ats: new Map(p.parts.map((x) => [x.name + (x.twin ? "\u0000" : ""), x.at])) };
  } catch (e) {
    if (!mine.signal.aborted) say(asRefusal(e).message);
  }
}
export function stopPreview(): void {
  asking?.abort();
  moving.value = null;
}

export function tryValue(path: string, text: string | null): void {
  const next = new Map(trying.value);
  if (text === null) next.delete(path);
  else next.set(path, text);
  trying.value = next;
}
export function clearTrying(): void { trying.value = new Map(); }

/** Follows the page's address. */
export async function follow(): Promise<void> {
  const r = sheetOf(location.hash);
  sheet.value = r.sheet;
  if (r.file === null) {
    batch(() => { file.value = null; build.value = null; drawing.value = null; refused.value = null; });
    await loadHangar().catch((e: unknown) => { refused.value = asRefusal(e); });
  } else if (r.file !== file.value) await open(r.file);
}

/** The looks that the page's address calls for, asked for all at once. */
export function askAhead(): void {
  const r = sheetOf(location.hash);
  ahead("/hello");
  ahead(r.file === null ? "/hangar" : at(r.file, `?units=${units.value}`));
}

export const me = tab;
