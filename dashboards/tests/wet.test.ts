import assert from "node:assert/strict";
import { test } from "node:test";
import { wetSpans } from "../web/src/ribbon/wet.ts";

const time = (hour: number): string => `2026-03-0${hour < 24 ? 8 : 9}T${String(hour % 24).padStart(2, "0")}:00:00Z`;
const at = (hour: number): number => Date.parse(time(hour));
const DAY = { from: at(0), to: at(24) };
const part = (from: number, to: number, leaves: "likely" | "possible" | "unknown") => ({ from: time(from), to: time(to), leaves });

test("the band ends at now and at the day's end, and holds what it was told", () => {
  const answer = { leaves: [part(0, 5, "likely"), part(5, 7, "possible"), part(7, 26, "unknown")] };
  assert.deepEqual(wetSpans(answer, DAY, at(6)), [{ from: at(0), to: at(5), leaves: "likely" }, { from: at(5), to: at(6), leaves: "possible" }]);
  assert.equal(wetSpans(answer, DAY, at(40))?.at(-1)?.to, at(24));
});

test("a program that does not tell has no band; one that knows nothing yet has an empty one", () => {
  assert.equal(wetSpans(null, DAY, at(6)), null);
  assert.deepEqual(wetSpans({ leaves: [] }, DAY, at(6)), []);
});
