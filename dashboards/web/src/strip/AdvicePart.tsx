// What is advised for a structure: the most urgent sentence first, what needs nothing doing folded under one line.
import { foldedWords, hasRunOut, ordered, rankOf } from "../advice/order.ts";
import { moveLines } from "../advice/moves.ts";
import type { Advice, Structure } from "../api/shapes.ts";
import { TroubleNote } from "../page/TroubleNote.tsx";
import * as garden from "../state/garden.ts";
import { DidIt } from "../tell/DidIt.tsx";
import { dateAt, instant } from "../time/zone.ts";
import { when } from "../words/times.ts";
import { Why } from "./Why.tsx";

interface AdviceProps {
  structure: Structure;
  advice: Advice[];
  now: number;
  zone: string;
}

export function AdvicePart({ structure, advice, now, zone }: AdviceProps) {
  const slot = garden.knownOf(structure.slug).advice.value;
  if (garden.building.value) return <p class="say waiting">The history is still being laid down; advice comes when it has reached today.</p>;
  if (!slot.asked) return <p class="say waiting">Working out what to say…</p>;
  if (!slot.value && slot.trouble) return <TroubleNote trouble={slot.trouble} about="the advice" />;
  if (advice.length === 0) {
    return <p class="say" data-part="say">{structure.outside ? "Nothing to do out here." : "No advice has been worked out for this cover yet."}</p>;
  }
  const { said, folded } = ordered(advice, now);
  return (
    <>
      {said.map((one, index) => (
        <One key={one.id} advice={one} first={index === 0} structure={structure} now={now} zone={zone} />
      ))}
      {said.length === 0 && <p class="say first-say" data-part="say">Nothing to do here: water can wait.</p>}
      {folded.length > 0 && (
        <details class="folded" data-part="folded">
          <summary>{foldedWords(folded, structure)}</summary>
          <div class="folded-body">
            {folded.map((one) => (
              <One key={one.id} advice={one} first={false} structure={structure} now={now} zone={zone} />
            ))}
          </div>
        </details>
      )}
    </>
  );
}

function One({ advice, first, structure, now, zone }: { advice: Advice; first: boolean; structure: Structure; now: number; zone: string }) {
  const rank = rankOf(advice, now);
  const warns = rank === 0;
  return (
    <div class={`advice${first ? " first" : ""}${warns ? " warns" : ""}`} data-advice={advice.kind} data-about={advice.about ?? undefined}>
      <p class="say" data-part="say">
        {warns && <Mark />}
        {advice.say}
      </p>
      <SaidWhen advice={advice} now={now} zone={zone} />
      {warns && <Care cautions={advice.cautions ?? []} />}
      <Why advice={advice} structure={structure} now={now} zone={zone} careSaid={warns} />
      {(rank <= 1 || advice.answered) && <DidIt advice={advice} />}
      <ul class="to-tick">
        {moveLines(advice, structure, now, zone).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </div>
  );
}

/** Where harm is near, what to mind stands in the open. */
function Care({ cautions }: { cautions: string[] }) {
  return cautions.length === 0 ? null : (
    <p class="care" data-part="care">
      {cautions.join(" ")}
    </p>
  );
}

function Mark() {
  return (
    <svg class="sign" viewBox="0 0 16 16" width="16" height="16" role="img" aria-label="Do not put this off:" focusable="false">
      <path d="M8 2L15 14H1Z" />
      <path class="sign-mark" d="M8 6v4M8 11.6v1" />
    </svg>
  );
}

/** Words such as "tomorrow" hold for when they were said: another day than today is named, and an end that has come. */
function SaidWhen({ advice, now, zone }: { advice: Advice; now: number; zone: string }) {
  const [made, until] = [instant(advice.made_at), instant(advice.until)];
  const said = made !== null && dateAt(made, zone) !== dateAt(now, zone) ? `Said ${when(made, now, zone)}.` : "";
  const over = until !== null && hasRunOut(advice, now) ? `This held until ${when(until, now, zone)}; the next has not been worked out yet.` : "";
  if (!said && !over) return null;
  return (
    <p class="small" data-part="said-when">
      {[said, over].filter((text) => text !== "").join(" ")}
    </p>
  );
}
