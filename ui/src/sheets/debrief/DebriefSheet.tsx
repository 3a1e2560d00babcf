// What really happened: logs are dropped here.
import type { Signal } from "@preact/signals";
import { signal } from "@preact/signals";
import { useState } from "preact/hooks";
import { Busy } from "../../bits/Busy";
import { Cautions } from "../../bits/Cautions";
import { Charts, FileList, Folded, PageView } from "../../bits/PageView";
import { Options, optionsOf } from "../../bits/Options";
import { RefusalStrip } from "../../bits/Refusal";
import { build, say } from "../../state/shop";
import { asRefusal, post, type Refusal } from "../../wire/client";
import { run, work, type Work } from "../../state/work";

interface Upload { id: string; name: string; bytes: number; sha256: string }
const logs = signal<Upload[]>([]);
const wrong = signal<Refusal | null>(null);
const sending = signal<string>("");

export function debriefWork(): Signal<Work> { return work("debrief"); }

async function take(files: Iterable<File>): Promise<void> {
  wrong.value = null;
  for (const f of files) {
    sending.value = f.name;
    try {
      const u = await post<Upload>(`/uploads?name=${encodeURIComponent(f.name)}`, f);
      logs.value = [...logs.value.filter((l) => l.id !== u.id), u];
    } catch (e) { wrong.value = asRefusal(e); }
  }
  sending.value = "";
  if (logs.value.length) await read();
}

async function read(): Promise<void> {
  const b = build.peek();
  await run("debrief", { verb: "debrief", ...(b ? { file: b.file } : {}), uploads: logs.value.map((l) => l.id), ...optionsOf("debrief") });
}

export function DebriefSheet() {
  const [over, setOver] = useState(false);
  const w = debriefWork();
  const a = w.value.answer;
  return (
    <>
      <div class={`drop${over ? " drop-over" : ""}`} onDragOver={(e) => { e.preventDefault(); setOver(true); }} onDragLeave={() => setOver(false)}
        onDrop={(e) => { e.preventDefault(); setOver(false); if (e.dataTransfer?.files.length) void take([...e.dataTransfer.files]); else say("That was no file."); }}>
        <p class="drop-big">Drop a flight log here</p>
        <p class="aside">GPX, NMEA, IGC, a table of values, or a sound recording of a fly-by. It stays on this machine.</p>
        <label class="act">Choose files<input class="unseen" type="file" multiple onChange={(e) => { if (e.currentTarget.files) void take([...e.currentTarget.files]); }} /></label>
        {sending.value ? <p role="status">Taking in {sending.value}...</p> : null}
        {logs.value.length ? <ul class="plain">{logs.value.map((l) => <li>{l.name} <span class="aside">{Math.max(1, Math.round(l.bytes / 1024))} kB</span> <button type="button" class="word-button" aria-label={`Take ${l.name} away`} onClick={() => { logs.value = logs.value.filter((o) => o !== l); if (logs.value.length) void read(); else w.value = { ...w.value, state: "empty", answer: null }; }}>take away</button></li>)}</ul> : null}
      </div>
      {wrong.value ? <RefusalStrip of={wrong.value} close={() => { wrong.value = null; }} /> : null}
      <Options id="debrief" verb="debrief" go={() => void read()} />
      <Busy of={w} name="Reading the logs" again={() => void read()} />
      {a ? (
        <section class="debriefed" aria-label="What really happened">
          <div class="charts"><Charts of={a.charts} /></div>
          {a.page ? <PageView page={a.page} skip={["Cautions"]} /> : null}
          <FileList of={a.files} />
          <Cautions of={(a.body as { cautions?: string[] }).cautions} />
          <Folded answer={{ ...a, charts: [], page: null }} id="debrief-plain" title="As the command prints it" />
        </section>
      ) : null}
    </>
  );
}
