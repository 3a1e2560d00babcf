// The logbook: what was flown, launched, repaired; entries by the keys the
// server names; lists and export.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { RefusalStrip } from "../../bits/Refusal";
import { file, say, units } from "../../state/shop";
import { asRefusal, get, post, type Refusal } from "../../wire/client";
import { Entries, type Row } from "./Entries";

interface Key { key: string; is: string; words?: string[] | null; needed: boolean; say: string }
interface Reply { plain: string; body: unknown }
const kinds: [string, string][] = [["flight", "flights"], ["launch", "launches"], ["repair", "repairs"], ["pack", "packs"], ["part", "parts"]];
const page = signal<string | null>(null);
const rows = signal<Row[] | null>(null);
const none = signal(false);
const wrong = signal<Refusal | null>(null);
const shown = signal("");

async function look(kind: string): Promise<void> {
  shown.value = kind;
  try {
    const r = await get<Reply>((kind ? `/logbook/${kind}?all=1&` : "/logbook?") + `units=${units.peek()}`);
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

export function Logbook() {
  useEffect(() => { void look(shown.peek()); }, [units.value]);
  return (
    <section class="detail" id="logbook" aria-labelledby="logbook-title">
      <h2 id="logbook-title">Logbook</h2>
      {wrong.value ? <RefusalStrip of={wrong.value} close={() => { wrong.value = null; }} /> : null}
      <p class="no-print logbook-kinds">{[["", "all in short"], ...kinds].map(([k, name]) => <button type="button" class="word-button" aria-pressed={shown.value === k} onClick={() => void look(k!)}>{name}</button>)}
        {shown.value ? <a href={`/api/logbook/${shown.value}/export`} download={`${shown.value}.csv`}>as a table file</a> : null}</p>
      {none.value ? <p class="aside">Nothing is entered yet: the first entry opens the book.</p> : rows.value?.length ? <Entries kind={shown.value} rows={rows.value} again={() => void look(shown.value)} /> : page.value !== null ? <pre class="wide logbook" tabIndex={0} aria-label="Logbook">{page.value}</pre> : null}
      <Entry />
    </section>
  );
}

/** A new entry, by the keys of its kind. */
function Entry() {
  const [kind, setKind] = useState("flight");
  const [keys, setKeys] = useState<Key[]>([]);
  const [said, set] = useState<Record<string, string>>({});
  const [more, setMore] = useState(false);
  const [bad, setBad] = useState<Refusal | null>(null);
  useEffect(() => {
    let here = true;
    get<{ body: { keys: Key[] } }>(`/logbook/keys?kind=${kind}`).then((r) => {
      if (!here) return;
      setKeys(r.body.keys);
      const d = new Date(), two = (n: number): string => String(n).padStart(2, "0");
      set({ ...(r.body.keys.some((k) => k.key === "day") ? { day: `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}` } : {}), ...(file.value && r.body.keys.some((k) => k.key === "build") ? { build: file.value } : {}) });
    }, (e: unknown) => setBad(asRefusal(e)));
    return () => { here = false; };
  }, [kind]);
  const first = keys.filter((k) => k.needed || said[k.key] !== undefined || ["outcome", "place", "note", "text"].includes(k.key));
  const list = more ? keys : first.length ? first : keys.slice(0, 5);
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    try {
      await post(`/logbook/${kind}`, { args: Object.entries(said).filter(([, v]) => v.trim() !== "").map(([k, v]) => `${k}=${v.trim()}`) });
      set({});
      setBad(null);
      say("Entered.");
      await look(shown.value);
    } catch (x) { setBad(asRefusal(x)); }
  };
  return (
    <form class="entry options" onSubmit={(e) => void send(e)}>
      <label>Enter a <select value={kind} onChange={(e) => { setKind(e.currentTarget.value); setMore(false); }}>{kinds.map(([k]) => <option value={k}>{k}</option>)}</select></label>
      <div class="entry-fields">{list.map((k) => {
        const id = `entry-${k.key}`;
        return (
          <div class="option"><label for={id}>{k.key.replaceAll("_", " ")}{k.needed ? " (needed)" : ""}: <span class="aside">{k.say}</span></label>
            {k.words?.length ? <select id={id} value={said[k.key] ?? ""} onChange={(e) => set({ ...said, [k.key]: e.currentTarget.value })}><option value="">not said</option>{k.words.map((w) => <option value={w}>{w}</option>)}</select>
              : <input id={id} value={said[k.key] ?? ""} autocomplete="off" onInput={(e) => set({ ...said, [k.key]: e.currentTarget.value })} />}</div>
        );
      })}</div>
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      <button type="submit" class="act">Enter it</button>
      {list.length < keys.length || more ? <button type="button" class="word-button" aria-expanded={more} onClick={() => setMore(!more)}>{more ? "Only the first" : `${keys.length - list.length} more`}</button> : null}
    </form>
  );
}
