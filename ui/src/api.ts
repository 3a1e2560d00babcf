// Written by go run ./cmd/docs docs, from the structs of internal/web: do not edit.
// Numbers are SI (or degrees); null is a number that cannot be had. See docs/workshop-api.md.

/** A number, null when it is not a finite one. */
export type Num = number | null;
/** Places in build axes, m: [x, y] from above or [x, z] from the side, and [x aft, y right, z up]. */
export type Point2 = [number, number];
export type Point3 = [number, number, number];

export interface Excerpt {
  severity: string;
  code: string;
  file?: string;
  line?: number;
  column?: number;
  length?: number;
  message: string;
  hint?: string;
  excerpt?: string;
}

export interface ConflictPath {
  path: string;
  base: string;
  theirs: string;
  mine: string;
}

export interface Conflict {
  base: string;
  etag: string;
  text: string;
  paths: ConflictPath[];
}

export interface Refusal {
  schema: number;
  code: string;
  message: string;
  hint?: string;
  diagnostics?: Excerpt[];
  retry_after_s?: number;
  conflict?: Conflict;
}

export interface Option {
  key: string;
  kind: "text" | "number" | "flag" | "word" | "list" | "file" | "upload";
  say: string;
  words?: string[];
  example?: string;
}

export interface Verb {
  name: string;
  stage: "bench" | "field" | "debrief" | "hangar";
  question: number;
  title: string;
  say: string;
  needs: "build" | "builds" | "logs" | "section" | "logbook" | "nothing";
  plot: boolean;
  options: Option[];
}

export interface Limits {
  request_bytes: number;
  upload_bytes: number;
  sets: number;
  launches: number;
  jobs: number;
}

export interface Dim {
  name: string;
  example: string;
}

export interface Spread {
  dim: string;
  word: string;
  say: string;
}

export interface Stage {
  question: number;
  stage: string;
  ask: string;
}

export interface Hello {
  schema: number;
  paired: boolean;
  phone: boolean;
  version?: string;
  format?: number;
  serial?: string;
  hangar?: string;
  units?: string;
  verbs: Verb[];
  limits?: Limits;
  dims: Dim[];
  words: string[];
  spreads: Spread[];
  stages: Stage[];
}

export interface Pairing {
  code: string;
}

export interface HangarBuild {
  file: string;
  name: string;
  etag: string;
  bytes: number;
  modified: string;
  ok: boolean;
  problem?: string;
}

export interface HangarDay {
  file: string;
}

export interface Example {
  name: string;
  title: string;
  say: string;
}

export interface Hangar {
  schema: number;
  folder: string;
  builds: HangarBuild[];
  days: HangarDay[];
  parts: HangarDay[];
  examples: Example[];
  logbook: boolean;
  more: boolean;
}

export interface NameRequest {
  name: string;
}

export interface FileReply {
  schema: number;
  file: string;
}

export interface Question {
  key: string;
  ask: string;
  example: string;
  first: boolean;
  dim?: string;
  words?: string[];
  count?: boolean;
}

export interface Questions {
  schema: number;
  questions: Question[];
}

export interface NewRequest {
  answers: { [key: string]: string };
  file?: string;
}

export interface CopyRequest {
  to: string;
}

export interface KitAsk {
  key: string;
  tool: string;
  ask: string;
  how: string;
  example: string;
  taken_as: string;
  dim?: string;
  words?: string[];
  count?: boolean;
  core: boolean;
}

export interface KitSteps {
  schema: number;
  steps: KitAsk[];
}

export interface KitRequest {
  answers: { [key: string]: string };
  file?: string;
  look?: boolean;
}

export interface KitStep {
  key: string;
  tool: string;
  ask: string;
  how: string;
  taken_as: string;
  core: boolean;
}

export interface KitMade {
  schema: number;
  file: string;
  answers: number;
  open: KitStep[];
  notes: string[];
}

export interface Value {
  path: string;
  label: string;
  doc: string;
  block: string;
  kind: "quantity" | "range" | "text" | "count" | "flag" | "delay";
  state: "given" | "assumed" | "open";
  text: string;
  shown: string;
  dim?: string;
  example?: string;
  value?: Num;
  low?: Num;
  high?: Num;
  unit?: string;
  word?: string;
  doubt?: string;
  why?: string;
  how?: string;
  ref?: string;
  one_of?: string[];
  min?: Num;
  max?: Num;
  min_open?: boolean;
  max_open?: boolean;
  line?: number;
}

export interface ListItem {
  path: string;
  name: string;
}

export interface Key {
  key: string;
  doc: string;
  kind: "quantity" | "range" | "text" | "count" | "flag" | "delay";
  dim?: string;
  example?: string;
  one_of?: string[];
}

export interface List {
  path: string;
  doc: string;
  items: ListItem[];
  next: string;
  keys: Key[];
}

export interface History {
  undo: number;
  redo: number;
  undo_say?: string;
  redo_say?: string;
}

export interface Box {
  min: Point3;
  max: Point3;
}

export interface Side {
  plan: Point2[];
  side: Point2[];
}

export interface Station {
  path: string;
  at: Point3;
  chord: Num;
  twist_deg: Num;
  section: string;
  outline: Point2[];
}

export interface Control {
  name: string;
  path: string;
  moves: string[];
  sides: Side[];
}

export interface Surface {
  name: string;
  path: string;
  upright: boolean;
  sides: Side[];
  stations: Station[];
  controls: Control[];
}

export interface BodyStation {
  path: string;
  x: Num;
  z: Num;
  width: Num;
  height: Num;
}

export interface Body {
  plan: Point2[];
  side: Point2[];
  stations: BodyStation[];
}

export interface Move {
  axis: "x" | "y" | "z";
  path: string;
  low: Num;
  high: Num;
}

export interface Part {
  name: string;
  path: string;
  kind: string;
  twin: boolean;
  mass: Num;
  at: Point3;
  size: Point3;
  size_known: boolean;
  movable: boolean;
  min: Point3;
  max: Point3;
  moves: Move[];
}

export interface Extra {
  name: string;
  path: string;
  kind: string;
  at: Point3;
  size: Point3;
  count: number;
}

export interface Propeller {
  at: Point3;
  diameter: Num;
  place: string;
}

export interface Hook {
  at: Point3;
  rake_deg: Num;
  path: string;
  moves: Move[];
}

export interface Radio {
  name: string;
  at: Point3;
}

export interface Quantity {
  value: Num;
  low: Num;
  high: Num;
  unit: string;
  status?: string;
}

export interface Band {
  low: Num;
  high: Num;
  by: string;
}

export interface Balance {
  mass: Quantity;
  cg_x: Quantity;
  cg: [Num, Num, Num];
  neutral_point_x: Quantity;
  static_margin: Quantity;
  band: Band;
  maker_band?: Band;
  status: "pass" | "doubtful" | "fail" | "unknown" | "not-asked";
}

export interface Anchor {
  id: string;
  at: Point3;
  view: "plan" | "side";
}

export interface Drawing {
  schema: number;
  file: string;
  etag: string;
  hash: string;
  rough: boolean;
  name: string;
  datum: string;
  box: Box;
  span: Num;
  chord: Num;
  xle: Num;
  area: Num;
  surfaces: Surface[];
  body: Body | null;
  parts: Part[];
  extras: Extra[];
  propeller: Propeller | null;
  hook: Hook | null;
  radios: Radio[];
  balance: Balance | null;
  anchors: Anchor[];
}

export interface Build {
  schema: number;
  file: string;
  name: string;
  etag: string;
  hash: string;
  text: string;
  ok: boolean;
  diagnostics: Excerpt[];
  values: Value[];
  lists: List[];
  history: History;
  drawing: Drawing | null;
}

export interface PreviewRequest {
  sets: string[];
  units?: string;
  day?: string;
  metar?: string;
  untaught?: boolean;
}

export interface PreviewPart {
  name: string;
  twin: boolean;
  at: Point3;
}

export interface Preview {
  schema: number;
  hash: string;
  etag: string;
  rough: boolean;
  balance: Balance;
  parts: PreviewPart[];
  hook?: Point3;
  diagnostics: Excerpt[];
}

export interface FanRequest {
  sets: string[];
  from: number;
  n: number;
  seed?: number;
  units?: string;
  day?: string;
  metar?: string;
  untaught?: boolean;
}

export interface FanFailure {
  class: string;
  say: string;
  count: number;
}

export interface FanLaunch {
  i: number;
  ok: boolean;
  class: string;
  say: string;
  x: Num[];
  h: Num[];
  t_end: Num;
  release_speed: Num;
}

export interface FanStake {
  x: Num;
  h: Num;
}

export interface FanNote {
  path: string;
  say: string;
  grave: boolean;
}

export interface FanSetting {
  path: string;
  label: string;
  value: Num;
  low: Num;
  high: Num;
  dim: string;
  unit: string;
  scale: number;
  step: Num;
}

export interface Fan {
  schema: number;
  hash: string;
  seed: number;
  from: number;
  n: number;
  hits: number;
  odds: Num;
  by: string;
  failures: FanFailure[];
  launches: FanLaunch[];
  nominal?: FanLaunch;
  stake?: FanStake;
  notes: FanNote[];
  status?: string;
  limit: Num;
  settings: FanSetting[];
}

export interface LinkageStep {
  servo_deg: Num;
  edge_deg: Num;
  pulse_us: Num;
  edge_per_servo: Num;
  angle_at_arm_deg: Num;
  angle_at_horn_deg: Num;
  arm: Point3;
  horn: Point3;
}

export interface StickSide {
  edge_deg: Num;
  servo_deg: Num;
  pulse_us: Num;
}

export interface StickLinkage {
  axis: "pitch" | "roll" | "yaw";
  stick: Num;
  right: StickSide;
  left: StickSide;
}

export interface ControlLinkage {
  name: string;
  surface: string;
  status: string;
  guessed: boolean;
  shaft: Point3;
  hinge: Point3;
  chord: Num;
  travel_deg: Num;
  trim_deg: Num;
  steps: LinkageStep[];
  sticks: StickLinkage[];
}

export interface Linkages {
  schema: number;
  hash: string;
  controls: ControlLinkage[];
}

export interface EditRequest {
  base: string;
  sets: string[];
  say?: string;
  anyway?: boolean;
}

export interface TextRequest {
  base: string;
  text: string;
  say?: string;
  anyway?: boolean;
}

export interface BaseRequest {
  base: string;
}

export interface MergedPath {
  path: string;
  base: string;
  theirs: string;
}

export interface Edited {
  schema: number;
  file: string;
  etag: string;
  hash: string;
  ok: boolean;
  diagnostics: Excerpt[];
  history: History;
  merged: MergedPath[];
}

export interface JobRequest {
  verb: string;
  file?: string;
  files?: string[];
  sets?: string[];
  day?: string;
  metar?: string;
  seed?: number;
  units?: string;
  quick?: boolean;
  untaught?: boolean;
  options?: { [key: string]: unknown };
  uploads?: string[];
}

export interface PageTable {
  head: string[];
  rows: string[][];
  right: boolean[];
}

export interface PageBlock {
  para?: string;
  list?: string[];
  table?: PageTable;
}

export interface PageSection {
  title: string;
  blocks: PageBlock[];
}

export interface Page {
  headline: string;
  title: string;
  lead: string[];
  sections: PageSection[];
}

export interface Chart {
  name: string;
  title: string;
  svg: string;
  url: string;
}

export interface File {
  name: string;
  type: string;
  bytes: number;
  url: string;
}

export interface Answer {
  verb: string;
  rough: boolean;
  held: boolean;
  body: unknown;
  drawn: unknown;
  page: Page | null;
  plain: string;
  charts: Chart[];
  files: File[];
  notes: string;
}

export interface Job {
  schema: number;
  id: string;
  verb: string;
  file?: string;
  etag?: string;
  by?: string;
  state: "waiting" | "running" | "done" | "failed" | "cancelled";
  stage: string;
  done: number;
  total: number;
  seconds: number;
  rough: boolean;
  answer?: Answer;
  refusal?: Refusal;
}

export interface JobList {
  schema: number;
  jobs: Job[];
}

export interface Upload {
  schema: number;
  id: string;
  name: string;
  bytes: number;
  sha256: string;
}

export interface Limit {
  min: Num;
  max: Num;
}

export interface Remedy {
  set: string[];
  say: string;
  verified: boolean;
  value_after: Num;
  verdict_after: string;
  spoils: string[];
}

export interface Finding {
  id: string;
  stage: string;
  question: string;
  label: string;
  safety: boolean;
  status: string;
  value: Num;
  low: Num;
  high: Num;
  unit: string;
  limit: Limit;
  margin: Num;
  because: string;
  remedies: Remedy[];
  sources: string[];
  caution?: string;
}

export interface Measure {
  input: string;
  label: string;
  share: Num;
  how: string;
}

export interface Assumed {
  path: string;
  label: string;
  value: string;
  why: string;
  source: string;
}

export interface Taught {
  name: string;
  component: string;
  input: string;
  value: Num;
  sigma: Num;
  from: string;
  aeroplane: string;
  told: boolean;
}

export interface Record {
  flown: number;
  flew: number;
  physics: Quantity;
  with_record: Quantity;
  prior_a: Num;
  prior_b: Num;
  next_three: Num;
  chance_as_odd: Num;
  fits: boolean;
}

export interface Rest {
  room: string;
  answers: string;
  factor: string;
  level: number;
  because: string;
}

export interface Check {
  schema: number;
  build: string;
  hash: string;
  seed: number;
  verdict: string;
  because: string;
  findings: Finding[];
  measure_next: Measure[];
  cautions: string[];
  assumed: Assumed[];
  notes: string[];
  taught: Taught[];
  launch_record: Record | null;
  slowest_flight_by?: string;
  rests_on: Rest[];
}

export interface TryValue {
  status: string;
  value: Num;
  low: Num;
  high: Num;
  unit: string;
  shown: string;
}

export interface TryChange {
  id: string;
  label: string;
  before: TryValue;
  after: TryValue;
}

export interface Try {
  schema: number;
  sets: string[];
  before: Check;
  after: Check;
  changed: TryChange[];
}

export interface HelloEvent {
  schema: number;
  serial: string;
}

export interface BuildEvent {
  file: string;
  etag: string;
  ok: boolean;
  why: "disk" | "edit" | "undo" | "gone";
  by?: string;
}

export interface WarmEvent {
  file: string;
  etag: string;
}

export interface LogbookEvent {
  kind: string;
  by?: string;
}

export interface ColumnsRequest {
  upload: string;
}

export interface ColumnCells {
  index: number;
  name: string;
  samples: string[];
}

export interface Column {
  index: number;
  name: string;
  channel: string;
  unit?: string;
  factor: number;
  offset?: number;
  because: string;
}

export interface ColumnMap {
  delimiter: string;
  decimal_comma?: boolean;
  header_lines: number;
  time_form: string;
  columns: Column[];
  unused?: string[];
}

export interface ColumnUnitChoice {
  unit: string;
  factor: number;
}

export interface ColumnChannel {
  channel: string;
  units: ColumnUnitChoice[];
}

export interface Columns {
  schema: number;
  table: boolean;
  all: ColumnCells[];
  map: ColumnMap | null;
  kept: string;
  problem: string;
  channels: ColumnChannel[];
  time_forms: string[];
}

export interface Word {
  key: string;
  say: string;
  dim: string;
  example: string;
}

export interface Words {
  schema: number;
  readings: Word[];
  learn: Word[];
  outcomes: string[];
  signs: string[];
}

export interface KeepColumnsRequest {
  name: string;
  text: string;
}

export interface LogbookReply {
  schema: number;
  body: unknown;
  plain: string;
}

export interface EntryRequest {
  args: string[];
  sets?: string[];
  uploads?: string[];
  forecast?: boolean;
  card?: string;
  seed?: number;
}

export interface ArgsRequest {
  args: string[];
}

export interface WhyRequest {
  why: string;
}

export interface ImportRequest {
  upload: string;
  kind?: string;
}

export interface Term {
  term: string;
  also: string[];
  say: string;
  unit?: string;
  symbol?: string;
  sources: string[];
}

export interface Terms {
  schema: number;
  terms: Term[];
}
