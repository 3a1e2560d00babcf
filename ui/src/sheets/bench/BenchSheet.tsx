// The bench sheet's top: the drawing, the verdict and the notes on it.
import { useEffect } from "preact/hooks";
import { Busy } from "../../bits/Busy";
import { Cautions } from "../../bits/Cautions";
import { Board } from "../../draft/Board";
import { putOnSlip, Slip } from "../../draft/slip";
import { Stamp } from "../../ink/marks";
import { sentence } from "../../state/say";
import { build, etag, loading, units, values } from "../../state/shop";
import { todayKey } from "../../state/today";
import { run, stale, work } from "../../state/work";
import type { CheckBody } from "../../wire/types";
import { Worded } from "../../bits/Term";
import { askFor } from "../Detail";
import { Tried } from "./try";

/** The check of the build on the board, worked out anew after each change, once she is drawn. */
export function useCheck() {
  const w = work<CheckBody>("check");
  useEffect(() => {
    const now = w.peek();
    if (!loading.value && build.peek()?.ok && (now.state === "empty" || stale(now))) void run("check", askFor("check"));
  }, [etag.value, units.value, todayKey.value, loading.value]);
  return w;
}

export function Verdict({ b, old }: { b: CheckBody; old: boolean }) {
  return (
    <div class={`verdict${old ? " stale" : ""}`}>
      <Stamp word={b.verdict} />
      <p><Worded>{sentence(b.because)}</Worded></p>
    </div>
  );
}

export function BenchSheet() {
  const w = useCheck();
  const b = w.value.answer?.body;
  const again = (): void => { void run("check", askFor("check")); };
  return (
    <>
      <Board findings={b?.findings ?? []}>
        {b ? <Verdict b={b} old={stale(w.value)} /> : <div class="verdict"><Stamp word={null} /></div>}
        <Busy of={w} name="The whole check" again={again} />
        <Slip />
        <Tried />
      </Board>
      {b?.measure_next.length ? (
        <section class="measure" aria-labelledby="measure-title"><h2 id="measure-title">Measure next</h2>
          <ul>{b.measure_next.map((m) => <li><span class="share" aria-hidden="true"><Tally share={m.share} /></span> <Input path={m.input} label={m.label} />: {m.how}. <span class="aside">{Math.round(m.share * 100)} % of the doubt in the odds.</span></li>)}</ul>
        </section>
      ) : null}
      {b?.cautions.length ? <Cautions of={b.cautions} /> : null}
    </>
  );
}

/** An input by its name; one of the file's is put on the slip by it. */
function Input({ path, label }: { path: string; label: string }) {
  const v = values.value.get(path);
  if (v) return <button type="button" class="word-button" title={path} onClick={() => { putOnSlip(path); document.querySelector(".board")?.scrollIntoView(); }}><b>{whole(path, v.label)}</b></button>;
  return <b>{label || path.replace(/_/g, " ")}</b>;
}

/** A value's name with the thing it is of, where its label does not say it. */
function whole(path: string, label: string): string {
  const of = path.split(".").slice(1, -1).filter((k) => k !== "at").map((k) => k.replace(/^stations\[(\d+)\]$/, (_, n: string) => `station ${Number(n) + 1}`).replace(/_/g, " ")).filter((k) => !(k.startsWith("station ") && /station \d/.test(label)) && !label.toLowerCase().includes(k.toLowerCase()));
  return [...of, label.replace(/station (\d+)/, (_, n: string) => `station ${Number(n) + 1}`)].join(", "); // people count from 1
}

/** A share as a hatched strip. */
function Tally({ share }: { share: number }) {
  return <svg width="64" height="12" viewBox="0 0 64 12"><rect x=".5" y=".5" width="63" height="11" class="ink1" /><rect x=".5" y=".5" width={63 * share} height="11" fill="url(#hatch)" class="ink1" /></svg>;
}
