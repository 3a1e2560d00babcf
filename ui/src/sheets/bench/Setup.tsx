// Setting up: each control's linkage, moving as the stick moves.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { Cautions } from "../../bits/Cautions";
import { Quantity, Within } from "../../bits/Quantity";
import { Plot } from "../../plot/Plot";
import { figures, ofRow, sayLength, scaleOf } from "../../state/say";
import { etag, file, tryingSets, units } from "../../state/shop";
import { todayQuery } from "../../state/today";
import { at, get } from "../../wire/client";
import type { LinkageRow, Linkages, SetupBody } from "../../wire/bodies";
import type { Place, Quantity as Q } from "../../wire/types";
import { Detail } from "../Detail";

type Control = SetupBody["controls"][number];
const deg = (v: number | null | undefined): string => (v === null || v === undefined ? "\u2013" : `${figures(Math.abs(v) < 0.05 ? 0 : v, 1)}°`);
const us = (v: number): string => `${Math.round(v)}\u00a0µs`;

export function Setup() {
  return (
    <Detail<SetupBody> id="setup" title="Setting up" question={3} verb="setup">
      {(b, a) => (
        <>
          <p>Set up for <Quantity q={b.trim_speed} />: angle of attack <Quantity q={b.trim_alpha} />, pitch controls <Quantity q={b.trim_pitch} /> (trailing edge up is positive).</p>
          {b.controls.map((c) => <Linkage c={c} key={c.name} />)}
          {b.trims.length > 1 ? <Plot title="What trims her hands off, with its 90 % interval" x={{ label: `airspeed, ${scaleOf("m/s", 1).unit}`, k: scaleOf("m/s", 1).k }} y={{ label: "pitch controls, ° trailing edge up" }} height={240} copy={a.charts?.[0]}
            series={[{ kind: "band", x: b.trims.map((t) => t.speed_m_s), y: b.trims.map((t) => ofRow(t, "pitch_controls_deg", "deg").low), y2: b.trims.map((t) => ofRow(t, "pitch_controls_deg", "deg").high) }, { x: b.trims.map((t) => t.speed_m_s), y: b.trims.map((t) => (t.status === "ok" ? t.pitch_controls_deg : null)), strong: true }]} rules={[{ at: 0, text: "", axis: "y" }]} /> : null}
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}

type Moving = Linkages["controls"][number];
const linkages = signal<{ from: string; is: Linkages } | null>(null);

/** The linkages of the build on the board, with what is being tried. */
function useLinkages(): Linkages | null {
  const from = `${file.value}\u0000${etag.value}\u0000${tryingSets.value.join()}\u0000${todayQuery.value.join("&")}`;
  useEffect(() => {
    if (!file.value || linkages.peek()?.from === from) return;
    const q = [...todayQuery.value, ...tryingSets.value.map((s) => "sets=" + encodeURIComponent(s))].join("&");
    get<Linkages>(at(file.value, "/linkages?" + q)).then((is) => { linkages.value = { from, is }; }, () => undefined);
  }, [from]);
  return linkages.value?.from === from ? linkages.value.is : null;
}

/** The step at a servo angle, between steps in proportion. */
export function stepAt(steps: Moving["steps"], servo: number): Moving["steps"][number] | null {
  const n = steps.length;
  if (n < 2) return steps[0] ?? null;
  let i = 0;
  while (i < n - 2 && steps[i + 1]!.servo_deg < servo) i++;
  const a = steps[i]!, b = steps[i + 1]!, t = (servo - a.servo_deg) / (b.servo_deg - a.servo_deg || 1);
  const mix = (p: number, q: number): number => p + t * (q - p);
  const place = (p: Place, q: Place): Place => [mix(p[0], q[0]), mix(p[1], q[1]), mix(p[2], q[2])];
  return {
    servo_deg: servo, edge_deg: mix(a.edge_deg, b.edge_deg), pulse_us: mix(a.pulse_us, b.pulse_us), edge_per_servo: mix(a.edge_per_servo, b.edge_per_servo),
    angle_at_arm_deg: mix(a.angle_at_arm_deg, b.angle_at_arm_deg), angle_at_horn_deg: mix(a.angle_at_horn_deg, b.angle_at_horn_deg), arm: place(a.arm, b.arm), horn: place(a.horn, b.horn),
  };
}

/** A number of the linkage's table at a servo angle with its interval, between rows in proportion. */
function rowAt(c: Control, servo: number, key: keyof LinkageRow): Q | null {
  const rows = c.linkage_detail?.table ?? [], i = rows.findIndex((r) => r.servo_deg >= servo);
  if (i < 0) return null;
  const b = rows[i]!, a = rows[i - 1] ?? b, t = a === b ? 0 : (servo - a.servo_deg) / (b.servo_deg - a.servo_deg);
  const p = ofRow(a, key, "deg"), q = ofRow(b, key, "deg"), mix = (x: number | null, y: number | null): number | null => (x === null || y === null ? null : x + t * (y - x));
  return { value: mix(p.value, q.value), low: mix(p.low, q.low), high: mix(p.high, q.high), unit: "deg" };
}

/** How high an edge stands: to a tenth of a millimetre, or a hundredth of an inch. */
function sayEdge(m: number): string {
  const at = Math.abs(m) < 5e-5 ? 0 : m;
  return units.value === "imperial" ? `${(at / 0.0254).toFixed(2).replace("-", "\u2212")}\u00a0in` : `${figures(at * 1000, 1)}\u00a0mm`;
}

function Linkage({ c }: { c: Control }) {
  const all = useLinkages();
  const m = all?.controls.find((x) => x.name === c.name) ?? null;
  const axes = [...new Set(m?.sticks.map((s) => s.axis) ?? [])];
  const [axis, setAxis] = useState("");
  const [stick, set] = useState(0);
  const on = axes.includes(axis) ? axis : axes[0] ?? "";
  const row = m?.sticks.filter((s) => s.axis === on).reduce<Moving["sticks"][number] | null>((best, s) => (!best || Math.abs(s.stick - stick) < Math.abs(best.stick - stick) ? s : best), null) ?? null;
  const right = row?.right ?? null, left = row?.left ?? null;
  const now = m && right && right.servo_deg !== null ? stepAt(m.steps, right.servo_deg) : null;
  const id = "stick-" + c.name.replace(/\W+/g, "-");
  const say = (x: { edge_deg: number; servo_deg: number | null; pulse_us: number | null } | null): string => (x ? `edge ${deg(x.edge_deg)}, servo arm ${deg(x.servo_deg)}, ${x.pulse_us === null ? "out of reach" : us(x.pulse_us)}` : "");
  return (
    <div class="linkage">
      <h3>{c.name} on {c.surface}</h3>
      {m && now ? <LinkagePicture m={m} now={now} /> : <p class="aside">{m ? `Linkage: ${m.status}.` : c.linkage === "ok" ? "Drawing the linkage..." : `Linkage: ${c.linkage}.`}</p>}
      <div class="linkage-side">
        {m?.sticks.length ? (
          <>
            {axes.length > 1 ? <label>Stick of <select value={on} onChange={(e) => setAxis(e.currentTarget.value)}>{axes.map((a) => <option value={a}>{a}</option>)}</select></label> : null}
            <label for={id}>{on} stick: <b>{Math.round(stick * 100)} %</b></label>
            <input id={id} type="range" min="-1" max="1" step="0.1" value={stick} onInput={(e) => set(e.currentTarget.valueAsNumber)} aria-valuetext={`${Math.round(stick * 100)} %, right: ${say(right)}`} />
            <p class="linkage-now">right: {say(right)}<br />left: {say(left)}</p>
          </>
        ) : null}
        {now ? <p class="aside">Rod and arm meet at {deg(now.angle_at_arm_deg)} <Within q={rowAt(c, now.servo_deg, "angle_at_arm_deg")} />, rod and horn at {deg(now.angle_at_horn_deg)} <Within q={rowAt(c, now.servo_deg, "angle_at_horn_deg")} />; here a degree of the servo moves the edge {figures(now.edge_per_servo)}° <Within q={rowAt(c, now.servo_deg, "edge_per_servo")} />.{m?.guessed ? " The rod's length is a guess." : ""}</p> : null}
        <div class="wide" tabIndex={0} role="region" aria-label={`Stops of ${c.name}`}>
          <table><thead><tr><th scope="col">stop</th><th scope="col" class="right">edge</th><th scope="col" class="right">pulse</th><th scope="col" class="right">servo</th><th scope="col" class="right">its height</th></tr></thead>
            <tbody>{c.stops.map((s) => <tr><th scope="row">{s.name}</th><td class="right">{deg(s.edge_deg)}</td><td class="right">{us(s.pulse_us)} <Within q={ofRow(s, "pulse_us", "us")} />{s.within ? "" : " (out of reach)"}</td><td class="right">{deg(s.servo_deg)} <Within q={ofRow(s, "servo_deg", "deg")} /></td><td class="right">{sayEdge(s.edge_m)}</td></tr>)}</tbody></table>
        </div>
        <p class="aside">Wanted: {deg(c.throw_up_wanted_deg)} <Within q={c.throw_up_wanted} /> up, {deg(c.throw_down_wanted_deg)} <Within q={c.throw_down_wanted} /> down{c.neutral_wanted_deg !== null ? <>, neutral at {deg(c.neutral_wanted_deg)} <Within q={c.neutral_wanted} /></> : null}{c.midpoint && c.midpoint.value !== null ? <>, with the servo's pulse {us(c.midpoint.value)} <Within q={c.midpoint} /> at zero</> : null}{c.differential ? <>; differential {figures(c.differential * 100)} %</> : null}.</p>
      </div>
    </div>
  );
}

/** Arm, rod, horn and surface from the side, to scale, with the way each end runs. */
function LinkagePicture({ m, now }: { m: Moving; now: Moving["steps"][number] }) {
  const pts: Place[] = [m.shaft, m.hinge, [m.hinge[0] + m.chord, 0, m.hinge[2]], ...m.steps.flatMap((s) => [s.arm, s.horn])];
  const x0 = Math.min(...pts.map((p) => p[0])) - 0.016, x1 = Math.max(...pts.map((p) => p[0])) + 0.004;
  const z0 = Math.min(...pts.map((p) => p[2]), m.hinge[2] - m.chord * 0.62) - 0.004, z1 = Math.max(...pts.map((p) => p[2]), m.hinge[2] + m.chord * 0.62) + 0.006;
  const k = 520 / (x1 - x0), w = 520, h = (z1 - z0) * k;
  const fx = (p: Place): number => (p[0] - x0) * k, fz = (p: Place): number => (z1 - p[2]) * k;
  const pt = (p: Place): string => `${fx(p).toFixed(1)} ${fz(p).toFixed(1)}`;
  const a = (now.edge_deg * Math.PI) / 180, te: Place = [m.hinge[0] + m.chord * Math.cos(a), 0, m.hinge[2] + m.chord * Math.sin(a)];
  const thick = m.chord * 0.09, nx = -Math.sin(a) * thick, nz = Math.cos(a) * thick;
  const nose: Place = [m.hinge[0], 0, m.hinge[2]];
  const up: Place = [nose[0] + nx, 0, nose[2] + nz], down: Place = [nose[0] - nx, 0, nose[2] - nz];
  return (
    <svg class="linkage-picture" viewBox={`0 0 ${w} ${h + 24}`} role="img" aria-label={`Servo arm at ${deg(now.servo_deg)}, edge at ${deg(now.edge_deg)}`}>
      <path class="ink1 linkage-way" d={"M" + m.steps.map((s) => pt(s.arm)).join("L")} />
      <path class="ink1 linkage-way" d={"M" + m.steps.map((s) => pt(s.horn)).join("L")} />
      <rect class="ink2" x={fx(m.shaft) - 0.012 * k} y={fz(m.shaft) - 0.004 * k} width={0.024 * k} height={0.014 * k} fill="url(#hatch)" />
      <path class="ink3" d={`M${pt(up)}L${pt(te)}L${pt(down)}Q${fx(nose) - thick * k} ${fz(nose)} ${pt(up)}`} />
      <path class="ink1" d={`M${pt(nose)}H${fx([m.hinge[0] + m.chord, 0, 0])}`} stroke-dasharray="4 3" />
      <path class="ink3" d={`M${pt(m.shaft)}L${pt(now.arm)}M${pt(m.hinge)}L${pt(now.horn)}`} />
      <path class="ink2 linkage-rod" d={`M${pt(now.arm)}L${pt(now.horn)}`} />
      {[m.shaft, m.hinge, now.arm, now.horn].map((p, i) => <circle class="pin" cx={fx(p)} cy={fz(p)} r={i < 2 ? 5 : 3.5} />)}
      <text class="label" x={fx(m.shaft)} y={h + 16} text-anchor="middle" font-size="15">servo {deg(now.servo_deg)}</text>
      <text class="label" x={Math.min(w - 60, fx(te))} y={h + 16} text-anchor="middle" font-size="15">edge {deg(now.edge_deg)}</text>
      <text class="label" x={(fx(now.arm) + fx(now.horn)) / 2} y={Math.min(fz(now.arm), fz(now.horn)) - 8} text-anchor="middle" font-size="15">rod {sayLength(Math.hypot(now.horn[0] - now.arm[0], now.horn[1] - now.arm[1], now.horn[2] - now.arm[2]))}</text>
    </svg>
  );
}
