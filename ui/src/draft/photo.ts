// A photograph or scan under the drawing. It stays in this browser, by file
// and view; the server never sees it, and the build file does not name it.
import { signal } from "@preact/signals";
import type { Room } from "./frame";

export type View = "plan" | "side";
export interface Photo {
  file: string; view: View; picture: Blob; width: number; height: number;
  /** Where its upper left corner lies (m), metres a pixel, turn in degrees, how dark. */
  x: number; up: number; size: number; turn: number; ink: number;
}

export const photos = signal<Photo[]>([]);
const pictureURLs = new Map<Blob, string>();
export function urlOf(b: Blob): string {
  let u = pictureURLs.get(b);
  if (!u) pictureURLs.set(b, (u = URL.createObjectURL(b)));
  return u;
}
function forgetURL(b: Blob): void {
  const u = pictureURLs.get(b);
  if (u) { URL.revokeObjectURL(u); pictureURLs.delete(b); }
}

function shelf(): Promise<IDBDatabase> {
  return new Promise((ok, no) => {
    const r = indexedDB.open("fledge-photos", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("photos", { keyPath: ["file", "view"] });
    r.onsuccess = () => ok(r.result);
    r.onerror = () => no(r.error);
  });
}

async function act<T>(mode: IDBTransactionMode, f: (s: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const db = await shelf();
  return new Promise((ok, no) => {
    const r = f(db.transaction("photos", mode).objectStore("photos"));
    r.onsuccess = () => { ok(r.result); db.close(); };
    r.onerror = () => { no(r.error); db.close(); };
  });
}

let loadingOf = "";
export async function loadPhotos(file: string): Promise<void> {
  loadingOf = file;
  photos.value = photos.value.filter((p) => p.file === file);
  try {
    const all = await act<Photo[]>("readonly", (s) => s.getAll() as IDBRequest<Photo[]>);
    if (loadingOf === file) photos.value = all.filter((p) => p.file === file);
  } catch { /* no storage in this browser: nothing kept */ }
}

/** Lays a photo down and keeps it; false when this browser would not keep it. */
export async function keepPhoto(p: Photo): Promise<boolean> {
  for (const o of photos.value) if (o.view === p.view && o.picture !== p.picture) forgetURL(o.picture);
  photos.value = [...photos.value.filter((o) => o.view !== p.view), p];
  try { await act("readwrite", (s) => s.put(p)); return true; } catch { return false; }
}

export async function dropPhoto(p: Photo): Promise<void> {
  photos.value = photos.value.filter((o) => o !== p);
  forgetURL(p.picture);
  try { await act("readwrite", (s) => s.delete([p.file, p.view])); } catch { /* gone here anyhow */ }
}

/** What is read at most, and what is kept of it: the longer edge in pixels. */
export const mostBytes = 64e6, mostPixels = 150e6, keptEdge = 4096;

/** Says whether the first bytes are a JPEG's, a PNG's or a WebP's. Nothing
    else is opened: a drawing that is a program (SVG) least of all. */
export function isPicture(h: Uint8Array): boolean {
  const is = (at: number, ...bytes: number[]): boolean => bytes.every((b, i) => h[at + i] === b);
  return is(0, 0xff, 0xd8, 0xff) || is(0, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a) || (is(0, 0x52, 0x49, 0x46, 0x46) && is(8, 0x57, 0x45, 0x42, 0x50));
}

/** The size a picture is kept at. */
export function keptSize(w: number, h: number): [number, number] {
  const k = Math.min(1, keptEdge / Math.max(w, h));
  return [Math.max(1, Math.round(w * k)), Math.max(1, Math.round(h * k))];
}

function sizeOf(b: Blob): Promise<[number, number]> {
  const u = URL.createObjectURL(b), img = new Image();
  return new Promise<[number, number]>((ok, no) => {
    img.onload = () => ok([img.naturalWidth, img.naturalHeight]);
    img.onerror = () => no(new Error("The picture cannot be read: it is damaged, or not what its first bytes say."));
    img.src = u;
  }).finally(() => URL.revokeObjectURL(u));
}

/** Opens a picture and draws it anew, no larger than is kept: what else was in
    the file (places, names, anything) stays behind. Throws what to tell. */
async function opened(b: Blob): Promise<{ picture: Blob; width: number; height: number }> {
  if (b.size > mostBytes) throw new Error(`The file is larger than ${mostBytes / 1e6} MB.`);
  if (!isPicture(new Uint8Array(await b.slice(0, 16).arrayBuffer()))) throw new Error("That is no JPEG, PNG or WebP picture.");
  const [w, h] = await sizeOf(b); // from its head, before anything is unpacked
  if (!(w > 0) || !(h > 0)) throw new Error("The picture has no size.");
  if (w * h > mostPixels) throw new Error(`The picture is ${w} by ${h} pixels; at most ${mostPixels / 1e6} million are read. Make it smaller first.`);
  const [width, height] = keptSize(w, h);
  const map = await createImageBitmap(b, { resizeWidth: width, resizeHeight: height, resizeQuality: "high" }).catch(() => { throw new Error("The picture cannot be read: it is damaged."); });
  const c = document.createElement("canvas");
  c.width = width; c.height = height;
  c.getContext("2d")!.drawImage(map, 0, 0);
  map.close();
  const picture = await new Promise<Blob | null>((ok) => c.toBlob(ok, "image/jpeg", 0.92));
  if (!picture) throw new Error("This browser cannot keep the picture.");
  return { picture, width, height };
}

/** Reads a picture and lays it over the whole length, to be scaled. Throws
    what to tell when it is no picture, or too large a one. */
export async function layPhoto(file: string, view: View, from: Blob, length: number, x0: number): Promise<boolean> {
  const p = await opened(from);
  const size = length / p.width;
  return keepPhoto({ file, view, ...p, x: x0, up: (p.height * size) / 2, size, turn: 0, ink: 0.5 });
}

export interface Spot { x: number; up: number }

/** Scales and turns a photo so that two of its points lie a known length apart,
    the second from the first in the given direction (radians from aft to up;
    null keeps the turn), or, if either will do, in that or the opposite one. */
export function scaled(p: Photo, a: Spot, b: Spot, length: number, along: number | null, either = false): Photo {
  const now = Math.hypot(b.x - a.x, b.up - a.up);
  if (!(now > 1e-6) || !(length > 0)) return p;
  const k = length / now;
  let turn = along === null ? 0 : along - Math.atan2(b.up - a.up, b.x - a.x);
  if (either) turn -= Math.PI * Math.round(turn / Math.PI);
  // The corner turns and stretches about the first point.
  const dx = p.x - a.x, du = p.up - a.up, c = Math.cos(turn), s = Math.sin(turn);
  return { ...p, size: p.size * k, turn: p.turn + (turn * 180) / Math.PI, x: a.x + k * (c * dx - s * du), up: a.up + k * (s * dx + c * du) };
}

/** Turns a photo about a point by degrees, counter-clockwise. */
export function turned(p: Photo, about: Spot, degrees: number): Photo {
  const t = (degrees * Math.PI) / 180, dx = p.x - about.x, du = p.up - about.up, c = Math.cos(t), s = Math.sin(t);
  return { ...p, turn: p.turn + degrees, x: about.x + c * dx - s * du, up: about.up + s * dx + c * du };
}

/** Shifts a photo so that its point a comes to lie on b. */
export function shifted(p: Photo, a: Spot, b: Spot): Photo { return { ...p, x: p.x + b.x - a.x, up: p.up + b.up - a.up }; }

/** The room that pictures of a build take in the drawing; null without any. */
export function roomOf(of: Photo[]): Room | null {
  if (!of.length) return null;
  const r: Room = { out: 0, x: [Infinity, -Infinity], up: [0, 0] };
  for (const p of of) {
    const t = (p.turn * Math.PI) / 180, c = Math.cos(t), s = Math.sin(t), w = p.width * p.size, h = -p.height * p.size;
    for (const [a, b] of [[0, 0], [w, 0], [0, h], [w, h]] as const) {
      const x = p.x + c * a - s * b, up = p.up + s * a + c * b;
      r.x = [Math.min(r.x[0], x), Math.max(r.x[1], x)];
      if (p.view === "plan") r.out = Math.max(r.out, Math.abs(up));
      else r.up = [Math.min(r.up[0], up), Math.max(r.up[1], up)];
    }
  }
  return r;
}

export interface Traced { x: number; y: number; chord: number }

/** Stations from traced points: leading and trailing edge in turn, in any
    order along the span, each at the mean height of its two points. */
export function stationsOf(points: Spot[]): Traced[] {
  const out: Traced[] = [];
  for (let i = 0; i + 1 < points.length; i += 2) {
    const le = points[i]!, te = points[i + 1]!;
    const [fore, aft] = le.x <= te.x ? [le, te] : [te, le];
    out.push({ x: fore.x, y: Math.abs((fore.up + aft.up) / 2), chord: aft.x - fore.x });
  }
  return out.sort((a, b) => a.y - b.y);
}

export interface Known { y: number; z: number; twist: number; section: string }
export interface Station extends Traced { z: number; twist: number; section: string }

/** A straight line through the stations' values, held at both ends. */
function along<T extends { y: number }>(of: T[], y: number, value: (s: T) => number): number {
  if (y <= of[0]!.y) return value(of[0]!);
  for (let i = 1; i < of.length; i++) {
    const a = of[i - 1]!, b = of[i]!;
    if (y <= b.y) return value(a) + ((y - a.y) / Math.max(1e-9, b.y - a.y)) * (value(b) - value(a));
  }
  return value(of[of.length - 1]!);
}

/** The stations to write: the traced outline with height, twist and section
    of the old ones at the same place. A file's list cannot be made shorter by
    setting values, so where fewer places were traced than it has, places in
    between are added on the same straight edges: the outline is the traced one. */
export function restationed(traced: Traced[], old: Known[]): Station[] {
  const t = [...traced];
  while (t.length < old.length && t.length >= 2) {
    let widest = 1;
    for (let i = 2; i < t.length; i++) if (t[i]!.y - t[i - 1]!.y > t[widest]!.y - t[widest - 1]!.y) widest = i;
    const a = t[widest - 1]!, b = t[widest]!;
    t.splice(widest, 0, { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, chord: (a.chord + b.chord) / 2 });
  }
  return t.map((s, i) => {
    if (t.length === old.length && traced.length === old.length) { const o = old[i]!; return { ...s, z: o.z, twist: o.twist, section: o.section }; }
    if (!old.length) return { ...s, z: 0, twist: 0, section: "" };
    const near = old.reduce((best, o) => (Math.abs(o.y - s.y) < Math.abs(best.y - s.y) ? o : best), old[0]!);
    return { ...s, z: along(old, s.y, (o) => o.z), twist: along(old, s.y, (o) => o.twist), section: near.section };
  });
}
