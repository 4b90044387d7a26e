// The ribbon: one day of one structure, midnight to midnight in the garden's zone.
import type { Advice, Structure, Sun } from "../api/shapes.ts";
import { type DayBounds, hourMarks, HOUR_MS, MINUTE_MS, timeAt } from "../time/zone.ts";
import { celsius, degrees } from "../words/figures.ts";
import { type CoverRow, coverRows, coversNamed, lieAt, lieWords } from "./covers.ts";
import { useCursor } from "./cursor.ts";
import { extent, type Line, pointAt } from "./line.ts";
import { Gaps, Night, Trace } from "./marks.tsx";
import { notchAt, notchWords, OPEN, type PlanRow, planRows, ventsNamed } from "./plan.ts";
import { linear, type Scale, temperatureDomain, temperatureMarks } from "./scale.ts";
import { leavesWords, type WetSpan } from "./wet.ts";
import { useWidth } from "./width.ts";

export interface RibbonProps {
  structure: Structure;
  day: DayBounds;
  zone: string;
  now: number;
  inside: Line;
  /** Null where this structure is the outside, or there is none. */
  outside: Line | null;
  sun: Sun | null;
  advice: Advice[];
  /** What the fixed line says while nobody points: the newest readings themselves, in words. */
  latest: string[];
  /** What the leaves were like; null while the server does not tell, and the band then takes no room. */
  wet: WetSpan[] | null;
}

const GUTTER = 44;
const EDGE = 10;
const TOP = 10;
const PLOT = 116;
const WET = 8;
const ROW = 26;
const COVER_ROW = 22;
const AXIS = 22;
const STEP_MS = 5 * MINUTE_MS;

export function Ribbon(props: RibbonProps) {
  const { structure, day, zone, now, inside, outside, wet } = props;
  const [ref, width] = useWidth();
  const rows = planRows(structure, props.advice);
  const covers = coverRows(props.advice).filter((row) => row.spans.some((span) => span.from < day.to && span.to > day.from));
  const x = linear([day.from, day.to], [GUTTER, width - EDGE]);
  const y = linear(temperatureDomain(extent(outside ? [inside, outside] : [inside])), [TOP + PLOT, TOP]);
  const wetTop = TOP + PLOT + 3;
  const planTop = wetTop + (wet ? WET + 3 : 0);
  const coverTop = planTop + rows.length * ROW;
  const bottom = coverTop + covers.length * COVER_ROW;

  const cursor = useCursor({
    min: day.from,
    max: day.to,
    start: Math.min(Math.max(now, day.from), day.to),
    keys: {
      ArrowRight: STEP_MS, ArrowUp: STEP_MS, ArrowLeft: -STEP_MS, ArrowDown: -STEP_MS, PageUp: HOUR_MS, PageDown: -HOUR_MS,
    },
    locate: (px) => Math.round((day.from + ((px - GUTTER) / (width - EDGE - GUTTER)) * (day.to - day.from)) / STEP_MS) * STEP_MS,
  });
  const at = cursor.at ?? now;
  const reading = momentWords(props, rows, covers, at, cursor.at === null);

  return (
    <div class="ribbon">
      <p class="readout" aria-hidden="true">
        <span>
          <b>{reading.time}</b> {reading.says}
        </span>
      </p>
      <div
        ref={ref}
        class="picture"
        role="slider"
        tabIndex={0}
        aria-label={`Ribbon of ${structure.name}, moment of the day`}
        aria-valuemin={0}
        aria-valuemax={Math.round((day.to - day.from) / MINUTE_MS)}
        aria-valuenow={Math.round((at - day.from) / MINUTE_MS)}
        aria-valuetext={`${reading.time}: ${reading.says}`}
        {...cursor.handlers}
      >
        <svg viewBox={`0 0 ${width} ${bottom + AXIS}`} width={width} height={bottom + AXIS} aria-hidden="true" focusable="false">
          <rect class="field" x={GUTTER} y={TOP} width={width - EDGE - GUTTER} height={PLOT} />
          <Night day={day} sun={props.sun} x={x} top={TOP} height={PLOT} />
          <Degrees y={y} from={GUTTER} to={width - EDGE} />
          <Gaps gaps={inside.gaps} x={x} top={TOP} height={PLOT} />
          {outside && <Trace line={outside} x={x} y={y} kind="outside" />}
          <Trace line={inside} x={x} y={y} kind={structure.outside ? "outside" : "inside"} />
          <Ends inside={inside} outside={outside} x={x} y={y} right={width - EDGE} alone={structure.outside} />
          {wet && <WetBand wet={wet} x={x} from={GUTTER} to={width - EDGE} top={wetTop} />}
          {rows.map((row, index) => (
            <PlanBar row={row} day={day} structure={structure} x={x} top={planTop + index * ROW} right={width - EDGE} alone={rows.length === 1} />
          ))}
          {covers.map((row, index) => (
            <CoverBar key={row.covers[0]} row={row} day={day} structure={structure} x={x} top={coverTop + index * COVER_ROW} right={width - EDGE} alone={covers.length === 1} />
          ))}
          <Hours day={day} zone={zone} x={x} top={TOP} bottom={bottom} every={width < 480 ? 6 : 3} />
          {now >= day.from && now < day.to && (
            <g class="now-mark">
              <path d={`M${x(now)} ${TOP - 2}V${bottom}`} />
              <path class="now-flag" d={`M${x(now) - 5} ${TOP - 9}h10l-5 7z`} />
            </g>
          )}
          {cursor.at !== null && <path class="cursor-mark" d={`M${x(cursor.at)} ${TOP}V${bottom}`} />}
        </svg>
      </div>
    </div>
  );
}

/** What the fixed line above the picture says about one moment. */
function momentWords(props: RibbonProps, rows: PlanRow[], covers: CoverRow[], at: number, isNow: boolean): { time: string; says: string } {
  const { structure, day, zone, now, inside, outside } = props;
  const time = at >= day.to ? "24:00" : timeAt(at, zone);
  const air = (line: Line, where: string): string => {
    const point = at > now ? null : pointAt(line, Math.min(at, now - 1));
    if (point) return `${where} ${celsius(point.mean)}`;
    return at > now ? "" : `${where} no reading`;
  };
  const parts = isNow ? [...props.latest] : [structure.outside ? air(inside, "air") : air(inside, "inside"), outside ? air(outside, "outside") : ""];
  const plan: string[] = [];
  for (const row of rows) {
    const notch = notchAt(row, at);
    if (notch) plan.push(`${ventsNamed(row.vents, structure.vents)} ${notchWords(row.vents[0], notch)}`);
  }
  const leaves = isNow ? undefined : props.wet?.find((span) => at >= span.from && at < span.to);
  if (leaves) parts.push(leavesWords(leaves.leaves));
  for (const row of covers) {
    const lie = lieAt(row, at);
    if (lie) plan.push(`${coversNamed(row, structure)} ${lieWords(structure, row.covers, lie)}`);
  }
  // How openings and covers stand nobody measures: these are the plan.
  if (plan.length > 0) parts.push(`advised: ${plan.join(", ")}`);
  const says = parts.filter((part) => part !== "").join(", ");
  return { time: isNow ? `Now ${time}` : time, says: says === "" ? "still to come" : says };
}

function Degrees({ y, from, to }: { y: Scale; from: number; to: number }) {
  return (
    <>
      {temperatureMarks(y.domain).map((mark) => (
        <g key={mark}>
          <path class={mark === 0 ? "rule frost" : "rule"} d={`M${from} ${y(mark)}H${to}`} />
          <text class="tick" x={from - 6} y={y(mark) + 4.5} text-anchor="end">
            {degrees(mark)}
          </text>
        </g>
      ))}
    </>
  );
}

const LABEL_HEIGHT = 15;

/** "inside" and "outside" written at the ends of their lines, kept apart. */
function Ends({ inside, outside, x, y, right, alone }: { inside: Line; outside: Line | null; x: Scale; y: Scale; right: number; alone: boolean }) {
  if (alone) return null;
  const ends = [
    { name: "inside", end: inside.runs.at(-1)?.at(-1) },
    { name: "outside", end: outside?.runs.at(-1)?.at(-1) },
  ].flatMap(({ name, end }) => (end ? [{ name, px: x(end.at), py: y(end.mean) }] : []));
  const [a, b] = ends;
  if (a && b && Math.abs(a.py - b.py) < LABEL_HEIGHT) {
    const middle = (a.py + b.py) / 2;
    const side = a.py <= b.py ? -1 : 1;
    a.py = middle + (side * LABEL_HEIGHT) / 2;
    b.py = middle - (side * LABEL_HEIGHT) / 2;
  }
  return (
    <>
      {ends.map(({ name, px, py }) => {
        const left = px > right - 56;
        const inPlot = Math.min(TOP + PLOT - 3, Math.max(TOP + 11, py + 4.5));
        return (
          <text key={name} class={`line-name ${name}`} x={left ? px - 6 : px + 7} y={left ? inPlot - 9 : inPlot} text-anchor={left ? "end" : "start"}>
            {name}
          </text>
        );
      })}
    </>
  );
}

const SHORT: Record<string, string> = { closed: "shut", crack: "crack", half: "half", full: "full" };

/** The plan as a bar of notches: a thin line is shut, one block a crack, two half, three full. */
function PlanBar(props: { row: PlanRow; day: DayBounds; structure: Structure; x: Scale; top: number; right: number; alone: boolean }) {
  const { row, day, structure, x, top, right, alone } = props;
  const base = top + ROW - 3;
  const step = (ROW - 6) / 3;
  return (
    <g class="plan">
      <path class="rail" d={`M${x(day.from)} ${base}H${x(day.to)}`} />
      {row.spans.map((span) => {
        const [from, to] = [x(Math.max(span.from, day.from)), x(Math.min(span.to, day.to))];
        if (to <= from) return null;
        const steps = Math.round(OPEN[span.notch] * 3);
        const label = (alone ? "" : `${ventsNamed(row.vents, structure.vents)} `) + SHORT[span.notch];
        const needed = label.length * 8.5 + 8;
        const after = right - to > needed;
        return (
          <g key={span.from}>
            {steps === 0 && <rect class="notch closed" x={from} width={to - from} y={base - 2} height={2} />}
            {Array.from({ length: steps }, (_, i) => (
              <rect key={i} class="notch" x={from} width={to - from} y={base - (i + 1) * step} height={step - 1} />
            ))}
            {steps > 0 && (after || from - GUTTER > needed) && (
              <text class="bar-name" x={after ? to + 6 : from - 6} y={base - 4} text-anchor={after ? "start" : "end"}>
                {label}
              </text>
            )}
          </g>
        );
      })}
      <text class="tick" x={GUTTER - 6} y={base - 2} text-anchor="end">
        plan
      </text>
    </g>
  );
}

/** The band of the leaves: filled where they were likely wet, paler where only the uncertain run says so, hatched where nobody knows. */
function WetBand({ wet, x, from, to, top }: { wet: WetSpan[]; x: Scale; from: number; to: number; top: number }) {
  return (
    <g class="wet-band">
      <path class="rail" d={`M${from} ${top + WET}H${to}`} />
      {wet
        .filter((span) => span.leaves === "likely" || span.leaves === "possible")
        .map((span) => (
          <rect class={span.leaves === "likely" ? "wet" : "wet perhaps"} key={span.from} x={x(span.from)} width={x(span.to) - x(span.from)} y={top} height={WET} />
        ))}
      <Gaps gaps={wet.filter((span) => span.leaves === "unknown")} x={x} top={top} height={WET} />
      <text class="tick" x={from - 6} y={top + WET + 1} text-anchor="end">
        wet
      </text>
    </g>
  );
}

/** How covers are advised to lie: an arch laid over, a roll where they are folded back, a thin dashed line where they are off. */
function CoverBar(props: { row: CoverRow; day: DayBounds; structure: Structure; x: Scale; top: number; right: number; alone: boolean }) {
  const { row, day, structure, x, top, right, alone } = props;
  const base = top + COVER_ROW - 4;
  return (
    <g class="cover-row">
      <path class="rail" d={`M${x(day.from)} ${base}H${x(day.to)}`} />
      {row.spans.map((span) => {
        const [from, to] = [x(Math.max(span.from, day.from)), x(Math.min(span.to, day.to))];
        if (to <= from) return null;
        const label = `${alone ? "" : `${coversNamed(row, structure)} `}${span.lie === "on" ? "laid" : span.lie === "folded" ? "folded" : "off"}`;
        const needed = label.length * 8.5 + 8;
        const after = right - to > needed;
        return (
          <g key={span.from}>
            {span.lie === "on" && <path class="laid" d={`M${from} ${base}v-8q0 -4 4 -4H${Math.max(from + 4, to - 4)}q4 0 4 4v8z`} />}
            {span.lie === "folded" && <path class="folded-back" d={`M${from} ${base - 3}H${to}`} />}
            {span.lie === "off" && <path class="off" d={`M${from} ${base - 3}H${to}`} />}
            {(after || from - GUTTER > needed || to - from > needed) && (
              <text class="bar-name" x={after ? to + 6 : from - GUTTER > needed ? from - 6 : from + 6} y={base - 5} text-anchor={!after && from - GUTTER > needed ? "end" : "start"}>
                {label}
              </text>
            )}
          </g>
        );
      })}
      <text class="tick" x={GUTTER - 6} y={base} text-anchor="end">
        cover
      </text>
    </g>
  );
}

function Hours(props: { day: DayBounds; zone: string; x: Scale; top: number; bottom: number; every: number }) {
  const { day, zone, x, top, bottom, every } = props;
  return (
    <>
      {hourMarks(day, zone, every).map(({ at, hour }) => (
        <g key={at}>
          <path class="hour" d={`M${x(at)} ${top}V${bottom + 4}`} />
          <text class="tick" x={x(at)} y={bottom + 17} text-anchor={hour === 24 && at === day.to ? "end" : "middle"}>
            {String(hour).padStart(2, "0")}
          </text>
        </g>
      ))}
    </>
  );
}
