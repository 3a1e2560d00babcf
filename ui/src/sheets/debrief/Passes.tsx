// Passes there and back: each pair drawn as two opposite arrows of the speeds'
// lengths, with what the doubt is made of; and every straight run.
import { CopyDrawn } from "../../plot/copy";
import { useState } from "preact/hooks";
import { Quantity } from "../../bits/Quantity";
import { Mark } from "../../ink/marks";
import { useWidth } from "../../draft/Drawing";
import { figures, ofRow, sayQuantity, scaleOf } from "../../state/say";
import type { Budget, LogBody, Pair, TypedPass } from "../../wire/debrief";
import type { Quantity as Q } from "../../wire/types";

const one = (value: number | null, unit: string): string => sayQuantity({ value, unit }).full;

export function Passes({ b }: { b: LogBody }) {
  const [all, setAll] = useState(false);
  const pairs = b.pairs ?? [];
  const order = pairs.map((_, i) => i).sort((p, q) => (p === b.best_pair ? -1 : q === b.best_pair ? 1 : p - q));
  return (
    <section class="passes"><h3>Passes there and back</h3>
      {pairs.length ? (all ? order : order.slice(0, 1)).map((i) => <OnePair p={pairs[i]!} best={i === b.best_pair} />) : <p>{b.two_way_refused ? `No two-way speed: ${b.two_way_refused}.` : "No pair of passes was found."}</p>}
      {pairs.length > 1 ? <button type="button" class="word-button no-print" aria-expanded={all} onClick={() => setAll(!all)}>{all ? "Only the best pair" : `${pairs.length - 1} more pair${pairs.length > 2 ? "s" : ""}`}</button> : null}
    </section>
  );
}

function OnePair({ p, best }: { p: Pair; best: boolean }) {
  const speed = p.two_way_airspeed ?? p.two_way_speed;
  return (
    <div class="pair">
      <Arrows passes={p.passes.map((q, i) => ({ name: `pass ${i + 1}, course ${Math.round(q.course_deg)}\u00b0`, speed: q.ground_speed }))} mean={p.two_way_speed} />
      <div>
        <p><b>{best ? "The best pair: " : ""}<Quantity q={speed} /></b> {p.two_way_airspeed ? "through the air" : "over the ground, mean of both ways"}, over a base of {one(p.base_m, "m")}. Wind along it <Quantity q={ofRow(p, "wind_along_m_s", "m/s", p.wind_along_m_s < 0)} />.</p>
        {p.two_way_airspeed ? <p class="aside">Mean of the ground speeds <Quantity q={p.two_way_speed} />.</p> : null}
        <Doubt of={p.airspeed_budget ?? p.budget} />
        {p.as_the_code ? <p>Flown as the sporting code asks.</p> : null}
        {[...(p.remarks ?? []), ...p.passes.flatMap((q, i) => [...(q.because ? [q.because] : []), ...(q.remarks ?? [])].map((r) => `pass ${i + 1}: ${r}`))].map((r) => <p class="aside">{r[0]!.toUpperCase() + r.slice(1)}.</p>)}
      </div>
    </div>
  );
}

/** Speeds typed in two directions: the wind along them cancels. */
export function TypedPasses({ b }: { b: LogBody }) {
  const [all, setAll] = useState(false);
  const pairs = b.typed_pairs ?? [], best = pairs.filter((p) => p.best), rest = pairs.filter((p) => !p.best);
  if (!pairs.length) return null;
  const way = (q: TypedPass): string => (q.course_deg !== null ? `course ${Math.round(q.course_deg)}\u00b0` : q.way ?? "");
  return (
    <section class="passes"><h3>Typed, there and back</h3>
      {(all ? [...best, ...rest] : best).map((p) => (
        <div class="pair">
          <Arrows passes={p.passes.map((q) => ({ name: `reading ${q.reading}, ${way(q)}`, speed: q.ground_speed }))} mean={p.two_way_speed} />
          <div>
            <p><b>{p.best ? "Both ways: " : ""}<Quantity q={p.two_way_speed} /></b>, the mean; the wind along them is not in it. That wind: <Quantity q={ahead(p.wind_along)} />{(p.wind_along.low ?? 0) * (p.wind_along.high ?? 0) <= 0 ? ", too little to tell which way" : `, helping reading ${p.passes[(p.wind_along.value ?? 0) > 0 ? 0 : 1].reading}`}.</p>
            <Doubt of={p.budget} />
            {p.remarks?.map((r) => <p class="aside">{r[0]!.toUpperCase() + r.slice(1)}{r.endsWith("?") ? "" : "."}</p>)}
          </div>
        </div>))}
      {rest.length ? <button type="button" class="word-button no-print" aria-expanded={all} onClick={() => setAll(!all)}>{all ? "Only the best" : `${rest.length} more pair${rest.length > 1 ? "s" : ""}`}</button> : null}
    </section>
  );
}

/** A quantity whose sign only says the way, its value made positive. */
function ahead(q: Q): Q {
  const minus = (x: number | null): number | null => (x === null ? null : -x);
  return (q.value ?? 0) < 0 ? { ...q, value: minus(q.value), low: minus(q.high), high: minus(q.low) } : q;
}

function Arrows({ passes, mean: both }: { passes: { name: string; speed: Q }[]; mean: Q }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const v = scaleOf("m/s", 1);
  const most = Math.max(...passes.map((q) => q.speed.high ?? q.speed.value ?? 0), both.high ?? 0) * 1.02;
  const k = (w - 20) / most, mean = both.value ?? 0;
  return (
    <figure class="plot pair-picture"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={132} role="img" aria-label={passes.map((q) => `${q.name}: ${sayQuantity(q.speed).full}`).join("; ")}>
        {passes.map((q, i) => {
          const y = 34 + i * 56, len = (q.speed.value ?? 0) * k, from = i === 0 ? 10 : w - 10, to = i === 0 ? 10 + len : w - 10 - len, s = i === 0 ? 1 : -1;
          const low = 10 + (q.speed.low ?? 0) * k, high = 10 + (q.speed.high ?? 0) * k, at = (x: number): number => (i === 0 ? x : w - x);
          return <g>
            <path class="ink3" d={`M${from} ${y}H${to}M${to - 9 * s} ${y - 5}L${to} ${y}L${to - 9 * s} ${y + 5}`} />
            {high - low > 1 ? <path class="ink1" d={`M${at(low)} ${y - 8}v16M${at(high)} ${y - 8}v16`} /> : null}
            <text class="label label-strong" x={i === 0 ? 10 : w - 10} y={y - 11} text-anchor={i === 0 ? "start" : "end"} font-size="12.5">{q.name}: {sayQuantity(q.speed).full}</text>
          </g>;
        })}
        <path class="rule-line mean-line" d={`M${10 + mean * k} 22V44M${w - 10 - mean * k} 78V100`} />
        <text class="label" x={w / 2} y={124} text-anchor="middle" font-size="12">red stroke: the mean, {figures(mean * v.k)} {v.unit}</text>
      </svg>) : null}</div><figcaption><CopyDrawn name="pass" /></figcaption></figure>
  );
}

/** What the doubt of a speed is made of, one strip each. */
export function Doubt({ of, title = "What its doubt is made of, one standard deviation" }: { of: Budget[] | null; title?: string }) {
  if (!of?.length) return null;
  const most = Math.max(...of.map((t) => t.sigma_m_s), 1e-9);
  return (
    <table class="doubts"><caption>{title}</caption><tbody>{[...of].sort((p, q) => q.sigma_m_s - p.sigma_m_s).map((t) => (
      <tr><th scope="row">{t.what}</th><td class="right">{t.sigma_m_s < 0.005 ? `below ${one(0.01, "m/s")}` : one(t.sigma_m_s, "m/s")}</td><td><svg width="90" height="10" aria-hidden="true"><rect class="bar" x=".5" y="1" width={Math.max(1, 88 * (t.sigma_m_s / most))} height="8" /></svg></td></tr>))}</tbody></table>
  );
}

export function Runs({ b }: { b: LogBody }) {
  if (!b.runs?.length) return null;
  return (
    <div class="wide" tabIndex={0} role="region" aria-label="Straight runs"><table><caption>Straight runs</caption>
      <thead><tr><th scope="col">from</th><th scope="col" class="right">course</th><th scope="col" class="right">length</th><th scope="col" class="right">over ground</th><th scope="col" class="right">through air</th><th scope="col" class="right">climb</th><th scope="col" class="right">height</th><th scope="col">level</th></tr></thead>
      <tbody>{b.runs.map((r) => <tr><th scope="row">{figures(r.from_s)} to {figures(r.to_s)} s</th><td class="right">{Math.round(r.course_deg)}°</td>{([["length_m", "m"], ["ground_speed_m_s", "m/s"], ["airspeed_m_s", "m/s"], ["climb_m_s", "m/s"], ["height_m", "m"]] as const).map(([k, u]) => <td class="right">{r[k] === null ? "\u2013" : <Quantity q={ofRow(r, k, u)} />}</td>)}<td>{r.level ? <Mark status="pass" word /> : r.because ?? "no"}</td></tr>)}</tbody></table></div>
  );
}
