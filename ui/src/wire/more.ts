// Bodies of trial, sortie, card, print, repair and score as the drawn views use
// them (docs/json.md has them whole).
import type { Finding, Quantity } from "./types";

type Num = number | null;
export interface TrialBody {
  base_m: Num; height_m: Num; entry_m: Num; run_in_99_m: Num; wind_along_m_s: Num; wind_across_m_s: Num; speed_in_m_s: Num; speed_over_m_s: Num; speed_out_m_s: Num; dive_gain_m_s: Num; decay_m: Num;
  ground_speed_out_m_s: Num; ground_speed_back_m_s: Num; two_way_speed: Quantity; two_way_by_times_m_s: Num; shows_at_most_m_s: Num;
  sigma_m_s: Num; sigma_timing_m_s: Num; sigma_ends_m_s: Num; sigma_wind_m_s: Num; sigma_height_m_s: Num; coasts_m: Num; passes_afforded: number; passes_wanted: number; pass_s: Num; top_speed: Quantity;
  heading_deg: Num; ahead_m: Num; turn_radius_m: Num; overflown_m: Num; overflown_deep_m: Num;
  claims: { by: string; claim: string; chance_to_show: Num; say: string }[]; status: string; findings: Finding[]; cautions: string[];
}
export interface SortieBody {
  chance: Quantity; n: number; product: Num; stages: { stage: string; asked: boolean; chance: Num; first_to_fail: Num; chance_if_sure: Num; why: string }[];
  flights_per_loss: Num; value_eur: Num; cost_per_flight_eur: Num; findings: Finding[]; notes?: string[] | null; cautions: string[];
}
export interface CardBody {
  verdict: "go" | "hold" | "no-go"; because: string; files: string[]; paper: string; code: string; cautions: string[];
  settings: { path: string; unit: string; now: Num; low: Num; high: Num; free_low: boolean; free_high: boolean }[];
}
/** A page of a PDF as a picture. */
export interface Picture { file: string; page: number; svg: string }
export interface PrintBody { items?: { what: string; name?: string; made: boolean; why?: string; files?: string[] | null }[] | null; cautions?: string[] }
export interface RepairState { mass_kg: number; cg_m: [number, number, number]; odds: Quantity; top_speed: Quantity }
interface Share { value: number; low: number; high: number; unit: string }
export interface RepairKey { key: string; dim: string; say: string; example: string; words?: string[] | null }
export interface RepairBody {
  breaks?: { key: string; say: string; joint: string; write_off?: string; look: string }[]; keys?: RepairKey[];
  broken?: string; what?: string; write_off?: string; look?: string; at_m?: [number, number, number]; mass?: Share; mass_from?: string; drag_area?: Share; joint?: string; regained?: Share; governs?: string;
  remarks?: string[]; proof?: { force_n: number; moment_nm: number; say: string }; before?: RepairState; after?: RepairState; file?: string; repair?: number; sources?: string[]; cautions?: string[]; dry_run?: boolean;
}
export interface ScoreBody {
  odds: {
    n: number; hits: number; expected_hits: Num; chance_of_so_few: Num; chance_of_so_many: Num; brier: Num; brier_low: Num; brier_high: Num; if_right: Num; if_right_low: Num; if_right_high: Num; chance_of_so_bad: Num;
    reliability: Num; resolution: Num; uncertainty: Num; within: Num; skill: Num;
    table: { from: number; to: number; n: number; hits: number; mean_forecast: number; achieved: number; low: number; high: number }[]; say: string[];
  };
  speeds: { n: number; within: number; share: Num; share_low: Num; share_high: Num; ratio: Num; ratio_low: Num; ratio_high: Num; spread: Num; rows: { name: string; forecast_m_s: Num; low_m_s: Num; high_m_s: Num; measured_m_s: Num; miss_sigmas: Num; within: boolean }[]; say: string[] };
}
