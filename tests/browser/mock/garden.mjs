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
  { slug: "outdoors", name: "Outdoor screen", kind: "outdoors", vents: [], beds: [], covers: [], outside: true },
  { slug: "long-tunnel", name: "Long tunnel", kind: "tunnel", vents: [door("west-door", "west door", "W"), door("east-door", "east door", "E")], beds: [{ slug: "salad-bed", name: "Salads at the west end" }, { slug: "bean-row", name: "Bean row" }], covers: [], outside: false },
  {
    slug: "low-tunnel", name: "Low tunnel by the hedge", kind: "low_tunnel", outside: false, beds: [], covers: [],
    vents: [{
      id: "south-side", name: "south side", faces: "S", kind: "side",
      positions: [{ notch: "closed", words: "down and pegged" }, { notch: "crack", words: "lifted a brick's height" }, { notch: "full", words: "rolled up" }],
    }],
  },
  {
    slug: "frame", name: "Seed frame", kind: "cold_frame", outside: false, beds: [], covers: [],
    vents: [{
      id: "lid", name: "lid", faces: "S", kind: "lid",
      positions: [{ notch: "closed", words: "down" }, { notch: "crack", words: "on the first notch" }, { notch: "half", words: "on the third notch" }, { notch: "full", words: "off" }],
    }],
  },
  {
    slug: "fleece-bed", name: "Fleeced bed", kind: "fleece", vents: [], outside: false, beds: [],
    covers: [{ slug: "path-fleece", name: "fleece by the path", kind: "fleece-30", bed: null, positions: [{ position: "folded", words: "folded back to the path" }] }],
  },
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

const FIGURE = (value, low, high) => ({ value, low, high, measured: 1 });
const RESTS = (spot, quantity, unit, t, value) => ({ spot, quantity, unit, t, value });

/** What is advised in a structure: each kind of advice is there in its loud and in its quiet form. */
export function adviceOf(slug, now) {
  const at = (hours) => new Date(Math.round(now / HOUR) * HOUR + hours * HOUR).toISOString().replace(".000", "");
  const common = {
    structure: slug, about: null, aim: null, rule: null, by_rule: false, moves: [], expect: null, rests_on: [], doubt: null, cautions: [], also: [], further: null,
    made_at: at(-1), until: at(8), recipe: "mock", superseded_by: null, score: null,
  };
  const frostNone = (id) => ({
    ...common, id, kind: "frost", verdict: "none", say: "No frost expected tonight: 4, perhaps 2, where the leaves are.",
    because: "It goes by rule, not by this gauge's own clear nights.", expect: { low_c: FIGURE(3, 2, 4) },
  });
  if (slug === "long-tunnel") return tunnelAdvice(common, at, frostNone);
  if (slug === "low-tunnel") {
    return [{
      ...common, id: 43, kind: "vent", verdict: "shut", rule: "wetting", say: "Keep it shut this morning. Look again at noon.",
      because: "The soil is colder than the dew point outside, so opening up would wet every leaf.",
      moves: [{ vent: "south-side", notch: "closed", from: at(-6), until: at(2) }, { vent: "south-side", notch: "full", from: at(2), until: at(5) }],
      rests_on: [RESTS("low-tunnel-air", "air-temperature", "Cel", at(-0.1), 8.3)], cautions: CAUTIONS,
    }, frostNone(53)];
  }
  if (slug === "frame") {
    return [{
      ...common, id: 44, kind: "vent", verdict: "cool", rule: "season_and_hour", by_rule: true, say: "No reading from the frame since this morning, so this goes by the season and the window: prop the lid on the first notch while it is bright, and put it down by two.",
      because: "A frame in March sun overheats with the lid down.",
      moves: [{ vent: "lid", notch: "half", from: at(-1), until: at(3) }, { vent: "lid", notch: "closed", from: at(3), until: at(13) }],
      doubt: ["The frame's board is silent.", "What the sky does decides."], cautions: CAUTIONS,
    }, {
      ...common, id: 54, kind: "frost", verdict: "unknown", say: "No reading since 08:12, so no frost figure for the frame. Go by the window: a clear still evening means cover what is tender before dark.", because: "",
    }, {
      ...common, id: 64, kind: "water", about: null, verdict: "lift", rule: "trays", say: "Lift and look, trays in the frame: water the light ones from below, before noon; leave the heavy ones.",
      because: "Trays hold too little for a sum; their weight tells.", moves: [{ bed: null, litres: null, cans: null, minutes: null, from: at(0), until: at(1) }],
    }];
  }
  if (slug === "fleece-bed") {
    return [{
      ...common, id: 45, kind: "frost", verdict: "frost", rule: "may", say: "Clear and still tonight. Fleece the potatoes before dark: 0, perhaps \u22123, where the leaves are.",
      because: "At 10:40 it was 6.2 \u00b0C, dew point 1.4 \u00b0C. It goes by 23 clear nights of this gauge. Leaves that freeze would be white with rime.",
      expect: { low_c: FIGURE(-1.4, -3, 0) }, rests_on: [RESTS("fleece-bed-air", "air-temperature", "Cel", at(-0.4), 6.2), RESTS("screen", "dew-point", "Cel", at(-0.4), 1.4)],
      doubt: "Nobody has looked at the sky: clear and still means the colder end.",
      cautions: ["Do not water now.", "No picking, watering or lifting of fleece until the leaves are soft."],
    }, {
      ...common, id: 55, kind: "cover", verdict: "frost", rule: "frost", say: "Lay the path fleece by five, before dark. Expect 0, perhaps \u22123 \u00b0C where the leaves are.",
      because: "It may be cold enough to harm what grows there.", moves: [{ cover: "path-fleece", position: "on", from: at(5), until: at(21) }, { cover: "path-fleece", position: "folded", from: at(21), until: null }],
      cautions: ["No watering tonight."],
    }];
  }
  return slug === "outdoors" ? [frostNone(56)] : [];
}

function tunnelAdvice(common, at, frostNone) {
  const water = (id, bed, more) => ({ ...common, id, kind: "water", about: bed, ...more });
  const wait = (id, bed, days) => water(id, bed, {
    verdict: "wait", rule: "sum", say: `The ${bed.replace("-", " ")} can wait ${days} days. Dry when you push a finger in? Then two cans, at the roots, before noon.`,
    because: "Some 3 to 7 mm are gone from the soil, and the crop can spare 22 mm; 1 mm goes each day.", doubt: "The sum may be a third out.",
  });
  return [
    frostNone(51),
    {
      ...common, id: 41, kind: "vent", verdict: "dry", aim: "dry", rule: "drying",
      say: "Open both doors a hand's width from half past ten; shut by half past two. It will dry a little.",
      because: "The air outside holds 5.9 g/m\u00b3 of water and the air in the tunnel 6.8: what comes in is drier than what goes out. It costs about one degree.",
      moves: [
        { vent: "west-door", notch: "closed", from: at(-11), until: at(0.5) }, { vent: "east-door", notch: "closed", from: at(-11), until: at(0.5) },
        { vent: "west-door", notch: "crack", from: at(0.5), until: at(4.5) }, { vent: "east-door", notch: "crack", from: at(0.5), until: at(4.5) },
        { vent: "west-door", notch: "closed", from: at(4.5), until: at(14) }, { vent: "east-door", notch: "closed", from: at(4.5), until: at(14) },
      ],
      expect: { air_c: FIGURE(9.1, 8, 10.5), rh_pct: FIGURE(84, 79, 88) },
      rests_on: [
        RESTS("tunnel-middle", "air-temperature", "Cel", at(-0.4), 9.8), RESTS("tunnel-middle", "air-humidity", "%RH", at(-0.4), 91),
        RESTS("screen", "air-temperature", "Cel", at(-0.4), 7.2), RESTS("screen", "air-humidity", "%RH", at(-0.4), 78),
      ],
      doubt: "Both gauges may be 3 % out; the difference is three times that, so it holds.", cautions: CAUTIONS,
      also: ["Pick between 12:00 and 14:30, when the leaves should be dry."], further: "Another move at one would spare about an hour above 25 \u00b0C.",
    },
    wait(42, "salad-bed", "6 to 12"), wait(46, "chard-bed", "4 to 9"),
    water(47, "bean-row", {
      verdict: "water", rule: "sum", say: "The bean row is due: two cans, at the roots, before noon. Push a finger in first; moist at 5 cm, leave it.",
      because: "Some 18 to 26 mm are gone from the soil, and the crop can spare 24 mm; 2 mm go each day.", moves: [{ bed: "bean-row", litres: FIGURE(18, 15, 21), cans: 2, minutes: null, from: at(0), until: at(1) }],
      doubt: "Nobody has entered a watering since 20 February.",
    }),
  ];
}

const SAYS = (leaves, risks, doubt = null) => ({ leaves, risks: risks.map(([level, says]) => ({ level, says })), doubt });

/** How wet leaves are there and what it means: every state has its structure. */
export function dampOf(slug) {
  switch (slug) {
    case "long-tunnel":
      return {
        wet: { now: "dry" },
        damp_says: SAYS("Leaves are likely dry now; they were wet for 11 to 15 of the last 24 hours; the humidity sensor decides.", [
          ["raised", "Raised risk: downy mildew on lettuce (up from some). No water from above, and pick off old leaves."], ["some", "Some risk: downy mildew on spinach."],
          ["low", "Little risk: dark leaf spot on cabbage kinds."],
        ], "The humidity sensor decides: it may be some to high for lettuce."),
      };
    case "low-tunnel":
      return {
        wet: { now: "wet" },
        damp_says: SAYS("Leaves are likely wet now; they were wet for about 20 of the last 24 hours.", [["high", "High risk: grey mould on lettuce. Thin, pick off old leaves, and look under what is left."]],
          "Disease was found here lately, so lettuce counts one level higher."),
      };
    case "outdoors":
      return { wet: { now: "dry" }, damp_says: SAYS("Leaves are likely dry now; they were wet for about 6 of the last 24 hours.", [["some", "Some risk: downy mildew on onions."]]) };
    case "frame":
      return {
        wet: { now: "unknown" },
        damp_says: SAYS("Whether leaves are wet now is not known, nor how long they were: too little was measured.", [[null, "Risk not known for seedlings: too little was measured in the last days."]]),
      };
    case "fleece-bed":
      return { wet: { now: "dry" }, damp_says: SAYS("Leaves are likely dry now; they were wet for up to 5 of the last 24 hours; the humidity sensor decides.", []) };
    default:
      return {};
  }
}

/** When leaves were wet today: wet at night, dry by day, with all that a band can show in the long tunnel. */
export function wetOf(slug, from, now) {
  const part = (begins, ends, leaves) => ({ from: from + begins * HOUR, to: Math.min(from + ends * HOUR, now), leaves });
  const all = slug === "long-tunnel"
    ? [part(0, 3, "likely"), part(3, 5, "unknown"), part(5, 8, "likely"), part(8, 9, "possible"), part(9, 24, "dry")]
    : slug === "frame" ? [part(0, 24, "unknown")] : [part(0, 7, "likely"), part(7, 24, "dry")];
  const says = {
    "long-tunnel": "Leaves likely wet 00:00 to 03:00 and 05:00 to 08:00; possibly 08:00 to 09:00, the humidity sensor decides; not known 03:00 to 05:00.",
    frame: "Whether leaves were wet is not known.",
  };
  return { leaves: all.filter(({ from: begins, to }) => to > begins), says: says[slug] ?? "Leaves likely wet 00:00 to 07:00." };
}

/** A few numbers and where they come from. */
export const SOURCES = {
  version: 7, fingerprint: "5e1f0c2a",
  constants: [
    { name: "wet_rh_pct", value: 90, unit: "%RH", lowest: 85, highest: 95, mark: "published", source: "Invented and others 1999, a journal, eq 3" },
    { name: "night_fall_share", value: 0.5, unit: "1", lowest: null, highest: null, mark: "our proposal", source: "our proposal, to be checked against the garden's own nights" },
  ],
  tables: [
    { table: "infection", row: "lettuce-downy-mildew", column: "least", value: 1, unit: "\u00b0C", mark: "secondary", source: "a public transcription" },
    { table: "infection", row: "lettuce-downy-mildew", column: "optimum", value: 15, unit: "\u00b0C", mark: "secondary", source: "a public transcription" },
    { table: "soils", row: "loam", column: "holds", value: 170, unit: "mm/m", mark: "published", source: "Invented 1998, table 19" },
  ],
};
