// The live line: the server says what has changed, and what has changed is asked for again.
import * as garden from "../state/garden.ts";
import { dateAt, instant } from "../time/zone.ts";
import type { Change } from "./shapes.ts";

const RETRY_MS = 5_000;

let cut = false;

export function listen(): void {
  const line = new EventSource("/api/live");
  line.addEventListener("open", () => {
    garden.connected.value = true;
    // What changed while the line was down was told to nobody.
    if (cut) garden.bringStructures();
    cut = false;
  });
  line.addEventListener("changed", (event) => {
    const change = read(event.data);
    if (change) fetchAgain(change);
  });
  line.addEventListener("error", () => {
    cut = true;
    garden.connected.value = false;
    if (line.readyState === EventSource.CLOSED) setTimeout(listen, RETRY_MS);
  });
}

function read(data: string): Change | null {
  try {
    const change: unknown = JSON.parse(data);
    return typeof change === "object" && change !== null && "what" in change ? (change as Change) : null;
  } catch {
    return null;
  }
}

/** A day's readings and figures are asked for no more often than this, however often a board speaks. */
const SPACING_MS = 15_000;

/** Asks again for what a change points at. */
export function fetchAgain(change: Change): void {
  const slugs = garden.slugs();
  const touched = change.structure ? slugs.filter((slug) => slug === change.structure) : slugs;
  switch (change.what) {
    case "now":
    case "alerts":
      for (const slug of touched) garden.bringNow(slug);
      if (change.what === "now") for (const slug of touched) garden.bringToday(slug, SPACING_MS);
      break;
    case "hours":
      for (const slug of touched) hoursChanged(slug, instant(change.from));
      break;
    case "advice":
    case "events":
    case "observations":
      for (const slug of touched) garden.bringAdvice(slug);
      break;
    case "boards":
      garden.bringHealth();
      break;
    default:
      garden.bringHealth();
      garden.bringStructures();
  }
}

function hoursChanged(slug: string, from: number | null): void {
  const midnight = garden.midnight();
  const past = from === null || midnight === null || from < midnight;
  garden.bringDays(slug, from === null ? null : dateAt(from, garden.zone.peek()), SPACING_MS);
  garden.bringToday(slug, SPACING_MS);
  garden.bringNow(slug);
  garden.bringWet(slug, SPACING_MS);
  if (past) garden.bringWeek(slug, SPACING_MS);
}
