// The vent plan of a day: which opening stands at which notch, from when until when.
import type { Advice, Notch, Structure, Vent } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import { fromUntil } from "../words/times.ts";
import { capital, listed } from "../words/figures.ts";

export interface PlannedSpan {
  from: number;
  to: number;
  notch: Notch;
}

/** Openings that are planned alike, in one row. */
export interface PlanRow {
  vents: Vent[];
  spans: PlannedSpan[];
}

/** How far open each notch is, 0 to 1. */
export const OPEN: Record<Notch, number> = { closed: 0, crack: 1 / 3, half: 2 / 3, full: 1 };

const FAR = 8.64e15;

/** Rows of the plan for the openings: those with the same moves share one. A move that names no opening is for the sheltered end. */
export function planRows(structure: Structure, all: Advice[]): PlanRow[] {
  const advice = all.filter((one) => one.kind === "vent");
  const rows: PlanRow[] = [];
  for (const vent of structure.vents) {
    const spans = advice.flatMap((one) => spansOf(one, vent.id)).sort((a, b) => a.from - b.from);
    if (spans.length === 0) continue;
    const alike = rows.find((row) => row.vents[0]?.kind === vent.kind && sameSpans(row.spans, spans));
    if (alike) alike.vents.push(vent);
    else rows.push({ vents: [vent], spans });
  }
  const sheltered = advice.flatMap((one) => spansOf(one, null)).sort((a, b) => a.from - b.from);
  return sheltered.length > 0 ? [...rows, { vents: [], spans: sheltered }] : rows;
}

/** What one advice plans for an opening: its moves, and shut after each until the advice ends or the next move begins. */
function spansOf(advice: Advice, vent: string | null): PlannedSpan[] {
  const end = instant(advice.until);
  const told = advice.moves ?? [];
  if (advice.verdict === "shut" && told.length === 0 && vent !== null) {
    return [{ from: instant(advice.made_at) ?? -FAR, to: end ?? FAR, notch: "closed" }];
  }
  const moves = told
    .filter((move) => move.notch && !move.bed && (move.vent ?? null) === vent)
    .map((move) => ({ from: instant(move.from) ?? -FAR, to: instant(move.until) ?? FAR, notch: move.notch as Notch }))
    .sort((a, b) => a.from - b.from);
  return moves.flatMap((move, index) => {
    const next = moves[index + 1]?.from ?? end ?? move.to;
    return next > move.to ? [move, { from: move.to, to: next, notch: "closed" as const }] : [move];
  });
}

function sameSpans(a: PlannedSpan[], b: PlannedSpan[]): boolean {
  return a.length === b.length && a.every((span, i) => span.from === b[i]?.from && span.to === b[i]?.to && span.notch === b[i]?.notch);
}

/** The row that plans an opening. */
export function rowOf(rows: PlanRow[], vent: string): PlanRow | null {
  return rows.find((row) => row.vents.some((one) => one.id === vent)) ?? null;
}

/** The notch a row is advised to stand at, or null where the plan says nothing about that instant. */
export function notchAt(row: PlanRow | null, at: number): Notch | null {
  return row?.spans.find((span) => at >= span.from && at < span.to)?.notch ?? null;
}

/** The next span after an instant whose notch differs from the one that stands then. */
export function nextMove(row: PlanRow | null, at: number): PlannedSpan | null {
  const stands = notchAt(row, at) ?? "closed";
  return row?.spans.find((span) => span.from > at && span.notch !== stands) ?? null;
}

const PLURALS: Record<Vent["kind"], string> = { door: "doors", side: "sides", lid: "lids", roof: "roof vents" };

/** "both doors", "west door", "lid"; "the sheltered end" where the plan names none. */
export function ventsNamed(vents: Vent[], all: Vent[]): string {
  if (vents.length === 0) return "the sheltered end";
  const kind = vents[0]?.kind;
  const ofKind = all.filter((vent) => vent.kind === kind);
  if (kind && vents.length > 1 && vents.length === ofKind.length) return `${vents.length === 2 ? "both" : "all"} ${PLURALS[kind]}`;
  return listed(vents.map((vent) => vent.name));
}

const NOTCHES: Record<Notch, string> = { closed: "closed", crack: "a crack", half: "half open", full: "fully open" };

/** A notch in the opening's own words ("a hand's width"), or in plain ones. */
export function notchWords(vent: Vent | undefined, notch: Notch): string {
  return vent?.positions.find((position) => position.notch === notch)?.words ?? NOTCHES[notch];
}

/** One line of the plan: "Both doors: a crack, 10:30 to 14:30". */
export function moveLine(row: PlanRow, span: PlannedSpan, all: Vent[], now: number, zone: string): string {
  const who = ventsNamed(row.vents, all);
  const from = span.from <= -FAR ? null : span.from;
  const until = span.to >= FAR ? null : span.to;
  return capital(`${who}: ${notchWords(row.vents[0], span.notch)}, ${fromUntil(from, until, now, zone)}`);
}
