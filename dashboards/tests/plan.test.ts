import assert from "node:assert/strict";
import { test } from "node:test";
import type { Advice, Move, Structure } from "../web/src/api/shapes.ts";
import { moveLine, nextMove, notchAt, planRows, rowOf, ventsNamed } from "../web/src/ribbon/plan.ts";

const vent = (id: string, kind: "door" | "lid" = "door") => ({
  id, name: `${id} ${kind}`, faces: null, kind, positions: [{ notch: "crack" as const, words: "open a hand's width" }],
});
const TUNNEL: Structure = { slug: "t", name: "T", kind: "tunnel", outside: false, vents: [vent("west"), vent("east")], beds: [], covers: [] };
const time = (hour: number): string => `2026-03-08T${String(hour).padStart(2, "0")}:00:00Z`;
const at = (hour: number): number => Date.parse(time(hour));

function advice(verdict: string, moves: Move[], until: string | null = time(20)): Advice {
  return { id: 1, kind: "vent", say: "", because: "", verdict, moves, made_at: time(8), until };
}
const move = (name: string | null, notch: Move["notch"], from: number, until: number | null): Move => ({ vent: name, notch, from: time(from), until: until === null ? null : time(until) });

test("doors with the same moves share a row and a name", () => {
  const rows = planRows(TUNNEL, [advice("dry", [move("west", "crack", 10, 14), move("east", "crack", 10, 14)])]);
  assert.equal(rows.length, 1);
  assert.equal(ventsNamed(rows[0]?.vents ?? [], TUNNEL.vents), "both doors");
});

test("doors with different moves have a row each", () => {
  const rows = planRows(TUNNEL, [advice("dry", [move("west", "crack", 10, 14), move("east", "half", 10, 14)])]);
  assert.deepEqual(rows.map((row) => ventsNamed(row.vents, TUNNEL.vents)), ["west door", "east door"]);
});

test("an opening is shut again after its move, and nothing is said of it before", () => {
  const row = rowOf(planRows(TUNNEL, [advice("dry", [move("west", "crack", 10, 14)])]), "west");
  assert.deepEqual([notchAt(row, at(9)), notchAt(row, at(10)), notchAt(row, at(14)), notchAt(row, at(21))], [null, "crack", "closed", null]);
  assert.equal(nextMove(row, at(9))?.from, at(10));
  assert.equal(nextMove(row, at(12))?.notch, "closed");
});

test("shut without moves means that every opening stands closed while the advice holds", () => {
  const rows = planRows(TUNNEL, [advice("shut", [])]);
  assert.equal(rows.length, 1);
  assert.equal(notchAt(rows[0] ?? null, at(12)), "closed");
  assert.equal(notchAt(rows[0] ?? null, at(7)), null);
});

test("unknown without moves plans nothing", () => {
  assert.deepEqual(planRows(TUNNEL, [advice("unknown", [])]), []);
});

test("a move that names no opening is for the sheltered end", () => {
  const rows = planRows(TUNNEL, [advice("cool", [move(null, "half", 10, 15)])]);
  assert.equal(rows.length, 1);
  const [row] = rows;
  assert.ok(row);
  assert.equal(moveLine(row, row.spans[0]!, TUNNEL.vents, at(9), "Europe/London"), "The sheltered end: half open, 10:00 to 15:00");
});

test("a move without an end is said without one", () => {
  const [row] = planRows(TUNNEL, [advice("cool", [move("west", "crack", 10, null)], null)]);
  assert.ok(row);
  assert.equal(moveLine(row, row.spans[0]!, TUNNEL.vents, at(9), "Europe/London"), "West door: open a hand's width, from 10:00");
  assert.equal(moveLine(row, row.spans[0]!, TUNNEL.vents, at(11), "Europe/London"), "West door: open a hand's width, now");
});
