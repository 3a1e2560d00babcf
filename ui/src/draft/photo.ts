// A photograph or scan under the drawing. It stays in this browser, by file
// and view; the server never sees it.
import { signal } from "@preact/signals";

export type View = "plan" | "side";
export interface Photo {
  file: string; view: View; picture: Blob; width: number; height: number;
  /** Where its upper left corner lies (m), metres a pixel, turn in degrees, how dark. */
  x: number; up: number; size: number; turn: number; ink: number;
}

export const photos = signal<Photo[]>([]);
export const pictureURLs = new Map<Blob, string>();
export function urlOf(b: Blob): string {
  let u = pictureURLs.get(b);
  if (!u) pictureURLs.set(b, (u = URL.createObjectURL(b)));
  return u;
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

export async function loadPhotos(file: string): Promise<void> {
  try {
    const all = await act<Photo[]>("readonly", (s) => s.getAll() as IDBRequest<Photo[]>);
    photos.value = all.filter((p) => p.file === file);
  } catch { photos.value = []; } // no storage in this browser: nothing kept
}

export async function keepPhoto(p: Photo): Promise<void> {
  photos.value = [...photos.value.filter((o) => o.view !== p.view), p];
  try { await act("readwrite", (s) => s.put(p)); } catch { /* shown, not kept */ }
}

export async function dropPhoto(p: Photo): Promise<void> {
  photos.value = photos.value.filter((o) => o !== p);
  try { await act("readwrite", (s) => s.delete([p.file, p.view])); } catch { /* gone here anyhow */ }
}

/** Reads a picture and lays it over the whole length, to be scaled. */
export async function layPhoto(file: string, view: View, picture: Blob, length: number, x0: number): Promise<void> {
  const b = await createImageBitmap(picture);
  const size = length / b.width;
  await keepPhoto({ file, view, picture, width: b.width, height: b.height, x: x0, up: (b.height * size) / 2, size, turn: 0, ink: 0.5 });
  b.close();
}

export interface Spot { x: number; up: number }

/** Scales and turns a photo so that two of its points lie a known length apart,
    along the given direction (radians from aft to up; null keeps the turn). */
export function scaled(p: Photo, a: Spot, b: Spot, length: number, along: number | null): Photo {
  const now = Math.hypot(b.x - a.x, b.up - a.up);
  if (!(now > 1e-6) || !(length > 0)) return p;
  const k = length / now;
  const turn = along === null ? 0 : along - Math.atan2(b.up - a.up, b.x - a.x);
  // The corner turns and stretches about the first point.
  const dx = p.x - a.x, du = p.up - a.up, c = Math.cos(turn), s = Math.sin(turn);
  return { ...p, size: p.size * k, turn: p.turn + (turn * 180) / Math.PI, x: a.x + k * (c * dx - s * du), up: a.up + k * (s * dx + c * du) };
}

/** Shifts a photo so that its point a comes to lie on b. */
export function shifted(p: Photo, a: Spot, b: Spot): Photo { return { ...p, x: p.x + b.x - a.x, up: p.up + b.up - a.up }; }

/** Stations from traced points: leading and trailing edge in turn, root first. */
export function stationsOf(points: Spot[]): { x: number; y: number; chord: number }[] {
  const out: { x: number; y: number; chord: number }[] = [];
  for (let i = 0; i + 1 < points.length; i += 2) {
    const le = points[i]!, te = points[i + 1]!;
    const [fore, aft] = le.x <= te.x ? [le, te] : [te, le];
    out.push({ x: fore.x, y: Math.abs((fore.up + aft.up) / 2), chord: aft.x - fore.x });
  }
  return out.sort((a, b) => a.y - b.y);
}
