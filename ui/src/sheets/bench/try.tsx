// A remedy tried: reruns the check, shows before and after, keeps or puts back.
import { computed, signal } from "@preact/signals";
import { Busy } from "../../bits/Busy";
import { Mark, Stamp } from "../../ink/marks";
import { clearTrying, edit, redraw, tryValue } from "../../state/shop";
import { sayQuantity, sentence, shares } from "../../state/say";
import { cancel, run, work } from "../../state/work";
import type { TryBody } from "../../wire/types";
import { askFor } from "../Detail";

export const tried = signal<{ sets: string[]; say: string; finding: string } | null>(null);
const key = "try";
const isTrying = computed(() => tried.value !== null);

export async function tryRemedy(sets: string[], say: string, finding: string): Promise<void> {
  clearTrying();
  for (const s of sets) { const i = s.indexOf("="); tryValue(s.slice(0, i), s.slice(i + 1)); }
  tried.value = { sets, say, finding };
  void redraw();
  const w = work<TryBody>(key);
  w.value = { ...w.value, answer: null };
  requestAnimationFrame(() => { const el = document.getElementById("tried"); el?.scrollIntoView({ block: "nearest" }); el?.focus({ preventScroll: true }); });
  await run(key, askFor("try", { sets }));
}

export async function putBack(): Promise<void> {
  await cancel(key);
  tried.value = null;
  clearTrying();
  await redraw();
}

async function keep(): Promise<void> {
  const t = tried.value;
  if (!t) return;
  clearTrying();
  if (await edit(t.sets, t.say)) tried.value = null;
}

export function Tried() {
  const t = tried.value;
  if (!isTrying.value || !t) return null;
  const w = work<TryBody>(key);
  const b = w.value.answer?.body;
  return (
    <section class="tried" id="tried" tabIndex={-1} aria-labelledby="tried-title">
      <h2 id="tried-title">Trying: {t.say}</h2>
      <Busy of={w} name="The whole check with this change" again={() => void run(key, askFor("try", { sets: t.sets }))} />
      {b ? (
        <>
          <div class="before-after">
            <div><span class="aside">before</span> <Stamp word={b.before.verdict} small /><p>{sentence(b.before.because)}</p></div>
            <svg class="then" viewBox="0 0 60 20" aria-hidden="true"><path d="M2 10H56M46 3L56 10L46 17" /></svg>
            <div><span class="aside">after</span> <Stamp word={b.after.verdict} small /><p>{sentence(b.after.because)}</p></div>
          </div>
          <div class="wide" tabIndex={0} role="region" aria-label="What changes">
            <table>
              <thead><tr><th scope="col">what changes</th><th scope="col">before</th><th scope="col">after</th></tr></thead>
              <tbody>{b.changed.map((c) => <tr><th scope="row">{c.label}</th>
                <td><Mark status={c.before.status} word /> {sayQuantity(c.before, shares.has(c.id)).full}</td>
                <td><Mark status={c.after.status} word /> {sayQuantity(c.after, shares.has(c.id)).full}</td></tr>)}</tbody>
            </table>
          </div>
        </>
      ) : null}
      <button type="button" class="act act-strong" onClick={() => void keep()}>Keep it</button>
      <button type="button" class="act" onClick={() => void putBack()}>Put it back</button>
      <span class="aside">Nothing is written until you keep it.</span>
    </section>
  );
}
