// Figures in words: rounded to what the sensors know, with the unit, never without their doubt.
import type { Figure } from "../api/shapes.ts";

const NBSP = "\u00a0";
const MINUS = "\u2212";

function rounded(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** "6.1 °C" */
export function celsius(value: number): string {
  return `${rounded(value, 1)}${NBSP}°C`;
}

/** "6 °C": where tenths would claim too much. */
export function wholeCelsius(value: number): string {
  return `${rounded(value, 0)}${NBSP}°C`;
}

/** "6.1": a temperature under a heading that names the unit. */
export function tenths(value: number): string {
  return rounded(value, 1);
}

/** "95 %" */
export function percent(value: number): string {
  return `${rounded(value, 0)}${NBSP}%`;
}

/** "0.05 kPa" */
export function kilopascal(value: number): string {
  return `${rounded(value, 2)}${NBSP}kPa`;
}

/** "7.0 g/m³" */
export function gramsPerCubicMetre(value: number): string {
  return `${rounded(value, 1)}${NBSP}g/m³`;
}

/** "7°": a mark on an axis. */
export function degrees(value: number): string {
  return `${rounded(value, 0)}°`;
}

type Say = (value: number) => string;

const SAYINGS: Record<string, { name: string; say: Say }> = {
  "air-temperature": { name: "air temperature", say: celsius },
  "air-humidity": { name: "humidity", say: percent },
  "dew-point": { name: "dew point", say: celsius },
  "leaf-temperature": { name: "leaf temperature", say: celsius },
  "soil-temperature": { name: "soil temperature", say: celsius },
  "vapour-pressure-deficit": { name: "vapour pressure deficit", say: kilopascal },
};

/** A quantity's plain name: "soil-temperature-2" is "soil temperature 2". */
export function quantityName(quantity: string): string {
  return SAYINGS[quantity]?.name ?? spaced(quantity);
}

/** A slug as words. */
export function spaced(slug: string): string {
  return slug.replace(/[-_]/g, " ");
}

/** A reading's value with its unit: this page's way where it knows the quantity, else as it was told. */
export function quantityValue(quantity: string, value: number, unit = ""): string {
  const plain = quantity.replace(/-\d+$/, "");
  return SAYINGS[plain]?.say(value) ?? `${rounded(value, 2)}${NBSP}${unit}`.trim();
}

/** "5.4 °C", or "unknown" with the reason. */
export function figure(f: Figure | undefined | null, say: Say): string {
  if (f && f.value !== null && Number.isFinite(f.value)) return say(f.value);
  return "unknown";
}

/** "between 5.1 °C and 5.7 °C", or null where the figure carries no width worth saying. */
export function spread(f: Figure | undefined | null, say: Say): string | null {
  if (!f || f.value === null || f.low == null || f.high == null) return null;
  const [low, high] = [say(f.low), say(f.high)];
  return low === high ? null : `between ${low} and ${high}`;
}

const REASONS: Record<string, string> = {
  stale: "the last reading is too old",
  silent: "nothing has been heard for too long",
  "no-reading": "there is no reading yet",
  "not-measured": "nothing here measures it",
  "not-enough": "too little of it was measured",
};

/** Why a figure is unknown, in words. */
export function whyUnknown(f: Figure | undefined | null): string {
  const why = f?.unknown;
  if (!why) return "there is no reading yet";
  return REASONS[why] ?? spaced(why);
}

/** With a capital letter, to begin a sentence or a line. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A list as one reads it out: "a, b and c". */
export function listed(words: string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}
