// One strip per structure: what to do on the left, what it is like on the right.
import type { Advice, Notch, Structure } from "../api/shapes.ts";
import { DampNow } from "../damp/DampNow.tsx";
import { Waiting } from "../page/TroubleNote.tsx";
import { lineOf } from "../ribbon/line.ts";
import { nextMove, notchAt, notchWords, type PlanRow, planRows, rowOf, ventsNamed } from "../ribbon/plan.ts";
import { Ribbon } from "../ribbon/Ribbon.tsx";
import { wetSpans } from "../ribbon/wet.ts";
import * as garden from "../state/garden.ts";
import { dayBounds } from "../time/zone.ts";
import { when } from "../words/times.ts";
import { AdvicePart } from "./AdvicePart.tsx";
import { AirNow, airWords, leadSpot } from "./AirNow.tsx";
import { daySummary, DayTable, hoursMissing } from "./DayTable.tsx";
import { SideView } from "./SideView.tsx";

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

/** Where the openings should stand now and next, in the words of their own positions. It is advice, not how they were found: it says so. */
function standsWords(structure: Structure, rows: PlanRow[], now: number, zone: string): string {
  if (structure.outside) return "What the covers are compared with.";
  const lines = rows
    .map((row) => {
      const vent = row.vents[0];
      const stands = notchAt(row, now);
      const next = nextMove(row, now);
      const who = ventsNamed(row.vents, structure.vents);
      const then = next ? `${notchWords(vent, next.notch)} from ${when(next.from, now, zone)}` : null;
      if (stands) return `${who} ${notchWords(vent, stands)} now${then ? `, ${then}` : ""}`;
      return then ? `${who} ${then}` : "";
    })
    .filter((line) => line !== "");
  return lines.length > 0 ? `Advised: ${lines.join("; ")}.` : "";
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
  const figures = { day, zone, now, inside, outside, wet: wetSpans(known.wet.value.value, day, now) };
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
      {air.value && !garden.building.value && <DampNow now={air.value} connected={garden.connected.value !== false} />}
      {readings.value ? (
        <figure class="day">
          <Ribbon {...figures} structure={structure} sun={garden.sunOf(date).value.value} advice={advice} latest={latest} />
          <figcaption>
            {daySummary(figures)} <span data-part="wet-day">{known.wet.value.value?.says}</span>
          </figcaption>
          <DayTable {...figures} />
        </figure>
      ) : (
        <Waiting trouble={readings.trouble} about="today's readings" />
      )}
    </>
  );
}
