// Today: what to do, and what it is like.
import { structuresByUrgency } from "../advice/order.ts";
import type { Advice } from "../api/shapes.ts";
import * as garden from "../state/garden.ts";
import { SourcesPanel } from "../sources/SourcesPanel.tsx";
import { Strip } from "../strip/Strip.tsx";
import { Season } from "../season/Season.tsx";
import { LookOut } from "../tell/LookOut.tsx";
import { now as clock, stopped } from "../time/clock.ts";
import { dayBounds, deviceDiffers, timeAt } from "../time/zone.ts";
import { HatchPattern } from "../ribbon/marks.tsx";
import { longDate } from "../words/times.ts";
import { Footer } from "./Footer.tsx";
import { HowToRead } from "./HowToRead.tsx";
import { TopLine } from "./TopLine.tsx";
import { TroubleNote } from "./TroubleNote.tsx";

export function Today() {
  const now = clock.value;
  const zone = garden.zone.value;
  return (
    <>
      <HatchPattern />
      <TopLine now={now} zone={zone} />
      <header>
        <p class="mark">
          <Stick /> Propstick
        </p>
        <h1>Today</h1>
        <Where now={now} zone={zone} />
      </header>
      <main>
        <Strips now={now} zone={zone} />
      </main>
      <Footer />
    </>
  );
}

function Where({ now, zone }: { now: number | null; zone: string }) {
  const found = garden.structures.value.value?.garden;
  const date = garden.today.value;
  if (!found || now === null || date === null) return null;
  const day = dayBounds(date, zone);
  return (
    <div class="where">
      <p>
        {found.name}, {longDate(date)}, <span data-clock>{timeAt(now, zone)}</span>
      </p>
      {stopped.value && <p class="small">The clock stands still: this is a recording.</p>}
      {deviceDiffers(zone, [day.from, now, day.to]) && (
        <p class="small" data-zone-note>
          All times are the garden&rsquo;s ({zone.replaceAll("_", " ")}); this device keeps other time.
        </p>
      )}
      {day.to - day.from !== 86_400_000 && <p class="small">The clocks change today: it has {(day.to - day.from) / 3_600_000} hours.</p>}
    </div>
  );
}

function Strips({ now, zone }: { now: number | null; zone: string }) {
  const slot = garden.structures.value;
  const date = garden.today.value;
  if (!slot.value) {
    return slot.trouble ? (
      <div class="whole-page">
        <TroubleNote trouble={slot.trouble} about="the garden" />
        {slot.trouble.kind !== "refused" && (
          <p>
            In a terminal on the machine that runs it, <code>propstick check</code> says what is wrong.
          </p>
        )}
      </div>
    ) : (
      <p class="whole-page waiting" data-loading>
        Asking what the covers are doing…
      </p>
    );
  }
  const { structures } = slot.value;
  if (structures.length === 0) {
    return (
      <div class="whole-page" data-empty>
        <p class="say">There is no structure in this garden yet.</p>
        <p>
          Name your tunnels, frames and beds in the garden file, and start the program again. Readings that boards send in the meantime are kept and
          count from the day they came.
        </p>
      </div>
    );
  }
  if (now === null || date === null) return <p class="whole-page waiting">The program has not said what time it is.</p>;
  // The outside is what the covers are compared with: it comes last.
  const asOneWalks = [...structures.filter((s) => !s.outside), ...structures.filter((s) => s.outside)];
  const adviceOf = (slug: string): Advice[] => (garden.building.value ? [] : (garden.knownOf(slug).advice.value.value?.advice ?? []));
  return (
    <>
      <LookOut />
      {structuresByUrgency(asOneWalks, adviceOf, now).map((structure) => (
        <Strip key={structure.slug} structure={structure} now={now} date={date} zone={zone} />
      ))}
      <HowToRead />
      <Season structures={asOneWalks} now={now} date={date} zone={zone} />
      <SourcesPanel />
    </>
  );
}

function Stick() {
  return (
    <svg class="stick-mark" viewBox="0 0 14 24" width="14" height="24" aria-hidden="true" focusable="false">
      <path d="M4 23V1h6v4H7v3h3v4H7v3h3v8z" />
    </svg>
  );
}
