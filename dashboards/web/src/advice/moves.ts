// What an advice asks one to do, as lines one can tick off.
import type { Advice, Figure, Move, Structure } from "../api/shapes.ts";
import { coverLine, coverRows } from "../ribbon/covers.ts";
import { moveLine, planRows } from "../ribbon/plan.ts";
import { instant } from "../time/zone.ts";
import { capital } from "../words/figures.ts";
import { bedName } from "../words/names.ts";
import { fromUntil } from "../words/times.ts";

/** The moves of an advice: "Both doors: a crack, 10:30 to 14:30", "Path fleece: laid, from 16:00", "Bean row: 2 cans (15 to 21 L), until 12:00". */
export function moveLines(advice: Advice, structure: Structure, now: number, zone: string): string[] {
  const vents = planRows(structure, [advice]).flatMap((row) => row.spans.map((span) => moveLine(row, span, structure.vents, now, zone)));
  const covers = coverRows([advice]).flatMap((row) => row.spans.map((span) => coverLine(row, span, structure, now, zone)));
  const water = (advice.kind === "water" ? (advice.moves ?? []) : []).map((move) =>
    capital(`${waterWords(move, structure)}, ${fromUntil(instant(move.from), instant(move.until), now, zone)}`),
  );
  return [...vents, ...covers, ...water];
}

function waterWords({ bed, litres, cans, minutes, only_if_dry }: Move, structure: Structure): string {
  const hand = cans != null ? counted(cans, "can") : minutes != null ? dripWords(minutes) : "";
  const sum = litresWords(litres);
  const much = hand === "" ? sum || "water" : `${hand}${sum && ` (${sum})`}`;
  return `${bed ? bedName(structure, bed) : "here"}: ${much}${only_if_dry ? " if it is dry at 5\u00a0cm" : ""}`;
}

const IN_HOURS_FROM_MIN = 120;

function dripWords(minutes: number): string {
  const long = minutes < IN_HOURS_FROM_MIN ? counted(Math.round(minutes), "minute") : counted(Math.round(minutes / 30) / 2, "hour");
  return `about ${long} of drip`;
}

function counted(count: number, unit: string): string {
  return `${Number(count.toFixed(1))}\u00a0${unit}${count === 1 ? "" : "s"}`;
}

function litresWords(litres: Figure | number | null | undefined): string {
  const f = typeof litres === "number" ? { value: litres } : litres;
  if (f?.value == null) return "";
  const whole = (value: number): string => String(value < 10 ? Number(value.toFixed(1)) : Math.round(value));
  const [low, high] = [whole(f.low ?? f.value), whole(f.high ?? f.value)];
  return low === high ? `about ${whole(f.value)}\u00a0L` : `${low} to ${high}\u00a0L`;
}
