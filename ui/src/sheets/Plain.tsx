// Any verb at first sight: its neutral page and its charts.
import { Empty } from "../bits/Busy";
import { hangar, hello } from "../state/shop";
import { Detail } from "./Detail";

/** Verbs with a place of their own on a sheet. */
export const placed = new Set(["check", "try", "fit", "balance", "setup", "strength", "compare", "polar", "launch", "fly", "land", "radio", "trial", "sortie", "card", "debrief", "learn", "repair", "score"]);

/** Every other verb of a stage, as the server writes it: a new one needs no work here. */
export function othersOf(stage: "bench" | "field" | "debrief"): { id: string; title: string; question: number }[] {
  return (hello.value?.verbs ?? []).filter((v) => v.stage === stage && !placed.has(v.name)).map((v) => ({ id: v.name, title: v.title, question: v.question }));
}

export function Plain({ verb, ask, question, id = verb }: { verb: string; ask?: string; question?: number; id?: string }) {
  const v = hello.value?.verbs.find((o) => o.name === verb);
  if (!v) return null;
  // A verb that works on a file of the hangar: the first one, unless said.
  const needs = v.options?.find((o) => o.kind === "file" && o.key === v.name);
  const first = needs ? hangar.value?.parts?.[0]?.file : undefined;
  if (needs && !first) return (
    <section class="detail" id={id} aria-labelledby={id + "-title"}>
      <h2 id={id + "-title"}>{v.question ? <span class="balloon">{v.question}</span> : null}{v.title}</h2>
      <Empty>{v.say}. It needs {needs.say}, as in {needs.example ?? "a file"}: there is none in this folder yet.</Empty>
    </section>
  );
  return <Detail id={id} verb={verb} title={v.title} {...(question ?? v.question ? { question: question ?? v.question } : {})} onAsk={ask ?? v.say} {...(needs && first ? { more: { options: { [needs.key]: first } } } : {})} />;
}
