// The reasoning behind one advice, for whoever asks: why, the plan move by move, what it rests on, its doubt, its cautions.
import { moveLines } from "../advice/moves.ts";
import type { Advice, Figure, Structure } from "../api/shapes.ts";
import { SourcesLink } from "../sources/SourcesPanel.tsx";
import { instant } from "../time/zone.ts";
import { capital, celsius, percent, quantityName, quantityValue, spaced, spread, wholeCelsius } from "../words/figures.ts";
import { ago, when } from "../words/times.ts";

interface WhyProps {
  /** What to mind stands in the open already. */
  careSaid?: boolean;
  advice: Advice;
  structure: Structure;
  now: number;
  zone: string;
}

export function Why({ advice, structure, now, zone, careSaid }: WhyProps) {
  const moves = moveLines(advice, structure, now, zone);
  const expected = expectation(advice);
  return (
    <details class="why">
      <summary>Why</summary>
      <div class="why-body" data-part="why">
        {sentences(advice.because).map((text) => (
          <p key={text} data-part="because">
            {text}
          </p>
        ))}
        {advice.by_rule && <p>By rule, not by reading.</p>}
        {moves.length > 0 && (
          <>
            <h3>The plan</h3>
            <ul>
              {moves.map((line) => (
                <li key={line}>{line}</li>
              ))}
            </ul>
          </>
        )}
        {expected.map((text) => (
          <p key={text}>{text}</p>
        ))}
        {advice.further && <p data-part="further">{advice.further}</p>}
        {sentences(advice.also).length > 0 && (
          <>
            <h3>Besides</h3>
            <ul data-part="also">
              {sentences(advice.also).map((text) => (
                <li key={text}>{text}</li>
              ))}
            </ul>
          </>
        )}
        {sentences(advice.doubt).length > 0 && (
          <>
            <h3>Doubt</h3>
            {sentences(advice.doubt).map((text) => (
              <p key={text} data-part="doubt">
                {text}
              </p>
            ))}
          </>
        )}
        <RestsOnTable advice={advice} now={now} zone={zone} />
        {!careSaid && sentences(advice.cautions).length > 0 && (
          <>
            <h3>Take care</h3>
            <ul data-part="cautions">
              {sentences(advice.cautions).map((text) => (
                <li key={text}>{text}</li>
              ))}
            </ul>
          </>
        )}
        <p class="small">Worked out {made(advice, now, zone)}.</p>
        <SourcesLink />
      </div>
    </details>
  );
}

function sentences(text: string | string[] | null | undefined): string[] {
  if (!text) return [];
  return (Array.isArray(text) ? text : [text]).filter((one) => one.trim() !== "");
}

/** What is expected: of the night for frost, of the air inside for the rest. */
function expectation({ expect, kind }: Advice): string[] {
  const one = (f: Figure | null | undefined, say: (value: number) => string): string | null =>
    f?.value == null ? null : (spread(f, say) ?? `about ${say(f.value)}`);
  const low = one(expect?.low_c, wholeCelsius);
  const parts = [one(expect?.air_c, celsius), one(expect?.rh_pct, percent)].filter((part) => part !== null);
  const air = parts.length === 0 ? null : `${kind === "frost" ? "Expect" : "If you do it, expect"} ${parts.join(" and ")} inside.`;
  return [low === null ? null : `Expect a low ${low} where the leaves are.`, air].filter((said) => said !== null);
}

function made(advice: Advice, now: number, zone: string): string {
  const at = instant(advice.made_at);
  if (at === null) return "earlier";
  const said = when(at, now, zone);
  return said.includes(" ") ? said : `at ${said}`;
}

function RestsOnTable({ advice, now, zone }: { advice: Advice; now: number; zone: string }) {
  if (!advice.rests_on || advice.rests_on.length === 0) return null;
  return (
    <table>
      <caption>It rests on</caption>
      <thead>
        <tr>
          <th scope="col">Reading</th>
          <th scope="col" class="number">
            Value
          </th>
          <th scope="col" class="number read-at">
            Read at
          </th>
        </tr>
      </thead>
      <tbody>
        {advice.rests_on.map((rest) => {
          const at = instant(rest.t);
          return (
            <tr key={`${rest.spot} ${rest.quantity} ${rest.t}`}>
              <th scope="row">
                {capital(spaced(rest.spot))}, {quantityName(rest.quantity)}
              </th>
              <td class="number">{rest.value === null ? "none" : quantityValue(rest.quantity, rest.value, rest.unit ?? "")}</td>
              <td class="number read-at">
                {at !== null && (
                  <>
                    <span>{when(at, now, zone)},</span> <span>{ago(now - at)}</span>
                  </>
                )}
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}
