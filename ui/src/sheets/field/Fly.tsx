// Speeds and what they cost: thrust against drag, drag piece by piece, load
// factors, heat.
import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Worded } from "../../bits/Term";
import { Plot } from "../../plot/Plot";
import { figures, scaleOf, sayQuantity } from "../../state/say";
import type { Change, FlyBody, StrengthBody } from "../../wire/bodies";
import type { Quantity as Q } from "../../wire/types";
import { work } from "../../state/work";
import { useWidth } from "../../draft/Drawing";
import { Detail } from "../Detail";

const rows: [string, string][] = [["stall_speed", "stall speed"], ["cruise_speed", "cruise"], ["top_speed", "top speed, level"], ["dive_speed", "30° dive, full throttle"], ["climb_rate", "climb"], ["endurance", "endurance at cruise, to the reserve"], ["range", "range at cruise"], ["turn_radius", "tightest turn held"], ["loiter_radius", "loiter radius"], ["static_thrust", "static thrust"], ["current_max", "largest current"], ["current_cruise", "current at cruise"], ["glide_ratio", "glide ratio"], ["gust_load", "load factor in the day's gust at top speed"], ["run_in", "run-in to 98 % of the top speed"]];

export function Fly() {
  return (
    <Detail<FlyBody> id="fly" title="How fast, how long, how far?" question={6} verb="fly">
      {(b, a) => {
        const at = b.at_speed.filter((p) => p.status === "ok");
        const x = at.map((p) => p.speed_m_s), top = (b["top_speed"] as Q | undefined)?.value ?? null, stall = (b["stall_speed"] as Q | undefined)?.value ?? null;
        const v = scaleOf("m/s", 1), n = scaleOf("N", 1);
        return (
          <>
            <table class="facts two-up"><tbody>{rows.map(([k, name]) => { const q = b[k] as Q | undefined; return q ? <tr><th scope="row"><Worded>{name}</Worded></th><td><Quantity q={q} /></td></tr> : null; })}</tbody></table>
            <div class="plots">
              <Plot title="Thrust against drag, level" say={`Thrust and drag over airspeed; they meet at ${sayQuantity({ value: top, unit: "m/s" }).full}.`} x={{ label: `airspeed, ${v.unit}`, k: v.k }} y={{ label: n.unit, min: 0, k: n.k }} height={330} copy={a.charts?.[0]}
                rules={top !== null ? [{ at: top, text: "top speed", axis: "x" }, ...(stall !== null ? [{ at: stall, text: "stall", axis: "x" as const, red: true }] : [])] : []}
                series={[{ kind: "band", x, y: at.map((p) => p.thrust_low_n), y2: at.map((p) => p.thrust_high_n) }, { kind: "band", x, y: at.map((p) => p.drag_low_n), y2: at.map((p) => p.drag_high_n) },
                  { name: "thrust, full", x, y: at.map((p) => p.thrust_n), ink: 1 }, { name: "drag", x, y: at.map((p) => p.drag_n), strong: true }, { name: "of it by lift", x, y: at.map((p) => p.drag_due_to_lift_n), ink: 2 }]} />
              <LoadFactor b={b} top={top} />
            </div>
            <div class="plots"><Circuit b={b} /><Heat b={b} /></div>
            <div class="plots"><Drag b={b} /><Power b={b} /></div>
            <div class="plots"><Changes of={b.changes} title="What a change would do" /><Changes of={b.other_days} title="What another day would do" /></div>
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

/** Load factors over airspeed: what she can pull before the stall, what she is
    held to, and the day's gust up and down. */
function LoadFactor({ b, top }: { b: FlyBody; top: number | null }) {
  const rows = b.load_factors ?? [];
  if (rows.length < 3) return null;
  const strong = work<StrengthBody>("strength").value.answer?.body.loads["load_factor"]?.value ?? null;
  const most = Math.max(strong ?? 0, ...rows.map((r) => r.gust_up_load)) * 1.25 + 1;
  const v = scaleOf("m/s", 1), x = rows.map((r) => r.speed_m_s);
  return (
    <Plot title="Load factors" x={{ label: `airspeed, ${v.unit}`, min: 0, k: v.k }} y={{ label: "load factor", max: most, min: Math.min(0, ...rows.map((r) => r.gust_down_load)) }} height={330}
      series={[{ kind: "band", x, y: rows.map((r) => r.gust_down_load), y2: rows.map((r) => r.gust_up_load) },
        { name: "stalls above", strong: true, x, y: rows.map((r) => (r.stall_load !== null && r.stall_load <= most ? r.stall_load : null)) },
        { name: "gust up", ink: 1, x, y: rows.map((r) => r.gust_up_load) }, { name: "gust down", ink: 1, x, y: rows.map((r) => r.gust_down_load) }]}
      rules={[{ at: 1, text: "level", axis: "y" }, ...(strong !== null ? [{ at: strong, text: "strength worked out for this", axis: "y" as const, red: true }] : []), ...(top !== null ? [{ at: top, text: "top speed", axis: "x" as const }] : [])]} />
  );
}

/** Where the pack's power goes, as one strip a state. */
function Power({ b }: { b: FlyBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  if (!b.power?.length) return null;
  const pieces = [["thrust_w", "thrust", "url(#hatch-cross)"], ["propeller_w", "propeller", "url(#hatch)"], ["motor_w", "motor", "url(#hatch-dots)"], ["controller_w", "controller", "url(#hatch-wide)"], ["wiring_w", "wires", "none"], ["battery_w", "pack", "url(#hatch-red)"]] as const;
  const h = 64;
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={b.power.length * h + 4} role="img" aria-label={b.power.map((p) => `${p.name}: ${Math.round(p.source_w)} W out of the pack, ${Math.round(100 * p.efficiency)} % becomes thrust`).join("; ")}>
        {b.power.map((p, i) => { let x = 0; const y = i * h + 18; return <g>
          <text class="label label-strong" x={2} y={y - 5} font-size="12.5">{p.name}: {Math.round(p.source_w)} W out of the pack, {Math.round(100 * p.efficiency)} % becomes thrust</text>
          {pieces.map(([key, name, fill]) => { const v = p[key], wide = (v / p.source_w) * (w - 2), at = x; x += wide; return <g><rect class="ink1 power-piece" x={at + 0.5} y={y} width={Math.max(0, wide)} height={16} fill={fill}><title>{name} {Math.round(v)} W</title></rect>{wide > name.length * 6.6 + 26 ? <text class="label" x={at + 4} y={y + 31} font-size="12">{name} {Math.round(v)} W</text> : null}</g>; })}</g>; })}
      </svg>) : null}</div><figcaption>Where the power goes: thrust first, then losses in propeller, motor, controller, wires, pack <CopyDrawn name="fly" /></figcaption></figure>
  );
}

function Circuit({ b }: { b: FlyBody }) {
  if (!b.circuit?.length) return null;
  return (
    <div class="wide" tabIndex={0} role="region" aria-label="The planned circuit"><table><caption>The planned circuit, leg by leg</caption><thead><tr><th scope="col">leg</th><th scope="col" class="right">length</th><th scope="col" class="right">time</th><th scope="col" class="right">speed</th><th scope="col" class="right">bank</th><th scope="col" class="right">throttle</th><th scope="col" class="right">current</th><th scope="col" class="right">times the stall</th></tr></thead>
      <tbody>{b.circuit.map((l) => <tr><th scope="row">{l.name}</th><td class="right">{one(l.length_m, "m")}</td><td class="right">{one(l.time_s, "s")}</td><td class="right">{one(l.speed_m_s, "m/s")}</td><td class="right">{figures(l.bank_deg)}°</td><td class="right">{Math.round(100 * l.throttle)} %</td><td class="right">{one(l.current_a, "A")}</td><td class="right">{l.status === "ok" ? figures(l.stall_margin) : l.status}</td></tr>)}</tbody></table></div>
  );
}

/** What a change of the aeroplane or of the day does. */
function Changes({ of, title }: { of: Change[] | null | undefined; title: string }) {
  if (!of?.length) return null;
  const d = (v: number, unit: string): string => { const s = scaleOf(unit, 1); const x = v * s.k; return Math.abs(x) < 0.005 ? "0" : `${x > 0 ? "+" : ""}${figures(x)}`; };
  const v = scaleOf("m/s", 1).unit, m = scaleOf("m", 50);
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={title}><table><caption>{title}</caption><thead><tr><th scope="col">change</th><th scope="col" class="right">stall, {v}</th><th scope="col" class="right">top, {v}</th><th scope="col" class="right">climb, {v}</th><th scope="col" class="right">endurance, s</th><th scope="col" class="right">landing, {m.unit}</th></tr></thead>
      <tbody>{of.map((c) => <tr><th scope="row">{c.say}</th><td class="right">{d(c.stall_speed_m_s, "m/s")}</td><td class="right">{d(c.top_speed_m_s, "m/s")}</td><td class="right">{d(c.climb_m_s, "m/s")}</td><td class="right">{d(c.endurance_s, "1")}</td><td class="right">{figures(c.distance_m * m.k)}</td></tr>)}</tbody></table></div>
  );
}
const one = (value: number, unit: string): string => sayQuantity({ value, unit }).full;

/** The drag piece by piece, and what losing a piece would buy. */
function Drag({ b }: { b: FlyBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const all = [...b.drag].sort((p, q) => q.drag_n - p.drag_n).filter((d) => d.drag_n > 0);
  const most = Math.max(...all.map((d) => d.drag_n), 1e-9), total = all.reduce((s, d) => s + d.drag_n, 0), h = 27;
  const v = scaleOf("m/s", 1);
  return (
    <figure class="plot"><div ref={ref}>{w > 0 ? (
      <svg width={w} height={all.length * h + 12} role="img" aria-label={`Drag at ${sayQuantity({ value: b.drag_at_m_s, unit: "m/s" }).full}: ` + all.map((d) => `${d.name} ${Math.round((100 * d.drag_n) / total)} %`).join(", ")}>
        {all.map((d, i) => { const y = i * h + 16; return <g><rect class="bar" x={0.5} y={y} width={Math.max(2, (d.drag_n / most) * (w - 2))} height={8} fill="url(#hatch)" /><text class="label label-strong" x={2} y={y - 3} font-size="12">{d.name}<title>{d.why}</title></text><text class="label" x={w - 4} y={y - 3} font-size="12" text-anchor="end">{Math.round((100 * d.drag_n) / total)} %, without it {figures(d.buys_m_s * v.k)} {v.unit} faster</text></g>; })}
      </svg>) : null}</div><figcaption>Drag at {sayQuantity({ value: b.drag_at_m_s, unit: "m/s" }).full}, piece by piece <CopyDrawn name="fly-2" /></figcaption></figure>
  );
}

function Heat({ b }: { b: FlyBody }) {
  if (!b.heat?.length) return null;
  const c = (k: number): string => `${Math.round(k - 273.15)} °C`;
  return (
    <div class="wide" tabIndex={0} role="region" aria-label="Heat"><table><caption>Heat at full throttle and top speed</caption><thead><tr><th scope="col">part</th><th scope="col" class="right">after {Math.round(b.heat_after_s)} s</th><th scope="col" class="right">in the end</th><th scope="col" class="right">at most</th><th scope="col">reaches it</th></tr></thead>
      <tbody>{b.heat.map((h) => <tr><th scope="row">{h.part}</th><td class="right">{c(h.after_k)}</td><td class="right">{c(h.steady_k)}</td><td class="right">{c(h.limit_k)}</td><td>{h.time_to_limit_s === null ? "never" : `after ${Math.round(h.time_to_limit_s)} s`}</td></tr>)}</tbody></table></div>
  );
}
