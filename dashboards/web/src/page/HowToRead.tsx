// The ribbon's shapes and codes, explained once.

export function HowToRead() {
  return (
    <details class="how">
      <summary>How to read a ribbon</summary>
      <dl class="key">
        <Sample says="Air inside; the pale band is the spread within each few minutes">
          <g class="inside">
            <path class="trace-band" d="M2 16L18 8L34 10L50 4V12L34 18L18 16L2 24Z" />
            <path class="trace" d="M2 20L18 12L34 14L50 8" />
          </g>
        </Sample>
        <Sample says="Air outside, dashed">
          <path class="outside trace" d="M2 20L18 12L34 14L50 8" />
        </Sample>
        <Sample says="Night, with twilight paler">
          <rect class="night" x="2" y="2" width="30" height="24" />
          <rect class="twilight" x="32" y="2" width="18" height="24" />
        </Sample>
        <Sample says="No reading: nothing is drawn across it">
          <rect class="gap" x="2" y="2" width="48" height="24" />
          <rect class="gap-hatch" fill="url(#hatch)" x="2" y="2" width="48" height="24" />
        </Sample>
        <Sample says="The plan for the openings: a thin line is shut, one notch a crack, two half, three full">
          <g class="plan">
            <path class="rail" d="M2 25H50" />
            <path class="notch" d="M2 23h12v2h-12zM14 19.5h12v5.5h-12zM26 19.5h12v5.5h-12zM26 13h12v5.5h-12zM38 19.5h12v5.5h-12zM38 13h12v5.5h-12zM38 6.5h12v5.5h-12z" />
          </g>
        </Sample>
        <Sample says="Leaves likely wet; paler where only the humidity sensor's error says so; hatched where nobody knows">
          <g class="wet-band">
            <path class="rail" d="M2 18H50" />
            <rect class="wet" x="2" y="10" width="18" height="8" />
            <rect class="wet perhaps" x="20" y="10" width="14" height="8" />
            <rect class="gap-hatch" fill="url(#hatch)" x="40" y="10" width="10" height="8" />
          </g>
        </Sample>
        <Sample says="Covers: an arch is laid, a thick line folded back, a dashed line off">
          <g class="cover-row">
            <path class="rail" d="M2 24H50" />
            <path class="laid" d="M2 24v-8q0 -4 4 -4H16q4 0 4 4v8z" />
            <path class="folded-back" d="M22 21H35" />
            <path class="off" d="M37 21H50" />
          </g>
        </Sample>
        <Sample says="Now">
          <g class="now-mark">
            <path d="M26 4V26" />
            <path class="now-flag" d="M21 1h10l-5 7z" />
          </g>
        </Sample>
        <Sample says="Freezing point">
          <path class="rule frost" d="M2 14H50" />
        </Sample>
      </dl>
      <p class="small">
        Move over a ribbon, or reach it with Tab and use the arrow keys: the line above it then tells that moment. In the side views solid lines
        stand as advised for now; dotted lines show the next move.
      </p>
    </details>
  );
}

function Sample({ says, children }: { says: string; children: preact.ComponentChildren }) {
  return (
    <div>
      <dt>
        <svg viewBox="0 0 52 28" width="52" height="28" aria-hidden="true" focusable="false">
          {children}
        </svg>
      </dt>
      <dd>{says}</dd>
    </div>
  );
}
