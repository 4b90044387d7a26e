// Errands: questions that are due. The same errand named many times is run once, never twice at the same time, and not
// more often than it is worth.

type Run = () => Promise<void>;

interface Errand {
  run: Run;
  /** When it may set out, on the page's own clock. */
  notBefore: number;
}

/** How long others may join before an errand sets out. */
const GATHER_MS = 300;

const waiting = new Map<string, Errand>();
const running = new Set<string>();
const lastRun = new Map<string, number>();

/** Notes an errand. It is run shortly, but not within `spacing_ms` of its last run. */
export function due(name: string, run: Run, spacing_ms = 0): void {
  const here = performance.now();
  const rested = (lastRun.get(name) ?? -Infinity) + spacing_ms;
  const notBefore = Math.max(here + GATHER_MS, rested);
  // What is asked for with less spacing sets out sooner.
  const already = waiting.get(name)?.notBefore ?? Infinity;
  waiting.set(name, { run, notBefore: Math.min(already, notBefore) });
  if (notBefore < already) setTimeout(setOut, notBefore - here);
}

function setOut(): void {
  const here = performance.now();
  for (const [name, errand] of [...waiting]) {
    // A timer may ring a moment early.
    if (running.has(name) || errand.notBefore > here + 5) continue;
    waiting.delete(name);
    running.add(name);
    lastRun.set(name, here);
    void errand.run().finally(() => {
      running.delete(name);
      if (waiting.has(name)) setTimeout(setOut, GATHER_MS);
    });
  }
}
