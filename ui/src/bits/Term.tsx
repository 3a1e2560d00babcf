// Every term explains itself: words of the glossary become quiet buttons.
import { computed, signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { terms } from "../state/shop";
import type { Term as Entry } from "../wire/types";

const open = signal<Entry | null>(null);

const escape = (s: string): string => s.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

const index = computed(() => {
  const by = new Map<string, Entry>();
  for (const t of terms.value) for (const w of [t.term, ...(t.also ?? [])]) if (w.length > 2) by.set(w.toLowerCase(), t);
  const words = [...by.keys()].sort((a, b) => b.length - a.length);
  return { by, find: words.length ? new RegExp(`(?<![\\w-])(${words.map(escape).join("|")})(?![\\w-])`, "gi") : null };
});

/** The text with the first place of every known term made a button. */
export function Worded({ children }: { children: string }) {
  const { by, find } = index.value;
  if (!find) return <>{children}</>;
  const out: ComponentChildren[] = [];
  const seen = new Set<Entry>();
  let from = 0;
  for (const m of children.matchAll(find)) {
    const t = by.get(m[0].toLowerCase());
    if (!t || seen.has(t)) continue;
    seen.add(t);
    out.push(children.slice(from, m.index), <button type="button" class="term" aria-haspopup="dialog" onClick={() => { open.value = t; }}>{m[0]}</button>);
    from = m.index + m[0].length;
  }
  out.push(children.slice(from));
  return <>{out}</>;
}

export function TermSlip() {
  const box = useRef<HTMLDialogElement>(null);
  const t = open.value;
  useEffect(() => {
    if (t && box.current && !box.current.open) box.current.showModal();
  }, [t]);
  if (!t) return null;
  return (
    <dialog ref={box} aria-labelledby="term-name" onClose={() => { open.value = null; }} onClick={(e) => { if (e.target === box.current) box.current?.close(); }}>
      <h2 id="term-name"><i>{t.term}</i>{t.symbol ? <span class="aside"> {t.symbol}{t.unit ? `, in ${t.unit}` : ""}</span> : null}</h2>
      <p>{t.say}</p>
      {t.sources?.length ? <p class="aside">Source: {t.sources.join(", ")}</p> : null}
      <button type="button" class="act" onClick={() => box.current?.close()}>Close</button>
    </dialog>
  );
}
