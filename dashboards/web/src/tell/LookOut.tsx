// "Looked out of the window?": three taps, sky, wind and wet, and the program knows what no sensor tells it.
import { useRef, useState } from "preact/hooks";
import { nothingTold, told } from "./telling.ts";
import { ToldLine } from "./ToldLine.tsx";

type Part = "sky" | "wind" | "wet";

const CHOICES: { part: Part; name: string; words: string[] }[] = [
  { part: "sky", name: "Sky", words: ["clear", "broken", "overcast"] },
  { part: "wind", name: "Wind", words: ["calm", "light", "fresh", "gale"] },
  { part: "wet", name: "Wet or dry", words: ["dry", "rain", "fog"] },
];

export function LookOut() {
  const [chosen, setChosen] = useState<Partial<Record<Part, string>>>({});
  const { current: state } = useRef(nothingTold());
  const { step } = state.value;
  const open = step === "nothing" || step === "failed";

  function choose(part: Part, word: string): void {
    if (!open) return;
    const look = { ...chosen, [part]: word };
    setChosen(look);
    if (look.sky && look.wind && look.wet) void told(state, "/api/observations", { look });
  }

  return (
    <details class="look-out" data-part="look-out">
      <summary>Looked out of the window?</summary>
      <div class="look-rows">
        {CHOICES.map(({ part, name, words }) => (
          <fieldset key={part}>
            <legend>{name}</legend>
            {words.map((word) => (
              <button key={word} type="button" aria-pressed={chosen[part] === word} aria-disabled={!open} data-look={`${part} ${word}`} onClick={() => choose(part, word)}>
                {word}
              </button>
            ))}
          </fieldset>
        ))}
      </div>
      <ToldLine state={state} where="/api/observations" />
      {step === "kept" && (
        <button
          type="button"
          class="look-again"
          onClick={() => {
            state.value = { step: "nothing" };
            setChosen({});
          }}
        >
          Look again
        </button>
      )}
    </details>
  );
}
