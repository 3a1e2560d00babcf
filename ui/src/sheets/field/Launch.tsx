// The launch in full: best settings, what each lever does, the odds map.
import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { figures, ofRow, sayQuantity, sayRelease, scaleOf } from "../../state/say";
import { tryingSets, tryValue } from "../../state/shop";
import type { LaunchBody, MapAxis } from "../../wire/bodies";
import { useWidth } from "../../draft/Drawing";
import { Detail } from "../Detail";
import { TryButton } from "../TryButton";
import { copySvg } from "../../bits/PageView";
import { Worded } from "../../bits/Term";

const pct = (v: number): string => `${Math.round(100 * v)} %`;

export function Launch() {
  return (
    <Detail<LaunchBody> id="launch" title="Will it launch?" question={5} verb="launch" withTrying onAsk="1024 launches, the best settings, what one step of each setting does and the odds map: about half a minute. What is being tried above is part of it.">
      {(b, a) => { const failures = Object.entries(b.failure_shares ?? {}).sort(([, p], [, q]) => q.value! - p.value!); return (
        <>
          <p>Launch odds <Quantity q={b.odds} share />, {b.n} launches.{failures.length ? <> They fail by {failures.map(([k, q], i) => <>{i ? "; " : ""}<Worded>{k.replaceAll("-", " ")}</Worded> <Quantity q={q} share /></>)}.</> : null} {b.typical_failure ? <>Most failures are like this: {b.typical_failure.sentence}.</> : null}</p>
          <table class="facts"><caption>At release</caption><tbody>{Object.entries(b.at_release).map(([k, q]) => <tr><th scope="row">{releaseNames[k] ?? k}</th><td><Quantity q={q} /></td></tr>)}</tbody></table>
          {b.best_settings ? (
            <section><h3>Best settings found</h3>
              <p>Odds <Quantity q={b.best_settings.odds} share /> against <Quantity q={b.best_settings.odds_before} share /> as set. <TryButton sets={b.best_settings.set} say="the best settings" finding="launch-odds" /></p>
              <div class="wide" tabIndex={0} role="region" aria-label="Best settings"><table><thead><tr><th scope="col">setting</th><th scope="col" class="right">now</th><th scope="col" class="right">best</th><th scope="col">may stray</th><th scope="col">not told from the best</th></tr></thead>
                <tbody>{b.best_settings.settings.map((s) => <tr><th scope="row">{s.label}</th><td class="right">{sayAt(s, s.now)}</td><td class="right">{sayAt(s, s.value)}</td><td>{range(s, s.low, s.high)}</td><td>{even(s)}</td></tr>)}</tbody></table></div>
              <p class="aside">May stray: the odds keep what the tolerances ask. Not told from the best: each setting alone, the launches flown do not tell these odds apart.</p>
            </section>
          ) : null}
          {b.levers?.length ? <Levers of={b.levers} /> : null}
          {b.map ? <OddsMap m={b.map} svg={a.charts?.find((c) => /map/.test(c.name))?.svg} /> : null}
          <Cautions of={b.cautions} />
        </>
      ); }}
    </Detail>
  );
}

const releaseNames: Record<string, string> = { speed: "airspeed", stall_ratio: "times the stall speed", trim_ratio: "times the speed the held stick trims", pitch_deg: "nose up", height: "height", path_deg: "path above level" };
function say(v: number, unit: string): string { return sayQuantity({ value: v, unit }, true).full; }

type Set = NonNullable<LaunchBody["best_settings"]>["settings"][number];
/** A setting's value; a moment by the release it is counted from. */
const sayAt = (of: { path: string; unit: string }, v: number): string => (of.path === "launch.motor_delay" ? sayRelease(v) : say(v, of.unit));
/** From one value to another; what both are counted from is said once. */
const range = (of: { path: string; unit: string }, low: number, high: number): string => {
  const p = sayAt(of, low), q = sayAt(of, high), end = / (before|after) release$/.exec(q)?.[0];
  return `${end && p.endsWith(end) ? p.slice(0, -end.length) : p} to ${q}`;
};
/** The values that the launches do not tell from the best. */
function even(s: Set): string {
  const { low, high } = ofRow(s, "value", s.unit);
  return low === null || high === null ? "\u2013" : low === high ? `${sayAt(s, low)} alone, of those tried` : range(s, low, high);
}

/** What one step of each setting does to the odds. */
function Levers({ of }: { of: NonNullable<LaunchBody["levers"]> }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const h = 30, mid = w / 2, k = (w / 2 - 20) / Math.max(0.05, ...of.map((l) => Math.max(Math.abs(l.up?.odds_change ?? 0), Math.abs(l.down?.odds_change ?? 0))));
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={of.length * h + 34} role="img" aria-label={"What one step does to the odds. " + of.map((l) => `${l.label}: more ${pct(l.up?.odds_change ?? 0)}, less ${pct(l.down?.odds_change ?? 0)}`).join("; ")}>
        <path class="ink2" d={`M${mid} 16V${of.length * h + 18}`} /><text class="label" x={mid + 6} y={12} font-size="12">odds rise</text><text class="label" x={mid - 6} y={12} font-size="12" text-anchor="end">odds fall</text>
        {of.map((l, i) => { const y = 22 + i * h; return <g>
          {[["up", l.up, 0], ["down", l.down, 1]].map(([, s, row]) => { const o = s as { odds_change: number; standard_error: number } | null; if (!o) return null; const x = mid + Math.min(0, o.odds_change * k), yy = y + (row as number) * 8 + 8; return <rect class={o.odds_change < 0 ? "bar bar-fail" : "bar"} x={x} y={yy} width={Math.max(1, Math.abs(o.odds_change) * k)} height={7} />; })}
          {[l.up, l.down].map((o, row) => { if (!o?.standard_error) return null; const yy = y + row * 8 + 11.5, at = mid + o.odds_change * k, half = 1.645 * o.standard_error * k; return <path class="ink2" d={`M${Math.max(1, at - half)} ${yy}H${Math.min(w - 1, at + half)}`} />; })}
          <text class="label label-strong" x={8} y={y + 6} font-size="12">{l.label}</text>
          <text class="label" x={w - 6} y={y + 6} font-size="11.5" text-anchor="end">{l.raises_the_odds}</text></g>; })}
      </svg>) : null}</div><figcaption>One step of each setting: upper strip more of it, lower strip less, a line across its end the 90 % that counting leaves <CopyDrawn name="levers" /></figcaption></figure>
  );
}

/** The odds over two settings: closer hatching, better odds; the wanted odds as a bold edge. */
export function OddsMap({ m, svg }: { m: NonNullable<LaunchBody["map"]>; svg: string | undefined }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const nx = m.x.values.length, ny = m.y.values.length;
  const left = 54, cell = Math.min(58, (w - left - 10) / nx), top = 8;
  const near = (a: MapAxis): number => a.values.reduce((best, v, i) => (Math.abs(v - a.at) < Math.abs(a.values[best]! - a.at) ? i : best), 0);
  const hereX = near(m.x), hereY = near(m.y);
  const counted = (i: number, j: number) => ({ value: m.odds[j]![i]!, low: m.odds_low?.[j]?.[i] ?? null, high: m.odds_high?.[j]?.[i] ?? null, unit: "1" });
  const widest = Math.max(0, ...m.odds.flatMap((row, j) => row.map((p, i) => { const q = counted(i, j); return p === null || q.low === null || q.high === null ? 0 : (q.high - q.low) / 2; })));
  const set = (i: number, j: number): void => {
    tryValue(m.x.path, text(m.x.values[i]!, m.x.unit));
    tryValue(m.y.path, text(m.y.values[j]!, m.y.unit));
  };
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={top + ny * cell + 46} class="odds-map" role="group" aria-label={`Odds over ${m.x.label} and ${m.y.label}`}>
        {m.odds.map((row, j) => row.map((p, i) => {
          const x = left + i * cell, y = top + (ny - 1 - j) * cell, good = p !== null && p >= 0.9;
          return (
            <g class={`map-cell${good ? " map-good" : ""}`} role="button" tabindex={0} aria-label={`${m.x.label} ${sayAt(m.x, m.x.values[i]!)}, ${m.y.label} ${sayAt(m.y, m.y.values[j]!)}: odds ${p === null ? "not known" : sayQuantity(counted(i, j), true).full}. Try it`}
              onClick={() => set(i, j)} onKeyDown={(e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); set(i, j); } }}>
              <rect x={x} y={y} width={cell} height={cell} class="map-ground" />
              {p !== null ? <rect x={x + 1} y={y + 1} width={cell - 2} height={cell - 2} fill={p >= 0.9 ? "url(#hatch-cross)" : p >= 0.5 ? "url(#hatch)" : p >= 0.2 ? "url(#hatch-wide)" : "none"} class="map-tone" /> : null}
              <text x={x + cell / 2} y={y + cell / 2 + 4} font-size="11.5" text-anchor="middle" class={good ? "label-strong" : ""}>{p === null ? "?" : Math.round(100 * p)}</text>
              {i === hereX && j === hereY ? <rect x={x + 3} y={y + 3} width={cell - 6} height={cell - 6} class="map-here" /> : null}
            </g>
          );
        }))}
        <g class="ticks" font-size="11">
          {m.x.values.map((v, i) => (i % 2 ? null : <text x={left + (i + 0.5) * cell} y={top + ny * cell + 15} text-anchor="middle">{short(v, m.x.unit)}</text>))}
          {m.y.values.map((v, j) => <text x={left - 5} y={top + (ny - 0.5 - j) * cell + 4} text-anchor="end">{short(v, m.y.unit)}</text>)}
          <text class="axis-name" x={left + nx * cell} y={top + ny * cell + 36} text-anchor="end">{m.x.label}, {m.x.unit === "1" ? "%" : m.x.unit}</text>
          <text class="axis-name" x={4} y={top + ny * cell + 36}>{m.y.label}, {m.y.unit === "1" ? "%" : m.y.unit}</text>
        </g>
      </svg>) : null}</div>
      <figcaption>Odds in %, {m.n} launches a place{widest > 0 ? `, so known to ± ${Math.ceil(100 * widest)} by counting at the most` : ""}, all else {m.all_else}; closer hatching is better, the box is where it is now. Choose a place to try it.{svg ? <> <button type="button" class="word-button no-print" onClick={() => void copySvg(svg, "odds-map")}>Copy as SVG</button></> : null}{tryingSets.value.length ? " Trying: " + tryingSets.value.join(", ") : ""}</figcaption>
    </figure>
  );
}

function short(v: number, unit: string): string { return unit === "1" ? figures(v * 100) : unit === "deg" ? figures(v) : unit === "m" ? figures(v * (scaleOf("m", 5).unit === "ft" ? 1 / 0.3048 : 1)) : figures(v); }
function text(v: number, unit: string): string { return unit === "1" ? `${Number((v * 100).toFixed(2))} %` : `${Number(v.toFixed(4))} ${unit}`; }
