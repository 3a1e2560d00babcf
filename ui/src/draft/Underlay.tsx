// Laying a picture under the drawing, scaling it by one known length and
// tracing it into stations; by pointer, or by keys with a cross.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { build, drawing, edit, say, units } from "../state/shop";
import { figures, sayLength, scaleOf, setLength } from "../state/say";
import { CopyDrawn } from "../plot/copy";
import { planY, px, sideY, type Frame } from "./frame";
import { dropPhoto, keepPhoto, layPhoto, loadPhotos, photos, restationed, scaled, shifted, stationsOf, turned, urlOf, type Photo, type Spot, type Traced, type View } from "./photo";

type Task = { kind: "scale" | "shift" | "trace"; view: View; points: Spot[]; surface: string; aim: Spot | null };
const task = signal<Task | null>(null);
/** How many metres a pixel of the screen is: as fine as a hand can point. */
const fine = signal(0.002);
/** How much closer the drawing is looked at. */
export const closer = signal(1);

export function Underlay({ f, file }: { f: Frame; file: string }) {
  useEffect(() => { task.value = null; void loadPhotos(file); }, [file]);
  useEffect(() => { fine.value = 1 / f.scale; }, [f.scale]);
  return <>{photos.value.map((p) => {
    const x = px(f, p.x), y = p.view === "plan" ? planY(f, p.up) : sideY(f, p.up);
    return <image key={p.view} class="photo" data-view={p.view} href={urlOf(p.picture)} opacity={p.ink} width={p.width * p.size * f.scale} height={p.height * p.size * f.scale} transform={`translate(${x} ${y}) rotate(${-p.turn})`} preserveAspectRatio="none"><title>picture under the {p.view === "plan" ? "plan" : "side view"}</title></image>;
  })}</>;
}

const mostPoints = { scale: 2, shift: 1, trace: 40 };
function put(s: Spot, aim?: Spot): void {
  const t = task.peek(); // as it is now: keys may come faster than the page is drawn
  if (!t) return;
  const points = [...t.points, s].slice(-mostPoints[t.kind]);
  task.value = { ...t, points, ...(aim ? { aim } : {}) };
}

/** Crosses of the points set, and the glass that takes clicks and keys. */
export function underlayMarks(f: Frame) {
  const t = task.value;
  if (!t) return null;
  const area = t.view === "plan" ? f.plan : f.side, zero = t.view === "plan" ? f.planZero : f.sideZero;
  const top = t.view === "plan" ? 0 : area.top - 15, bottom = area.bottom + (t.view === "plan" ? 15 : 30);
  const fy = (up: number): number => zero - up * f.scale;
  const take = (e: MouseEvent): void => {
    const box = (e.currentTarget as SVGElement).ownerSVGElement!.getBoundingClientRect();
    put({ x: (e.clientX - box.left - f.left) / f.scale, up: (zero - (e.clientY - box.top)) / f.scale });
  };
  const keys = (e: KeyboardEvent): void => {
    const t = task.peek();
    if (!t) return;
    const aim = t.aim ?? t.points[t.points.length - 1] ?? { x: 0, up: 0 };
    const step = e.shiftKey ? 0.01 : e.altKey ? 0.0005 : 0.001;
    const go = (dx: number, du: number): void => {
      e.preventDefault();
      const next = { x: Math.min((f.width - f.left) / f.scale, Math.max(-f.left / f.scale, aim.x + dx * step)), up: Math.min((zero - top) / f.scale, Math.max((zero - bottom) / f.scale, aim.up + du * step)) };
      task.value = { ...t, aim: next };
    };
    switch (e.key) {
      case "ArrowLeft": return go(-1, 0);
      case "ArrowRight": return go(1, 0);
      case "ArrowUp": return go(0, 1);
      case "ArrowDown": return go(0, -1);
      case "Enter": case " ": e.preventDefault(); put(aim, aim); say(`Point ${Math.min(t.points.length + 1, mostPoints[t.kind])} at ${sayLength(aim.x)} aft, ${sayLength(aim.up)} ${t.view === "plan" ? "out" : "up"}.`); return;
      case "Backspace": case "Delete": e.preventDefault(); task.value = { ...t, points: t.points.slice(0, -1) }; return;
    }
  };
  const cross = (p: Spot, name: string, cls = "cross") => <g class={cls} transform={`translate(${px(f, p.x)} ${fy(p.up)})`}><path d="M-9 0H-2M2 0H9M0 -9V-2M0 2V9" /><text x="6" y="-6" font-size="11">{name}</text></g>;
  return (
    <g class="tracing">
      <rect x={0} y={top} width={f.width} height={bottom - top} class="glass" tabindex={0} role="application" onClick={take} onKeyDown={keys}
        aria-label="The picture. Arrow keys move the cross by a millimetre, with Shift by ten, with Alt by half a one; Enter sets a point, Backspace takes it back." />
      {t.points.map((p, i) => cross(p, `${i + 1}`))}
      {t.aim ? cross(t.aim, "", "cross cross-aim") : null}
      {t.kind === "scale" && t.points.length === 2 ? <path class="ink1 traced" d={`M${px(f, t.points[0]!.x)} ${fy(t.points[0]!.up)}L${px(f, t.points[1]!.x)} ${fy(t.points[1]!.up)}`} /> : null}
      {t.kind === "trace" ? <Outline f={f} st={stationsOf(t.points)} /> : null}
    </g>
  );
}

/** What was traced so far, on both halves. */
function Outline({ f, st }: { f: Frame; st: Traced[] }) {
  const d = [1, -1].map((side) => st.map((s) => `M${px(f, s.x)} ${planY(f, side * s.y)}H${px(f, s.x + s.chord)}`).join("") +
    (st.length > 1 ? "M" + st.map((s) => `${px(f, s.x)} ${planY(f, side * s.y)}`).join("L") + "M" + st.map((s) => `${px(f, s.x + s.chord)} ${planY(f, side * s.y)}`).join("L") : "")).join("");
  return d ? <path class="ink2 traced" d={d} /> : null;
}

export function UnderlayBar({ file }: { file: string }) {
  const [view, setView] = useState<View>("plan");
  const [open, setOpen] = useState(false);
  const [wrong, setWrong] = useState("");
  const t = task.value, p = photos.value.find((o) => o.view === view), d = drawing.value;
  useEffect(() => { setWrong(""); }, [file, view]);
  if (!d) return null;
  const begin = (kind: Task["kind"]): void => {
    task.value = { kind, view, points: [], surface: d.surfaces[0]?.name ?? "wing", aim: null };
  };
  const look = <span class="closer" role="group" aria-label="How close the drawing is looked at">closer {[1, 2, 4].map((k) => <button type="button" class="word-button" aria-pressed={closer.value === k} onClick={() => { closer.value = k; }}>{k === 1 ? "whole" : `${k} times`}</button>)}</span>;
  if (!open && !t) return <p class="no-print aside underlay-shut"><button type="button" class="word-button" onClick={() => setOpen(true)}>{photos.value.length ? "The picture under the drawing" : "Lay a photograph of the plan under the drawing"}</button> <CopyDrawn name={`drawing-${file.replace(/\.ya?ml$/, "")}`} say="Copy the drawing as SVG" /> {look}</p>;
  const lay = async (e: Event): Promise<void> => {
    const field = e.currentTarget as HTMLInputElement, from = field.files?.[0];
    if (!from) return;
    setWrong("");
    try {
      const kept = await layPhoto(file, view, from, d.box.max[0] - d.box.min[0], d.box.min[0]);
      say(kept ? "Laid under the drawing. It stays in this browser." : "Laid under the drawing, until this page is closed: this browser would not keep it.");
    } catch (x) { setWrong(x instanceof Error ? x.message : "That is no picture this browser can show."); }
    field.value = "";
  };
  return (
    <div class="underlay no-print" role="group" aria-label="Picture under the drawing">
      <label>Under the <select value={view} onChange={(e) => { task.value = null; setView(e.currentTarget.value as View); }}><option value="plan">plan</option><option value="side">side view</option></select></label>
      <label>Picture <input type="file" accept="image/jpeg,image/png,image/webp" onChange={(e) => void lay(e)} /></label>
      {look}
      {wrong ? <p class="caution" role="alert">{wrong}</p> : null}
      {p ? (
        <>
          <div class="underlay-acts">
            <button type="button" class="act" aria-pressed={t?.kind === "scale"} onClick={() => begin("scale")}>Scale by a known length</button>
            <button type="button" class="act" aria-pressed={t?.kind === "shift"} onClick={() => begin("shift")}>Put the datum in its place</button>
            {view === "plan" ? <button type="button" class="act" aria-pressed={t?.kind === "trace"} onClick={() => begin("trace")}>Trace into stations</button> : null}
          </div>
          <label>How dark <input type="range" min="0.1" max="1" step="0.05" value={p.ink} onInput={(e) => void keepPhoto({ ...p, ink: e.currentTarget.valueAsNumber })} /></label>
          <span class="closer" role="group" aria-label="Turn the picture">turn {[[-90, "a quarter right"], [-0.25, "a hair right"], [0.25, "a hair left"], [90, "a quarter left"]].map(([k, name]) => <button type="button" class="word-button" onClick={() => void keepPhoto(turned(p, { x: (d.box.min[0] + d.box.max[0]) / 2, up: 0 }, k as number))}>{name}</button>)}</span>
          <button type="button" class="word-button" onClick={() => { task.value = null; void dropPhoto(p); }}>Take the picture away</button>
        </>
      ) : <p class="aside">A photograph taken straight from above, or a scan. It stays in this browser: neither the build file nor the workshop gets it.</p>}
      {t ? <TaskForm t={t} p={p} /> : null}
      <button type="button" class="word-button" onClick={() => { task.value = null; setOpen(false); }}>Done</button>
    </div>
  );
}

function TaskForm({ t, p }: { t: Task; p: Photo | undefined }) {
  const [length, setLen] = useState("");
  const [along, setAlong] = useState("none");
  const d = drawing.value!;
  const back = t.points.length ? <button type="button" class="word-button" onClick={() => { task.value = { ...t, points: t.points.slice(0, -1) }; }}>Take the last point back</button> : null;
  const how = <p class="aside">By keys: come to the picture with Tab, move the cross with the arrows, Enter sets it. A pixel here is {sayFine()}: look closer for more.</p>;
  if (t.kind === "scale") {
    const m = metres(length), a = t.points[0], b = t.points[1];
    const now = a && b ? Math.hypot(b.x - a.x, b.up - a.up) : 0;
    return (
      <form class="task" onSubmit={(e) => { e.preventDefault(); if (p && m && a && b) { void keepPhoto(scaled(p, a, b, m, along === "none" ? null : along === "length" ? 0 : Math.PI / 2, along === "span")); say(`Scaled by ${figures(m / now)}.`); task.value = null; } }}>
        <p>Click two points on the picture whose distance you know ({t.points.length} of 2), far apart.</p>
        <label>They are this far apart <input value={length} placeholder={units.value === "imperial" ? "41 in" : "1040 mm"} onInput={(e) => setLen(e.currentTarget.value)} aria-invalid={length !== "" && m === null} /></label>
        {length !== "" && m === null ? <p class="aside">A length with its unit: mm, cm, m, in or ft.</p> : null}
        <label>and lie along <select value={along} onChange={(e) => setAlong(e.currentTarget.value)}><option value="none">no particular line</option><option value="length">the aeroplane's length, the fore one first</option><option value="span">its span</option></select></label>
        {now > 0 ? <p class="aside">As it lies they are {sayLength(now)} apart{m ? `; so the length is known within about ${figures((200 * fine.value) / now)} %` : ""}.</p> : null}
        <button type="submit" class="act" disabled={!m || t.points.length < 2}>Scale it</button> {back}
        {how}
      </form>
    );
  }
  if (t.kind === "shift") return (
    <form class="task" onSubmit={(e) => { e.preventDefault(); if (p && t.points[0]) { void keepPhoto(shifted(p, t.points[0], { x: 0, up: 0 })); task.value = null; } }}>
      <p>Click the place of the datum{d.datum ? ` (${d.datum})` : ""}, on the middle line, on the picture: all positions count from it.</p>
      <button type="submit" class="act" disabled={t.points.length < 1}>Put it there</button> {back}
      {how}
    </form>
  );
  const st = stationsOf(t.points), s = d.surfaces.find((o) => o.name === t.surface);
  return (
    <form class="task" onSubmit={(e) => { e.preventDefault(); void writeStations(t.surface, st).then((ok) => { if (ok) task.value = null; }); }}>
      <label>Trace the <select value={t.surface} onChange={(e) => { task.value = { ...t, surface: e.currentTarget.value }; }}>{d.surfaces.filter((o) => !o.upright).map((o) => <option value={o.name}>{o.name}</option>)}</select></label>
      <p>From the root to the tip of one half, click the leading edge, then the trailing edge, at every place where the outline bends.</p>
      {st.length ? <ul>{st.map((k) => <li>{sayLength(k.y)} out: chord {sayLength(k.chord)}, leading edge at {sayLength(k.x)}</li>)}</ul> : null}
      {st.length >= 2 && s && s.stations.length > st.length ? <p class="aside">The {t.surface} has {s.stations.length} stations: {s.stations.length - st.length === 1 ? "one is" : `${s.stations.length - st.length} are`} put between yours, on the same straight edges.</p> : null}
      {st.length >= 2 ? <p class="aside">Heights, twist and sections stay as they are at their place along the span; chords are written ± {sayLength(chordDoubt())}.</p> : null}
      <button type="submit" class="act" disabled={st.length < 2}>Write {Math.max(st.length, s?.stations.length ?? 0)} stations</button> {back}
      {how}
    </form>
  );
}

function sayFine(): string { const s = scaleOf("m", fine.value); return `${figures(fine.value * s.k)} ${s.unit}`; }

/** Two standard deviations of a chord between two points set by hand, each
    within a pixel or so, and half a millimetre at best. */
function chordDoubt(): number { return Math.max(0.0005, Math.ceil(2 * Math.SQRT2 * fine.value * 2000) / 2000); }

/** Metres from "1040 mm", "41 in" or "1.04 m". */
export function metres(text: string): number | null {
  const m = /^\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|ft)\s*$/.exec(text);
  if (!m) return null;
  const k = { mm: 0.001, cm: 0.01, m: 1, in: 0.0254, ft: 0.3048 }[m[2] as "mm"];
  const v = Number(m[1]!.replace(",", ".")) * k;
  return v > 0 ? v : null;
}

async function writeStations(surface: string, traced: Traced[]): Promise<boolean> {
  const s = drawing.value?.surfaces.find((o) => o.name === surface);
  if (!s || !build.value) return false;
  const old = s.stations.map((o) => ({ y: Math.abs(o.at[1]), z: o.at[2], twist: o.twist_deg, section: o.section }));
  const st = restationed(traced, old), same = traced.length === old.length;
  const sets = st.flatMap((k, i) => {
    const path = s.stations[i]?.path ?? `${s.path}.stations[${i}]`;
    return [`${path}.x=${setLength(k.x)}`, `${path}.y=${setLength(k.y)}`, `${path}.chord=${setLength(k.chord)} ± ${setLength(chordDoubt())}`,
      ...(same ? [] : [`${path}.z=${setLength(k.z)}`, `${path}.twist=${Math.round(k.twist * 100) / 100} deg`, ...(k.section && k.section !== s.stations[i]?.section ? [`${path}.section=${k.section}`] : [])])];
  });
  return edit(sets, `${surface} traced from a picture`);
}
