import assert from "node:assert/strict";
import { test } from "node:test";
import type { Day } from "../web/src/api/shapes.ts";
import { dayWords, gapsOf, monthsOf, yearOf, yearWords } from "../web/src/season/days.ts";

const plain = (text: string): string => text.replaceAll("\u00a0", " ").replaceAll("\u2212", "-");
const day = (date: string, low: number | null, high: number | null, measured = 1): Day => ({
  date, hours: 24, measured, complete: true,
  min_c: { value: low, measured }, max_c: { value: high, measured },
});

test("days without figures inside the record are gaps, days before it are not, today is not yet", () => {
  const year = yearOf([day("2026-03-03", 1, 9), day("2026-03-04", null, null, 0.2), day("2026-03-06", -2, 12)], "2026-03-08", 10);
  assert.equal(year.began, "2026-03-03");
  assert.deepEqual(gapsOf(year), [
    { from: "2026-03-04", to: "2026-03-05" },
    { from: "2026-03-07", to: "2026-03-07" },
  ]);
});

test("the year in words names its extremes, what is known and what is missing", () => {
  const year = yearOf([day("2026-03-03", 1, 9), day("2026-03-06", -2, 12)], "2026-03-06", 4);
  assert.deepEqual(yearWords(year).map(plain), [
    "Coldest -2.0 °C on 6 March 2026, warmest 12.0 °C on 6 March 2026.",
    "2 of 4 days have figures.",
    "No figures from 4 March 2026 to 5 March 2026.",
  ]);
});

test("a year without a single figure says so and has no gap", () => {
  const year = yearOf([], "2026-03-06", 365);
  assert.deepEqual(gapsOf(year), []);
  assert.equal(yearWords(year).length, 1);
});

test("a day measured in part says which share of it", () => {
  const year = yearOf([day("2026-03-06", 1, 4, 0.379)], "2026-03-06", 1);
  assert.equal(plain(dayWords(year.days[0] ?? null)), "1.0 °C to 4.0 °C (37 % of the day measured)");
});

test("months count their known days and keep an unknown month unknown", () => {
  const months = monthsOf(yearOf([day("2026-03-02", 1, 4), day("2026-03-03", -1, 2)], "2026-03-03", 5));
  assert.deepEqual(months, [
    { month: "2026-02", low: null, high: null, days: 0, of: 2 },
    { month: "2026-03", low: -1, high: 4, days: 2, of: 3 },
  ]);
});
