// From metres in build axes to pixels on the sheet. Nose to the left in both
// views, one scale, one x: a line of the balance point runs through both.
import type { Drawing, Place, Point } from "../wire/types";

export interface Frame {
  width: number; height: number;
  /** Pixels a metre. */
  scale: number;
  left: number;
  /** Page height of y = 0 in the plan and of z = 0 in the side view. */
  planZero: number; sideZero: number;
  plan: { top: number; bottom: number };
  side: { top: number; bottom: number };
  labels: number;
}

/** Room that something else than the aeroplane wants (m): how far out from the
    middle line, and from where to where aft and up. */
export interface Room { out: number; x: [number, number]; up: [number, number] }

/** Lays both views out in a width; tall limits the height of both together. */
export function frameOf(d: Drawing, width: number, tall: number, headroom = 64, more: Room | null = null): Frame {
  const grow = 0.012;
  // Others get at most half as much again as the aeroplane takes.
  const long = 0.25 * (d.box.max[0] - d.box.min[0]), half = Math.max(d.box.max[1], -d.box.min[1]), high = 0.5 * (d.box.max[2] - d.box.min[2]);
  const x0 = Math.min(d.box.min[0], d.propeller ? d.propeller.at[0] - 0.01 : d.box.min[0], more ? Math.max(more.x[0], d.box.min[0] - long) : Infinity) - grow;
  const x1 = Math.max(d.box.max[0], more ? Math.min(more.x[1], d.box.max[0] + long) : -Infinity) + grow;
  const reach = d.propeller ? d.propeller.diameter / 2 : 0;
  const y1 = Math.max(half, reach, more ? Math.min(more.out, 1.5 * half) : 0);
  const propZ = d.propeller?.at[2] ?? 0;
  const z0 = Math.min(d.box.min[2], propZ - reach, d.hook ? d.hook.at[2] : 0, more ? Math.max(more.up[0], d.box.min[2] - high) : Infinity) - grow;
  const z1 = Math.max(d.box.max[2], propZ + reach, more ? Math.min(more.up[1], d.box.max[2] + high) : -Infinity) + grow;
  const margin = width < 500 ? 16 : 46; // room for the span's dimension line
  const scale = Math.max(1, Math.min((width - 2 * margin) / (x1 - x0), tall / (2 * y1 + z1 - z0)));
  const planH = 2 * y1 * scale, sideH = (z1 - z0) * scale;
  const gap = 30;
  const planTop = headroom, sideTop = planTop + planH + gap;
  const labels = 96;
  return {
    width, height: sideTop + sideH + labels, scale,
    left: (width - (x1 - x0) * scale) / 2 - x0 * scale,
    planZero: planTop + planH / 2, sideZero: sideTop + z1 * scale,
    plan: { top: planTop, bottom: planTop + planH }, side: { top: sideTop, bottom: sideTop + sideH }, labels,
  };
}

export const px = (f: Frame, x: number): number => f.left + x * f.scale;
export const planY = (f: Frame, y: number): number => f.planZero - y * f.scale;
export const sideY = (f: Frame, z: number): number => f.sideZero - z * f.scale;

const r1 = (v: number): number => Math.round(v * 10) / 10;

/** A closed outline as a path. */
export function outline(points: Point[], fx: (a: number) => number, fy: (b: number) => number): string {
  if (!points.length) return "";
  return "M" + points.map(([a, b]) => `${r1(fx(a))} ${r1(fy(b))}`).join("L") + "Z";
}

/** A box's rectangle in a view. */
export function boxIn(f: Frame, view: "plan" | "side", at: Place, size: Place): { x: number; y: number; w: number; h: number } {
  const w = size[0] * f.scale, h = (view === "plan" ? size[1] : size[2]) * f.scale;
  const cy = view === "plan" ? planY(f, at[1]) : sideY(f, at[2]);
  return { x: px(f, at[0]) - w / 2, y: cy - h / 2, w, h };
}

/** A box whose sides overrun their corners a little, as a draughtsman leaves them. */
export function overrun(b: { x: number; y: number; w: number; h: number }, by = 3): string {
  const { x, y, w, h } = b;
  return `M${r1(x - by)} ${r1(y)}H${r1(x + w + by)}M${r1(x - by)} ${r1(y + h)}H${r1(x + w + by)}M${r1(x)} ${r1(y - by)}V${r1(y + h + by)}M${r1(x + w)} ${r1(y - by)}V${r1(y + h + by)}`;
}

/** Puts labels in rows so that none covers another: left edges and rows. */
export function inRows(wanted: { at: number; width: number }[], from: number, to: number, rows: number): { x: number; row: number }[] {
  const order = wanted.map((w, i) => ({ ...w, i })).sort((a, b) => a.at - b.at);
  const ends: number[] = Array.from({ length: rows }, () => from);
  const out: { x: number; row: number }[] = wanted.map(() => ({ x: 0, row: 0 }));
  for (const o of order) {
    const x0 = Math.max(from, Math.min(to - o.width, o.at - o.width / 2));
    // The row that lets it stand nearest to its place.
    let best = 0;
    for (let r = 1; r < rows; r++) if (Math.max(ends[r]!, x0) < Math.max(ends[best]!, x0) - 1) best = r;
    const x = Math.max(ends[best]!, x0);
    ends[best] = x + o.width + 12;
    out[o.i] = { x, row: best };
  }
  return out;
}

/** A round length for the scale bar: about a fifth of the width. */
export function barLength(f: Frame): number {
  const want = f.width / 5 / f.scale;
  const p = 10 ** Math.floor(Math.log10(want));
  return [5, 2, 1].map((k) => k * p).find((v) => v <= want) ?? p;
}
