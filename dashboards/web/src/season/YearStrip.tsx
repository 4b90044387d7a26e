// A year of one structure: each day's low and high as a band, missing days hatched.
import { useCursor } from "../ribbon/cursor.ts";
import { linear, type Scale, temperatureMarks } from "../ribbon/scale.ts";
import { useWidth } from "../ribbon/width.ts";
import { daysBetween, shiftDate } from "../time/zone.ts";
import { degrees } from "../words/figures.ts";
import { dayMonthYear, monthShort } from "../words/times.ts";
import { dayWords, gapsOf, type Year, type YearDay, yearWords } from "./days.ts";

const GUTTER = 58;
const EDGE = 10;
const TOP = 4;
const PLOT = 96;
const AXIS = 22;

export function YearStrip({ name, year, outdoors }: { name: string; year: Year; outdoors: boolean }) {
  const [ref, width] = useWidth();
  const right = width - EDGE;
  const count = year.days.length;
  const x = linear([0, count], [GUTTER, right]);
  const y = linear(domainOf(year), [TOP + PLOT, TOP]);
  const cursor = useCursor({
    min: 0,
    max: count - 1,
    start: count - 1,
    keys: { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 30, PageDown: -30 },
    locate: (px) => Math.floor(((px - GUTTER) / (right - GUTTER)) * count),
  });
  const words =
    cursor.at === null
      ? { time: "The year", says: "each day\u2019s low to its high" }
      : { time: dayMonthYear(shiftDate(year.first, cursor.at)), says: dayWords(year.days[cursor.at] ?? null) };

  return (
    <div class="year">
      <p class="readout" aria-hidden="true">
        <b>{words.time}</b> {words.says}
      </p>
      <div
        ref={ref}
        class="picture"
        role="slider"
        tabIndex={0}
        aria-label={`Year of ${name}, day`}
        aria-valuemin={0}
        aria-valuemax={count - 1}
        aria-valuenow={cursor.at ?? count - 1}
        aria-valuetext={cursor.at === null ? yearWords(year).join(" ") : `${words.time}: ${words.says}`}
        {...cursor.handlers}
      >
        <svg viewBox={`0 0 ${width} ${TOP + PLOT + AXIS}`} width={width} height={TOP + PLOT + AXIS} aria-hidden="true" focusable="false">
          <rect class="field" x={GUTTER} y={TOP} width={right - GUTTER} height={PLOT} />
          {temperatureMarks(y.domain, 5).map((mark) => (
            <g key={mark}>
              <path class={mark === 0 ? "rule frost" : "rule"} d={`M${GUTTER} ${y(mark)}H${right}`} />
              <text class="tick" x={GUTTER - 8} y={y(mark) + 4.5} text-anchor="end">
                {degrees(mark)}
              </text>
            </g>
          ))}
          {gapsOf(year).map((gap) => {
            const [from, to] = [x(daysBetween(year.first, gap.from)), x(daysBetween(year.first, gap.to) + 1)];
            return (
              <g key={gap.from}>
                <rect class="gap" x={from} width={to - from} y={TOP} height={PLOT} />
                <rect class="gap-hatch" fill="url(#hatch)" x={from} width={to - from} y={TOP} height={PLOT} />
              </g>
            );
          })}
          <g class={outdoors ? "outside" : "inside"}>
            {runsOf(year.days).map((run) => (
              <path key={run.from} class="day-band" d={bandPath(run, x, y)} />
            ))}
          </g>
          <Months year={year} x={x} width={width} />
          {cursor.at !== null && <path class="cursor-mark" d={`M${x(cursor.at + 0.5)} ${TOP}v${PLOT}`} />}
        </svg>
      </div>
    </div>
  );
}

function domainOf(year: Year): [number, number] {
  const found = year.days.filter((day) => day !== null);
  if (found.length === 0) return [0, 30];
  return [Math.floor(Math.min(...found.map((day) => day.low)) - 1), Math.ceil(Math.max(...found.map((day) => day.high)) + 1)];
}

interface Run {
  from: number;
  days: YearDay[];
}

function runsOf(days: (YearDay | null)[]): Run[] {
  const runs: Run[] = [];
  days.forEach((day, index) => {
    if (!day) return;
    const last = runs.at(-1);
    if (last && last.from + last.days.length === index) last.days.push(day);
    else runs.push({ from: index, days: [day] });
  });
  return runs;
}

/** The band as steps, one a day, so that a single day is as visible as a month. */
function bandPath({ from, days }: Run, x: Scale, y: Scale): string {
  const px = (value: number): string => value.toFixed(1);
  const over = days.map((day, i) => `V${px(y(day.high))}H${px(x(from + i + 1))}`).join("");
  const back = days.map((_, i) => {
    const index = days.length - 1 - i;
    return `V${px(y((days[index] as YearDay).low))}H${px(x(from + index))}`;
  });
  return `M${px(x(from))} ${px(y(days[0]?.high ?? 0))}${over}${back.join("")}Z`;
}

function Months({ year, x, width }: { year: Year; x: Scale; width: number }) {
  const firsts = year.days.map((_, index) => ({ index, date: shiftDate(year.first, index) })).filter(({ date }) => date.endsWith("-01"));
  const every = width < 480 ? 3 : width < 720 ? 2 : 1;
  return (
    <>
      {firsts.map(({ index, date }, nth) => (
        <g key={date}>
          <path class="hour" d={`M${x(index)} ${TOP}V${TOP + PLOT + 4}`} />
          {nth % every === 0 && x(index) < width - 36 && (
            <text class="tick" x={x(index) + 3} y={TOP + PLOT + 17}>
              {monthShort(date)}
            </text>
          )}
        </g>
      ))}
    </>
  );
}
