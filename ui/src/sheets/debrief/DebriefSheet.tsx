// What really happened: logs are dropped here.
import { useState } from "preact/hooks";
import { Busy } from "../../bits/Busy";
import { RefusalStrip } from "../../bits/Refusal";
import { say } from "../../state/shop";
import { Tried } from "../bench/try";
import { Tables } from "./Columns";
import { Debriefed } from "./Debriefed";
import { Told } from "./Told";
import "../drawn.css";
import { calledOf, debriefWork, logs, putAway, read, sending, take, wrong } from "./work";

export function DebriefSheet() {
  const [over, setOver] = useState(false);
  const w = debriefWork();
  const a = w.value.answer;
  return (
    <>
      <div class={`drop${over ? " drop-over" : ""}`} onDragOver={(e) => { e.preventDefault(); setOver(true); }} onDragLeave={() => setOver(false)}
        onDrop={(e) => { e.preventDefault(); setOver(false); if (e.dataTransfer?.files.length) void take([...e.dataTransfer.files]); else say("That was no file."); }}>
        <p class="drop-big">Drop flight logs here</p>
        <p class="aside">GPX, NMEA, IGC, tables of values, sound recordings of a fly-by, a file of readings; several at a time. They stay on this machine.</p>
        <label class="act">Choose files<input class="unseen" type="file" multiple onChange={(e) => { if (e.currentTarget.files) void take([...e.currentTarget.files]); }} /></label>
        {sending.value ? <p role="status">Taking in {sending.value}...</p> : null}
        {logs.value.length ? <ul class="plain">{logs.value.map((l) => <li>{calledOf(l)} <span class="aside">{Math.max(1, Math.round(l.bytes / 1024))} kB</span> <button type="button" class="word-button" onClick={() => putAway(l)}>take away<span class="unseen"> {calledOf(l)}</span></button></li>)}</ul> : null}
      </div>
      {wrong.value ? <RefusalStrip of={wrong.value} close={() => { wrong.value = null; }} /> : null}
      <Tables />
      <Told />
      <Busy of={w} name="Reading the logs" again={() => void read()} />
      {a ? <Debriefed a={a} /> : null}
      <Tried />
    </>
  );
}
