import assert from "node:assert/strict";
import { test } from "node:test";
import type { Level, RiskNow } from "../web/src/api/shapes.ts";
import { dampOf, riskLines, wetWords } from "../web/src/damp/words.ts";

const plain = (text: string): string => text.replaceAll("\u00a0", " ");
const wet = (...args: Parameters<typeof wetWords>): string => plain(wetWords(...args));
const risk = (group: string, level: RiskNow["level"], by: string, range: [string, string], more: Partial<RiskNow> = {}): RiskNow => ({ group, level, by, range, state: "fresh", ...more });

test("wet hours are whole hours with their range, and a wide one names what decides", () => {
  assert.equal(
    wet({ now: "dry", hours_24: { value: 13, low: 11.2, high: 14.8, measured: 1 } }),
    "Leaves are likely dry now; likely wet for 11 to 15 h of the last day. The humidity sensor decides which.",
  );
  assert.equal(wet({ now: "wet", hours_24: { value: 9, low: 9, high: 9, measured: 1 } }), "Leaves are likely wet now; likely wet for about 9 h of the last day.");
  assert.equal(wet({ now: "dry", hours_24: { value: 0, low: 0, high: 0, measured: 1 } }), "Leaves are likely dry now; not wet in the last day.");
});

test("a day measured in part says how much of it was", () => {
  assert.match(wet({ now: "dry", hours_24: { value: 9, low: 9, high: 10, measured: 0.75 } }), / Only 18 h of it were measured\.$/);
});

test("what is not known of wet leaves is said as not known, with the reason", () => {
  assert.equal(wet({ now: "unknown", hours_24: { value: null, unknown: "silent" } }), "Whether leaves are wet, now or in the last day, is not known: nothing has been heard for too long.");
  assert.equal(
    wet({ now: "frozen", hours_24: { value: null, unknown: "not-enough" } }),
    "Leaves are likely frozen now; for how long they were wet in the last day is not known: too little of it was measured.",
  );
  assert.equal(wet({ now: "dry" }), "Leaves are likely dry now.");
});

test("risk is a level with the disease's plain name and its doubt in words", () => {
  const [line] = riskLines([risk("lettuce", "raised", "lettuce-downy-mildew", ["some", "high"], { uncertain: true })]);
  assert.equal(line?.says, "Raised risk: lettuce (downy mildew). No water from above, and pick off old leaves.");
  assert.equal(line?.doubt, "It depends on the humidity sensor: anything from some to high.");
});

test("the worst risk comes first; little and unknown risk share a line each", () => {
  const lines = riskLines([
    risk("onion", "low", "onion-downy-mildew", ["low", "low"]), risk("spinach", "some", "spinach-downy-mildew", ["some", "some"]),
    risk("lettuce", "high", "grey-mould", ["high", "high"]), risk("brassica", "low", "white-blister", ["low", "low"]),
    risk("seedling", null, "grey-mould", ["low", "high"], { state: "unknown" }), risk("tomato", "unknown", "late-blight", ["low", "low"]),
  ]);
  assert.deepEqual(lines.map((line) => line.level), ["high", "some", "low", "unknown"]);
  assert.equal(lines[2]?.says, "Little risk for onions and cabbage kinds.");
  assert.equal(lines[3]?.says, "Risk not known for seedlings and tomatoes: too little was measured in the last nights.");
});

test("groups of one level share a line unless their doubt differs", () => {
  const lines = riskLines([
    risk("lettuce", "high", "lettuce-downy-mildew", ["high", "high"]), risk("spinach", "high", "spinach-white-rust", ["high", "high"]),
    risk("onion", "high", "onion-downy-mildew", ["raised", "high"], { uncertain: false }),
  ]);
  assert.deepEqual(lines.map(({ says, doubt }) => [says, doubt]), [
    ["High risk: lettuce (downy mildew) and spinach (white rust). Thin, pick off old leaves, and look under what is left.", null],
    ["High risk: onions (downy mildew). Thin, pick off old leaves, and look under what is left.", "Within the humidity sensor's error it is from raised to high."],
  ]);
});

test("little risk that could be more is not hidden among the settled", () => {
  const [line] = riskLines([risk("lettuce", "low", "grey-mould", ["low", "raised"])]);
  assert.equal(line?.doubt, "It depends on the humidity sensor: anything from little to raised.");
});

test("a level of before and a find are said", () => {
  const [line] = riskLines([risk("spinach", "some", "spinach-white-rust", ["some", "some"], { state: "stale", found_lately: true })]);
  assert.match(line?.says ?? "", /^Some risk: spinach \(white rust\)\. Found here lately, so it counts one higher\.$/);
  assert.match(line?.doubt ?? "", /level of before/);
});

test("prop_risk words hold no number and no order about openings, for any level, disease and doubt", () => {
  for (const level of ["low", "some", "raised", "high", "unknown", null] as const) {
    for (const by of ["lettuce-downy-mildew", "grey-mould", "late-blight", "unheard-of"]) {
      for (const range of [["low", "low"], ["low", "high"], ["some", "raised"]] as [Level, Level][]) {
        for (const state of ["fresh", "stale", "unknown"] as const) {
          for (const { says, doubt } of riskLines([risk("lettuce", level, by, range, { state, uncertain: true })])) {
            assert.doesNotMatch(`${says} ${doubt ?? ""}`, /\d|%|vent|open|shut|clos|crack|door|\blid|\bair\b/i);
          }
        }
      }
    }
  }
});

test("the program's own sentences go before these, each with its level; a program that tells nothing of damp has none", () => {
  const risks = [risk("lettuce", "low", "grey-mould", ["low", "low"]), risk("onion", "high", "onion-downy-mildew", ["high", "high"])];
  const damp = dampOf({ wet: { now: "wet" }, risk: risks, damp_says: { leaves: "Leaves are likely wet now.", risks: ["High for onions.", "Low for lettuce."], doubt: "The sensor decides." } });
  assert.deepEqual(damp?.lines.map(({ level, says }) => [level, says]), [["high", "High for onions."], ["low", "Low for lettuce."]]);
  assert.deepEqual([damp?.wet, damp?.doubt], ["Leaves are likely wet now.", "The sensor decides."]);
  assert.equal(dampOf({}), null);
  assert.equal(dampOf({ wet: null, risk: null, damp_says: null }), null);
});
