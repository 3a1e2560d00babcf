// The --json bodies as the drawn views use them (docs/json.md has them whole).
import type { Finding, Intervals, Place, Quantity } from "./types";

export interface FitBody {
  results: { id: string; label: string; room: Quantity; wanted_m: number; status: string; because: string; cures: { say: string; by_m: number; weakens: string }[]; place_m: Place | null; sources: string[] }[];
  harness: { name: string; from: string; to: string; wires: number; gauge_awg: number; length_m: number; mass_kg: number; current_a: number; drop_v: number; bend_m: number; connector: string; solder: string; way_m: Place[] | null }[];
  assembly: string[] | null; motor_turns: string; cautions: string[];
}
export interface BalanceBody {
  mass: Quantity; cg_m: Place; cg_x: Quantity; inertia_kgm2: number[][]; neutral_point_x: Quantity; static_margin: Quantity; mean_chord_m: number;
  wing_loading: Quantity; cg_on_mean_chord: Quantity; mean_chord_leading_edge_m: number; band_m: [number, number] | null; band_fore: Quantity; band_aft: Quantity;
  ballast: { place: string; x_m: number; mass_kg: number; needed: Quantity } | null;
  moves: { part: string; path: string; x_m: number; for_band_m: [number, number]; for_band_sure_m?: [number, number] | null; room_m: [number, number]; reaches: boolean }[] | null;
  inertia_roll: Quantity; inertia_pitch: Quantity; inertia_yaw: Quantity; grams?: { where: string; at_m: Place; mass_kg: number; static_margin_change: number; odds_change: Quantity; top_speed_change: Quantity; interval?: Intervals }[] | null;
  weighing: { x_m: number; expected_kg: number; expected_low_kg: number | null; expected_high_kg: number | null }[]; parts: { name: string; kind: string; mass_kg: number; at_m: Place; left: boolean }[]; findings: Finding[]; cautions: string[];
}
export interface LinkageRow { servo_deg: number; pulse_us: number; edge_deg: number; edge_per_servo: number; angle_at_arm_deg: number; angle_at_horn_deg: number; lean_deg: number; interval?: Intervals }
export interface SetupBody {
  trim_speed: Quantity; trim_alpha: Quantity; trim_pitch: Quantity;
  controls: {
    name: string; surface: string; linkage: string; differential: number | null; throw_up_wanted_deg: number | null; throw_down_wanted_deg: number | null; neutral_wanted_deg: number | null;
    stops: { name: string; edge_deg: number; edge_m: number; servo_deg: number; pulse_us: number; status: string; within: boolean; interval?: Intervals }[];
    neutral_wanted: Quantity; throw_up_wanted: Quantity; throw_down_wanted: Quantity; midpoint: Quantity | null;
    sticks: { stick: string; right_deg: number; left_deg: number }[];
    linkage_detail: { pulse_centre_us: number; midpoint_us: number; table: LinkageRow[]; play_deg: number | null } | null;
  }[];
  trims: { speed_m_s: number; pitch_controls_deg: number; alpha_deg: number; status: string; interval?: Intervals }[]; findings: Finding[]; cautions: string[];
}
export interface StrengthBody {
  loads: Record<string, Quantity>; findings: Finding[]; cautions: string[];
  hinge: { control: string; speed_m_s: number; edge_deg: number; hinge_moment_nm: number; sigma_nm: number; servo_torque_nm: number; servo_stall_nm: number; share_of_stall: number; interval?: Intervals }[];
}
export interface FlyBody extends Record<string, unknown> {
  at_speed: { speed_m_s: number; drag_n: number; drag_due_to_lift_n: number; thrust_n: number; drag_low_n: number; drag_high_n: number; thrust_low_n: number; thrust_high_n: number; climb_m_s: number; current_a: number; endurance_s: number; sink_m_s: number; stall_bank_deg: number | null; turn_radius_m: number; status: string }[];
  load_factors?: { speed_m_s: number; stall_load: number | null; held_load: number | null; gust_up_load: number; gust_down_load: number }[] | null; load_factors_gust_m_s?: number;
  circuit?: { name: string; length_m: number; time_s: number; speed_m_s: number; bank_deg: number; radius_m: number | null; load_factor: number; throttle: number; current_a: number; energy_j: number; stall_margin: number; status: string }[] | null;
  power?: { name: string; speed_m_s: number; source_w: number; battery_w: number; wiring_w: number; controller_w: number; motor_w: number; propeller_w: number; thrust_w: number; efficiency: number }[] | null;
  changes?: Change[] | null; other_days?: Change[] | null;
  drag_at_m_s: number; drag: { name: string; drag_area_m2: number; buys_m_s: number; drag_n: number; why: string }[];
  drive_limits: { part: string; value: number; limit: number | null; unit: string; over: boolean }[];
  heat: { part: string; after_k: number; steady_k: number; limit_k: number; time_to_limit_s: number | null }[]; heat_after_s: number;
  findings: Finding[]; cautions: string[];
}
export interface Change { say: string; stall_speed_m_s: number; top_speed_m_s: number; climb_m_s: number; endurance_s: number; distance_m: number }
export interface LandBody {
  approach_speed: Quantity; touchdown_speed: Quantity; distance: Quantity; deceleration: Quantity; glide_ratio: Quantity; from_height_m: number; path_deg: number;
  approach_run_m: number; flare_run_m: number; slide_m: number; ways: { say: string; margin: number; headwind_m_s: number; approach_m_s: number; path_deg: number; touchdown_ground_m_s: number; distance_m: number; status: string }[];
  findings: Finding[]; cautions: string[];
}
export interface Linkages {
  hash: string;
  controls: {
    name: string; surface: string; status: string; guessed: boolean; shaft: Place; hinge: Place; chord: number; travel_deg: number; trim_deg: number;
    steps: { servo_deg: number; edge_deg: number; pulse_us: number; edge_per_servo: number; angle_at_arm_deg: number; angle_at_horn_deg: number; arm: Place; horn: Place }[];
    sticks: { axis: string; stick: number; right: LinkageAsk; left: LinkageAsk }[];
  }[];
}
export interface LinkageAsk { edge_deg: number; servo_deg: number | null; pulse_us: number | null }
export interface RadioBody {
  links: { name: string; use: string; safety: boolean; margin_worst: Quantity; where: string; where_m: Place | null; margin_circuit: Quantity; margin_approach: Quantity; ranges: { margin_db: number; free_space_m: number; over_ground_m: number; beyond: boolean; interval?: Intervals }[]; fades_m?: number[] | null; fades_interval_m?: [number | null, number | null][] | null; changes: { say: string; set: string; margin_db: number; gain_db: number; interval?: Intervals }[] | null; margin_along_db: (number | null)[] }[];
  path: { along_m: number; ahead_m: number; right_m: number; height_m: number; bank_deg: number; leg: string }[];
  signal_lost: { leg: string; margin_db: number; say: string; size_m: number; interval?: Intervals; ends_ahead_m: number; ends_right_m: number; after_s: number; behind_pilot: boolean }[] | null;
  findings: Finding[]; cautions: string[];
}
export interface LaunchBody {
  by: string; odds: Quantity; sampling: [number, number]; n: number; failures: Record<string, number>; failure_shares: Record<string, Quantity>;
  at_release: Record<string, Quantity>; nominal: { sentence: string }; typical_failure: { sentence: string } | null;
  settings: { path: string; label: string; value: number | string; unit: string }[]; findings: Finding[]; cautions: string[];
  best_settings?: { set: string[]; settings: { path: string; label: string; unit: string; now: number; value: number; low: number; high: number; interval?: Intervals }[]; odds: Quantity; odds_before: Quantity; verified: boolean } | null;
  map?: { x: MapAxis; y: MapAxis; odds: (number | null)[][]; odds_low?: (number | null)[][]; odds_high?: (number | null)[][]; n: number; all_else: string } | null;
  levers?: { path: string; label: string; step: number; unit: string; up: { odds_change: number; standard_error: number } | null; down: { odds_change: number; standard_error: number } | null; size: number; raises_the_odds: string }[] | null;
}
export interface MapAxis { path: string; label: string; unit: string; values: number[]; at: number }
export interface PolarBody { section: string; points: { re: number; alpha_deg: number; cl: number | null; cd: number | null; cm: number | null; status: string }[]; clmax: { re: number; clmax: number; alpha_deg: number; status: string }[]; thickness: number; camber: number }
export interface CompareBody { columns: ({ build: string; path: string; set: string[]; verdict: "go" | "hold" | "no-go"; because: string; failing: string[]; doubtful: string[] } & Record<string, Quantity>)[]; cautions: string[] }
