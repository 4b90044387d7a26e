// Today against a real server, in real Chromium, on a phone's and a desk's width.
//
//   node today.test.mjs BASE_URL EXPECTED.json [FOLDER]
//
// EXPECTED.json names, for each structure's slug, what must stand on the page, as a person reads it:
//
//   {"structures": {"tunnel": {"air-temperature": "6.1 °C", "air-humidity": "95 %", "dew-point": "5.4 °C", "say": "Keep it shut."}}}
//
// Keys are figures (air-temperature, air-humidity, dew-point, vpd, day-low, day-high) or `say`, `because`, `state`
// (fresh, stale, silent, unknown). `"zone_note": true` asks that a device in another zone is told so, `"gap": ["tunnel"]`
// for a hatched gap in that ribbon, `"year": ["tunnel"]` for a year with figures. Screenshots go to FOLDER.
import assert from "node:assert/strict";
import { mkdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { startChromium } from "./browser.mjs";
import {
  assertInkReadable, assertKeyboardReachesAll, assertNoAxeFindings, assertNoComplaints, assertNoSideScroll, assertStrictPolicy, assertTargetsLargeEnough, plain, waitSettled, watchedPage,
} from "./checks.mjs";

const [, , base, expectedFile, folder] = process.argv;
if (!base || !expectedFile) {
  console.error("usage: node today.test.mjs BASE_URL EXPECTED.json [FOLDER]");
  process.exit(2);
}
const expected = JSON.parse(await readFile(expectedFile, "utf8"));
const PATIENCE_MS = 20_000;
const WIDTHS = [390, 1280];
const SCHEMES = ["light", "dark"];

test("Today shows the expected figures and keeps its promises", async (t) => {
  if (folder) await mkdir(folder, { recursive: true });
  const browser = await startChromium();
  try {
    for (const width of WIDTHS) {
      for (const scheme of SCHEMES) {
        await t.test(`at ${width} px, ${scheme}`, () => look(browser, width, scheme));
      }
    }
    await t.test("from a device in another zone", () => lookFromAfar(browser));
  } finally {
    await browser.close();
  }
});

async function look(browser, width, scheme) {
  const { page, complaints, close } = await watchedPage(browser, { width, scheme });
  try {
    assertStrictPolicy(await page.goto(base));
    for (const [slug, wanted] of Object.entries(expected.structures)) await assertStrip(page, slug, wanted);
    await page.waitForSelector(".season .picture svg", { timeout: PATIENCE_MS });
    for (const slug of expected.gap ?? []) await page.waitForSelector(`[data-structure="${slug}"] .ribbon .gap`, { timeout: PATIENCE_MS, state: "attached" });
    for (const slug of expected.year ?? []) await page.waitForSelector(`[data-season="${slug}"] .day-band`, { timeout: PATIENCE_MS, state: "attached" });
    await waitSettled(page);
    if (folder) await page.screenshot({ path: join(folder, `today-${width}-${scheme}.png`), fullPage: true });
    await assertNoSideScroll(page);
    await assertTargetsLargeEnough(page);
    await assertInkReadable(page);
    await assertKeyboardReachesAll(page);
    await page.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));
    await page.waitForSelector("details[open] table", { timeout: PATIENCE_MS });
    for (const [slug, { because }] of Object.entries(expected.structures)) {
      if (because) await assertText(page, `[data-structure="${slug}"] [data-part="because"]`, because);
    }
    if (folder) await page.screenshot({ path: join(folder, `today-${width}-${scheme}-open.png`), fullPage: true });
    await assertNoAxeFindings(page, "with everything open");
    await assertNoSideScroll(page);
    await assertNoComplaints(page, complaints);
  } finally {
    await close();
  }
}

async function assertStrip(page, slug, wanted) {
  const strip = `[data-structure="${slug}"]`;
  const { say, because: _later, state, ...figures } = wanted;
  for (const [name, text] of Object.entries(figures)) await assertText(page, `${strip} [data-figure="${name}"]`, text);
  if (say) await assertText(page, `${strip} [data-part="say"]`, say);
  if (state) await page.waitForSelector(`${strip} .air[data-state="${state}"]`, { timeout: PATIENCE_MS });
}

/** Waits, within bounds, until the first element that the selector names reads as wanted; then says what it read instead. */
async function assertText(page, selector, wanted) {
  let read = null;
  const end = Date.now() + PATIENCE_MS;
  while (Date.now() < end) {
    const text = await page.locator(selector).first().textContent({ timeout: PATIENCE_MS }).catch(() => null);
    read = text === null ? null : plain(text);
    if (read === plain(wanted)) return;
    await page.waitForTimeout(100);
  }
  assert.equal(read, plain(wanted), selector);
}

async function lookFromAfar(browser) {
  const { page, complaints, close } = await watchedPage(browser, { width: 390, zone: "America/Los_Angeles" });
  try {
    await page.goto(base);
    const [slug] = Object.keys(expected.structures);
    await page.waitForSelector(`[data-structure="${slug}"] [data-figure]`, { timeout: PATIENCE_MS });
    if (expected.zone_note) await page.waitForSelector("[data-zone-note]", { timeout: PATIENCE_MS });
    for (const [name, wanted] of Object.entries(expected.structures)) await assertStrip(page, name, wanted);
    await assertNoComplaints(page, complaints);
  } finally {
    await close();
  }
}
