// Behind today: each structure's week as stacked ribbons and its year as one strip.
import { useState } from "preact/hooks";
import type { Structure } from "../api/shapes.ts";
import { Waiting } from "../page/TroubleNote.tsx";
import * as garden from "../state/garden.ts";
import { tenths } from "../words/figures.ts";
import { monthYear } from "../words/times.ts";
import { monthsOf, type Year, yearOf, yearWords } from "./days.ts";
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
            {yearWords(year).map((sentence) => (
              <p key={sentence}>{sentence}</p>
            ))}
            {year.began && <MonthTable year={year} name={structure.name} />}
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

function MonthTable({ year, name }: { year: Year; name: string }) {
  const [opened, setOpened] = useState(false);
  return (
    <details class="table-of" onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>The year as a table</summary>
      {opened && (
        <table>
          <caption>{name}, month by month</caption>
          <thead>
            <tr>
              <th scope="col">Month</th>
              <th scope="col" class="number">
                Lowest, °C
              </th>
              <th scope="col" class="number">
                Highest, °C
              </th>
              <th scope="col" class="number">
                Days known
              </th>
            </tr>
          </thead>
          <tbody>
            {monthsOf(year).map((month) => (
              <tr key={month.month}>
                <th scope="row">{monthYear(`${month.month}-01`)}</th>
                <td class="number">{month.low === null ? "unknown" : tenths(month.low)}</td>
                <td class="number">{month.high === null ? "unknown" : tenths(month.high)}</td>
                <td class="number">
                  {month.days} of {month.of}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </details>
  );
}
