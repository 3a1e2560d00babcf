// The whole sortie as one stream of flights: at each stage some are lost, what
// is left goes on; where they are lost, why, and what would keep them.
import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Worded } from "../../bits/Term";
import { useWidth } from "../../draft/Drawing";
import { FindingFigures } from "../../draft/Board";
import { Mark } from "../../ink/marks";
import { figures, sentence } from "../../state/say";
import { work } from "../../state/work";
import type { RadioBody } from "../../wire/bodies";
import type { SortieBody } from "../../wire/more";
import type { CheckBody, Finding } from "../../wire/types";
import { Detail } from "../Detail";
import { TryButton } from "../TryButton";
import "../drawn.css";

/** Findings that say why a stage fails, and the detail that has it whole. */
const whys: Record<string, { ids: string[]; place: string; whole: string }> = {
  launch: { ids: ["launch-odds"], place: "launch", whole: "the launch" },
  link: { ids: ["link-margin"], place: "radio", whole: "radio and video" },
  reserve: { ids: ["reserve"], place: "fly", whole: "how long she flies" },
  landing: { ids: ["landing", "go-round"], place: "land", whole: "the landing" },
};
const pct = (v: number | null): string => (v === null ? "\u2013" : v > 0 && v < 0.005 ? "below 1 %" : v < 1 && v > 0.995 ? "above 99 %" : `${Math.round(100 * v)} %`);

export function Sortie() {
  return (
    <Detail<SortieBody> id="sortie" title="The whole sortie" question={7} verb="sortie">
      {(b) => {
        const check = work<CheckBody>("check").value.answer?.body, radio = work<RadioBody>("radio").value.answer?.body;
        const best = b.stages.filter((s) => s.asked && s.chance_if_sure !== null).sort((p, q) => (q.chance_if_sure ?? 0) - (p.chance_if_sure ?? 0))[0];
        return (
          <>
            <p class="lesson"><b><Quantity q={b.chance} share /></b> of the sorties bring her home whole, counted in {b.n}.{b.flights_per_loss !== null ? ` One loss in ${figures(b.flights_per_loss, 0.1 * b.flights_per_loss)} flights.` : " None was lost in the count."}{best && (best.chance_if_sure ?? 0) > (b.chance.value ?? 0) + 0.005 ? ` Were the ${best.stage} sure, it would be ${pct(best.chance_if_sure)}.` : ""}</p>
            <Stream b={b} />
            <ol class="stages">{b.stages.map((s) => (
              <li class={s.asked ? "" : "aside"}>
                <h3>{s.stage}: {s.asked ? <>{pct(s.chance)} go well{(s.first_to_fail ?? 0) > 0 ? <>, <b class="loss">{pct(s.first_to_fail)} are lost here</b></> : ""}</> : "not asked"}</h3>
                {s.asked ? <Why stage={s.stage} of={b.findings} check={check} /> : null}
                {s.stage === "link" && radio?.signal_lost?.length ? <p class="aside">Lost there: {grouped(radio.signal_lost).join("; ")}.</p> : null}
                <p class="aside">{sentence(s.why)}{s.asked ? ` Were it sure, ${pct(s.chance_if_sure)} would come home.` : ""}</p>
              </li>))}</ol>
            <p class="aside">Multiplied as if they were strangers the chances would give {pct(b.product)}; the same mass, wind, drag and pack spoil or spare them together.</p>
            {b.value_eur !== null ? <p>The priced parts are worth {figures(b.value_eur)} EUR{b.cost_per_flight_eur !== null ? `: a flight costs ${figures(b.cost_per_flight_eur)} EUR in losses and wear` : ""}.</p> : <p class="aside">No part has a price (<i>price:</i> of a part), so no cost of a flight is told.</p>}
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

/** The same end said once, with the legs it is the end of. */
function grouped(of: NonNullable<RadioBody["signal_lost"]>): string[] {
  const by = new Map<string, string[]>();
  for (const l of of) by.set(l.say, [...(by.get(l.say) ?? []), l.leg]);
  return [...by].map(([say, legs]) => `${say} (${legs.map((g) => g.replace(/, picture$/, "")).filter((g, i, all) => all.indexOf(g) === i).join(", ")})`);
}

function Why({ stage, of, check }: { stage: string; of: Finding[]; check: CheckBody | undefined }) {
  const w = whys[stage];
  if (!w) return null;
  const list = of.filter((f) => w.ids.includes(f.id));
  return (
    <ul class="plain">{list.map((f) => {
      const remedies = check?.findings.find((c) => c.id === f.id && c.label === f.label)?.remedies ?? f.remedies;
      return <li><Mark status={f.status} /> <Worded>{f.label}</Worded>: <FindingFigures f={f} />
        {f.status !== "pass" ? <div>{sentence(f.because)} {remedies.slice(0, 2).map((r) => <span class="stage-remedy">{r.say} {r.set.length ? <TryButton sets={r.set} say={r.say} finding={f.id} /> : null}</span>)}
          <a href={"#" + w.place} onClick={(e) => { e.preventDefault(); document.getElementById(w.place)?.scrollIntoView(); }}>More of {w.whole}</a></div> : null}</li>;
    })}</ul>
  );
}

/** One band, as wide as what is left; what is lost turns down and ends. */
function Stream({ b }: { b: SortieBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const small = w < 560, n = b.stages.length, left = 8, right = small ? 8 : 92, thick = small ? 74 : 110, top = 34;
  const step = (w - left - right) / (n + (small ? 0.6 : 0.25)), ground = top + thick + (small ? 84 : 74);
  let share = 1, x = left, lower = "";
  const widest = Math.max(...b.stages.map((s) => s.first_to_fail ?? 0)) * thick, shrink = Math.min(1, (step * 0.42) / Math.max(1, widest));
  const marks: preact.JSX.Element[] = [];
  b.stages.forEach((s, i) => {
    const lost = s.first_to_fail ?? 0, next = Math.max(0, share - lost);
    const y1 = top + share * thick, y2 = top + next * thick, gate = x + step * 0.45, wide = Math.max(2, lost * thick * shrink), foot = gate + step * 0.14;
    lower += `H${gate.toFixed(1)}V${y2.toFixed(1)}`;
    if (lost > 0) marks.push(
      <g>
        <path class="stream stream-lost" fill="url(#hatch-red)" d={`M${gate} ${y2}V${y1}C${foot} ${y1} ${foot} ${y1 + 14} ${foot} ${ground - 12}h${wide}C${foot + wide} ${y2 + 14} ${foot + wide * 0.8} ${y2} ${gate + 1} ${y2}Z`} />
        <path class="curve curve-fail curve-cross" d={`M${foot} ${ground - 4}l9 9m0 -9l-9 9`} />
        <text class="label label-red label-back" x={foot + 14} y={ground + 6} font-size={small ? 12 : 13}>{pct(lost)}{small ? "" : " lost"}</text></g>);
    marks.push(
      <g>
        <path class="ink2" d={`M${gate} ${top - 9}V${top + thick + 8}`} stroke-dasharray="5 3" />
        <text class="label label-strong label-back" x={gate} y={top - 14} text-anchor="middle" font-size={small ? 12 : 13.5}>{s.stage}</text>
        {small ? null : <text class="label label-back" x={gate - 5} y={top + thick + 22} text-anchor="end" font-size="12">{s.asked ? `${pct(s.chance)} go well` : "not asked"}</text>}
      </g>);
    share = next; x = left + step * (i + 1);
  });
  const end = top + share * thick;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={ground + 24} role="img" class="sortie-stream" aria-label={`Of all sorties: ${b.stages.map((s) => `${pct(s.first_to_fail)} lost at the ${s.stage}`).join(", ")}; ${pct(b.chance.value)} come home whole`}>
        <path class="stream" d={`M${left} ${top}V${top + thick}${lower}H${w - right - 6}V${top}Z`} fill="url(#hatch)" />
        {marks}
        {small ? <text class="label label-strong label-back" x={w - 10} y={top + thick + 22} text-anchor="end" font-size="13">{pct(b.chance.value)} home whole</text>
          : <><text class="label label-strong" x={w - right + 2} y={(top + end) / 2} font-size="15">{pct(b.chance.value)}</text><text class="label" x={w - right + 2} y={(top + end) / 2 + 17} font-size="12">home whole</text></>}
      </svg>) : null}</div><figcaption>Launch, link, reserve and landing in the same draws; the band's width is what is left of all sorties <CopyDrawn name="sortie" /></figcaption></figure>
  );
}
