// Any verb at first sight: its neutral page and its charts.
import { hello } from "../state/shop";
import { Detail } from "./Detail";

/** Verbs with a place of their own on a sheet. */
export const placed = new Set(["check", "try", "fit", "balance", "setup", "strength", "compare", "polar", "launch", "fly", "land", "radio", "debrief"]);

/** Every other verb of a stage, as the server writes it: a new one needs no work here. */
export function Others({ stage }: { stage: "bench" | "field" | "debrief" }) {
  return <>{(hello.value?.verbs ?? []).filter((v) => v.stage === stage && !placed.has(v.name)).map((v) => <Plain key={v.name} verb={v.name} />)}</>;
}

export function Plain({ verb, ask, question, id = verb }: { verb: string; ask?: string; question?: number; id?: string }) {
  const v = hello.value?.verbs.find((o) => o.name === verb);
  if (!v) return null;
  return <Detail id={id} verb={verb} title={v.title} {...(question ?? v.question ? { question: question ?? v.question } : {})} onAsk={ask ?? v.say} />;
}
