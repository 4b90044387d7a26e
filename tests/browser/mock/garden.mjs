// The invented garden: its structures, where its readings are missing, and what is advised there.

const HOUR = 3_600_000;
const DAY = 24 * HOUR;

const door = (id, name, faces) => ({
  id, name, faces, kind: "door",
  positions: [
    { notch: "closed", words: "shut" },
    { notch: "crack", words: "open a hand's width" },
    { notch: "half", words: "half open" },
    { notch: "full", words: "hooked right back" },
  ],
});

export const GARDEN = { name: "Sallow Bank", zone: "Europe/London", lat: 51.9, lon: -4.2 };

export const STRUCTURES = [
  { slug: "outdoors", name: "Outdoor screen", kind: "outdoors", vents: [], outside: true },
  { slug: "long-tunnel", name: "Long tunnel", kind: "tunnel", vents: [door("west-door", "west door", "W"), door("east-door", "east door", "E")], outside: false },
  {
    slug: "low-tunnel", name: "Low tunnel by the hedge", kind: "low_tunnel", outside: false,
    vents: [{
      id: "south-side", name: "south side", faces: "S", kind: "side",
      positions: [{ notch: "closed", words: "down and pegged" }, { notch: "crack", words: "lifted a brick's height" }, { notch: "full", words: "rolled up" }],
    }],
  },
  {
    slug: "frame", name: "Seed frame", kind: "cold_frame", outside: false,
    vents: [{
      id: "lid", name: "lid", faces: "S", kind: "lid",
      positions: [{ notch: "closed", words: "down" }, { notch: "crack", words: "on the first notch" }, { notch: "half", words: "on the third notch" }, { notch: "full", words: "off" }],
    }],
  },
  { slug: "fleece-bed", name: "Fleeced bed", kind: "fleece", vents: [], outside: false },
];

/** Times without readings, relative to now, by structure. */
export function gapsOf(slug, now) {
  const gaps = [];
  if (slug === "long-tunnel") gaps.push([now - 7.6 * HOUR, now - 6.2 * HOUR], [now - 121 * DAY, now - 112 * DAY]);
  if (slug === "low-tunnel") gaps.push([now - 3.4 * DAY, now - 2.9 * DAY]);
  if (slug === "frame") gaps.push([now - 2.5 * HOUR, now + DAY]);
  if (slug === "fleece-bed") gaps.push([now - 500 * DAY, now - 42 * DAY]);
  return gaps;
}

const CAUTIONS = ["If it blows up in the meantime, shut everything while it is light and stay indoors.", "No ladder for any of this."];

export function adviceOf(slug, now) {
  const at = (hours) => new Date(Math.round(now / HOUR) * HOUR + hours * HOUR).toISOString().replace(".000", "");
  const common = { made_at: at(-1), until: at(8), recipe: "mock", score: null };
  if (slug === "long-tunnel") {
    return [
      {
        id: 41, kind: "vent", verdict: "dry", ...common,
        say: "Open both doors a hand's width from half past ten; shut by half past two. It will dry a little.",
        because: "The air outside holds 5.9 g/m\u00b3 of water and the air in the tunnel 6.8: what comes in is drier than what goes out. It costs about one degree.",
        moves: [
          { vent: "west-door", notch: "closed", from: at(-11), until: at(0.5) }, { vent: "east-door", notch: "closed", from: at(-11), until: at(0.5) },
          { vent: "west-door", notch: "crack", from: at(0.5), until: at(4.5) }, { vent: "east-door", notch: "crack", from: at(0.5), until: at(4.5) },
          { vent: "west-door", notch: "closed", from: at(4.5), until: at(14) }, { vent: "east-door", notch: "closed", from: at(4.5), until: at(14) },
        ],
        expect: { air_c: { value: 9.1, low: 8, high: 10.5, measured: 1 }, rh_pct: { value: 84, low: 79, high: 88, measured: 1 } },
        rests_on: [
          { spot: "tunnel-middle", quantity: "air-temperature", t: at(-0.2), value: 9.8 }, { spot: "tunnel-middle", quantity: "air-humidity", t: at(-0.2), value: 91 },
          { spot: "screen", quantity: "air-temperature", t: at(-0.2), value: 7.2 }, { spot: "screen", quantity: "air-humidity", t: at(-0.2), value: 78 },
        ],
        doubt: "Both gauges may be 3 % out; the difference is three times that, so it holds.", cautions: CAUTIONS,
      },
      {
        id: 42, kind: "water", verdict: "wait", ...common, moves: [], say: "Water can wait another six to twelve days.",
        because: "Little has evaporated since the bed was last watered.", rests_on: [], doubt: "The sum may be a third out. Push a finger in: dry at five centimetres overrules it.", cautions: [],
      },
    ];
  }
  if (slug === "low-tunnel") {
    return [{
      id: 43, kind: "vent", verdict: "shut", ...common, say: "Keep it shut this morning. Look again at noon.",
      because: "The soil is colder than the dew point outside, so opening up would wet every leaf.",
      moves: [{ vent: "south-side", notch: "closed", from: at(-6), until: at(2) }, { vent: "south-side", notch: "full", from: at(2), until: at(5) }],
      expect: null, rests_on: [{ spot: "low-tunnel-air", quantity: "air-temperature", t: at(-0.1), value: 8.3 }], doubt: null, cautions: CAUTIONS,
    }];
  }
  if (slug === "frame") {
    return [{
      id: 44, kind: "vent", verdict: "cool", by_rule: true, ...common, say: "No reading from the frame since this morning, so this goes by the season and the window: prop the lid on the first notch while it is bright, and put it down by two.",
      because: "A frame in March sun overheats with the lid down.",
      moves: [{ vent: "lid", notch: "half", from: at(-1), until: at(3) }, { vent: "lid", notch: "closed", from: at(3), until: at(13) }],
      expect: null, rests_on: [], doubt: ["The frame's board is silent.", "What the sky does decides."], cautions: CAUTIONS,
    }];
  }
  return [];
}
