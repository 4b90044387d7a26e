// The page starts here: draw, ask, listen, and ask again now and then in case the line says nothing.
import { effect } from "@preact/signals";
import { render } from "preact";
import { listen } from "./api/live.ts";
import { Today } from "./page/Today.tsx";
import * as garden from "./state/garden.ts";
import { startClock } from "./time/clock.ts";
import "./style/page.css";
import "./style/strip.css";
import "./style/picture.css";
import "./style/tell.css";
import "./style/print.css";

const LOOK_AGAIN_MS = 60_000;
const WHILE_BUILDING_MS = 1_000;

const place = document.getElementById("page");
if (place) render(<Today />, place);

startClock();
garden.bringHealth();
garden.bringStructures();
listen();

// Ages, states and the clock move on even when no board speaks.
function lookAgain(): void {
  if (document.hidden) return;
  garden.bringHealth();
  if (garden.structures.peek().value) for (const slug of garden.slugs()) garden.bringNow(slug);
  else garden.bringStructures();
}
setInterval(lookAgain, LOOK_AGAIN_MS);
document.addEventListener("visibilitychange", lookAgain);

// A new day in the garden: everything is asked for anew.
let date = garden.today.peek();
effect(() => {
  const today = garden.today.value;
  if (date !== null && today !== date) garden.bringStructures();
  date = today;
});

// While a history is laid down its progress is followed closely, and the page fills when it is done.
let wasBuilding = false;
effect(() => {
  // Each answer counts, not only a changed one: it is what keeps the questions coming.
  void garden.health.value;
  const building = garden.building.value;
  if (building) setTimeout(garden.bringHealth, WHILE_BUILDING_MS);
  else if (wasBuilding) garden.bringStructures();
  wasBuilding = building;
});
