// The build file itself, and every value of it as a schedule.
import { useEffect, useState } from "preact/hooks";
import { build, edit, writeText } from "../state/shop";
import { ValueList } from "../draft/slip";
import type { ListView, ValueView } from "../wire/types";

export function TextView({ open = false }: { open?: boolean }) {
  const [shown, show] = useState(open);
  const [schedule, showSchedule] = useState(false);
  return (
    <section class="detail" id="file" aria-labelledby="file-title">
      <div class="detail-head"><h2 id="file-title">The build file</h2></div>
      <p><button type="button" class="word-button" aria-expanded={schedule} onClick={() => showSchedule(!schedule)}>Every value, as a schedule {schedule ? "\u2212" : "+"}</button></p>
      {schedule ? <Schedule /> : null}
      <AddItem />
      <p><button type="button" class="word-button" aria-expanded={shown} onClick={() => show(!shown)}>The text {shown ? "\u2212" : "+"}</button></p>
      {shown ? <Text /> : null}
    </section>
  );
}

function Text() {
  const b = build.value!;
  const [text, set] = useState(b.text);
  const [base, setBase] = useState(b.etag);
  useEffect(() => { if (text === b.text || base === b.etag) return; if (text === lastText) { set(b.text); setBase(b.etag); } }, [b.etag]);
  const lastText = b.text;
  const changed = text !== b.text;
  return (
    <form onSubmit={(e) => { e.preventDefault(); void writeText(text, base).then((ok) => { if (ok && build.value) { set(build.value.text); setBase(build.value.etag); } }); }}>
      <label for="file-text" class="unseen">Text of {b.file}</label>
      <textarea id="file-text" rows={Math.min(40, text.split("\n").length + 2)} value={text} spellcheck={false} wrap="off" onInput={(e) => set(e.currentTarget.value)} />
      <button type="submit" class="act" disabled={!changed}>Write the text</button>
      {changed ? <button type="button" class="word-button" onClick={() => { set(b.text); setBase(b.etag); }}>Put back what is written</button> : null}
    </form>
  );
}

function Schedule() {
  const [find, set] = useState("");
  const all = build.value?.values ?? [];
  const words = find.toLowerCase().split(/\s+/).filter(Boolean);
  const list = all.filter((v) => words.every((w) => (v.path + " " + v.label + " " + v.shown + " " + v.state).toLowerCase().includes(w)));
  const blocks = new Map<string, ValueView[]>();
  for (const v of list) blocks.set(v.block, [...(blocks.get(v.block) ?? []), v]);
  return (
    <div class="schedule">
      <label>Find <input type="search" value={find} placeholder="battery, assumed, x" onInput={(e) => set(e.currentTarget.value)} /></label>
      <p class="aside">{list.filter((v) => v.state === "given").length} given, {list.filter((v) => v.state === "assumed").length} assumed</p>
      {[...blocks].map(([name, vs]) => <section><h3>{name}</h3><ValueList list={vs} /></section>)}
    </div>
  );
}

/** A new item of one of the file's lists: a part, a station, a claim. */
export function AddItem({ only, hints = {} }: { only?: string; hints?: Record<string, { say: string; example: string }> }) {
  const lists = (build.value?.lists ?? []).filter((l) => l.keys?.length && (!only || l.path === only));
  const [path, setPath] = useState<string | null>(null);
  const [said, set] = useState<Record<string, string>>({});
  const list: ListView | undefined = lists.find((l) => l.path === path);
  if (!lists.length) return null;
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    if (!list) return;
    const sets = Object.entries(said).filter(([, v]) => v.trim()).map(([k, v]) => `${list.next}.${k}=${v.trim()}`);
    if (sets.length && (await edit(sets, `${said["name"] ?? "one more"} in ${list.path}`))) { set({}); setPath(null); }
  };
  return (
    <form class="options add" onSubmit={(e) => void send(e)}>
      {only ? <button type="button" class="word-button" aria-expanded={!!list} onClick={() => { setPath(list ? null : only); set({}); }}>Add one of the {only} {list ? "\u2212" : "+"}</button>
        : <label>Add one more of the <select value={path ?? ""} onChange={(e) => { setPath(e.currentTarget.value || null); set({}); }}><option value="">(choose what)</option>{lists.map((l) => <option value={l.path}>{l.path}</option>)}</select></label>}
      {list ? (
        <>
          <p class="aside">{list.doc}</p>
          <div class="entry-fields">{(list.keys ?? []).map((k) => {
            const id = "add-" + k.key.replace(/\W+/g, "-");
            return <div class="option"><label for={id}>{k.key.replaceAll("_", " ")}: <span class="aside">{k.doc || hints[k.key]?.say}</span></label>
              {k.one_of?.length ? <select id={id} value={said[k.key] ?? ""} onChange={(e) => set({ ...said, [k.key]: e.currentTarget.value })}><option value="">not said</option>{k.one_of.map((o) => <option value={o}>{o}</option>)}</select>
                : <input id={id} value={said[k.key] ?? ""} placeholder={k.example ?? hints[k.key]?.example ?? ""} autocomplete="off" onInput={(e) => set({ ...said, [k.key]: e.currentTarget.value })} />}</div>;
          })}</div>
          <button type="submit" class="act">Add it</button>
        </>
      ) : null}
    </form>
  );
}
