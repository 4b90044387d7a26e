// Errands: questions that are due. The same errand named many times is run once, and never twice at the same time.

type Run = () => Promise<void>;

const GATHER_MS = 300;

const waiting = new Map<string, Run>();
const running = new Set<string>();
let timer: ReturnType<typeof setTimeout> | null = null;

/** Notes an errand; it is run shortly, together with others noted in the meantime. */
export function due(name: string, run: Run): void {
  waiting.set(name, run);
  timer ??= setTimeout(setOut, GATHER_MS);
}

function setOut(): void {
  timer = null;
  for (const [name, run] of [...waiting]) {
    if (running.has(name)) continue;
    waiting.delete(name);
    running.add(name);
    void run().finally(() => {
      running.delete(name);
      if (waiting.has(name)) timer ??= setTimeout(setOut, GATHER_MS);
    });
  }
}
