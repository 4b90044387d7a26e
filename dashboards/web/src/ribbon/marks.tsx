// The marks every picture is made of: night, gaps, lines, and the hatch they share.
import type { Sun } from "../api/shapes.ts";
import { type DayBounds, instant } from "../time/zone.ts";
import type { Line, Point, Span } from "./line.ts";
import type { Scale } from "./scale.ts";

/** The hatch of a gap; once on the page, used by every picture. */
export function HatchPattern() {
  return (
    <svg class="patterns" width="0" height="0" aria-hidden="true" focusable="false">
      <defs>
        <pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path d="M0 0V6" class="hatch-line" />
        </pattern>
      </defs>
    </svg>
  );
}

interface Box {
  x: Scale;
  top: number;
  height: number;
}

/** Night and twilight of a day, shaded. Nothing is drawn while the sun's times are not known. */
export function Night({ day, sun, x, top, height }: Box & { day: DayBounds; sun: Sun | null }) {
  const [rise, set] = [instant(sun?.sunrise), instant(sun?.sunset)];
  if (!sun || rise === null || set === null) return null;
  const dawn = instant(sun.civil_dawn) ?? rise;
  const dusk = instant(sun.civil_dusk) ?? set;
  const shade = (from: number, to: number, kind: string) =>
    to > from && <rect class={kind} x={x(from)} width={x(to) - x(from)} y={top} height={height} />;
  return (
    <>
      {shade(day.from, dawn, "night")}
      {shade(dawn, rise, "twilight")}
      {shade(set, dusk, "twilight")}
      {shade(dusk, day.to, "night")}
    </>
  );
}

/** Where nothing was measured: hatched over the whole height, never bridged. */
export function Gaps({ gaps, x, top, height }: Box & { gaps: Span[] }) {
  return (
    <>
      {gaps.map((gap) => (
        <g key={gap.from}>
          <rect class="gap" x={x(gap.from)} width={Math.max(1, x(gap.to) - x(gap.from))} y={top} height={height} />
          <rect class="gap-hatch" fill="url(#hatch)" x={x(gap.from)} width={Math.max(1, x(gap.to) - x(gap.from))} y={top} height={height} />
        </g>
      ))}
    </>
  );
}

/** A line and, where a bucket holds more than one reading, the band between its lowest and highest. */
export function Trace({ line, x, y, kind }: { line: Line; x: Scale; y: Scale; kind: "inside" | "outside" }) {
  return (
    <g class={kind}>
      {kind === "inside" && line.runs.map((run) => <path class="trace-band" key={`b${run[0]?.at}`} d={bandPath(run, x, y)} />)}
      {line.runs.map((run) => {
        const only = run.length === 1 ? run[0] : null;
        return only ? (
          <circle class="trace-dot" key={only.at} cx={x(only.at)} cy={y(only.mean)} r="1.5" />
        ) : (
          <path class="trace" key={run[0]?.at} d={linePath(run, x, (point) => y(point.mean))} />
        );
      })}
    </g>
  );
}

function px(value: number): string {
  return value.toFixed(1);
}

function linePath(run: Point[], x: Scale, y: (point: Point) => number): string {
  return run.map((point, index) => `${index === 0 ? "M" : "L"}${px(x(point.at))} ${px(y(point))}`).join("");
}

function bandPath(run: Point[], x: Scale, y: Scale): string {
  const back = [...run].reverse().map((point) => `L${px(x(point.at))} ${px(y(point.low))}`);
  return `${linePath(run, x, (point) => y(point.high))}${back.join("")}Z`;
}
