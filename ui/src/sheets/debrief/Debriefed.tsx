// What the logs say, drawn: the flight, the passes, what was forecast beside
// what was measured and claimed, and why a launch failed.
import { useState } from "preact/hooks";
import { Cautions } from "../../bits/Cautions";
import { Charts, FileList, Folded } from "../../bits/PageView";
import { Quantity } from "../../bits/Quantity";
import { Worded } from "../../bits/Term";
import { Spans } from "../../plot/Spans";
import { figures, sayQuantity } from "../../state/say";
import type { DebriefBody, DrawnLog, LogBody } from "../../wire/debrief";
import type { Answer } from "../../wire/types";
import { TryButton } from "../TryButton";
import { Flight } from "./Flight";
import { Passes, Runs, TypedPasses } from "./Passes";
import "../../ink/debrief.css";

export function Debriefed({ a }: { a: Answer<DebriefBody> }) {
  const [which, setWhich] = useState(0);
  const b = a.body, drawn = (a.drawn ?? []) as DrawnLog[];
  const logs = b.logs ?? (b.name !== undefined ? [b as LogBody] : []);
  const n = Math.min(which, logs.length - 1), log = logs[n], curves = drawn[n];
  return (
    <section class="debriefed" aria-labelledby="debriefed-title">
      <h2 class="unseen" id="debriefed-title">What really happened</h2>
      {logs.length > 1 ? <p class="no-print log-names">{logs.map((l, i) => <button type="button" class="word-button" aria-pressed={i === n} onClick={() => setWhich(i)}>{l.name}</button>)}</p> : null}
      {log ? <LogView key={n} l={log} curves={curves} charts={a.charts} /> : null}
      {b.compared?.length ? <section><h3>Forecast, measured, claimed</h3><Spans label="Forecast, measured and claimed" rows={b.compared.map((c) => ({ label: c.what, ...(c.measured && c.note ? { say: `${c.by ? `measured by ${c.by}; ` : ""}${c.note}.` } : {}), marks: [{ name: "forecast", q: c.predicted, form: "ring" as const }, { name: "measured", q: c.measured, form: "diamond" as const }, ...(c.claimed ? [{ name: "claimed", q: c.claimed, form: "stroke" as const }] : [])] }))} /></section> : null}
      {b.post_mortem ? <Failed m={b.post_mortem} /> : null}
      <FileList of={a.files} />
      <Cautions of={b.cautions ?? log?.cautions} />
      <Folded answer={a as Answer} id="debrief-plain" />
    </section>
  );
}

function LogView({ l, curves, charts }: { l: LogBody; curves: DrawnLog | undefined; charts: Answer["charts"] }) {
  const typed = l.format === "readings" && !!l.typed_pairs?.length;
  const facts: [string, Parameters<typeof Quantity>[0]["q"] | undefined, string?][] = [
    ["two-way airspeed, level", l.two_way_airspeed ?? undefined], ["two-way speed over the ground", l.two_way_airspeed ? undefined : l.two_way_speed, typed ? undefined : l.two_way_refused], ["level airspeed, best stretch", l.level_speed, l.refused],
    ...(l.typed_pairs ?? []).filter((p) => p.best).map((p): [string, Parameters<typeof Quantity>[0]["q"]] => ["two-way speed, typed", p.two_way_speed]),
    ["largest ground speed", l.peak_ground_speed], ["past the listener, over the ground", l.flyby?.speed], ["wind", l.wind?.speed, l.wind_refused], ["at release, over the ground", l.launch?.speed_at_release],
    ["approach, over the ground", l.landing?.approach_speed ?? undefined], ["touchdown, over the ground", l.landing?.touchdown_speed], ["farthest", l.reach?.farthest], ["highest", l.reach?.highest ?? undefined], ["in the air", l.air_time?.value == null ? undefined : l.air_time],
  ];
  const flown = curves && curves.t_s.length > 1;
  return (
    <>
      {flown ? <Flight l={curves} b={l} charts={charts} /> : <div class="charts"><Charts of={(charts ?? []).filter((c) => c.title.startsWith(`${l.name}:`))} /></div>}
      <table class="facts two-up"><caption class="unseen">The flight in numbers</caption><tbody>{facts.map(([name, q, why]) => q ? <tr><th scope="row"><Worded>{name}</Worded></th><td><Quantity q={q} /></td></tr> : why ? <tr><th scope="row"><Worded>{name}</Worded></th><td class="aside">not known: {why}</td></tr> : null)}</tbody></table>
      {l.peak?.say ? <p class="aside">The fastest moment, at {figures(l.peak.at_s)} s ({l.peak.kind}): {l.peak.say}.</p> : null}
      {l.reach?.limits_passed?.map((s) => <p class="caution">{s}</p>)}
      {l.wind && (l.wind.windows?.length ?? 0) > 1 ? <WindOverTime l={l} /> : null}
      {flown ? <><Passes b={l} /><Runs b={l} /></> : null}
      <TypedPasses b={l} />
      {l.format === "readings" ? <p class="aside">{l.samples} typed reading{l.samples === 1 ? "" : "s"}, {l.used} number{l.used === 1 ? "" : "s"} made of them.</p> : <p class="aside">{l.samples} records, {l.used} used{l.dropped ? `, ${l.dropped} set aside (${(l.dropped_by ?? []).map((d) => `${d.count} ${d.reason}`).join(", ")})` : ""}{l.gaps ? `, ${l.gaps} hole${l.gaps > 1 ? "s" : ""}` : ""}.{l.noise_model ? ` ${l.noise_model}.` : ""}</p>}
      {l.remarks?.map((r) => <p class="aside">{r}.</p>)}
    </>
  );
}

function WindOverTime({ l }: { l: LogBody }) {
  return (
    <div class="wide" tabIndex={0} role="region" aria-label="The wind over time"><table><caption>The wind over time</caption><thead><tr><th scope="col">from</th><th scope="col" class="right">speed</th><th scope="col" class="right">from</th></tr></thead>
      <tbody>{l.wind!.windows!.map((x) => <tr><th scope="row">{figures(x.from_s)} to {figures(x.to_s)} s</th><td class="right">{sayQuantity({ value: x.speed_m_s, low: x.speed_m_s - 1.645 * x.speed_sd_m_s, high: x.speed_m_s + 1.645 * x.speed_sd_m_s, unit: "m/s" }).full}</td><td class="right">{Math.round(x.from_deg)}° ± {figures(2 * x.from_sd_deg, 2 * x.from_sd_deg)}°</td></tr>)}</tbody></table></div>
  );
}

/** Why the launch failed, by the launch model: each cause with what it explains. */
function Failed({ m }: { m: NonNullable<DebriefBody["post_mortem"]> }) {
  return (
    <section class="failed-launch"><h3>Why the launch failed</h3>
      <p>Told: {m.outcome}. Of {m.n} launches of the model, <Quantity q={m.share} share /> end so.{m.typical ? ` The one most like it: ${m.typical}.` : ""}</p>
      {m.status ? <p class="caution">{m.status}</p> : null}
      {m.causes?.length ? <ul class="plain causes">{m.causes.map((c) => <li>
        <b>{c.cause}</b>: alone it would have saved <Quantity q={c.explains} share /> of them. <Share of={c.explains.value} />
        {c.otherwise ? <div class="aside">End so as the build says: <Quantity q={c.as_meant} share />; with the one change: <Quantity q={c.otherwise} share />.</div> : null}
        <div>Check: {c.check}. {c.set ? <TryButton sets={[c.set]} say={c.cause} finding="launch-odds" /> : null}</div></li>)}</ul> : null}
      {m.tell_next?.length ? <><p>What would tell them apart:</p><ul>{m.tell_next.map((s) => <li>{s}</li>)}</ul></> : null}
    </section>
  );
}

export function Share({ of }: { of: number | null }) {
  return of === null ? null : <svg class="strip-mini" width="92" height="12" aria-hidden="true"><rect class="ink1" x=".5" y=".5" width="90" height="10" /><rect class="bar" x=".5" y=".5" width={Math.max(1, 90 * Math.max(0, Math.min(1, of)))} height="10" /></svg>;
}
