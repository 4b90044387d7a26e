// The ribbon's figures as a table, hour by hour; and in one sentence.
import { useState } from "preact/hooks";
import { extent, type Line } from "../ribbon/line.ts";
import { type DayBounds, HOUR_MS, timeAt } from "../time/zone.ts";
import { celsius, listed } from "../words/figures.ts";

interface DayFigures {
  day: DayBounds;
  zone: string;
  now: number;
  inside: Line;
  outside: Line | null;
}

/** "Inside between 2.1 °C and 9.8 °C so far, outside ... No reading 03:10 to 04:20." */
export function daySummary({ day, zone, now, inside, outside }: DayFigures): string {
  const range = (line: Line | null, where: string): string | null => {
    const found = line && extent([line]);
    return found ? `${where} between ${celsius(found.low)} and ${celsius(found.high)}` : null;
  };
  const ranges = [range(inside, outside ? "inside" : "air"), range(outside, "outside")].filter((part) => part !== null);
  const spoken = ranges.length === 0 ? "No reading of the air today." : `${capital(ranges.join(", "))} so far.`;
  const ends = (at: number): string => (at >= now - 1000 ? "now" : at >= day.to ? "midnight" : timeAt(at, zone));
  const gaps = inside.runs.length === 0 ? [] : inside.gaps.map((gap) => `${timeAt(gap.from, zone)} to ${ends(gap.to)}`);
  return gaps.length === 0 ? spoken : `${spoken} No reading from ${listed(gaps)}.`;
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
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

function Hours({ day, zone, now, inside, outside }: DayFigures) {
  const hours: number[] = [];
  for (let from = day.from; from < Math.min(day.to, now); from += HOUR_MS) hours.push(from);
  return (
    <table>
      <caption>Air temperature, hour by hour today</caption>
      <thead>
        <tr>
          <th scope="col">From</th>
          <th scope="col" class="number">
            {outside ? "Inside" : "Air"}
          </th>
          {outside && (
            <th scope="col" class="number">
              Outside
            </th>
          )}
        </tr>
      </thead>
      <tbody>
        {hours.map((from) => (
          <tr key={from}>
            <th scope="row">{timeAt(from, zone)}</th>
            <td class="number">{hourRange(inside, from)}</td>
            {outside && <td class="number">{hourRange(outside, from)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function hourRange(line: Line, from: number): string {
  const points = line.runs.flat().filter((point) => point.at >= from && point.at < from + HOUR_MS);
  if (points.length === 0) return "no reading";
  const low = Math.min(...points.map((point) => point.low));
  const high = Math.max(...points.map((point) => point.high));
  const [least, most] = [celsius(low), celsius(high)];
  return least === most ? least : `${least} to ${most}`;
}
