// Damp as it stands: how wet leaves likely are, and what it means for what grows there, in the program's own sentences.
import type { Now } from "../api/shapes.ts";

/** Nothing at all where the program tells nothing of damp. */
export function DampNow({ now, connected }: { now: Now; connected: boolean }) {
  const says = now.damp_says;
  if (!says) return null;
  return (
    <div class="damp" data-part="damp" data-state={connected ? undefined : "stale"}>
      <p data-part="wet" data-wet={now.wet?.now}>
        {says.leaves}
      </p>
      {says.risks.length > 0 && (
        <ul class="risks" aria-label="Risk to leaves from damp">
          {says.risks.map((risk) => (
            <li key={risk.says} data-level={risk.level ?? "unknown"}>
              {risk.says}
            </li>
          ))}
        </ul>
      )}
      {says.doubt && <p class="doubt">{says.doubt}</p>}
    </div>
  );
}
