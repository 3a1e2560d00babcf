// The entries of one kind of the logbook as a table, on a phone as slips. An
// entry is put right with both texts kept, or struck; never rubbed out.
import { useState } from "preact/hooks";
import { say, units } from "../../state/shop";
import { figures, sayQuantity } from "../../state/say";
import { asRefusal, get, patch, post, type Refusal } from "../../wire/client";
import { RefusalStrip } from "../../bits/Refusal";
import { EntryFields, keysOf, type Key } from "./EntryFields";

export type Row = { id: number; struck?: string } & Record<string, unknown>;
const own = new Set(["id", "sum", "uid", "entered", "struck", "note"]);
const endings: [RegExp, string][] = [[/_m_s2$/, "m/s²"], [/_m_s$/, "m/s"], [/_kg$/, "kg"], [/_ohm$/, "ohm"], [/_rad$/, "rad"], [/_n$/, "N"], [/_c$/, "C"], [/_k$/, "K"], [/_v$/, "V"], [/_a$/, "A"], [/_m$/, "m"], [/_s$/, "s"]];

/** A value of an entry as people read it; the key's ending is its unit. */
export function saidEntry(key: string, v: unknown): string {
  if (v === null || v === undefined || v === "") return "";
  if (typeof v === "boolean") return v ? "yes" : "no";
  if (typeof v !== "number") return String(v);
  const u = endings.find(([r]) => r.test(key))?.[1];
  if (u === "rad") return `${figures((v * 180) / Math.PI)}°`;
  if (u === "C") return `${Math.round(v / 3.6)} mAh`;
  if (u === "K") return `${figures(v - 273.15)} °C`;
  if (u) return sayQuantity({ value: v, unit: u }).full;
  if (/cents$/.test(key)) return (v / 100).toFixed(2);
  if (/odds/.test(key)) return `${Math.round(100 * v)} %`;
  return Number.isInteger(v) ? String(v) : figures(v);
}
export const keyName = (k: string): string => k.replace(endings.find(([r]) => r.test(k))?.[0] ?? /$^/, "").replace(/_cents$/, "").replaceAll("_", " ");

type Doing = { id: number; what: "strike" | "amend" | "show"; keys?: Key[]; said: Record<string, string>; page?: string };

export function Entries({ kind, rows, again }: { kind: string; rows: Row[]; again: () => void }) {
  const [doing, set] = useState<Doing | null>(null);
  const [bad, setBad] = useState<Refusal | null>(null);
  const keys = [...new Set(rows.flatMap((r) => Object.keys(r).filter((k) => !own.has(k) && r[k] !== null && r[k] !== "" && typeof r[k] !== "object")))];
  const wrong = (x: unknown): void => setBad(asRefusal(x));
  const strike = async (e: Event): Promise<void> => {
    e.preventDefault();
    if (!doing) return;
    try {
      await post(`/logbook/${kind}/${doing.id}/strike`, { why: doing.said["why"] ?? "" });
      set(null); setBad(null);
      say("Struck: it counts no more, and can still be read.");
      again();
    } catch (x) { wrong(x); }
  };
  const amend = async (e: Event): Promise<void> => {
    e.preventDefault();
    if (!doing) return;
    try {
      await patch(`/logbook/${kind}/${doing.id}`, { args: Object.entries(doing.said).filter(([, v]) => v.trim() !== "").map(([k, v]) => `${k}=${v.trim()}`) });
      set(null); setBad(null);
      say(`Number ${doing.id} put right.`);
      again();
    } catch (x) { wrong(x); }
  };
  const begin = (id: number, what: Doing["what"]): void => {
    setBad(null);
    if (doing?.id === id && doing.what === what) { set(null); return; }
    if (what === "strike") { set({ id, what, said: {} }); return; }
    if (what === "amend") { keysOf(kind).then((k) => set({ id, what, keys: k, said: {} }), wrong); return; }
    get<{ plain: string }>(`/logbook/${kind}/${id}?units=${units.peek()}`).then((r) => set({ id, what, said: {}, page: r.plain }), wrong);
  };
  const wide = keys.length + 3;
  return (
    <>
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      <div class="wide book-wide" tabIndex={0} role="region" aria-label={`Entries: ${kind}`}>
        <table class="book">
          <thead><tr><th scope="col">no.</th>{keys.map((k) => <th scope="col">{keyName(k)}</th>)}<th scope="col">note</th><th scope="col" class="no-print"><span class="unseen">what may be done</span></th></tr></thead>
          <tbody>{rows.map((r) => {
            const on = doing?.id === r.id ? doing : null;
            return <>
              <tr class={r.struck ? "book-row-struck" : ""} key={r.id}>
                <th scope="row">{r.id}</th>{keys.map((k) => <td data-name={keyName(k)} class={saidEntry(k, r[k]) ? "" : "book-none"}>{saidEntry(k, r[k])}</td>)}<td data-name="note" class={r["note"] || r.struck ? "book-note" : "book-none"}>{String(r["note"] ?? "")}{r.struck ? ` Struck: ${r.struck}` : ""}</td>
                <td class="no-print book-acts"><button type="button" class="word-button" aria-expanded={on?.what === "show"} onClick={() => begin(r.id, "show")}>whole<span class="unseen"> entry {r.id}</span></button>{r.struck ? null : <> <button type="button" class="word-button" aria-expanded={on?.what === "amend"} onClick={() => begin(r.id, "amend")}>put right<span class="unseen"> number {r.id}</span></button> <button type="button" class="word-button" aria-expanded={on?.what === "strike"} onClick={() => begin(r.id, "strike")}>strike<span class="unseen"> number {r.id}</span></button></>}</td>
              </tr>
              {on ? <tr class="book-doing no-print"><td colSpan={wide}>
                {on.what === "strike" ? <form class="inline-form" onSubmit={(e) => void strike(e)}><label>Why number {r.id} counts no more <input value={on.said["why"] ?? ""} required onInput={(e) => set({ ...on, said: { why: e.currentTarget.value } })} /></label><button type="submit" class="act">Strike it</button><button type="button" class="word-button" onClick={() => set(null)}>Leave it</button></form>
                  : on.what === "amend" ? <form onSubmit={(e) => void amend(e)}><p class="aside">Only what is written here is changed; the entry remembers what it said before.</p><EntryFields keys={on.keys ?? []} said={on.said} id={`amend-${kind}`} now={r} set={(s) => set({ ...on, said: s })} /><button type="submit" class="act" disabled={!Object.values(on.said).some((v) => v.trim())}>Put it right</button><button type="button" class="word-button" onClick={() => set(null)}>Leave it</button></form>
                    : <pre class="logbook" tabIndex={0} aria-label={`Entry ${r.id}`}>{on.page}</pre>}
              </td></tr> : null}
            </>;
          })}</tbody>
        </table>
      </div>
    </>
  );
}
