import { CopyDrawn } from "../../plot/copy";
import { Quantity } from "../../bits/Quantity";
import { Cautions } from "../../bits/Cautions";
import { TryButton } from "../TryButton";
import { figures, ofRow, sayLength, sayQuantity, scaleOf, setLength } from "../../state/say";
import type { BalanceBody } from "../../wire/bodies";
import { Detail } from "../Detail";
import { useWidth } from "../../draft/Drawing";

const grams = (kg: number): string => { const s = scaleOf("kg", kg); return `${figures(kg * s.k)} ${s.unit}`; };

export function Balance() {
  return (
    <Detail<BalanceBody> id="balance" title="Balance" question={2} verb="balance">
      {(b) => (
        <>
          <table class="facts"><tbody>
            <tr><th scope="row">ready to launch</th><td><Quantity q={b.mass} /></td></tr>
            <tr><th scope="row">balances at</th><td><Quantity q={b.cg_x} /> aft of the datum</td></tr>
            <tr><th scope="row">neutral point at</th><td><Quantity q={b.neutral_point_x} /></td></tr>
            <tr><th scope="row">static margin</th><td><Quantity q={b.static_margin} share /> of the mean chord of {sayLength(b.mean_chord_m)}</td></tr>
            <tr><th scope="row">on the mean chord at</th><td><Quantity q={b.cg_on_mean_chord} share /></td></tr>
            {b.band_m ? <tr><th scope="row">may balance from</th><td><Quantity q={b.band_fore} /> to <Quantity q={b.band_aft} /></td></tr> : null}
            <tr><th scope="row">wing loading</th><td><Quantity q={b.wing_loading} /></td></tr>
          </tbody></table>
          {b.moves?.length ? (
            <ul>{b.moves.map((m) => {
              const low = Math.max(m.for_band_m[0], m.room_m[0]), high = Math.min(m.for_band_m[1], m.room_m[1]);
              return <li>{m.part}: at {sayLength(m.x_m)}; for the band it has to sit from {sayLength(m.for_band_m[0])} to {sayLength(m.for_band_m[1])}{m.for_band_sure_m ? ` (${sayLength(m.for_band_sure_m[0])} to ${sayLength(m.for_band_sure_m[1])} keeps all of the doubt in it too)` : ""}; it may sit from {sayLength(m.room_m[0])} to {sayLength(m.room_m[1])}.
                {m.reaches && (m.x_m < low || m.x_m > high) ? <> <TryButton sets={[`${m.path}=${setLength(m.x_m > high ? high : low)}`]} say={`${m.part} to ${sayLength(m.x_m > high ? high : low)}`} finding="balance" /></> : m.reaches ? "" : " That does not reach."}</li>;
            })}</ul>
          ) : null}
          {b.ballast ? <p>Else <Quantity q={b.ballast.needed} /> of ballast would do: {b.ballast.place}, at {sayLength(b.ballast.x_m)}.</p> : null}
          <Weighing b={b} />
          <Grams of={b.grams} />
          <Cautions of={b.cautions} />
        </>
      )}
    </Detail>
  );
}

/** What a scale should show, with its doubt. */
const expected = (s: BalanceBody["weighing"][number]) => sayQuantity({ value: s.expected_kg, low: s.expected_low_kg, high: s.expected_high_kg, unit: "kg" });

/** What a little mass does, by where it is put. */
function Grams({ of }: { of: BalanceBody["grams"] }) {
  if (!of?.length) return null;
  return (
    <div class="wide" tabIndex={0} role="region" aria-label="What a little mass changes"><table><caption>What {grams(of[0]!.mass_kg)} more changes</caption>
      <thead><tr><th scope="col">put</th><th scope="col" class="right">static margin</th><th scope="col" class="right">launch odds</th><th scope="col" class="right">top speed</th></tr></thead>
      <tbody>{of.map((g) => <tr><th scope="row">{g.where}</th><td class="right"><Quantity q={ofRow(g, "static_margin_change", "1")} share /></td><td class="right"><Quantity q={g.odds_change} share /></td><td class="right"><Quantity q={g.top_speed_change} /></td></tr>)}</tbody></table></div>
  );
}

/** The two scales and what they should show. */
function Weighing({ b }: { b: BalanceBody }) {
  const [ref, w] = useWidth<HTMLDivElement>();
  const xs = b.parts.map((p) => p.at_m[0]);
  const x0 = Math.min(0, ...xs), x1 = Math.max(...xs, ...b.weighing.map((s) => s.x_m)) + 0.05;
  const fx = (x: number): number => 30 + ((x - x0) / (x1 - x0)) * (w - 60);
  return (
    <figure class="plot">
      <div ref={ref}>
        {w > 0 && b.weighing.length ? (
          <svg width={w} height={146} role="img" aria-label={`Weighing: ${b.weighing.map((s) => `the scale at ${sayLength(s.x_m)} shows ${expected(s).full}`).join(", ")}`}>
            <path class="ink3" d={`M${fx(x0)} 46Q${fx(x0 + 0.1 * (x1 - x0))} 30 ${fx((x0 + x1) / 2)} 34T${fx(x1)} 44Q${fx((x0 + x1) / 2)} 58 ${fx(x0)} 46`} />
            {b.weighing.map((s) => {
              const x = fx(s.x_m);
              return <g><path class="ink2" d={`M${x} 52L${x - 9} 68H${x + 9}Z`} /><rect class="ink2" x={x - 30} y={68} width={60} height={26} /><text class="label label-strong" x={x} y={86} text-anchor="middle" font-size="13">{grams(s.expected_kg)}</text><text class="label" x={x} y={112} text-anchor="middle" font-size="12">{expected(s).interval}</text><text class="label" x={x} y={128} text-anchor="middle" font-size="12">{w < 480 ? `at ${sayLength(s.x_m)}` : `${sayLength(s.x_m)} from the datum`}</text></g>;
            })}
            <path class="cg-line" d={`M${fx(b.cg_m[0])} 14V94`} /><text class="label" x={fx(b.cg_m[0]) + 5} y={16} font-size="12">balances here</text>
          </svg>
        ) : null}
      </div>
      <figcaption>Weigh her on two scales: what they should show <CopyDrawn name="weighing" /></figcaption>
    </figure>
  );
}
