// Speeds and what they cost: thrust against drag, drag piece by piece, load
// factors, heat.
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Worded } from "../../bits/Term";
import { Plot } from "../../plot/Plot";
import { figures, scaleOf, sayQuantity } from "../../state/say";
import type { FlyBody, StrengthBody } from "../../wire/bodies";
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
              <LoadFactor b={b} top={top} stall={stall} />
            </div>
            <Drag b={b} />
            <Heat b={b} />
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

/** Load factor over airspeed: what she can pull before the stall (from the bank
    at which a level turn stalls), what she is asked to hold, the day's gust. */
function LoadFactor({ b, top, stall }: { b: FlyBody; top: number | null; stall: number | null }) {
  const strong = work<StrengthBody>("strength").value.answer?.body.loads["load_factor"]?.value ?? null;
  const at = b.at_speed.filter((p) => p.status === "ok" && p.stall_bank_deg !== null && p.stall_bank_deg < 89.9);
  if (at.length < 3) return null;
  const most = strong ?? 8;
  const x: number[] = stall ? [stall] : [], y: number[] = stall ? [1] : [];
  for (const p of at) { x.push(p.speed_m_s); y.push(Math.min(most, 1 / Math.cos((p.stall_bank_deg! * Math.PI) / 180))); }
  const g = b["gust_load"] as Q | undefined, v = scaleOf("m/s", 1);
  const series = [{ name: "stalls above", x, y, strong: true }];
  return (
    <Plot title="Load factors" x={{ label: `airspeed, ${v.unit}`, min: 0, k: v.k, max: top ? top * 1.2 : undefined }} y={{ label: "load factor", min: 0 }} height={330} series={series}
      rules={[{ at: 1, text: "level", axis: "y" }, ...(strong !== null ? [{ at: strong, text: "strength worked out for this", axis: "y" as const, red: true }] : []), ...(top !== null ? [{ at: top, text: "top speed", axis: "x" as const }] : [])]}>
      {(fx, fy) => g && g.value !== null && top !== null ? <g><path class="ink2" d={`M${fx(top)} ${fy(g.low ?? g.value)}V${fy(g.high ?? g.value)}`} /><circle class="pin" cx={fx(top)} cy={fy(g.value)} r="4" /><text class="label" x={fx(top) - 8} y={fy(g.value) + 4} text-anchor="end" font-size="12">day's gust {figures(g.value)}</text></g> : null}
    </Plot>
  );
}

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
      </svg>) : null}</div><figcaption>Drag at {sayQuantity({ value: b.drag_at_m_s, unit: "m/s" }).full}, piece by piece</figcaption></figure>
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
