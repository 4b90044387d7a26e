// "Done" or "left as it was", for one advice: what was made of it is how the program can be honest about it later.
import { useEffect, useRef } from "preact/hooks";
import type { Advice, Kept } from "../api/shapes.ts";
import { keptAlready, nothingTold, told, type TellingSignal } from "./telling.ts";
import { ToldLine } from "./ToldLine.tsx";

/** By advice, so that what was tapped outlives a redrawn strip. */
const tellings = new Map<string, TellingSignal>();

function tellingOf(id: string, answered: Kept | null): TellingSignal {
  const found = tellings.get(id) ?? nothingTold(answered);
  tellings.set(id, found);
  return found;
}

export function DidIt({ advice }: { advice: Advice }) {
  const id = String(advice.id);
  const answered = advice.answered ?? null;
  const state = tellingOf(id, answered);
  const before = useRef(answered);
  // Somebody may answer, or take an answer back, on another page.
  useEffect(() => {
    if (before.current?.id !== answered?.id) keptAlready(state, before.current, answered);
    before.current = answered;
  }, [answered?.id]);
  const say = (kind: "done" | "not_done") => () => void told(state, "/api/events", { kind, what: id });
  return (
    <div class="did-it" data-part="did-it">
      {state.value.step === "nothing" && (
        <>
          <button type="button" onClick={say("done")}>
            Done
          </button>
          <button type="button" onClick={say("not_done")}>
            Left as it was
          </button>
        </>
      )}
      <ToldLine state={state} where="/api/events" />
    </div>
  );
}
