// Any verb at first sight: its neutral page and its charts.
import { Drop, dropped } from "../bits/Drop";
import { Charts, PageView } from "../bits/PageView";
import { Sheets } from "../bits/Sheets";
import { sentence } from "../state/say";
import { hangar, hello } from "../state/shop";
import type { Picture } from "../wire/more";
import { Detail } from "./Detail";
import "./drawn.css";

/** Verbs with a place of their own on a sheet. */
export const placed = new Set(["check", "try", "fit", "balance", "setup", "strength", "compare", "polar", "launch", "fly", "land", "radio", "trial", "sortie", "card", "debrief", "learn", "repair", "score"]);

/** Every other verb of a stage, as the server writes it: a new one needs no work here. */
export function othersOf(stage: "bench" | "field" | "debrief"): { id: string; title: string; question: number }[] {
  return (hello.value?.verbs ?? []).filter((v) => v.stage === stage && !placed.has(v.name)).map((v) => ({ id: v.name, title: v.title, question: v.question }));
}

export function Plain({ verb, ask, question, id = verb }: { verb: string; ask?: string; question?: number; id?: string }) {
  const v = hello.value?.verbs.find((o) => o.name === verb);
  if (!v) return null;
  // A verb that works on a file: one of the hangar, or one that is dropped here.
  const needs = v.options?.find((o) => o.kind === "file" && o.key === v.name);
  const first = needs ? hangar.value?.parts?.[0]?.file : undefined;
  const what = drops[verb], file = dropped(id);
  const q = question ?? v.question;
  if (needs && !first && !file) return (
    <section class="detail" id={id} aria-labelledby={id + "-title"}>
      <div class="detail-head"><h2 id={id + "-title"}>{v.question ? <span class="balloon">{v.question}</span> : null}{v.title}</h2></div>
      <p class="aside">{sentence(v.say)} It needs {needs.say}, as in {needs.example ?? "a file"}: there is none in this folder yet.</p>
      {what ? <div class="inline-form no-print"><Drop id={id} what={what} /></div> : null}
    </section>
  );
  const more = file ? { uploads: [file.id], ...(needs && first ? { options: { [needs.key]: first } } : {}) } : needs && first ? { options: { [needs.key]: first } } : null;
  return (
    <Detail<unknown> id={id} verb={verb} title={v.title} {...(q ? { question: q } : {})} onAsk={ask ?? v.say} {...(more ? { more } : {})} {...(what ? { intro: <div class="inline-form no-print"><Drop id={id} what={what} /></div> } : {})}>
      {(_, a) => <>
        {isPictures(a.drawn) ? <Sheets of={a.drawn} name={v.title} /> : null}
        <div class="charts"><Charts of={a.charts} /></div>
        {a.page ? <PageView page={a.page} /> : a.plain ? <pre class="wide logbook" tabIndex={0} aria-label={v.title}>{a.plain}</pre> : null}
      </>}
    </Detail>
  );
}

/** Files that may be dropped for a verb, in words. */
const drops: Record<string, string> = { prop: "A blade's file instead of the build's propeller", parts: "A file of parts owned or on offer" };
const isPictures = (d: unknown): d is Picture[] => Array.isArray(d) && d.length > 0 && typeof (d[0] as Picture).svg === "string";
