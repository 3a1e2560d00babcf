import { useState } from "preact/hooks";
import { Plot } from "../../plot/Plot";
import { drawing } from "../../state/shop";
import { run } from "../../state/work";
import type { PolarBody } from "../../wire/bodies";
import { optionsOf } from "../../bits/Options";
import { Drop, dropped } from "../../bits/Drop";
import { Detail } from "../Detail";

const saidOptions = () => optionsOf("section").options ?? {};

/** Lift and drag of one of the build's wing sections. */
export function Section() {
  const known = [...new Set(drawing.value?.surfaces.flatMap((s) => s.stations.map((t) => t.section)).filter(Boolean) ?? [])];
  const [name, set] = useState("");
  const section = name || known[0] || "NACA 2409";
  const file = dropped("section");
  const more = file ? { uploads: [file.id], options: saidOptions() } : { options: { section, ...saidOptions() } };
  return (
    <Detail<PolarBody> id="section" title="Wing sections" verb="polar" more={more} hide={["section"]} onAsk="Lift, drag and moment of a wing section at the Reynolds numbers of model flight."
      intro={<form class="inline-form no-print" onSubmit={(e) => { e.preventDefault(); void run("section", { verb: "polar", ...more }); }}><label>Section <input list="sections" value={section} onInput={(e) => set(e.currentTarget.value)} /></label><datalist id="sections">{known.map((k) => <option value={k} />)}</datalist><button class="act" type="submit">Work it out</button><Drop id="section" what="or a file of coordinates" /></form>}>
      {(b, a) => {
        const res = [...new Set(b.points.map((p) => p.re))];
        const of = (re: number) => b.points.filter((p) => p.re === re && p.status === "ok");
        return (
          <div class="plots">
            <Plot title={`${b.section}: lift against drag`} x={{ label: "drag coefficient", min: 0 }} y={{ label: "lift coefficient" }} height={340} copy={a.charts?.[0]}
              series={res.map((re, i) => ({ name: `Re ${re / 1000}k`, ink: i, x: of(re).map((p) => p.cd), y: of(re).map((p) => p.cl) }))} />
            <Plot title="Lift against angle of attack" x={{ label: "angle of attack, °" }} y={{ label: "lift coefficient" }} height={340} copy={a.charts?.[0]}
              series={res.map((re, i) => ({ name: `Re ${re / 1000}k`, ink: i, x: of(re).map((p) => p.alpha_deg), y: of(re).map((p) => p.cl) }))} />
          </div>
        );
      }}
    </Detail>
  );
}
