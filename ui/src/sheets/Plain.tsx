// Any verb at first sight: its neutral page and its charts.
import { hello } from "../state/shop";
import { Detail } from "./Detail";

export function Plain({ verb, ask, question, id = verb }: { verb: string; ask?: string; question?: number; id?: string }) {
  const v = hello.value?.verbs.find((o) => o.name === verb);
  if (!v) return null;
  return <Detail id={id} verb={verb} title={v.title} {...(question ?? v.question ? { question: question ?? v.question } : {})} onAsk={ask ?? v.say} />;
}
