// The answers of the server, as far as Today reads them. Times are RFC 3339 with Z.

/** A derived figure with its doubt; `measured` is the share, 0 to 1, of its period that was measured. */
export interface Figure {
  value: number | null;
  low?: number | null;
  high?: number | null;
  measured?: number | null;
  unknown?: string | null;
}

export type StructureKind = "tunnel" | "low_tunnel" | "cold_frame" | "fleece" | "outdoors";
export type Notch = "closed" | "crack" | "half" | "full";

export interface Position {
  notch: Notch;
  words: string;
}

export interface Vent {
  id: string;
  name: string;
  faces: string | null;
  kind: "door" | "side" | "lid" | "roof";
  positions: Position[];
}

export interface Structure {
  slug: string;
  name: string;
  kind: StructureKind;
  vents: Vent[];
  outside: boolean;
}

export interface Garden {
  name: string;
  zone: string;
  lat: number;
  lon: number;
}

export interface Structures {
  at: string;
  garden: Garden;
  structures: Structure[];
}

export type ReadingState = "fresh" | "stale" | "silent" | "unknown";

export interface Reading {
  quantity: string;
  unit: string;
  value: number | null;
  t: string | null;
  age_s: number | null;
  state: ReadingState;
  marks?: string[];
}

export interface Spot {
  spot: string;
  role: string;
  device: string | null;
  readings: Reading[];
}

export interface Now {
  structure: string;
  at: string;
  zone: string;
  outside_spot: string | null;
  spots: Spot[];
  derived: { dew_point_c?: Figure; vpd_kpa?: Figure; absolute_humidity_g_m3?: Figure };
  today?: { date: string; min_c?: Figure; max_c?: Figure } | null;
  wet?: WetNow | null;
  risk?: RiskNow[] | null;
  /** Both in the program's own sentences. */
  damp_says?: { leaves: string; risks: string[]; doubt?: string | null } | null;
}

export interface WetNow {
  now: "wet" | "dry" | "frozen" | "unknown";
  /** Hours of the last 24 in which leaves were likely wet, at the wettest spot. */
  hours_24?: Figure | null;
}

export type Level = "low" | "some" | "raised" | "high";

/** Risk of a crop group after the last noon-day that is over. */
export interface RiskNow {
  group: string;
  /** Null or "unknown" where it is not known. */
  level: Level | "unknown" | null;
  /** The disease that drives it. */
  by?: string | null;
  /** The levels that a humidity lower and higher by the sensor's error would give. */
  range?: [string, string] | null;
  /** "stale" where the last nights could not be judged and the level is that of before. */
  state?: "fresh" | "stale" | "unknown";
  uncertain?: boolean;
  found_lately?: boolean;
}

export interface Series {
  spot: string;
  cadence_s: number | null;
  t0: string | null;
  n: number[];
  min: (number | null)[];
  mean: (number | null)[];
  max: (number | null)[];
}

export interface Readings {
  quantity: string;
  unit: string;
  from: string;
  to: string;
  step_s: number;
  series: Series[];
  gaps: [string, string][];
}

export interface Day {
  date: string;
  hours: number;
  measured: number;
  complete: boolean;
  min_c?: Figure;
  max_c?: Figure;
  mean_c?: Figure;
}

export interface Days {
  zone: string;
  kind: string;
  days: Day[];
}

export type AdviceKind = "vent" | "water" | "cover" | "frost";

/** One thing to do: an opening to a notch, a cover laid or lifted, or a bed watered. */
export interface Move {
  /** Null for the sheltered end, where the wind is not known. */
  vent?: string | null;
  notch?: Notch | null;
  cover?: string | null;
  /** on, folded, off, double, shade. */
  position?: string | null;
  bed?: string | null;
  litres?: Figure | number | null;
  cans?: number | null;
  minutes?: number | null;
  /** Whether a finger has the last word. */
  only_if_dry?: boolean;
  from: string | null;
  until: string | null;
}

export interface RestsOn {
  spot: string;
  quantity: string;
  unit?: string | null;
  t: string | null;
  value: number | null;
}

export interface Advice {
  id: string | number;
  kind: AdviceKind;
  /** Slug of the bed that water is advised for. */
  about?: string | null;
  say: string;
  because: string | string[] | null;
  verdict: string;
  rule?: string | null;
  /** Decided by season and hour, because readings are missing. */
  by_rule?: boolean;
  moves?: Move[] | null;
  expect?: { air_c?: Figure | null; rh_pct?: Figure | null; low_c?: Figure | null } | null;
  rests_on?: RestsOn[] | null;
  doubt?: string | string[] | null;
  cautions?: string[] | null;
  /** Short lines beside it: picking, looking, sowing. */
  also?: string[] | null;
  /** What more moves would gain. */
  further?: string | null;
  made_at: string;
  until: string | null;
}

export interface AdviceAnswer {
  at: string;
  advice: Advice[];
}

export interface Sun {
  date: string;
  sunrise: string | null;
  sunset: string | null;
  civil_dawn: string | null;
  civil_dusk: string | null;
}

export interface Health {
  status: "green" | "amber" | "red";
  at?: string;
  says?: string[];
  build_progress?: { done: number; total: number; what: string } | null;
}

/** Whence a number comes: how sure its source is, and the source itself. */
interface Origin {
  value: number;
  unit?: string | null;
  mark: string;
  source: string;
}

export interface Constant extends Origin {
  name: string;
  lowest?: number | null;
  highest?: number | null;
}

export interface Cell extends Origin {
  table: string;
  row: string;
  column: string;
}

export interface Sources {
  version: number;
  fingerprint: string;
  constants: Constant[];
  tables?: Cell[] | null;
}

/** A thing done or seen, as it was kept. */
export interface Kept {
  id: number;
  /** It in a sentence, without a full stop. */
  say: string;
  undone_at?: string | null;
}

/** What has changed, never what it changed to. */
export interface Change {
  what: "now" | "hours" | "alerts" | "advice" | "boards" | "garden" | "all";
  structure?: string | null;
  from?: string | null;
  to?: string | null;
}
