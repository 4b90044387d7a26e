// Instants and the garden's clock. All instants are UTC milliseconds; all dates are YYYY-MM-DD in the garden's zone.

export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;
export const DAY_MS = 86_400_000;

/** The first instant of a civil day and of the next: 23, 24 or 25 hours apart. */
export interface DayBounds {
  date: string;
  from: number;
  to: number;
}

export interface WallClock {
  date: string;
  hour: number;
  minute: number;
}

const clocks = new Map<string, Intl.DateTimeFormat>();

function clockOf(zone: string): Intl.DateTimeFormat {
  let clock = clocks.get(zone);
  if (!clock) {
    clock = new Intl.DateTimeFormat("en-GB", {
      timeZone: zone,
      hourCycle: "h23",
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
    });
    clocks.set(zone, clock);
  }
  return clock;
}

/** What the clock on the garden's wall shows at an instant. */
export function wallClock(at: number, zone: string): WallClock {
  const part: Record<string, string> = {};
  for (const { type, value } of clockOf(zone).formatToParts(at)) part[type] = value;
  return { date: `${part.year}-${part.month}-${part.day}`, hour: Number(part.hour), minute: Number(part.minute) };
}

export function dateAt(at: number, zone: string): string {
  return wallClock(at, zone).date;
}

/** "08:05" in the garden's zone. */
export function timeAt(at: number, zone: string): string {
  const { hour, minute } = wallClock(at, zone);
  return `${String(hour).padStart(2, "0")}:${String(minute).padStart(2, "0")}`;
}

/** Minutes by which the garden's clock is ahead of UTC. */
export function offsetMinutes(at: number, zone: string): number {
  const { date, hour, minute } = wallClock(at, zone);
  const asUtc = Date.parse(`${date}T00:00:00Z`) + hour * HOUR_MS + minute * MINUTE_MS;
  return Math.round((asUtc - Math.floor(at / MINUTE_MS) * MINUTE_MS) / MINUTE_MS);
}

/** The date `days` later (or earlier). Pure calendar: no zone, no clock. */
export function shiftDate(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY_MS);
}

const known = new Map<string, DayBounds>();

/** Midnight to midnight of a date in a zone. Right on days of 23 and 25 hours, and where midnight itself is skipped. */
export function dayBounds(date: string, zone: string): DayBounds {
  const key = `${zone} ${date}`;
  let bounds = known.get(key);
  if (!bounds) {
    bounds = { date, from: firstInstant(date, zone), to: firstInstant(shiftDate(date, 1), zone) };
    known.set(key, bounds);
  }
  return bounds;
}

/** The first whole minute whose date in the zone is `date` or later, found by halving. */
function firstInstant(date: string, zone: string): number {
  const utcMidnight = Date.parse(`${date}T00:00:00Z`);
  let before = (utcMidnight - 15 * HOUR_MS) / MINUTE_MS;
  let reached = (utcMidnight + 15 * HOUR_MS) / MINUTE_MS;
  while (reached - before > 1) {
    const middle = Math.floor((before + reached) / 2);
    if (dateAt(middle * MINUTE_MS, zone) >= date) reached = middle;
    else before = middle;
  }
  return reached * MINUTE_MS;
}

/** Instants within a day at which the garden's clock strikes a multiple of `every` hours, with the hour it strikes. */
export function hourMarks(day: DayBounds, zone: string, every: number): { at: number; hour: number }[] {
  const marks: { at: number; hour: number }[] = [];
  for (let at = day.from; at < day.to; at += 30 * MINUTE_MS) {
    const { hour, minute } = wallClock(at, zone);
    const again = marks.at(-1)?.hour === hour;
    if (minute === 0 && hour % every === 0 && !again) marks.push({ at, hour });
  }
  marks.push({ at: day.to, hour: 24 });
  return marks;
}

/** Whether this device's clock shows another time than the garden's at any of these instants. */
export function deviceDiffers(zone: string, instants: number[]): boolean {
  return instants.some((at) => -new Date(at).getTimezoneOffset() !== offsetMinutes(at, zone));
}

/** "2026-03-08T00:00:00Z": what the server is asked with. */
export function rfc3339(at: number): string {
  return new Date(at).toISOString().replace(".000Z", "Z");
}

/** An instant from an answer, or null where there is none or it cannot be read. */
export function instant(text: string | null | undefined): number | null {
  if (!text) return null;
  const at = Date.parse(text);
  return Number.isFinite(at) ? at : null;
}
