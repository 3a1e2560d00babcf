// A plot as one draws it on squared paper: thin axes, curves told apart by
// dash and named at their ends. Computes nothing.
import { scaleLinear } from "d3-scale";
import type { ComponentChildren } from "preact";
import { useWidth } from "../draft/Drawing";
import { copySvg } from "../bits/PageView";
import { CopyDrawn } from "./copy";

export interface Series {
  name?: string; kind?: "line" | "dots" | "band" | "thin";
  x: ArrayLike<number | null>; y: ArrayLike<number | null>; y2?: ArrayLike<number | null>;
  ink?: number; fail?: boolean; strong?: boolean; cross?: boolean;
}
export interface Axis { label: string; min?: number | undefined; max?: number | undefined; k?: number }
export interface Rule { at: number; text: string; axis: "x" | "y"; red?: boolean }

interface Props {
  title: string; say?: string; x: Axis; y: Axis; series: Series[]; rules?: Rule[]; height?: number; equal?: boolean; ground?: boolean;
  copy?: { name: string; svg: string } | undefined; children?: (fx: (v: number) => number, fy: (v: number) => number, w: number, h: number) => ComponentChildren;
}

const dashes = ["", "9 4", "3 3", "12 3 2 3", "1.5 3", "16 5"];

function extent(all: Iterable<number>): [number, number] {
  let low = Infinity, high = -Infinity;
  for (const v of all) { if (v < low) low = v; if (v > high) high = v; }
  if (!(low <= high)) return [0, 1];
  if (low === high) return [low - Math.abs(low || 1) * 0.1, high + Math.abs(high || 1) * 0.1];
  return [low, high];
}

function* numbers(s: Series[], key: "x" | "y"): Iterable<number> {
  for (const o of s) {
    for (const a of key === "x" ? [o.x] : [o.y, o.y2]) {
      if (!a) continue;
      for (let i = 0; i < a.length; i++) { const v = a[i]; if (v !== null && v !== undefined && Number.isFinite(v)) yield v; }
    }
  }
}

/** Points as a path; gaps stay gaps. */
export function curve(x: ArrayLike<number | null>, y: ArrayLike<number | null>, fx: (v: number) => number, fy: (v: number) => number): string {
  let d = "", pen = "M";
  for (let i = 0; i < x.length; i++) {
    const a = x[i], b = y[i];
    if (a === null || b === null || a === undefined || b === undefined || !Number.isFinite(a) || !Number.isFinite(b)) { pen = "M"; continue; }
    d += `${pen}${fx(a).toFixed(1)} ${fy(b).toFixed(1)}`;
    pen = "L";
  }
  return d;
}

export function Plot({ title, say, x, y, series, rules = [], height = 300, equal = false, ground = false, copy, children }: Props) {
  const [ref, width] = useWidth<HTMLDivElement>();
  return (
    <figure class="plot">
      <div ref={ref}>{width > 0 ? <Inner width={width} {...{ title, x, y, series, rules, height, equal, ground, children }} {...(say ? { say } : {})} /> : <div class="plot-blank" />}</div>
      <figcaption>{title}{copy ? <> <button type="button" class="word-button no-print" onClick={() => void copySvg(copy.svg, copy.name)}>Copy as SVG</button></> : <> <CopyDrawn name={title.toLowerCase().replace(/[^a-z0-9]+/g, "-").slice(0, 40)} /></>}</figcaption>
    </figure>
  );
}

function Inner({ width, title, say, x, y, series, rules, height, equal, ground, children }: Required<Omit<Props, "copy" | "say" | "children">> & { say?: string; width: number; children?: Props["children"] }) {
  const small = width < 480, size = small ? 10.5 : 12;
  const named = series.filter((s) => s.name && s.kind !== "band" && s.kind !== "thin");
  const end = named.length ? Math.min(width * 0.3, Math.max(...named.map((s) => s.name!.length)) * size * 0.52 + 10) : 14;
  const left = small ? 38 : 50, bottom = 40, top = 24;
  const kx = x.k ?? 1, ky = y.k ?? 1;
  let [x0, x1] = extent(numbers(series, "x")), [y0, y1] = extent(numbers(series, "y"));
  for (const r of rules) if (r.axis === "y") { y0 = Math.min(y0, r.at); y1 = Math.max(y1, r.at); } else { x0 = Math.min(x0, r.at); x1 = Math.max(x1, r.at); }
  x0 = x.min ?? x0; x1 = x.max ?? x1; y0 = y.min ?? y0; y1 = y.max ?? y1;
  const w = width - left - end;
  let h = height - top - bottom;
  if (equal) h = Math.max(60, Math.min(460, (w * (y1 - y0)) / Math.max(1e-9, x1 - x0)));
  const sx = scaleLinear([x0 * kx, x1 * kx], [left, left + w]), sy = scaleLinear([y0 * ky, y1 * ky], [top + h, top]);
  const fx = (v: number): number => sx(v * kx), fy = (v: number): number => sy(v * ky);
  const tx = sx.ticks(small ? 4 : 7), ty = sy.ticks(Math.max(2, Math.round(h / 55)));
  const fmx = sx.tickFormat(small ? 4 : 7), fmy = sy.tickFormat(Math.max(2, Math.round(h / 55)));
  // Names at the curves' ends, kept apart.
  const names = named.map((s) => {
    let i = s.x.length - 1;
    while (i > 0 && !(Number.isFinite(s.y[i] ?? NaN) && s.y[i] !== null)) i--;
    return { s, y: fy(s.y[i] ?? y0), x: fx(s.x[i] ?? x1) };
  }).filter((n) => Number.isFinite(n.y) && Number.isFinite(n.x)).sort((a, b) => a.y - b.y); // a curve without a point has no name to stand at
  let last = -Infinity;
  const placed = names.map((n) => { const at = Math.max(n.y, last + size + 1); last = at; return { ...n, at }; });
  return (
    <svg width={width} height={top + h + bottom} viewBox={`0 0 ${width} ${top + h + bottom}`} role="img" aria-label={say ?? title}>
      <g class="squares">
        {tx.map((t) => <path d={`M${sx(t)} ${top}V${top + h}`} />)}
        {ty.map((t) => <path d={`M${left} ${sy(t)}H${left + w}`} />)}
      </g>
      {series.map((s) => {
        const ink = s.ink ?? 0, cls = `curve curve-${s.kind ?? "line"} curve-ink${ink % 6}${s.fail ? " curve-fail" : ""}${s.strong ? " curve-strong" : ""}`;
        if (s.kind === "band" && s.y2) return <path class={cls} fill={s.fail ? "url(#hatch-red)" : "url(#hatch)"} d={bandPath(s, fx, fy)} />;
        if (s.kind === "dots") return <g class={cls}>{Array.from({ length: s.x.length }, (_, i) => { const a = s.x[i], b = s.y[i]; return a === null || b === null || a === undefined || b === undefined ? null : <circle cx={fx(a)} cy={fy(b)} r="3" />; })}</g>;
        const n = s.x.length - 1;
        return <g><path class={cls} stroke-dasharray={dashes[ink % dashes.length] || undefined} d={curve(s.x, s.y, fx, fy)} />{s.cross && n >= 0 ? <path class="curve curve-fail curve-cross" d={crossAt(fx(s.x[n] ?? 0), fy(s.y[n] ?? 0))} /> : null}</g>;
      })}
      {ground ? <Ground x={left} y={fy(0)} w={w} /> : null}
      {rules.map((r, i) => r.axis === "x"
        ? <g class={r.red ? "rule rule-red" : "rule"}><path d={`M${fx(r.at)} ${top}V${top + h}`} /><text x={fx(r.at) + (fx(r.at) > left + w * 0.7 ? -4 : 4)} y={top + 11 + (i % 3) * (size + 1)} font-size={size} text-anchor={fx(r.at) > left + w * 0.7 ? "end" : "start"}>{r.text}</text></g>
        : <g class={r.red ? "rule rule-red" : "rule"}><path d={`M${left} ${fy(r.at)}H${left + w}`} /><text x={left + 5} y={fy(r.at) < top + size + 4 ? fy(r.at) + size + 2 : fy(r.at) - 4} font-size={size}>{r.text}</text></g>)}
      <path class="axis" d={`M${left} ${top - 5}V${top + h}H${left + w + 5}`} />
      <g class="ticks" font-size={size}>
        {tx.map((t) => <text x={sx(t)} y={top + h + size + 4} text-anchor="middle">{fmx(t)}</text>)}
        {ty.map((t) => <text x={left - 6} y={sy(t) + size * 0.35} text-anchor="end">{fmy(t)}</text>)}
        <text class="axis-name" x={left + w} y={top + h + 2 * size + 8} text-anchor="end">{x.label}</text>
        <text class="axis-name" x={4} y={12}>{y.label}</text>
      </g>
      {placed.map((n) => <g><path class="leader" d={`M${n.x + 2} ${n.y}L${left + w + 5} ${n.at - 3}`} /><text class={`label${n.s.fail ? " label-red" : ""}`} x={left + w + 7} y={n.at + 1} font-size={size}>{n.s.name}</text></g>)}
      {children?.(fx, fy, w, h)}
    </svg>
  );
}

export const crossAt = (x: number, y: number): string => `M${x - 4} ${y - 4}L${x + 4} ${y + 4}M${x + 4} ${y - 4}L${x - 4} ${y + 4}`;

function bandPath(s: Series, fx: (v: number) => number, fy: (v: number) => number): string {
  const up: string[] = [], back: string[] = [];
  for (let i = 0; i < s.x.length; i++) {
    const a = s.x[i], b = s.y[i], c = s.y2?.[i];
    if (a == null || b == null || c == null) continue;
    up.push(`${fx(a).toFixed(1)} ${fy(b).toFixed(1)}`);
    back.unshift(`${fx(a).toFixed(1)} ${fy(c).toFixed(1)}`);
  }
  return up.length ? `M${up.join("L")}L${back.join("L")}Z` : "";
}

/** The ground: a line with hatching under it. */
export function Ground({ x, y, w }: { x: number; y: number; w: number }) {
  let d = "";
  for (let i = 0; i < w - 6; i += 9) d += `M${x + i + 7} ${y}L${x + i} ${y + 7}`;
  return <g class="ground"><path class="ground-line" d={`M${x} ${y}H${x + w}`} /><path class="ground-hatch" d={d} /></g>;
}
