// Fields of a logbook entry by the keys the server names.
import { hangar } from "../../state/shop";
import { get } from "../../wire/client";
import { recordings } from "./work";

export interface Key { key: string; column: string; is: string; words?: string[] | null; needed: boolean; say: string }
const kept = new Map<string, Key[]>();

export async function keysOf(kind: string): Promise<Key[]> {
  const k = kept.get(kind) ?? (await get<{ body: { keys: Key[] } }>(`/logbook/keys?kind=${kind}`)).body.keys;
  kept.set(kind, k);
  return k;
}

export function EntryFields({ keys, said, set, id, now }: { keys: Key[]; said: Record<string, string>; set: (s: Record<string, string>) => void; id: string; now?: Record<string, unknown> }) {
  return (
    <div class="entry-fields">{keys.map((k) => {
      const f = `${id}-${k.key}`.replace(/\W+/g, "-");
      const put = (v: string): void => set({ ...said, [k.key]: v });
      const is = now?.[k.column], there = is !== undefined && is !== null && is !== "" && typeof is !== "number" ? `now: ${typeof is === "boolean" ? (is ? "yes" : "no") : String(is)}` : is !== undefined && is !== null && is !== "" ? "said" : "";
      const words = k.is === "yes-no" ? ["yes", "no"] : k.is === "builds" ? (hangar.value?.builds ?? []).map((b) => b.file) : k.words;
      return (
        <div class="option"><label for={f}>{k.key.replaceAll("_", " ")}{k.needed && !now ? " (needed)" : ""}: <span class="aside">{k.say}{there ? ` (${there})` : ""}</span></label>
          {k.is === "files" ? <select id={f} value={said[k.key] ?? ""} onChange={(e) => put(e.currentTarget.value)}><option value="">none</option>{recordings().map((l) => <option value={l.id}>{l.name}</option>)}</select>
            : words?.length ? <select id={f} value={said[k.key] ?? ""} onChange={(e) => put(e.currentTarget.value)}><option value="">{now ? "as it is" : "not said"}</option>{words.map((w) => <option value={w}>{w}</option>)}</select>
              : <input id={f} value={said[k.key] ?? ""} autocomplete="off" onInput={(e) => put(e.currentTarget.value)} />}</div>
      );
    })}</div>
  );
}
