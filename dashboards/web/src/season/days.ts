// A year of day figures: which days are known, which are gaps, and what to say of them.
import type { Day } from "../api/shapes.ts";
import { daysBetween, shiftDate } from "../time/zone.ts";
import { celsius, listed, percent } from "../words/figures.ts";
import { dayMonthYear } from "../words/times.ts";

export interface YearDay {
  date: string;
  low: number;
  high: number;
  measured: number;
}

export interface Year {
  /** One entry a day, oldest first; null where the day's low or high is unknown. */
  days: (YearDay | null)[];
  first: string;
  last: string;
  /** The first day with figures; what lies before it is not a gap. */
  began: string | null;
}

/** The `length` days up to and including `last`. */
export function yearOf(answer: Day[], last: string, length: number): Year {
  const first = shiftDate(last, 1 - length);
  const days: (YearDay | null)[] = Array.from({ length }, () => null);
  for (const day of answer) {
    const index = daysBetween(first, day.date);
    const [low, high] = [day.min_c?.value, day.max_c?.value];
    if (index < 0 || index >= length || low == null || high == null) continue;
    days[index] = { date: day.date, low, high, measured: day.min_c?.measured ?? day.measured };
  }
  return { days, first, last, began: days.find((day) => day !== null)?.date ?? null };
}

export interface DateSpan {
  from: string;
  to: string;
}

/** Runs of days without figures, after the record began. Today is no gap yet. */
export function gapsOf(year: Year): DateSpan[] {
  if (!year.began) return [];
  const gaps: DateSpan[] = [];
  year.days.forEach((day, index) => {
    const date = shiftDate(year.first, index);
    if (day || date < (year.began as string) || date === year.last) return;
    const open = gaps.at(-1);
    if (open && shiftDate(open.to, 1) === date) open.to = date;
    else gaps.push({ from: date, to: date });
  });
  return gaps;
}

/** The last `count` days in one sentence; null where none of them has figures. */
export function lastDaysWords(year: Year, count: number): string | null {
  const found = year.days.slice(-count).filter((day) => day !== null);
  if (found.length === 0) return null;
  const [low, high] = [Math.min(...found.map((day) => day.low)), Math.max(...found.map((day) => day.high))];
  return `The last ${count} days: ${celsius(low)} to ${celsius(high)}.`;
}

/** A year in a few sentences: the coldest, the warmest, how much was measured, what is missing. */
export function yearWords(year: Year): string[] {
  const found = year.days.filter((day) => day !== null);
  const [one] = found;
  if (!one || !year.began) return ["No day has been measured yet. This fills from the first full day on."];
  const coldest = found.reduce((least, day) => (day.low < least.low ? day : least), one);
  const warmest = found.reduce((most, day) => (day.high > most.high ? day : most), one);
  const span = daysBetween(year.began, year.last) + 1;
  const whole = year.began === year.first;
  const words = [
    `Coldest ${celsius(coldest.low)} on ${dayMonthYear(coldest.date)}, warmest ${celsius(warmest.high)} on ${dayMonthYear(warmest.date)}.`,
    `${found.length} of ${span} days have figures${whole ? "" : `; the record begins on ${dayMonthYear(year.began)}`}.`,
  ];
  const gaps = gapsOf(year);
  if (gaps.length > 0) words.push(`No figures ${gapWords(gaps)}.`);
  return words;
}

const GAPS_NAMED = 3;

function gapWords(gaps: DateSpan[]): string {
  const named = gaps.slice(-GAPS_NAMED).map(({ from, to }) => (from === to ? `on ${dayMonthYear(from)}` : `from ${dayMonthYear(from)} to ${dayMonthYear(to)}`));
  const more = gaps.length - named.length;
  return more > 0 ? `${named.join(", ")} and in ${more} earlier gap${more === 1 ? "" : "s"}` : listed(named);
}

/** One day in words. */
export function dayWords(day: YearDay | null): string {
  if (!day) return "no figures";
  const part = day.measured < 0.95 ? ` (${percent(Math.floor(day.measured * 100))} of the day measured)` : "";
  return `${celsius(day.low)} to ${celsius(day.high)}${part}`;
}

export interface Month {
  month: string;
  low: number | null;
  high: number | null;
  days: number;
  of: number;
}

/** The same year month by month, for the table. */
export function monthsOf(year: Year): Month[] {
  const months: Month[] = [];
  year.days.forEach((day, index) => {
    const month = shiftDate(year.first, index).slice(0, 7);
    let row = months.at(-1);
    if (row?.month !== month) {
      row = { month, low: null, high: null, days: 0, of: 0 };
      months.push(row);
    }
    row.of += 1;
    if (!day) return;
    row.days += 1;
    row.low = Math.min(row.low ?? Infinity, day.low);
    row.high = Math.max(row.high ?? -Infinity, day.high);
  });
  return months;
}
