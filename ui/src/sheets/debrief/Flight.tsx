// A flight as the log tells it: from above, its speed and its height over time,
// one moment marked in all three.
import { CopyDrawn } from "../../plot/copy";
import { useState } from "preact/hooks";
import { copySvg } from "../../bits/PageView";
import { useWidth } from "../../draft/Drawing";
import { Plot, curve } from "../../plot/Plot";
import { figures, sayQuantity, scaleOf } from "../../state/say";
import type { DrawnLog, LogBody } from "../../wire/debrief";
import type { Answer } from "../../wire/types";

const chartOf = (charts: Answer["charts"], l: DrawnLog, what: string) => charts?.find((c) => c.title === `${l.name}: ${what}`);
const one = (value: number | null | undefined, unit: string): string => sayQuantity({ value: value ?? null, unit }).full;

/** The nearest point of the curves that has a place. */
export function nearest(l: DrawnLog, t: number, of: (number | null)[] = l.ground_speed_m_s): number {
  let best = -1;
  for (let i = 0; i < l.t_s.length; i++) if (of[i] !== null && of[i] !== undefined && (best < 0 || Math.abs(l.t_s[i]! - t) < Math.abs(l.t_s[best]! - t))) best = i;
  return best;
}

/** Indexes from one time to another. */
function between(l: DrawnLog, from: number, to: number): number[] {
  const out: number[] = [];
  for (let i = 0; i < l.t_s.length; i++) if (l.t_s[i]! >= from && l.t_s[i]! <= to) out.push(i);
  return out;
}

export function Flight({ l, b, charts }: { l: DrawnLog; b: LogBody; charts: Answer["charts"] }) {
  const first = l.t_s[0] ?? 0, last = l.t_s[l.t_s.length - 1] ?? 1;
  const pair = b.pairs?.[b.best_pair] ?? null;
  const [t, setT] = useState(() => b.peak?.at_s ?? pair?.passes[0].from_s ?? (first + last) / 2);
  const i = nearest(l, t);
  const phase = b.phases?.find((p) => t >= p.from_s && t <= p.to_s)?.kind ?? "";
  const v = scaleOf("m/s", 1), m = scaleOf("m", 50);
  const spoken = i < 0 ? "" : `${figures(t)} s${phase ? ", " + phase : ""}: ${sayQuantity({ value: l.ground_speed_m_s[i]!, low: l.ground_low_m_s[i] ?? null, high: l.ground_high_m_s[i] ?? null, unit: "m/s" }).full} over the ground${l.airspeed_m_s.length ? `, ${one(l.airspeed_m_s[i], "m/s")} through the air` : ""}${l.height_m.length ? `, ${one(l.height_m[i], "m")} up` : ""}`;
  const cursor = (fx: (x: number) => number, h: number) => <path class="moment-line" d={`M${fx(t)} 24V${24 + h}`} />;
  const spans = (fx: (x: number) => number, w: number, h: number) => pair?.passes.map((p, k) => <g><rect class="pass-span" x={fx(p.from_s)} y={24} width={Math.max(2, fx(p.to_s) - fx(p.from_s))} height={h} fill="url(#hatch-wide)" /><text class="label" x={Math.min(fx((p.from_s + p.to_s) / 2), w + 30)} y={36 + (k % 2) * 14} text-anchor="middle" font-size="12">pass {k + 1}</text></g>);
  return (
    <div class="flight">
      <div class="plots">
        {l.east_m.some((x) => x !== null) ? <Above l={l} b={b} at={i} copy={chartOf(charts, l, "path over the field")} /> : null}
        <div>
          <Plot title="Speed, with its 90 % interval" say={`Speed over time. ${b.two_way_airspeed ? "Two-way airspeed " + sayQuantity(b.two_way_airspeed).full : ""}`} x={{ label: "time since the log's start, s" }} y={{ label: v.unit, min: 0, k: v.k }} height={260} copy={chartOf(charts, l, "speed over the ground")}
            series={[{ kind: "band", x: l.t_s, y: l.ground_low_m_s, y2: l.ground_high_m_s }, { name: l.airspeed_m_s.length ? "over ground" : "", strong: true, x: l.t_s, y: l.ground_speed_m_s }, ...(l.airspeed_m_s.length ? [{ name: "through air", ink: 1, x: l.t_s, y: l.airspeed_m_s }] : [])]}>
            {(fx, _fy, w, h) => <>{spans(fx, w, h)}{cursor(fx, h)}</>}
          </Plot>
          {l.height_m.length ? <Plot title="Height, and energy height: falling, height or speed is being spent" x={{ label: "time since the log's start, s" }} y={{ label: m.unit, min: Math.min(0, ...l.height_m.map((h) => h ?? 0)), k: m.k }} height={210} copy={chartOf(charts, l, "energy height")}
            series={[{ name: "height", strong: true, x: l.t_s, y: l.height_m }, { name: "energy", ink: 1, x: l.t_s, y: l.energy_height_m }]}>
            {(fx, _fy, _w, h) => cursor(fx, h)}
          </Plot> : null}
        </div>
      </div>
      <div class="moment no-print">
        <label for="moment">Moment: <output for="moment">{spoken}</output></label>
        <input id="moment" type="range" min={first} max={last} step={Math.max(0.1, (last - first) / 2000)} value={t} aria-valuetext={spoken} onInput={(e) => setT(e.currentTarget.valueAsNumber)} />
      </div>
      {b.phases?.length ? <Phases b={b} first={first} last={last} t={t} /> : null}
    </div>
  );
}

/** The way over the ground, north up, with the wind and the passes. */
function Above({ l, b, at, copy }: { l: DrawnLog; b: LogBody; at: number; copy: { name: string; svg: string } | undefined }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const es = l.east_m.filter((x): x is number => x !== null), ns = l.north_m.filter((x): x is number => x !== null);
  const pad = 40, deep = w < 480 ? 330 : 460;
  const e0 = Math.min(0, ...es), e1 = Math.max(0, ...es), n0 = Math.min(0, ...ns), n1 = Math.max(0, ...ns);
  const k = Math.min((w - 2 * pad) / Math.max(1, e1 - e0), (deep - 2 * pad) / Math.max(1, n1 - n0));
  const h = Math.max(150, (n1 - n0) * k + 2 * pad) + 86;
  const fx = (e: number): number => (w - (e1 - e0) * k) / 2 + (e - e0) * k, fy = (n: number): number => 86 + pad + ((h - 86 - 2 * pad) - (n1 - n0) * k) / 2 + (n1 - n) * k;
  const pair = b.pairs?.[b.best_pair] ?? null;
  const place = (t: number): [number, number] | null => { const i = nearest(l, t, l.east_m); return i < 0 ? null : [fx(l.east_m[i]!), fy(l.north_m[i]!)]; };
  const u = scaleOf("m", Math.max(2, (e1 - e0) / 4)), step = nice(Math.max(1, (w / 4 / k) * u.k)) / u.k;
  const down = b.landing ? place(b.landing.at_s) : null, far = b.reach ? place(b.reach.farthest_at_s) : null, up = b.launch ? place(b.launch.at_s) : null;
  const say = `The flight from above, north up.${b.wind ? ` Wind ${sayQuantity(b.wind.speed).full} from ${Math.round(b.wind.from_deg)} degrees.` : ""}${b.reach ? ` Farthest ${sayQuantity(b.reach.farthest).full}.` : ""}`;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={h} role="img" aria-label={say} class="flight-above">
        <g class="squares"><path d={gridOf(e0, e1, n0, n1, step, fx, fy, w, h)} /></g>
        <path class="curve flight-way" d={curve(l.east_m, l.north_m, fx, fy)} />
        {pair?.passes.map((p, j) => {
          const at = between(l, p.from_s, p.to_s).filter((i) => l.east_m[i] !== null);
          const mid = at[at.length >> 1];
          if (mid === undefined) return null;
          const x = fx(l.east_m[mid]!), y = fy(l.north_m[mid]!), a = at[Math.max(0, (at.length >> 1) - 1)]!, dx = x - fx(l.east_m[a]!), dy = y - fy(l.north_m[a]!), q = Math.hypot(dx, dy) || 1;
          // The name stands to the pilot's left of the way flown, so two opposite passes keep apart.
          const ox = (dy / q) * 26, oy = (-dx / q) * 26;
          return <g><path class="curve flight-pass" d={curve(at.map((i) => l.east_m[i]!), at.map((i) => l.north_m[i]!), fx, fy)} marker-end="url(#arrow)" /><path class="leader" d={`M${x} ${y}L${x + ox * 0.55} ${y + oy * 0.55}`} /><circle class="pin" cx={x + ox} cy={y + oy} r="10" /><text class="label label-strong" x={x + ox} y={y + oy + 4} text-anchor="middle" font-size="12">{j + 1}</text></g>;
        })}
        {up ? <Spot at={up} text="off" side={-1} w={w} /> : null}
        {down ? <Spot at={down} text="down" side={1} w={w} /> : null}
        {far ? <Spot at={far} text="farthest" side={-1} w={w} /> : null}
        <path class="ink2" d={`M${fx(0) - 6} ${fy(0) + 5}L${fx(0)} ${fy(0) - 7}L${fx(0) + 6} ${fy(0) + 5}Z`} /><text class="label" x={fx(0) + 9} y={fy(0) + 16} font-size="12">start</text>
        {at >= 0 && l.east_m[at] !== null ? <g class="moment-mark"><circle cx={fx(l.east_m[at]!)} cy={fy(l.north_m[at]!)} r="7" /><path d={`M${fx(l.east_m[at]!) - 12} ${fy(l.north_m[at]!)}h24M${fx(l.east_m[at]!)} ${fy(l.north_m[at]!) - 12}v24`} /></g> : null}
        <Wind b={b} w={w} />
        <path class="ink2" d={`M12 ${h - 8}h${step * k}m0 -5v10M12 ${h - 13}v10`} /><text class="label" x={18 + step * k} y={h - 4} font-size="12">{figures(step * u.k)} {u.unit}</text>
      </svg>) : null}</div>
      <figcaption>From above, north up{pair ? "; the best pair of passes in bold" : ""}{copy ? <> <button type="button" class="word-button no-print" onClick={() => void copySvg(copy.svg, copy.name)}>Copy as SVG</button></> : null}</figcaption></figure>
  );
}

function Spot({ at, text, side, w }: { at: [number, number]; text: string; side: number; w: number }) {
  const right = at[0] < w - 80;
  return <g><circle class="pin" cx={at[0]} cy={at[1]} r="4" /><path class="leader" d={`M${at[0]} ${at[1]}l${right ? 10 : -10} ${side * 13}`} /><text class="label" x={at[0] + (right ? 12 : -12)} y={at[1] + side * 17 + 4} text-anchor={right ? "start" : "end"} font-size="12">{text}</text></g>;
}

/** An arrow as the wind blows, the doubt of its direction as a wedge. */
function Wind({ b, w }: { b: LogBody; w: number }) {
  const x = 44, y = 44, r = 34;
  if (!b.wind) return <text class="label" x={8} y={20} font-size="12">{w > 420 ? `wind not known: ${(b.wind_refused ?? "").slice(0, 70)}` : "wind not known"}</text>;
  const way = ((b.wind.from_deg + 180) * Math.PI) / 180, sd = Math.min(1.4, (1.645 * b.wind.from_sd_deg * Math.PI) / 180);
  const at = (a: number, q: number): string => `${(x + q * Math.sin(a)).toFixed(1)} ${(y - q * Math.cos(a)).toFixed(1)}`;
  const tip = way, tail = way + Math.PI, [side, edge] = [Math.PI / 11, r - 12];
  return (
    <g class="wind">
      <circle class="squares-one" cx={x} cy={y} r={r} /><text class="label" x={x} y={y - r + 4} text-anchor="middle" font-size="11">N</text>
      <path class="wind-wedge" fill="url(#hatch)" d={`M${at(tail, 0)}L${at(tail - sd, r)}A${r} ${r} 0 0 1 ${at(tail + sd, r)}Z`} />
      <path class="ink3" d={`M${at(tail, r)}L${at(tip, r)}M${at(tip - side, edge)}L${at(tip, r)}L${at(tip + side, edge)}`} />
      <text class="label label-strong" x={x + r + 12} y={y - 6} font-size="13">wind {sayQuantity(b.wind.speed).full}</text>
      <text class="label" x={x + r + 12} y={y + 12} font-size="12">from {Math.round(b.wind.from_deg)}° ± {figures(2 * b.wind.from_sd_deg, 2 * b.wind.from_sd_deg)}°{b.wind.windows && b.wind.windows.length > 1 ? `, in ${b.wind.windows.length} windows` : ""}</text>
    </g>
  );
}

function gridOf(e0: number, e1: number, n0: number, n1: number, step: number, fx: (v: number) => number, fy: (v: number) => number, w: number, h: number): string {
  let d = "";
  for (let e = Math.ceil((e0 - 5 * step) / step) * step; e <= e1 + 5 * step; e += step) { const x = fx(e); if (x >= 0 && x <= w) d += `M${x.toFixed(1)} 90V${h - 22}`; }
  for (let n = Math.ceil((n0 - 5 * step) / step) * step; n <= n1 + 5 * step; n += step) { const y = fy(n); if (y >= 90 && y <= h - 22) d += `M0 ${y.toFixed(1)}H${w}`; }
  return d;
}
function nice(v: number): number { const p = 10 ** Math.floor(Math.log10(v)); return [5, 2, 1].map((k) => k * p).find((s) => s <= v) ?? p; }

/** The phases of the flight in their order, as a ribbon. */
function Phases({ b, first, last, t }: { b: LogBody; first: number; last: number; t: number }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const fx = (s: number): number => 1 + ((s - first) / Math.max(1e-9, last - first)) * (w - 2);
  const fills = ["none", "url(#hatch)", "url(#hatch-dots)", "url(#hatch-wide)"];
  const kinds = [...new Set(b.phases!.map((p) => p.kind))];
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={48} role="img" aria-label={"Phases: " + b.phases!.map((p) => `${p.kind} from ${figures(p.from_s)} to ${figures(p.to_s)} s`).join(", ")}>
        {b.phases!.map((p) => { const x = fx(p.from_s), wide = fx(p.to_s) - x; return <g><rect class="ink1 phase" x={x} y={4} width={Math.max(1, wide)} height={16} fill={fills[kinds.indexOf(p.kind) % fills.length]} /><title>{p.kind}</title>{wide > p.kind.length * 6.2 + 4 ? <text class="label" x={x + wide / 2} y={36} text-anchor="middle" font-size="12">{p.kind}</text> : null}</g>; })}
        <path class="moment-line" d={`M${fx(t)} 0V24`} />
      </svg>) : null}</div><figcaption>Phases of the flight <CopyDrawn name="flight" /></figcaption></figure>
  );
}
