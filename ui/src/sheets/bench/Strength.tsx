import { CopyDrawn } from "../../plot/copy";
import { Cautions } from "../../bits/Cautions";
import { Quantity } from "../../bits/Quantity";
import { Worded } from "../../bits/Term";
import { Mark } from "../../ink/marks";
import { FindingFigures } from "../../draft/Board";
import { ofRow, scaleOf } from "../../state/say";
import { Plot } from "../../plot/Plot";
import { TryButton } from "../TryButton";
import type { StrengthBody } from "../../wire/bodies";
import { useWidth } from "../../draft/Drawing";
import { Detail } from "../Detail";

const loadNames: Record<string, string> = { top_speed: "top speed", stall_speed: "stall speed", load_factor: "load factor", hook_pull: "pull at the hook", current_max: "largest current", touchdown_speed: "touchdown" };

export function Strength() {
  return (
    <Detail<StrengthBody> id="strength" title="Strength" question={4} verb="strength">
      {(b, a) => {
        const asked = b.findings.filter((f) => f.status !== "not-asked"), not = b.findings.filter((f) => f.status === "not-asked");
        const names = [...new Set(b.hinge.map((h) => h.control))];
        return (
          <>
            <p class="aside">Loads at {Object.entries(b.loads).map(([k, q], i) => <>{i ? "; " : ""}{loadNames[k] ?? k.replaceAll("_", " ")} <Quantity q={q} /></>)}.</p>
            <ul class="plain strengths">{asked.map((f) => (
              <li><Mark status={f.status} /> <Worded>{f.label}</Worded>: <FindingFigures f={f} />
                {f.status !== "pass" ? <div class="aside">{f.because} {f.remedies.slice(0, 2).map((r) => <span> {r.say} {r.set.length ? <TryButton sets={r.set} say={r.say} finding={f.id} /> : null}</span>)}</div> : null}</li>
            ))}</ul>
            <Bars b={b} />
            {names.length ? <Plot title="Hinge load over the servo's stall torque, full deflection, with its 90 % interval" x={{ label: `airspeed, ${scaleOf("m/s", 1).unit}`, min: 0, k: scaleOf("m/s", 1).k }} y={{ label: "share of the stall torque", min: 0 }} height={260} copy={a.charts?.[0]}
              series={names.flatMap((n, i) => { const rows = most(b.hinge.filter((h) => h.control === n)), of = rows.map((r) => ofRow(r, "share_of_stall", "1")), x = rows.map((r) => r.speed_m_s); return [{ kind: "band" as const, x, y: of.map((q) => q.low), y2: of.map((q) => q.high) }, { name: n, ink: i, x, y: of.map((q) => q.value) }]; })} rules={[{ at: 0.5, text: "half: at most", axis: "y", red: true }]} /> : null}
            {not.length ? <p class="aside">Not asked: {not.map((f) => f.label).join("; ")}.</p> : null}
            <Cautions of={b.cautions} />
          </>
        );
      }}
    </Detail>
  );
}

/** The largest torque at each speed. */
function most(rows: StrengthBody["hinge"]): StrengthBody["hinge"] {
  const by = new Map<number, StrengthBody["hinge"][number]>();
  for (const r of rows) { const o = by.get(r.speed_m_s); if (!o || Math.abs(r.servo_torque_nm) > Math.abs(o.servo_torque_nm)) by.set(r.speed_m_s, r); }
  return [...by.values()].sort((p, q) => p.speed_m_s - q.speed_m_s);
}

/** How far each stands from its limit: a rule at 1, a whisker for the doubt. */
function Bars({ b }: { b: StrengthBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const rows = b.findings.filter((f) => f.value !== null && f.limit.min !== null && f.limit.max === null && f.limit.min > 0 && f.status !== "not-asked");
  if (!rows.length) return null;
  const h = 30, left = 12, top = 24, most = w < 500 ? 4 : 6;
  const fx = (r: number): number => left + (Math.min(most, Math.max(0, r)) / most) * (w - 2 * left - 20);
  return (
    <figure class="plot"><div ref={ref} class="bars">{w > 0 ?
      <svg width={w} height={top + rows.length * h + 10} role="img" aria-label={rows.map((f) => `${f.label}: ${(f.value! / f.limit.min!).toFixed(1)} times what is wanted`).join("; ")}>
        {Array.from({ length: most + 1 }, (_, t) => t).map((t) => <g><path class={t === 1 ? "rule-line" : "square-line"} d={`M${fx(t)} ${top - 6}V${top + rows.length * h}`} /><text class="label" x={fx(t)} y={top - 10} font-size="11" text-anchor="middle">{t === most ? `${most} +` : t === 1 ? "wanted" : t}</text></g>)}
        {rows.map((f, i) => {
          const k = f.limit.min!, y = top + i * h + 18, v = f.value! / k;
          return <g><rect class={f.status === "fail" ? "bar bar-fail" : "bar"} x={left} y={y - 1} width={Math.max(1, fx(v) - left)} height={7} fill={f.status === "fail" ? "url(#hatch-red)" : "url(#hatch)"} />
            {f.low !== null && f.high !== null ? <path class="ink2" d={`M${fx(f.low / k)} ${y - 2}V${y + 8}M${fx(f.low / k)} ${y + 3}H${fx(f.high / k)}M${fx(f.high / k)} ${y - 2}V${y + 8}`} /> : null}
            <text class="label" x={left + 3} y={y - 4} font-size="11.5">{f.label}</text></g>;
        })}
      </svg> : null}</div>
      <figcaption>How many times what is wanted, with its doubt <CopyDrawn name="strength" /></figcaption>
    </figure>
  );
}
