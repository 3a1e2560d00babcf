import { build } from "../../state/shop";
import { ValueList, valuesUnder } from "../../draft/slip";
import { debriefWork } from "./DebriefSheet";

interface Claim { claim: string; status: string; because: string }

/** Claims of the build, and what the logs say to them. */
export function Claims() {
  const body = debriefWork().value.answer?.body as { logs?: { claims?: Claim[] }[]; claims?: Claim[] } | undefined;
  const judged = body ? [...(body.claims ?? []), ...(body.logs?.flatMap((l) => l.claims ?? []) ?? [])] : [];
  const given = valuesUnder("claims");
  return (
    <section class="detail" id="claims" aria-labelledby="claims-title">
      <h2 id="claims-title"><span class="balloon">8</span> Claims</h2>
      {judged.length ? <ul class="plain claims">{judged.map((c) => <li><b class={`claim claim-${c.status.replace(" ", "-")}`}>{c.status}</b> {c.claim}<div class="aside">{c.because}</div></li>)}</ul>
        : <p class="aside">{given.length ? "No log says yet what it really did." : `${build.value?.file} holds no claims: add some under claims: in the file.`}</p>}
      {given.length ? <ValueList list={given} under="claims" /> : null}
    </section>
  );
}
