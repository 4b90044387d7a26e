// Something the grower tells the program, from the tap until it is kept, refused or taken back. What was tapped is never lost on the way.
import { type Signal, signal } from "@preact/signals";
import { tell, type Trouble } from "../api/ask.ts";
import type { Kept } from "../api/shapes.ts";

export type Telling =
  | { step: "nothing" }
  | { step: "sending" }
  | { step: "kept"; kept: Kept; trouble: Trouble | null }
  | { step: "failed"; trouble: Trouble; again: () => Promise<void> }
  | { step: "undoing"; kept: Kept };

export type TellingSignal = Signal<Telling>;

/** Nothing told from here; what the program knows already is kept. */
export function nothingTold(known: Kept | null = null): TellingSignal {
  return signal<Telling>(known ? { step: "kept", kept: known, trouble: null } : { step: "nothing" });
}

/** The program knows something else than before: it was told, or it was taken back, on another page. What is under way here goes its own way. */
export function keptAlready(state: TellingSignal, before: Kept | null, known: Kept | null): void {
  const here = state.peek();
  if (known && (here.step === "nothing" || (here.step === "kept" && here.kept.id === before?.id))) state.value = { step: "kept", kept: known, trouble: null };
  if (!known && here.step === "kept" && here.kept.id === before?.id) state.value = { step: "nothing" };
}

/** Where things are kept: things done, and things seen. */
export type Where = "/api/events" | "/api/observations";

const looksKept = (value: Partial<Kept>): boolean => typeof value.id === "number" && typeof value.say === "string";

/** Tells it, and again by hand under the same key if it failed: then it is kept once, even where only the answer was lost. */
export async function told(state: TellingSignal, where: Where, body: object, key = newKey()): Promise<void> {
  state.value = { step: "sending" };
  const answer = await tell<Kept>(where, body, key, looksKept);
  state.value = answer.ok
    ? { step: "kept", kept: answer.value, trouble: null }
    : { step: "failed", trouble: answer.trouble, again: () => told(state, where, body, key) };
}

/** Takes back what was kept. Where that fails it still counts, and says so. */
export async function takeBack(state: TellingSignal, where: Where): Promise<void> {
  const before = state.peek();
  if (before.step !== "kept") return;
  state.value = { step: "undoing", kept: before.kept };
  const answer = await tell<Kept>(`${where}/${before.kept.id}/undo`, null, null, looksKept);
  state.value = answer.ok ? { step: "nothing" } : { step: "kept", kept: before.kept, trouble: answer.trouble };
}

/** A key nobody else uses; pages that are not served over TLS have no randomUUID everywhere. */
function newKey(): string {
  return Array.from(crypto.getRandomValues(new Uint32Array(4)), (part) => part.toString(16).padStart(8, "0")).join("");
}
