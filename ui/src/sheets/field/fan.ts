// The launch fan: launches of one seed, asked for in slices, so that the first
// answer comes at once and the later ones refine it.
import { signal } from "@preact/signals";
import { build, file, tryingSets } from "../../state/shop";
import { todayAsked, todaySeed } from "../../state/today";
import { asRefusal, at, post, type Refusal } from "../../wire/client";
import type { Fan, FanLaunch } from "../../wire/types";

export interface Flown { fan: Fan; launches: FanLaunch[]; hits: number; n: number; failures: Map<string, { say: string; count: number }>; refining: boolean }
export const flown = signal<Flown | null>(null);
export const fanRefused = signal<Refusal | null>(null);
export const fanBusy = signal(false);

const first = 64, most = 512, drawn = 160;
let asking: AbortController | null = null;
let turn = 0;

/** Flies anew with what is being tried; an earlier ask is dropped. */
export async function fly(): Promise<void> {
  const b = build.peek();
  if (!b?.ok) return;
  asking?.abort();
  const mine = (asking = new AbortController());
  const me = ++turn;
  fanBusy.value = true;
  const sets = tryingSets.peek();
  try {
    for (let from = 0; from < most; ) {
      const n = from === 0 ? first : from < 128 ? 64 : 128;
      const fan = await post<Fan>(at(b.file, "/fan"), { sets, from, n, ...todayAsked.peek(), ...todaySeed.peek() }, mine.signal);
      if (mine.signal.aborted || file.peek() !== b.file) return;
      performance.mark("fan-came");
      const old = from === 0 ? null : flown.peek();
      const failures = new Map(old?.failures ?? []);
      for (const f of fan.failures) { const o = failures.get(f.class); failures.set(f.class, { say: f.say, count: (o?.count ?? 0) + f.count }); }
      flown.value = {
        fan: old ? { ...old.fan } : fan, failures, hits: (old?.hits ?? 0) + fan.hits, n: (old?.n ?? 0) + fan.n,
        launches: old ? (old.launches.length < drawn ? [...old.launches, ...fan.launches] : old.launches) : fan.launches, refining: from + n < most,
      };
      fanRefused.value = null;
      from += n;
      if (fan.n === 0 || fan.launches.length === 0) break;
      if (from === first) await new Promise((ok) => setTimeout(ok, 350)); // let a moving slider overtake
      if (mine.signal.aborted) return;
    }
  } catch (e) {
    if (mine.signal.aborted) return;
    const r = asRefusal(e);
    if (r.status === 429) { setTimeout(() => { if (me === turn) void fly(); }, 1000 * (r.body.retry_after_s ?? 1)); return; }
    fanRefused.value = r;
    flown.value = null;
  } finally {
    if (me === turn) { fanBusy.value = false; if (flown.peek()) flown.value = { ...flown.peek()!, refining: false }; }
  }
}

export function groundFan(): void { asking?.abort(); turn++; fanBusy.value = false; }

/** The odds' sampling interval alone: Wilson's score, 90 %. */
export function sampling(hits: number, n: number): [number, number] {
  if (n === 0) return [0, 1];
  const z = 1.6449, p = hits / n, d = 1 + (z * z) / n;
  const mid = (p + (z * z) / (2 * n)) / d, half = (z / d) * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n));
  return [Math.max(0, mid - half), Math.min(1, mid + half)];
}
