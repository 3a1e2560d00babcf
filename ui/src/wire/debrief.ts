// Bodies of debrief and learn as the drawn views use them (docs/json.md), and
// the curves the server sends for the page's own drawing.
import type { Intervals, Quantity } from "./types";

type Num = number | null;
export interface DrawnLog {
  name: string; t_s: number[]; east_m: Num[]; north_m: Num[]; height_m: Num[]; ground_speed_m_s: Num[]; ground_low_m_s: Num[]; ground_high_m_s: Num[];
  airspeed_m_s: Num[]; energy_height_m: Num[];
}
export interface Budget { what: string; sigma_m_s: number }
export interface Pass { run: number; from_s: number; to_s: number; ground_speed: Quantity; course_deg: number; height_m: Num; climb_m_s: Num; entry_m: Num; accepted: boolean; because?: string; remarks?: string[] | null }
export interface Pair { passes: [Pass, Pass]; base_m: number; two_way_speed: Quantity; two_way_airspeed: Quantity | null; wind_along_m_s: number; interval?: Intervals; budget: Budget[] | null; airspeed_budget: Budget[] | null; as_the_code: boolean; remarks?: string[] | null }
export interface TypedPass { reading: number; ground_speed: Quantity; course_deg: Num; way?: string; how: string }
export interface TypedPair { passes: [TypedPass, TypedPass]; two_way_speed: Quantity; wind_along: Quantity; budget: Budget[]; best: boolean; remarks?: string[] | null }
export interface Claim { claim: string; by: string; claimed: Quantity; measured: Quantity | null; predicted: Quantity | null; status: "shown" | "not shown" | "refuted"; probability: Num; because: string; settle: string }
export interface LogBody {
  name: string; format: string; samples: number; used: number; dropped: number; gaps: number; dropped_by?: { reason: string; count: number }[] | null;
  duration?: Quantity | null; air_time?: Quantity | null; peak_ground_speed?: Quantity | null; peak?: { at_s: number; kind: string; say: string } | null;
  wind?: { speed: Quantity; from_deg: number; from_sd_deg: number; method: string; windows?: { from_s: number; to_s: number; speed_m_s: number; from_deg: number; speed_sd_m_s: number; from_sd_deg: number }[] | null } | null; wind_refused?: string;
  level_speed?: (Quantity & { from_s: number; window_s: number }) | null; refused?: string; two_way_speed?: Quantity | null; two_way_airspeed?: Quantity | null; two_way_refused?: string;
  pairs?: Pair[] | null; best_pair: number; typed_pairs?: TypedPair[] | null;
  runs?: { from_s: number; to_s: number; ground_speed_m_s: number; airspeed_m_s: Num; climb_m_s: Num; height_m: Num; course_deg: number; length_m: number; level: boolean; because?: string; interval?: Intervals }[] | null;
  phases?: { kind: string; from_s: number; to_s: number }[] | null;
  launch?: { at_s: number; speed_at_release: Quantity } | null; landing?: { at_s: number; approach_speed: Quantity | null; touchdown_speed: Quantity; slide_m: number } | null;
  reach?: { farthest: Quantity; highest: Quantity | null; farthest_at_s: number; highest_at_s: number; limits_passed?: string[] | null } | null;
  flyby?: { speed: Quantity } | null; noise_model?: string; remarks?: string[] | null; claims?: Claim[] | null; cautions?: string[];
}
export interface DebriefBody extends Partial<LogBody> {
  logs?: LogBody[]; claims?: Claim[]; cautions?: string[];
  compared?: { what: string; predicted: Quantity | null; measured: Quantity | null; claimed: Quantity | null; by?: string; note?: string }[] | null;
  post_mortem?: { outcome: string; n: number; odds: Num; share: Quantity; status?: string; typical?: string; causes?: { cause: string; explains: Quantity; as_meant: Quantity; otherwise: Quantity | null; set: string; check: string }[] | null; tell_next?: string[] | null } | null;
}
export interface LearnBody {
  status: string; because: string; kept: boolean; forgotten?: number; readings_kept?: number; chance: Num;
  factors: { name: string; label: string; shift: boolean; before: Quantity; after: Quantity; share: number; told: boolean; moved_by: { reading: string; by_sigmas: number }[] | null }[];
  readings: { reading: string; kind: string; value: number; sigma: number; unit: string; untaught: number; as_learned: number; off_by_sigmas: number; interval?: Intervals }[] | null;
  refused: { reading: string; why: string }[] | null; told_together: string[] | null; forecasts: { what: string; untaught: Quantity; as_learned: Quantity }[] | null;
  launch_record: { flown: number; flew: number; physics: Quantity; with_record: Quantity; fits: boolean } | null;
  next: { name: string; where: string; steps: string[]; tells: string[] | null; gains: { what: string; sigma_now: number; sigma_then: number }[] | null }[] | null; cautions: string[];
}
