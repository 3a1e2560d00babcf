// How a table of recorded values is read, column by column: guessed, shown,
// put right, and kept for the next log of the same recorder.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { RefusalStrip } from "../../bits/Refusal";
import { say } from "../../state/shop";
import type { Columns as View, ColumnMap } from "../../api";
import { asRefusal, post, type Refusal } from "../../wire/client";
import { Fold } from "./Told";
import { logs, mapOf, take, type Upload } from "./work";

const views = signal<Record<string, View>>({});

export function Tables() {
  const tables = logs.value.filter((l) => !/\.(json|ya?ml|wav|gpx|igc|nmea)$/i.test(l.name));
  return <>{tables.map((l) => <Table key={l.id} l={l} />)}</>;
}

interface Choice { channel: string; unit: string }

function Table({ l }: { l: Upload }) {
  const v = views.value[l.id], own = mapOf(l), told = logs.value.some((o) => o.name === own);
  const [choice, setChoice] = useState<Record<number, Choice> | null>(null);
  const [form, setForm] = useState("");
  const [name, setName] = useState(l.name.replace(/\.[^.]*$/, "").replace(/[^\p{L}\p{N}]+/gu, "-").toLowerCase());
  const [bad, setBad] = useState<Refusal | null>(null);
  const look = (): void => { post<View>("/columns", { upload: l.id }).then((x) => { views.value = { ...views.value, [l.id]: x }; setChoice(null); }, (e: unknown) => setBad(asRefusal(e))); };
  useEffect(() => { if (!v) look(); }, [l.id]);
  if (!v?.table) return bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null;
  const now = (i: number): Choice => choice?.[i] ?? { channel: v.map?.columns?.find((c) => c.index === i)?.channel ?? "", unit: v.map?.columns?.find((c) => c.index === i)?.unit ?? "" };
  const put = (i: number, c: Choice): void => setChoice({ ...(choice ?? {}), [i]: c });
  const units = (channel: string) => v.channels.find((c) => c.channel === channel)?.units ?? [];
  const map = (): ColumnMap => ({
    ...v.map!, time_form: form || v.map!.time_form,
    columns: v.all.flatMap((c) => {
      const x = now(c.index), old = v.map?.columns?.find((o) => o.index === c.index);
      if (!x.channel) return [];
      if (old && old.channel === x.channel && old.unit === x.unit) return [{ ...old, name: c.name }];
      const u = units(x.channel).find((o) => o.unit === x.unit) ?? units(x.channel)[0];
      return [{ index: c.index, name: c.name, channel: x.channel, unit: u?.unit ?? "", factor: u?.factor ?? 1, because: "as told" }];
    }),
    unused: v.all.filter((c) => !now(c.index).channel).map((c) => c.name),
  });
  const use = (): void => {
    // Named by the table's upload: of this table alone.
    logs.value = logs.value.filter((o) => o.name !== own);
    void take([new File([JSON.stringify(map())], own, { type: "application/json" })]);
  };
  const keep = async (): Promise<void> => {
    try {
      const { file } = await post<{ file: string }>("/columns/keep", { name, text: JSON.stringify(map(), null, 2) + "\n" });
      logs.value = logs.value.filter((o) => o.name !== own);
      say(`Kept as ${file}: the next log with these columns is read by it.`);
      look();
      await take([]);
    } catch (e) { setBad(asRefusal(e)); }
  };
  const doubled = [...new Set(v.all.map((c) => now(c.index).channel).filter((c, i, all) => c && all.indexOf(c) !== i))];
  return (
    <Fold id={"columns-" + l.id} title={`How ${l.name} is read: ${told ? "as told" : v.kept ? `as kept in ${v.kept}` : v.problem ? "it is not understood" : "guessed"}`}>
      {v.problem ? <p class="caution">{v.problem}. Say below what the columns hold.</p> : null}
      {bad ? <RefusalStrip of={bad} close={() => setBad(null)} /> : null}
      <form class="told" onSubmit={(e) => { e.preventDefault(); use(); }}>
        <div class="wide" tabIndex={0} role="region" aria-label={`Columns of ${l.name}`}>
          <table class="columns"><thead><tr><th scope="col">column</th><th scope="col">first values</th><th scope="col">holds</th><th scope="col">in</th><th scope="col">because</th></tr></thead>
            <tbody>{v.all.map((c) => {
              const x = now(c.index), us = units(x.channel), id = `col-${l.id}-${c.index}`, old = v.map?.columns?.find((o) => o.index === c.index);
              return <tr>
                <th scope="row">{c.name}</th><td class="aside">{c.samples.slice(0, 3).join(", ")}</td>
                <td><select id={id} aria-label={`${c.name} holds`} value={x.channel} onChange={(e) => { const ch = e.currentTarget.value; put(c.index, { channel: ch, unit: units(ch)[0]?.unit ?? "" }); }}><option value="">nothing of use</option>{v.channels.filter((o) => o.channel).map((o) => <option value={o.channel}>{o.channel}</option>)}</select></td>
                <td>{us.length ? <select aria-label={`${c.name} is in`} value={x.unit} onChange={(e) => put(c.index, { ...x, unit: e.currentTarget.value })}>{us.some((u) => u.unit === x.unit) ? null : <option value={x.unit}>{x.unit || "as found"}</option>}{us.map((u) => <option value={u.unit}>{u.unit || "0 to 1"}</option>)}</select> : x.unit}</td>
                <td class="aside">{choice?.[c.index] ? "as told" : old?.because ?? ""}</td></tr>;
            })}</tbody></table>
        </div>
        <label>The time is written as <select value={form || v.map?.time_form || "seconds"} onChange={(e) => setForm(e.currentTarget.value)}>{v.time_forms.map((t) => <option value={t}>{t}</option>)}</select></label>
        {doubled.length ? <p class="caution">Two columns are said to hold the same: {doubled.join(", ")}.</p> : null}
        <button type="submit" class="act">Read it so</button>
        <span class="keep-map"><label>Recorder <input value={name} autocomplete="off" onInput={(e) => setName(e.currentTarget.value)} /></label> <button type="button" class="act" onClick={() => void keep()}>Keep for its next log</button></span>
      </form>
    </Fold>
  );
}
