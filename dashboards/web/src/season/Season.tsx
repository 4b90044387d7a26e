// Behind today: each structure's week as stacked ribbons and its year as one strip.
import { useState } from "preact/hooks";
import type { Structure } from "../api/shapes.ts";
import { Waiting } from "../page/TroubleNote.tsx";
import * as garden from "../state/garden.ts";
import { shiftDate } from "../time/zone.ts";
import { percent, tenths } from "../words/figures.ts";
import { monthYear, shortDate } from "../words/times.ts";
import { lastDaysWords, monthsOf, type Year, yearOf, yearWords } from "./days.ts";
import { Week } from "./Week.tsx";
import { YearStrip } from "./YearStrip.tsx";

interface SeasonProps {
  structures: Structure[];
  now: number;
  date: string;
  zone: string;
}

export function Season({ structures, now, date, zone }: SeasonProps) {
  return (
    <section class="season" aria-labelledby="season">
      <h2 id="season">The week and the year</h2>
      {structures.map((structure) => (
        <Behind key={structure.slug} structure={structure} now={now} date={date} zone={zone} />
      ))}
    </section>
  );
}

function Behind({ structure, now, date, zone }: { structure: Structure; now: number; date: string; zone: string }) {
  const known = garden.knownOf(structure.slug);
  const [week, days] = [known.week.value, known.days.value];
  const year = days.value ? yearOf(days.value.days, date, garden.YEAR_DAYS) : null;
  return (
    <div class="behind" data-season={structure.slug}>
      <div class="doing">
        <h3>{structure.name}</h3>
        {year && (
          <div class="year-words">
            {[lastDaysWords(year, garden.WEEK_DAYS), ...yearWords(year)].map((sentence) => sentence && <p key={sentence}>{sentence}</p>)}
            {year.began && <Tables year={year} name={structure.name} />}
          </div>
        )}
      </div>
      <div class="looking">
        {week.value ? (
          <Week
            name={structure.name}
            readings={week.value}
            today={known.today.value.value}
            date={date}
            days={garden.WEEK_DAYS}
            now={now}
            zone={zone}
            outdoors={structure.outside}
          />
        ) : (
          <Waiting trouble={week.trouble} about="the week" />
        )}
        {year ? year.began && <YearStrip name={structure.name} year={year} outdoors={structure.outside} /> : <Waiting trouble={days.trouble} about="the year" />}
      </div>
    </div>
  );
}

/** The pictures' figures for whoever cannot see them, or wants to copy them. */
function Tables({ year, name }: { year: Year; name: string }) {
  const week = year.days.slice(-garden.WEEK_DAYS).map((day, index) => ({
    name: shortDate(shiftDate(year.last, index + 1 - garden.WEEK_DAYS)),
    low: day?.low ?? null,
    high: day?.high ?? null,
    known: day ? percent(Math.floor(day.measured * 100)) : "none",
  }));
  const months = monthsOf(year).map((month) => ({ ...month, name: monthYear(`${month.month}-01`), known: `${month.days} of ${month.of}` }));
  return (
    <>
      <Table opener="The week as a table" caption={`${name}, day by day`} unit="Day" known="Day measured" rows={week} />
      <Table opener="The year as a table" caption={`${name}, month by month`} unit="Month" known="Days known" rows={months} />
    </>
  );
}

interface TableProps {
  opener: string;
  caption: string;
  unit: string;
  known: string;
  rows: { name: string; low: number | null; high: number | null; known: string }[];
}

function Table({ opener, caption, unit, known, rows }: TableProps) {
  const [opened, setOpened] = useState(false);
  const degrees = (value: number | null): string => (value === null ? "unknown" : tenths(value));
  return (
    <details class="table-of" onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>{opener}</summary>
      {opened && (
        <table>
          <caption>{caption}</caption>
          <thead>
            <tr>
              <th scope="col">{unit}</th>
              <th scope="col" class="number">
                Lowest, °C
              </th>
              <th scope="col" class="number">
                Highest, °C
              </th>
              <th scope="col" class="number">
                {known}
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.name}>
                <th scope="row">{row.name}</th>
                <td class="number">{degrees(row.low)}</td>
                <td class="number">{degrees(row.high)}</td>
                <td class="number">{row.known}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </details>
  );
}
