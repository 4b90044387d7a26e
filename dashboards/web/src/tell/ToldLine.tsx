// What became of something told: under way, kept (with a way back), or not kept and why.
import { useEffect, useRef } from "preact/hooks";
import type { Trouble } from "../api/ask.ts";
import { takeBack, type TellingSignal, type Where } from "./telling.ts";

export function ToldLine({ state, where }: { state: TellingSignal; where: Where }) {
  const now = state.value;
  const place = useRef<HTMLDivElement>(null);
  const before = useRef(now.step);
  // A button that has done its work goes; whoever stood on it with the keyboard is not sent back to the top of the page.
  useEffect(() => {
    const was = before.current;
    before.current = now.step;
    // Told or taken back on another page: nobody here pressed anything.
    if (was === now.step || (was === "nothing" && now.step === "kept") || (was === "kept" && now.step === "nothing")) return;
    if (document.activeElement !== document.body) return;
    if (now.step === "nothing") place.current?.parentElement?.querySelector("button")?.focus();
    else place.current?.focus();
  }, [now.step]);
  return (
    <div class="told" role="status" tabIndex={-1} ref={place} data-told={now.step}>
      {now.step === "sending" && <p class="small">Telling the program…</p>}
      {now.step === "undoing" && <p class="small">Taking it back…</p>}
      {now.step === "failed" && (
        <>
          <p class="not-kept">
            {now.trouble.kind === "offline"
              ? "Not known to be kept: the program cannot be reached. Trying again does no harm."
              : `Not kept: ${troubleWords(now.trouble)}`}
          </p>
          <button type="button" onClick={() => void now.again()}>
            Try again
          </button>
        </>
      )}
      {now.step === "kept" && (
        <>
          <p class="small">Kept: {now.kept.say}.</p>
          {now.trouble && <p class="not-kept">It could not be taken back, so it still counts: {troubleWords(now.trouble)}</p>}
          <button type="button" onClick={() => void takeBack(state, where)}>
            Take it back
          </button>
        </>
      )}
    </div>
  );
}

function troubleWords(trouble: Trouble): string {
  switch (trouble.kind) {
    case "offline":
      return "the program cannot be reached.";
    case "refused":
      return trouble.says ?? `the program refuses to be told from here (answer ${trouble.status}).`;
    case "missing":
      return trouble.says ?? "the program knows no such thing.";
    case "broken":
      return trouble.says;
  }
}
