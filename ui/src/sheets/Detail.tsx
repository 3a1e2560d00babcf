// A numbered detail of a sheet: works itself out when it comes into sight.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Busy, Empty } from "../bits/Busy";
import { Charts, FileList, Folded, PageView } from "../bits/PageView";
import { Options, optionsOf } from "../bits/Options";
import { build, drawing, etag, file, hello, loading, sheet, tryingSets, units } from "../state/shop";
import { todayKey } from "../state/today";
import { run, stale, work, type Work } from "../state/work";
import type { Answer, JobAsk } from "../wire/types";

/** Options of the view and those said in its form. */
function merged(id: string, more?: Partial<JobAsk>): Partial<JobAsk> {
  const said = optionsOf(id).options;
  return said || more?.options ? { options: { ...(more?.options ?? {}), ...(said ?? {}) } } : {};
}

/** Asks for a verb's answer on the build on the board. */
export function askFor(verb: string, more: Partial<JobAsk> = {}): JobAsk {
  const b = build.peek();
  return { verb, ...(b ? { file: b.file } : {}), ...more };
}

export function useSeen(then: () => void, when: unknown[]): preact.RefObject<HTMLElement | null> {
  const ref = useRef<HTMLElement>(null);
  useEffect(() => {
    const el = ref.current;
    if (!el) return;
    const o = new IntersectionObserver((es) => { if (es.some((e) => e.isIntersecting)) then(); }, { rootMargin: "120px" });
    o.observe(el);
    return () => o.disconnect();
  }, when);
  return ref;
}

/** The drawing and the verdict come before the details: they share two hands. */
function firstThingsDone(): boolean {
  if (!file.value || !drawing.value || loading.value) return false;
  if (sheet.value !== "bench") return true;
  const c = work("check").value;
  return c.answer !== null && c.state !== "waiting" || c.state === "failed" || c.state === "cancelled";
}

interface Props<B> {
  id: string; title: string; question?: number; verb: string; more?: Partial<JobAsk>; withTrying?: boolean;
  /** Wait to be asked instead of working out when in sight. */
  onAsk?: string; intro?: ComponentChildren; children?: (body: B, answer: Answer<B>, w: Work<B>) => ComponentChildren; foldTitle?: string; noOptions?: boolean; hide?: string[];
  /** Nothing to be asked yet: onAsk says why. */
  cannot?: boolean;
}

export function Detail<B>({ id, title, question, verb, more, withTrying = false, onAsk, intro, children, foldTitle, noOptions = false, hide = [], cannot = false }: Props<B>) {
  const w = work<B>(id);
  const known = hello.value?.verbs.some((v) => v.name === verb) ?? false;
  const again = (): void => { void run(id, askFor(verb, { ...more, ...merged(id, more) }), withTrying); };
  const ready = firstThingsDone();
  const ref = useSeen(() => {
    const now = w.peek();
    if (!known || onAsk || !ready || !build.peek()?.ok) return;
    if (now.state === "empty" || (now.state === "done" && stale(now as Work, withTrying)) || (now.state === "failed" && stale(now as Work, withTrying))) again();
  }, [etag.value, units.value, todayKey.value, known, ready, withTrying ? tryingSets.value.join() : ""]);
  const a = w.value.answer;
  return (
    <section class="detail" id={id} ref={ref} aria-labelledby={id + "-title"}>
      <div class="detail-head">
        <h2 id={id + "-title"}>{question ? <span class="balloon">{question}</span> : null}{title}</h2>
      </div>
      {intro}
      {!known ? <Empty>This Fledge does not answer this yet.</Empty> : (
        <>
          {noOptions ? null : <Options id={id} verb={verb} go={again} hide={hide} />}
          <Busy of={w as never} name={title} withTrying={withTrying} again={again} />
          {a ? (children ? <div class={stale(w.value as Work, withTrying) ? "stale" : ""}>{children(a.body, a, w.value)}</div> : a.page ? <><div class="charts"><Charts of={a.charts} /></div><PageView page={a.page} /></> : a.plain ? <pre class="wide logbook" tabIndex={0} aria-label={title}>{a.plain}</pre> : null)
            : w.value.state === "empty" || w.value.state === "cancelled" ? <Empty>{onAsk ?? (w.value.state === "cancelled" ? "Stopped." : ready ? "Worked out as it comes into sight." : "To be worked out after the verdict.")} {onAsk && !cannot ? <button type="button" class="act" onClick={again}>Work it out</button> : null}</Empty> : null}
          {a ? <FileList of={a.files} /> : null}
          {a && children ? <Folded answer={a as Answer} id={id} {...(foldTitle ? { title: foldTitle } : {})} /> : null}
        </>
      )}
    </section>
  );
}
