// Our own forecasts against what happened: odds against launches, speeds
// against speeds measured.
import { Empty } from "../../bits/Busy";
import { Quantity } from "../../bits/Quantity";
import { Plot } from "../../plot/Plot";
import { Spans } from "../../plot/Spans";
import { bookTurn } from "../../state/today";
import { figures, sentence } from "../../state/say";
import { run, work } from "../../state/work";
import type { ScoreBody } from "../../wire/more";
import { useEffect } from "preact/hooks";
import { askFor, Detail } from "../Detail";

export function Score() {
  useEffect(() => { if (bookTurn.peek() > 0 && work("score").peek().state === "done") void run("score", askFor("score")); }, [bookTurn.value]);
  return (
    <Detail<ScoreBody> id="score" title="Our forecasts, scored" question={9} verb="score" foldTitle="All figures, as printed">
      {(b, a) => {
        const o = b.odds, v = b.speeds;
        if (o.n === 0 && v.n === 0) return <Empty>Nothing to score yet. Enter a flight in the logbook with “forecast”, then what came of it: whether it launched, and the speed that was measured. From ten launches on the score gets an interval.</Empty>;
        return (
          <>
            {o.n > 0 ? <div class="plots">
              <Plot title="Odds forecast, and launches achieved; bars are exact 90 % intervals" equal={false} height={360} copy={a.charts?.[0]} x={{ label: "forecast, %", min: 0, max: 1, k: 100 }} y={{ label: "achieved, %", min: 0, max: 1, k: 100 }}
                say={o.table.map((r) => `forecast ${Math.round(100 * r.mean_forecast)} %: ${r.hits} of ${r.n} flew`).join("; ")}
                series={[{ name: "", x: [0, 1], y: [0, 1], ink: 1 }, ...o.table.map((r) => ({ x: [r.mean_forecast, r.mean_forecast], y: [r.low, r.high], strong: true })), { kind: "dots", x: o.table.map((r) => r.mean_forecast), y: o.table.map((r) => r.achieved) }]}>
                {(fx, fy) => o.table.map((r) => <text class="label label-back" x={fx(r.mean_forecast) + (r.mean_forecast > 0.8 ? -8 : 8)} y={fy(r.achieved) + 4} text-anchor={r.mean_forecast > 0.8 ? "end" : "start"} font-size="12">{r.hits} of {r.n}</text>)}
              </Plot>
              <div>
                {o.say.map((s) => <p>{sentence(s)}</p>)}
                <table class="facts"><caption class="unseen">The score</caption><tbody>
                  <tr><th scope="row">launches with a forecast</th><td>{o.n}, {o.hits} flew away, {o.expected_hits === null ? "\u2013" : figures(o.expected_hits)} were expected</td></tr>
                  <tr><th scope="row">mean squared miss</th><td>{o.brier === null ? "\u2013" : figures(o.brier)}{o.brier_low !== null && o.brier_high !== null ? ` (${figures(o.brier_low)} to ${figures(o.brier_high)})` : ""}; right forecasts would have {o.if_right === null ? "\u2013" : figures(o.if_right)}{o.if_right_low !== null && o.if_right_high !== null ? ` (${figures(o.if_right_low)} to ${figures(o.if_right_high)})` : ""}</td></tr>
                </tbody></table>
              </div>
            </div> : <p class="aside">No launch was both forecast and flown yet.</p>}
            {v.n > 0 ? <section><h3>Speeds forecast and measured</h3>{v.say.map((s) => <p>{sentence(s)}</p>)}
              <Spans label="Speeds forecast and measured" rows={v.rows.map((r) => ({ label: r.name, say: `${r.miss_sigmas === null ? "" : `off by ${figures(Math.abs(r.miss_sigmas), 0.5)} standard deviations, `}${r.within ? "inside the interval" : "outside the interval"}`, marks: [{ name: "forecast", q: { value: r.forecast_m_s, low: r.low_m_s, high: r.high_m_s, unit: "m/s" }, form: "ring" as const }, { name: "measured", q: { value: r.measured_m_s, low: r.measured_m_s, high: r.measured_m_s, unit: "m/s" }, form: "diamond" as const }] }))} />
              <p class="aside">{v.within} of {v.n} inside their intervals, nine of ten are expected. Measured over forecast <Quantity q={{ value: v.ratio, low: v.ratio_low, high: v.ratio_high, unit: "1" }} />.</p></section> : null}
          </>
        );
      }}
    </Detail>
  );
}
