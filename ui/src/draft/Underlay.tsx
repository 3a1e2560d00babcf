// Laying a picture under the drawing, scaling it by one known length and
// tracing it into stations.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { build, drawing, edit, say } from "../state/shop";
import { setLength } from "../state/say";
import { planY, px, sideY, type Frame } from "./frame";
import { dropPhoto, keepPhoto, layPhoto, loadPhotos, photos, scaled, shifted, stationsOf, urlOf, type Photo, type Spot, type View } from "./photo";

type Task = { kind: "scale" | "shift" | "trace"; view: View; points: Spot[]; surface: string };
const task = signal<Task | null>(null);

export function Underlay({ f, file }: { f: Frame; file: string }) {
  useEffect(() => { void loadPhotos(file); }, [file]);
  return <>{photos.value.map((p) => {
    const x = px(f, p.x), y = p.view === "plan" ? planY(f, p.up) : sideY(f, p.up);
    return <image key={p.view} href={urlOf(p.picture)} opacity={p.ink} width={p.width * p.size * f.scale} height={p.height * p.size * f.scale} transform={`translate(${x} ${y}) rotate(${-p.turn})`} preserveAspectRatio="none"><title>picture under the {p.view === "plan" ? "plan" : "side view"}</title></image>;
  })}</>;
}

/** Crosses of the points set, and the glass that takes the clicks. */
export function underlayMarks(f: Frame) {
  const t = task.value;
  if (!t) return null;
  const area = t.view === "plan" ? f.plan : f.side;
  const take = (e: MouseEvent): void => {
    const box = (e.currentTarget as SVGElement).ownerSVGElement!.getBoundingClientRect();
    const x = (e.clientX - box.left - f.left) / f.scale;
    const up = ((t.view === "plan" ? f.planZero : f.sideZero) - (e.clientY - box.top)) / f.scale;
    const most = t.kind === "trace" ? 40 : t.kind === "scale" ? 2 : 1;
    task.value = { ...t, points: [...t.points, { x, up }].slice(-most) };
  };
  return (
    <g class="tracing">
      <rect x={0} y={area.top - 20} width={f.width} height={area.bottom - area.top + 40} class="glass" onClick={take} />
      {t.points.map((p, i) => {
        const x = px(f, p.x), y = t.view === "plan" ? planY(f, p.up) : sideY(f, p.up);
        return <g class="cross" transform={`translate(${x} ${y})`}><path d="M-9 0H9M0 -9V9" /><text x="6" y="-6" font-size="11">{i + 1}</text></g>;
      })}
      {t.kind === "trace" ? stationsOf(t.points).map((s) => { const y = planY(f, s.y) ; return <path class="ink2 traced" d={`M${px(f, s.x)} ${y}H${px(f, s.x + s.chord)}`} />; }) : null}
    </g>
  );
}

export function UnderlayBar({ file }: { file: string }) {
  const [view, setView] = useState<View>("plan");
  const [open, setOpen] = useState(false);
  const t = task.value, p = photos.value.find((o) => o.view === view), d = drawing.value;
  if (!d) return null;
  const begin = (kind: Task["kind"]): void => { task.value = { kind, view, points: [], surface: d.surfaces[0]?.name ?? "wing" }; };
  if (!open && !t) return <p class="no-print aside"><button type="button" class="word-button" onClick={() => setOpen(true)}>{photos.value.length ? "The picture under the drawing" : "Lay a photograph of the plan under the drawing"}</button></p>;
  return (
    <div class="underlay no-print" role="group" aria-label="Picture under the drawing">
      <label>Under the <select value={view} onChange={(e) => setView(e.currentTarget.value as View)}><option value="plan">plan</option><option value="side">side view</option></select></label>
      <label>Picture <input type="file" accept="image/*" onChange={(e) => {
        const f = e.currentTarget.files?.[0];
        if (f) layPhoto(file, view, f, d.box.max[0] - d.box.min[0], d.box.min[0]).catch(() => say("That is no picture this browser can show."));
      }} /></label>
      {p ? (
        <>
          <button type="button" class="act" onClick={() => begin("scale")}>Scale by a known length</button>
          <button type="button" class="act" onClick={() => begin("shift")}>Put the datum in its place</button>
          {view === "plan" ? <button type="button" class="act" onClick={() => begin("trace")}>Trace into stations</button> : null}
          <label>How dark <input type="range" min="0.1" max="1" step="0.05" value={p.ink} onInput={(e) => void keepPhoto({ ...p, ink: e.currentTarget.valueAsNumber })} /></label>
          <button type="button" class="word-button" onClick={() => void dropPhoto(p)}>Take the picture away</button>
        </>
      ) : null}
      {t ? <TaskForm t={t} p={p} /> : null}
      <button type="button" class="word-button" onClick={() => { task.value = null; setOpen(false); }}>Done</button>
    </div>
  );
}

function TaskForm({ t, p }: { t: Task; p: Photo | undefined }) {
  const [length, setLen] = useState("");
  const [along, setAlong] = useState("none");
  const d = drawing.value!;
  if (t.kind === "scale") {
    const m = metres(length);
    return (
      <form class="task" onSubmit={(e) => { e.preventDefault(); if (p && m && t.points.length === 2) { void keepPhoto(scaled(p, t.points[0]!, t.points[1]!, m, along === "none" ? null : along === "length" ? 0 : Math.PI / 2)); task.value = null; } }}>
        <p>Click two points on the picture whose distance you know ({t.points.length} of 2).</p>
        <label>They are this far apart <input value={length} placeholder="1040 mm" onInput={(e) => setLen(e.currentTarget.value)} /></label>
        <label>and lie along <select value={along} onChange={(e) => setAlong(e.currentTarget.value)}><option value="none">no particular line</option><option value="length">the aeroplane's length</option><option value="span">its span</option></select></label>
        <button type="submit" class="act" disabled={!m || t.points.length < 2}>Scale it</button>
      </form>
    );
  }
  if (t.kind === "shift") return (
    <form class="task" onSubmit={(e) => { e.preventDefault(); if (p && t.points[0]) { void keepPhoto(shifted(p, t.points[0], { x: 0, up: 0 })); task.value = null; } }}>
      <p>Click the place of the datum (all positions count from it) on the picture.</p>
      <button type="submit" class="act" disabled={t.points.length < 1}>Put it there</button>
    </form>
  );
  const st = stationsOf(t.points);
  return (
    <form class="task" onSubmit={(e) => { e.preventDefault(); void writeStations(t.surface, st).then((ok) => { if (ok) task.value = null; }); }}>
      <label>Trace the <select value={t.surface} onChange={(e) => { task.value = { ...t, surface: e.currentTarget.value }; }}>{d.surfaces.map((s) => <option value={s.name}>{s.name}</option>)}</select></label>
      <p>From the root to the tip of one half, click the leading edge, then the trailing edge, at every place where the outline bends.</p>
      {st.length ? <ul>{st.map((s) => <li>{Math.round(s.y * 1000)} mm out: chord {Math.round(s.chord * 1000)} mm, leading edge at {Math.round(s.x * 1000)} mm</li>)}</ul> : null}
      <button type="submit" class="act" disabled={st.length < 2}>Write {st.length} stations</button>
      <button type="button" class="word-button" onClick={() => { task.value = { ...t, points: t.points.slice(0, -1) }; }}>Take the last point back</button>
    </form>
  );
}

/** Metres from "1040 mm", "41 in" or "1.04 m". */
export function metres(text: string): number | null {
  const m = /^\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|ft)\s*$/.exec(text);
  if (!m) return null;
  const k = { mm: 0.001, cm: 0.01, m: 1, in: 0.0254, ft: 0.3048 }[m[2] as "mm"];
  return Number(m[1]!.replace(",", ".")) * k;
}

async function writeStations(surface: string, st: { x: number; y: number; chord: number }[]): Promise<boolean> {
  const s = drawing.value?.surfaces.find((o) => o.name === surface);
  if (!s || !build.value) return false;
  const sets = st.flatMap((k, i) => {
    const path = s.stations[i]?.path ?? `${s.path}.stations[${i}]`;
    const section = s.stations[i] ? [] : [`${path}.section=${s.stations[s.stations.length - 1]?.section ?? "NACA 0009"}`];
    return [`${path}.x=${setLength(k.x)}`, `${path}.y=${setLength(k.y)}`, `${path}.chord=${setLength(k.chord)}`, ...section];
  });
  return edit(sets, `${surface} traced from a picture`);
}
