// What the evidence teaches: factors and forecasts before and after, the
// readings behind them, and the test that would tell most.
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { useEffect } from "preact/hooks";
import { OptionField, optionsOf, putSaid, saidOf, type Said } from "../../bits/Options";
import { Spans } from "../../plot/Spans";
import { figures, sayQuantity, sentence } from "../../state/say";
import { today, todayKey } from "../../state/today";
import { basis, run, stale, work } from "../../state/work";
import type { LearnBody } from "../../wire/debrief";
import type { CheckBody } from "../../wire/types";
import { askFor, Detail } from "../Detail";
import { Fold, learnKinds, Readings, useWords } from "./Told";
import { paths, recordings } from "./work";

interface InForce { name: string; say: string; told?: boolean }

export function Learn() {
  const w = useWords(), l = work<LearnBody>("learn");
  const flown = recordings().filter((x) => !/\.wav$/i.test(x.name)).length, more = flown ? { uploads: paths().map((x) => x.id) } : {};
  const said = (): Said => optionsOf("learn").options ?? {};
  const ask = (extra: Said = {}): void => { void run("learn", askFor("learn", { ...more, options: { ...said(), ...extra } })); };
  const forget = (): void => { putSaid("learn", "readings", []); void run("learn", askFor("learn", { options: { forget: true } })); };
  const b = l.value.answer?.body;
  // Keeping changes what every answer rests on, this one included: it was made for that.
  useEffect(() => { const now = l.peek(); if (now.state === "done" && (now.answer?.body.kept || now.answer?.body.forgotten) && stale(now)) l.value = { ...now, from: basis(false) }; }, [l.value.answer, todayKey.value]);
  useEffect(() => { if (b?.kept) putSaid("learn", "readings", []); }, [l.value.answer]);
  const force = (work<CheckBody>("check").value.answer?.body as { taught?: InForce[] } | undefined)?.taught ?? [];
  const n = ((saidOf("learn")["readings"] as string[] | undefined) ?? []).length;
  const flag = (k: string, label: string) => <label class="option-flag"><input type="checkbox" checked={saidOf("learn")[k] === true} onChange={(e) => putSaid("learn", k, e.currentTarget.checked)} /> {label}</label>;
  const state = ((saidOf("learn")["state"] as string[] | undefined) ?? [])[0] ?? "";
  return (
    <Detail<LearnBody> id="learn" title="What do we know now?" question={9} verb="learn" more={more} noOptions
      onAsk={`What flights, bench rows and readings teach about this aeroplane${flown ? `, with the ${flown === 1 ? "log" : `${flown} logs`} above` : ""}. Nothing is kept until you say so.`}
      intro={<div class="tolds no-print">
        {force.length && !today.value.untaught ? <p>In force: {force.map((f) => f.name.replaceAll("_", " ")).filter((f, i, all) => all.indexOf(f) === i).join(", ")}. Every forecast counts with it. <button type="button" class="act" onClick={forget}>Forget what was learned</button></p> : null}
        {w ? <Fold id="learn-readings" title="Readings to learn from" n={n}><Readings id="learn" of={learnKinds} known={w.learn} go={() => undefined} />
          {n ? <p><button type="button" class="act act-strong" onClick={() => ask()}>What do they teach?</button></p> : null}</Fold> : null}
        <Fold id="learn-how" title="How to learn" n={["state", "next", "alone"].filter((k) => said()[k]).length}>
          <form class="told" onSubmit={(e) => { e.preventDefault(); ask(); }}>
            <div class="option"><label for="learn-state">Throttle in the logged flights</label><select id="learn-state" value={state} onChange={(e) => putSaid("learn", "state", e.currentTarget.value ? [e.currentTarget.value] : [])}><option value="">not said</option><option value="full-throttle">full throttle</option><option value="part-throttle">part throttle</option></select></div>
            {flag("next", "plan the flight or bench test that would tell most")}
            {flag("alone", "without the logbook: neither its evidence nor what was learned")}
            <OptionField id="learn" verb="learn" name="launches" />
            <button type="submit" class="act">Learn so</button>
          </form></Fold>
      </div>}>
      {(x) => <Lesson b={x} keep={() => ask({ keep: true })} forget={forget} />}
    </Detail>
  );
}

const statusSay: Record<string, string> = { learned: "Something was learned.", "no evidence": "There is no evidence yet: nothing was learned.", "not told": "The evidence is too doubtful to tell.", contradicts: "The evidence contradicts itself or the models: nothing was taken over.", other: "The evidence is of another aeroplane or other parts.", failed: "It could not be worked out." };

function Lesson({ b, keep, forget }: { b: LearnBody; keep: () => void; forget: () => void }) {
  const moved = b.factors.filter((f) => f.told || f.share > 0.02), still = b.factors.filter((f) => !moved.includes(f));
  const same = (f: { untaught: LearnBody["factors"][number]["before"]; as_learned: LearnBody["factors"][number]["before"] }): boolean => f.untaught.value === f.as_learned.value && f.untaught.low === f.as_learned.low;
  return (
    <>
      {b.forgotten ? <p class="lesson" role="status"><b>Forgotten:</b> {b.forgotten} learned factor{b.forgotten === 1 ? " counts" : "s count"} no more. The evidence stays in the logbook.</p>
        : <p class="lesson"><b>{statusSay[b.status] ?? b.status}</b> {sentence(b.because)} {b.kept ? <span role="status">The lesson is kept: every forecast counts with it. <button type="button" class="act no-print" onClick={forget}>Forget it</button></span> : b.status === "learned" ? <button type="button" class="act no-print" onClick={keep}>Keep the lesson</button> : null}</p>}
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
        <tbody>{b.readings.map((r) => <tr><th scope="row">{r.reading}</th><td class="right">{sayQuantity({ value: r.value, unit: r.unit }).full} ± {figures(2 * r.sigma, 2 * r.sigma)}</td>{(["untaught", "as_learned"] as const).map((k) => <td class="right">{sayQuantity({ value: r[k], low: r.interval?.[k]?.[0] ?? r[k], high: r.interval?.[k]?.[1] ?? r[k], unit: r.unit }).full}</td>)}<td class="right">{figures(Math.abs(r.off_by_sigmas), 0.5)} sd</td></tr>)}</tbody></table></div> : null}
      {b.refused?.length ? <ul>{b.refused.map((r) => <li>Set aside: {r.reading}: {r.why}.</li>)}</ul> : null}
      {b.told_together?.length ? <p class="aside">Told only together: {b.told_together.join(", ")}.</p> : null}
      {b.next?.length ? <section><h3>What would tell the most</h3><ol>{b.next.map((t) => <li><b>{t.name}</b> <span class="aside">({t.where})</span>: {t.steps.join("; ")}.{t.gains?.length ? <div class="aside">Doubt after it: {t.gains.map((g) => `${g.what} ${Math.round((100 * g.sigma_then) / (g.sigma_now || 1))} % of today's`).join(", ")}.</div> : null}</li>)}</ol></section> : null}
      <Cautions of={b.cautions} />
    </>
  );
}
