// A thin line at the top, only while there is something to say: not connected, not green, or a history being laid down.
import * as garden from "../state/garden.ts";
import { when } from "../words/times.ts";

export function TopLine({ now, zone }: { now: number | null; zone: string }) {
  const health = garden.health.value.value;
  const building = health?.build_progress;
  const last = garden.lastHeard.value;
  const cut = garden.connected.value === false;
  const unwell = health !== null && health.status !== "green" && !cut;
  return (
    <section class="top-lines" aria-label="How the program is">
      <div role="status">
        {cut && (
          <p class="top-line warn" data-top="offline">
            <Sign /> Not connected to the program.{" "}
            {last !== null && now !== null ? `What you see was last heard at ${when(last, now, zone)}. ` : ""}Trying again.
          </p>
        )}
        {unwell && (
          <p class={`top-line ${health.status === "red" ? "alarm" : "warn"}`} data-top={health.status}>
            <Sign /> {(health.says ?? []).join(" ") || "Something needs looking at."}
          </p>
        )}
      </div>
      {building && building.total > 0 && (
        <div class="top-line" data-top="building">
          <label for="building">
            {building.what}: {Math.floor((100 * building.done) / building.total)}&nbsp;% of it done
          </label>{" "}
          <progress id="building" max={building.total} value={building.done} />
        </div>
      )}
    </section>
  );
}

function Sign() {
  return (
    <svg class="sign" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true" focusable="false">
      <path d="M8 2L15 14H1Z" />
      <path class="sign-mark" d="M8 6v4M8 11.6v1" />
    </svg>
  );
}
