import assert from "node:assert/strict";
import { test } from "node:test";
import { keptAlready, nothingTold } from "../web/src/tell/telling.ts";

const one = { id: 5, say: "Advice 45 left at 10:42" };
const other = { id: 6, say: "Advice 45 followed at 10:50" };

test("what the program knows already is kept from the start, with a way back", () => {
  assert.deepEqual(nothingTold(one).peek(), { step: "kept", kept: one, trouble: null });
  assert.deepEqual(nothingTold().peek(), { step: "nothing" });
});

test("an answer given, changed or taken back on another page shows here", () => {
  const state = nothingTold();
  keptAlready(state, null, one);
  assert.equal(state.peek().step, "kept");
  keptAlready(state, one, other);
  assert.deepEqual(state.peek(), { step: "kept", kept: other, trouble: null });
  keptAlready(state, other, null);
  assert.equal(state.peek().step, "nothing");
});

test("what is under way or newer here is not overrun by an older answer", () => {
  const state = nothingTold(other);
  keptAlready(state, null, one);
  assert.deepEqual(state.peek(), { step: "kept", kept: other, trouble: null });
  state.value = { step: "sending" };
  keptAlready(state, null, one);
  assert.equal(state.peek().step, "sending");
});
