// The covers of a day: which lies how, from when until when, as advised.
import type { Advice, Lie, Structure } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import { capital, listed } from "../words/figures.ts";
import { coverName } from "../words/names.ts";
import { fromUntil } from "../words/times.ts";

export interface LaidSpan {
  from: number;
  to: number;
  lie: Lie;
}

/** Covers that are advised alike, in one row. */
export interface CoverRow {
  covers: string[];
  spans: LaidSpan[];
}

const FAR = 8.64e15;

/** Rows of what is advised for the covers: a cover stays as it was laid until the move's end or its next move. */
export function coverRows(all: Advice[]): CoverRow[] {
  const rows: CoverRow[] = [];
  const moves = all.filter((one) => one.kind === "cover").flatMap((one) => one.moves ?? []);
  for (const cover of new Set(moves.flatMap((move) => (move.cover ? [move.cover] : [])))) {
    const spans = moves
      .filter((move) => move.cover === cover && move.position)
      .map((move) => ({ from: instant(move.from) ?? -FAR, to: instant(move.until) ?? FAR, lie: move.position as Lie }))
      .sort((a, b) => a.from - b.from)
      .map((span, index, sorted) => ({ ...span, to: Math.max(span.from, Math.min(span.to, sorted[index + 1]?.from ?? FAR)) }));
    const alike = rows.find((row) => JSON.stringify(row.spans) === JSON.stringify(spans));
    if (alike) alike.covers.push(cover);
    else rows.push({ covers: [cover], spans });
  }
  return rows;
}

/** How a row is advised to lie, or null where nothing is said about that instant. */
export function lieAt(row: CoverRow, at: number): Lie | null {
  return row.spans.find((span) => at >= span.from && at < span.to)?.lie ?? null;
}

export function coversNamed(row: CoverRow, structure: Structure): string {
  return listed(row.covers.map((slug) => coverName(structure, slug)));
}

const LIES: Record<Lie, string> = { on: "laid", folded: "folded back", off: "taken off" };

/** How covers lie, in the grower's own words ("folded back to the path"), or in plain ones. */
export function lieWords(structure: Structure, covers: string[], lie: Lie): string {
  const own = structure.covers?.find((cover) => cover.slug === covers[0])?.positions.find((one) => one.position === lie)?.words;
  return (covers.length === 1 && own) || LIES[lie];
}

/** One line of the plan: "Path fleece: laid, from 16:00". */
export function coverLine(row: CoverRow, span: LaidSpan, structure: Structure, now: number, zone: string): string {
  const times = fromUntil(span.from <= -FAR ? null : span.from, span.to >= FAR ? null : span.to, now, zone);
  return capital(`${coversNamed(row, structure)}: ${lieWords(structure, row.covers, span.lie)}, ${times}`);
}
