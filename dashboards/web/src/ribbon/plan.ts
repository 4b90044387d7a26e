// The vent plan of a day: which opening stands at which notch, from when until when.
import type { Advice, Notch, Structure, Vent } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import { fromUntil } from "../words/times.ts";
import { listed } from "../words/figures.ts";

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

/** Rows of a plan: openings with the same moves share one. */
export function planRows(structure: Structure, advice: Advice[]): PlanRow[] {
  const rows: PlanRow[] = [];
  for (const vent of structure.vents) {
    const spans = spansOf(vent, advice);
    if (spans.length === 0) continue;
    const alike = rows.find((row) => row.vents[0]?.kind === vent.kind && sameSpans(row.spans, spans));
    if (alike) alike.vents.push(vent);
    else rows.push({ vents: [vent], spans });
  }
  return rows;
}

function spansOf(vent: Vent, advice: Advice[]): PlannedSpan[] {
  return advice
    .flatMap((one) => one.moves)
    .filter((move) => move.vent === vent.id && move.notch)
    .map((move) => ({ from: instant(move.from) ?? -FAR, to: instant(move.until) ?? FAR, notch: move.notch as Notch }))
    .sort((a, b) => a.from - b.from);
}

function sameSpans(a: PlannedSpan[], b: PlannedSpan[]): boolean {
  return a.length === b.length && a.every((span, i) => span.from === b[i]?.from && span.to === b[i]?.to && span.notch === b[i]?.notch);
}

/** The notch a vent is advised to stand at, or null where the plan says nothing about that instant. */
export function notchAt(rows: PlanRow[], vent: string, at: number): Notch | null {
  const row = rows.find((r) => r.vents.some((v) => v.id === vent));
  return row?.spans.find((span) => at >= span.from && at < span.to)?.notch ?? null;
}

/** The next span after an instant whose notch differs from the one that stands then. */
export function nextMove(rows: PlanRow[], vent: string, at: number): PlannedSpan | null {
  const row = rows.find((r) => r.vents.some((v) => v.id === vent));
  const stands = notchAt(rows, vent, at) ?? "closed";
  return row?.spans.find((span) => span.from > at && span.notch !== stands) ?? null;
}

const PLURALS: Record<Vent["kind"], string> = { door: "doors", side: "sides", lid: "lids", roof: "roof vents" };

/** "both doors", "west door", "the lid". */
export function ventsNamed(vents: Vent[], all: Vent[]): string {
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
  const text = `${who}: ${notchWords(row.vents[0], span.notch)}, ${fromUntil(from, until, now, zone)}`;
  return text.charAt(0).toUpperCase() + text.slice(1);
}
