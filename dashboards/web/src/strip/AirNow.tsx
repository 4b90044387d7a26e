// The air now: figures, how old they are, and what the day has been so far.
import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Day, Figure, Now, Reading, Readings, Spot } from "../api/shapes.ts";
import { instant } from "../time/zone.ts";
import { celsius, figure, kilopascal, percent, whyUnknown } from "../words/figures.ts";
import { ago, when } from "../words/times.ts";

export const AIR = "air-temperature";
export const HUMIDITY = "air-humidity";

/** The spot that speaks for a structure: the first of its readings, else the first for air, else any that measures the air. */
export function leadSpot(now: Now | null, readings: Readings | null): Spot | null {
  const lead = readings?.series[0]?.spot;
  const measuring = now?.spots.filter((spot) => spot.readings.some((reading) => reading.quantity === AIR)) ?? [];
  return measuring.find((s) => s.spot === lead) ?? measuring.find((s) => s.role === "air") ?? measuring.find((s) => s.role === "outside") ?? measuring[0] ?? null;
}

export function readingOf(spot: Spot | null, quantity: string): Reading | null {
  return spot?.readings.find((reading) => reading.quantity === quantity) ?? null;
}

/** The newest reading of the air in words, with its time where it is not fresh: "inside 6.1 °C". */
export function airWords(spot: Spot | null, where: string, at: number, zone: string): string {
  const reading = readingOf(spot, AIR);
  const t = instant(reading?.t);
  if (!reading || reading.value === null || t === null || (reading.state !== "fresh" && reading.state !== "stale")) return `${where} no reading`;
  return `${where} ${celsius(reading.value)}${reading.state === "stale" ? ` at ${when(t, at, zone)}` : ""}`;
}

interface AirNowProps {
  now: Now;
  spot: Spot | null;
  day: Day | null;
  at: number;
  zone: string;
  connected: boolean;
  /** Hours of today so far without readings; null while not known. */
  missing_h: number | null;
}

export function AirNow({ now, spot, day, at, zone, connected, missing_h }: AirNowProps) {
  const [air, humidity] = [readingOf(spot, AIR), readingOf(spot, HUMIDITY)];
  const derived = (name: string, label: ComponentChildren, f: Figure | undefined, say: (value: number) => string) => (
    <Said name={name} label={label} text={figure(f, say)} quiet={f?.value == null} />
  );
  return (
    <div class="air" data-state={connected ? (air?.state ?? "unknown") : "stale"}>
      <dl class="figures">
        <Measured name={AIR} label="air" reading={air} say={celsius} lead />
        <Measured name={HUMIDITY} label="humidity" reading={humidity} say={percent} />
        {derived("dew-point", "dew point", now.derived.dew_point_c, celsius)}
        {derived("vpd", <abbr title="vapour pressure deficit: how hard the air pulls water from leaves">VPD</abbr>, now.derived.vpd_kpa, kilopascal)}
      </dl>
      <p class="age">
        <Age reading={air} at={at} zone={zone} /> <DaySoFar now={now} day={day} missing_h={missing_h} />
      </p>
    </div>
  );
}

function Measured(props: { name: string; label: string; reading: Reading | null; say: (value: number) => string; lead?: boolean }) {
  const { reading, say, ...rest } = props;
  const known = reading !== null && reading.value !== null && (reading.state === "fresh" || reading.state === "stale");
  return <Said {...rest} text={known ? say(reading.value as number) : "unknown"} quiet={!known} />;
}

function Said({ name, label, text, lead, quiet }: { name: string; label: ComponentChildren; text: string; lead?: boolean; quiet: boolean }) {
  const changed = useChanged(text);
  return (
    <div class={lead ? "figure lead" : "figure"}>
      <dt>{label}</dt>
      <dd data-figure={name} class={`${changed ? "changed" : ""} ${quiet ? "quiet" : ""}`}>
        {text}
      </dd>
    </div>
  );
}

const SHOWN_CHANGED_MS = 1_500;

/** True for a moment after a text has changed: motion only where something did. */
function useChanged(text: string): boolean {
  const before = useRef(text);
  const [changed, setChanged] = useState(false);
  useEffect(() => {
    if (before.current === text) return;
    before.current = text;
    setChanged(true);
    const timer = setTimeout(() => setChanged(false), SHOWN_CHANGED_MS);
    return () => clearTimeout(timer);
  }, [text]);
  return changed;
}

function Age({ reading, at, zone }: { reading: Reading | null; at: number; zone: string }) {
  const t = instant(reading?.t);
  if (!reading || t === null || reading.state === "unknown") {
    return <span class="state-unknown">No reading of the air here yet.</span>;
  }
  switch (reading.state) {
    case "fresh":
      return <span class="state-fresh">Heard {ago(at - t)}.</span>;
    case "stale":
      return (
        <span class="state-stale">
          Last heard {ago(at - t)}, at {when(t, at, zone)}: it may have changed since.
        </span>
      );
    default:
      return (
        <span class="state-silent">
          No reading since {when(t, at, zone)}
          {reading.value !== null && ` (${celsius(reading.value)} then)`}.
        </span>
      );
  }
}

const WORTH_SAYING_H = 0.5;

function DaySoFar({ now, day, missing_h }: { now: Now; day: Day | null; missing_h: number | null }) {
  const low = now.today?.min_c ?? day?.min_c;
  const high = now.today?.max_c ?? day?.max_c;
  if (low?.value == null || high?.value == null) {
    return <span>Today&rsquo;s low and high unknown: {whyUnknown(low ?? high)}.</span>;
  }
  const missing = missing_h !== null && missing_h >= WORTH_SAYING_H ? `, ${missing_h.toFixed(1)} hours of it missing` : "";
  return (
    <span>
      Today so far <span data-figure="day-low">{celsius(low.value)}</span> to <span data-figure="day-high">{celsius(high.value)}</span>
      {missing}.
    </span>
  );
}
