// The logbook: what was flown, launched, repaired; entries by the keys the
// server names; search, lists, export, restore, check.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { RefusalStrip } from "../../bits/Refusal";
import { file, say, tryingSets, units } from "../../state/shop";
import { bookTurn } from "../../state/today";
import { asRefusal, get, post, type Refusal } from "../../wire/client";
import { Entries, type Row } from "./Entries";
import { EntryFields, keysOf, type Key } from "./EntryFields";
import { Fold } from "./Told";
import { recordings, type Upload } from "./work";

interface Reply { plain: string; body: unknown }
interface Hit { kind: string; id: number; day?: string; column: string; text: string }
const plural: Record<string, string> = { flight: "flights", launch: "launches", repair: "repairs", pack: "packs", part: "parts", log: "logs", cycle: "cycles", reading: "readings", buy: "bought", hour: "hours", evidence: "evidence", factor: "factors" };
const page = signal<string | null>(null);
const rows = signal<Row[] | null>(null);
const hits = signal<{ words: string; list: Hit[] } | null>(null);
const none = signal(false);
const wrong = signal<Refusal | null>(null);
const shown = signal("");
const kinds = signal<string[]>([]);

async function look(kind: string): Promise<void> {
  shown.value = kind;
  hits.value = null;
  try {
    const r = await get<Reply>((kind ? `/logbook/${kind}?all=1&` : "/logbook?") + `units=${units.peek()}`);
    if (shown.peek() !== kind) return;
    page.value = r.plain;
    rows.value = kind ? ((r.body as { rows?: Row[] } | null)?.rows ?? []) : null;
    none.value = r.body === null;
    wrong.value = null;
  } catch (e) {
    const r = asRefusal(e);
    page.value = rows.value = null;
    if (r.status === 404) none.value = true;
    else wrong.value = r;
  }
}

async function search(words: string): Promise<void> {
  try {
    const r = await get<Reply>(`/logbook/search?words=${encodeURIComponent(words)}`);
    hits.value = { words, list: (r.body as { hits: Hit[] }).hits };
    wrong.value = null;
  } catch (e) {
    const r = asRefusal(e);
    if (r.status === 404) hits.value = { words, list: [] };
    else wrong.value = r;
  }
}

export function Logbook() {
  useEffect(() => { void look(shown.peek()); }, [units.value, bookTurn.value]);
  useEffect(() => { get<{ body: { kinds: string[] } }>("/logbook/keys").then((r) => { kinds.value = r.body.kinds; }, () => undefined); }, []);
  const [words, setWords] = useState("");
  return (
    <section class="detail" id="logbook" aria-labelledby="logbook-title">
      <h2 id="logbook-title">Logbook</h2>
      {wrong.value ? <RefusalStrip of={wrong.value} close={() => { wrong.value = null; }} /> : null}
      <p class="no-print logbook-kinds">{["", ...kinds.value].map((k) => <button type="button" class="word-button" aria-pressed={shown.value === k} onClick={() => void look(k)}>{k === "" ? "all in short" : plural[k] ?? k}</button>)}</p>
      <form class="inline-form no-print" role="search" onSubmit={(e) => { e.preventDefault(); if (words.trim()) void search(words.trim()); else hits.value = null; }}>
        <label>Entries that hold <input value={words} onInput={(e) => setWords(e.currentTarget.value)} /></label><button type="submit" class="act">Search</button>
        {shown.value && rows.value?.length ? <a class="act" href={`/api/logbook/${shown.value}/export`} download={`${shown.value}.csv`}>These as a table</a> : null}
        {!none.value ? <a class="act" href="/api/logbook/everything/export" download="logbook.jsonl">Everything</a> : null}
      </form>
      {hits.value ? <div class="hits" role="status">{hits.value.list.length ? <><p>{hits.value.list.length} hold “{hits.value.words}”:</p><ul class="plain">{hits.value.list.map((h) => <li><button type="button" class="word-button" onClick={() => void look(h.kind)}>{h.kind} {h.id}</button>{h.day ? `, ${h.day}` : ""}: {h.column ? `${h.column.replaceAll("_", " ")}: ` : ""}{h.text}</li>)}</ul></> : <p>Nothing holds “{hits.value.words}”.</p>}</div> : null}
      {none.value ? <p class="aside">{shown.value === "" ? "Nothing is entered yet: the first entry opens the book." : `No ${plural[shown.value] ?? shown.value} entered yet.`}</p> : rows.value?.length ? <Entries key={shown.value} kind={shown.value} rows={rows.value} again={() => void look(shown.value)} /> : rows.value ? <p class="aside">No {plural[shown.value] ?? shown.value} entered yet.</p> : page.value !== null ? <pre class="wide logbook" tabIndex={0} aria-label="Logbook">{page.value}</pre> : null}
      <Entry />
      <Care />
    </section>
  );
}

/** A new entry, by the keys of its kind. */
function Entry() {
  const [kind, setKind] = useState("flight");
  const [keys, setKeys] = useState<Key[]>([]);
  const [said, set] = useState<Record<string, string>>({});
  const [more, setMore] = useState(false);
  const [with_, setWith] = useState({ forecast: false, logs: false, card: "", sets: "", tried: false });
  const [bad, setBad] = useState<Refusal | null>(null);
  const [busy, setBusy] = useState(false);
  const blank = (list: Key[]): Record<string, string> => {
    const d = new Date(), two = (n: number): string => String(n).padStart(2, "0");
    return { ...(list.some((k) => k.key === "day") ? { day: `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}` } : {}), ...(file.value && list.some((k) => k.key === "build") ? { build: file.value } : {}) };
  };
  useEffect(() => {
    let here = true;
    keysOf(kind).then((list) => { if (here) { setKeys(list); set(blank(list)); setMore(false); } }, (e: unknown) => setBad(asRefusal(e)));
    return () => { here = false; };
  }, [kind, file.value]);
  const first = keys.filter((k) => k.needed || said[k.key] !== undefined || ["outcome", "place", "note", "text", "launched", "top_speed", "pack", "duration"].includes(k.key));
  const list = more ? keys : first.length ? first : keys.slice(0, 5);
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    setBusy(true);
    const sets = [...(with_.tried ? tryingSets.value : []), ...with_.sets.split("\n").map((l) => l.trim()).filter(Boolean)];
    try {
      const r = await post<{ body: { notes?: string[] } }>(`/logbook/${kind}`, {
        args: Object.entries(said).filter(([, v]) => v.trim() !== "").map(([k, v]) => `${k}=${v.trim()}`),
        ...(kind === "flight" && with_.forecast ? { forecast: true } : {}), ...(kind === "flight" && with_.card.trim() ? { card: with_.card.trim() } : {}),
        ...(kind === "flight" && sets.length ? { sets } : {}),
        ...(kind === "flight" && with_.logs ? { uploads: recordings().map((l) => l.id) } : {}),
      });
      set(blank(keys));
      setBad(null);
      say(["Entered.", ...(r?.body.notes ?? [])].join(" "));
      await look(shown.value);
    } catch (x) { setBad(asRefusal(x)); } finally { setBusy(false); }
  };
  return (
    <form class="entry options no-print" onSubmit={(e) => void send(e)}>
      <label>Enter a <select value={kind} onChange={(e) => setKind(e.currentTarget.value)}>{(kinds.value.length ? kinds.value : ["flight"]).map((k) => <option value={k}>{k}</option>)}</select></label>
      <EntryFields keys={list} said={said} set={set} id="entry" />
      {kind === "flight" ? <div class="entry-more">
        <label class="option-flag"><input type="checkbox" checked={with_.forecast} onChange={(e) => setWith({ ...with_, forecast: e.currentTarget.checked })} /> with a forecast of odds and top speed, to be scored later</label>
        {tryingSets.value.length ? <label class="option-flag"><input type="checkbox" checked={with_.tried} onChange={(e) => setWith({ ...with_, tried: e.currentTarget.checked })} /> flown as it is tried now: {tryingSets.value.join("; ")}</label> : null}
        {recordings().length ? <label class="option-flag"><input type="checkbox" checked={with_.logs} onChange={(e) => setWith({ ...with_, logs: e.currentTarget.checked })} /> keep the {recordings().length === 1 ? "log" : `${recordings().length} logs`} above with it</label> : null}
        {more ? <div class="option"><label for="entry-sets">how the build was set for this, one a line: <span class="aside">what differs from the file, which stays as it is</span></label><textarea id="entry-sets" rows={2} value={with_.sets} placeholder="launch.bungee.stretch=8 m" spellcheck={false} onInput={(e) => setWith({ ...with_, sets: e.currentTarget.value })} /></div> : null}
        {more ? <div class="option"><label for="entry-card">code of the flight card flown by: <span class="aside">its settings and forecast</span></label><input id="entry-card" value={with_.card} autocomplete="off" onInput={(e) => setWith({ ...with_, card: e.currentTarget.value })} /></div> : null}
      </div> : null}
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      <button type="submit" class="act" disabled={busy}>{busy ? "Entering..." : "Enter it"}</button>
      {list.length < keys.length || more ? <button type="button" class="word-button" aria-expanded={more} onClick={() => setMore(!more)}>{more ? "Only the first" : `${keys.length - list.length} more`}</button> : null}
    </form>
  );
}

/** Restoring and checking: seldom, but when it counts. */
function Care() {
  const [told, setTold] = useState("");
  const [bad, setBad] = useState<Refusal | null>(null);
  const [kind, setKind] = useState("");
  const bring = async (f: File): Promise<void> => {
    try {
      const u = await post<Upload>(`/uploads?name=${encodeURIComponent(f.name)}`, f);
      const r = await post<Reply>("/logbook/import", { upload: u.id, ...(kind ? { kind } : {}) });
      setTold(r.plain); setBad(null);
      await look(shown.value);
    } catch (x) { setBad(asRefusal(x)); }
  };
  const rescue = (): void => { post<Reply>("/logbook/rescue", {}).then(async (r) => { setTold(r.plain); setBad(null); wrong.value = null; await look(shown.value); }, (x: unknown) => setBad(asRefusal(x))); };
  const hurt = [bad, wrong.value].some((r) => r?.body.diagnostics?.some((d) => d.code === "damaged"));
  const check = (): void => { get<Reply>("/logbook/check").then((r) => { setTold(r.plain); setBad(null); }, (x: unknown) => setBad(asRefusal(x))); };
  return (
    <Fold id="book-care" title="Restore, take in, check">
      <div class="inline-form">
        <label>A table of <select value={kind} onChange={(e) => setKind(e.currentTarget.value)}><option value="">(a whole logbook)</option>{kinds.value.map((k) => <option value={k}>{plural[k] ?? k}</option>)}</select></label>
        <label class="act">Take in a file<input class="unseen" type="file" onChange={(e) => { const f = e.currentTarget.files?.[0]; if (f) void bring(f); }} /></label>
        <button type="button" class="act" onClick={check}>Hold it to its check sums</button>
      </div>
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      {hurt ? <p><button type="button" class="act" onClick={rescue}>Go on with what could be saved</button> <span class="aside">The damaged file stays in the folder under another name; nothing of it is written over.</span></p> : null}
      {told ? <pre class="logbook" tabIndex={0} aria-label="What came of it">{told}</pre> : null}
    </Fold>
  );
}
