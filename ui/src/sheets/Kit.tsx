// A kit, weighed and measured one tool after the other. Answers stay in this
// browser until the build is made: the scale is in another room.
import { useState } from "preact/hooks";
import type { KitAsk, KitMade, KitSteps } from "../api";
import { RefusalStrip } from "../bits/Refusal";
import { addressOf } from "../state/route";
import { loadHangar, say, units } from "../state/shop";
import { asRefusal, get, post, type Refusal } from "../wire/client";

type Said = Record<string, string>;
const shelf = "kit-answers";
function kept(): Said { try { return JSON.parse(localStorage.getItem(shelf) ?? "{}") as Said; } catch { return {}; } }

export function Kit() {
  const [said, set] = useState<Said>(kept);
  const [asks, setAsks] = useState<KitAsk[] | null>(null);
  const [whole, setWhole] = useState(false);
  const [made, setMade] = useState<KitMade | null>(null);
  const [wrong, setWrong] = useState<Refusal | null>(null);
  const n = Object.values(said).filter((v) => v.trim()).length;
  const fetchAsks = async (layout: string): Promise<void> => {
    try { setAsks((await get<KitSteps>("/kit" + (layout ? `?layout=${encodeURIComponent(layout)}` : ""))).steps); setWrong(null); } catch (e) { setWrong(asRefusal(e)); }
  };
  const put = (key: string, v: string): void => {
    const next = { ...said, [key]: v };
    set(next);
    setMade(null);
    localStorage.setItem(shelf, JSON.stringify(next));
    if (key === "layout") void fetchAsks(v);
  };
  const answers = (): Said => Object.fromEntries(Object.entries(said).filter(([, v]) => v.trim() !== ""));
  const send = async (look: boolean): Promise<void> => {
    try {
      const m = await post<KitMade>("/hangar/kit", { answers: answers(), ...(look ? { look: true } : {}) });
      setWrong(null);
      setMade(m);
      if (look) return;
      localStorage.removeItem(shelf);
      await loadHangar();
      location.hash = addressOf(m.file);
    } catch (e) { setMade(null); setWrong(asRefusal(e)); }
  };
  const bring = async (f: File | undefined): Promise<void> => {
    if (!f) return;
    try {
      const u = await post<{ id: string }>(`/uploads?name=${encodeURIComponent(f.name)}`, f);
      const { answers: a } = await post<{ answers: Said }>("/kit/answers", { upload: u.id });
      const next = { ...said, ...a };
      set(next);
      localStorage.setItem(shelf, JSON.stringify(next));
      setWrong(null);
      await fetchAsks(next["layout"] ?? "");
      say(`${Object.keys(a).length} answers taken from ${f.name}.`);
    } catch (e) { setWrong(asRefusal(e)); }
  };
  if (!asks) return (
    <p><button type="button" class="act" onClick={() => void fetchAsks(said["layout"] ?? "")}>{n ? `Go on weighing (${n} answers)` : "Begin weighing and measuring"}</button> <span class="aside">Kitchen scale, ruler, callipers; the manual's words become limits and claims.</span>{wrong ? <RefusalStrip of={wrong} /> : null}</p>
  );
  const shown = asks.filter((s) => whole || s.core || s.key === "name" || said[s.key]?.trim());
  const tools = [...new Set(shown.map((s) => s.tool))];
  return (
    <form class="kit" onSubmit={(e) => { e.preventDefault(); void send(false); }}>
      {tools.map((t) => (
        <fieldset class="kit-tool"><legend>{t}</legend><div class="entry-fields">
          {shown.filter((s) => s.tool === t).map((s) => {
            const id = "kit-" + s.key.replace(/\W+/g, "-");
            return (
              <div class="option"><label for={id}>{s.ask}{whole && s.core ? <span class="aside"> (one of the dozen)</span> : null}</label>
                {s.words?.length ? <select id={id} value={said[s.key] ?? ""} onChange={(e) => put(s.key, e.currentTarget.value)}><option value="">not said</option>{s.words.map((w) => <option value={w}>{w}</option>)}</select>
                  : <input id={id} value={said[s.key] ?? ""} placeholder={s.example} autocomplete="off" {...(s.how ? { "aria-describedby": id + "-how" } : {})} onInput={(e) => put(s.key, e.currentTarget.value)} />}
                {s.how ? <div class="aside" id={id + "-how"}>{s.how}</div> : null}
              </div>
            );
          })}
        </div></fieldset>
      ))}
      {whole ? null : <p>These are the dozen that a useful answer needs; every further one narrows the doubt.</p>}
      <p class="aside">{n} of {asks.length} answered; kept in this browser until she is on the board. A doubt may be written after a value: {units.value === "imperial" ? "9.1 oz ± 0.1 oz" : "258 g ± 2 g"}.</p>
      {made && !made.file ? <div class="kit-open" role="status"><p>{made.open.length ? <>Still open, taken from experience meanwhile: {made.open.filter((o) => o.core).length ? <>of the dozen <b>{made.open.filter((o) => o.core).map((o) => o.ask.toLowerCase()).join("; ")}</b>, and </> : null}{made.open.filter((o) => !o.core).length} others.</> : "Nothing is open."}</p>{made.notes.length ? <ul>{made.notes.map((x) => <li>{x}</li>)}</ul> : null}</div> : null}
      {wrong ? <RefusalStrip of={wrong} close={() => setWrong(null)} /> : null}
      <button type="submit" class="act act-strong" disabled={!n}>Put it on the board</button>
      <button type="button" class="act" disabled={!n} onClick={() => void send(true)}>What is still open?</button>
      <button type="button" class="word-button" aria-expanded={whole} onClick={() => setWhole(!whole)}>{whole ? "Only the dozen" : `All ${asks.length}`}</button>
      <p><a class="act" href={`/api/kit/sheet${said["layout"] ? `?layout=${encodeURIComponent(said["layout"])}` : ""}`} download="kit-sheet.yaml">The sheet to fill in</a>{" "}
        <label class="act">Take in a filled sheet<input class="unseen" type="file" onChange={(e) => void bring(e.currentTarget.files?.[0])} /></label>{" "}
        {n ? <button type="button" class="word-button" onClick={() => { set({}); setMade(null); localStorage.removeItem(shelf); }}>Clear all answers</button> : null}</p>
    </form>
  );
}
