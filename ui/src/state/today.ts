// What every answer counts with besides the build: the day, the seed, and
// whether what was learned counts. Nothing of it is written into the build.
import { computed, signal } from "@preact/signals";

export interface Today { day: string; metar: string; seed: number; untaught: boolean }
const nothing: Today = { day: "", metar: "", seed: 1, untaught: false };

function kept(): Today {
  try { return { ...nothing, ...(JSON.parse(sessionStorage.getItem("today") ?? "{}") as Partial<Today>) }; } catch { return nothing; }
}

export const today = signal<Today>(kept());

export function setToday(t: Partial<Today>): void {
  today.value = { ...today.value, ...t };
  sessionStorage.setItem("today", JSON.stringify(today.value));
}

/** What of it goes into the body of a request: only what was said. */
export const todayAsked = computed(() => {
  const t = today.value;
  return { ...(t.day ? { day: t.day } : {}), ...(t.metar ? { metar: t.metar } : {}), ...(t.untaught ? { untaught: true } : {}) };
});

export const todaySeed = computed(() => (today.value.seed > 1 ? { seed: today.value.seed } : {}));

/** The same for the query of a GET. */
export const todayQuery = computed(() => {
  const t = today.value;
  return [...(t.day ? ["day=" + encodeURIComponent(t.day)] : []), ...(t.metar ? ["metar=" + encodeURIComponent(t.metar)] : []), ...(t.untaught ? ["untaught=1"] : [])];
});

/** Grows when something was entered in the logbook, by whomever. */
export const bookTurn = signal(0);
/** Grows when lessons were kept or forgotten: every forecast changes. */
const lessonTurn = signal(Number(sessionStorage.getItem("lessons") ?? 0));

/** The logbook changed. */
export function bookChanged(kind: string): void {
  bookTurn.value++;
  if (kind !== "factor") return;
  lessonTurn.value = Date.now();
  sessionStorage.setItem("lessons", String(lessonTurn.value));
}

export const todayKey = computed(() => JSON.stringify([todayAsked.value, todaySeed.value, lessonTurn.value]));

/** Says in a few words what is not as the build says. */
export const todaySaid = computed(() => {
  const t = today.value;
  return [...(t.metar ? ["the day by its weather report"] : t.day ? [`the day of ${t.day}`] : []), ...(t.untaught ? ["without what was learned"] : []), ...(t.seed > 1 ? [`seed ${t.seed}`] : [])].join(", ");
});
