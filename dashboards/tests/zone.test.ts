import assert from "node:assert/strict";
import { test } from "node:test";
import { dateAt, dayBounds, daysBetween, HOUR_MS, hourMarks, instant, offsetMinutes, rfc3339, shiftDate, timeAt } from "../web/src/time/zone.ts";

const at = (text: string): number => Date.parse(text);

test("day bounds on the nights of the clock change are 23 and 25 hours apart", () => {
  const spring = dayBounds("2026-03-29", "Europe/Dublin");
  assert.deepEqual([rfc3339(spring.from), rfc3339(spring.to)], ["2026-03-29T00:00:00Z", "2026-03-29T23:00:00Z"]);
  const autumn = dayBounds("2026-10-25", "Europe/Dublin");
  assert.deepEqual([rfc3339(autumn.from), rfc3339(autumn.to)], ["2026-10-24T23:00:00Z", "2026-10-26T00:00:00Z"]);
  assert.equal(autumn.to - autumn.from, 25 * HOUR_MS);
});

test("day bounds where the clocks skip midnight begin at the first instant of the day", () => {
  // In Santiago the clocks go from 24:00 straight to 01:00 on 2024-09-08.
  const day = dayBounds("2024-09-08", "America/Santiago");
  assert.equal(rfc3339(day.from), "2024-09-08T04:00:00Z");
  assert.equal(timeAt(day.from, "America/Santiago"), "01:00");
  assert.equal(day.to - day.from, 23 * HOUR_MS);
});

test("day bounds far from Greenwich hold the day that their zone calls by that date", () => {
  for (const zone of ["Pacific/Kiritimati", "Pacific/Pago_Pago", "Asia/Kathmandu", "Europe/London"]) {
    const day = dayBounds("2026-07-01", zone);
    assert.equal(dateAt(day.from, zone), "2026-07-01", zone);
    assert.equal(dateAt(day.from - 1, zone), "2026-06-30", zone);
    assert.equal(dateAt(day.to - 1, zone), "2026-07-01", zone);
    assert.equal(day.to - day.from, 24 * HOUR_MS, zone);
  }
});

test("hour marks on a day of 23 hours stand where the garden's clock strikes", () => {
  const marks = hourMarks(dayBounds("2026-03-29", "Europe/London"), "Europe/London", 3);
  assert.deepEqual(marks.map((mark) => mark.hour), [0, 3, 6, 9, 12, 15, 18, 21, 24]);
  assert.equal(rfc3339(marks[1]?.at ?? 0), "2026-03-29T02:00:00Z", "03:00 comes two hours after midnight");
});

test("hour marks on a day of 25 hours strike the doubled hour once", () => {
  const marks = hourMarks(dayBounds("2026-10-25", "Europe/London"), "Europe/London", 1);
  assert.equal(marks.filter((mark) => mark.hour === 1).length, 1);
  assert.equal(rfc3339(marks.find((mark) => mark.hour === 3)?.at ?? 0), "2026-10-25T03:00:00Z");
});

test("offsets follow the zone's summer time, half hours included", () => {
  assert.equal(offsetMinutes(at("2026-01-01T12:00:00Z"), "Europe/Dublin"), 0);
  assert.equal(offsetMinutes(at("2026-07-01T12:00:30Z"), "Europe/Dublin"), 60);
  assert.equal(offsetMinutes(at("2026-07-01T12:00:00Z"), "Asia/Kathmandu"), 345);
});

test("dates shifted over month and leap day come out right", () => {
  assert.equal(shiftDate("2028-03-01", -1), "2028-02-29");
  assert.equal(daysBetween("2025-03-08", "2026-03-08"), 365);
});

test("an instant that cannot be read is none, not a date in 1970", () => {
  assert.equal(instant("soon"), null);
  assert.equal(instant(null), null);
  assert.equal(instant("2026-03-08T00:00:00Z"), at("2026-03-08T00:00:00Z"));
});
