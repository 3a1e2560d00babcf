// What may be said of a verb besides the build, as the server lists it.
import { signal } from "@preact/signals";
import { Drop } from "./Drop";
import { hangar, hello } from "../state/shop";
import type { Option } from "../wire/types";

export type Said = Record<string, string | number | boolean | string[]>;
const said = signal<Record<string, Said>>({});
const open = signal<ReadonlySet<string>>(new Set());

export function saidOf(id: string): Said { return said.value[id] ?? {}; }

/** Says one thing of a verb, from a form of one's own. */
export function putSaid(id: string, key: string, v: string | number | boolean | string[]): void {
  said.value = { ...said.value, [id]: { ...saidOf(id), [key]: v } };
}

/** Only what was said: empty fields are left out. */
export function optionsOf(id: string): { options?: Said } {
  const s = Object.fromEntries(Object.entries(saidOf(id)).filter(([, v]) => v !== "" && v !== false && !(Array.isArray(v) && v.length === 0)));
  return Object.keys(s).length ? { options: s } : {};
}

export function Options({ id, verb, go, hide = [] }: { id: string; verb: string; go: () => void; hide?: string[] }) {
  const all = (hello.value?.verbs.find((v) => v.name === verb)?.options ?? []).filter((o) => !hide.includes(o.key));
  if (!all.length) return null;
  const on = open.value.has(id), n = Object.keys(optionsOf(id).options ?? {}).length;
  const flip = (): void => { const next = new Set(open.value); if (!next.delete(id)) next.add(id); open.value = next; };
  return (
    <div class="options no-print">
      <button type="button" class="word-button" aria-expanded={on} onClick={flip}>Say more{n ? ` (${n} said)` : ""} {on ? "\u2212" : "+"}</button>
      {on ? (
        <form onSubmit={(e) => { e.preventDefault(); go(); }}>
          {all.map((o) => <One key={o.key} id={id} o={o} />)}
          <button type="submit" class="act">Work it out with these</button>
        </form>
      ) : null}
    </div>
  );
}

/** One option of a verb, for a form of one's own. */
export function OptionField({ id, verb, name }: { id: string; verb: string; name: string }) {
  const o = hello.value?.verbs.find((v) => v.name === verb)?.options?.find((x) => x.key === name);
  return o ? <One id={id} o={o} /> : null;
}

function One({ id, o }: { id: string; o: Option }) {
  const field = `${id}-${o.key}`.replace(/[^a-z0-9-]+/gi, "-");
  const v = saidOf(id)[o.key];
  const put = (x: string | number | boolean | string[]): void => putSaid(id, o.key, x);
  const name = o.key.replaceAll("_", " ");
  const h = hangar.value;
  switch (o.kind) {
    case "flag":
      return <label class="option option-flag" for={field}><input id={field} type="checkbox" checked={v === true} onChange={(e) => put(e.currentTarget.checked)} /> {name}: <span class="aside">{o.say}</span></label>;
    case "word":
      return <div class="option"><label for={field}>{name}: <span class="aside">{o.say}</span></label><select id={field} value={String(v ?? "")} onChange={(e) => put(e.currentTarget.value)}><option value="">as usual</option>{(o.words ?? []).map((w) => <option value={w}>{w}</option>)}</select></div>;
    case "file":
      return <div class="option"><label for={field}>{name}: <span class="aside">{o.say}</span></label><select id={field} value={String(v ?? "")} onChange={(e) => put(e.currentTarget.value)}><option value="">none</option>{[...(h?.parts ?? []), ...(h?.days ?? [])].map((f) => <option value={f.file}>{f.file}</option>)}</select></div>;
    case "upload":
      return <div class="option"><span>{name}: <span class="aside">{o.say}</span> <Drop id={field} what={`Drop or choose ${name}`} then={(f) => put(f?.id ?? "")} /></span></div>;
    case "list":
      if (o.words?.length) return (
        <fieldset class="option"><legend>{name}: <span class="aside">{o.say}</span></legend>
          {o.words.map((w) => { const list = Array.isArray(v) ? v : []; return <label class="option-flag"><input type="checkbox" checked={list.includes(w)} onChange={(e) => put(e.currentTarget.checked ? [...list, w] : list.filter((x) => x !== w))} /> {w}</label>; })}
        </fieldset>
      );
      return <div class="option"><label for={field}>{name}, one a line: <span class="aside">{o.say}</span></label><textarea id={field} rows={2} placeholder={o.example ?? ""} value={Array.isArray(v) ? v.join("\n") : ""} onInput={(e) => put(e.currentTarget.value.split("\n").map((l) => l.trim()).filter(Boolean))} /></div>;
    case "number":
      return <div class="option"><label for={field}>{name}: <span class="aside">{o.say}</span></label><input id={field} type="number" placeholder={o.example ?? ""} value={String(v ?? "")} onInput={(e) => put(Number.isFinite(e.currentTarget.valueAsNumber) ? e.currentTarget.valueAsNumber : "")} /></div>;
    default:
      return <div class="option"><label for={field}>{name}: <span class="aside">{o.say}</span></label><input id={field} type="text" placeholder={o.example ?? ""} value={String(v ?? "")} onInput={(e) => put(e.currentTarget.value)} /></div>;
  }
}
