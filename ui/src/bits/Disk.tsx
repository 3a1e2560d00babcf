// When the file changed on disk: said, and merged or asked about, never
// written over.
import { useState } from "preact/hooks";
import { held } from "../draft/drag";
import { changedOnDisk, conflict, edit, open, said, writeText, build } from "../state/shop";

export function Disk() {
  const c = changedOnDisk.value;
  if (!c || held.value) return null; // not while a part is in the hand: the drawing would slip from under it
  if (c.why === "gone") return (
    <div class="strip strip-red" role="status">
      <p><b>{c.file} is no longer in the folder</b>: deleted, moved or renamed at {c.at.toLocaleTimeString()}. What is shown is how it last was; nothing can be written until it is back under that name.</p>
      <button type="button" class="act" onClick={() => { changedOnDisk.value = null; location.hash = "#/"; }}>To the hangar</button>
    </div>
  );
  return (
    <div class="strip" role="status">
      <p><b>{c.file} was changed on disk</b> at {c.at.toLocaleTimeString()}, outside this page. What is shown is the file as it was before.</p>
      <button type="button" class="act act-strong" onClick={() => { void open(c.file, true).then(() => { said.value = "Read anew from disk."; }); }}>Show the new file</button>
      <button type="button" class="act" onClick={() => { changedOnDisk.value = null; }}>Go on with the old view</button>
      <p class="aside">A change of yours is still safe: it is put into the new file, or you are asked when both changed the same value.</p>
    </div>
  );
}

export function Merge() {
  const c = conflict.value;
  const [text, setText] = useState<string | null>(null);
  if (!c) return null;
  const b = build.value;
  const leave = (): void => { conflict.value = null; setText(null); };
  return (
    <section class="strip strip-red" role="alertdialog" aria-labelledby="merge-title">
      <h2 id="merge-title">The file changed on disk in the same place</h2>
      {c.conflict.paths?.length ? (
        <div class="wide" tabIndex={0} role="region" aria-label="The two changes">
          <table><thead><tr><th scope="col">value</th><th scope="col">was</th><th scope="col">on disk now</th><th scope="col">yours</th></tr></thead>
            <tbody>{c.conflict.paths.map((p) => <tr><th scope="row">{p.path}</th><td>{p.base || "\u2013"}</td><td>{p.theirs}</td><td>{p.mine}</td></tr>)}</tbody></table>
        </div>
      ) : null}
      <p>Nothing has been written.</p>
      {c.sets.length ? <button type="button" class="act" onClick={() => void edit(c.sets, c.say, { base: c.conflict.etag })}>Write mine</button> : null}
      <button type="button" class="act" onClick={() => { if (b) void open(b.file, true); leave(); }}>Keep what is on disk</button>
      <button type="button" class="act" onClick={() => setText(text === null ? c.conflict.text : null)}>Merge by hand</button>
      {text !== null ? (
        <form onSubmit={(e) => { e.preventDefault(); void writeText(text, c.conflict.etag).then((ok) => { if (ok) leave(); }); }}>
          <label>The file as it is on disk, to be changed <textarea rows={16} value={text} spellcheck={false} onInput={(e) => setText(e.currentTarget.value)} /></label>
          <button type="submit" class="act act-strong">Write this text</button>
        </form>
      ) : null}
    </section>
  );
}
