// What is said first: the most urgent of a structure's advice, and the most urgent structure.
import type { Advice, AdviceKind, Structure } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import { capital, listed } from "../words/figures.ts";
import { bedName } from "../words/names.ts";

/** How loud an advice is: harm that cannot wait, something to do, something to know, nothing to do. */
export type Rank = 0 | 1 | 2 | 3;

const WARNING: Rank = 0;
const TO_DO: Rank = 1;
const TO_KNOW: Rank = 2;
const QUIET: Rank = 3;

/** Rules that guard against harm that cannot wait, as the answers name them. */
const HARM = ["gale", "frozen", "heat", "cold"];
const FIRST = ["gale", "frozen", "heat"];
const NO_WATER_NEEDED = ["damp", "raining"];

/** How loud an advice is at an instant. */
export function rankOf(advice: Advice, now: number): Rank {
  const rank = whileItHolds(advice, now);
  // What has run out may be wrong by now: it is still said, but calls nobody out.
  return hasRunOut(advice, now) && rank < TO_KNOW ? TO_KNOW : rank;
}

function whileItHolds(advice: Advice, now: number): Rank {
  const { kind, verdict } = advice;
  const rule = advice.rule ?? "";
  if (kind === "frost" && asksWarmth(advice)) return WARNING;
  if (kind === "frost") return verdict === "none" || verdict === "early" ? QUIET : TO_KNOW;
  if (kind === "vent" && (HARM.includes(rule) || advice.fasten_by)) return WARNING;
  if (kind === "cover" && [...HARM, "frost"].includes(rule)) return WARNING;
  if (kind === "cover" && rule === "leave" && !hasMoveAhead(advice, now)) return QUIET;
  if (kind === "water" && (verdict === "wait" || (verdict === "leave" && NO_WATER_NEEDED.includes(rule)))) return QUIET;
  return hasMoveAhead(advice, now) || (kind === "water" && verdict !== "leave") ? TO_DO : TO_KNOW;
}

/** A frost that is warned of, measured or only heard of. */
function asksWarmth({ verdict, aim }: Advice): boolean {
  return verdict === "frost" || verdict === "chill" || aim === "keep_warmth";
}

export function hasRunOut(advice: Advice, now: number): boolean {
  const until = instant(advice.until);
  return until !== null && until <= now;
}

function hasMoveAhead({ moves, kind }: Advice, now: number): boolean {
  return (moves ?? []).some((move) => {
    const [from, until] = [instant(move.from), instant(move.until)];
    const over = until !== null && until <= now;
    // An opening that has stood shut for hours is nothing to do.
    const standsShut = kind === "vent" && move.notch === "closed" && (from === null || from <= now);
    return !over && !standsShut;
  });
}

const KINDS: AdviceKind[] = ["frost", "vent", "cover", "water"];
/** Where nothing warns, a frost not known of comes after what there is to do by day. */
const NO_WARNING: AdviceKind[] = ["vent", "cover", "frost", "water"];

export interface Ordered {
  /** Said openly, the most urgent first. */
  said: Advice[];
  /** Nothing to do: folded under one line. */
  folded: Advice[];
}

/** A structure's advice in the order it is said in. What stands alone with nothing to do is still said, except that water can wait. */
export function ordered(advice: Advice[], now: number): Ordered {
  const place = (one: Advice): number => {
    // Gale, frozen leaves and heat stand before all else in the order of safety.
    if (rankOf(one, now) === WARNING) return one.kind === "vent" && (FIRST.includes(one.rule ?? "") || one.fasten_by) ? -1 : KINDS.indexOf(one.kind);
    return (hasRunOut(one, now) ? 20 : 10) + NO_WARNING.indexOf(one.kind);
  };
  const sorted = [...advice].sort((a, b) => place(a) - place(b));
  const said = sorted.filter((one) => rankOf(one, now) !== QUIET);
  const folded = sorted.filter((one) => rankOf(one, now) === QUIET);
  const [alone] = folded;
  if (said.length === 0 && alone && (alone.kind !== "water" || folded.length === 1)) return { said: [alone], folded: folded.slice(1) };
  return { said, folded };
}

/** What is folded, in one line: "No frost expected tonight; water can wait in the salad bed and the chard bed". */
export function foldedWords(folded: Advice[], structure?: Structure): string {
  const frost = folded.find((one) => one.kind === "frost");
  const water = folded.filter((one) => one.kind === "water");
  const parts: string[] = [];
  if (frost) parts.push(frost.verdict === "early" ? "too early to tell tonight's frost" : "no frost to guard against tonight");
  if (folded.some((one) => one.kind === "cover")) parts.push("the covers can lie as they are");
  if (water.length > 0) parts.push(`water can wait${places(water, structure)}`);
  return capital(parts.join("; "));
}

const NAMED_AT_MOST = 3;

function places(water: Advice[], structure?: Structure): string {
  const beds = water.flatMap((one) => (one.about ? [bedName(structure, one.about)] : []));
  if (beds.length < water.length || beds.length === 0) return "";
  return beds.length > NAMED_AT_MOST ? ` in ${beds.length} beds` : `: ${listed(beds)}`;
}

/** Structures with the most urgent first; the outside, which the covers are compared with, comes last. Otherwise they stay as one walks. */
export function structuresByUrgency(structures: Structure[], adviceOf: (slug: string) => Advice[], now: number): Structure[] {
  const loudest = (one: Structure): number => (one.outside ? QUIET + 1 : Math.min(QUIET, ...adviceOf(one.slug).map((advice) => rankOf(advice, now))));
  // Only harm changes the order one walks in: a page that reshuffles at every move cannot be learned.
  const place = (one: Structure): number => (loudest(one) > WARNING && !one.outside ? TO_DO : loudest(one));
  return structures.map((one) => ({ one, at: place(one) })).sort((a, b) => a.at - b.at).map(({ one }) => one);
}
