import assert from "node:assert/strict";
import { test } from "node:test";
import type { Advice, Move, Structure } from "../web/src/api/shapes.ts";
import { coverLine, coverRows, coversNamed, lieAt } from "../web/src/ribbon/covers.ts";

const time = (hour: number): string => `2026-03-08T${String(hour).padStart(2, "0")}:00:00Z`;
const at = (hour: number): number => Date.parse(time(hour));
const FRAME: Structure = {
  slug: "f", name: "F", kind: "cold_frame", outside: false, vents: [], beds: [],
  covers: [{ slug: "fleece", name: "fleece under the lid", bed: null, positions: [{ position: "folded", words: "folded back to the path" }] }],
};
const advice = (moves: Move[], until: string | null = null): Advice => ({ id: 1, kind: "cover", say: "", because: null, verdict: "frost", moves, made_at: time(8), until });
const move = (cover: string, position: Move["position"], from: number, until: number | null = null): Move => ({ cover, position, from: time(from), until: until === null ? null : time(until) });

test("a cover lies as advised until its next move, and nothing is said of it before the first", () => {
  const [row, more] = coverRows([advice([move("fleece", "on", 17), move("fleece", "folded", 10)])]);
  assert.ok(row && !more);
  assert.deepEqual([lieAt(row, at(9)), lieAt(row, at(10)), lieAt(row, at(16)), lieAt(row, at(17)), lieAt(row, at(23))], [null, "folded", "folded", "on", "on"]);
});

test("a move that ends ends the bar; the end of the advice does not take a cover off", () => {
  assert.equal(lieAt(coverRows([advice([move("fleece", "folded", 10, 14)])])[0]!, at(15)), null);
  assert.equal(lieAt(coverRows([advice([move("fleece", "on", 10)], time(20))])[0]!, at(21)), "on");
});

test("covers with the same moves share a row and are named together, by the grower's names where they are told", () => {
  const rows = coverRows([advice([move("fleece", "on", 17), move("path-fleece", "on", 17), move("mesh", "off", 17)])]);
  assert.deepEqual(rows.map((row) => coversNamed(row, FRAME)), ["fleece under the lid and path fleece", "mesh"]);
});

test("how a cover lies is said in its own words, in plain ones where it has none", () => {
  const [row] = coverRows([advice([move("fleece", "folded", 10), move("fleece", "on", 17)])]);
  assert.ok(row);
  assert.deepEqual(row.spans.map((span) => coverLine(row, span, FRAME, at(9), "UTC")), [
    "Fleece under the lid: folded back to the path, 10:00 to 17:00", "Fleece under the lid: laid, from 17:00",
  ]);
});

test("advice of other kinds lays no cover", () => {
  assert.deepEqual(coverRows([{ ...advice([move("fleece", "on", 17)]), kind: "vent" }, advice([])]), []);
});
