// The logs on the debrief sheet and the work on them.
import { signal, type Signal } from "@preact/signals";
import { optionsOf } from "../../bits/Options";
import { build } from "../../state/shop";
import { run, work, type Work } from "../../state/work";
import { asRefusal, post, type Refusal } from "../../wire/client";
import type { DebriefBody } from "../../wire/debrief";

export interface Upload { id: string; name: string; bytes: number; sha256: string }
export const logs = signal<Upload[]>([]);
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
