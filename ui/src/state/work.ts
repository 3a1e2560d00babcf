// Long work: one Work per question asked, fed by the event stream.
import { signal, type Signal } from "@preact/signals";
import { asRefusal, drop, get, post, Refusal } from "../wire/client";
import type { Answer, Job, JobAsk } from "../wire/types";
import { connected, etag, file, tryingSets, units } from "./shop";
import { todayAsked, todayKey, todaySeed } from "./today";

export interface Work<B = unknown> {
  key: string;
  state: "empty" | "waiting" | "running" | "done" | "failed" | "cancelled";
  stage: string; done: number; total: number; seconds: number;
  answer: Answer<B> | null;
  refusal: Refusal | null;
  /** What the answer was computed from: file, etag, units and sets. */
  from: string;
}

/** Verbs whose answer rests on more than the build: never taken from before. */
const kept = new Set(["score", "learn", "repair", "debrief", "parts", "compare"]);

const works = new Map<string, Signal<Work>>();
const jobs = new Map<string, { work: Signal<Work>; from: string }>();

const blank = (key: string): Work => ({ key, state: "empty", stage: "", done: 0, total: 0, seconds: 0, answer: null, refusal: null, from: "" });

/** The work of a key, empty at first. Keys are unique within a build. */
export function work<B = unknown>(key: string): Signal<Work<B>> {
  const whole = (file.value ?? "") + "\u0000" + key;
  let w = works.get(whole);
  if (!w) works.set(whole, (w = signal(blank(whole))));
  return w as Signal<Work<B>>;
}

/** What an answer for the build as it stands would be computed from. */
export function basis(withTrying: boolean): string {
  return [file.value, etag.value, units.value, todayKey.value, ...(withTrying ? tryingSets.value : [])].join("\u0000");
}

/** Says whether the work's answer is of the build as it stands. */
export function stale(w: Work, withTrying = false): boolean {
  return w.from !== "" && w.from !== basis(withTrying);
}

/** Counts the asks and stops of a work: an answer to an older one is let go. */
const turns = new WeakMap<Signal<Work>, number>();
function turn(w: Signal<Work>): number {
  const n = (turns.get(w) ?? 0) + 1;
  turns.set(w, n);
  return n;
}

export async function run(key: string, ask: JobAsk, withTrying = false): Promise<void> {
  const w = work(key);
  await cancel(key);
  const mine = turn(w), overtaken = (): boolean => turns.get(w) !== mine;
  const from = basis(withTrying);
  w.value = { ...w.value, state: "waiting", stage: "asked", done: 0, total: 0, seconds: 0, refusal: null };
  const sets = [...(ask.sets ?? []), ...(withTrying ? tryingSets.value : [])];
  const body: JobAsk = { ...todayAsked.value, ...todaySeed.value, ...ask, units: units.value };
  if (sets.length) body.sets = sets;
  // Asked before, by this tab: the server keeps a finished job for a while.
  const memo = "job\u0000" + w.value.key + "\u0000" + from + "\u0000" + JSON.stringify(body);
  const before = kept.has(ask.verb) ? null : sessionStorage.getItem(memo);
  if (before) {
    try {
      const job = await get<Job>(`/jobs/${encodeURIComponent(before)}`);
      if (overtaken()) return;
      if (job.state === "done" || job.state === "running" || job.state === "waiting") {
        jobs.set(job.id, { work: w, from });
        take(job);
        watch(job.id);
        return;
      }
    } catch { /* no longer kept: ask anew */ }
    sessionStorage.removeItem(memo);
  }
  for (let tries = 0; ; tries++) {
    try {
      const job = await post<Job>("/jobs", body);
      if (overtaken()) { void drop(`/jobs/${encodeURIComponent(job.id)}`).catch(() => undefined); return; } // stopped before it was heard
      sessionStorage.setItem(memo, job.id);
      jobs.set(job.id, { work: w, from });
      take(job);
      void look(job.id); // its end may have been told before this tab knew its name
      watch(job.id);
      return;
    } catch (e) {
      if (overtaken()) return;
      const r = asRefusal(e);
      if (r.status === 429 && tries < 40) {
        w.value = { ...w.value, stage: "waiting for its turn" };
        await new Promise((ok) => setTimeout(ok, 1000 * Math.min(10, r.body.retry_after_s ?? 2)));
        if (overtaken()) return;
        continue;
      }
      w.value = { ...w.value, state: "failed", refusal: r, from };
      return;
    }
  }
}

export async function cancel(key: string): Promise<void> {
  const w = work(key);
  const busy = w.value.state === "running" || w.value.state === "waiting";
  turn(w);
  for (const [id, j] of jobs) {
    if (j.work !== w) continue;
    jobs.delete(id);
    void drop(`/jobs/${encodeURIComponent(id)}`).catch(() => undefined);
  }
  if (busy) w.value = { ...w.value, state: "cancelled", stage: "" };
}

/** Takes a job's news, from the stream or from a look. */
export function take(job: Job): void {
  const j = jobs.get(job.id);
  if (!j) return;
  const w = j.work;
  const now = { ...w.value, stage: job.stage, done: job.done, total: job.total, seconds: job.seconds };
  switch (job.state) {
    case "waiting":
    case "running":
      w.value = { ...now, state: job.state, ...(job.answer ? { answer: job.answer, from: j.from } : {}) };
      if (job.rough && !job.answer) void look(job.id);
      return;
    case "done":
      if (job.answer) {
        jobs.delete(job.id);
        w.value = { ...now, state: "done", answer: job.answer, refusal: null, from: j.from };
      } else void look(job.id);
      return;
    case "cancelled":
      jobs.delete(job.id);
      w.value = { ...now, state: "cancelled" };
      return;
    case "failed":
      if (job.refusal) {
        jobs.delete(job.id);
        w.value = { ...now, state: "failed", refusal: new Refusal(422, job.refusal), from: j.from };
      } else void look(job.id);
  }
}

async function look(id: string): Promise<void> {
  try {
    take(await get<Job>(`/jobs/${encodeURIComponent(id)}`));
  } catch (e) {
    const j = jobs.get(id);
    if (!j) return;
    jobs.delete(id);
    j.work.value = { ...j.work.value, state: "failed", refusal: asRefusal(e), from: j.from };
  }
}

// The stream is the way; where it is broken, a look every so often is.
function watch(id: string): void {
  const again = (): void => {
    if (!jobs.has(id)) return;
    if (!connected.peek()) void look(id);
    setTimeout(again, 2500);
  };
  setTimeout(again, 2500);
}

export function lookAll(): void { for (const id of jobs.keys()) void look(id); }
export function forgetAll(): void {
  for (const [id, j] of jobs) { jobs.delete(id); j.work.value = { ...j.work.value, state: "cancelled" }; }
}
