// The live line: the server says what has changed, and what has changed is asked for again.
import * as garden from "../state/garden.ts";
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

/** Asks again for what a change points at. */
export function fetchAgain(change: Change): void {
  const slugs = garden.slugs();
  const touched = change.structure ? slugs.filter((slug) => slug === change.structure) : slugs;
  switch (change.what) {
    case "now":
    case "alerts":
      touched.forEach(garden.bringNow);
      if (change.what === "now") touched.forEach(garden.bringToday);
      break;
    case "hours":
      touched.forEach(garden.bringDays);
      touched.forEach(garden.bringToday);
      touched.forEach(garden.bringWeek);
      break;
    case "advice":
      touched.forEach(garden.bringAdvice);
      break;
    case "boards":
      touched.forEach(garden.bringNow);
      garden.bringHealth();
      break;
    default:
      garden.bringHealth();
      garden.bringStructures();
  }
}
