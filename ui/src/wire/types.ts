// The contract with the server (docs/workshop-api.md) as the page uses it.
// SI everywhere; positions [x aft, y right, z up] from the datum, metres.

export type Status = "pass" | "doubtful" | "fail" | "unknown" | "not-asked";
export type Word = "go" | "hold" | "no-go";
export type Point = [number, number];
export type Place = [number, number, number];

export interface Quantity { value: number | null; low: number | null; high: number | null; unit: string; status?: string }
/** 90 % intervals of a row's numbers, by key; an end that is null is open. */
export type Intervals = Record<string, [number | null, number | null]>;

export interface Diagnostic {
  severity: string; code: string; file?: string; line?: number; column?: number;
  message: string; hint?: string; excerpt?: string;
}
export interface Conflict { base: string; etag: string; text: string; paths: { path: string; base: string; theirs: string; mine: string }[] }
export interface RefusalBody {
  schema: number; code: string; message: string; hint?: string;
  diagnostics?: Diagnostic[]; retry_after_s?: number; conflict?: Conflict;
}

export interface Option { key: string; kind: "text" | "number" | "flag" | "word" | "list" | "file" | "upload"; say: string; words?: string[]; example?: string }
export interface Verb {
  name: string; stage: "bench" | "field" | "debrief" | "hangar"; question: number; title: string; say: string;
  needs: "build" | "builds" | "logs" | "section" | "logbook" | "nothing"; plot: boolean; options: Option[] | null;
}
export interface Hello {
  schema: number; version: string; format: number; hangar: string; paired: boolean; phone: boolean; units: string;
  verbs: Verb[]; dims: { name: string; example: string }[]; words: string[];
}
export interface HangarBuild { file: string; name: string; etag: string; bytes: number; modified: string; ok: boolean; problem?: string }
export interface Hangar {
  schema: number; folder: string; builds: HangarBuild[]; days: { file: string }[]; parts?: { file: string }[];
  examples: { name: string; title: string; say: string }[]; logbook: boolean;
}
export interface Question { key: string; ask: string; example: string; first: boolean; dim?: string; words?: string[]; count?: boolean }

export interface ValueView {
  path: string; label: string; doc: string; block: string;
  kind: "quantity" | "range" | "text" | "count" | "flag" | "delay"; state: "given" | "assumed" | "open";
  text: string; shown: string; dim?: string; example?: string; value?: number; low?: number; high?: number; unit?: string;
  word?: string; doubt?: string; why?: string; how?: string; ref?: string; one_of?: string[];
  min?: number; max?: number; min_open?: boolean; max_open?: boolean; line?: number;
}
export interface ListView { path: string; doc: string; items: { path: string; name: string }[]; next: string; keys?: { key: string; doc: string; kind: string; dim?: string; example?: string; one_of?: string[] }[] }
export interface History { undo: number; redo: number; undo_say?: string; redo_say?: string }
export interface BuildView {
  schema: number; file: string; name: string; etag: string; hash: string; text: string; ok: boolean;
  diagnostics: Diagnostic[] | null; values: ValueView[]; lists: ListView[]; history: History;
  /** Without its balance: that follows. */
  drawing: Drawing | null;
}

export interface Balance {
  mass: Quantity; cg_x: Quantity; neutral_point_x: Quantity; static_margin: Quantity; cg: Place;
  band: { low: number; high: number; by: string } | null; maker_band?: { low: number; high: number } | null; status: Status;
}
export interface Side { plan: Point[]; side: Point[] }
export interface DrawnPart {
  name: string; path: string; kind: string; twin: boolean; mass: number; at: Place; size: Place; size_known: boolean;
  movable: boolean; min: Place; max: Place; moves: { axis: "x" | "y" | "z"; path: string; low: number; high: number }[] | null;
}
export interface Hook { at: Place; rake_deg: number; path: string; moves: { axis: "x" | "y" | "z"; path: string; low: number; high: number }[] | null }
export interface Drawing {
  schema: number; rough?: boolean; file: string; etag: string; hash: string; name: string; datum: string; box: { min: Place; max: Place };
  span: number; chord: number; xle: number; area: number;
  surfaces: {
    name: string; path: string; upright: boolean; sides: Side[];
    stations: { path: string; at: Place; chord: number; twist_deg: number; section: string; outline?: Point[] }[];
    controls: { name: string; path: string; moves: string[]; sides: Side[] }[];
  }[];
  body: { plan: Point[]; side: Point[]; stations: { path: string; x: number; z: number; width: number; height: number }[] } | null;
  parts: DrawnPart[];
  extras: { name: string; path: string; kind: string; at: Place; size: Place; count: number }[] | null;
  propeller: { at: Place; diameter: number; place: string } | null;
  hook: Hook | null;
  radios: { name: string; at: Place }[] | null;
  balance: Balance | null;
  anchors: { id: string; at: Place; view: "plan" | "side" }[];
}
export interface Preview {
  schema: number; balance: Balance; parts: { name: string; twin: boolean; at: Place }[];
  hook?: Place; diagnostics: Diagnostic[] | null;
}
export interface FanLaunch { i: number; ok: boolean; class: string; say: string; x: number[]; h: number[]; t_end: number; release_speed: number | null }
export interface FanSetting { path: string; label: string; value: number; low: number; high: number; dim: string; unit: string; scale: number; step: number }
export interface Fan {
  schema: number; hash: string; seed: number; from: number; n: number; hits: number; odds: number | null; by: string;
  failures: { class: string; say: string; count: number }[]; launches: FanLaunch[]; nominal?: FanLaunch | null;
  stake?: { x: number; h: number } | null; notes: { path: string; say: string; grave: boolean }[]; status?: string;
  limit: number | null; settings: FanSetting[];
}
export interface Edited {
  schema: number; file: string; etag: string; hash: string; ok: boolean; diagnostics: Diagnostic[] | null;
  history: History; merged: { path: string; base: string; theirs: string }[] | null;
}

export interface Table { head: string[]; rows: string[][]; right: boolean[] | null }
export interface Block { para?: string; list?: string[]; table?: Table }
export interface Page { headline: string; title: string; lead: string[] | null; sections: { title: string; blocks: Block[] }[] | null }
export interface Answer<B = unknown> {
  verb: string; rough: boolean; held: boolean; body: B; drawn?: unknown; page: Page | null; plain: string;
  charts: { name: string; title: string; svg: string; url?: string }[] | null; files: { name: string; type: string; bytes?: number; url: string }[] | null; notes: string;
}
export type JobState = "waiting" | "running" | "done" | "failed" | "cancelled";
export interface Job<B = unknown> {
  schema: number; id: string; verb: string; file?: string; etag?: string; by?: string; state: JobState; stage: string;
  done: number; total: number; seconds: number; answer?: Answer<B>; refusal?: RefusalBody; rough?: boolean;
}
export interface JobAsk {
  verb: string; file?: string; files?: string[]; sets?: string[]; day?: string; metar?: string; seed?: number; untaught?: boolean;
  units?: string; quick?: boolean; options?: Record<string, unknown>; uploads?: string[];
}

export interface Remedy { set: string[]; say: string; verified: boolean; value_after: number | null; verdict_after?: string; spoils?: string[] }
export interface Finding extends Quantity {
  id: string; stage: string; question: string; label: string; safety: boolean; status: Status & string;
  limit: { min: number | null; max: number | null }; margin: number | null; because: string;
  remedies: Remedy[]; sources: string[]; caution?: string;
}
export interface CheckBody {
  schema: number; build: string; hash: string; seed: number; verdict: Word; because: string; findings: Finding[];
  measure_next: { input: string; label: string; share: number; how: string }[]; cautions: string[];
  assumed: { path: string; label: string; value: string; why: string; source: string }[]; notes: string[] | null;
}
export interface TryBody {
  schema: number; before: CheckBody; after: CheckBody;
  changed: { id: string; label: string; before: Quantity & { status: Status }; after: Quantity & { status: Status } }[];
}
export interface Term { term: string; also?: string[] | null; say: string; unit?: string; symbol?: string; sources?: string[] | null }
