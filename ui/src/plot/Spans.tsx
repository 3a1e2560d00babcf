// Numbers beside each other on one line each: a span of doubt with its value.
// The form tells them apart: ring, diamond, stroke.
import { Quantity } from "../bits/Quantity";
import { Worded } from "../bits/Term";
import type { Quantity as Q } from "../wire/types";

export interface SpanMark { name: string; q: Q | null | undefined; form: "ring" | "diamond" | "stroke" }
export interface SpanRow { label: string; say?: string; share?: boolean; marks: SpanMark[]; unchanged?: boolean }

export function Spans({ rows, label }: { rows: SpanRow[]; label: string }) {
  return <ul class="plain spans" aria-label={label}>{rows.map((r) => <Row r={r} />)}</ul>;
}

function Row({ r }: { r: SpanRow }) {
  const there = r.marks.filter((m) => m.q && m.q.value !== null);
  const ends = there.flatMap((m) => [m.q!.value!, m.q!.low ?? m.q!.value!, m.q!.high ?? m.q!.value!]);
  let low = Math.min(...ends), high = Math.max(...ends);
  const room = (high - low || Math.abs(high) || 1) * 0.06;
  low -= room; high += room;
  const at = (v: number): string => `${(100 * (v - low)) / (high - low)}%`;
  return (
    <li class={r.unchanged ? "span-unchanged" : ""}>
      <div class="span-label"><Worded>{r.label}</Worded></div>
      {r.marks.map((m) => (
        <div class={`span-line span-${m.form}`}>
          <span class="span-name">{m.name}</span>
          <svg class="span-svg" width="100%" height="18" aria-hidden="true" focusable="false">
            <line class="span-rail" x1="0" x2="100%" y1="9" y2="9" />
            {m.q && m.q.value !== null ? <>
              {m.q.low !== null && m.q.high !== null && m.q.low !== m.q.high ? <><line class="span-doubt" x1={at(m.q.low)} x2={at(m.q.high)} y1="9" y2="9" /><line class="span-end" x1={at(m.q.low)} x2={at(m.q.low)} y1="5" y2="13" /><line class="span-end" x1={at(m.q.high)} x2={at(m.q.high)} y1="5" y2="13" /></> : null}
              <svg x={at(m.q.value)} y="9" overflow="visible">{m.form === "ring" ? <circle r="4.5" /> : m.form === "diamond" ? <path d="M0 -6.5L6 0L0 6.5L-6 0Z" /> : <path d="M0 -8V8" />}</svg>
            </> : null}
          </svg>
          <span class="span-value">{m.q && m.q.value !== null ? <Quantity q={m.q} share={r.share ?? false} /> : <span class="aside">not known</span>}</span>
        </div>
      ))}
      {r.say ? <div class="aside">{r.say}</div> : null}
    </li>
  );
}
