// What this page defers to, and the usual cautions.

export function Footer() {
  return (
    <footer>
      <p>
        <strong>Advice is judgement, and yours decides.</strong> You see the sky, the leaves and the wind; the program has a few sensors. Where what you
        see disagrees, go by what you see.
      </p>
      <ul class="cautions">
        <li>Before a gale, shut and fasten everything in daylight, then stay indoors. A lost cover is cheaper than a broken bone.</li>
        <li>Nothing here is worth a ladder, or a walk in the dark on ice.</li>
        <li>
          Mains electricity and water do not forgive each other. Boards here run from low voltage; anything on the mains is work for a licensed
          electrician, under your local code.
        </li>
        <li>Chemicals, heaters and lamps: follow the label, the maker and local law.</li>
      </ul>
    </footer>
  );
}
