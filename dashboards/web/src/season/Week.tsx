// The same ribbon, stacked: the last seven days of one structure, oldest at the top, on one scale of temperature.
import type { Readings } from "../api/shapes.ts";
import { useCursor } from "../ribbon/cursor.ts";
import { extent, type Line, lineOf, pointAt } from "../ribbon/line.ts";
import { Gaps, Night, Trace } from "../ribbon/marks.tsx";
import { linear, temperatureDomain } from "../ribbon/scale.ts";
import { useWidth } from "../ribbon/width.ts";
import { sunOf } from "../state/garden.ts";
import { type DayBounds, dayBounds, hourMarks, MINUTE_MS, shiftDate, timeAt } from "../time/zone.ts";
import { celsius } from "../words/figures.ts";
import { shortDate, weekdayAndDay } from "../words/times.ts";

interface WeekProps {
  name: string;
  /** The days before the last. */
  readings: Readings;
  /** The last day; null until it has come. */
  today: Readings | null;
  /** The last of the seven days. */
  date: string;
  days: number;
  now: number;
  zone: string;
  outdoors: boolean;
}

const GUTTER = 58;
const EDGE = 10;
const TOP = 2;
const ROW = 30;
const GAP = 3;
const AXIS = 22;
const STEP_MINUTES = 30;

interface WeekDay {
  bounds: DayBounds;
  line: Line;
  top: number;
}

export function Week(props: WeekProps) {
  const { name, date, now, zone } = props;
  const [ref, width] = useWidth();
  const days = daysOf(props);
  const domain = temperatureDomain(extent(days.map((day) => day.line)));
  const height = TOP + days.length * (ROW + GAP) + AXIS;
  const right = width - EDGE;

  // The cursor counts half hours through the week: 48 to a row.
  const perRow = (24 * 60) / STEP_MINUTES;
  const cursor = useCursor({
    min: 0,
    max: days.length * perRow - 1,
    start: days.length * perRow - 1,
    keys: { ArrowRight: 1, ArrowLeft: -1, ArrowDown: perRow, ArrowUp: -perRow, PageDown: perRow, PageUp: -perRow },
    locate: (px, py) => {
      const row = Math.min(days.length - 1, Math.max(0, Math.floor((py - TOP) / (ROW + GAP))));
      const column = Math.round(((px - GUTTER) / (right - GUTTER)) * perRow);
      return row * perRow + Math.min(perRow - 1, Math.max(0, column));
    },
  });
  const pointed = cursor.at === null ? null : moment(days, cursor.at, perRow);
  const words = pointed ? momentWords(pointed, now, zone) : { time: "The week", says: `${celsius(domain[0])} at the foot of each ribbon, ${celsius(domain[1])} at its head` };

  return (
    <div class="week">
      <p class="readout" aria-hidden="true">
        <b>{words.time}</b> {words.says}
      </p>
      <div
        ref={ref}
        class="picture"
        role="slider"
        tabIndex={0}
        aria-label={`Week of ${name}, moment of the last ${days.length} days`}
        aria-valuemin={0}
        aria-valuemax={days.length * perRow - 1}
        aria-valuenow={cursor.at ?? days.length * perRow - 1}
        aria-valuetext={`${words.time}: ${words.says}`}
        {...cursor.handlers}
      >
        <svg viewBox={`0 0 ${width} ${height}`} width={width} height={height} aria-hidden="true" focusable="false">
          {days.map((day) => {
            const x = linear([day.bounds.from, day.bounds.to], [GUTTER, right]);
            const y = linear(domain, [day.top + ROW - 2, day.top + 2]);
            return (
              <g key={day.bounds.date}>
                <rect class="field" x={GUTTER} y={day.top} width={right - GUTTER} height={ROW} />
                <Night day={day.bounds} sun={sunOf(day.bounds.date).value.value} x={x} top={day.top} height={ROW} />
                {domain[0] < 0 && domain[1] > 0 && <path class="rule frost" d={`M${GUTTER} ${y(0)}H${right}`} />}
                <Gaps gaps={day.line.gaps} x={x} top={day.top} height={ROW} />
                <Trace line={day.line} x={x} y={y} kind={props.outdoors ? "outside" : "inside"} />
                <text class={day.bounds.date === date ? "tick strong" : "tick"} x={GUTTER - 8} y={day.top + ROW / 2 + 4.5} text-anchor="end">
                  {weekdayAndDay(day.bounds.date)}
                </text>
              </g>
            );
          })}
          <Axis day={days.at(-1)} zone={zone} width={width} height={height} />
          {pointed && <Mark moment={pointed} right={right} />}
        </svg>
      </div>
    </div>
  );
}

function daysOf({ readings, today, date, days, now, zone }: WeekProps): WeekDay[] {
  return Array.from({ length: days }, (_, index) => {
    const bounds = dayBounds(shiftDate(date, index + 1 - days), zone);
    return { bounds, line: lineOf(bounds.date === date ? today : readings, bounds, now), top: TOP + index * (ROW + GAP) };
  });
}

interface Moment {
  day: WeekDay;
  at: number;
}

function moment(days: WeekDay[], step: number, perRow: number): Moment | null {
  const day = days[Math.floor(step / perRow)];
  if (!day) return null;
  const share = (step % perRow) / perRow;
  const at = day.bounds.from + share * (day.bounds.to - day.bounds.from);
  return { day, at: Math.round(at / MINUTE_MS) * MINUTE_MS };
}

function momentWords({ day, at }: Moment, now: number, zone: string): { time: string; says: string } {
  const time = `${shortDate(day.bounds.date)} ${timeAt(at, zone)}`;
  if (at > now) return { time, says: "still to come" };
  const point = pointAt(day.line, at);
  return { time, says: point ? celsius(point.mean) : "no reading" };
}

function Mark({ moment: { day, at }, right }: { moment: Moment; right: number }) {
  const x = linear([day.bounds.from, day.bounds.to], [GUTTER, right])(at);
  return <path class="cursor-mark" d={`M${x} ${day.top}v${ROW}`} />;
}

function Axis({ day, zone, width, height }: { day: WeekDay | undefined; zone: string; width: number; height: number }) {
  if (!day) return null;
  const x = linear([day.bounds.from, day.bounds.to], [GUTTER, width - EDGE]);
  return (
    <>
      {hourMarks(day.bounds, zone, width < 480 ? 6 : 3).map(({ at, hour }) => (
        <text key={at} class="tick" x={x(at)} y={height - 6} text-anchor={hour === 24 ? "end" : "middle"}>
          {String(hour).padStart(2, "0")}
        </text>
      ))}
    </>
  );
}
