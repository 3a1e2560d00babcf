import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Ground } from "../../plot/Plot";
import { figures, sayQuantity, scaleOf } from "../../state/say";
import { values } from "../../state/shop";
import type { LandBody } from "../../wire/bodies";
import { useWidth } from "../../draft/Drawing";
import { Detail } from "../Detail";

export function Land() {
  return (
    <Detail<LandBody> id="land" title="Will it come home?" question={7} verb="land">
      {(b) => (
        <>
          <Approach b={b} />
          <table class="facts"><tbody>
            <tr><th scope="row">approach</th><td><Quantity q={b.approach_speed} /></td></tr><tr><th scope="row">touchdown, over the ground</th><td><Quantity q={b.touchdown_speed} /></td></tr>
            <tr><th scope="row">distance from {sayQuantity({ value: b.from_height_m, unit: "m" }).full} height</th><td><Quantity q={b.distance} /></td></tr><tr><th scope="row">glide ratio</th><td><Quantity q={b.glide_ratio} /></td></tr>
          </tbody></table>
          {b.ways?.length ? <div class="wide" tabIndex={0} role="region" aria-label="Other ways to land"><table><caption>Other ways to land</caption><thead><tr><th scope="col">way</th><th scope="col" class="right">approach</th><th scope="col" class="right">path</th><th scope="col" class="right">touchdown</th><th scope="col" class="right">distance</th></tr></thead>
            <tbody>{b.ways.map((w) => <tr><th scope="row">{w.say}</th><td class="right">{sayQuantity({ value: w.approach_m_s, unit: "m/s" }).full}</td><td class="right">{figures(w.path_deg)}°</td><td class="right">{sayQuantity({ value: w.touchdown_ground_m_s, unit: "m/s" }).full}</td><td class="right">{w.status === "ok" ? sayQuantity({ value: w.distance_m, unit: "m" }).full : w.status}</td></tr>)}</tbody></table></div> : null}
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}

/** The way down from the side: glide, flare, slide, and the field's end. */
function Approach({ b }: { b: LandBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const field = values.value.get("landing.length")?.value ?? null;
  const total = b.approach_run_m + b.flare_run_m + b.slide_m;
  const far = Math.max(total, b.distance.high ?? total, field ?? 0) * 1.05;
  const left = 14, k = (w - 28) / far, ground = 120, ky = 90 / b.from_height_m;
  const fx = (x: number): number => left + x * k, a = fx(b.approach_run_m), f = fx(b.approach_run_m + b.flare_run_m), s = fx(total);
  const flare = Math.min(b.from_height_m * 0.14, 1.5);
  const u = scaleOf("m", 50);
  const len = (m: number): string => `${figures(m * u.k)} ${u.unit}`;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={172} role="img" aria-label={`Landing from the side: glide ${len(b.approach_run_m)}, flare ${len(b.flare_run_m)}, slide ${len(b.slide_m)}${field !== null ? `, the field ends at ${len(field)}` : ""}`}>
        <path class="ink3" d={`M${fx(0)} ${ground - b.from_height_m * ky}L${a} ${ground - flare * ky}Q${(a + f) / 2} ${ground - 3} ${f} ${ground - 1}H${s}`} />
        <Ground x={left} y={ground} w={w - 2 * left} />
        {b.distance.low !== null && b.distance.high !== null ? <path class="ink2" d={`M${fx(b.distance.low)} ${ground - 12}V${ground - 4}M${fx(b.distance.low)} ${ground - 8}H${fx(b.distance.high)}M${fx(b.distance.high)} ${ground - 12}V${ground - 4}`} /> : null}
        {field !== null ? <g><path class="rule-line" d={`M${fx(field)} ${ground - 60}V${ground + 12}`} /><text class="label label-red" x={fx(field) - 5} y={ground - 50} text-anchor="end" font-size="12">the field ends, {len(field)}</text></g> : null}
        {[[left, a, `glide ${len(b.approach_run_m)}`], [a, f, `flare ${len(b.flare_run_m)}`], [f, s, `slide ${len(b.slide_m)}`]].map(([p, q, t], i) => <g><path class="dimension" marker-start="url(#arrow)" marker-end="url(#arrow)" d={`M${p} ${ground + 18}H${q}`} /><text class="label" x={((p as number) + (q as number)) / 2} y={ground + 32 + (i % 2) * 13} text-anchor="middle" font-size="11.5">{t}</text></g>)}
      </svg>) : null}</div><figcaption>From {sayQuantity({ value: b.from_height_m, unit: "m" }).full} height to standing still, heights drawn larger <CopyDrawn name="landing" /></figcaption></figure>
  );
}
