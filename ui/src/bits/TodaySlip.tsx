// The day, the seed and the state of knowledge that every answer counts with.
import { useState } from "preact/hooks";
import { changeToday, hangar, values } from "../state/shop";
import { today, todaySaid } from "../state/today";

const ofDay = ["wind", "gust", "off_axis", "temperature", "pressure"];

export function TodaySlip() {
  const t = today.value, [open, show] = useState(false), [metar, setMetar] = useState(t.metar), [seed, setSeed] = useState(String(t.seed));
  const stands = ofDay.filter((k) => values.value.get("day." + k)?.state === "given");
  const days = hangar.value?.days ?? [];
  return (
    <section class="today no-print" aria-label="The day and what is counted with">
      <button type="button" class="word-button" aria-expanded={open} onClick={() => show(!open)}>The day {todaySaid.value ? `(${todaySaid.value})` : "(as the build says)"} {open ? "\u2212" : "+"}</button>
      {open ? (
        <form class="options today-form" onSubmit={(e) => { e.preventDefault(); const n = Math.round(Number(seed)); changeToday({ metar: metar.trim(), seed: n >= 1 && n < 2 ** 31 ? n : 1 }); }}>
          <div class="entry-fields">
            <div class="option"><label for="today-day">A day of the hangar: <span class="aside">{days.length ? "in place of the build's own" : "none in this folder yet; a file with a day: block alone is one"}</span></label>
              <select id="today-day" value={t.day} disabled={!days.length} onChange={(e) => changeToday({ day: e.currentTarget.value })}><option value="">the build's own</option>{days.map((d) => <option value={d.file}>{d.file}</option>)}</select></div>
            <div class="option today-metar"><label for="today-metar">Aerodrome weather report: <span class="aside">fills what the day leaves open{stands.length && !t.day ? `; the build says ${stands.map((k) => k.replace("_", " ")).join(", ")} itself, and that stands` : ""}</span></label>
              <input id="today-metar" value={metar} placeholder="EDDX 281150Z 27012KT 9999 FEW030 08/03 Q1021" autocomplete="off" spellcheck={false} onInput={(e) => setMetar(e.currentTarget.value)} /></div>
            <div class="option"><label for="today-seed">Seed of all draws: <span class="aside">1 is usual; another shows how much is chance</span></label><input id="today-seed" inputMode="numeric" value={seed} onInput={(e) => setSeed(e.currentTarget.value)} /></div>
            <label class="option-flag"><input type="checkbox" checked={t.untaught} onChange={(e) => changeToday({ untaught: e.currentTarget.checked })} /> without what was learned in this hangar</label>
          </div>
          <button type="submit" class="act">Count with these</button>
          {todaySaid.value ? <button type="button" class="act" onClick={() => { setMetar(""); setSeed("1"); changeToday({ day: "", metar: "", seed: 1, untaught: false }); }}>As the build says</button> : null}
          <p class="aside">Nothing of this is written into the build; it holds on all three sheets.</p>
        </form>
      ) : null}
    </section>
  );
}
