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

export interface Bed {
  slug: string;
  name: string;
}

/** How a cover lies. */
export type Lie = "on" | "folded" | "off";

export interface Cover {
  slug: string;
  name: string;
  /** The bed it lies over; null where it covers the whole structure. */
  bed: string | null;
  /** The grower's own words for how it lies, where they have any. */
  positions: { position: Lie; words: string }[];
}

export interface Structure {
  slug: string;
  name: string;
  kind: StructureKind;
  vents: Vent[];
  beds: Bed[];
  covers: Cover[];
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
  wet?: { now: "wet" | "dry" | "frozen" | "unknown" } | null;
  /** How wet leaves likely are and what it means, in the program's own sentences. */
  damp_says?: DampSays | null;
}

export type Level = "low" | "some" | "raised" | "high";

export interface DampSays {
  leaves: string;
  /** By level, the highest first; `level` is null where it is not known. */
  risks: { level: Level | null; says: string }[];
  doubt?: string | null;
}

/** When leaves were wet, stretch after stretch. */
export interface Wet {
  leaves: { from: string; to: string; leaves: "likely" | "possible" | "dry" | "frozen" | "unknown" }[];
  /** The same in a sentence. */
  says?: string | null;
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
  position?: Lie | null;
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
  /** What it is for: `keep_warmth` of a frost warned of or heard of. */
  aim?: string | null;
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
  /** A gale is heard for the night: shut and fasten everything by then. */
  fasten_by?: string | null;
  made_at: string;
  until: string | null;
  /** What people said became of it; null while nobody has. */
  answered?: Kept | null;
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
  what: "now" | "hours" | "alerts" | "advice" | "events" | "observations" | "boards" | "garden" | "all";
  structure?: string | null;
  from?: string | null;
  to?: string | null;
}
