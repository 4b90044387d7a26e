// Everything Today shows, and the questions that bring it.
import { computed, signal } from "@preact/signals";
import { type Answer, ask } from "../api/ask.ts";
import type { AdviceAnswer, Days, Health, Now, Readings, Sources, Structures, Sun, Wet } from "../api/shapes.ts";
import { hear, now } from "../time/clock.ts";
import { dateAt, dayBounds, instant, rfc3339, shiftDate } from "../time/zone.ts";
import { due } from "./errands.ts";
import { emptySlot, fill, type SlotSignal } from "./slot.ts";

/** Days in the stacked week, today included. */
export const WEEK_DAYS = 7;
/** Days in the year strip, today included. */
export const YEAR_DAYS = 366;

const TODAY_POINTS = 288;
const WEEK_POINTS = (WEEK_DAYS - 1) * 144;

/** What is known of one structure. */
export interface Known {
  now: SlotSignal<Now>;
  advice: SlotSignal<AdviceAnswer>;
  today: SlotSignal<Readings>;
  /** When leaves were wet today. */
  wet: SlotSignal<Wet>;
  week: SlotSignal<Readings>;
  days: SlotSignal<Days>;
}

export const structures = emptySlot<Structures>();
export const health = emptySlot<Health>();
export const sources = emptySlot<Sources>();
/** Whether the server's live line is up; null before the first try has ended. */
export const connected = signal<boolean | null>(null);
/** When the server last answered anything, on the garden's clock. */
export const lastHeard = signal<number | null>(null);

export const zone = computed(() => structures.value.value?.garden.zone ?? "UTC");
/** Today's date in the garden; null until the server has said what time it is. */
export const today = computed(() => (now.value === null ? null : dateAt(now.value, zone.value)));
export const outside = computed(() => structures.value.value?.structures.find((s) => s.outside) ?? null);

/** Whether a history is being laid down: until that is done, what is held of the present is not the present. */
export const building = computed(() => Boolean(health.value.value?.build_progress));

const known = new Map<string, Known>();
const suns = new Map<string, SlotSignal<Sun>>();

export function knownOf(slug: string): Known {
  let found = known.get(slug);
  if (!found) {
    found = { now: emptySlot(), advice: emptySlot(), today: emptySlot(), wet: emptySlot(), week: emptySlot(), days: emptySlot() };
    known.set(slug, found);
  }
  return found;
}

export function sunOf(date: string): SlotSignal<Sun> {
  let sun = suns.get(date);
  if (!sun) {
    sun = emptySlot();
    suns.set(date, sun);
  }
  return sun;
}

function settle<T>(slot: SlotSignal<T>, answer: Answer<T>): boolean {
  const good = fill(slot, answer);
  if (good) lastHeard.value = now.peek();
  return good;
}

function path(slug: string, rest: string): string {
  return `/api/structures/${encodeURIComponent(slug)}/${rest}`;
}

export function bringStructures(): void {
  due("structures", async () => {
    const answer = await ask<Structures>("/api/structures", (v) => Array.isArray(v.structures) && typeof v.garden?.zone === "string");
    if (answer.ok) hear(instant(answer.value.at));
    if (settle(structures, answer)) bringAllStructures();
  });
}

export function bringHealth(): void {
  due("health", async () => {
    const answer = await ask<Health>("/api/health", (v) => typeof v.status === "string");
    if (answer.ok) hear(instant(answer.value.at));
    settle(health, answer);
  });
}

/** Asks where the numbers come from: they stay the same as long as the program runs. */
export function bringSources(): void {
  if (sources.peek().value) return;
  due("sources", async () => {
    settle(sources, await ask<Sources>("/api/sources", (v) => Array.isArray(v.constants)));
  });
}

export function bringNow(slug: string): void {
  due(`now ${slug}`, async () => {
    const answer = await ask<Now>(path(slug, "now"), (v) => Array.isArray(v.spots));
    if (answer.ok) hear(instant(answer.value.at));
    settle(knownOf(slug).now, answer);
  });
}

export function bringAdvice(slug: string): void {
  due(`advice ${slug}`, async () => {
    settle(knownOf(slug).advice, await ask<AdviceAnswer>(path(slug, "advice"), (v) => Array.isArray(v.advice)));
  });
}

/** Asks when leaves were wet today. A program that cannot tell leaves the band away. */
export function bringWet(slug: string, spacing_ms = 0): void {
  due(
    `wet ${slug}`,
    async () => {
      const date = today.peek();
      if (date === null) return;
      const { from, to } = dayBounds(date, zone.peek());
      settle(knownOf(slug).wet, await ask<Wet>(path(slug, `wet?from=${rfc3339(from)}&to=${rfc3339(to)}`), (v) => Array.isArray(v.leaves)));
    },
    spacing_ms,
  );
}

/** Asks for the day's readings; on news only so often, as each answer is the whole day. */
export function bringToday(slug: string, spacing_ms = 0): void {
  due(
    `today ${slug}`,
    async () => {
      const date = today.peek();
      if (date === null) return;
      const { from, to } = dayBounds(date, zone.peek());
      settle(knownOf(slug).today, await askReadings(slug, from, to, TODAY_POINTS));
      bringSun(date);
    },
    spacing_ms,
  );
}

/** Asks for the readings of the week's earlier days; its last row is drawn from the day's own. */
export function bringWeek(slug: string, spacing_ms = 0): void {
  due(
    `week ${slug}`,
    async () => {
      const date = today.peek();
      if (date === null) return;
      const from = dayBounds(shiftDate(date, 1 - WEEK_DAYS), zone.peek()).from;
      settle(knownOf(slug).week, await askReadings(slug, from, dayBounds(date, zone.peek()).from, WEEK_POINTS));
      for (let back = 1; back < WEEK_DAYS; back++) bringSun(shiftDate(date, -back));
    },
    spacing_ms,
  );
}

function askReadings(slug: string, from: number, to: number, points: number): Promise<Answer<Readings>> {
  const query = `readings?quantity=air-temperature&from=${rfc3339(from)}&to=${rfc3339(to)}&points=${points}`;
  return ask<Readings>(path(slug, query), (v) => Array.isArray(v.series) && Array.isArray(v.gaps) && typeof v.step_s === "number");
}

/** First dates of the stretches of days that are due, by structure. */
const daysDue = new Map<string, string>();

/** Asks for the days from a date on (the whole year without one) and puts them in the place of those held. */
export function bringDays(slug: string, since: string | null = null, spacing_ms = 0): void {
  const first = since ?? "";
  const already = daysDue.get(slug);
  daysDue.set(slug, already !== undefined && already < first ? already : first);
  due(
    `days ${slug}`,
    async () => {
      const date = today.peek();
      if (date === null) return;
      const slot = knownOf(slug).days;
      const year = shiftDate(date, 1 - YEAR_DAYS);
      const wanted = daysDue.get(slug) ?? "";
      daysDue.delete(slug);
      const held = wanted > year ? slot.peek().value : null;
      const from = held ? (wanted < date ? wanted : date) : year;
      const answer = await ask<Days>(path(slug, `days?from=${from}&to=${date}&kind=civil`), (v) => Array.isArray(v.days));
      if (!answer.ok) daysDue.set(slug, wanted);
      else if (held) answer.value = { ...answer.value, days: [...held.days.filter((day) => day.date < from), ...answer.value.days] };
      settle(slot, answer);
    },
    spacing_ms,
  );
}

const sunsAsked = new Set<string>();

/** Asks once when the sun rises and sets on a date: that never changes. */
function bringSun(date: string): void {
  if (sunsAsked.has(date)) return;
  sunsAsked.add(date);
  due(`sun ${date}`, async () => {
    if (!fill(sunOf(date), await ask<Sun>(`/api/sun?date=${date}`, (v) => v.date !== undefined))) sunsAsked.delete(date);
  });
}

/** Asks for what a structure's strip shows, and after that for its week and year. */
export function bringStructure(slug: string): void {
  bringNow(slug);
  bringAdvice(slug);
  bringToday(slug);
  bringWet(slug);
  bringDays(slug);
  bringWeek(slug);
}

/** The first instant of today in the garden; null until the server has said what time it is. */
export function midnight(): number | null {
  const date = today.peek();
  return date === null ? null : dayBounds(date, zone.peek()).from;
}

function bringAllStructures(): void {
  for (const slug of slugs()) bringStructure(slug);
}

export function slugs(): string[] {
  return structures.peek().value?.structures.map((structure) => structure.slug) ?? [];
}
