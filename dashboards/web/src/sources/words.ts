// Where numbers come from, in words.
import type { Cell, Constant, Sources } from "../api/shapes.ts";
import { capital, listed, spaced } from "../words/figures.ts";

/** How far numbers can be trusted, the best first, as the answers name it. */
const MARKS: Record<string, string> = {
  published: "read in the paper or table named",
  secondary: "read in somebody's account of it",
  memory: "recalled and not read again",
  "our proposal": "nobody's but ours, still to be proved",
};

export const MARK_KEY: [string, string][] = Object.entries(MARKS);

/** "0.75 mm", "90 %RH", "0.5": as exact as the program holds it. */
export function numberWords(value: number, unit: string | null | undefined): string {
  const text = String(Number(value.toPrecision(6))).replace("-", "\u2212");
  return unit && unit !== "1" ? `${text}\u00a0${unit}` : text;
}

/** "holds from 85 to 95": where the number still means the same thing; null where nobody has said. */
export function validityWords({ lowest, highest }: Constant): string | null {
  if (lowest == null || highest == null || (lowest === highest)) return null;
  return `holds from ${numberWords(lowest, null)} to ${numberWords(highest, null)}`;
}

/** "2 single numbers and 3 in tables: 1 published, 2 secondary and 2 our proposal." */
export function countWords({ constants, tables }: Sources): string {
  const all = [...constants, ...(tables ?? [])];
  const counts = Object.keys(MARKS).map((mark) => ({ mark, n: all.filter((one) => one.mark === mark).length }));
  const said = listed(counts.filter(({ n }) => n > 0).map(({ mark, n }) => `${n} ${mark}`));
  return `${constants.length} single numbers and ${tables?.length ?? 0} in tables: ${said}.`;
}

export interface TableRow {
  row: string;
  cells: string[];
  /** Each source once, with how far it can be trusted. */
  from: string[];
}

/** The tables with their rows, in the order they were told in. */
export function rowsByTable(cells: Cell[]): { table: string; rows: TableRow[] }[] {
  const tables = new Map<string, Map<string, TableRow>>();
  for (const cell of cells) {
    const rows = tables.get(cell.table) ?? new Map<string, TableRow>();
    tables.set(cell.table, rows);
    const row = rows.get(cell.row) ?? { row: capital(spaced(cell.row)), cells: [], from: [] };
    rows.set(cell.row, row);
    row.cells.push(`${spaced(cell.column)} ${numberWords(cell.value, cell.unit)}`);
    const from = `${capital(cell.mark)}: ${cell.source}`;
    if (!row.from.includes(from)) row.from.push(from);
  }
  return [...tables].map(([table, rows]) => ({ table: capital(spaced(table)), rows: [...rows.values()] }));
}
