// A small side view of each kind of structure, its doors, sides or lid standing at the advised notch.
import type { Notch, Structure, Vent } from "../api/shapes.ts";
import { OPEN, notchWords } from "../ribbon/plan.ts";

interface Standing {
  vent: Vent;
  /** The notch advised at this moment; null where the plan says nothing. */
  now: Notch | null;
  /** The notch of the next move, drawn as a ghost. */
  next: Notch | null;
}

const WIDE = 150;
const HIGH = 86;
const GROUND = 64;

export function SideView({ structure, standings }: { structure: Structure; standings: Standing[] }) {
  return (
    <svg class="side-view" viewBox={`0 0 ${WIDE} ${HIGH}`} width={WIDE} height={HIGH} role="img" aria-label={described(structure, standings)} focusable="false">
      <path class="ground" d={`M4 ${GROUND}H${WIDE - 4}`} />
      {structure.kind === "tunnel" && <Tunnel standings={standings} />}
      {structure.kind === "low_tunnel" && <LowTunnel standings={standings} />}
      {structure.kind === "cold_frame" && <ColdFrame standings={standings} />}
      {structure.kind === "fleece" && <Fleece />}
      {structure.kind === "outdoors" && <Screen />}
    </svg>
  );
}

const KINDS: Record<Structure["kind"], string> = {
  tunnel: "Tunnel seen from the side",
  low_tunnel: "Low tunnel seen from the side",
  cold_frame: "Cold frame seen from the end",
  fleece: "Fleece over a bed",
  outdoors: "Screen for the outdoor sensors",
};

function described(structure: Structure, standings: Standing[]): string {
  const vents = standings.map(({ vent, now }) => `${vent.name} ${now ? notchWords(vent, now) : "without a plan"}`);
  return vents.length > 0 ? `${KINDS[structure.kind]}, as advised: ${vents.join(", ")}` : KINDS[structure.kind];
}

const open = (notch: Notch | null): number => (notch ? OPEN[notch] : 0);

const RIGHTWARD: Record<string, number> = { W: -2, N: -1, S: 1, E: 2 };

/** Doors in the order in which they stand: the more westerly (or northerly) on the left, where the faces are known. */
function ends(standings: Standing[]): Standing[] {
  const doors = standings.filter(({ vent }) => vent.kind === "door");
  const rightward = ({ vent }: Standing): number => [...(vent.faces ?? "")].reduce((sum, point) => sum + (RIGHTWARD[point.toUpperCase()] ?? 0), 0);
  return [...doors].sort((a, b) => rightward(a) - rightward(b)).slice(0, 2);
}

function Plants({ from, to, gap, tall }: { from: number; to: number; gap: number; tall: number }) {
  const leaves: string[] = [];
  for (let x = from; x <= to; x += gap) {
    leaves.push(`M${x} ${GROUND - 1}q -1 ${-tall} -6 ${-tall}q 0 ${tall - 2} 6 ${tall}q 1 ${-tall} 6 ${-tall}q 0 ${tall - 2} -6 ${tall}`);
  }
  return <path class="leaves" d={leaves.join("")} />;
}

/** An end door as it shows from the side: flush when shut, standing out the wider the more it is open. */
function Door({ standing, at, outward, sill }: { standing: Standing; at: number; outward: 1 | -1; sill: number }) {
  const leaf = (notch: Notch | null): string => {
    const out = outward * (2 + open(notch) * 19);
    const sink = open(notch) * 3;
    return `M${at} ${GROUND}V${sill}L${at + out} ${sill + sink}V${GROUND + sink}Z`;
  };
  const { vent, now, next } = standing;
  return (
    <>
      {next && <path class="ghost" d={leaf(next)} />}
      <path class={open(now) > 0 ? "leaf open" : "leaf"} d={leaf(now)} />
      {vent.faces && (
        <text class="tick" x={at + outward * 5} y={GROUND + 18} text-anchor="middle">
          {vent.faces.toUpperCase()}
        </text>
      )}
    </>
  );
}

/** A side wall whose film is rolled up from the ground. */
function Side({ standings, from, to, most }: { standings: Standing[]; from: number; to: number; most: number }) {
  const side = standings.find(({ vent }) => vent.kind === "side");
  if (!side) return null;
  const height = (notch: Notch | null): number => open(notch) * most;
  return (
    <>
      {open(side.now) > 0 && <rect class="gone" x={from} width={to - from} y={GROUND - height(side.now)} height={height(side.now) - 1} />}
      {side.next && <path class="ghost" d={`M${from} ${GROUND - height(side.next)}H${to}`} />}
      <path class="roll" d={`M${from} ${GROUND - height(side.now) - 1}H${to}`} />
    </>
  );
}

function Tunnel({ standings }: { standings: Standing[] }) {
  const [left, right] = ends(standings);
  const roof = standings.find(({ vent }) => vent.kind === "roof");
  return (
    <>
      <path class="film" d={`M28 ${GROUND}V30Q29 17 42 16H108Q121 17 122 30V${GROUND}Z`} />
      <path class="hoops" d={`M47 16V${GROUND}M66 16V${GROUND}M84 16V${GROUND}M103 16V${GROUND}`} />
      <Side standings={standings} from={36} to={114} most={22} />
      <Plants from={40} to={112} gap={14} tall={9} />
      {roof && <path class="roll" d={`M60 16L90 ${16 - open(roof.now) * 13}`} />}
      {left && <Door standing={left} at={28} outward={-1} sill={30} />}
      {right && <Door standing={right} at={122} outward={1} sill={30} />}
    </>
  );
}

function LowTunnel({ standings }: { standings: Standing[] }) {
  const [left, right] = ends(standings);
  return (
    <>
      <path class="film" d={`M14 ${GROUND}Q26 ${GROUND - 2} 32 46Q35 39 42 39H108Q115 39 118 46Q124 ${GROUND - 2} 136 ${GROUND}Z`} />
      <path class="hoops" d={`M42 39V${GROUND}M64 39V${GROUND}M86 39V${GROUND}M108 39V${GROUND}`} />
      <Side standings={standings} from={34} to={116} most={17} />
      <Plants from={44} to={106} gap={12} tall={7} />
      {left && <Door standing={left} at={32} outward={-1} sill={46} />}
      {right && <Door standing={right} at={118} outward={1} sill={46} />}
    </>
  );
}

const HINGE = { x: 128, y: 32 };
const FRONT = { x: 22, y: 47 };
const LID_MOST_DEGREES = 17;

function ColdFrame({ standings }: { standings: Standing[] }) {
  const lid = standings.find(({ vent }) => vent.kind === "lid") ?? standings[0];
  const [now, next] = [lid?.now ?? null, lid?.next ?? null];
  const turned = (notch: Notch | null): string => `rotate(${open(notch) * LID_MOST_DEGREES} ${HINGE.x} ${HINGE.y})`;
  const angle = (open(now) * LID_MOST_DEGREES * Math.PI) / 180;
  const slope = Math.atan2(FRONT.y - HINGE.y, HINGE.x - FRONT.x) - angle;
  const stickTop = HINGE.y + Math.tan(slope) * (HINGE.x - 32);
  const lidPath = `M${FRONT.x - 5} ${FRONT.y}L${HINGE.x + 2} ${HINGE.y}`;
  return (
    <>
      <path class="boards" d={`M${FRONT.x + 2} ${GROUND}V${FRONT.y + 1}L${HINGE.x - 2} ${HINGE.y + 2}V${GROUND}Z`} />
      <Plants from={46} to={116} gap={14} tall={10} />
      {open(now) > 0 && <Propstick at={32} from={GROUND - 2} to={stickTop} />}
      {next && <path class="ghost" transform={turned(next)} d={lidPath} />}
      <path class="lid" transform={turned(now)} d={lidPath} />
    </>
  );
}

/** The notched stick itself. */
function Propstick({ at, from, to }: { at: number; from: number; to: number }) {
  const notches: string[] = [];
  for (let y = to + 6; y < from - 4; y += 8) notches.push(`M${at + 2} ${y}h-3`);
  return (
    <>
      <path class="stick" d={`M${at} ${from}V${to}`} />
      <path class="stick-notches" d={notches.join("")} />
    </>
  );
}

function Fleece() {
  return (
    <>
      <Plants from={34} to={116} gap={14} tall={9} />
      <path class="film cloth" d={`M16 ${GROUND}Q24 48 34 50T54 49T75 50T96 49T116 50Q127 49 134 ${GROUND}`} />
      <path class="stones" d={`M12 ${GROUND}q5-7 10 0zM128 ${GROUND}q5-7 10 0z`} />
    </>
  );
}

function Screen() {
  return (
    <>
      <path class="post" d={`M75 ${GROUND}V45`} />
      <path class="boards" d="M58 45V20H92V45Z" />
      <path class="slats" d="M58 25l34 4M58 31l34 4M58 37l34 4" />
      <path class="lid" d="M53 20L75 11L97 20" />
      <path class="leaves grass" d={`M22 ${GROUND}l2-6M27 ${GROUND}l-1-8M31 ${GROUND}l3-5M112 ${GROUND}l2-7M118 ${GROUND}l-2-5M124 ${GROUND}l2-8`} />
    </>
  );
}
