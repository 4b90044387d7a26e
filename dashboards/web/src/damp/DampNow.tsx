// Damp as it stands: how wet leaves likely are, and what it means for what grows there.
import type { Now } from "../api/shapes.ts";
import { dampOf } from "./words.ts";

/** Nothing at all where the program tells nothing of damp. */
export function DampNow({ now, connected }: { now: Now; connected: boolean }) {
  const damp = dampOf(now);
  if (!damp) return null;
  const { wet, lines, doubt: doubtOfAll } = damp;
  return (
    <div class="damp" data-part="damp" data-state={connected ? undefined : "stale"}>
      {wet && (
        <p data-part="wet" data-wet={now.wet?.now}>
          {wet}
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
      {doubtOfAll && <p class="doubt">{doubtOfAll}</p>}
    </div>
  );
}
