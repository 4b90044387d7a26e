// The band under the ribbon: what the leaves were like, as the program tells it.
import type { Wet } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import type { Span } from "./line.ts";

export type Leaves = Wet["leaves"][number]["leaves"];

export interface WetSpan extends Span {
  leaves: Leaves;
}

/** The stretches within a day, up to now; null while the program does not tell. */
export function wetSpans(answer: Wet | null, within: Span, now: number): WetSpan[] | null {
  if (!answer) return null;
  const end = Math.min(within.to, now);
  return answer.leaves.flatMap(({ from, to, leaves }) => {
    const span = { from: Math.max(instant(from) ?? end, within.from), to: Math.min(instant(to) ?? end, end), leaves };
    return span.to > span.from ? [span] : [];
  });
}

const WORDS: Record<Leaves, string> = {
  likely: "leaves likely wet", possible: "leaves possibly wet", dry: "leaves dry", frozen: "leaves frozen", unknown: "wetness not known",
};

export function leavesWords(leaves: Leaves): string {
  return WORDS[leaves] ?? WORDS.unknown;
}
