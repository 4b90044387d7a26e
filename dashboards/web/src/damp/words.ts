// Damp in words: how wet leaves likely are, and the risk by crop group as a level, never as a number and never as an order about openings.
import type { Figure, Level, Now, RiskNow, WetNow } from "../api/shapes.ts";
import { capital, listed, spaced, whyUnknown } from "../words/figures.ts";

const NBSP = "\u00a0";
const WIDE_H = 3;
const WHOLE_DAY = 0.95;

const NOW: Record<WetNow["now"], string> = {
  wet: "Leaves are likely wet now",
  dry: "Leaves are likely dry now",
  frozen: "Leaves are likely frozen now",
  unknown: "Whether leaves are wet now is not known",
};

/** "Leaves are likely dry now; wet for 11 to 15 h of the last day. The humidity sensor decides which." */
export function wetWords({ now, hours_24: hours }: WetNow): string {
  const state = NOW[now] ?? NOW.unknown;
  if (!hours) return `${state}.`;
  if (hours.value == null) {
    if (state === NOW.unknown) return `Whether leaves are wet, now or in the last day, is not known: ${whyUnknown(hours)}.`;
    return `${state}; for how long they were wet in the last day is not known: ${whyUnknown(hours)}.`;
  }
  const [low, high] = bounds(hours);
  const long = high === 0 ? "not wet in the last day" : `likely wet for ${range(low, high)} of the last day`;
  const doubt = high - low >= WIDE_H ? " The humidity sensor decides which." : "";
  const known = hours.measured == null || hours.measured >= WHOLE_DAY ? "" : ` Only ${Math.round(24 * hours.measured)}${NBSP}h of it were measured.`;
  return `${state}; ${long}.${doubt}${known}`;
}

function bounds({ value, low, high }: Figure): [number, number] {
  const least = Math.round(low ?? value ?? 0);
  return [least, Math.max(least, Math.round(high ?? value ?? 0))];
}

function range(low: number, high: number): string {
  return low === high ? `about ${low}${NBSP}h` : `${low} to ${high}${NBSP}h`;
}

const LEVELS: Level[] = ["low", "some", "raised", "high"];

/** What goes with a level: what to do to the plants, in the program's own words. */
const TO_DO: Partial<Record<Level, string>> = {
  raised: "No water from above, and pick off old leaves.",
  high: "Thin, pick off old leaves, and look under what is left.",
};

export interface RiskLine {
  level: Level | "unknown";
  says: string;
  doubt: string | null;
}

export interface Damp {
  wet: string | null;
  lines: RiskLine[];
  doubt: string | null;
}

/** Damp in the program's own sentences, or in these where it tells figures only; null where it tells nothing of damp. */
export function dampOf({ wet, risk, damp_says: says }: Pick<Now, "wet" | "risk" | "damp_says">): Damp | null {
  const risks = risk ?? [];
  if (says) {
    // One sentence for each level that occurs, the highest first, and one for what is not known.
    const levels = ([...LEVELS].reverse() as RiskLine["level"][]).concat("unknown").filter((level) => risks.some((one) => levelOf(one) === level));
    const lines = says.risks.map((text, index) => ({ level: (levels.length === says.risks.length ? levels[index] : null) ?? "unknown", says: text, doubt: null }));
    return { wet: says.leaves, lines, doubt: says.doubt ?? null };
  }
  if (!wet && risks.length === 0) return null;
  return { wet: wet ? wetWords(wet) : null, lines: riskLines(risks), doubt: null };
}

/** The worst first; groups of one level and one doubt share a line. */
export function riskLines(risks: RiskNow[]): RiskLine[] {
  const lines: RiskLine[] = [];
  for (const level of ["high", "raised", "some", "low"] as const) {
    const alike = new Map<string, RiskNow[]>();
    for (const risk of risks.filter((one) => levelOf(one) === level)) {
      const key = `${doubtOf(risk)} ${risk.found_lately === true}`;
      alike.set(key, [...(alike.get(key) ?? []), risk]);
    }
    for (const group of alike.values()) lines.push(lineOf(level, group));
  }
  const unknown = risks.filter((risk) => levelOf(risk) === "unknown");
  if (unknown.length > 0) lines.push({ level: "unknown", says: `Risk not known for ${listed(unknown.map(groupOf))}: too little was measured in the last nights.`, doubt: null });
  return lines;
}

function levelOf(risk: RiskNow): Level | "unknown" {
  const known = risk.state !== "unknown" && LEVELS.find((level) => level === risk.level);
  return known || "unknown";
}

const HOW: Record<Exclude<Level, "low">, string> = { some: "some risk", raised: "raised risk", high: "high risk" };

function lineOf(level: Level, risks: RiskNow[]): RiskLine {
  const [first] = risks;
  const named = (risk: RiskNow): string => (risk.by ? `${groupOf(risk)} (${diseaseName(risk.by)})` : groupOf(risk));
  const found = first?.found_lately ? " Found here lately, so it counts one higher." : "";
  const toDo = TO_DO[level] ? ` ${TO_DO[level]}` : "";
  const doubt = first ? doubtOf(first) : null;
  if (level === "low") return { level, says: `Little risk for ${listed(risks.map(groupOf))}.${found}`, doubt };
  return { level, says: `${capital(HOW[level])}: ${listed(risks.map(named))}.${toDo}${found}`, doubt };
}

/** The doubt of a level: that it hangs on the humidity sensor, or that the last nights were not measured well. */
function doubtOf({ range: told, uncertain, state }: RiskNow): string | null {
  const [from, to] = told ?? [];
  const wide = from !== undefined && to !== undefined && from !== to;
  const doubts = [
    wide ? `${uncertain === false ? "Within the humidity sensor's error it is" : "It depends on the humidity sensor: anything"} from ${levelName(from)} to ${levelName(to)}.` : uncertain ? "It depends on the humidity sensor." : "",
    state === "stale" ? "The last night was not measured well enough, so this is the level of before." : "",
  ];
  return doubts.filter((one) => one !== "").join(" ") || null;
}

const levelName = (level: string): string => (level === "low" ? "little" : spaced(level));

const GROUPS: Record<string, string> = {
  brassica: "cabbage kinds", onion: "onions", tomato: "tomatoes", cucurbit: "cucumbers and squashes", "pea-bean": "peas and beans", seedling: "seedlings",
};

const groupOf = ({ group }: RiskNow): string => GROUPS[group] ?? spaced(group);

const DISEASES: Record<string, string> = {
  "lettuce-downy-mildew": "downy mildew",
  "spinach-downy-mildew": "downy mildew",
  "spinach-white-rust": "white rust",
  "brassica-downy-mildew": "downy mildew",
  "white-blister": "white blister",
  "dark-leaf-spot": "dark leaf spot",
  "onion-downy-mildew": "downy mildew",
  "onion-leaf-blight": "leaf blight",
  "grey-mould": "grey mould",
  "late-blight": "blight",
  "cucurbit-downy-mildew": "downy mildew",
  "bean-rust": "rust",
};

/** A disease's plain name; its crop is named beside it. */
function diseaseName(id: string): string {
  return DISEASES[id] ?? spaced(id);
}
