// Numbers for people: unit, interval, sensible digits.
import type { Intervals, Quantity } from "../wire/types";
import { units, type Units } from "./shop";

interface Scale { k: number; unit: string; digits?: number; add?: number }

const metric = (unit: string, size: number): Scale => {
  switch (unit) {
    case "m": return size < 2 ? { k: 1000, unit: "mm" } : size < 3000 ? { k: 1, unit: "m" } : { k: 0.001, unit: "km" };
    case "kg": return size < 2 ? { k: 1000, unit: "g" } : { k: 1, unit: "kg" };
    case "s": return size >= 120 ? { k: 1 / 60, unit: "min" } : { k: 1, unit: "s" };
    case "1": case "": return { k: 1, unit: "" };
    case "1/m": return { k: 1, unit: "/m" };
    default: return { k: 1, unit };
  }
};
const imperial = (unit: string, size: number): Scale => {
  switch (unit) {
    case "m": return size < 1 ? { k: 1 / 0.0254, unit: "in" } : size < 3000 ? { k: 1 / 0.3048, unit: "ft" } : { k: 1 / 1609.344, unit: "mi" };
    case "kg": return size < 0.9 ? { k: 1 / 0.028349523125, unit: "oz" } : { k: 1 / 0.45359237, unit: "lb" };
    case "N": return { k: 1 / 4.4482216152605, unit: "lbf" };
    case "m/s": return { k: 1 / 0.44704, unit: "mph" };
    case "K": return { k: 1.8, unit: "°F" };
    default: return metric(unit, size);
  }
};

/** The scale a quantity of that size is printed in. */
export function scaleOf(unit: string, size: number, u: Units = units.value): Scale {
  return u === "imperial" ? imperial(unit, size) : metric(unit, size);
}

/** Three figures or so, and never more than the doubt deserves. */
export function figures(v: number, spread = 0): string {
  const a = Math.abs(v) < 1e-9 ? 0 : Math.abs(v);
  let d = a >= 100 ? 0 : a >= 10 ? 1 : a >= 1 ? 2 : a === 0 ? 0 : Math.min(6, 2 - Math.floor(Math.log10(a)));
  if (spread > 0) d = Math.min(d, Math.max(0, 1 - Math.floor(Math.log10(spread))));
  const coarse = spread >= 100 ? 10 ** (Math.floor(Math.log10(spread)) - 1) : 1;
  const s = (coarse > 1 ? Math.round(v / coarse) * coarse : v).toFixed(d);
  return (Number(s) === 0 ? s.replace(/^-/, "") : s).replace("-", "\u2212");
}

/** Units that are written with a sign. */
const signs: Record<string, string> = { deg: "°", degC: "°C", us: "µs", "kg/m2": "kg/m²" };

export interface Said { value: string; interval: string; unit: string; full: string }

/** Says a quantity; shares (unit "1" and asked for) as percent. */
export function sayQuantity(q: Quantity | { value: number | null; low?: number | null; high?: number | null; unit: string; status?: string }, share = false, u: Units = units.value): Said {
  if (q.value === null || q.value === undefined || Number.isNaN(q.value)) {
    const why = q.status && q.status !== "ok" ? q.status : "not known";
    return { value: "\u2013", interval: "", unit: "", full: why };
  }
  const s = share && q.unit === "1" ? { k: 100, unit: "%" } : scaleOf(q.unit, Math.abs(q.value), u);
  const low = q.low ?? null, high = q.high ?? null;
  const spread = low !== null && high !== null ? Math.abs(high - low) * s.k : 0;
  const value = figures(q.value * s.k, spread);
  const unit = signs[s.unit] ?? s.unit;
  const some = spread > 1e-9 * Math.abs(q.value * s.k) && spread > 0;
  const interval = some ? `${figures(low! * s.k, spread)} to ${figures(high! * s.k, spread)}`
    : low !== null && high === null ? `${figures(low * s.k)} or more` : high !== null && low === null ? `${figures(high * s.k)} or less` : "";
  const glue = unit === "°" || unit === "" ? "" : "\u00a0";
  return { value, interval, unit, full: value + glue + unit + (interval ? ` (${interval})` : "") };
}

/** A row's number with its own interval, as a quantity; turned, its opposite. */
export function ofRow(row: object & { interval?: Intervals }, key: string, unit: string, turned = false): Quantity {
  const v = (row as Record<string, unknown>)[key];
  const value = typeof v === "number" ? v : null, [low, high] = row.interval?.[key] ?? [value, value];
  const minus = (x: number | null): number | null => (x === null ? null : -x);
  return turned ? { value: minus(value), low: minus(high), high: minus(low), unit } : { value, low, high, unit };
}

/** A moment counted from the release of the launch, in words. */
export function sayRelease(s: number): string {
  return s === 0 ? "at release" : `${Number(Math.abs(s).toFixed(2))}\u00a0s ${s < 0 ? "before" : "after"} release`;
}

/** A length in the drawing's own figures. */
export function sayLength(m: number, u: Units = units.value): string {
  return u === "imperial" ? `${figures(m / 0.0254)} in` : `${Math.round(m * 1000)} mm`.replace("-", "\u2212");
}

/** What --set takes for a length: never rounded coarser than 0.1 mm. */
export function setLength(m: number): string { return `${Math.round(m * 10000) / 10} mm`; }

export const shares = new Set(["balance", "launch-odds", "control-power", "trim", "sortie", "reserve"]);

export function sayLimit(l: { min: number | null; max: number | null }, unit: string, share: boolean, size: number): string {
  const s = share && unit === "1" ? { k: 100, unit: "%" } : scaleOf(unit, Math.abs(size || l.max || l.min || 0));
  const one = (v: number): string => {
    const t = figures(v * s.k).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "");
    const name = signs[s.unit] ?? s.unit;
    return t + (name && name !== "°" ? "\u00a0" : "") + name;
  };
  if (l.min !== null && l.max !== null) return `${one(l.min)} to ${one(l.max)}`;
  if (l.min !== null) return `at least ${one(l.min)}`;
  if (l.max !== null) return `at most ${one(l.max)}`;
  return "";
}

/** A sentence of what the server says without one: its first letter large, a stop at its end. */
export const sentence = (s: string): string => (s ? s[0]!.toUpperCase() + s.slice(1) + (/[.?!:]$/.test(s) ? "" : ".") : "");
