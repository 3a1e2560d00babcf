// The field sheet's top: the launches from the side, and what can be turned.
import { useEffect } from "preact/hooks";
import { RefusalStrip } from "../../bits/Refusal";
import { Worded } from "../../bits/Term";
import { Empty } from "../../bits/Busy";
import { Lettered } from "../../ink/Lettered";
import { Mark } from "../../ink/marks";
import { clearTrying, edit, etag, trying, tryingSets, tryValue, units } from "../../state/shop";
import { figures, sayRelease, scaleOf } from "../../state/say";
import { todayKey } from "../../state/today";
import type { FanSetting } from "../../wire/types";
import { Cautions } from "../../bits/Cautions";
import { useCheck } from "../bench/BenchSheet";
import { Tried } from "../bench/try";
import { FanPicture } from "./FanPicture";
import { fanBusy, fanRefused, flown, fly, groundFan, sampling } from "./fan";

export function FieldSheet() {
  useEffect(() => { void fly(); }, [etag.value, todayKey.value, tryingSets.value.join("\u0000")]);
  useEffect(() => groundFan, []);
  const check = useCheck();
  const f = flown.value;
  return (
    <>
      {fanRefused.value ? <RefusalStrip of={fanRefused.value} again={() => void fly()} /> : null}
      {!f ? (fanRefused.value ? null : <Empty>Flying the first launches...</Empty>) : f.fan.launches.length === 0 && !f.fan.nominal ? <Empty>{f.fan.status || "No launch is described in this build: say how she is launched under `launch:`."}</Empty> : (
        <div class="field">
          <div class="field-picture"><FanPicture f={f} /><Odds /></div>
          <Sliders />
        </div>
      )}
      <Tried />
      <Cautions of={check.value.answer?.body.cautions} />
    </>
  );
}

/** How the launches went, counted. */
function Odds() {
  const f = flown.value!;
  const p = f.n ? f.hits / f.n : 0, [low, high] = sampling(f.hits, f.n);
  const limit = f.fan.limit;
  const state = limit === null ? "not-asked" : low >= limit ? "pass" : p >= limit ? "doubtful" : "fail";
  const failures = [...f.failures.values()].filter((x) => x.count > 0).sort((a, b) => b.count - a.count);
  return (
    <div class="odds" aria-live="polite" aria-atomic="true">
      <p class="odds-big"><Lettered text={`${Math.round(100 * p)} %`} size={34} weight={1.8} /> <span><Mark status={state} word /> {f.hits} of {f.n} launches fly, so {Math.round(100 * low)} to {Math.round(100 * high)} % by counting alone{limit !== null ? `; ${Math.round(100 * limit)} % wanted` : ""}{fanBusy.value || f.refining ? "; flying on" : ""}.</span></p>
      {failures.length ? <ul class="plain failures">{failures.map((x) => <li><Strip share={x.count / f.n} /> {figures((100 * x.count) / f.n)} % <Worded>{x.say}</Worded></li>)}</ul> : null}
      {f.fan.nominal ? <p class="aside">With everything at its nominal value: {f.fan.nominal.say}</p> : null}
      {f.fan.notes.map((n) => <p class={n.grave ? "caution" : "aside"}>{n.say}</p>)}
    </div>
  );
}

function Strip({ share }: { share: number }) {
  return <svg class="strip-mini" width="90" height="12" viewBox="0 0 90 12" aria-hidden="true"><rect class="bar bar-fail" x=".5" y="2" width={Math.max(2, 89 * share)} height="8" /></svg>;
}

/** What is set at the field and what the day brings, each with a slider. */
function Sliders() {
  const settings = flown.value?.fan.settings ?? [];
  const n = trying.value.size;
  return (
    <form class="sliders" aria-label="Settings to try" onSubmit={(e) => e.preventDefault()}>
      {settings.map((s) => <Slider s={s} key={s.path} />)}
      <div class="sliders-foot">
        {n ? <>
          <button type="button" class="act act-strong" onClick={() => { const sets = tryingSets.value; clearTrying(); void edit(sets, `${n} setting${n > 1 ? "s" : ""} from the field sheet`); }}>Write {n === 1 ? "it" : `these ${n}`} into the build</button>
          <button type="button" class="act" onClick={clearTrying}>Put all back</button>
          <p class="aside">Tried, not written.</p>
        </> : <p class="aside">Move a setting: the launches are flown anew. Nothing is written until you say so.</p>}
      </div>
    </form>
  );
}

/** As --set spells it: never finer than a tenth of a step. */
export function settingText(s: FanSetting, v: number): string {
  const x = v / s.scale, step = s.step / s.scale;
  const digits = Math.max(0, Math.min(4, Math.ceil(-Math.log10(step)) + 1));
  return `${Number(x.toFixed(digits))} ${s.unit}`;
}

function sayed(s: FanSetting, v: number): string {
  if (s.path === "launch.motor_delay") return sayRelease(v);
  if (units.value === "imperial" && (s.dim === "length" || s.dim === "mass" || s.dim === "speed")) {
    const k = scaleOf(s.dim === "length" ? "m" : s.dim === "mass" ? "kg" : "m/s", v);
    return `${figures(v * k.k)} ${k.unit}`;
  }
  const x = v / s.scale;
  return `${figures(x)}${s.unit === "deg" ? "°" : " " + s.unit}`;
}

function Slider({ s }: { s: FanSetting }) {
  const id = "set-" + s.path.replace(/[^a-z0-9]+/gi, "-");
  const text = trying.value.get(s.path);
  const tried = text !== undefined ? Number.parseFloat(text) * s.scale : null;
  const v = tried ?? s.value;
  const low = Math.min(s.low, s.value), high = Math.max(s.high, s.value);
  return (
    <div class={`slider${tried !== null ? " slider-tried" : ""}`}>
      <label for={id}><span><Worded>{s.path === "launch.motor_delay" ? "motor on" : s.label}</Worded></span> <output for={id}>{sayed(s, v)}</output></label>
      <div class="slider-row">
        <input id={id} type="range" data-path={s.path} min={low} max={high} step={s.step} value={v} aria-valuetext={sayed(s, v)}
          onInput={(e) => { performance.mark("slider"); tryValue(s.path, settingText(s, e.currentTarget.valueAsNumber)); }} />
        <button type="button" class="word-button" disabled={tried === null} aria-label={`Put ${s.label} back`} onClick={() => tryValue(s.path, null)}>back</button>
      </div>
    </div>
  );
}
