import { Cautions } from "../../bits/Cautions";
import { Mark } from "../../ink/marks";
import { figures, sayLength } from "../../state/say";
import type { FitBody } from "../../wire/bodies";
import { Detail } from "../Detail";

const as: Record<string, string> = { ok: "pass", fails: "fail", fouls: "fail", unknown: "unknown", tight: "doubtful" };

export function Fit() {
  return (
    <Detail<FitBody> id="fit" title="Fit and wiring" question={1} verb="fit">
      {(b) => (
        <>
          {b.results.length ? <ul class="plain">{b.results.map((r) => (
            <li><Mark status={as[r.status] ?? (r.room_m !== null && r.room_m < r.wanted_m ? "fail" : "unknown")} /> {r.label}{r.room_m !== null ? <>: {sayLength(r.room_m)} free</> : null}
              {r.status !== "ok" ? <span class="aside"> {r.because}</span> : null}
              {r.cures?.length ? <ul>{r.cures.map((c) => <li>{c.say}{c.weakens ? <span class="aside"> (weakens {c.weakens})</span> : null}</li>)}</ul> : null}</li>
          ))}</ul> : null}
          {b.harness.length ? (
            <div class="wide" tabIndex={0} role="region" aria-label="Wires to cut">
              <table><caption>Wires to cut</caption>
                <thead><tr><th scope="col">wire</th><th scope="col">from</th><th scope="col">to</th><th scope="col" class="right">cut</th><th scope="col" class="right">wires</th><th scope="col" class="right">gauge</th><th scope="col" class="right">drop</th><th scope="col">solder</th></tr></thead>
                <tbody>{b.harness.map((h) => <tr><th scope="row">{h.name}</th><td>{h.from}</td><td>{h.to}</td><td class="right">{sayLength(h.length_m)}</td><td class="right">{h.wires}</td><td class="right">{h.gauge_awg} AWG</td><td class="right">{figures(h.drop_v * 1000)} mV</td><td>{h.solder}</td></tr>)}</tbody>
              </table>
            </div>
          ) : null}
          {b.motor_turns ? <p>{b.motor_turns}.</p> : null}
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}
