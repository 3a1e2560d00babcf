// The neutral document: any verb's page as the server wrote it.
import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { say } from "../state/shop";
import type { Answer, Block, Page, Table } from "../wire/types";
import { Worded } from "./Term";

export function TableView({ t, name }: { t: Table; name: string }) {
  const right = (i: number): string => (t.right?.[i] ? "right" : "");
  const mark = /^(ok|FAIL|doubt|\?|-)$/;
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={name}>
      <table>
        {t.head.some((h) => h) ? <thead><tr>{t.head.map((h, i) => (h ? <th class={right(i)} scope="col">{h}</th> : <td class="no-head" />))}</tr></thead> : null}
        <tbody>{t.rows.map((r) => <tr>{r.map((c, i) => <td class={right(i) + (mark.test(c) ? ` cell-${c}` : "")}>{c}</td>)}</tr>)}</tbody>
      </table>
    </div>
  );
}

function BlockView({ b, name }: { b: Block; name: string }) {
  if (b.table) return <TableView t={b.table} name={name} />;
  if (b.list) return <ul>{b.list.map((l) => <li><Worded>{l}</Worded></li>)}</ul>;
  return <p><Worded>{b.para ?? ""}</Worded></p>;
}

export function PageView({ page, skip = [] }: { page: Page; skip?: string[] }) {
  const sections = (page.sections ?? []).filter((s) => s.blocks?.length && !skip.includes(s.title));
  return (
    <div class="page">
      {(page.lead ?? []).map((p) => <p><Worded>{p}</Worded></p>)}
      {sections.map((s) => (
        <section class="page-section"><h3>{s.title}</h3>{s.blocks.map((b) => <BlockView b={b} name={s.title} />)}</section>
      ))}
    </div>
  );
}

const picture = (svg: string): string => URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));

/** Puts a drawing on the clipboard as SVG text, or saves it where that fails. */
export async function copySvg(svg: string, name: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(svg);
    say("Copied as SVG.");
  } catch {
    const a = document.createElement("a");
    a.href = picture(svg);
    a.download = `${name}.svg`;
    a.click();
    say("Saved as SVG.");
  }
}

export function Charts({ of }: { of: Answer["charts"] }) {
  return <>{(of ?? []).map((c) => <ChartView svg={c.svg} title={c.title || c.name} name={c.name} />)}</>;
}

/** The server's drawing, laid on this page's ground (its classes take our inks). */
export function ChartView({ svg, title, name }: { svg: string; title: string; name: string }) {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const doc = new DOMParser().parseFromString(svg, "image/svg+xml");
    doc.querySelectorAll("style, script, foreignObject").forEach((e) => e.remove());
    const el = doc.documentElement;
    if (el.nodeName !== "svg") return;
    el.setAttribute("aria-label", title);
    ref.current?.replaceChildren(document.importNode(el, true));
  }, [svg, title]);
  return (
    <figure class="chart">
      <div class="chart-ink" ref={ref} />
      <figcaption>{title} <button type="button" class="word-button no-print" onClick={() => void copySvg(svg, name)}>Copy as SVG</button></figcaption>
    </figure>
  );
}

/** What was made to be kept or printed. */
export function FileList({ of }: { of: Answer["files"] }) {
  if (!of?.length) return null;
  const all = of[0]!.url.replace(/\/\d+$/, "");
  return <ul class="plain files">{of.length > 1 ? <li><a class="act act-strong" href={all} download>All {of.length} in one archive</a></li> : null}{of.map((f) => <li><a class="act" href={f.url} download={f.name}>{f.name}</a>{f.bytes ? <span class="aside"> {Math.max(1, Math.round(f.bytes / 1024))} kB</span> : null}</li>)}</ul>;
}

const shown = signal<ReadonlySet<string>>(new Set());
/** The server's whole page under a drawn view, folded. */
export function Folded({ answer, id, title = "All figures, as printed" }: { answer: Answer; id: string; title?: string }) {
  const open = shown.value.has(id);
  const flip = (): void => {
    const next = new Set(shown.value);
    if (open) next.delete(id);
    else next.add(id);
    shown.value = next;
  };
  return (
    <div class="folded">
      <button type="button" class="word-button" aria-expanded={open} onClick={flip}>{title} {open ? "\u2212" : "+"}</button>
      {open ? <>{answer.page ? <PageView page={answer.page} /> : <pre class="wide" tabIndex={0}>{answer.plain}</pre>}<Charts of={answer.charts} /></> : null}
    </div>
  );
}
