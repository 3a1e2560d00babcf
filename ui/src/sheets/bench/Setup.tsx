// Setting up: each control's linkage, moving as the stick moves.
import { useState } from "preact/hooks";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Plot } from "../../plot/Plot";
import { figures, sayLength } from "../../state/say";
import { build, values } from "../../state/shop";
import type { LinkageRow, SetupBody } from "../../wire/bodies";
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
          {b.trims.length > 1 ? <Plot title="What trims her hands off" x={{ label: "airspeed, m/s" }} y={{ label: "pitch controls, ° trailing edge up" }} height={240} copy={a.charts?.[0]}
            series={[{ x: b.trims.map((t) => t.speed_m_s), y: b.trims.map((t) => (t.status === "ok" ? t.pitch_controls_deg : null)), strong: true }]} rules={[{ at: 0, text: "", axis: "y" }]} /> : null}
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}

/** The row of the linkage's table at a pulse, between rows in proportion. */
export function rowAt(table: LinkageRow[], edge: number): LinkageRow | null {
  for (let i = 0; i + 1 < table.length; i++) {
    const a = table[i]!, b = table[i + 1]!;
    if ((a.edge_deg - edge) * (b.edge_deg - edge) <= 0 && a.edge_deg !== b.edge_deg) {
      const t = (edge - a.edge_deg) / (b.edge_deg - a.edge_deg);
      const mix = (k: keyof LinkageRow): number => a[k] + t * (b[k] - a[k]);
      return { servo_deg: mix("servo_deg"), pulse_us: mix("pulse_us"), edge_deg: edge, edge_per_servo: mix("edge_per_servo"), angle_at_arm_deg: mix("angle_at_arm_deg"), angle_at_horn_deg: mix("angle_at_horn_deg"), lean_deg: mix("lean_deg") };
    }
  }
  return null;
}

function Linkage({ c }: { c: Control }) {
  const [stick, set] = useState(0);
  const up = c.stops.find((s) => s.name === "full up")?.edge_deg ?? 0, down = c.stops.find((s) => s.name === "full down")?.edge_deg ?? 0;
  const neutral = c.stops.find((s) => s.name === "neutral")?.edge_deg ?? 0;
  const edge = stick >= 0 ? neutral + stick * (up - neutral) : neutral - stick * (down - neutral);
  const row = c.linkage_detail ? rowAt(c.linkage_detail.table, edge) : null;
  const id = "stick-" + c.name.replace(/\W+/g, "-");
  return (
    <div class="linkage">
      <h3>{c.name} on {c.surface}</h3>
      {row ? <LinkagePicture c={c} row={row} /> : <p class="aside">Linkage: {c.linkage}.</p>}
      <div class="linkage-side">
        <label for={id}>Stick: <b>{Math.round(stick * 100)} %</b>, edge {deg(edge)}{row ? <>, servo arm {deg(row.servo_deg)}, {us(row.pulse_us)}</> : null}</label>
        <input id={id} type="range" min="-1" max="1" step="0.02" value={stick} onInput={(e) => set(e.currentTarget.valueAsNumber)} aria-valuetext={`${Math.round(stick * 100)} %, edge ${deg(edge)}`} />
        {row ? <p class="aside">Rod and arm meet at {deg(row.angle_at_arm_deg)}, rod and horn at {deg(row.angle_at_horn_deg)}; here a degree of the servo moves the edge {figures(row.edge_per_servo)}°.</p> : null}
        <div class="wide" tabIndex={0} role="region" aria-label={`Stops of ${c.name}`}>
          <table><thead><tr><th scope="col">stop</th><th scope="col" class="right">edge</th><th scope="col" class="right">at the trailing edge</th><th scope="col" class="right">servo</th><th scope="col" class="right">pulse</th></tr></thead>
            <tbody>{c.stops.map((s) => <tr><th scope="row">{s.name}</th><td class="right">{deg(s.edge_deg)}</td><td class="right">{figures(Math.abs(s.edge_m) < 5e-5 ? 0 : s.edge_m * 1000, 1)}{"\u00a0"}mm</td><td class="right">{deg(s.servo_deg)}</td><td class="right">{us(s.pulse_us)}{s.within ? "" : " (out of reach)"}</td></tr>)}</tbody></table>
        </div>
        <p class="aside">Wanted: {deg(c.throw_up_wanted_deg)} up, {deg(c.throw_down_wanted_deg)} down{c.neutral_wanted_deg !== null ? <>, neutral at {deg(c.neutral_wanted_deg)}</> : null}{c.differential ? <>; differential {figures(c.differential * 100)} %</> : null}.</p>
      </div>
    </div>
  );
}

/** Arm, rod, horn and surface, to the build's own lengths where it gives them. */
function LinkagePicture({ c, row }: { c: Control; row: LinkageRow }) {
  const i = build.value?.lists.find((l) => l.path === "linkages")?.items.findIndex((x) => values.value.get(`${x.path}.control`)?.text === c.name || x.name === c.name) ?? -1;
  const base = i >= 0 ? build.value!.lists.find((l) => l.path === "linkages")!.items[i]!.path : `linkages.${c.name}`;
  const len = (k: string, or: number): number => values.value.get(`${base}.${k}`)?.value ?? or;
  const arm = len("arm", 0.011), horn = len("horn", 0.012), rod = Math.min(Math.max(len("rod", 0.06), 0.045), 0.09);
  const s = 2300, rad = Math.PI / 180;
  const sx = 60, hx = sx + rod * s, y = 96;
  const a = row.servo_deg * rad, h = row.edge_deg * rad;
  const ax = sx + arm * s * Math.sin(-a), ay = y - arm * s * Math.cos(a);
  const tx = hx + horn * s * Math.sin(-h), ty = y - horn * s * Math.cos(h);
  const cx = Math.cos(h), cy = -Math.sin(h), L = 92;
  return (
    <svg class="linkage-picture" viewBox={`0 0 ${hx + 110} 150`} role="img" aria-label={`Servo arm at ${deg(row.servo_deg)}, edge at ${deg(row.edge_deg)}`}>
      <rect class="ink2" x={sx - 34} y={y - 13} width={68} height={34} fill="url(#hatch)" />
      <path class="ink1" d={`M4 ${y + 2}H${hx}`} stroke-dasharray="12 3 2 3" />
      <path class="ink3" d={`M${sx} ${y}L${ax} ${ay}`} /><circle class="pin" cx={sx} cy={y} r="5" /><circle class="pin" cx={ax} cy={ay} r="3" />
      <path class="ink2" d={`M${ax} ${ay}L${tx} ${ty}`} />
      <path class="ink3" d={`M${hx} ${y}L${tx} ${ty}`} /><circle class="pin" cx={tx} cy={ty} r="3" />
      <path class="ink3" d={`M${hx - 6} ${y - 7}Q${hx + 4 * cx} ${y - 8 + 4 * cy} ${hx + L * cx} ${y + L * cy}Q${hx + 4 * cx} ${y + 8 + 4 * cy} ${hx - 6} ${y + 7}`} />
      <circle class="pin" cx={hx} cy={y} r="3.5" />
      <path class="ink1" d={`M${hx + L + 6} ${y}H${hx + 6}`} stroke-dasharray="3 3" />
      <text class="label" x={sx} y={y + 40} text-anchor="middle" font-size="12">servo {deg(row.servo_deg)}</text>
      <text class="label" x={hx + 60} y={y + 40} text-anchor="middle" font-size="12">edge {deg(row.edge_deg)}</text>
      <text class="label" x={(ax + tx) / 2} y={Math.min(ay, ty) - 8} text-anchor="middle" font-size="12">rod {sayLength(len("rod", 0.06))}</text>
    </svg>
  );
}
