// What stands in place of an answer that did not come: each kind of trouble in its own words.
import type { Trouble } from "../api/ask.ts";

export function TroubleNote({ trouble, about }: { trouble: Trouble; about: string }) {
  return (
    <div class="trouble" data-trouble={trouble.kind}>
      <p>{sentence(trouble, about)}</p>
    </div>
  );
}

/** What stands in a place whose answer has not come: that it was asked for, or what went wrong. */
export function Waiting({ trouble, about }: { trouble: Trouble | null; about: string }) {
  return trouble ? <TroubleNote trouble={trouble} about={about} /> : <p class="waiting">Asking for {about}…</p>;
}

function sentence(trouble: Trouble, about: string): string {
  switch (trouble.kind) {
    case "offline":
      return `The program cannot be reached, so ${about} is unknown. It goes on trying.`;
    case "refused":
      return `The program refuses to tell ${about} from here (answer ${trouble.status}). ${trouble.says ?? "It answers only on the machine that it runs on."}`;
    case "missing":
      return `The program has nothing on ${about}${quoted(trouble.says)}.`;
    case "broken":
      return `Something is wrong in the program, so ${about} is unknown: ${trouble.says}`;
  }
}

function quoted(says: string | null): string {
  return says ? `: ${says.replace(/\.$/, "")}` : "";
}
