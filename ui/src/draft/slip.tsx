// The slip: the values of one thing of the build, each with unit, doubt and
// where it comes from, to be changed in place.
import { signal } from "@preact/signals";
import { useEffect, useRef, useState } from "preact/hooks";
import { build, edit, hello, units, values } from "../state/shop";
import { at, get } from "../wire/client";
import { figures, scaleOf } from "../state/say";
import type { BuildView, ValueView } from "../wire/types";
import { Worded } from "../bits/Term";

/** The path whose values lie on the slip. */
export const onSlip = signal<string | null>(null);
const openValues = signal<{ etag: string; units: string; values: ValueView[] } | null>(null);

export function putOnSlip(path: string): void {
  onSlip.value = path;
  void withOpen();
}

async function withOpen(): Promise<void> {
  const b = build.value;
  if (!b || (openValues.value?.etag === b.etag && openValues.value.units === units.value)) return;
  try {
    const all = await get<BuildView>(at(b.file, `?open=1&units=${units.value}`));
    openValues.value = { etag: all.etag, units: units.value, values: all.values };
  } catch { /* the given ones are shown */ }
}

export function valuesUnder(path: string): ValueView[] {
  const b = build.value;
  if (!b) return [];
  const all = openValues.value?.etag === b.etag ? openValues.value.values : b.values;
  return all.filter((v) => v.path === path || v.path.startsWith(path + ".") || v.path.startsWith(path + "["));
}

const stateWord: Record<string, string> = { given: "given", assumed: "assumed", open: "not said" };

export function Slip() {
  const path = onSlip.value;
  const ref = useRef<HTMLElement>(null);
  useEffect(() => {
    if (path) { void withOpen(); ref.current?.focus({ preventScroll: true }); ref.current?.scrollIntoView({ block: "nearest" }); }
  }, [path, build.value?.etag]);
  if (!path) return null;
  const list = valuesUnder(path);
  return (
    <section class="slip" ref={ref} tabIndex={-1} aria-label={`Values of ${path}`} onKeyDown={(e) => { if (e.key === "Escape" && !(e.target instanceof HTMLInputElement)) onSlip.value = null; }}>
      <div class="slip-head"><h2>{path.split(".").pop()}</h2><button type="button" class="word-button" onClick={() => { onSlip.value = null; }}>Put away</button></div>
      <ValueList list={list} under={path} />
    </section>
  );
}

export function ValueList({ list, under }: { list: ValueView[]; under?: string }) {
  const [all, showAll] = useState(false);
  const said = list.filter((v) => v.state !== "open"), open = list.filter((v) => v.state === "open");
  return (
    <>
      <dl class="values">{(all ? list : said).map((v) => <Value v={v} key={v.path} {...(under ? { under } : {})} />)}</dl>
      {said.length === 0 && !all ? <p class="aside">Nothing is said here yet.</p> : null}
      {open.length ? <button type="button" class="word-button" aria-expanded={all} onClick={() => showAll(!all)}>{all ? "Hide what is not said" : `${open.length} more that could be said`}</button> : null}
    </>
  );
}

function range(v: ValueView): string {
  if (v.min === undefined && v.max === undefined) return "";
  const unit = siUnit[v.dim ?? ""] ?? "";
  const one = (x: number): string => { const s = scaleOf(unit, Math.abs(x)); return `${figures(x * s.k)} ${s.unit}`.trim(); };
  if (v.min !== undefined && v.max !== undefined) return `from ${one(v.min)} to ${one(v.max)}`;
  if (v.min !== undefined) return `${v.min_open ? "more than" : "at least"} ${one(v.min)}`;
  return `${v.max_open ? "less than" : "at most"} ${one(v.max!)}`;
}
const siUnit: Record<string, string> = { length: "m", mass: "kg", angle: "rad", time: "s", speed: "m/s", force: "N" };

export function Value({ v, under }: { v: ValueView; under?: string }) {
  const [editing, set] = useState(false);
  const name = under && v.path.startsWith(under) && v.path !== under ? v.path.slice(under.length + 1).replaceAll(".", " ").replaceAll("_", " ") : v.label || v.path;
  return (
    <div class={`value value-${v.state}`}>
      <dt title={v.doc}>{name}</dt>
      <dd>
        {editing ? <ValueForm v={v} done={() => set(false)} /> : (
          <>
            <button type="button" class="value-button" onClick={() => set(true)} aria-label={`${v.label || name}: ${v.shown || "not said"}, change`} data-path={v.path}>{v.shown || (v.state === "open" ? "say it" : v.text)}</button>
            <span class="aside"> {v.state !== "given" ? stateWord[v.state] : v.word ?? ""}</span>
          </>
        )}
      </dd>
    </div>
  );
}

const words = ["weighed", "measured", "label", "guess"];

function ValueForm({ v, done }: { v: ValueView; done: () => void }) {
  const [text, set] = useState(v.text);
  const [busy, setBusy] = useState(false);
  const ref = useRef<HTMLInputElement & HTMLSelectElement>(null);
  useEffect(() => { ref.current?.focus(); if (ref.current instanceof HTMLInputElement) ref.current.select(); }, []);
  const id = "value-" + v.path.replace(/[^a-zA-Z0-9]+/g, "-");
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    if (!text.trim() || text === v.text) { done(); return; }
    setBusy(true);
    const ok = await edit([`${v.path}=${text.trim()}`], `${v.label || v.path} ${text.trim()}`);
    setBusy(false);
    if (ok) done();
  };
  const put = (w: string): void => { set((text.replace(/\s*±.*$/, "").replace(new RegExp(`\\s+(${words.join("|")}|maker)$`), "") + " " + w).trim()); };
  const example = hello.value?.dims.find((d) => d.name === v.dim)?.example;
  return (
    <form class="value-form" onSubmit={(e) => void send(e)} onKeyDown={(e) => { if (e.key === "Escape") { e.stopPropagation(); done(); } }}>
      <label for={id} class="unseen">{v.label || v.path}</label>
      {v.one_of?.length ? (
        <select id={id} ref={ref} value={text} onChange={(e) => set(e.currentTarget.value)}><option value="">choose</option>{v.one_of.map((o) => <option value={o}>{o}</option>)}</select>
      ) : <input id={id} ref={ref} value={text} placeholder={v.example ?? example ?? ""} autocomplete="off" spellcheck={false} onInput={(e) => set(e.currentTarget.value)} aria-describedby={id + "-doc"} />}
      <span class="value-acts">
        <button type="submit" class="act" disabled={busy}>Write</button>
        <button type="button" class="word-button" onClick={done}>Leave it</button>
      </span>
      {v.kind === "quantity" && v.dim ? <span class="value-words" role="group" aria-label="How it is known">how known: {words.map((w) => <button type="button" class="word-button" onClick={() => put(w)}>{w}</button>)}<button type="button" class="word-button" onClick={() => set(text.includes("±") ? text : text.replace(/\s+(weighed|measured|label|guess|maker)$/, "") + " ± ")}>± ...</button></span> : null}
      <p class="aside" id={id + "-doc"}>
        <Worded>{v.doc}</Worded>
        {range(v) ? ` Allowed: ${range(v)}.` : ""}
        {v.doubt ? ` Doubt: ${v.doubt}.` : ""}
        {v.why ? ` Assumed: ${v.why}${v.ref ? ` (${v.ref})` : ""}.` : ""}
        {v.how ? ` To measure it: ${v.how}.` : ""}
        {v.line ? ` Line ${v.line} of the file.` : ""}
      </p>
    </form>
  );
}

/** A value by its path, wherever it is shown. */
export function ValueAt({ path }: { path: string }) {
  const v = values.value.get(path);
  return v ? <Value v={v} /> : null;
}
