// Radio and video along the planned circuit: seen from above, weak places
// marked, and the margin over the way.
import { CopyDrawn } from "../../plot/copy";
import { useState } from "preact/hooks";
import { Cautions } from "../../bits/Cautions";
import { Quantity, Within } from "../../bits/Quantity";
import { useWidth } from "../../draft/Drawing";
import { Plot } from "../../plot/Plot";
import { figures, ofRow, scaleOf } from "../../state/say";
import type { RadioBody } from "../../wire/bodies";
import { Detail } from "../Detail";
import { TryButton } from "../TryButton";

export function Radio() {
  return (
    <Detail<RadioBody> id="radio" title="Radio and video along the circuit" question={6} verb="radio">
      {(b, a) => {
        if (!b.links?.length) return <p>No radio link is described in this build: say what is aboard and in your hands under <i>radio:</i>.</p>;
        const limit = b.findings.find((f) => f.limit.min !== null)?.limit.min ?? 10;
        const m = scaleOf("m", 500);
        return (
          <>
            <ul class="plain">{b.links.map((l) => <li><b>{l.name}</b>: <Quantity q={l.margin_worst} /> at its weakest, {l.where}; on the approach <Quantity q={l.margin_approach} />.
              {l.changes?.length ? <ul>{l.changes.filter((c) => c.gain_db > 0.5).slice(0, 3).map((c) => <li>{c.say}: <Quantity q={ofRow(c, "gain_db", "dB")} /> more {c.set ? <TryButton sets={[c.set]} say={c.say} finding="link-margin" /> : null}</li>)}</ul> : null}</li>)}</ul>
            <div class="plots">
              <Above b={b} limit={limit} />
              <Plot title="Margin over the threshold along the way" x={{ label: `${m.unit} flown`, k: m.k }} y={{ label: "dB" }} height={320} copy={a.charts?.[0]} rules={[{ at: limit, text: "wanted", axis: "y", red: true }, { at: 0, text: "the link is gone", axis: "y", red: true }]}
                series={b.links.map((l, i) => ({ name: l.name, ink: i, strong: i === 0, x: b.path.map((p) => p.along_m), y: l.margin_along_db }))} />
            </div>
            <Reach b={b} />
            {b.signal_lost?.length ? <section><h3>If the control link is lost there</h3><ul>{b.signal_lost.map((s) => <li>{s.leg}: {s.say} <Within q={ofRow(s, "size_m", "m")} />{s.behind_pilot ? ", behind the pilot" : ""}.</li>)}</ul></section> : null}
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

/** How far each link goes, and where the ground's own reflection makes it fade. */
function Reach({ b }: { b: RadioBody }) {
  const faded = b.links.filter((l) => l.fades_m?.length);
  return (
    <section><h3>How far it goes</h3>
      <div class="wide" tabIndex={0} role="region" aria-label="How far each link goes"><table>
        <thead><tr><th scope="col">link</th><th scope="col" class="right">margin left</th><th scope="col" class="right">over the ground</th><th scope="col" class="right">in free space</th></tr></thead>
        <tbody>{b.links.flatMap((l) => l.ranges.map((r) => <tr><th scope="row">{l.name}</th><td class="right">{figures(r.margin_db)} dB</td><td class="right">{r.beyond ? "beyond " : ""}<Quantity q={ofRow(r, "over_ground_m", "m")} /></td><td class="right"><Quantity q={ofRow(r, "free_space_m", "m")} /></td></tr>))}</tbody></table></div>
      {faded.map((l) => <p class="aside">The ground's reflection weakens {l.name} most near {l.fades_m!.map((m, i) => <>{i ? "; " : ""}<Quantity q={{ value: m, low: l.fades_interval_m?.[i]?.[0] ?? m, high: l.fades_interval_m?.[i]?.[1] ?? m, unit: "m" }} /></>)}.</p>)}
    </section>
  );
}

/** The circuit from above, the pilot at the crossing; the stroke is the margin. */
function Above({ b, limit }: { b: RadioBody; limit: number }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const [which, set] = useState(0);
  const l = b.links[which] ?? b.links[0]!;
  const xs = b.path.map((p) => p.right_m), ys = b.path.map((p) => p.ahead_m);
  const x0 = Math.min(0, ...xs) - 30, x1 = Math.max(0, ...xs) + 30, y0 = Math.min(0, ...ys) - 30, y1 = Math.max(0, ...ys) + 30;
  const k = Math.min((w - 8) / (x1 - x0), 330 / (y1 - y0));
  const fx = (x: number): number => (x - x0) * k + (w - (x1 - x0) * k) / 2, fy = (y: number): number => (y1 - y) * k + 4;
  const grade = (v: number | null): number => (v === null || v < 0 ? 3 : v < limit ? 2 : v < limit + 10 ? 1 : 0);
  const runs: { g: number; d: string }[] = [];
  b.path.forEach((p, i) => {
    const g = grade(l.margin_along_db[i] ?? null), at = `${fx(p.right_m).toFixed(1)} ${fy(p.ahead_m).toFixed(1)}`, last = runs[runs.length - 1];
    if (last && last.g === g) last.d += "L" + at;
    else { if (last) last.d += "L" + at; runs.push({ g, d: "M" + at }); }
  });
  const h = (y1 - y0) * k + 30;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={h} role="img" aria-label={`The circuit from above; ${l.name} is weakest ${l.where}`}>
        <path class="squares-one" d={`M${fx(x0)} ${fy(0)}H${fx(x1)}M${fx(0)} ${fy(y0)}V${fy(y1)}`} />
        {runs.map((r) => <path class={`margin margin-${r.g}`} d={r.d} />)}
        <path class="ink2" d={`M${fx(0) - 6} ${fy(0) + 6}L${fx(0)} ${fy(0) - 7}L${fx(0) + 6} ${fy(0) + 6}Z`} /><text class="label" x={fx(0) + 10} y={fy(0) + 16} font-size="12">pilot</text>
        {l.where_m ? <g><circle class="pin margin-worst" cx={fx(l.where_m[1])} cy={fy(l.where_m[0])} r="7" /><text class="label label-red" x={fx(l.where_m[1]) + 11} y={fy(l.where_m[0]) - 7} font-size="12">weakest</text></g> : null}
        <text class="label" x={4} y={h - 6} font-size="11.5">full line: plenty; thin: enough; dashed red: less than wanted; dotted red: none</text>
      </svg>) : null}</div>
      <figcaption>The circuit from above. {b.links.length > 1 ? <label class="inline-label">link <select value={which} onChange={(e) => set(Number(e.currentTarget.value))}>{b.links.map((o, i) => <option value={i}>{o.name}</option>)}</select></label> : null} <CopyDrawn name="circuit" /></figcaption></figure>
  );
}
