// After a crash: what broke, where, how it is to be mended; worked out on
// paper first, then written as a build of its own.
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Busy, Empty } from "../../bits/Busy";
import { Cautions } from "../../bits/Cautions";
import { Folded } from "../../bits/PageView";
import { Quantity } from "../../bits/Quantity";
import { Drawing } from "../../draft/Drawing";
import { planY, px, sideY, type Frame } from "../../draft/frame";
import { Spans } from "../../plot/Spans";
import { addressOf } from "../../state/route";
import { build, drawing, loadHangar } from "../../state/shop";
import { figures, sayLength, scaleOf, sentence, setLength } from "../../state/say";
import { run, stale, work } from "../../state/work";
import type { RepairBody, RepairKey } from "../../wire/more";
import type { Answer } from "../../wire/types";
import { askFor, useSeen } from "../Detail";
import "../drawn.css";

const said = signal<Record<string, string>>({});
const broken = signal("");
const more = signal(false);
const first = new Set(["x", "y", "z", "mass", "material", "thickness", "width", "overlap", "strap"]);
const grams = (kg: number): string => { const s = scaleOf("kg", kg); return `${figures(kg * s.k)} ${s.unit}`; };

export function Repair() {
  const list = work<RepairBody>("repair-list"), w = work<RepairBody>("repair");
  const ref = useSeen(() => { if (build.peek()?.ok && list.peek().state === "empty") void run("repair-list", askFor("repair")); }, [build.value?.file]);
  const breaks = list.value.answer?.body.breaks ?? [], keys = list.value.answer?.body.keys ?? [];
  const b = breaks.find((x) => x.key === broken.value);
  const put = (k: string, v: string): void => { said.value = { ...said.value, [k]: v }; };
  const ask = (write: boolean): void => {
    const args = Object.entries(said.value).filter(([, v]) => v.trim()).map(([k, v]) => `${k}=${v.trim()}`);
    void run("repair", askFor("repair", { options: { broken: broken.value, args, ...(write ? { write: true } : {}) } }));
  };
  const shown = keys.filter((k) => more.value || first.has(k.key));
  const r = w.value.answer?.body;
  return (
    <section class="detail" id="repair" ref={ref} aria-labelledby="repair-title">
      <div class="detail-head"><h2 id="repair-title"><span class="balloon">9</span>Repair</h2></div>
      {list.value.state === "failed" ? <Busy of={list} name="What may break" again={() => void run("repair-list", askFor("repair"))} /> : null}
      {!breaks.length ? <Empty>What may break is being looked up.</Empty> : (
        <form class="options repair no-print" onSubmit={(e) => { e.preventDefault(); ask(false); }}>
          <label>What broke <select value={broken.value} onChange={(e) => { broken.value = e.currentTarget.value; w.value = { ...w.value, answer: null, state: "empty" }; }}><option value="">nothing yet</option>{breaks.map((x) => <option value={x.key}>{x.say}</option>)}</select></label>
          {b?.write_off ? <p class="caution"><b>Not to be repaired.</b> {b.write_off}. Look also at {b.look}.</p> : null}
          {b && !b.write_off ? (
            <>
              <p class="aside">Usual: a {b.joint} joint. Look also at {b.look}.</p>
              {drawing.value ? <figure class="plot plot-narrow where"><Drawing drawing={drawing.value} still tall={320}>{(f) => <Where f={f} />}</Drawing><figcaption>Point at the place where it broke, from above or from the side; or write it below</figcaption></figure> : null}
              <div class="entry-fields">{shown.map((k) => <Field k={k} v={said.value[k.key] ?? ""} put={put} joint={b.joint} />)}</div>
              <button type="submit" class="act act-strong" disabled={!(said.value["x"] ?? "").trim()}>Work it out, on paper</button>
              <button type="button" class="word-button" aria-expanded={more.value} onClick={() => { more.value = !more.value; }}>{more.value ? "Only the first questions" : `${keys.length - shown.length} more may be said`}</button>
            </>
          ) : null}
        </form>
      )}
      <Busy of={w} name="The repair" again={() => ask(false)} />
      {r && !r.breaks ? <Result r={r} a={w.value.answer as Answer} old={stale(w.value)} write={() => ask(true)} /> : null}
    </section>
  );
}

function Field({ k, v, put, joint }: { k: RepairKey; v: string; put: (k: string, v: string) => void; joint: string }) {
  const id = "repair-" + k.key.replace(/\W+/g, "-");
  return (
    <div class="option"><label for={id}>{k.key.replaceAll("_", " ")}{k.say ? <>: <span class="aside">{k.say}</span></> : null}</label>
      {k.words?.length ? <select id={id} value={v} onChange={(e) => put(k.key, e.currentTarget.value)}><option value="">{k.key === "joint" ? `${joint}, as usual` : k.key === "glue" ? "epoxy" : k.key === "surface" ? "roughened" : "not said"}</option>{k.words.map((x) => <option value={x}>{x}</option>)}</select>
        : <input id={id} value={v} placeholder={k.dim === "length" && k.key !== "x" ? "" : k.example} autocomplete="off" onInput={(e) => put(k.key, e.currentTarget.value)} />}</div>
  );
}

/** Takes the place from the drawing: x and y from above, x and z from the side. */
function Where({ f }: { f: Frame }) {
  const take = (side: boolean) => (e: MouseEvent): void => {
    const box = (e.currentTarget as SVGElement).ownerSVGElement!.getBoundingClientRect();
    const x = (e.clientX - box.left - f.left) / f.scale, v = side ? (f.sideZero - (e.clientY - box.top)) / f.scale : (f.planZero - (e.clientY - box.top)) / f.scale;
    const mm = (m: number): string => setLength(Math.round(m * 1000) / 1000);
    said.value = { ...said.value, x: mm(x), [side ? "z" : "y"]: mm(v) };
  };
  const mm = (k: string): number | null => { const m = /^(-?[\d.]+)\s*mm$/.exec((said.value[k] ?? "").trim()); return m ? Number(m[1]) / 1000 : null; };
  const x = mm("x"), y = mm("y") ?? 0, z = mm("z") ?? 0;
  const cross = (cx: number, cy: number) => <path class="curve curve-fail break-mark" d={`M${cx - 11} ${cy - 5}l6 9l5 -11l5 11l6 -9`} />;
  return (
    <g class="break-place" aria-hidden="true">
      <rect x={0} y={f.plan.top - 20} width={f.width} height={f.plan.bottom - f.plan.top + 30} fill="transparent" onClick={take(false)} />
      <rect x={0} y={f.side.top - 10} width={f.width} height={f.side.bottom - f.side.top + 20} fill="transparent" onClick={take(true)} />
      {x !== null ? <>{cross(px(f, x), planY(f, y))}{cross(px(f, x), sideY(f, z))}</> : null}
    </g>
  );
}

function Result({ r, a, old, write }: { r: RepairBody; a: Answer; old: boolean; write: () => void }) {
  useEffect(() => { if (r.file) void loadHangar().catch(() => undefined); }, [r.file]);
  if (r.write_off) return <p class="caution"><b>Not to be repaired.</b> {r.write_off}.</p>;
  const q = (s: RepairBody["mass"]) => (s ? { value: s.value, low: s.low, high: s.high, unit: s.unit } : null);
  const p = r.before, n = r.after;
  return (
    <div class={`repaired${old ? " stale" : ""}`}>
      <table class="facts"><caption class="unseen">The repair</caption><tbody>
        {r.mass ? <tr><th scope="row">adds</th><td><Quantity q={q(r.mass)} /> <span class="aside">({r.mass_from === "given" ? "as you said" : "estimated: weigh it"})</span></td></tr> : null}
        {r.joint ? <tr><th scope="row">joint</th><td>{r.joint}</td></tr> : null}
        {r.regained ? <tr><th scope="row">strength given back</th><td><Quantity q={q(r.regained)} share />{r.governs ? <span class="aside">, {r.governs} decides</span> : null}</td></tr> : null}
        {r.drag_area ? <tr><th scope="row">drag area of the scar</th><td>{figures(r.drag_area.value * 1e4)} cm² ({figures(r.drag_area.low * 1e4)} to {figures(r.drag_area.high * 1e4)})</td></tr> : null}
      </tbody></table>
      {r.proof ? <div class="strip"><h3>Proof load, before she flies again</h3><p>{sentence(r.proof.say)}</p></div> : null}
      {p && n ? <>
        <Spans label="Before and after the repair" rows={[
          { label: "launch odds", share: true, marks: [{ name: "before", q: p.odds, form: "ring" }, { name: "repaired", q: n.odds, form: "diamond" }] },
          { label: "top speed", marks: [{ name: "before", q: p.top_speed, form: "ring" }, { name: "repaired", q: n.top_speed, form: "diamond" }] },
        ]} />
        <p>Ready to launch she weighs {grams(n.mass_kg)} instead of {grams(p.mass_kg)} and balances at {sayLength(n.cg_m[0])} instead of {sayLength(p.cg_m[0])}.</p>
      </> : null}
      {r.remarks?.length ? <ul>{r.remarks.map((s) => <li>{sentence(s)}</li>)}</ul> : null}
      {r.look ? <p>Look also at {r.look}.</p> : null}
      {r.file ? <p role="status"><b>Written:</b> the repaired revision is <a href={addressOf(r.file.split(/[\\/]/).pop()!)}>{r.file.split(/[\\/]/).pop()}</a>, entered in the logbook as repair {r.repair}. The old build is kept.</p>
        : <p class="no-print"><button type="button" class="act" onClick={write}>Write the repaired revision</button> <span class="aside">as a new build, with an entry in the logbook; the old one is kept.</span></p>}
      <Cautions of={r.cautions} />
      {r.sources?.length ? <p class="aside">Sources: {r.sources.join("; ")}.</p> : null}
      <Folded answer={a} id="repair-plain" />
    </div>
  );
}
