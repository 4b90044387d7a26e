// From an answer of readings to what may be drawn: points joined only where nothing is missing between them.
import type { Readings, Series } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";

export interface Span {
  from: number;
  to: number;
}

export interface Point {
  at: number;
  mean: number;
  low: number;
  high: number;
}

export interface Line {
  /** Runs of points with no gap inside; a run may be a single point. */
  runs: Point[][];
  /** Where nothing was measured, up to the garden's now. */
  gaps: Span[];
}

export const NO_LINE: Line = { runs: [], gaps: [] };

/** Missed readings, counted in cadences, from which a pause is a gap. */
const GAP_CADENCES = 2.5;

/** How long the newest reading may be the last one, in cadences and at least: boards report several at once. */
const STALE_CADENCES = 3;
const STALE_AT_LEAST_MS = 20 * 60_000;

/** The line of the spot that speaks for the structure (the first of the answer) within a span, and its gaps up to `now`. */
export function lineOf(answer: Readings | null, within: Span, now: number): Line {
  const series = answer?.series[0];
  if (!answer || !series) return NO_LINE;
  const sofar = { from: within.from, to: Math.min(within.to, now) };
  const points = pointsOf(series, answer.step_s * 1000, sofar);
  const cadence_ms = Math.max(series.cadence_s ?? 0, answer.step_s) * 1000;
  const pause_ms = GAP_CADENCES * cadence_ms;
  const running_ms = sofar.to === now ? Math.max(STALE_CADENCES * cadence_ms, STALE_AT_LEAST_MS) : pause_ms;
  const told = answer.gaps.flatMap(([from, to]) => spanOf(from, to));
  // The server knows the readings themselves, this page only their buckets: its gaps count before those seen here.
  const seen = pauses(points, pause_ms, running_ms, sofar).filter((pause) => !told.some((gap) => gap.from < pause.to && gap.to > pause.from));
  const gaps = joined(clipped([...told, ...seen], sofar));
  return { runs: runsOf(points, gaps), gaps };
}

/** One point a bucket, in its middle; the bucket that is still filling ends at now. */
function pointsOf(series: Series, step_ms: number, sofar: Span): Point[] {
  const first = instant(series.t0);
  if (first === null) return [];
  const points: Point[] = [];
  series.mean.forEach((mean, index) => {
    const start = first + index * step_ms;
    const at = (start + Math.min(start + step_ms, sofar.to)) / 2;
    if (mean === null || at < sofar.from || at >= sofar.to) return;
    points.push({ at, mean, low: series.min[index] ?? mean, high: series.max[index] ?? mean });
  });
  return points;
}

function spanOf(from: string, to: string): Span[] {
  const [start, end] = [instant(from), instant(to)];
  return start === null || end === null ? [] : [{ from: start, to: end }];
}

/** Pauses between points, before the first and after the last, that are too long to be bridged; the last one may still be running. */
function pauses(points: Point[], pause_ms: number, running_ms: number, within: Span): Span[] {
  const edges = [within.from, ...points.map((point) => point.at), within.to];
  return edges.slice(1).flatMap((to, index) => {
    const from = edges[index] as number;
    const limit_ms = index === points.length ? running_ms : pause_ms;
    return to - from > limit_ms ? [{ from, to }] : [];
  });
}

function clipped(spans: Span[], within: Span): Span[] {
  return spans
    .map((span) => ({ from: Math.max(span.from, within.from), to: Math.min(span.to, within.to) }))
    .filter((span) => span.to > span.from);
}

function joined(spans: Span[]): Span[] {
  const sorted = [...spans].sort((a, b) => a.from - b.from);
  const result: Span[] = [];
  for (const span of sorted) {
    const last = result.at(-1);
    // Two that only touch have a reading between them.
    if (last && span.from < last.to) last.to = Math.max(last.to, span.to);
    else result.push({ ...span });
  }
  return result;
}

function runsOf(points: Point[], gaps: Span[]): Point[][] {
  const runs: Point[][] = [];
  let last: Point | null = null;
  for (const point of points) {
    const before: Point | null = last;
    const cut = before === null || gaps.some((gap) => gap.from < point.at && gap.to > before.at);
    if (cut) runs.push([point]);
    else runs.at(-1)?.push(point);
    last = point;
  }
  return runs;
}

/** The point nearest to an instant, or null where it falls into a gap. */
export function pointAt(line: Line, at: number): Point | null {
  if (line.gaps.some((gap) => at >= gap.from && at < gap.to)) return null;
  let nearest: Point | null = null;
  for (const point of line.runs.flat()) {
    if (nearest === null || Math.abs(point.at - at) < Math.abs(nearest.at - at)) nearest = point;
  }
  return nearest;
}

/** Lowest and highest of a line, or null where it is empty. */
export function extent(lines: Line[]): { low: number; high: number } | null {
  let [low, high] = [Infinity, -Infinity];
  for (const { runs } of lines) {
    for (const point of runs.flat()) {
      low = Math.min(low, point.low);
      high = Math.max(high, point.high);
    }
  }
  return low <= high ? { low, high } : null;
}
