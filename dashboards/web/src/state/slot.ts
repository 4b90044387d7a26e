// A slot holds the newest answer to one question, and what went wrong since, if anything did.
import { type Signal, signal } from "@preact/signals";
import type { Answer, Trouble } from "../api/ask.ts";

export interface Slot<T> {
  /** The last good answer; kept when a later question fails. */
  value: T | null;
  /** What went wrong with the latest question; null when it was answered. */
  trouble: Trouble | null;
  /** False until the first question has been answered or has failed. */
  asked: boolean;
}

export type SlotSignal<T> = Signal<Slot<T>>;

export function emptySlot<T>(): SlotSignal<T> {
  return signal<Slot<T>>({ value: null, trouble: null, asked: false });
}

/** Puts an answer into its slot, and says whether it was a good one. */
export function fill<T>(slot: SlotSignal<T>, answer: Answer<T>): boolean {
  slot.value = answer.ok
    ? { value: answer.value, trouble: null, asked: true }
    : { value: slot.peek().value, trouble: answer.trouble, asked: true };
  return answer.ok;
}
