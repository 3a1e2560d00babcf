// What the numbers rest on, and what a build file may say: for whoever wants
// to check.
import { useState } from "preact/hooks";
import { get } from "../wire/client";
import { hello } from "../state/shop";

interface Source { key: string; text?: string; title?: string; [k: string]: unknown }

export function Reference() {
  const [sources, set] = useState<Source[] | null>(null);
  const [find, setFind] = useState("");
  const [bad, setBad] = useState("");
  const load = (): void => { if (sources) { set(null); return; } get<{ sources: Source[] }>("/sources").then((r) => set(r.sources), (e: unknown) => setBad(String(e instanceof Error ? e.message : e))); };
  const words = find.toLowerCase().split(/\s+/).filter(Boolean);
  const line = (s: Source): string => Object.entries(s).filter(([k, v]) => k !== "key" && v !== "" && v !== null && typeof v !== "object").map(([, v]) => String(v)).join(", ");
  const list = (sources ?? []).filter((s) => words.every((w) => `${s.key} ${line(s)}`.toLowerCase().includes(w)));
  return (
    <section class="detail" id="reference" aria-labelledby="reference-title">
      <div class="detail-head"><h2 id="reference-title">What it rests on</h2></div>
      <p><button type="button" class="word-button" aria-expanded={sources !== null} onClick={load}>Sources of the numbers {sources ? "\u2212" : "+"}</button></p>
      {bad ? <p class="caution" role="alert">{bad}</p> : null}
      {sources ? <><label>Find <input type="search" value={find} onInput={(e) => setFind(e.currentTarget.value)} /></label><p class="aside" role="status">{list.length} of {sources.length}</p><ul class="sources">{list.slice(0, 400).map((s) => <li key={s.key}>{line(s)} <span class="aside">[{s.key}]</span></li>)}</ul></> : null}
      <p><a class="act no-print" href="/api/schema" download="fledge-build.schema.json">Schema of the build file, for an editor</a></p>
      <p class="aside">Fledge {hello.value?.version ?? ""}. Every word underlined with dots on these sheets says what it means.</p>
    </section>
  );
}
