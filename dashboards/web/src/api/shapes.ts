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

export interface Move {
  /** Null for the sheltered end, where the wind is not known. */
  vent?: string | null;
  bed?: string | null;
  notch?: Notch | null;
  litres?: Figure | null;
  from: string | null;
  until: string | null;
}

export interface RestsOn {
  spot: string;
  quantity: string;
  unit?: string;
  t: string | null;
  value: number | null;
}

export interface Advice {
  id: string | number;
  kind: "vent" | "water" | "cover" | "frost";
  say: string;
  because: string | string[] | null;
  verdict: string;
  /** Decided by season and hour, because readings are missing. */
  by_rule?: boolean;
  moves: Move[];
  expect?: { air_c?: Figure; rh_pct?: Figure } | null;
  rests_on?: RestsOn[];
  doubt?: string | string[] | null;
  cautions?: string[];
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

/** What has changed, never what it changed to. */
export interface Change {
  what: "now" | "hours" | "alerts" | "advice" | "boards" | "garden" | "all";
  structure?: string | null;
  from?: string | null;
  to?: string | null;
}
