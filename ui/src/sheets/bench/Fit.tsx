import { CopyDrawn } from "../../plot/copy";
import { signal } from "@preact/signals";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Drawing } from "../../draft/Drawing";
import { planY, px, sideY, type Frame } from "../../draft/frame";
import { Mark } from "../../ink/marks";
import { figures, sayLength } from "../../state/say";
import { drawing } from "../../state/shop";
import type { FitBody } from "../../wire/bodies";
import { Detail } from "../Detail";

type Wire = FitBody["harness"][number];
const lit = signal<number | null>(null);
const all = signal(false);

export function Fit() {
  return (
    <Detail<FitBody> id="fit" title="Fit and wiring" question={1} verb="fit">
      {(b) => {
        const odd = b.results.filter((r) => r.status !== "pass" && r.status !== "ok"), fine = b.results.filter((r) => r.status === "pass" || r.status === "ok");
        const d = drawing.value;
        return (
          <>
            <Results of={odd} />
            {fine.length ? <><button type="button" class="word-button" aria-expanded={all.value} onClick={() => { all.value = !all.value; }}><Mark status="pass" /> {fine.length} places are free {all.value ? "\u2212" : "+"}</button>{all.value ? <Results of={fine} /> : null}</> : null}
            {d && b.harness.some((h) => h.way_m?.length) ? (
              <figure class="plot plot-narrow"><Drawing drawing={d} still tall={430}>{(f) => <Wires f={f} of={b.harness} />}</Drawing><figcaption>The wires as they run; point at a row below to see one <CopyDrawn name="wires" /></figcaption></figure>
            ) : null}
            {b.harness.length ? (
              <div class="wide" tabIndex={0} role="region" aria-label="Wires to cut">
                <table><caption>Wires to cut</caption>
                  <thead><tr><th scope="col">wire</th><th scope="col">from</th><th scope="col">to</th><th scope="col" class="right">cut</th><th scope="col" class="right">wires</th><th scope="col" class="right">gauge</th><th scope="col" class="right">drop</th><th scope="col">plug</th><th scope="col">solder</th></tr></thead>
                  <tbody>{b.harness.map((h, i) => <tr onMouseEnter={() => { lit.value = i; }} onMouseLeave={() => { lit.value = null; }}><th scope="row">{h.name}</th><td>{h.from}</td><td>{h.to}</td><td class="right">{sayLength(h.length_m)}</td><td class="right">{h.wires}</td><td class="right">{h.gauge_awg} AWG</td><td class="right">{figures(h.drop_v * 1000)} mV</td><td>{h.connector}</td><td>{h.solder}</td></tr>)}</tbody>
                </table>
              </div>
            ) : null}
            {b.motor_turns ? <p>{b.motor_turns[0]?.toUpperCase()}{b.motor_turns.slice(1)}.</p> : null}
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

function Results({ of }: { of: FitBody["results"] }) {
  return (
    <ul class="plain">{of.map((r) => (
      <li><Mark status={r.status} word={r.status !== "pass"} /> {r.label}{r.room?.value != null ? <>: <Quantity q={r.room} /> of room</> : null}
        <span class="aside"> {r.because}</span>
        {r.cures?.length ? <ul>{r.cures.map((c) => <li>{c.say}{c.weakens ? <span class="aside"> (weakens {c.weakens})</span> : null}</li>)}</ul> : null}</li>
    ))}</ul>
  );
}

function Wires({ f, of }: { f: Frame; of: Wire[] }) {
  const now = lit.value;
  return <g class="wires" aria-hidden="true">{of.map((h, i) => {
    if (!h.way_m?.length) return null;
    const path = (fy: (p: [number, number, number]) => number): string => "M" + h.way_m!.map((p) => `${px(f, p[0]).toFixed(1)} ${fy(p).toFixed(1)}`).join("L");
    const w = Math.max(0.8, 3.2 - h.gauge_awg / 12);
    return <g class={now === i ? "wire lit" : "wire"} style={{ strokeWidth: now === i ? 4 : w }}><path d={path((p) => planY(f, p[1]))} /><path d={path((p) => sideY(f, p[2]))} /></g>;
  })}</g>;
}
