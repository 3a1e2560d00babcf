// The logs on the debrief sheet and the work on them.
import { signal, type Signal } from "@preact/signals";
import { optionsOf } from "../../bits/Options";
import { build } from "../../state/shop";
import { run, work, type Work } from "../../state/work";
import { asRefusal, post, type Refusal } from "../../wire/client";
import type { DebriefBody } from "../../wire/debrief";

export interface Upload { id: string; name: string; bytes: number; sha256: string }
export const logs = signal<Upload[]>([]);
/** What was recorded: not how a table is read, nor readings typed. */
export function recordings(): Upload[] { return logs.value.filter((l) => !/\.(json|ya?ml)$/i.test(l.name)); }
/** The file that says how one table is read. */
export function mapOf(l: Upload): string { return l.id + ".columns.json"; }
/** Recordings of paths with how their tables are read, for what learns from them. */
export function paths(): Upload[] {
  const flown = recordings().filter((l) => !/\.wav$/i.test(l.name));
  return logs.value.filter((l) => flown.includes(l) || /\.json$/i.test(l.name) && (flown.some((o) => mapOf(o) === l.name) || !logs.value.some((o) => mapOf(o) === l.name)));
}
/** What a dropped file is called on the sheet. */
export function calledOf(l: Upload): string {
  const of = logs.value.find((o) => mapOf(o) === l.name);
  return of ? `how ${of.name} is read` : l.name;
}
/** Takes a file away, with what was said of it alone. */
export function putAway(l: Upload): void {
  logs.value = logs.value.filter((o) => o !== l && o.name !== mapOf(l));
  void read();
}

export const wrong = signal<Refusal | null>(null);
export const sending = signal<string>("");

export function debriefWork(): Signal<Work<DebriefBody>> { return work<DebriefBody>("debrief"); }

export async function take(files: Iterable<File>): Promise<void> {
  wrong.value = null;
  for (const f of files) {
    sending.value = f.name;
    try {
      const u = await post<Upload>(`/uploads?name=${encodeURIComponent(f.name)}`, f);
      logs.value = [...logs.value.filter((l) => l.id !== u.id), u];
    } catch (e) { wrong.value = asRefusal(e); }
  }
  sending.value = "";
  await read();
}

/** Asks what the logs and what was told say; clears the answer when there is nothing to ask. */
export async function read(): Promise<void> {
  const b = build.peek();
  const said = optionsOf("debrief").options ?? {};
  if (!logs.value.some((l) => !/\.json$/i.test(l.name)) && !said["readings"] && !said["outcome"]) {
    const w = debriefWork();
    w.value = { ...w.peek(), state: "empty", answer: null, refusal: null };
    return;
  }
  await run("debrief", { verb: "debrief", ...(b ? { file: b.file } : {}), uploads: logs.value.map((l) => l.id), ...optionsOf("debrief") });
}
