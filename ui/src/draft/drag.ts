// Moving a part: by pointer and by keys, within its range, with a preview of
// the balance on the way and one edit at the end.
import { signal } from "@preact/signals";
import { edit, preview, stopPreview } from "../state/shop";
import { sayLength, setLength } from "../state/say";
import type { Place } from "../wire/types";

export interface Movable {
  name: string;
  at: Place;
  mass: number; // of all its twins
  moves: { axis: "x" | "y" | "z"; path: string; low: number; high: number }[];
}

export interface Drag { name: string; at: Place; from: Place }
/** The part in the hand, if any. */
export const held = signal<Drag | null>(null);

const axes = { x: 0, y: 1, z: 2 } as const;
const clamp = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));
const round = (v: number): number => Math.round(v * 1000) / 1000;

/** A move on its way to the file: the drawing still shows the part where it was. */
let written: { name: string; at: Place } | null = null;
let writing: Promise<unknown> = Promise.resolve();
/** Where the part is in the file, as far as this page knows. */
const place = (m: Movable): Place => (written?.name === m.name ? written.at : m.at);

function setsOf(m: Movable, at: Place): string[] {
  return m.moves.filter((k) => round(at[axes[k.axis]]) !== round(place(m)[axes[k.axis]])).map((k) => `${k.path}=${setLength(at[axes[k.axis]])}`);
}

let next: (() => void) | null = null;
let frame = 0;
function soon(f: () => void): void {
  next = f;
  if (!frame) frame = requestAnimationFrame(() => { frame = 0; next?.(); next = null; });
}

function moveTo(m: Movable, want: Place): void {
  const at: Place = [...place(m)];
  for (const k of m.moves) at[axes[k.axis]] = round(clamp(want[axes[k.axis]], k.low, k.high));
  held.value = { name: m.name, at, from: m.at };
  const sets = setsOf(m, at);
  soon(() => { if (sets.length) void preview(sets); });
}

async function letGo(m: Movable): Promise<void> {
  const h = held.value;
  next = null;
  if (!h) return;
  const sets = setsOf(m, h.at);
  if (!sets.length) { held.value = null; stopPreview(); return; }
  const where = m.moves.map((k) => sayLength(h.at[axes[k.axis]])).join(", ");
  const mine = { name: m.name, at: h.at };
  written = mine;
  await (writing = writing.then(() => edit(sets, `${m.name} to ${where}`)));
  if (written === mine) written = null;
  if (held.value === h) held.value = null; // it may have been taken up again meanwhile
}

export function dropIt(): void {
  next = null;
  held.value = null;
  stopPreview();
}

/** Pointer handlers of a part in a view. */
export function pointer(m: Movable, view: "plan" | "side", scale: number) {
  let start: { x: number; y: number } | null = null;
  return {
    onPointerDown: (e: PointerEvent) => {
      if (e.button !== 0) return;
      e.preventDefault();
      (e.currentTarget as Element).setPointerCapture(e.pointerId);
      start = { x: e.clientX, y: e.clientY };
      (e.currentTarget as SVGElement).focus({ preventScroll: true });
      const was = place(m);
      held.value = { name: m.name, at: was, from: m.at };
      const el = e.currentTarget as SVGElement;
      const move = (ev: PointerEvent): void => {
        if (!start) return;
        const dx = (ev.clientX - start.x) / scale, up = (start.y - ev.clientY) / scale;
        moveTo(m, [was[0] + dx, view === "plan" ? was[1] + up : was[1], view === "side" ? was[2] + up : was[2]]);
      };
      const end = (keep: boolean) => (): void => {
        start = null;
        el.removeEventListener("pointermove", move);
        el.removeEventListener("pointerup", up);
        el.removeEventListener("pointercancel", gone);
        if (keep) void letGo(m);
        else dropIt();
      };
      const up = end(true), gone = end(false);
      el.addEventListener("pointermove", move);
      el.addEventListener("pointerup", up);
      el.addEventListener("pointercancel", gone);
    },
  };
}

let idle: ReturnType<typeof setTimeout> | undefined;
/** Keys: arrows 1 mm, with Shift 10 mm, Home and End the ends; Enter or a pause writes, Escape puts back. */
export function keys(m: Movable) {
  const now = (): Place => (held.value?.name === m.name ? held.value.at : place(m));
  return {
    onKeyDown: (e: KeyboardEvent) => {
      const step = e.shiftKey ? 0.01 : 0.001;
      const at: Place = [...now()];
      const mx = m.moves.find((k) => k.axis === "x"), mo = m.moves.find((k) => k.axis !== "x");
      const shift = (k: typeof mx, by: number): void => { if (k) at[axes[k.axis]] += by; };
      switch (e.key) {
        case "ArrowLeft": shift(mx ?? mo, -step); break;
        case "ArrowRight": shift(mx ?? mo, step); break;
        case "ArrowUp": shift(mo ?? mx, step); break;
        case "ArrowDown": shift(mo ?? mx, -step); break;
        case "Home": if (mx) at[0] = mx.low; break;
        case "End": if (mx) at[0] = mx.high; break;
        case "Escape": clearTimeout(idle); dropIt(); return;
        case "Enter": clearTimeout(idle); void letGo(m); return;
        default: return;
      }
      e.preventDefault();
      moveTo(m, at);
      clearTimeout(idle);
      idle = setTimeout(() => void letGo(m), 900);
    },
    onBlur: () => { if (held.value?.name === m.name && idle) { clearTimeout(idle); void letGo(m); } },
  };
}
