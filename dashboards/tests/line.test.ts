import assert from "node:assert/strict";
import { test } from "node:test";
import type { Readings } from "../web/src/api/shapes.ts";
import { extent, lineOf, pointAt } from "../web/src/ribbon/line.ts";
import { temperatureDomain, temperatureMarks } from "../web/src/ribbon/scale.ts";
import { HOUR_MS, MINUTE_MS, rfc3339 } from "../web/src/time/zone.ts";

const T0 = Date.parse("2026-03-08T00:00:00Z");
const DAY = { from: T0, to: T0 + 24 * HOUR_MS };

function readings(mean: (number | null)[], more: { cadence_s?: number; step_s?: number; gaps?: [string, string][] } = {}): Readings {
  return {
    quantity: "air-temperature", unit: "Cel", from: rfc3339(T0), to: rfc3339(DAY.to), step_s: more.step_s ?? 600, gaps: more.gaps ?? [],
    series: [{ spot: "a", cadence_s: more.cadence_s ?? 600, t0: rfc3339(T0), n: mean.map((m) => (m === null ? 0 : 1)), mean, min: mean, max: mean }],
  };
}

test("readings with nothing missing make one run and no gap before now", () => {
  const line = lineOf(readings([1, 2, 3, 4]), DAY, T0 + 40 * MINUTE_MS);
  assert.equal(line.runs.length, 1);
  assert.deepEqual(line.gaps, []);
});

test("a night without readings is a gap that no run crosses", () => {
  // The trouble as growers met it: 21:50 and 07:10 must not be joined by a calm straight line.
  const mean = [2.8, ...Array<null>(55).fill(null), 0.5];
  const line = lineOf(readings(mean), DAY, T0 + 57 * 10 * MINUTE_MS);
  assert.equal(line.runs.length, 2);
  assert.equal(line.gaps.length, 1);
  assert.equal(pointAt(line, T0 + 5 * HOUR_MS), null);
});

test("buckets finer than the sensor's cadence are joined over their empty ones", () => {
  const line = lineOf(readings([1, null, null, 2, null, null, 3], { step_s: 300, cadence_s: 900 }), DAY, T0 + 35 * MINUTE_MS);
  assert.equal(line.runs.length, 1);
  assert.equal(line.runs[0]?.length, 3);
});

test("a pause of 2.5 cadences is joined, a longer one is not", () => {
  const joined = lineOf(readings([1, null, 2], { step_s: 600, cadence_s: 600 }), DAY, T0 + 30 * MINUTE_MS);
  assert.equal(joined.runs.length, 1);
  const cut = lineOf(readings([1, null, null, 2], { step_s: 600, cadence_s: 600 }), DAY, T0 + 40 * MINUTE_MS);
  assert.equal(cut.runs.length, 2);
});

test("gaps that the server tells are taken as told, even where every bucket is filled", () => {
  const told: [string, string] = [rfc3339(T0 + 16 * MINUTE_MS), rfc3339(T0 + 24 * MINUTE_MS)];
  const line = lineOf(readings([1, 2, 3, 4], { gaps: [told] }), DAY, T0 + 40 * MINUTE_MS);
  assert.deepEqual(line.gaps, [{ from: T0 + 16 * MINUTE_MS, to: T0 + 24 * MINUTE_MS }]);
  assert.deepEqual(line.runs.map((run) => run.map((point) => point.mean)), [[1, 2], [3, 4]]);
});

test("silence up to now is a gap that ends at now, and nothing to come is one", () => {
  const line = lineOf(readings([1, 2, null, null, null, null]), DAY, T0 + HOUR_MS);
  assert.equal(line.gaps.length, 1);
  assert.equal(line.gaps[0]?.to, T0 + HOUR_MS);
});

test("the newest reading of a board that reports three at once is not yet followed by a gap", () => {
  const line = lineOf(readings([1, 2, 3], { step_s: 300, cadence_s: 300 }), DAY, T0 + 30 * MINUTE_MS);
  assert.deepEqual(line.gaps, []);
  const silent = lineOf(readings([1, 2, 3], { step_s: 300, cadence_s: 300 }), DAY, T0 + 34 * MINUTE_MS);
  assert.equal(silent.gaps.length, 1);
});

test("no series at all is no line and no gap", () => {
  assert.deepEqual(lineOf({ ...readings([]), series: [] }, DAY, T0), { runs: [], gaps: [] });
  assert.equal(extent([lineOf(readings([null, null]), DAY, T0 + HOUR_MS)]), null);
});

test("prop_runs keep every measured point once and never cross a gap, for any pattern of missing buckets", () => {
  let seed = 7;
  const random = (): number => (seed = (seed * 48271) % 2147483647) / 2147483647;
  for (let round = 0; round < 300; round++) {
    const mean = Array.from({ length: 48 }, () => (random() < 0.4 ? null : Math.round(random() * 100) / 10));
    const line = lineOf(readings(mean, { step_s: 1800, cadence_s: 300 + Math.floor(random() * 3000) }), DAY, DAY.to);
    assert.deepEqual(line.runs.flat().map((point) => point.mean), mean.filter((value) => value !== null));
    for (const run of line.runs) {
      const [first, last] = [run[0]?.at ?? 0, run.at(-1)?.at ?? 0];
      assert.ok(line.gaps.every((gap) => gap.to <= first || gap.from >= last), `round ${round}: a run crosses a gap`);
    }
  }
});

test("marks lie inside the domain, are whole degrees and name 0 where it lies inside", () => {
  for (const found of [{ low: -4.3, high: 9 }, { low: 6, high: 6.1 }, { low: -2, high: 38 }, { low: 20, high: 26 }]) {
    const [low, high] = temperatureDomain(found);
    assert.ok(low < found.low && high > found.high);
    const marks = temperatureMarks([low, high]);
    assert.ok(marks.length >= 2 && marks.length <= 6, `${marks}`);
    assert.ok(marks.every((mark) => mark >= low && mark <= high && Number.isInteger(mark)));
    assert.equal(marks.includes(0), low <= 0 && high >= 0);
  }
});
