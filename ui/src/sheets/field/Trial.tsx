// The speed trial from above: the base, the run into it, the ground that is
// flown over, the wind, and where people stand.
import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { copySvg } from "../../bits/PageView";
import { useWidth } from "../../draft/Drawing";
import { Doubt } from "../debrief/Passes";
import { Spans } from "../../plot/Spans";
import { figures, sayQuantity, scaleOf } from "../../state/say";
import { values } from "../../state/shop";
import type { TrialBody } from "../../wire/more";
import { Detail } from "../Detail";
import "../drawn.css";

const one = (value: number | null, unit: string): string => sayQuantity({ value, unit }).full;

export function Trial() {
  return (
    <Detail<TrialBody> id="trial" title="A speed trial" question={6} verb="trial">
      {(b, a) => b.status !== "ok" ? <p>No trial can be planned: {b.status}.</p> : (
        <>
          <p class="lesson"><b><Quantity q={b.two_way_speed} /></b> two ways over a base of {one(b.base_m, "m")} is to be expected; a claim of {one(b.shows_at_most_m_s, "m/s")} at most could be shown by it.</p>
          <Course b={b} copy={a.charts?.[0]} />
          <div class="plots">
            <SpeedAlong b={b} />
            <div>
              <Doubt title="What the result's doubt will be made of, one standard deviation" of={[{ what: "timing", sigma_m_s: b.sigma_timing_m_s ?? 0 }, { what: "gusts between the passes", sigma_m_s: b.sigma_wind_m_s ?? 0 }, { what: "height not held", sigma_m_s: b.sigma_height_m_s ?? 0 }, { what: "ends of the base", sigma_m_s: b.sigma_ends_m_s ?? 0 }]} />
              <p>{b.passes_wanted} passes are wanted, {one(b.pass_s, "s")} each with the turn round; the pack affords {b.passes_afforded}{b.passes_afforded < b.passes_wanted ? ": too few" : ""}.</p>
            </div>
          </div>
          {b.claims.length ? <section><h3>The claims</h3><ul class="plain claims">{b.claims.map((c) => <li><b>{c.claim}</b><span class="aside">, says the {c.by}</span>: {c.say}.
            <Chance of={c.chance_to_show} /></li>)}</ul></section> : null}
          <Spans label="Speeds of the trial" rows={[{ label: "expected result and what she can do", marks: [{ name: "two ways", q: b.two_way_speed, form: "diamond" }, { name: "top speed", q: b.top_speed, form: "ring" }] }]} />
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}

function Chance({ of }: { of: number | null }) {
  if (of === null) return null;
  return <span class="aside"> Chance that the trial shows it: {of < 0.005 ? "below 1 %" : of > 0.995 ? "above 99 %" : `${Math.round(100 * of)} %`}.</span>;
}

/** From above, the base across the sheet, the pilot below it. */
function Course({ b, copy }: { b: TrialBody; copy: { name: string; svg: string } | undefined }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const base = b.base_m ?? 0, entry = b.entry_m ?? 0, side = b.overflown_m ?? 0, turn = b.turn_radius_m ?? 0, ahead = b.ahead_m ?? 0;
  const h = ((b.heading_deg ?? 90) * Math.PI) / 180;
  // The pilot in the base's own frame: x along the first pass, y away from the pilot.
  const flip = Math.sin(h) < 0 ? -1 : 1;
  const px = -ahead * Math.cos(h), py = -Math.abs(ahead * Math.sin(h));
  const small = w < 520, pad = 14, top = small ? 74 : 64;
  const x0 = Math.min(-side, px - 20), x1 = Math.max(side, px + 20), y0 = Math.min(py, 0) - 34, y1 = 2 * turn;
  const k = (w - 2 * pad) / Math.max(1, x1 - x0), ky = Math.max(k, Math.min(3 * k, 96 / Math.max(1, y1 - y0)));
  const fx = (x: number): number => pad + (x - x0) * k, fy = (y: number): number => top + (y1 - y) * ky;
  const high = top + (y1 - y0) * ky + 56;
  const u = scaleOf("m", 50), len = (m: number): string => `${figures(m * u.k)} ${u.unit}`;
  const along = b.wind_along_m_s ?? 0, across = (b.wind_across_m_s ?? 0) * flip, wind = Math.hypot(along, across);
  const half = base / 2, e = half + entry;
  const arc = (s: number): string => { let d = ""; for (let i = 0; i <= 24; i++) { const a = (Math.PI * i) / 24; d += `${i ? "L" : "M"}${fx(s * (e + turn * Math.sin(a))).toFixed(1)} ${fy(turn * (1 - Math.cos(a))).toFixed(1)}`; } return d; };
  const squeeze = ky / k > 1.08;
  const say = `The course from above: a base of ${len(base)} with ${len(entry)} of run-in on each side; the pilot stands ${len(ahead)} off its middle. Wind ${one(wind, "m/s")}, ${one(Math.abs(along), "m/s")} of it ${along > 0 ? "against" : "with"} the first pass. Ground ${len(2 * side)} long is flown over.`;
  const f0 = 12;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={high} role="img" aria-label={say} class="course">
        <rect class="ink1 course-over" x={fx(-side)} y={fy(y1)} width={fx(side) - fx(-side)} height={fy(Math.min(0, py)) - fy(y1)} fill="url(#hatch-wide)" stroke-dasharray="7 4" />
        <text class="label label-back" x={fx(-side) + 6} y={fy(Math.min(0, py)) - 6} font-size={f0}>{small ? "keep clear" : "flown over with the turns: no people, roads, houses"}</text>
        <path class="curve course-turn" d={arc(1)} /><path class="curve course-turn" d={arc(-1)} /><path class="curve course-turn" d={`M${fx(-e)} ${fy(2 * turn)}H${fx(e)}`} stroke-dasharray="2 5" />
        <path class="curve course-entry" d={`M${fx(-e)} ${fy(0)}H${fx(-half)}M${fx(half)} ${fy(0)}H${fx(e)}`} stroke-dasharray="9 4" />
        <path class="curve course-base" d={`M${fx(-half)} ${fy(0)}H${fx(half)}`} marker-end="url(#arrow)" />
        {[-half, half].map((x) => <path class="ink2" d={`M${fx(x)} ${fy(0) - 9}V${fy(0) + 9}`} />)}
        <path class="dimension" marker-start="url(#arrow)" marker-end="url(#arrow)" d={`M${fx(-half)} ${fy(0) - 16}H${fx(half)}`} />
        <text class="label label-strong label-back" x={fx(0)} y={fy(0) - 21} text-anchor="middle" font-size={f0 + 1}>{small ? len(base) : `timed ${len(base)}`}</text>
        <text class="label label-back" x={(fx(-half) + fx(-e)) / 2} y={fy(0) - 7} text-anchor="middle" font-size={f0}>{small ? len(entry) : `level run-in ${len(entry)}`}</text>
        <text class="label label-back" x={(fx(half) + fx(e)) / 2} y={fy(0) - 7} text-anchor="middle" font-size={f0}>{small ? len(entry) : `the same on the way back`}</text>
        {[-1, 1].map((s) => <g><circle class="pin" cx={fx(s * half)} cy={fy(Math.min(-12 / ky, py * 0.55))} r="4" />{small ? null : <text class="label label-back" x={fx(s * half) + s * 8} y={fy(Math.min(-12 / ky, py * 0.55)) + 4} text-anchor={s < 0 ? "end" : "start"} font-size={f0}>timekeeper</text>}</g>)}
        <path class="ink3" d={`M${fx(px) - 6} ${fy(py) + 6}L${fx(px)} ${fy(py) - 7}L${fx(px) + 6} ${fy(py) + 6}Z`} /><text class="label label-strong" x={fx(px) + 11} y={fy(py) + 8} font-size={f0 + 1}>pilot</text>
        <path class="ink1" d={`M${fx(px)} ${fy(py) - 9}L${fx(px) + 26 * Math.cos(h)} ${fy(py) - 9 - 26 * Math.abs(Math.sin(h))}`} marker-end="url(#arrow)" /><text class="label" x={fx(px) - 10} y={fy(py) + 8} text-anchor="end" font-size={f0}>{small ? "launch" : "launch direction"}</text>
        <Arrow x={34} y={34} a={Math.atan2(across, -along)} /><text class="label label-strong" x={68} y={30} font-size={13}>wind {one(wind, "m/s")} at {len(b.height_m ?? 0)} height</text>
        <text class="label" x={68} y={48} font-size={f0}>{Math.abs(along) < 0.05 ? "across the base" : `${one(Math.abs(along), "m/s")} ${along > 0 ? "against" : "with"} the first pass`}, {one(Math.abs(across), "m/s")} across</text>
        <path class="dimension" marker-start="url(#arrow)" marker-end="url(#arrow)" d={`M${fx(-side)} ${high - 34}H${fx(side)}`} /><text class="label label-back" x={fx(0)} y={high - 20} text-anchor="middle" font-size={f0}>{len(2 * side)} of ground{small ? "" : `; silent over the base she lands within ${len(b.coasts_m ?? 0)} straight on`}</text>
        {squeeze ? <text class="label" x={fx(0)} y={high - 5} text-anchor="middle" font-size={f0}>depth drawn {figures(ky / k)} times as large</text> : null}
      </svg>) : null}</div>
      <figcaption>The course from above, the first pass to the right{small ? `; silent over the base she lands within ${len(b.coasts_m ?? 0)} straight on` : ""}{values.value.get("course.heading")?.state === "assumed" ? " (its direction is assumed)" : ""}{copy ? <> <button type="button" class="word-button no-print" onClick={() => void copySvg(copy.svg, copy.name)}>Copy as SVG</button></> : null}</figcaption></figure>
  );
}

/** An arrow in a ring, blowing towards angle a (from along, towards away). */
function Arrow({ x, y, a }: { x: number; y: number; a: number }) {
  const r = 24, at = (q: number, t: number): string => `${(x + q * Math.cos(t)).toFixed(1)} ${(y - q * Math.sin(t)).toFixed(1)}`;
  return <g class="wind"><circle class="squares-one" cx={x} cy={y} r={r} /><path class="ink3" d={`M${at(r, a + Math.PI)}L${at(r, a)}M${at(r - 11, a - 0.35)}L${at(r, a)}L${at(r - 11, a + 0.35)}`} /></g>;
}

/** The airspeed over the run-in and the base, as bars of their length. */
function SpeedAlong({ b }: { b: TrialBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const v = scaleOf("m/s", 1);
  const rows: [string, number | null][] = [["into the base", b.speed_in_m_s], ["over it, mean", b.speed_over_m_s], ["out of it", b.speed_out_m_s], ["over the ground, first pass", b.ground_speed_out_m_s], ["over the ground, back", b.ground_speed_back_m_s], ["mean of both, as the code counts", b.two_way_speed.value], ["mean by the times", b.two_way_by_times_m_s]];
  const most = Math.max(...rows.map(([, x]) => x ?? 0), b.top_speed.value ?? 0) * 1.02;
  const least = Math.min(...rows.map(([, x]) => x ?? most)) * 0.9, k = (w - 8) / (most - least || 1);
  const top = b.top_speed.value;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={rows.length * 30 + 30} role="img" aria-label={rows.map(([n, x]) => `${n} ${one(x, "m/s")}`).join("; ")}>
        {rows.map(([n, x], i) => x === null ? null : <g><text class="label" x={2} y={i * 30 + 13} font-size="12">{n}</text><text class="label label-strong" x={w - 4} y={i * 30 + 13} text-anchor="end" font-size="12.5">{figures(x * v.k)} {v.unit}</text><rect class="bar" x={2} y={i * 30 + 17} width={Math.max(1, (x - least) * k)} height={7} /></g>)}
        {top !== null ? <g><path class="rule-line" d={`M${2 + (top - least) * k} 12V${rows.length * 30 + 4}`} /><text class="label label-red" x={2 + (top - least) * k - 4} y={rows.length * 30 + 18} text-anchor="end" font-size="12">top speed, level {figures(top * v.k)} {v.unit}</text></g> : null}
      </svg>) : null}</div>
      <figcaption>Airspeeds and ground speeds, scale from {figures(least * v.k)} {v.unit}. A surplus from a dive falls to a third in {one(b.decay_m, "m")}: enter level for twice that. <CopyDrawn name="trial-course" /></figcaption></figure>
  );
}
