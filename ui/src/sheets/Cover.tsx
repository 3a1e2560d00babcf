// The hangar: builds on hand, examples, and the five-question start.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { Lettered } from "../ink/Lettered";
import { Kit } from "./Kit";
import { RefusalStrip } from "../bits/Refusal";
import { addressOf } from "../state/route";
import { hangar, loadHangar, refused } from "../state/shop";
import { asRefusal, at, get, post, Refusal } from "../wire/client";
import type { HangarBuild, Question } from "../wire/types";

const questions = signal<Question[] | null>(null);

async function putOnBoard(ask: Promise<{ file: string }>): Promise<void> {
  try {
    const { file } = await ask;
    await loadHangar();
    location.hash = addressOf(file);
  } catch (e) { refused.value = asRefusal(e); }
}

export function Cover() {
  const h = hangar.value;
  useEffect(() => {
    if (!questions.value) get<{ questions: Question[] }>("/questions").then((q) => { questions.value = q.questions; }, () => undefined);
  }, []);
  if (!h) return <p class="aside" aria-busy="true">Opening the hangar...</p>;
  const first = h.builds.length === 0;
  return (
    <div class="cover">
      <div class="sheet-head"><h1><Lettered text="Will it go?" size={30} weight={1.3} /></h1><p class="aside">{h.folder}</p></div>
      {first ? <p class="lead">The hangar is empty. Take an example to see the whole job in a minute, or answer five questions about your own aeroplane. Nothing leaves this machine.</p> : (
        <section aria-labelledby="on-hand">
          <h2 id="on-hand">On hand</h2>
          <ul class="builds">{h.builds.map((b) => <Build b={b} key={b.file} />)}</ul>
        </section>
      )}
      <div class={`starts${first ? " starts-first" : ""}`}>
        <section aria-labelledby="own"><h2 id="own">{first ? "Your own, from five answers" : "A new one, from five answers"}</h2><Start /></section>
        <section aria-labelledby="examples"><h2 id="examples">Examples to take apart</h2>
          <ul class="plain">{h.examples.map((x) => (
            <li class="example"><button type="button" class="act" onClick={() => void putOnBoard(post("/hangar/example", { name: x.name }))}>{x.name.replace(/\.ya?ml$/, "").replaceAll("-", " ")}</button> <span class="aside">{x.say.replaceAll("`", "")}</span></li>
          ))}</ul>
        </section>
      </div>
      <section aria-labelledby="kit"><h2 id="kit">A kit on the bench, weighed and measured</h2><Kit /></section>
    </div>
  );
}

function Build({ b }: { b: HangarBuild }) {
  const [to, set] = useState<string | null>(null);
  return (
    <li class="build">
      <a href={addressOf(b.file)} class="build-name"><Lettered text={b.name || b.file} size={17} /></a>
      <span class="aside">{b.file}, changed {new Date(b.modified).toLocaleDateString()}{b.ok ? "" : `. ${b.problem ?? "There is something wrong in it."}`}</span>
      {to === null ? <button type="button" class="word-button" aria-label={`Copy ${b.file}`} onClick={() => set(b.file.replace(/\.ya?ml$/, "") + "-2.yaml")}>Copy</button> : (
        <form class="inline-form" onSubmit={(e) => { e.preventDefault(); void putOnBoard(post(at(b.file, "/copy"), { to })); }}>
          <label>as <input value={to} onInput={(e) => set(e.currentTarget.value)} /></label><button class="act" type="submit">Copy</button><button type="button" class="word-button" onClick={() => set(null)}>Leave it</button>
        </form>
      )}
    </li>
  );
}

/** A refusal of an answer names the question, not the command's flag. */
function asked(r: Refusal, qs: Question[]): Refusal {
  const say = (t: string): string => t.replace(/^--([a-z-]+)\b/, (all, key: string) => qs.find((q) => q.key === key)?.ask ?? all);
  return new Refusal(r.status, { ...r.body, message: say(r.body.message), ...(r.body.diagnostics ? { diagnostics: r.body.diagnostics.map((d) => ({ ...d, message: say(d.message) })) } : {}) });
}

function Start() {
  const [answers, set] = useState<Record<string, string>>({});
  const [more, setMore] = useState(false);
  const [wrong, setWrong] = useState<Refusal | null>(null);
  const qs = questions.value;
  if (!qs) return <p class="aside">...</p>;
  const shown = qs.filter((q) => q.first || more);
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    try {
      const said = Object.fromEntries(Object.entries(answers).filter(([, v]) => v.trim() !== ""));
      const { file } = await post<{ file: string }>("/hangar/new", { answers: said });
      await loadHangar();
      location.hash = addressOf(file);
    } catch (x) { setWrong(asked(asRefusal(x), qs)); }
  };
  return (
    <form class="questions" onSubmit={(e) => void send(e)}>
      {shown.map((q) => {
        const id = "ask-" + q.key;
        return (
          <div class="question"><label for={id}>{q.ask}</label>
            {q.words?.length ? <select id={id} value={answers[q.key] ?? ""} onChange={(e) => set({ ...answers, [q.key]: e.currentTarget.value })}><option value="">not said</option>{q.words.map((w) => <option value={w}>{w}</option>)}</select>
              : <input id={id} value={answers[q.key] ?? ""} placeholder={q.example} autocomplete="off" onInput={(e) => set({ ...answers, [q.key]: e.currentTarget.value })} />}
          </div>
        );
      })}
      <p class="aside">What you leave open is assumed, marked so, and widens the doubt.</p>
      {wrong ? <RefusalStrip of={wrong} /> : null}
      <button type="submit" class="act act-strong">Put it on the board</button>
      {qs.some((q) => !q.first) ? <button type="button" class="word-button" aria-expanded={more} onClick={() => setMore(!more)}>{more ? "Only the five" : "More questions"}</button> : null}
    </form>
  );
}
