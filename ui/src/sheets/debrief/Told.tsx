// What is told without a log, and what makes a log tell more: readings typed
// in, how the launch ended, the marked course, the pack for others to check.
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { optionsOf, putSaid, saidOf } from "../../bits/Options";
import { hello, units } from "../../state/shop";
import { get } from "../../wire/client";
import type { Word, Words } from "../../api";
import { logs, read } from "./work";

export const words = signal<Words | null>(null);
export function useWords(): Words | null {
  useEffect(() => { if (!words.peek()) get<Words>("/words").then((w) => { words.value = w; }, () => undefined); }, []);
  return words.value;
}

/** Kinds of readings, each with its words; the first is asked for. */
const kinds: { name: string; say: string; keys: string[] }[] = [
  { name: "a speed off a screen", say: "one row a pass; two in opposite directions are paired and the wind along them cancels; alone, without the wind, it is a speed over the ground", keys: ["speed", "direction", "level", "peak", "digit", "tail_wind"] },
  { name: "a timed base", say: "by a watch, or by frames of a film; passes both ways are paired and the wind along them cancels", keys: ["base", "time", "frames", "frame_rate", "direction", "level", "base_doubt", "watches", "aside", "to_marks"] },
  { name: "the pack", say: "what a flight took out of it", keys: ["volts_before", "volts_after", "cells", "put_back", "capacity", "flown", "mean_volts"] },
  { name: "weighed or measured", say: "what a claim may be about", keys: ["mass", "span", "thrust", "current", "endurance", "range", "stall_speed", "build_time", "how"] },
  { name: "the launch, measured", say: "at the moment of release", keys: ["outcome", "release_speed", "release_pitch", "release_time"] },
];
export const learnKinds: { name: string; say: string; keys: string[] }[] = [
  { name: "a level speed that lasted", say: "full throttle unless a throttle is said", keys: ["level_speed", "throttle", "rpm", "amps", "volts", "temperature", "density", "of"] },
  { name: "a bench run", say: "standing, propeller on", keys: ["throttle", "volts", "amps", "rpm", "pull", "of"] },
  { name: "a glide", say: "steady, motor off", keys: ["glide_speed", "sink", "of"] },
  { name: "the stall", say: "slowest level flight", keys: ["stall_speed", "of"] },
  { name: "the cord", say: "pulled with a scale", keys: ["cord_pull", "stretch", "of"] },
  { name: "a launch", say: "airspeed leaving hook or hand", keys: ["release_speed", "stretch", "of"] },
  { name: "hook or pack", say: "measured at home", keys: ["ring_angle", "pack_resistance", "of"] },
  { name: "the trim", say: "stick or attitude in level flight", keys: ["stick", "attitude", "at_speed", "of"] },
];

const drafts = signal<Record<string, { kind: number; said: Record<string, string> }>>({});

/** Readings entered by their words, kept as lines that can be taken away. */
export function Readings({ id, of, known, go }: { id: string; of: typeof kinds; known: Word[]; go: () => void }) {
  const lines = (saidOf(id)["readings"] as string[] | undefined) ?? [];
  const d = drafts.value[id] ?? { kind: 0, said: {} };
  const put = (x: Partial<typeof d>): void => { drafts.value = { ...drafts.value, [id]: { ...d, ...x } }; };
  const kind = of[d.kind]!;
  const by = new Map(known.map((k) => [k.key, k]));
  const add = (): void => {
    const line = kind.keys.filter((k) => d.said[k]?.trim()).map((k) => `${k}=${d.said[k]!.trim()}`).join(" ");
    if (!line) return;
    putSaid(id, "readings", [...lines, line]);
    put({ said: {} });
    go();
  };
  return (
    <>
      {lines.length ? <ul class="plain readings">{lines.map((l, i) => <li><code>{l}</code> <button type="button" class="word-button" onClick={() => { putSaid(id, "readings", lines.filter((_, j) => j !== i)); go(); }}>take away<span class="unseen"> {l}</span></button></li>)}</ul> : null}
      <form class="told" onSubmit={(e) => { e.preventDefault(); add(); }}>
        <label>I read <select value={d.kind} onChange={(e) => put({ kind: Number(e.currentTarget.value), said: {} })}>{of.map((k, i) => <option value={i}>{k.name}</option>)}</select></label>
        <p class="aside">{kind.say}. A unit is needed; “± 1 m/s” may follow; what is left out widens the doubt.</p>
        <div class="entry-fields">{kind.keys.map((k) => {
          const w = by.get(k), f = `${id}-read-${k}`.replace(/\W+/g, "-");
          return <div class="option"><label for={f}>{k.replaceAll("_", " ")}: <span class="aside">{w?.say ?? ""}</span></label>
            {k === "level" || k === "peak" ? <select id={f} value={d.said[k] ?? ""} onChange={(e) => put({ said: { ...d.said, [k]: e.currentTarget.value } })}><option value="">not said</option><option value="yes">yes</option><option value="no">no</option></select>
              : <input id={f} value={d.said[k] ?? ""} placeholder={w?.example ?? ""} autocomplete="off" onInput={(e) => put({ said: { ...d.said, [k]: e.currentTarget.value } })} />}</div>;
        })}</div>
        <button type="submit" class="act">Add the reading</button>
      </form>
    </>
  );
}

const openOnes = signal<ReadonlySet<string>>(new Set());
export function Fold({ id, title, n = 0, children }: { id: string; title: string; n?: number; children: ComponentChildren }) {
  const on = openOnes.value.has(id);
  const flip = (): void => { const next = new Set(openOnes.value); if (!next.delete(id)) next.add(id); openOnes.value = next; };
  return <div class="fold"><button type="button" class="word-button" aria-expanded={on} onClick={flip}>{title}{n ? ` (${n} said)` : ""} {on ? "\u2212" : "+"}</button>{on ? <div class="fold-in">{children}</div> : null}</div>;
}

function Text({ k, label, example }: { k: string; label: string; example?: string }) {
  const id = "told-" + k;
  return <div class="option"><label for={id}>{label}</label><input id={id} value={String(saidOf("debrief")[k] ?? "")} placeholder={example ?? ""} autocomplete="off" onInput={(e) => putSaid("debrief", k, e.currentTarget.value)} /></div>;
}
function Flag({ k, label }: { k: string; label: string }) {
  return <label class="option-flag"><input type="checkbox" checked={saidOf("debrief")[k] === true} onChange={(e) => putSaid("debrief", k, e.currentTarget.checked)} /> {label}</label>;
}

export function Told() {
  const w = useWords();
  const said = optionsOf("debrief").options ?? {};
  const n = (...keys: string[]): number => keys.filter((k) => said[k] !== undefined).length;
  const list = (k: string): string[] => (saidOf("debrief")[k] as string[] | undefined) ?? [];
  const go = (): void => { void read(); };
  const state = (on: string, off: string, label: string) => {
    const s = list("state"), v = s.includes(on) ? on : s.includes(off) ? off : "";
    const id = "told-state-" + on;
    return <div class="option"><label for={id}>{label}</label><select id={id} value={v} onChange={(e) => { const x = e.currentTarget.value; putSaid("debrief", "state", [...s.filter((o) => o !== on && o !== off), ...(x ? [x] : [])]); }}><option value="">not said</option><option value={on}>{on.replace("-", " ")}</option><option value={off}>{off.replace("-", " ")}</option></select></div>;
  };
  const feet = units.value === "imperial";
  const wavs = logs.value.filter((l) => /\.wav$/i.test(l.name)).length;
  if (!hello.value || !w) return null;
  return (
    <div class="tolds no-print">
      {wavs === 2 ? <p class="ask-pair"><label class="option-flag"><input type="checkbox" checked={saidOf("debrief")["opposite"] === true} onChange={(e) => { putSaid("debrief", "opposite", e.currentTarget.checked); go(); }} /> The two recordings are of passes in opposite directions: <span class="aside">together they tell the speed without the wind</span></label></p> : null}
      <Fold id="told-readings" title="Readings, typed in" n={list("readings").length}><Readings id="debrief" of={kinds} known={w.readings} go={go} /></Fold>
      <Fold id="told-launch" title="A launch that failed" n={n("outcome", "seen", "not_seen", "flew_before")}>
        <form class="told" onSubmit={(e) => { e.preventDefault(); go(); }}>
          <div class="entry-fields">
            <div class="option"><label for="told-outcome">How it ended</label><select id="told-outcome" value={String(saidOf("debrief")["outcome"] ?? "")} onChange={(e) => putSaid("debrief", "outcome", e.currentTarget.value)}><option value="">not said</option>{w.outcomes.map((o) => <option value={o}>{o}</option>)}</select></div>
          </div>
          <fieldset class="option signs"><legend>What was seen, what surely not</legend>
            {w.signs.map((s) => {
              const v = list("seen").includes(s) ? "seen" : list("not_seen").includes(s) ? "not" : "", id = "sign-" + s.replace(/\W+/g, "-");
              return <div class="sign"><label for={id}>{s}</label><select id={id} value={v} onChange={(e) => { const x = e.currentTarget.value; putSaid("debrief", "seen", [...list("seen").filter((o) => o !== s), ...(x === "seen" ? [s] : [])]); putSaid("debrief", "not_seen", [...list("not_seen").filter((o) => o !== s), ...(x === "not" ? [s] : [])]); }}><option value="">not looked for</option><option value="seen">seen</option><option value="not">surely not</option></select></div>;
            })}
          </fieldset>
          <Flag k="flew_before" label="the same settings flew the time before" />
          <button type="submit" class="act act-strong" disabled={!said["outcome"] && !list("seen").length}>Why did it fail?</button>
        </form>
      </Fold>
      <Fold id="told-flight" title="The field and the flight" n={n("base", "field_height", "height_limit", "far_limit", "state", "opposite")}>
        <form class="told" onSubmit={(e) => { e.preventDefault(); go(); }}>
          <div class="entry-fields">
            <Text k="base" label="marked course: its middle, direction, length" example={`52.1234,13.5678 azimuth=270 length=${feet ? "660 ft" : "200 m"}`} />
            <Text k="field_height" label="height of the field in the log's own heights" example={feet ? "370 ft" : "112 m"} />
            <Text k="height_limit" label="height above the start not to be passed" example={feet ? "400 ft" : "120 m"} />
            <Text k="far_limit" label="distance from the start not to be passed" example={feet ? "1300 ft" : "400 m"} />
            {state("full-throttle", "part-throttle", "throttle in the fast passes")}
            {state("claimed-parts", "other-parts", "motor, pack, propeller")}
            {state("sound", "repaired", "the airframe")}
          </div>
          {wavs === 1 ? <Flag k="opposite" label="the recording holds two passes, in opposite directions" /> : null}
          <button type="submit" class="act">Read it with these</button>
        </form>
      </Fold>
      <Fold id="told-pack" title="A pack for others to check" n={n("pack", "obtained", "flown", "note")}>
        <form class="told" onSubmit={(e) => { e.preventDefault(); putSaid("debrief", "pack", true); go(); }}>
          <p class="aside">An evidence sheet, the drawings, all numbers, the cleaned path and the logs' check sums, in one archive.</p>
          <div class="entry-fields">
            <div class="option"><label for="told-obtained">The aeroplane was</label><select id="told-obtained" value={String(saidOf("debrief")["obtained"] ?? "")} onChange={(e) => putSaid("debrief", "obtained", e.currentTarget.value)}><option value="">not said</option>{["bought", "lent", "given"].map((x) => <option value={x}>{x}</option>)}</select></div>
            <Text k="flown" label="flown where and by whom" /><Text k="note" label="state of the aeroplane and its repairs" />
          </div>
          <button type="submit" class="act">Make the pack</button>
        </form>
      </Fold>
    </div>
  );
}
