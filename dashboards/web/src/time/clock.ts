// The server's clock, kept going here between two answers. The garden may stand at a recording's time, so the device's
// own clock is never asked what time it is; only how much has passed.
import { signal } from "@preact/signals";

/** The garden's now, UTC milliseconds; null until the server has said it once. */
export const now = signal<number | null>(null);
/** True while the server repeats the same instant: a recording with its clock stopped. */
export const stopped = signal(false);

const TICK_MS = 15_000;
const SURELY_MOVED_ON_MS = 5_000;

let heardAt = 0;
let heard: number | null = null;

/** Takes the `at` of an answer as the garden's now. */
export function hear(at: number | null): void {
  if (at === null) return;
  const here = performance.now();
  if (heard !== null && at === heard) {
    if (here - heardAt > SURELY_MOVED_ON_MS) stopped.value = true;
  } else {
    stopped.value = false;
    heard = at;
    heardAt = here;
  }
  tick();
}

function tick(): void {
  if (heard === null) return;
  now.value = stopped.value ? heard : heard + Math.round(performance.now() - heardAt);
}

export function startClock(): void {
  setInterval(tick, TICK_MS);
}
