// Signs that say a state by shape and word, never by colour alone.
import type { Status, Word } from "../wire/types";
import { Lettered } from "./Lettered";

export const statusWord: Record<string, string> = {
  pass: "ok", doubtful: "in doubt", fail: "fails", unknown: "unknown", "not-asked": "not asked",
};

const shapes: Record<string, string> = {
  pass: "M2 9L7 14L16 3", // a tick
  doubtful: "M1.5 11Q4.5 4 8 8.5T16.5 7M8 14.5V15", // a wavering line
  fail: "M2 2H16V16H2ZM4.5 4.5L13.5 13.5M13.5 4.5L4.5 13.5", // struck out
  unknown: "M5 5.5Q5 2 9 2T13 5.5Q13 8 9 9.5V12M9 15.5V16", // asking
  "not-asked": "M4 9H14", // a dash
};

export function Mark({ status, word = false }: { status: Status | string; word?: boolean }) {
  const name = statusWord[status] ?? status;
  return (
    <span class={`mark mark-${status}`}>
      <svg viewBox="0 0 18 18" aria-hidden="true" focusable="false"><path d={shapes[status] ?? shapes["not-asked"]} /></svg>
      <span class={word ? "" : "unseen"}>{name}</span>
    </span>
  );
}

const stampSay: Record<Word, string> = { go: "GO", hold: "HOLD", "no-go": "NO-GO" };

/** The verdict as a stamp: a ring for GO, a diamond for HOLD, a barred box for NO-GO. */
export function Stamp({ word, small = false, faint = false }: { word: Word | null; small?: boolean; faint?: boolean }) {
  const text = word ? stampSay[word] : "NOT YET";
  const size = small ? 15 : 26;
  return (
    <span class={`stamp stamp-${word ?? "none"}${small ? " stamp-small" : ""}${faint ? " stamp-faint" : ""}`}>
      <svg class="stamp-shape" viewBox="0 0 160 76" preserveAspectRatio="none" aria-hidden="true" focusable="false">
        {word === "go" && <><ellipse cx="80" cy="38" rx="77" ry="35" /><ellipse cx="80" cy="38" rx="71" ry="30" /></>}
        {word === "hold" && <><path d="M3 38L26 3H134L157 38L134 73H26Z" /><path d="M10 38L29 8H131L150 38L131 68H29Z" /></>}
        {word === "no-go" && <><path d="M3 3H157V73H3Z" /><path d="M3 12H157M3 64H157" /></>}
        {word === null && <path d="M3 3H157V73H3Z" stroke-dasharray="7 5" />}
      </svg>
      <Lettered text={text} size={size} weight={small ? 1.3 : 1.7} />
    </span>
  );
}

/** The hatchings and arrow heads every drawing uses; one set a page. */
export function InkDefs() {
  return (
    <svg class="unseen" width="0" height="0" aria-hidden="true" focusable="false">
      <defs>
        <pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V6" class="hatch-line" /></pattern>
        <pattern id="hatch-wide" width="11" height="11" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path d="M0 0V11" class="hatch-line" /></pattern>
        <pattern id="hatch-cross" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V7M0 0H7" class="hatch-line" /></pattern>
        <pattern id="hatch-dots" width="6" height="6" patternUnits="userSpaceOnUse"><circle cx="1.5" cy="1.5" r=".8" class="hatch-dot" /><circle cx="4.5" cy="4.5" r=".8" class="hatch-dot" /></pattern>
        <pattern id="hatch-red" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path d="M0 0V6" class="hatch-line-red" /></pattern>
        <marker id="arrow" viewBox="0 0 10 6" refX="10" refY="3" markerWidth="10" markerHeight="6" markerUnits="userSpaceOnUse" orient="auto-start-reverse"><path d="M0 0L10 3L0 6" class="arrow" /></marker>
      </defs>
    </svg>
  );
}
