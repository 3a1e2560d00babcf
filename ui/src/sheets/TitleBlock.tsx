// The title block at the drawing's corner: what this sheet is, the other
// sheets of the set, the verdict, and how the drawing is shown.
import { signal } from "@preact/signals";
import { ground, grounds, type Ground } from "../ink/ground";
import { Lettered } from "../ink/Lettered";
import { Stamp } from "../ink/marks";
import { addressOf } from "../state/route";
import { build, drawing, file, hello, setUnits, sheet, step, units, type Units } from "../state/shop";
import { sayQuantity } from "../state/say";
import { stale, work } from "../state/work";
import type { CheckBody } from "../wire/types";
import { sheets } from "./registry";

const groundName: Record<Ground, string> = { device: "as the device", paper: "paper", slate: "slate", sun: "full sun" };

/** On a phone what is seldom wanted is folded away. */
const more = signal(false);

/** Taking back, and how the drawing is shown. */
export function Shown() {
  const b = build.value;
  return (
    <div class={`shown no-print${more.value ? " open" : ""}`} id="shown" role="group" aria-label="Taking back, and how it is shown">
      {b ? <>
        <button type="button" class="word-button" disabled={b.history.undo === 0} onClick={() => void step("undo")} title={b.history.undo_say ?? ""}>Undo{b.history.undo ? ` (${b.history.undo})` : ""}</button>
        <button type="button" class="word-button" disabled={b.history.redo === 0} onClick={() => void step("redo")} title={b.history.redo_say ?? ""}>Redo{b.history.redo ? ` (${b.history.redo})` : ""}</button>
      </> : null}
      <label>ground <select value={ground.value} onChange={(e) => { ground.value = e.currentTarget.value as Ground; }}>{grounds.map((g) => <option value={g}>{groundName[g]}</option>)}</select></label>
      <label>units <select value={units.value} onChange={(e) => setUnits(e.currentTarget.value as Units)}><option value="metric">metric</option><option value="imperial">imperial</option></select></label>
      <button type="button" class="word-button" onClick={() => print()}>Print</button>
      <span>Fledge {hello.value?.version}{b ? <> · {b.hash.slice(0, 8)}</> : null}</span>
    </div>
  );
}

export function TitleBlock() {
  const b = build.value, f = file.value;
  const w = f ? work<CheckBody>("check").value : null;
  const word = w?.answer?.body.verdict ?? null;
  const mass = drawing.value?.balance?.mass;
  return (
    <nav class="title-block" aria-label="Title block: the drawing set">
      <div class="name-cell">
        <a href={addressOf(null)} {...(f ? {} : { "aria-current": "page" as const })}>
          <span class="small">Fledge, the hangar{mass ? <> · {sayQuantity(mass).value}{"\u00a0"}{sayQuantity(mass).unit}</> : null}</span>
          <Lettered text={b?.name ?? "Hangar"} size={15} />
        </a>
        <button type="button" class="word-button phone-only" aria-expanded={more.value} aria-controls="shown" onClick={() => { more.value = !more.value; }}>How shown</button>
      </div>
      {sheets.map((s) => (
        <div class="sheet-cell">
          {f ? <a href={addressOf(f, s.name)} {...(sheet.value === s.name ? { "aria-current": "page" as const } : {})}>
            <span class="small">sheet {s.number} of {sheets.length}</span><Lettered text={s.title} size={13} />
          </a> : <span class="sheet-off"><span class="small">sheet {s.number} of {sheets.length}</span><Lettered text={s.title} size={13} /></span>}
        </div>
      ))}
      <div class="stamp-cell" aria-live="polite">{f ? <Stamp word={word} small faint={!!w && stale(w)} /> : <span class="small">no build<br />on the board</span>}</div>
    </nav>
  );
}
