// The ribbon's figures as a table, hour by hour; and in one sentence.
import { useState } from "preact/hooks";
import { extent, type Line } from "../ribbon/line.ts";
import { type DayBounds, HOUR_MS, timeAt } from "../time/zone.ts";
import { leavesWords, type WetSpan } from "../ribbon/wet.ts";
import { capital, celsius, listed, tenths } from "../words/figures.ts";

interface DayFigures {
  day: DayBounds;
  zone: string;
  now: number;
  inside: Line;
  outside: Line | null;
  wet: WetSpan[] | null;
}

/** "Outside 1.0 °C to 7.2 °C so far. No reading from 03:10 to 04:20.": what the figures above the ribbon do not say. */
export function daySummary({ day, zone, now, inside, outside }: DayFigures): string {
  const range = outside && extent([outside]);
  const ends = (at: number): string => (at >= now - 1000 ? "now" : at >= day.to ? "midnight" : timeAt(at, zone));
  const gaps = inside.runs.length === 0 ? [] : inside.gaps.map((gap) => `${timeAt(gap.from, zone)} to ${ends(gap.to)}`);
  return [
    range ? `Outside ${celsius(range.low)} to ${celsius(range.high)} so far.` : "",
    inside.runs.length === 0 ? "No reading of the air here today." : "",
    gaps.length > 0 ? `No reading from ${listed(gaps)}.` : "",
  ].join(" ").trim();
}

/** Hours of the day so far without readings. */
export function hoursMissing(line: Line): number {
  return line.gaps.reduce((sum, gap) => sum + gap.to - gap.from, 0) / HOUR_MS;
}

export function DayTable(props: DayFigures) {
  const [opened, setOpened] = useState(false);
  return (
    <details class="table-of" onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>Figures as a table</summary>
      {opened && <Hours {...props} />}
    </details>
  );
}

function Hours({ day, zone, now, inside, outside, wet }: DayFigures) {
  const hours: number[] = [];
  for (let from = day.from; from < Math.min(day.to, now); from += HOUR_MS) hours.push(from);
  return (
    <table>
      <caption>{wet ? "Air temperature and leaves, hour by hour today" : "Air temperature, hour by hour today"}</caption>
      <thead>
        <tr>
          <th scope="col">From</th>
          <th scope="col" class="number">
            {outside ? "Inside, °C" : "Air, °C"}
          </th>
          {outside && (
            <th scope="col" class="number">
              Outside, °C
            </th>
          )}
          {wet && <th scope="col">Leaves</th>}
        </tr>
      </thead>
      <tbody>
        {hours.map((from) => (
          <tr key={from}>
            <th scope="row">{timeAt(from, zone)}</th>
            <td class="number">{hourRange(inside, from)}</td>
            {outside && <td class="number">{hourRange(outside, from)}</td>}
            {wet && <td>{hourLeaves(wet, from)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What most of the hour was like. */
function hourLeaves(wet: WetSpan[], from: number): string {
  const within = ({ from: begins, to }: WetSpan): number => Math.min(to, from + HOUR_MS) - Math.max(begins, from);
  const [most] = wet.filter((span) => within(span) > 0).sort((a, b) => within(b) - within(a));
  return most ? capital(leavesWords(most.leaves).replace(/^leaves /, "")) : "not known yet";
}

function hourRange(line: Line, from: number): string {
  const points = line.runs.flat().filter((point) => point.at >= from && point.at < from + HOUR_MS);
  if (points.length === 0) return "no reading";
  const low = Math.min(...points.map((point) => point.low));
  const high = Math.max(...points.map((point) => point.high));
  const [least, most] = [tenths(low), tenths(high)];
  return least === most ? least : `${least} to ${most}`;
}
