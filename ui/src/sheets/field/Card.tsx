// The flight card: how it is to be printed, the page as it will be, the files.
import { signal } from "@preact/signals";
import { Sheets } from "../../bits/Sheets";
import { Cautions } from "../../bits/Cautions";
import { Stamp } from "../../ink/marks";
import { say, units } from "../../state/shop";
import { sentence } from "../../state/say";
import { run, work } from "../../state/work";
import type { CardBody, Picture } from "../../wire/more";
import { askFor, Detail } from "../Detail";
import "../drawn.css";

const how = signal({ paper: "", two_up: false, build_sheet: false, screen: "" });
const choices = { paper: [["", "as usual here"], ["a4", "A4"], ["letter", "letter"]], screen: [["", "as usual here"], ["km/h", "km/h"], ["m/s", "m/s"], ["mph", "mph"], ["kn", "kn"], ["ft/s", "ft/s"]] } as const;

function asked(): Record<string, string | boolean> {
  const h = how.value;
  return Object.fromEntries(Object.entries(h).filter(([, v]) => v !== "" && v !== false));
}

export function Card() {
  const more = { options: asked() };
  const put = (v: Partial<typeof how.value>): void => { how.value = { ...how.value, ...v }; };
  const make = (): void => { say("Making the card..."); void run("card", askFor("card", { options: { ...asked() } })); };
  const w = work<CardBody>("card");
  const busy = w.value.state === "running" || w.value.state === "waiting";
  return (
    <Detail<CardBody> id="card" title="The flight card" question={0} verb="card" more={more} hide={["paper", "two_up", "build_sheet", "screen"]} onAsk="One page for the field: verdict, day, balance, launch with its tolerances, speeds, ticks, blanks to fill in. It takes a minute: every tolerance is flown."
      intro={
        <form class="inline-form card-form no-print" onSubmit={(e) => { e.preventDefault(); make(); }}>
          <label>Paper <select value={how.value.paper} onChange={(e) => put({ paper: e.currentTarget.value })}>{choices.paper.map(([v, n]) => <option value={v}>{v === "" ? `${n} (${units.value === "imperial" ? "letter" : "A4"})` : n}</option>)}</select></label>
          <label>Speeds on your screen in <select value={how.value.screen} onChange={(e) => put({ screen: e.currentTarget.value })}>{choices.screen.map(([v, n]) => <option value={v}>{v === "" ? `${n} (${units.value === "imperial" ? "mph" : "km/h"})` : n}</option>)}</select></label>
          <label class="option-flag"><input type="checkbox" checked={how.value.two_up} onChange={(e) => put({ two_up: e.currentTarget.checked })} /> two halves, to fold or cut</label>
          <label class="option-flag"><input type="checkbox" checked={how.value.build_sheet} onChange={(e) => put({ build_sheet: e.currentTarget.checked })} /> the sheet for the workshop wall besides</label>
          {w.value.answer ? <button class="act" type="submit" disabled={busy}>Make it anew</button> : null}
        </form>}>
      {(b, a) => (
        <>
          <p><Stamp word={b.verdict} small /> {sentence(b.because)} On {b.paper} paper.</p>
          <Sheets of={(a.drawn ?? []) as Picture[]} name="Flight card" />
          <p class="aside">Code of this card, also in its symbol: <span class="card-code">{b.code}</span></p>
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}
