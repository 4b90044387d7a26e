// Every state of Today that a healthy server does not show on demand, against the stand-in server.
//   PAGES=../../dashboards/dist node --test states.test.mjs
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { startChromium } from "./browser.mjs";
import { assertInkReadable, assertKeyboardReachesAll, assertNoAxeFindings, assertNoSideScroll, assertTargetsLargeEnough, plain, watchedPage } from "./checks.mjs";
import { startMock } from "./mock/server.mjs";

const pages = process.env.PAGES ?? new URL("../../dashboards/dist", import.meta.url).pathname;
const PATIENCE = { timeout: 15_000 };
let browser;
before(async () => (browser = await startChromium()));
after(() => browser?.close());

/** Opens Today on a stand-in server in some state, and closes both afterwards. */
async function visit(options, look, view = { width: 390 }) {
  const mock = await startMock({ pages, ...options });
  const watched = await watchedPage(browser, view);
  try {
    await watched.page.goto(mock.url);
    await look(watched.page, mock, watched);
  } finally {
    await watched.close();
    await mock.close();
  }
}

const textOf = async (page, selector) => plain((await page.locator(selector).first().textContent(PATIENCE)) ?? "");

for (const [scenario, selector, says] of [
  ["loading", "[data-loading]", /^Asking what the covers are doing/],
  ["empty", "[data-empty]", /There is no structure in this garden yet/],
  ["refused", "[data-trouble=refused]", /refuses to tell the garden from here \(answer 403\)\. This address is not allowed in\./],
  ["broken", "[data-trouble=broken]", /derived\.db cannot be read/],
  ["garbled", "[data-trouble=broken]", /a shape that this page does not know/],
]) {
  test(`a page that is ${scenario} says so in its own words and passes axe`, () =>
    visit({ scenario }, async (page) => {
      assert.match(await textOf(page, selector), says);
      await assertNoAxeFindings(page, scenario);
      await assertNoSideScroll(page);
    }));
}

test("a silent board leaves unknown, never the old figure as if it were now", () =>
  visit({}, async (page) => {
    const air = '[data-structure="frame"] .air';
    assert.equal(await textOf(page, `${air} [data-figure="air-temperature"]`), "unknown");
    assert.match(await textOf(page, `${air} .state-silent`), /^No reading since 08:12 \(9\.9 °C then\)\.$/);
  }));

test("a stale reading says how old it is, in words", () =>
  visit({}, async (page) => {
    assert.match(await textOf(page, '[data-structure="low-tunnel"] .state-stale'), /^Last heard 38 minutes ago, at 10:04/);
  }));

test("every board silent leaves no advice made up", () =>
  visit({ scenario: "silent" }, async (page) => {
    assert.equal(await textOf(page, '[data-structure="long-tunnel"] [data-part="say"]'), "No advice has been worked out for this cover yet.");
    assert.equal(await textOf(page, '[data-structure="fleece-bed"] .state-unknown'), "No reading of the air here yet.");
    assert.match(await textOf(page, '[data-structure="long-tunnel"] [data-part="damp"]'), /^Whether leaves are wet now is not known, nor how long they were/);
    await assertNoAxeFindings(page, "silent");
  }));

test("a server that goes away is told at the top, the last figures stay but as stale, and all is well when it is back", () =>
  visit({}, async (page, mock) => {
    const air = '[data-structure="long-tunnel"] .air';
    await page.waitForSelector(`${air}[data-state="fresh"]`, PATIENCE);
    await page.route("**/api/**", (route) => route.abort());
    mock.cut();
    await page.waitForSelector("[data-top=offline]", PATIENCE);
    assert.match(await textOf(page, "[data-top=offline]"), /Not connected to the program\. What you see was last heard at 10:42/);
    await page.waitForSelector(`${air}[data-state="stale"]`, PATIENCE);
    assert.equal(await textOf(page, `${air} [data-figure="air-temperature"]`), "13.8 °C");
    await page.unroute("**/api/**");
    await page.waitForSelector(`${air}[data-state="fresh"]`, PATIENCE);
    await page.waitForSelector("[data-top=offline]", { ...PATIENCE, state: "detached" });
  }));

for (const [scenario, says] of [
  ["amber", /The seed frame's board has not been heard/],
  ["red", /The disk is full/],
  ["building", /^Laying down a year of history: 36 % of it done/],
]) {
  test(`health that is ${scenario} shows as a thin line at the top`, () =>
    visit({ scenario }, async (page) => {
      assert.match(await textOf(page, `[data-top=${scenario}]`), says);
      await assertNoAxeFindings(page, scenario);
    }));
}

test("a pointer down the live line brings the new figure without a reload", () =>
  visit({}, async (page, mock) => {
    const figure = '[data-structure="outdoors"] [data-figure="air-temperature"]';
    const old = await textOf(page, figure);
    mock.world.now = () => Date.parse("2026-03-08T13:05:00Z");
    mock.changed({ what: "now", structure: "outdoors" });
    await page.waitForFunction(([selector, was]) => document.querySelector(selector)?.textContent !== was, [figure, (await page.locator(figure).textContent())], PATIENCE);
    assert.notEqual(await textOf(page, figure), old);
    assert.equal(await textOf(page, "[data-clock]"), "13:05");
  }));

test("the doors and the lid in the side views stand as advised for now", () =>
  visit({}, async (page) => {
    const view = (slug) => page.locator(`[data-structure="${slug}"] .side-view`).getAttribute("aria-label", PATIENCE);
    await page.waitForSelector('[data-structure="frame"] [data-advice]', PATIENCE);
    assert.equal(await view("long-tunnel"), "Tunnel seen from the side, as advised: west door shut, east door shut");
    assert.equal(await view("frame"), "Cold frame seen from the end, as advised: lid on the third notch");
    assert.equal(await page.locator('[data-structure="frame"] .side-view .stick').count(), 1, "the propstick holds the lid");
  }));

test("a frost warning is said first, over all structures, with what to mind in the open", () =>
  visit({}, async (page) => {
    await page.waitForSelector('[data-structure="fleece-bed"] [data-advice=cover]', PATIENCE);
    await page.waitForFunction(() => document.querySelector("main .strip")?.dataset.structure === "fleece-bed", null, PATIENCE);
    assert.deepEqual(await page.locator("main .strip").evaluateAll((all) => all.map((one) => one.dataset.structure)), ["fleece-bed", "long-tunnel", "low-tunnel", "frame", "outdoors"]);
    const bed = '[data-structure="fleece-bed"] .advice.first';
    assert.match(await textOf(page, `${bed} [data-part="say"]`), /^Clear and still tonight\. Fleece the potatoes before dark/);
    assert.equal(await textOf(page, `${bed} [data-part="care"]`), "Do not water now. No picking, watering or lifting of fleece until the leaves are soft.");
    const kinds = (slug) => page.locator(`[data-structure="${slug}"] .advice`).evaluateAll((all) => all.map((one) => one.dataset.advice));
    assert.deepEqual(await kinds("fleece-bed"), ["frost", "cover"]);
    assert.deepEqual(await kinds("frame"), ["vent", "frost", "water"]);
  }));

test("what needs nothing doing is one line, and opens to each bed with its why", () =>
  visit({}, async (page) => {
    const folded = '[data-structure="long-tunnel"] [data-part="folded"]';
    assert.equal(await textOf(page, `${folded} > summary`), "No frost to guard against tonight; water can wait: Salads at the west end and chard bed");
    const waits = page.locator(`${folded} [data-about="salad-bed"]`);
    assert.ok(!(await waits.isVisible()));
    await page.locator(`${folded} > summary`).click();
    assert.match(plain(await waits.locator('[data-part="say"]').textContent()), /^The salad bed can wait 6 to 12 days\./);
    await waits.locator(".why > summary").click();
    assert.match(plain(await waits.locator('[data-part="because"]').textContent()), /the crop can spare/);
    assert.ok(await page.locator('[data-structure="long-tunnel"] [data-about="bean-row"] > [data-part="say"]').isVisible(), "a bed that is due is not folded");
  }));

test("why tells the reason, the plan, what is expected, the doubt, and each reading with its age", () =>
  visit({}, async (page) => {
    const vent = '[data-structure="long-tunnel"] [data-advice=vent]';
    await page.locator(`${vent} .why > summary`).click(PATIENCE);
    const why = await textOf(page, `${vent} [data-part="why"]`);
    for (const said of [
      /what comes in is drier/, /Both doors: open a hand's width, 11:30 to 15:30/, /expect between 8\.0 °C and 10\.5 °C and between 79 % and 88 % inside/,
      /Another move at one would spare/, /Pick between 12:00 and 14:30/, /Both gauges may be 3 % out/, /Tunnel middle, humidity91 %10:36, 6 minutes ago/, /No ladder for any of this/,
    ]) assert.match(why, said);
    await page.locator('[data-structure="fleece-bed"] [data-advice=cover] .why > summary').click(PATIENCE);
    assert.match(await textOf(page, '[data-structure="fleece-bed"] [data-advice=cover] [data-part="why"]'), /Fleece by the path: laid, 16:00 to tomorrow 08:00/);
    await page.locator('[data-structure="fleece-bed"] [data-advice=frost] .why > summary').click(PATIENCE);
    assert.match(await textOf(page, '[data-structure="fleece-bed"] [data-advice=frost] [data-part="why"]'), /Expect a low between -3 °C and 0 °C where the leaves are/);
  }));

test("damp is said in words: how long leaves were wet as a range, risk as a level with its doubt, never a number", () =>
  visit({}, async (page) => {
    const damp = (slug, part) => textOf(page, `[data-structure="${slug}"] [data-part="damp"] ${part}`);
    assert.equal(await damp("long-tunnel", '[data-part="wet"]'), "Leaves are likely dry now; they were wet for 11 to 15 of the last 24 hours; the humidity sensor decides.");
    assert.match(await damp("long-tunnel", "li[data-level=raised]"), /^Raised risk: downy mildew on lettuce/);
    assert.equal(await damp("long-tunnel", ".doubt"), "The humidity sensor decides: it may be some to high for lettuce.");
    assert.match(await damp("low-tunnel", "li[data-level=high]"), /^High risk: grey mould on lettuce/);
    assert.match(await damp("frame", '[data-wet="unknown"]'), /is not known/);
    assert.match(await damp("frame", "li[data-level=unknown]"), /^Risk not known for seedlings/);
    for (const risk of await page.locator(".risks").allTextContents()) assert.doesNotMatch(risk, /\d/);
    assert.equal(await page.locator('[data-structure="fleece-bed"] .risks').count(), 0, "nothing is made up where nothing is told");
  }));

test("from an advice one gets to where its numbers come from, by keyboard too, and each number is told its source", () =>
  visit({}, async (page, _mock, { complaints }) => {
    const why = '[data-structure="low-tunnel"] [data-advice=vent] .why';
    await page.locator(`${why} > summary`).click(PATIENCE);
    await page.locator(`${why} .to-sources`).focus();
    await page.keyboard.press("Enter");
    await page.waitForSelector('.sources[open] [data-part="sources"]', PATIENCE);
    assert.ok(await page.evaluate(() => document.activeElement?.id === "sources"), "the focus comes along");
    const said = await textOf(page, '[data-part="sources"]');
    assert.match(said, /2 single numbers and 3 in tables: 2 published, 2 secondary and 1 our proposal\. Version 7/);
    assert.match(said, /Wet rh pct90 %RH \(holds from 85 to 95\)Published: Invented and others 1999/);
    assert.match(said, /Lettuce downy mildewleast 1 °C, optimum 15 °CSecondary: a public transcription/);
    await assertNoAxeFindings(page, "sources");
    assert.deepEqual(complaints, []);
  }));

test("a program that knows none of the new answers is shown as before, and sources as not there", () =>
  visit({ scenario: "older" }, async (page) => {
    assert.equal(await textOf(page, '[data-structure="low-tunnel"] [data-part="say"]'), "Keep it shut this morning. Look again at noon.");
    assert.equal(await textOf(page, '[data-structure="fleece-bed"] [data-part="say"]'), "No advice has been worked out for this cover yet.");
    assert.equal(await page.locator('[data-part="damp"], [data-part="folded"]').count(), 0);
    await page.locator(".sources > summary").click(PATIENCE);
    assert.equal(await textOf(page, ".sources [data-trouble=missing]"), "The program has nothing on where the numbers come from: There is no such page.");
    await assertNoAxeFindings(page, "older");
  }));

test("advice of another day says when it was said, and advice that has run out calls nobody out", () =>
  visit({}, async (page, mock) => {
    await page.waitForSelector('[data-structure="fleece-bed"] [data-part="care"]', PATIENCE);
    await page.route("**/fleece-bed/advice", async (route) => {
      const body = await (await route.fetch()).json();
      for (const one of body.advice) Object.assign(one, { made_at: "2026-03-07T13:05:00Z", until: "2026-03-08T09:00:00Z" });
      await route.fulfill({ json: body });
    });
    mock.changed({ what: "advice", structure: "fleece-bed" });
    await page.waitForSelector('[data-structure="fleece-bed"] [data-part="care"]', { ...PATIENCE, state: "detached" });
    assert.equal(
      await textOf(page, '[data-structure="fleece-bed"] [data-part="said-when"]'), "Said yesterday 13:05. This held until 09:00; the next has not been worked out yet.",
    );
    assert.equal(await page.locator('[data-structure="fleece-bed"] [data-part="did-it"]').count(), 0);
  }));

test("three taps tell a look out of the window, and one takes it back", () =>
  visit({}, async (page, mock, { complaints }) => {
    const look = '[data-part="look-out"]';
    await page.locator(`${look} > summary`).click(PATIENCE);
    await page.locator('[data-look="sky clear"]').click();
    await page.locator('[data-look="wind calm"]').click();
    assert.equal(mock.world.told.length, 0, "two taps are not a look");
    await page.locator('[data-look="wet dry"]').focus();
    await page.keyboard.press("Enter");
    await page.waitForSelector(`${look} [data-told=kept]`, PATIENCE);
    assert.match(await textOf(page, `${look} [data-told=kept] p`), /^Kept: Sky clear, wind calm, dry at 10:42\.$/);
    assert.deepEqual(mock.world.told.map(({ where, body }) => [where, body]), [["observations", { look: { sky: "clear", wind: "calm", wet: "dry" } }]]);
    await assertNoAxeFindings(page, "told");
    await page.locator(`${look} [data-told=kept] button`).click();
    await page.waitForSelector(`${look} [data-told=nothing]`, { ...PATIENCE, state: "attached" });
    assert.ok(mock.world.told[0].undone_at);
    assert.equal(await page.locator(`${look} [aria-pressed=true]`).count(), 3, "what was tapped stays");
    assert.deepEqual(complaints, []);
  }));

test("what was made of an advice is told by its number, keeps while the page draws anew, and is taken back", () =>
  visit({}, async (page, mock) => {
    const did = '[data-structure="fleece-bed"] .advice.first [data-part="did-it"]';
    await page.locator(`${did} button`, { hasText: "Left as it was" }).click(PATIENCE);
    await page.waitForSelector(`${did} [data-told=kept]`, PATIENCE);
    assert.deepEqual(mock.world.told.map(({ where, body }) => [where, body]), [["events", { kind: "not_done", what: "45" }]]);
    mock.changed({ what: "advice", structure: "fleece-bed" });
    await page.waitForResponse("**/fleece-bed/advice", PATIENCE);
    assert.match(await textOf(page, `${did} [data-told=kept] p`), /^Kept: Advice 45 left/);
    await page.locator(`${did} [data-told=kept] button`).click();
    await page.locator(`${did} button`, { hasText: "Done" }).waitFor(PATIENCE);
    assert.equal(await page.locator('[data-structure="low-tunnel"] [data-part="folded"] [data-part="did-it"]').count(), 0, "nothing to do is nothing to tell");
  }));

test("what was made of an advice is still known after a reload and on another page, and is taken back there", () =>
  visit({}, async (page, mock, { complaints }) => {
    const did = '[data-structure="fleece-bed"] .advice.first [data-part="did-it"]';
    await page.locator(`${did} button`, { hasText: "Done" }).click(PATIENCE);
    await page.waitForSelector(`${did} [data-told=kept]`, PATIENCE);
    const other = await page.context().newPage();
    await other.goto(mock.url);
    assert.match(await textOf(other, `${did} [data-told=kept] p`), /^Kept: Advice 45 followed/);
    await page.reload();
    assert.match(await textOf(page, `${did} [data-told=kept] p`), /^Kept: Advice 45 followed/);
    assert.equal(await page.locator(`${did} button`).count(), 1, "what is answered is not asked again");
    await page.locator(`${did} [data-told=kept] button`).click();
    await page.locator(`${did} button`, { hasText: "Done" }).waitFor(PATIENCE);
    assert.ok(mock.world.told[0].undone_at);
    mock.changed({ what: "events", structure: "fleece-bed" });
    await other.locator(`${did} button`, { hasText: "Done" }).waitFor(PATIENCE);
    assert.deepEqual(complaints, []);
    await other.close();
  }));

test("the ribbon has a band for wet leaves, filled, paler and hatched, and says the same in words and in the table", () =>
  visit({}, async (page) => {
    const strip = '[data-structure="long-tunnel"]';
    await page.waitForSelector(`${strip} .wet-band .wet`, { ...PATIENCE, state: "attached" });
    assert.deepEqual(
      [await page.locator(`${strip} .wet-band .wet:not(.perhaps)`).count(), await page.locator(`${strip} .wet-band .perhaps`).count(), await page.locator(`${strip} .wet-band .gap`).count()], [2, 1, 1],
    );
    assert.match(await textOf(page, `${strip} [data-part="wet-day"]`), /^Leaves likely wet 00:00 to 03:00 and 05:00 to 08:00; possibly 08:00 to 09:00/);
    await page.locator(`${strip} .table-of > summary`).click();
    await page.waitForSelector(`${strip} .table-of td:last-child`, PATIENCE);
    const cells = await page.locator(`${strip} .table-of td:last-child`).allTextContents();
    assert.deepEqual(cells.slice(2, 10), ["Likely wet", "Wetness not known", "Wetness not known", "Likely wet", "Likely wet", "Likely wet", "Possibly wet", "Dry"]);
  }));

test("covers have a row of their own on the ribbon, and are named as the grower names them", () =>
  visit({}, async (page) => {
    const strip = '[data-structure="fleece-bed"]';
    await page.waitForSelector(`${strip} .cover-row .laid`, { ...PATIENCE, state: "attached" });
    assert.equal(await page.locator('[data-structure="long-tunnel"] .cover-row').count(), 0, "no row where no cover moves");
    assert.match(await textOf(page, `${strip} [data-advice=cover] .to-tick li`), /^Fleece by the path: laid, /);
    await page.locator(`${strip} .picture`).first().focus();
    await page.keyboard.press("End");
    await page.keyboard.press("PageDown");
    assert.match(await page.locator(`${strip} .picture`).first().getAttribute("aria-valuetext"), /fleece by the path laid/);
  }));

test("what could not be kept says so, and trying again keeps it once", () =>
  visit({}, async (page, mock) => {
    const did = '[data-structure="long-tunnel"] .advice.first [data-part="did-it"]';
    let lose = true;
    await page.route("**/api/events", async (route) => {
      // The answer is lost on the way, not the question.
      if (lose) await route.fetch();
      return lose ? route.abort() : route.continue();
    });
    await page.locator(`${did} button`, { hasText: "Done" }).click(PATIENCE);
    await page.waitForSelector(`${did} [data-told=failed]`, PATIENCE);
    assert.equal(await textOf(page, `${did} .not-kept`), "Not known to be kept: the program cannot be reached. Trying again does no harm.");
    lose = false;
    await page.locator(`${did} button`, { hasText: "Try again" }).click();
    await page.waitForSelector(`${did} [data-told=kept]`, PATIENCE);
    assert.equal(mock.world.told.length, 1, "kept once");
  }));

test("a program that can be told nothing says why", () =>
  visit({ scenario: "replay" }, async (page) => {
    const did = '[data-structure="fleece-bed"] .advice.first [data-part="did-it"]';
    await page.locator(`${did} button`, { hasText: "Done" }).click(PATIENCE);
    assert.equal(await textOf(page, `${did} .not-kept`), "Not kept: History is being shown or laid down; nothing can be told now.");
    await assertNoAxeFindings(page, "refused to be told");
  }));

test("the ribbon tells any moment to the keyboard, and what it does not know as unknown", () =>
  visit({}, async (page) => {
    const ribbon = page.locator('[data-structure="long-tunnel"] .ribbon .picture');
    await ribbon.focus(PATIENCE);
    await page.keyboard.press("Home");
    assert.match(plain(await ribbon.getAttribute("aria-valuetext")), /^00:00: inside 6\.0 °C, outside 4\.\d °C, leaves likely wet, advised: both doors shut$/);
    for (let press = 0; press < 4; press++) await page.keyboard.press("PageUp");
    assert.match(plain(await ribbon.getAttribute("aria-valuetext")), /^04:00: inside no reading, outside 3\.\d °C/);
    await page.keyboard.press("End");
    assert.match(await ribbon.getAttribute("aria-valuetext"), /^24:00: advised: both doors shut$/);
  }));

test("the ribbon tells the moment under the pointer in the line above it", () =>
  visit({}, async (page) => {
    const ribbon = page.locator('[data-structure="long-tunnel"] .ribbon');
    await page.waitForSelector('[data-structure="long-tunnel"] .trace', PATIENCE);
    await ribbon.locator(".picture").scrollIntoViewIfNeeded();
    const box = await ribbon.locator(".picture").boundingBox();
    await page.mouse.move(box.x + 44 + (box.width - 54) / 4, box.y + 50);
    assert.match(plain(await ribbon.locator(".readout").textContent()), /^06:00 inside 5\.\d °C, outside 4\.\d °C/);
  }));

test("gaps are hatched and no line crosses them; a whole ribbon has none", () =>
  visit({}, async (page) => {
    await page.waitForSelector('[data-structure="long-tunnel"] .ribbon .gap', { ...PATIENCE, state: "attached" });
    const gap = await page.locator('[data-structure="long-tunnel"] .ribbon .gap').first().boundingBox();
    const lines = await page.locator('[data-structure="long-tunnel"] .ribbon .inside .trace').all();
    assert.equal(lines.length, 2);
    for (const line of lines) {
      const box = await line.boundingBox();
      assert.ok(box.x + box.width <= gap.x + 2 || box.x >= gap.x + gap.width - 2, "a line crosses the gap");
    }
    assert.equal(await page.locator('[data-structure="outdoors"] .ribbon .gap').count(), 0);
  }));

for (const [name, at, hours, marks] of [
  ["23", "2026-03-29T15:00:00Z", 23, ["00", "06", "12", "18", "24"]],
  ["25", "2026-10-25T15:00:00Z", 25, ["00", "06", "12", "18", "24"]],
]) {
  test(`a day of ${name} hours has the whole of it on its ribbon, and says so, wherever the phone is`, () =>
    visit({ at: Date.parse(at) }, async (page) => {
      const ribbon = page.locator('[data-structure="outdoors"] .ribbon .picture');
      await page.waitForSelector('[data-structure="outdoors"] .trace', PATIENCE);
      assert.equal(await ribbon.getAttribute("aria-valuemax"), String(hours * 60));
      const ticks = (await page.locator('[data-structure="outdoors"] .ribbon text.tick').allTextContents()).filter((text) => /^\d\d$/.test(text));
      assert.deepEqual(ticks, marks);
      assert.match(await textOf(page, ".where"), new RegExp(`it has ${hours} hours`));
      assert.match(await textOf(page, "[data-zone-note]"), /^All times are the garden's \(Europe\/London\)/);
    }, { width: 390, zone: "America/Los_Angeles" }));
}

test("the week and the year show seven days, a hatched gap and where the record begins", () =>
  visit({}, async (page) => {
    await page.waitForSelector('[data-season="long-tunnel"] .year .gap', { ...PATIENCE, state: "attached" });
    assert.equal(await page.locator('[data-season="long-tunnel"] .week .field').count(), 7);
    assert.match(await textOf(page, '[data-season="long-tunnel"] .year-words'), /No figures from \d+ November 2025 to \d+ November 2025/);
    assert.match(await textOf(page, '[data-season="fleece-bed"] .year-words'), /the record begins on \d+ January 2026/);
  }));

async function openAll(page) {
  await page.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));
  await page.waitForSelector("details[open] table", PATIENCE);
}

for (const [width, scheme] of [[390, "light"], [390, "dark"], [1280, "light"], [1280, "dark"]]) {
  test(`at ${width} px, ${scheme}: axe is content with everything closed and everything open, and nothing is complained of`, () =>
    visit({}, async (page, _mock, { complaints }) => {
      await page.waitForSelector('[data-season="outdoors"] .day-band', { ...PATIENCE, state: "attached" });
      await assertInkReadable(page);
      await assertNoAxeFindings(page, "closed");
      await openAll(page);
      await assertNoAxeFindings(page, "open");
      assert.deepEqual(complaints, []);
    }, { width, scheme }));
}

for (const width of [320, 390, 820, 1280, 1920]) {
  test(`at ${width} px nothing runs out of the page, targets are large and the keyboard reaches all`, () =>
    visit({}, async (page) => {
      await page.waitForSelector('[data-season="outdoors"] .day-band', { ...PATIENCE, state: "attached" });
      await assertNoSideScroll(page);
      await assertTargetsLargeEnough(page);
      await assertKeyboardReachesAll(page);
      await openAll(page);
      await assertNoSideScroll(page);
    }, { width }));
}

test("on paper there is a box to tick for each move, and the week", () =>
  visit({}, async (page) => {
    await page.waitForSelector('[data-season="long-tunnel"] .week svg', PATIENCE);
    await page.emulateMedia({ media: "print" });
    assert.ok(await page.locator('[data-structure="long-tunnel"] .to-tick li').first().isVisible());
    assert.ok(await page.locator('[data-season="long-tunnel"] .week svg').isVisible());
    assert.ok(!(await page.locator('[data-structure="long-tunnel"] .day').isVisible()));
  }, { width: 800 }));
