// Times and ages in words, always on the garden's clock.
import { DAY_MS, dateAt, HOUR_MS, MINUTE_MS, shiftDate, timeAt } from "../time/zone.ts";

function dated(options: Intl.DateTimeFormatOptions): (date: string) => string {
  const format = new Intl.DateTimeFormat("en-GB", { timeZone: "UTC", ...options });
  return (date) => format.format(Date.parse(`${date}T12:00:00Z`)).replace(",", "");
}

/** "Sunday 8 March 2026" */
export const longDate = dated({ weekday: "long", day: "numeric", month: "long", year: "numeric" });
/** "Sun 8 March" */
export const shortDate = dated({ weekday: "short", day: "numeric", month: "long" });
/** "8 March 2026" */
export const dayMonthYear = dated({ day: "numeric", month: "long", year: "numeric" });
/** "Sun 8" */
export const weekdayAndDay = dated({ weekday: "short", day: "numeric" });
/** "March 2026" */
export const monthYear = dated({ month: "long", year: "numeric" });
/** "Mar" */
export const monthShort = dated({ month: "short" });

/** "just now", "4 minutes ago", "3 hours ago", "5 days ago". */
export function ago(age_ms: number): string {
  const counted = (count: number, unit: string): string => `${count}\u00a0${unit}${count === 1 ? "" : "s"} ago`;
  if (age_ms < 1.5 * MINUTE_MS) return "just now";
  if (age_ms < 90 * MINUTE_MS) return counted(Math.round(age_ms / MINUTE_MS), "minute");
  if (age_ms < 36 * HOUR_MS) return counted(Math.round(age_ms / HOUR_MS), "hour");
  return counted(Math.round(age_ms / DAY_MS), "day");
}

/** "21:50", "yesterday 21:50", "tomorrow 07:00" or "Thu 5 March 21:50", seen from `now`. */
export function when(at: number, now: number, zone: string): string {
  const [day, today] = [dateAt(at, zone), dateAt(now, zone)];
  const time = timeAt(at, zone);
  if (day === today) return time;
  if (day === shiftDate(today, -1)) return `yesterday ${time}`;
  if (day === shiftDate(today, 1)) return time === "00:00" ? "midnight" : `tomorrow ${time}`;
  return `${shortDate(day)} ${time}`;
}

/** "10:15 to 14:30", "from 10:15", "until 14:30". */
export function fromUntil(from: number | null, until: number | null, now: number, zone: string): string {
  const end = until === null ? null : when(until, now, zone);
  if (from === null || from <= now) return end === null ? "now" : `until ${end}`;
  const start = when(from, now, zone);
  return end === null ? `from ${start}` : `${start} to ${end}`;
}
