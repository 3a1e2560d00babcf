import { useState } from "preact/hooks";
import { Cautions } from "../../bits/Cautions";
import { Stamp } from "../../ink/marks";
import { sentence } from "../../state/say";
import { build, hangar } from "../../state/shop";
import { run } from "../../state/work";
import type { CompareBody } from "../../wire/bodies";
import { Spans } from "../../plot/Spans";
import { askFor, Detail } from "../Detail";
import { Overlay } from "./Overlay";

const rows: [string, string, boolean?][] = [["mass", "ready to launch"], ["static_margin", "static margin", true], ["odds", "launch odds", true], ["stall_speed", "stall speed"], ["top_speed", "top speed, level"], ["climb_rate", "climb"], ["endurance", "endurance at cruise"], ["current_max", "largest current"], ["touchdown_speed", "touchdown speed"], ["distance", "landing distance"]];

export function Compare() {
  const here = build.value?.file ?? "";
  const others = (hangar.value?.builds ?? []).filter((b) => b.file !== here && b.ok);
  const [other, set] = useState("");
  const pick = other || others[0]?.file || "";
  const ask = { files: [pick] }; // beside the build on the board
  return (
    <Detail<CompareBody> id="compare" title="Two side by side" verb="compare" more={ask} cannot={!others.length} onAsk={others.length ? "Another build of the hangar beside this one, on the same day and seed." : "There is only one build in the hangar: copy it or add an example first."}
      intro={others.length ? <form class="inline-form no-print" onSubmit={(e) => { e.preventDefault(); void run("compare", askFor("compare", ask)); }}><label>Beside it <select value={pick} onChange={(e) => set(e.currentTarget.value)}>{others.map((o) => <option value={o.file}>{o.name} ({o.file})</option>)}</select></label><button class="act" type="submit">Compare</button></form> : null}>
      {(b) => {
        const [p, q] = b.columns;
        return (
          <>
            {q ? <Overlay other={others.find((o) => q.path.endsWith(o.file))?.file ?? pick} /> : null}
            <div class="wide" tabIndex={0} role="region" aria-label="Verdicts">
              <table>
                <thead><tr><th scope="col"><span class="unseen">what</span></th>{b.columns.map((c) => <th scope="col">{c.build}<div class="aside">{c.path}</div></th>)}</tr></thead>
                <tbody>
                  <tr><th scope="row">verdict</th>{b.columns.map((c) => <td><Stamp word={c.verdict} small /><div class="aside">{sentence(c.because)}</div></td>)}</tr>
                  <tr><th scope="row">fails</th>{b.columns.map((c) => <td>{c.failing?.join(", ") || "nothing"}</td>)}</tr>
                  <tr><th scope="row">in doubt</th>{b.columns.map((c) => <td>{c.doubtful?.join(", ") || "nothing"}</td>)}</tr>
                </tbody>
              </table>
            </div>
            {p && q ? <Spans label="Numbers side by side" rows={rows.map(([k, n, share]) => ({ label: n, share: share ?? false, marks: [{ name: p.build, q: p[k], form: "diamond" as const }, { name: q.build, q: q[k], form: "ring" as const }] }))} /> : null}
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}
