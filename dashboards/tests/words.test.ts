import assert from "node:assert/strict";
import { test } from "node:test";
import { celsius, figure, kilopascal, listed, percent, quantityName, quantityValue, spread, whyUnknown } from "../web/src/words/figures.ts";
import { ago, fromUntil, when } from "../web/src/words/times.ts";
import { HOUR_MS, MINUTE_MS } from "../web/src/time/zone.ts";

const plain = (text: string): string => text.replaceAll("\u00a0", " ").replaceAll("\u2212", "-");

test("figures are rounded to what the sensor knows", () => {
  assert.equal(plain(celsius(6.12)), "6.1 °C");
  assert.equal(plain(celsius(-0.04)), "0.0 °C", "no negative nought");
  assert.equal(plain(celsius(-2.25)), "-2.3 °C");
  assert.equal(plain(percent(95.41)), "95 %");
  assert.equal(plain(kilopascal(0.0449)), "0.04 kPa");
});

test("a figure without a value is unknown, never nought", () => {
  assert.equal(figure({ value: null, unknown: "stale" }, celsius), "unknown");
  assert.equal(figure(undefined, celsius), "unknown");
  assert.equal(figure({ value: Number.NaN }, celsius), "unknown");
  assert.equal(whyUnknown({ value: null, unknown: "not-enough" }), "too little of it was measured");
});

test("a spread narrower than what is shown is not worth saying", () => {
  assert.equal(spread({ value: 5, low: 4.98, high: 5.02 }, celsius), null);
  assert.equal(plain(spread({ value: 5, low: 4.5, high: 5.5 }, celsius) ?? ""), "between 4.5 °C and 5.5 °C");
});

test("numbered quantities keep their number in the name and their unit in the value", () => {
  assert.equal(quantityName("soil-temperature-2"), "soil temperature 2");
  assert.equal(plain(quantityValue("soil-temperature-2", 7.06)), "7.1 °C");
});

test("ages are said in the unit one would use", () => {
  assert.equal(plain(ago(50_000)), "just now");
  assert.equal(plain(ago(4 * MINUTE_MS)), "4 minutes ago");
  assert.equal(plain(ago(3 * HOUR_MS)), "3 hours ago");
  assert.equal(plain(ago(49 * HOUR_MS)), "2 days ago");
});

test("times of other days name the day, on the garden's clock", () => {
  const now = Date.parse("2026-07-01T10:00:00Z");
  assert.equal(when(Date.parse("2026-07-01T08:05:00Z"), now, "Europe/Dublin"), "09:05");
  assert.equal(when(Date.parse("2026-06-30T20:50:00Z"), now, "Europe/Dublin"), "yesterday 21:50");
  assert.equal(when(Date.parse("2026-06-30T23:30:00Z"), now, "Europe/Dublin"), "00:30", "after midnight there, before it in UTC");
  assert.equal(when(Date.parse("2026-06-25T20:50:00Z"), now, "Europe/Dublin"), "Thu 25 June 21:50");
  assert.equal(fromUntil(null, Date.parse("2026-07-01T23:00:00Z"), now, "Europe/Dublin"), "until midnight");
});

test("lists are read out as one says them", () => {
  assert.equal(listed(["a"]), "a");
  assert.equal(listed(["a", "b", "c"]), "a, b and c");
});
