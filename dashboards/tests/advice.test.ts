import assert from "node:assert/strict";
import { test } from "node:test";
import { moveLines } from "../web/src/advice/moves.ts";
import { foldedWords, ordered, rankOf, structuresByUrgency } from "../web/src/advice/order.ts";
import type { Advice, Structure } from "../web/src/api/shapes.ts";
import { planRows } from "../web/src/ribbon/plan.ts";

const NOW = Date.parse("2026-03-08T10:00:00Z");
const at = (hour: number): string => `2026-03-08T${String(hour).padStart(2, "0")}:00:00Z`;
const plain = (text: string): string => text.replaceAll("\u00a0", " ");
let next = 0;
const advice = (kind: Advice["kind"], verdict: string, more: Partial<Advice> = {}): Advice => ({
  id: ++next, kind, verdict, say: `${kind} ${verdict}`, because: null, made_at: at(9), until: at(20), ...more,
});
const structure = (slug: string, outside = false): Structure => ({ slug, name: slug, kind: "tunnel", outside, vents: [{ id: "lid", name: "lid", faces: null, kind: "lid", positions: [] }], beds: [], covers: [] });
const says = (all: Advice[]): string[] => all.map((one) => one.say);

test("a frost warning is said before the openings, then covers, then water; what can wait is folded", () => {
  const all = [
    advice("water", "wait", { about: "salad-bed" }), advice("cover", "air", { rule: "air", moves: [{ cover: "fleece", position: "folded", from: at(11), until: null }] }),
    advice("vent", "dry"), advice("water", "water", { about: "bean-row" }), advice("frost", "frost"),
  ];
  const { said, folded } = ordered(all, NOW);
  assert.deepEqual(says(said), ["frost frost", "vent dry", "cover air", "water water"]);
  assert.deepEqual(says(folded), ["water wait"]);
});

test("covers against frost are said before openings that can wait, but after a frost warning", () => {
  const { said } = ordered([advice("vent", "dry"), advice("cover", "frost", { rule: "frost" }), advice("frost", "chill")], NOW);
  assert.deepEqual(says(said), ["frost chill", "cover frost", "vent dry"]);
});

test("gale, frozen leaves and heat are said before a frost warning, and a frost that is only heard of is one", () => {
  for (const rule of ["gale", "frozen", "heat"]) {
    const { said } = ordered([advice("frost", "frost"), advice("vent", "shut", { rule })], NOW);
    assert.deepEqual(says(said), ["vent shut", "frost frost"]);
  }
  const { said } = ordered([advice("vent", "dry"), advice("frost", "early", { aim: "keep_warmth" })], NOW);
  assert.deepEqual(says(said), ["frost early", "vent dry"]);
});

test("no frost is folded beside other advice, and said where it is all there is", () => {
  const none = advice("frost", "none");
  assert.deepEqual(says(ordered([none, advice("vent", "shut")], NOW).folded), ["frost none"]);
  assert.deepEqual(says(ordered([none], NOW).said), ["frost none"]);
});

test("what has run out warns of nothing and comes after what holds", () => {
  const old = advice("cover", "frost", { rule: "frost", until: at(9) });
  assert.equal(rankOf(old, NOW), 2);
  assert.equal(rankOf({ ...old, until: at(11) }, NOW), 0);
  assert.deepEqual(says(ordered([old, advice("vent", "dry"), advice("water", "water")], NOW).said), ["vent dry", "water water", "cover frost"]);
});

test("an unknown night is said, not folded", () => {
  assert.deepEqual(says(ordered([advice("vent", "dry"), advice("frost", "unknown")], NOW).said), ["vent dry", "frost unknown"]);
});

test("water that must not be given is said; water that rain gives is folded", () => {
  assert.equal(rankOf(advice("water", "leave", { rule: "wilted_in_wet" }), NOW), 2);
  assert.equal(rankOf(advice("water", "leave", { rule: "raining" }), NOW), 3);
});

test("several beds that can wait are folded alone, one is said", () => {
  const [a, b] = [advice("water", "wait", { about: "a" }), advice("water", "wait", { about: "b" })];
  assert.deepEqual(ordered([a, b], NOW).said, []);
  assert.deepEqual(says(ordered([a], NOW).said), ["water wait"]);
});

test("advice of an older program, without rule or moves, is still placed", () => {
  const old = { id: 1, kind: "vent", verdict: "shut", say: "Keep it shut.", because: null, made_at: at(9), until: null } as Advice;
  assert.equal(rankOf(old, NOW), 2);
  assert.deepEqual(moveLines(old, structure("a"), NOW, "UTC").length, 1);
});

test("the line of what is folded names the beds, up to three", () => {
  const beds = ["salad-bed", "chard-bed", "c", "d"].map((about) => advice("water", "wait", { about }));
  assert.equal(foldedWords([advice("frost", "none"), ...beds.slice(0, 2)]), "No frost to guard against tonight; water can wait: salad bed and chard bed");
  assert.equal(foldedWords(beds), "Water can wait in 4 beds");
  const named = { ...structure("a"), beds: [{ slug: "salad-bed", name: "Salads by the door" }] };
  assert.equal(foldedWords(beds.slice(0, 2), named), "Water can wait: Salads by the door and chard bed");
  assert.equal(foldedWords([advice("frost", "early"), advice("cover", "leave")]), "Too early to tell tonight's frost; the covers can lie as they are");
});

test("a structure where harm is near comes first, the rest stay as one walks, the outside last", () => {
  const told: Record<string, Advice[]> = { a: [advice("vent", "shut")], b: [advice("vent", "dry")], c: [advice("frost", "frost")], out: [advice("frost", "frost")] };
  const walk = [structure("out", true), structure("a"), structure("b"), structure("c"), structure("d")];
  assert.deepEqual(structuresByUrgency(walk, (slug) => told[slug] ?? [], NOW).map((one) => one.slug), ["c", "a", "b", "d", "out"]);
});

test("covers and water are moves one can tick off, and no opening of the plan", () => {
  const cover = advice("cover", "frost", { moves: [{ cover: "path-fleece", position: "on", from: at(17), until: null }] });
  assert.deepEqual(moveLines(cover, structure("a"), NOW, "UTC"), ["Path fleece: laid, from 17:00"]);
  const can = advice("water", "water", { moves: [{ bed: "bean-row", litres: { value: 18, low: 15, high: 21 }, cans: 2, minutes: null, from: at(9), until: at(12) }] });
  assert.deepEqual(moveLines(can, structure("a"), NOW, "UTC").map(plain), ["Bean row: 2 cans (15 to 21 L), until 12:00"]);
  const named = { ...structure("a"), beds: [{ slug: "bean-row", name: "Beans at the wall" }] };
  assert.deepEqual(moveLines(can, named, NOW, "UTC").map(plain), ["Beans at the wall: 2 cans (15 to 21 L), until 12:00"]);
  const drip = advice("water", "water", { moves: [{ bed: "bean-row", litres: null, cans: null, minutes: 41.6, from: at(11), until: at(12) }] });
  assert.deepEqual(moveLines(drip, structure("a"), NOW, "UTC").map(plain), ["Bean row: about 42 minutes of drip, 11:00 to 12:00"]);
  const long = advice("water", "feel", { moves: [{ bed: "bean-row", minutes: 225, only_if_dry: true, from: at(11), until: at(12) }] });
  assert.deepEqual(moveLines(long, structure("a"), NOW, "UTC").map(plain), ["Bean row: about 4 hours of drip if it is dry at 5 cm, 11:00 to 12:00"]);
  assert.deepEqual(planRows(structure("a"), [cover, can, advice("cover", "shut")]), []);
});

test("a watering whose amount nobody knows names none", () => {
  const unknown = advice("water", "water", { moves: [{ bed: null, litres: { value: null, unknown: "not-measured" }, from: null, until: at(12) }] });
  assert.deepEqual(moveLines(unknown, structure("a"), NOW, "UTC"), ["Here: water, until 12:00"]);
});
