import assert from "node:assert/strict";
import { test } from "node:test";
import { countWords, numberWords, rowsByTable, validityWords } from "../web/src/sources/words.ts";

const plain = (text: string | null): string => (text ?? "").replaceAll("\u00a0", " ").replaceAll("\u2212", "-");
const constant = { name: "wet-on", value: 90, unit: "%RH", lowest: 85, highest: 95, mark: "published", source: "A, 1990" };
const cell = (table: string, row: string, column: string, value: number, mark = "secondary") => ({ table, row, column, value, unit: "°C", mark, source: "B, 2000" });

test("numbers stand as the program holds them, a bare number without a unit", () => {
  assert.equal(plain(numberWords(0.30000000000000004, "mm")), "0.3 mm");
  assert.equal(plain(numberWords(-1.5, "1")), "-1.5");
  assert.equal(plain(numberWords(0, null)), "0");
});

test("validity is said only where somebody said it", () => {
  assert.equal(validityWords(constant), "holds from 85 to 95");
  assert.equal(validityWords({ ...constant, lowest: null }), null);
  assert.equal(validityWords({ ...constant, lowest: 90, highest: 90 }), null);
});

test("cells of a row stand together, with each source once", () => {
  const [first, second] = rowsByTable([cell("infection", "grey-mould", "least", 5), cell("infection", "grey-mould", "optimum", 25), cell("soils", "loam", "holds", 1)]);
  assert.equal(first?.table, "Infection");
  assert.deepEqual(first?.rows.map((row) => [row.row, row.cells.map(plain), row.from]), [["Grey mould", ["least 5 °C", "optimum 25 °C"], ["Secondary: B, 2000"]]]);
  assert.equal(second?.rows.length, 1);
});

test("the count names every mark that occurs, and lives without tables", () => {
  assert.equal(countWords({ version: 1, fingerprint: "", constants: [constant], tables: [cell("a", "b", "c", 1, "our proposal")] }), "1 single numbers and 1 in tables: 1 published and 1 our proposal.");
  assert.equal(countWords({ version: 1, fingerprint: "", constants: [constant, constant] }), "2 single numbers and 0 in tables: 2 published.");
});
