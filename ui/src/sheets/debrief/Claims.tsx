import { build, units } from "../../state/shop";
import { ValueList, valuesUnder } from "../../draft/slip";
import { AddItem } from "../TextView";
import { Spans } from "../../plot/Spans";
import type { Claim, DebriefBody } from "../../wire/debrief";
import { debriefWork } from "./work";

/** Claims of the build, and what the logs say to them. */
export function Claims() {
  const body = debriefWork().value.answer?.body as DebriefBody | undefined;
  const judged: Claim[] = body ? (body.claims?.length ? body.claims : body.logs?.flatMap((l) => l.claims ?? []) ?? []) : [];
  const given = valuesUnder("claims");
  return (
    <section class="detail" id="claims" aria-labelledby="claims-title">
      <h2 id="claims-title"><span class="balloon">8</span> Claims</h2>
      {judged.length ? <ul class="plain claims">{judged.map((c) => (
        <li>
          <p><b class={`claim claim-${c.status.replace(" ", "-")}`}>{c.status}</b> {c.claim}{c.by ? <span class="aside">, says the {c.by}</span> : null}{c.probability !== null ? <span class="aside">; probability that it is met {c.probability < 0.001 ? "below 0.1 %" : c.probability > 0.999 ? "above 99.9 %" : `${Math.round(1000 * c.probability) / 10} %`}</span> : null}</p>
          <Spans label={c.claim} rows={[{ label: "", marks: [{ name: "claimed", q: c.claimed, form: "stroke" }, { name: "measured", q: c.measured, form: "diamond" }, { name: "forecast", q: c.predicted, form: "ring" }] }]} />
          <p class="aside">{c.because[0]!.toUpperCase() + c.because.slice(1)}.</p>
          {c.status !== "shown" && c.settle ? <p>What would settle it: {c.settle}.</p> : null}
        </li>))}</ul>
        : <p class="aside">{given.length ? "No log says yet what it really did." : `${build.value?.file} holds no claims: add one below.`}</p>}
      {given.length ? <ValueList list={given} under="claims" /> : null}
      <AddItem only="claims" hints={{ what: { say: "as in top speed, endurance, take-off mass", example: "top speed" }, value: { say: "with its unit", example: units.value === "imperial" ? "146 mph" : "235 km/h" }, by: { say: "who says so", example: "maker" } }} />
    </section>
  );
}
