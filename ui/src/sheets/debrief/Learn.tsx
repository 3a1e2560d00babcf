// What the evidence teaches: factors and forecasts before and after, the
// readings behind them, and the test that would tell most.
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { optionsOf } from "../../bits/Options";
import { Spans } from "../../plot/Spans";
import { figures, sayQuantity } from "../../state/say";
import { run } from "../../state/work";
import type { LearnBody } from "../../wire/debrief";
import { askFor, Detail } from "../Detail";
import { logs } from "./work";

export function Learn() {
  const uploads = logs.value.map((l) => l.id);
  const more = uploads.length ? { uploads } : {};
  const keep = (): void => { void run("learn", askFor("learn", { ...more, options: { ...(optionsOf("learn").options ?? {}), keep: true } })); };
  return (
    <>
      <Detail<LearnBody> id="learn" title="What do we know now?" question={9} verb="learn" more={more}
        onAsk={`What flights, bench rows and readings teach about this aeroplane${uploads.length ? `, with the ${uploads.length === 1 ? "log" : `${uploads.length} logs`} above` : ""}. Nothing is kept until you say so.`}>
        {(b) => <Lesson b={b} keep={keep} />}
      </Detail>
    </>
  );
}

const statusSay: Record<string, string> = { learned: "Something was learned.", "no evidence": "There is no evidence yet: nothing was learned.", "not told": "The evidence is too doubtful to tell.", contradicts: "The evidence contradicts itself or the models: nothing was taken over.", other: "The evidence is of another aeroplane or other parts.", failed: "It could not be worked out." };

function Lesson({ b, keep }: { b: LearnBody; keep: () => void }) {
  const moved = b.factors.filter((f) => f.told || f.share > 0.02), still = b.factors.filter((f) => !moved.includes(f));
  const same = (f: { untaught: LearnBody["factors"][number]["before"]; as_learned: LearnBody["factors"][number]["before"] }): boolean => f.untaught.value === f.as_learned.value && f.untaught.low === f.as_learned.low;
  return (
    <>
      <p class="lesson"><b>{statusSay[b.status] ?? b.status}</b> {b.because ? `${b.because}.` : ""} {b.kept ? "The lesson is kept: every forecast counts with it." : b.status === "learned" ? <button type="button" class="act no-print" onClick={keep}>Keep the lesson</button> : null}</p>
      {moved.length ? <section><h3>Factors, before and after</h3><Spans label="Factors before and after" rows={moved.map((f) => ({
        label: f.label, say: `${f.told ? "" : "Not told well enough to be taken over. "}${Math.round(100 * Math.max(0, f.share))} % of its doubt is gone${f.moved_by?.[0] ? `; moved most by: ${f.moved_by[0].reading}` : ""}.`,
        marks: [{ name: "before", q: f.before, form: "ring" as const }, { name: "after", q: f.after, form: "diamond" as const }],
      }))} /></section> : null}
      {still.length ? <p class="aside">{moved.length ? "Untouched" : "Open"}: {still.map((f) => f.label).join(", ")}.</p> : null}
      {b.forecasts?.length ? <section><h3>Forecasts, before and after</h3><Spans label="Forecasts before and after" rows={b.forecasts.map((f) => ({
        label: f.what, share: f.what.includes("odds"), unchanged: same(f),
        marks: same(f) ? [{ name: "unchanged", q: f.untaught, form: "ring" as const }] : [{ name: "before", q: f.untaught, form: "ring" as const }, { name: "after", q: f.as_learned, form: "diamond" as const }],
      }))} /></section> : null}
      {b.launch_record ? <p>Launches at these settings: {b.launch_record.flew} of {b.launch_record.flown} flew. Odds by physics <Quantity q={b.launch_record.physics} share />, with the record <Quantity q={b.launch_record.with_record} share />.{b.launch_record.fits ? "" : " The record is too odd for the physics' odds: something in the build or the model is wrong."}</p> : null}
      {b.readings?.length ? <div class="wide" tabIndex={0} role="region" aria-label="Readings"><table><caption>Readings, and what the models say to them</caption>
        <thead><tr><th scope="col">reading</th><th scope="col" class="right">as read</th><th scope="col" class="right">model before</th><th scope="col" class="right">as learned</th><th scope="col" class="right">off by</th></tr></thead>
        <tbody>{b.readings.map((r) => <tr><th scope="row">{r.reading}</th><td class="right">{sayQuantity({ value: r.value, unit: r.unit }).full} ± {figures(2 * r.sigma, 2 * r.sigma)}</td><td class="right">{sayQuantity({ value: r.untaught, unit: r.unit }).full}</td><td class="right">{sayQuantity({ value: r.as_learned, unit: r.unit }).full}</td><td class="right">{figures(Math.abs(r.off_by_sigmas), 0.5)} sd</td></tr>)}</tbody></table></div> : null}
      {b.refused?.length ? <ul>{b.refused.map((r) => <li>Set aside: {r.reading}: {r.why}.</li>)}</ul> : null}
      {b.told_together?.length ? <p class="aside">Told only together: {b.told_together.join(", ")}.</p> : null}
      {b.next?.length ? <section><h3>What would tell the most</h3><ol>{b.next.map((t) => <li><b>{t.name}</b> <span class="aside">({t.where})</span>: {t.steps.join("; ")}.{t.gains?.length ? <div class="aside">Doubt after it: {t.gains.map((g) => `${g.what} ${Math.round((100 * g.sigma_then) / (g.sigma_now || 1))} % of today's`).join(", ")}.</div> : null}</li>)}</ol></section> : null}
      <Cautions of={b.cautions} />
    </>
  );
}
