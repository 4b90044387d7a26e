// Damp as it stands: how wet leaves likely are, and what it means for what grows there.
import type { Now } from "../api/shapes.ts";
import { riskLines, wetWords } from "./words.ts";

/** Nothing at all where the program tells nothing of damp. */
export function DampNow({ now, connected }: { now: Now; connected: boolean }) {
  const lines = riskLines(now.risk ?? []);
  if (!now.wet && lines.length === 0) return null;
  return (
    <div class="damp" data-part="damp" data-state={connected ? undefined : "stale"}>
      {now.wet && (
        <p data-part="wet" data-wet={now.wet.now}>
          {wetWords(now.wet)}
        </p>
      )}
      {lines.length > 0 && (
        <ul class="risks" aria-label="Risk to leaves from damp">
          {lines.map(({ level, says, doubt }) => (
            <li key={says} data-level={level}>
              {says}
              {doubt && <span class="doubt"> {doubt}</span>}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
