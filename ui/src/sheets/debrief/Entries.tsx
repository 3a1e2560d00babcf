// The entries of one kind of the logbook as a table; an entry is struck, never
// rubbed out.
import { useState } from "preact/hooks";
import { say } from "../../state/shop";
import { figures, sayQuantity } from "../../state/say";
import { asRefusal, post, type Refusal } from "../../wire/client";
import { RefusalStrip } from "../../bits/Refusal";

export type Row = { id: number; struck?: string } & Record<string, unknown>;
const own = new Set(["id", "sum", "uid", "entered", "struck", "note"]);
const units: [RegExp, string][] = [[/_m_s2$/, "m/s²"], [/_m_s$/, "m/s"], [/_kg$/, "kg"], [/_ohm$/, "ohm"], [/_rad$/, "rad"], [/_n$/, "N"], [/_c$/, "C"], [/_k$/, "K"], [/_v$/, "V"], [/_a$/, "A"], [/_m$/, "m"], [/_s$/, "s"]];

/** A value of an entry as people read it; the key's ending is its unit. */
export function saidEntry(key: string, v: unknown): string {
  if (v === null || v === undefined || v === "") return "";
  if (typeof v === "boolean") return v ? "yes" : "no";
  if (typeof v !== "number") return String(v);
  const u = units.find(([r]) => r.test(key))?.[1];
  if (u === "rad") return `${figures((v * 180) / Math.PI)}°`;
  if (u === "C") return `${Math.round(v / 3.6)} mAh`;
  if (u === "K") return `${figures(v - 273.15)} °C`;
  if (u) return sayQuantity({ value: v, unit: u }).full;
  if (/cents$/.test(key)) return (v / 100).toFixed(2);
  if (/odds/.test(key)) return `${Math.round(100 * v)} %`;
  return Number.isInteger(v) ? String(v) : figures(v);
}
export const keyName = (k: string): string => k.replace(units.find(([r]) => r.test(k))?.[0] ?? /$^/, "").replace(/_cents$/, "").replaceAll("_", " ");

export function Entries({ kind, rows, again }: { kind: string; rows: Row[]; again: () => void }) {
  const [striking, setStriking] = useState<number | null>(null);
  const [why, setWhy] = useState("");
  const [bad, setBad] = useState<Refusal | null>(null);
  const keys = [...new Set(rows.flatMap((r) => Object.keys(r).filter((k) => !own.has(k) && r[k] !== null && r[k] !== "" && typeof r[k] !== "object")))];
  const strike = async (e: Event, id: number): Promise<void> => {
    e.preventDefault();
    try {
      await post(`/logbook/${kind}/${id}/strike`, { why });
      setStriking(null); setWhy(""); setBad(null);
      say("Struck: it counts no more, and can still be read.");
      again();
    } catch (x) { setBad(asRefusal(x)); }
  };
  return (
    <>
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      <div class="wide" tabIndex={0} role="region" aria-label={`Entries: ${kind}`}>
        <table class="book">
          <thead><tr><th scope="col">no.</th>{keys.map((k) => <th scope="col">{keyName(k)}</th>)}<th scope="col">note</th><th scope="col" class="no-print"><span class="unseen">strike</span></th></tr></thead>
          <tbody>{rows.map((r) => (
            <tr class={r.struck ? "book-row-struck" : ""} key={r.id}>
              <th scope="row">{r.id}</th>{keys.map((k) => <td>{saidEntry(k, r[k])}</td>)}<td>{String(r["note"] ?? "")}{r.struck ? ` Struck: ${r.struck}` : ""}</td>
              <td class="no-print book-acts">{r.struck ? null : striking === r.id
                ? <form class="inline-form" onSubmit={(e) => void strike(e, r.id)}><label>why <input value={why} required onInput={(e) => setWhy(e.currentTarget.value)} /></label><button type="submit" class="word-button">strike it</button><button type="button" class="word-button" onClick={() => setStriking(null)}>leave it</button></form>
                : <button type="button" class="word-button" onClick={() => { setStriking(r.id); setWhy(""); }}>strike<span class="unseen"> number {r.id}</span></button>}</td>
            </tr>))}</tbody>
        </table>
      </div>
    </>
  );
}
