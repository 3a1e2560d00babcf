import { CopyDrawn } from "../../plot/copy";
import { crossAt, curve, Ground } from "../../plot/Plot";
import { useWidth } from "../../draft/Drawing";
import { figures, scaleOf } from "../../state/say";
import type { Flown } from "./fan";

/** The launches from the side: those that fly in ink, those that fail in red to
    where they end. Equal scale while the launch is low enough to show so. */
export function FanPicture({ f }: { f: Flown }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  return <figure class="plot"><div ref={ref} class="fan">{w > 0 ? <Picture f={f} w={w} /> : <div class="plot-blank" />}</div>
    <figcaption><b class="fan-odds">{f.n ? Math.round((100 * f.hits) / f.n) : 0} % fly.</b> {f.launches.length} launches from the side, failed ones in red to where they end <CopyDrawn name="launch-fan" /></figcaption></figure>;
}

function Picture({ f, w }: { f: Flown; w: number }) {
  const small = w < 520;
  let x1 = f.fan.stake?.x ?? 5, top = 3, x0 = -1;
  for (const l of f.launches) for (let i = 0; i < l.x.length; i++) { if (l.x[i]! > x1) x1 = l.x[i]!; if (l.x[i]! < x0) x0 = l.x[i]!; if (l.h[i]! > top) top = l.h[i]!; }
  x1 = Math.min(x1, 90); top = Math.min(top * 1.06, 26);
  const left = small ? 30 : 40, right = 12, head = 16;
  const k = (w - left - right) / (x1 - x0);
  const tall = Math.max(small ? 190 : 260, Math.min(small ? 300 : 520, top * k));
  const ky = tall / top, equal = Math.abs(ky / k - 1) < 0.08;
  const fx = (x: number): number => left + (x - x0) * k, fy = (h: number): number => head + tall - h * ky;
  const flew = f.launches.filter((l) => l.ok), failed = f.launches.filter((l) => !l.ok);
  const path = (ls: typeof flew): string => ls.map((l) => curve(l.x, l.h, fx, fy)).join("");
  const ends = failed.map((l) => { const i = l.x.length - 1; return { x: fx(Math.min(l.x[i] ?? 0, x1)), y: fy(Math.max(0, l.h[i] ?? 0)), class: l.class }; });
  // One name for each way to fail, at the middle of its crosses.
  const groups = new Map<string, { x: number[]; y: number[] }>();
  for (const e of ends) { const g = groups.get(e.class) ?? { x: [], y: [] }; g.x.push(e.x); g.y.push(e.y); groups.set(e.class, g); }
  const mid = (a: number[]): number => [...a].sort((p, q) => p - q)[a.length >> 1] ?? 0;
  const names = [...groups].sort((a, b) => b[1].x.length - a[1].x.length).slice(0, 4).map(([c, g]) => ({ text: f.failures.get(c)?.say ?? c, n: g.x.length, x: mid(g.x), y: mid(g.y) }));
  // The names stand below the ground, clear of the lines, each where its line
  // comes down; the rightmost first, so that no line passes through a name above.
  const size = small ? 11.5 : 13, pitch = small ? 18 : 19;
  const stake = f.fan.stake ? [{ text: "stake", n: 0, x: fx(f.fan.stake.x), y: fy(0) }] : [];
  const begins: number[] = []; // of each row, where its leftmost name begins
  const below = [...names, ...stake].sort((a, b) => b.x - a.x).map((m) => {
    const text = m.n ? `${m.text} (${m.n})` : m.text, wide = 0.53 * size * text.length;
    const from = Math.max(left, Math.min(m.x + 6, w - right - wide));
    let row = begins.findIndex((e) => from + wide + 14 < e);
    if (row < 0) row = begins.length;
    begins[row] = Math.min(from, m.x);
    return { ...m, text, from, at: fy(0) + 42 + row * pitch };
  });
  const h = head + tall + 44 + (begins.length ? begins.length * pitch + 2 : 0), foot = h - 6;
  const tick = niceStep((x1 - x0) / (small ? 4 : 8)), tickY = niceStep(top / 5);
  const unit = scaleOf("m", 5);
  const nominal = f.fan.nominal;
  const hand = f.launches[0]?.h[0] ?? nominal?.h[0] ?? 1.5;
  return (
    <svg width={w} height={h} viewBox={`0 0 ${w} ${h}`} role="img" data-n={f.n} data-first={f.launches.length}
      aria-label={`${f.launches.length} launches drawn from the side: ${flew.length} fly away, ${failed.length} fail${names.length ? ": " + names.map((n) => `${n.n} ${n.text}`).join(", ") : ""}`}>
      <g class="squares">{steps(x0, x1, tick).map((t) => <path d={`M${fx(t)} ${head}V${fy(0)}`} />)}{steps(0, top, tickY).map((t) => <path d={`M${left} ${fy(t)}H${w - right}`} />)}</g>
      <clipPath id="fan-clip"><rect x={left} y={head} width={w - left - right} height={tall + 8} /></clipPath>
      <g clip-path="url(#fan-clip)">
        <path class="curve fan-flew" d={path(flew)} />
        <path class="curve fan-failed" d={path(failed)} />
        {nominal ? <path class="curve fan-nominal" d={curve(nominal.x, nominal.h, fx, fy)} /> : null}
        <path class="curve curve-fail curve-cross" d={ends.map((e) => crossAt(e.x, e.y)).join("")} />
      </g>
      <Ground x={left} y={fy(0)} w={w - left - right} />
      <Thrower x={fx(0)} ground={fy(0)} hand={fy(hand)} />
      {f.fan.stake ? <path class="ink3" d={`M${fx(f.fan.stake.x)} ${fy(0) + 12}V${fy(f.fan.stake.h) - 8}`} /> : null}
      {below.map((m) => <path class="leader" d={`M${m.x} ${m.y + (m.n ? 6 : 12)}${m.from > m.x ? `V${m.at - 4}h4` : `V${m.at - size}`}`} />)}
      <g class="ticks" font-size={small ? 10.5 : 12}>
        {steps(x0, x1, tick).map((t) => <text class="label-back" x={fx(t)} y={fy(0) + 23} text-anchor="middle">{figuresShort(t * unit.k)}</text>)}
        {steps(0, top, tickY).slice(1).map((t) => <text x={left - 5} y={fy(t) + 4} text-anchor="end">{figuresShort(t * unit.k)}</text>)}
        <text class="axis-name" x={w - right} y={foot} text-anchor="end">{unit.unit} along the launch{equal ? "" : `; heights drawn ${figures(ky / k)} times as tall`}</text>
        <text class="axis-name" x={left + 5} y={head + 4}>{unit.unit} up</text>
      </g>
      {below.map((m) => <text class={`label label-back${m.n ? " label-red" : ""}`} x={m.from} y={m.at} font-size={size}>{m.text}</text>)}
    </svg>
  );
}

/** Somebody holding her up: drawn, not measured. */
function Thrower({ x, ground, hand }: { x: number; ground: number; hand: number }) {
  const tall = Math.max(30, (ground - hand) * 1.08), bx = x - tall * 0.16, neck = ground - tall * 0.8;
  return (
    <g class="thrower" aria-hidden="true">
      <circle cx={bx} cy={neck - tall * 0.09} r={tall * 0.085} />
      <path d={`M${bx} ${neck}V${ground - tall * 0.42}L${bx - tall * 0.13} ${ground}M${bx} ${ground - tall * 0.42}L${bx + tall * 0.13} ${ground}M${bx} ${neck + 3}L${x} ${hand + 2}M${bx} ${neck + 3}L${bx - tall * 0.16} ${neck + tall * 0.24}`} />
    </g>
  );
}

function niceStep(v: number): number { const p = 10 ** Math.floor(Math.log10(v)); return [1, 2, 5, 10].map((k) => k * p).find((s) => s >= v) ?? 10 * p; }
function steps(a: number, b: number, s: number): number[] { const out: number[] = []; for (let t = Math.ceil(a / s) * s; t <= b + 1e-9; t += s) out.push(t); return out; }
const figuresShort = (v: number): string => `${Math.round(v * 10) / 10}`.replace("-", "\u2212");
