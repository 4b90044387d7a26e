// What must be true of any page of ours, whatever it shows.
import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";

const LEAST_TARGET_PX = 44;

/** A page that remembers every complaint of the browser: errors, failed requests, breaches of the content policy. */
export async function watchedPage(browser, { width, height = 900, scheme = "light", zone = "Europe/London" }) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, timezoneId: zone, locale: "en-GB", reducedMotion: "reduce" });
  await context.addInitScript(() => {
    window.policyBreaches = [];
    document.addEventListener("securitypolicyviolation", (event) => window.policyBreaches.push(`${event.violatedDirective}: ${event.blockedURI}`));
  });
  const page = await context.newPage();
  const complaints = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => complaints.push(`uncaught: ${error.stack ?? error}`));
  page.on("response", (response) => {
    if (response.status() >= 400) complaints.push(`${response.status()} for ${response.url()}`);
  });
  return { page, complaints, close: () => context.close() };
}

export async function assertNoComplaints(page, complaints) {
  assert.deepEqual(complaints, [], "the browser complained");
  assert.deepEqual(await page.evaluate(() => window.policyBreaches), [], "the content policy was broken");
}

/** The page must come with a policy that allows nothing inline, or the absence of breaches means nothing. */
export function assertStrictPolicy(response) {
  const policy = response.headers()["content-security-policy"] ?? "";
  assert.match(policy, /default-src 'none'/, "no content policy");
  assert.doesNotMatch(policy, /unsafe-inline|unsafe-eval|\*/, "a content policy with a hole");
}

/** axe over everything but the drawings: those are hidden from readers, and axe cannot judge ink on them; `assertInkReadable` does. */
export async function assertNoAxeFindings(page, where) {
  const { violations } = await new AxeBuilder({ page }).exclude('svg[aria-hidden="true"]').analyze();
  const told = violations.map((v) => `${v.id} (${v.impact}): ${v.help}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 4).join("; ")}`);
  assert.deepEqual(told, [], `axe found something ${where}`);
}

const LEAST_CONTRAST = 4.5;

/** Every ink that text is written in, on every ground it may stand on, drawings included. */
export async function assertInkReadable(page) {
  const poor = await page.evaluate((least) => {
    const probe = document.body.appendChild(document.createElement("i"));
    const light = (token) => {
      probe.style.color = `var(--${token})`;
      const parts = getComputedStyle(probe).color.match(/[\d.]+/g).slice(0, 3).map((part) => Number(part) / 255);
      const [r, g, b] = parts.map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const found = [];
    for (const ink of ["ink", "soft", "green", "amber", "red", "blue"]) {
      for (const ground of ["paper", "field", "night", "twilight"]) {
        const [a, b] = [light(ink), light(ground)].sort((x, y) => y - x);
        const ratio = (a + 0.05) / (b + 0.05);
        if (!(ratio >= least)) found.push(`${ink} on ${ground}: ${ratio.toFixed(2)}`);
      }
    }
    probe.remove();
    return found;
  }, LEAST_CONTRAST);
  assert.deepEqual(poor, [], `contrast under ${LEAST_CONTRAST}`);
}

export async function assertNoSideScroll(page) {
  const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  assert.ok(wide <= room, `the page is ${wide} px wide in a window of ${room} px`);
}

export async function assertTargetsLargeEnough(page) {
  const small = await page.evaluate((least) => {
    const tappable = document.querySelectorAll("a[href], button, summary, input, select, textarea, [role=slider], [role=button]");
    return [...tappable]
      .filter((element) => element.checkVisibility())
      .map((element) => ({ name: element.getAttribute("aria-label") ?? element.textContent, box: element.getBoundingClientRect() }))
      .filter(({ box }) => box.height < least || box.width < least)
      .map(({ name, box }) => `${name}: ${Math.round(box.width)} x ${Math.round(box.height)} px`);
  }, LEAST_TARGET_PX);
  assert.deepEqual(small, [], `smaller than ${LEAST_TARGET_PX} px`);
}

/** Waits, within bounds, until no answer changes any more what can be worked on the page. */
export async function waitSettled(page, { quiet_ms = 700, patience_ms = 20_000 } = {}) {
  const count = () => page.evaluate(() => document.querySelectorAll("a[href], button, summary, [tabindex='0']").length);
  const end = Date.now() + patience_ms;
  for (let [before, since] = [await count(), Date.now()]; Date.now() - since < quiet_ms; ) {
    assert.ok(Date.now() < end, "the page does not settle");
    await page.waitForTimeout(100);
    const now = await count();
    if (now !== before) [before, since] = [now, Date.now()];
  }
}

/** Tab must reach everything that can be worked, in reading order, with the focus to be seen, and then leave the page. */
export async function assertKeyboardReachesAll(page) {
  const wanted = await page.evaluate(() => {
    const workable = [...document.querySelectorAll("a[href], button, summary, input, select, textarea, [tabindex='0']")].filter((e) => e.checkVisibility());
    workable.forEach((element, index) => element.setAttribute("data-order", String(index)));
    document.activeElement?.blur?.();
    window.scrollTo(0, 0);
    return workable.length;
  });
  assert.ok(wanted > 0, "nothing to reach");
  const reached = [];
  for (let press = 0; press < wanted; press++) {
    await page.keyboard.press("Tab");
    const found = await page.evaluate(() => {
      const element = document.activeElement;
      const style = getComputedStyle(element);
      return { order: element.getAttribute("data-order"), seen: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, name: element.getAttribute("aria-label") ?? element.textContent };
    });
    assert.ok(found.seen, `the focus on "${found.name}" cannot be seen`);
    reached.push(Number(found.order));
  }
  assert.deepEqual(reached, Array.from({ length: wanted }, (_, i) => i), "Tab goes another way than one reads");
}

/** Figures as a person reads them: plain spaces, plain minus. */
export function plain(text) {
  return text.replaceAll("\u00a0", " ").replaceAll("\u2212", "-").replaceAll("\u2019", "'").replace(/\s+/g, " ").trim();
}
