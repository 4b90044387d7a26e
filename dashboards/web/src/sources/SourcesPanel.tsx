// Where the numbers of the program's science come from: every constant with its source and how far to trust it.
import { useEffect, useState } from "preact/hooks";
import type { Constant, Sources } from "../api/shapes.ts";
import { Waiting } from "../page/TroubleNote.tsx";
import * as garden from "../state/garden.ts";
import { capital, spaced } from "../words/figures.ts";
import { countWords, MARK_KEY, numberWords, rowsByTable, type TableRow, validityWords } from "./words.ts";

const PLACE = "sources";

/** Leads to the panel at the foot of the page. */
export function SourcesLink() {
  return (
    <p class="small">
      <a class="to-sources" href={`#${PLACE}`} onClick={show}>
        Where these numbers come from
      </a>
    </p>
  );
}

/** Opens the panel; the browser itself then goes to its summary, focus and all. */
function show(): void {
  const panel = document.getElementById(PLACE)?.closest("details");
  if (panel) panel.open = true;
}

export function SourcesPanel() {
  const [opened, setOpened] = useState(false);
  useEffect(() => {
    if (location.hash !== `#${PLACE}`) return;
    show();
    document.getElementById(PLACE)?.focus();
  }, []);
  return (
    <details
      class="sources"
      onToggle={(event) => {
        const { open } = event.currentTarget;
        setOpened(open);
        if (open) garden.bringSources();
      }}
    >
      <summary id={PLACE}>Where the numbers come from</summary>
      {opened && <Body />}
    </details>
  );
}

function Body() {
  const { value, trouble } = garden.sources.value;
  if (!value) return <Waiting trouble={trouble} about="where the numbers come from" />;
  return (
    <div class="sources-body" data-part="sources">
      <p>
        {countWords(value)} Version {value.version}, <span class="fingerprint">{value.fingerprint}</span>.
      </p>
      <dl class="marks">
        {MARK_KEY.map(([mark, says]) => (
          <div key={mark}>
            <dt>{capital(mark)}</dt>
            <dd>{says}</dd>
          </div>
        ))}
      </dl>
      <Constants constants={value.constants} />
      <Tables tables={value.tables} />
    </div>
  );
}

function Constants({ constants }: { constants: Constant[] }) {
  return (
    <table>
      <caption>Single numbers</caption>
      <thead>
        <tr>
          <th scope="col">Name</th>
          <th scope="col">Value</th>
          <th scope="col">From</th>
        </tr>
      </thead>
      <tbody>
        {constants.map((one) => (
          <tr key={one.name}>
            <th scope="row">{capital(spaced(one.name))}</th>
            <td>
              {numberWords(one.value, one.unit)}
              {validityWords(one) && <span class="soft"> ({validityWords(one)})</span>}
            </td>
            <td>
              {capital(one.mark)}: {one.source}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Tables({ tables }: Pick<Sources, "tables">) {
  return (
    <>
      {rowsByTable(tables ?? []).map(({ table, rows }) => (
        <table key={table}>
          <caption>{table}</caption>
          <thead>
            <tr>
              <th scope="col">Row</th>
              <th scope="col">Values</th>
              <th scope="col">From</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <Row key={row.row} {...row} />
            ))}
          </tbody>
        </table>
      ))}
    </>
  );
}

function Row({ row, cells, from }: TableRow) {
  return (
    <tr>
      <th scope="row">{row}</th>
      <td>{cells.join(", ")}</td>
      <td>{from.join("; ")}</td>
    </tr>
  );
}
