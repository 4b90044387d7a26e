// One strip per structure: what to do on the left, what it is like on the right.
import type { Advice, Notch, Structure } from "../api/shapes.ts";
import { TroubleNote, Waiting } from "../page/TroubleNote.tsx";
import { lineOf } from "../ribbon/line.ts";
import { nextMove, notchAt, notchWords, type PlanRow, planRows, rowOf, ventsNamed } from "../ribbon/plan.ts";
import { Ribbon } from "../ribbon/Ribbon.tsx";
import * as garden from "../state/garden.ts";
import { dayBounds, instant } from "../time/zone.ts";
import { capital } from "../words/figures.ts";
import { when } from "../words/times.ts";
import { AirNow, airWords, leadSpot } from "./AirNow.tsx";
import { daySummary, DayTable, hoursMissing } from "./DayTable.tsx";
import { SideView } from "./SideView.tsx";
import { moveLines, Why } from "./Why.tsx";

interface StripProps {
  structure: Structure;
  now: number;
  date: string;
  zone: string;
}

export function Strip({ structure, now, date, zone }: StripProps) {
  const advice = garden.building.value ? [] : (garden.knownOf(structure.slug).advice.value.value?.advice ?? []);
  const rows = planRows(structure, advice);
  const heading = `strip-${structure.slug}`;
  return (
    <section class="strip" data-structure={structure.slug} aria-labelledby={heading}>
      <div class="doing">
        <div class="strip-head">
          <div>
            <h2 id={heading}>{structure.name}</h2>
            <p class="stands">{standsWords(structure, rows, now, zone)}</p>
          </div>
          <SideView structure={structure} standings={structure.vents.map((vent) => ({ vent, ...notches(rows, vent.id, now) }))} />
        </div>
        <AdvicePart structure={structure} advice={advice} now={now} zone={zone} />
      </div>
      <div class="looking">
        <LookingPart structure={structure} advice={advice} now={now} date={date} zone={zone} />
      </div>
    </section>
  );
}

function notches(rows: PlanRow[], vent: string, now: number): { now: Notch | null; next: Notch | null } {
  const row = rowOf(rows, vent);
  return { now: notchAt(row, now), next: nextMove(row, now)?.notch ?? null };
}

/** Where the openings should stand now and next, in the words of their own positions. */
function standsWords(structure: Structure, rows: PlanRow[], now: number, zone: string): string {
  if (structure.outside) return "What the covers are compared with.";
  return rows
    .map((row) => {
      const vent = row.vents[0];
      const stands = notchAt(row, now);
      const next = nextMove(row, now);
      const who = capital(ventsNamed(row.vents, structure.vents));
      const then = next ? `${notchWords(vent, next.notch)} from ${when(next.from, now, zone)}` : null;
      if (stands) return `${who}: ${notchWords(vent, stands)} now${then ? `, ${then}` : ""}.`;
      return then ? `${who}: ${then}.` : "";
    })
    .filter((line) => line !== "")
    .join(" ");
}

function AdvicePart({ structure, advice, now, zone }: { structure: Structure; advice: Advice[]; now: number; zone: string }) {
  const slot = garden.knownOf(structure.slug).advice.value;
  if (garden.building.value) return <p class="say waiting">The history is still being laid down; advice comes when it has reached today.</p>;
  if (!slot.asked) return <p class="say waiting">Working out what to say…</p>;
  if (!slot.value && slot.trouble) return <TroubleNote trouble={slot.trouble} about="the advice" />;
  if (advice.length === 0) {
    return <p class="say" data-part="say">{structure.outside ? "Nothing to do out here." : "No advice has been worked out for this cover yet."}</p>;
  }
  return (
    <>
      {advice.map((one, index) => (
        <div class={index === 0 ? "advice first" : "advice"} data-advice={one.kind} key={one.id}>
          <p class="say" data-part="say">
            {one.say}
          </p>
          <RunOut advice={one} now={now} zone={zone} />
          <Why advice={one} structure={structure} now={now} zone={zone} />
          <ul class="to-tick">
            {moveLines(one, structure, now, zone).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </div>
      ))}
    </>
  );
}

/** Advice that has come to its end is said to have, until the next takes its place. */
function RunOut({ advice, now, zone }: { advice: Advice; now: number; zone: string }) {
  const until = instant(advice.until);
  if (until === null || until > now) return null;
  return <p class="small">This held until {when(until, now, zone)}; the next has not been worked out yet.</p>;
}

function LookingPart({ structure, advice, now, date, zone }: StripProps & { advice: Advice[] }) {
  const known = garden.knownOf(structure.slug);
  const [air, readings] = [known.now.value, known.today.value];
  const day = dayBounds(date, zone);
  const inside = lineOf(readings.value, day, now);
  const spot = leadSpot(air.value, readings.value);
  const beside = structure.outside ? null : garden.outside.value;
  const besideKnown = beside ? garden.knownOf(beside.slug) : null;
  const outside = besideKnown ? lineOf(besideKnown.today.value.value, day, now) : null;
  const figures = { day, zone, now, inside, outside };
  const latest = [airWords(spot, structure.outside ? "air" : "inside", now, zone)];
  if (besideKnown) latest.push(airWords(leadSpot(besideKnown.now.value.value, besideKnown.today.value.value), "outside", now, zone));
  return (
    <>
      {air.value ? (
        <AirNow
          now={air.value}
          spot={spot}
          day={known.days.value.value?.days.find((one) => one.date === date) ?? null}
          at={now}
          zone={zone}
          connected={garden.connected.value !== false}
          missing_h={readings.value ? hoursMissing(inside) : null}
        />
      ) : (
        <Waiting trouble={air.trouble} about="the air" />
      )}
      {readings.value ? (
        <figure class="day">
          <Ribbon {...figures} structure={structure} sun={garden.sunOf(date).value.value} advice={advice} latest={latest} />
          <figcaption>{daySummary(figures)}</figcaption>
          <DayTable {...figures} />
        </figure>
      ) : (
        <Waiting trouble={readings.trouble} about="today's readings" />
      )}
    </>
  );
}
