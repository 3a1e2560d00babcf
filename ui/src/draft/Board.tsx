// The drawing with its margin: findings as notes, each with a leader line to
// the place it concerns.
import { signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { Mark } from "../ink/marks";
import { drawing, moving, values } from "../state/shop";
import { sayLimit, sayQuantity, shares } from "../state/say";
import type { Drawing as D, DrawnPart, Finding } from "../wire/types";
import { Worded } from "../bits/Term";
import { held } from "./drag";
import { Drawing } from "./Drawing";
import { planY, px, sideY } from "./frame";
import { tryRemedy } from "../sheets/bench/try";
import { putOnSlip } from "./slip";
import { closer, Underlay, UnderlayBar, underlayMarks } from "./Underlay";

const rank: Record<string, number> = { fail: 0, doubtful: 1, unknown: 2, pass: 3, "not-asked": 4 };

/** A finding belongs to the anchor of its own id, else to that of the thing its
    id ends in (".aileron"), else to the stem's. */
export function anchorOf(d: D, id: string): D["anchors"][number] | undefined {
  return d.anchors.find((a) => a.id === id) ?? d.anchors.find((a) => a.id.startsWith(".") && id.endsWith(a.id)) ?? d.anchors.find((a) => id.startsWith(a.id + "."));
}

/** Balloons stand beside their place, those at one place in a row, clear of the labels above the plan. */
function balloonAt(n: number, same: number, y: number, top: number): [number, number] {
  return [14 + same * 20, y < top + 24 ? 16 : n % 2 ? -14 : 15];
}

const lit = signal<string | null>(null);
const open = signal<ReadonlySet<string>>(new Set());

export function Board({ findings, children }: { findings: Finding[]; children?: ComponentChildren }) {
  const d = drawing.value;
  const ref = useRef<HTMLDivElement>(null);
  const notes = findings.filter((f) => f.status === "fail" || f.status === "doubtful" || f.status === "unknown")
    .sort((a, b) => (rank[a.status] ?? 9) - (rank[b.status] ?? 9) || Number(b.safety) - Number(a.safety));
  if (!d) return <div class="board" aria-busy="true"><div class="drawing-blank empty"><div>Drawing her...</div></div><div class="board-notes">{children}</div></div>;
  const numbers = new Map(notes.map((f, i) => [f.id, i + 1]));
  return (
    <div class="board" ref={ref}>
      <div class="board-drawing">
        <Drawing drawing={d} onPart={(p: DrawnPart) => putOnSlip(p.path)} onPath={putOnSlip}
          under={(f) => <Underlay f={f} file={d.file} />}>
          {(f) => <>
            {underlayMarks(f)}
            {notes.map((n, at) => {
              const a = anchorOf(d, n.id);
              if (!a) return null;
              const same = notes.slice(0, at).filter((o) => anchorOf(d, o.id) === a).length;
              const on = a.id === "balance" && moving.value ? moving.value.balance.cg : a.at;
              const x = px(f, on[0]), y = a.view === "side" && a.id !== "balance" ? sideY(f, on[2]) : planY(f, on[1]);
              return (
                <g class={`anchor anchor-${n.status}${lit.value === n.id ? " lit" : ""}`} data-anchor={n.id} transform={`translate(${x} ${y})`} aria-hidden="true">
                  <circle r="3.2" class="anchor-dot" />
                  <g class="anchor-balloon" transform={`translate(${balloonAt(numbers.get(n.id)!, same, y, f.plan.top).join(" ")})`}><circle r="9" /><text dy="4" text-anchor="middle" font-size="11">{numbers.get(n.id)}</text></g>
                </g>
              );
            })}
          </>}
        </Drawing>
        <UnderlayBar file={d.file} />
      </div>
      <div class="board-notes">
        {children}
        {notes.length ? <ol class="notes" aria-label="Findings that need attention">{notes.map((f) => <Note f={f} number={numbers.get(f.id)!} key={f.id} />)}</ol> : null}
        <Passing findings={findings.filter((f) => f.status === "pass")} />
      </div>
      <Leaders board={ref} ids={notes.map((f) => f.id)} />
    </div>
  );
}

function flip(id: string): void {
  const next = new Set(open.value);
  if (!next.delete(id)) next.add(id);
  open.value = next;
}

/** Value and limit of a finding, as one reads them. */
export function FindingFigures({ f }: { f: Finding }) {
  const share = shares.has(f.id);
  const s = sayQuantity(f, share);
  const limit = sayLimit(f.limit, f.unit, share, f.value ?? 0);
  return <span class="figures">{f.value !== null ? s.full : ""}{limit ? <span class="aside">{f.value !== null ? ", " : ""}{limit} wanted</span> : null}</span>;
}

export function Note({ f, number }: { f: Finding; number?: number }) {
  const long = open.value.has(f.id);
  return (
    <li class={`note note-${f.status}`} data-note={f.id} onMouseEnter={() => { lit.value = f.id; }} onMouseLeave={() => { lit.value = null; }}
      onFocusCapture={() => { lit.value = f.id; }} onBlurCapture={() => { lit.value = null; }}>
      <div class="note-head">
        {number ? <span class="note-number" aria-hidden="true">{number}</span> : null}
        <span class="note-name"><Worded>{f.label}</Worded>{f.safety ? "" : <span class="aside"> (no matter of safety)</span>}</span>
        <Mark status={f.status} word />
      </div>
      <div><FindingFigures f={f} /></div>
      {f.remedies.length ? (
        <ul class="remedies">
          {f.remedies.slice(0, long ? undefined : 2).map((r) => (
            <li>
              <span>{r.say}{r.value_after !== null && r.set.length ? <span class="aside"> gives {sayQuantity({ value: r.value_after, unit: f.unit }, shares.has(f.id)).full}{r.verified ? ", verified" : ""}{r.spoils?.length ? `; but then fails: ${r.spoils.join(", ")}` : ""}</span> : null}</span>
              {r.set.length ? <button type="button" class="try no-print" aria-label={`Try: ${r.say}`} onClick={() => void tryRemedy(r.set, r.say, f.id)}>Try</button> : null}
            </li>
          ))}
        </ul>
      ) : null}
      <button type="button" class="word-button note-more no-print" aria-expanded={long} aria-label={`${long ? "Less" : "Why"}: ${f.label}`} onClick={() => flip(f.id)}>{long ? "Less" : "Why?"}</button>
      {long ? (
        <div class="note-why">
          <p><Worded>{f.because}</Worded></p>
          {f.caution ? <p class="caution">{f.caution}</p> : null}
          {f.sources.length ? <p class="aside">Rests on: {f.sources.join("; ")}</p> : null}
        </div>
      ) : null}
    </li>
  );
}

function Passing({ findings }: { findings: Finding[] }) {
  if (!findings.length) return null;
  const id = "\u0000passing", long = open.value.has(id);
  return (
    <div class="passing">
      <button type="button" class="word-button" aria-expanded={long} onClick={() => flip(id)}><Mark status="pass" /> {findings.length} findings pass {long ? "\u2212" : "+"}</button>
      {long ? <ul>{findings.map((f) => <li><Worded>{f.label}</Worded>: <FindingFigures f={f} /></li>)}</ul> : null}
    </div>
  );
}

interface Line { id: string; d: string; status: string }

/** Leader lines over board and margin, laid out from what stands where. */
function Leaders({ board, ids }: { board: preact.RefObject<HTMLDivElement | null>; ids: string[] }) {
  const [lines, set] = useState<Line[]>([]);
  const seen = held.value, d = drawing.value, opened = open.value, vals = values.value, near = closer.value;
  const lay = (): void => {
    const el = board.current;
    if (!el || closer.value > 1 || getComputedStyle(el).getPropertyValue("--leaders").trim() !== "1") { set((o) => (o.length ? [] : o)); return; }
    const o = el.getBoundingClientRect();
    const next: Line[] = [];
    for (const id of ids) {
      const a = el.querySelector(`[data-anchor="${CSS.escape(id)}"] .anchor-dot`)?.getBoundingClientRect();
      const n = el.querySelector(`[data-note="${CSS.escape(id)}"]`)?.getBoundingClientRect();
      if (!a || !n) continue;
      const x0 = n.left - o.left - 4, y0 = n.top - o.top + 14;
      const x1 = a.left + a.width / 2 - o.left, y1 = a.top + a.height / 2 - o.top;
      next.push({ id, d: `M${x0} ${y0}H${x0 - 16}L${x1} ${y1}`, status: el.querySelector(`[data-note="${CSS.escape(id)}"]`)?.className ?? "" });
    }
    set(next);
  };
  useLayoutEffect(lay, [ids.join(), d, seen, opened, vals, near]);
  useEffect(() => {
    const o = new ResizeObserver(lay);
    if (board.current) { o.observe(board.current); for (const c of board.current.children) o.observe(c); }
    return () => o.disconnect();
  }, [ids.join()]);
  return (
    <svg class="leaders" aria-hidden="true" focusable="false">
      {lines.map((l) => <path key={l.id} d={l.d} class={`leader-note ${l.status.includes("note-fail") ? "leader-fail" : ""}${lit.value === l.id ? " lit" : ""}`} />)}
    </svg>
  );
}
