//! The constants of the disease rules, each once. Section numbers are those of the project's sheet on wetness, disease and crops.

use crate::sourced::Provenance::{Memory, Proposal, Published, Secondary};
use crate::sourced::Sourced;

/// Most dry hours between two wet spells of one infection (D50).
pub const DRY_BETWEEN_H: Sourced = Sourced::new(
    "dry-hours-that-split",
    (4.0, "h"),
    (1.0, 24.0),
    Proposal,
    "D50 of the paper was not to be had; grey-mould models stop counting after more than 4 h (2.1, 2.6)",
);
/// Degrees above the least temperature over which the cap on wet hours is faded in.
pub const COLD_FADE_C: Sourced = Sourced::new(
    "cold-fade",
    (3.0, "°C"),
    (0.1, 6.0),
    Proposal,
    "the cap near the least temperature is wrong in spirit (2.1)",
);

const SCHERM_1994: &str = "Scherm and van Bruggen 1994, Phytopathology 84:860-865, abstract (2.2)";
const WU_2002: &str = "Wu, van Bruggen, Subbarao and Scherm 2002, Phytopathology 92:631-636, abstract (2.2)";
/// Hours of wetness after sunrise that let lettuce downy mildew in.
pub const LETTUCE_MORNING_H: Sourced =
    Sourced::new("lettuce-morning-wetness", (4.0, "h"), (2.0, 8.0), Published, SCHERM_1994);
/// Hours after sunrise over which the first temperature gate is taken.
pub const LETTUCE_FIRST_H: Sourced = Sourced::new("lettuce-first-hours", (3.0, "h"), (1.0, 6.0), Published, WU_2002);
/// Above this mean of the first hours there is no infection.
pub const LETTUCE_FIRST_MAX_C: Sourced =
    Sourced::new("lettuce-first-hours-max", (20.0, "°C"), (15.0, 25.0), Published, WU_2002);
/// Hours after those over which the second gate is taken.
pub const LETTUCE_NEXT_H: Sourced = Sourced::new("lettuce-next-hours", (4.0, "h"), (1.0, 8.0), Published, WU_2002);
/// Above this mean of the next hours there is no infection.
pub const LETTUCE_NEXT_MAX_C: Sourced =
    Sourced::new("lettuce-next-hours-max", (22.0, "°C"), (15.0, 28.0), Published, WU_2002);

const ONION: &str = "undercover default after Hildebrand and Sutton 1982 and de Visser 1998 (2.3)";
/// Humidity of a night on which onion downy mildew makes spores.
pub const ONION_SPORES_PCT: Sourced =
    Sourced::new("onion-spores-humidity", (92.0, "%RH"), (85.0, 99.0), Proposal, ONION);
/// For so long between midnight and dawn.
pub const ONION_SPORES_H: Sourced = Sourced::new("onion-spores-hours", (4.0, "h"), (1.0, 8.0), Proposal, ONION);
/// Where fewer hours than those lie between midnight and dawn: for so long.
pub const ONION_SHORT_NIGHT_H: Sourced = Sourced::new(
    "onion-short-night",
    (2.0, "h"),
    (1.0, 4.0),
    Proposal,
    "our own choice: from 02:00 to dawn, as the published rule has it, is no longer in short nights (2.3)",
);
/// Coldest night for it.
pub const ONION_NIGHT_MIN_C: Sourced = Sourced::new("onion-night-min", (4.0, "°C"), (0.0, 10.0), Proposal, ONION);
/// Warmest night for it.
pub const ONION_NIGHT_MAX_C: Sourced = Sourced::new("onion-night-max", (24.0, "°C"), (18.0, 28.0), Proposal, ONION);
/// The day before must have stayed below this.
pub const ONION_DAY_MAX_C: Sourced =
    Sourced::new("onion-day-before-below", (27.0, "°C"), (22.0, 30.0), Proposal, ONION);
/// Wet hours after a night of spores that infect.
pub const ONION_INFECTS_H: Sourced = Sourced::new("onion-infecting-wetness", (3.0, "h"), (1.0, 12.0), Proposal, ONION);
/// Within so many hours.
pub const ONION_WITHIN_H: Sourced = Sourced::new("onion-within", (72.0, "h"), (12.0, 120.0), Proposal, ONION);

const YUNIS: &str =
    "Yunis, Shtienberg, Elad and Mahrer 1994, Crop Prot. 13:99-104, abstract: unheated houses, cucumber (2.6)";
/// Weekly mean of wet hours a day above which grey mould breaks out.
pub const GREY_WET_H: Sourced = Sourced::new("grey-mould-wetness", (7.0, "h a day"), (3.0, 16.0), Published, YUNIS);
/// Weekly mean of the nightly hours in its band of temperature above which it does.
pub const GREY_BAND_H: Sourced =
    Sourced::new("grey-mould-mild-hours", (9.5, "h a night"), (3.0, 14.0), Published, YUNIS);
/// Coldest of the band.
pub const GREY_BAND_MIN_C: Sourced = Sourced::new("grey-mould-band-min", (9.0, "°C"), (4.0, 14.0), Published, YUNIS);
/// Warmest of the band.
pub const GREY_BAND_MAX_C: Sourced = Sourced::new("grey-mould-band-max", (21.0, "°C"), (17.0, 26.0), Published, YUNIS);
/// Hour of standard time at which the night of that rule begins.
pub const GREY_FROM_HOUR: Sourced =
    Sourced::new("grey-mould-night-from", (18.0, "o'clock"), (15.0, 22.0), Published, YUNIS);
/// Hour of standard time at which it ends.
pub const GREY_TO_HOUR: Sourced = Sourced::new("grey-mould-night-to", (8.0, "o'clock"), (4.0, 10.0), Published, YUNIS);
/// Fewest of the week's days that must be measured.
pub const GREY_LEAST_DAYS: Sourced = Sourced::new(
    "grey-mould-least-days",
    (5.0, "days of 7"),
    (3.0, 7.0),
    Proposal,
    "so that two lost days do not silence a week",
);

/// Lowest temperature of a blight day outdoors.
pub const BLIGHT_MIN_C: Sourced = Sourced::new(
    "blight-day-min",
    (10.0, "°C"),
    (6.0, 14.0),
    Published,
    "Hutton Criteria 2017, AHDB project 11120018 summary, James Hutton Institute; the same in Smith 1956, by farm press (2.7)",
);
/// Humidity of its hours.
pub const BLIGHT_PCT: Sourced = Sourced::new(
    "blight-day-humidity",
    (90.0, "%RH"),
    (80.0, 95.0),
    Published,
    "Hutton Criteria 2017; the same in Smith 1956, by farm press (2.7)",
);
/// Hours of it on a Hutton day.
pub const HUTTON_H: Sourced =
    Sourced::new("hutton-hours", (6.0, "h"), (1.0, 24.0), Published, "Hutton Criteria 2017 (2.7)");
/// Hours of it on a Smith day.
pub const SMITH_H: Sourced = Sourced::new(
    "smith-hours",
    (11.0, "h"),
    (1.0, 24.0),
    Secondary,
    "Smith 1956, Plant Pathol. 5:83-87, by farm press (2.7)",
);

const COHEN: &str = "Cohen 1977, Can. J. Bot., abstract (2.8)";
/// Wet hours from 20 °C on.
pub const CUCURBIT_WARM_H: Sourced = Sourced::new("cucurbit-wet-from-20", (2.0, "h"), (1.0, 6.0), Published, COHEN);
/// From this temperature on.
pub const CUCURBIT_WARM_FROM_C: Sourced =
    Sourced::new("cucurbit-warm-from", (20.0, "°C"), (18.0, 22.0), Published, COHEN);
/// Wet hours from 10 °C on.
pub const CUCURBIT_MILD_H: Sourced = Sourced::new("cucurbit-wet-from-10", (6.0, "h"), (2.0, 12.0), Published, COHEN);
/// From this temperature on.
pub const CUCURBIT_MILD_FROM_C: Sourced =
    Sourced::new("cucurbit-mild-from", (10.0, "°C"), (8.0, 15.0), Published, COHEN);
/// Wet hours from 5 °C on.
pub const CUCURBIT_COOL_H: Sourced = Sourced::new("cucurbit-wet-from-5", (12.0, "h"), (6.0, 24.0), Published, COHEN);
/// From this temperature on; none below.
pub const CUCURBIT_COOL_FROM_C: Sourced = Sourced::new("cucurbit-cool-from", (5.0, "°C"), (3.0, 8.0), Published, COHEN);
/// No infection above.
pub const CUCURBIT_MAX_C: Sourced =
    Sourced::new("cucurbit-max", (28.0, "°C"), (25.0, 32.0), Published, "Cohen 1977: maximum about 25 to 28 (2.8)");

const DRY: &str = "our day score from Jacob 2008, Guzman-Plazola 2003 and extension notes (2.9)";
/// No dry mildew at or below this mean of daylight.
pub const DRY_MILDEW_MIN_C: Sourced = Sourced::new("dry-mildew-min", (10.0, "°C"), (5.0, 15.0), Proposal, DRY);
/// Best mean of daylight.
pub const DRY_MILDEW_OPT_C: Sourced = Sourced::new("dry-mildew-best", (21.0, "°C"), (18.0, 26.0), Proposal, DRY);
/// None at or above.
pub const DRY_MILDEW_MAX_C: Sourced = Sourced::new("dry-mildew-max", (30.0, "°C"), (28.0, 36.0), Proposal, DRY);
/// Driest air that suits it wholly.
pub const DRY_MILDEW_FROM_PCT: Sourced =
    Sourced::new("dry-mildew-humidity-from", (50.0, "%RH"), (40.0, 60.0), Proposal, DRY);
/// Where dry air has taken all that it takes.
pub const DRY_MILDEW_DRY_END_PCT: Sourced =
    Sourced::new("dry-mildew-dry-end", (30.0, "%RH"), (10.0, 40.0), Proposal, DRY);
/// What is left there.
pub const DRY_MILDEW_DRY_END_SHARE: Sourced =
    Sourced::new("dry-mildew-dry-share", (0.3, "of 1"), (0.0, 1.0), Proposal, DRY);
/// Dampest.
pub const DRY_MILDEW_TO_PCT: Sourced =
    Sourced::new("dry-mildew-humidity-to", (85.0, "%RH"), (70.0, 90.0), Proposal, DRY);
/// Where damp air has taken all that it takes.
pub const DRY_MILDEW_DAMP_END_PCT: Sourced =
    Sourced::new("dry-mildew-damp-end", (98.0, "%RH"), (90.0, 100.0), Proposal, DRY);
/// What is left there.
pub const DRY_MILDEW_DAMP_END_SHARE: Sourced =
    Sourced::new("dry-mildew-damp-share", (0.4, "of 1"), (0.0, 1.0), Proposal, DRY);
/// Hours at 35 °C that end it for the day.
pub const DRY_MILDEW_HOT_H: Sourced = Sourced::new(
    "dry-mildew-hot-hours",
    (2.0, "h"),
    (0.5, 6.0),
    Published,
    "Guzman-Plazola, Davis and Marois 2003, Crop Prot., abstract (2.9)",
);
/// That heat.
pub const DRY_MILDEW_HOT_C: Sourced = Sourced::new(
    "dry-mildew-hot",
    (35.0, "°C"),
    (32.0, 38.0),
    Published,
    "Guzman-Plazola, Davis and Marois 2003, Crop Prot., abstract (2.9)",
);
/// More wet hours than this take from the score.
pub const DRY_MILDEW_WET_H: Sourced = Sourced::new("dry-mildew-wet-hours", (8.0, "h"), (2.0, 16.0), Proposal, DRY);
/// So much.
pub const DRY_MILDEW_WET_LESS: Sourced = Sourced::new("dry-mildew-wet-less", (0.2, "of 1"), (0.0, 1.0), Proposal, DRY);
/// First month of its season.
pub const DRY_MILDEW_FIRST_MONTH: Sourced =
    Sourced::new("dry-mildew-first-month", (5.0, "month"), (3.0, 7.0), Proposal, DRY);
/// Last month of its season.
pub const DRY_MILDEW_LAST_MONTH: Sourced =
    Sourced::new("dry-mildew-last-month", (10.0, "month"), (8.0, 12.0), Proposal, DRY);

const STEM_ROT: &str = "our flag after Clarkson et al. 2014 and 2007 (2.10)";
/// Coldest day for stem rot.
pub const STEM_ROT_MIN_C: Sourced = Sourced::new("stem-rot-min", (10.0, "°C"), (5.0, 15.0), Proposal, STEM_ROT);
/// Warmest.
pub const STEM_ROT_MAX_C: Sourced = Sourced::new("stem-rot-max", (25.0, "°C"), (20.0, 30.0), Proposal, STEM_ROT);
/// Humidity of its hours.
pub const STEM_ROT_PCT: Sourced = Sourced::new("stem-rot-humidity", (80.0, "%RH"), (60.0, 95.0), Proposal, STEM_ROT);
/// Hours of it a day.
pub const STEM_ROT_H: Sourced = Sourced::new("stem-rot-hours", (12.0, "h"), (4.0, 24.0), Proposal, STEM_ROT);
/// On so many of the last five days.
pub const STEM_ROT_DAYS: Sourced = Sourced::new("stem-rot-days", (3.0, "days of 5"), (1.0, 5.0), Proposal, STEM_ROT);

const DAMPING: &str = "our proxy; cool wet compost, common practice (2.10)";
/// Compost colder than the crop's germination optimum by more than this.
pub const DAMPING_OFF_COLD_C: Sourced =
    Sourced::new("damping-off-too-cold-by", (8.0, "°C"), (2.0, 15.0), Proposal, DAMPING);
/// And humidity above this.
pub const DAMPING_OFF_PCT: Sourced =
    Sourced::new("damping-off-humidity", (90.0, "%RH"), (80.0, 98.0), Proposal, DAMPING);
/// For more hours a day than this.
pub const DAMPING_OFF_H: Sourced = Sourced::new("damping-off-hours", (16.0, "h"), (4.0, 24.0), Proposal, DAMPING);
/// Compost in which hardy salads germinate best.
pub const GERMINATION_HARDY_C: Sourced =
    Sourced::new("germination-hardy", (20.0, "°C"), (15.0, 25.0), Proposal, "common practice, no source");
/// Compost in which tomatoes, cucumbers and their like germinate best.
pub const GERMINATION_TENDER_C: Sourced =
    Sourced::new("germination-tender", (25.0, "°C"), (20.0, 30.0), Proposal, "common practice, no source");

/// Day-degrees from infection to spots of onion downy mildew.
pub const ONION_LATENT_C_D: Sourced = Sourced::new(
    "onion-latent-sum",
    (125.0, "°C d"),
    (60.0, 250.0),
    Secondary,
    "from over 50 d at 5 °C and under 10 d at 15 °C, trade report of work at Warwick, taken as equalities (2.3)",
);
/// Base of those.
pub const ONION_LATENT_BASE_C: Sourced =
    Sourced::new("onion-latent-base", (2.5, "°C"), (0.0, 6.0), Secondary, "as the sum (2.3)");
/// How much earlier and later than the sum the window reaches.
pub const ONION_LATENT_SPREAD: Sourced = Sourced::new(
    "onion-latent-spread",
    (0.2, "of the sum"),
    (0.0, 0.5),
    Proposal,
    "the field's 10 to 16 d about its middle (2.3)",
);
/// Longest that a sum of warmth is waited for.
pub const ONION_LATENT_LONGEST_D: Sourced = Sourced::new(
    "onion-latent-longest",
    (90.0, "d"),
    (30.0, 180.0),
    Proposal,
    "over 50 d at 5 °C (2.3); a window must end",
);
/// Below this mean temperature windows in days are stretched.
pub const LATENT_COLD_C: Sourced =
    Sourced::new("latent-stretched-below", (8.0, "°C"), (4.0, 12.0), Proposal, "our proposal (2.2)");

/// Lettuce downy mildew: first spots so long after the night that let it in.
pub const LETTUCE_LATENT_FROM_D: Sourced = Sourced::new(
    "lettuce-latent-from",
    (5.0, "d"),
    (3.0, 10.0),
    Published,
    "Scherm and van Bruggen 1994, Phytopathology 84:853-859, abstract (2.2)",
);
/// End of it.
pub const LETTUCE_LATENT_TO_D: Sourced = Sourced::new(
    "lettuce-latent-to",
    (14.0, "d"),
    (7.0, 28.0),
    Published,
    "Scherm and van Bruggen 1994, Phytopathology 84:853-859, abstract (2.2)",
);
/// End of it in the cold.
pub const LETTUCE_LATENT_COLD_TO_D: Sourced =
    Sourced::new("lettuce-latent-cold-to", (21.0, "d"), (14.0, 42.0), Proposal, "our proposal (2.2)");
/// Brassica downy mildew: "spores after 1-2 weeks".
pub const BRASSICA_LATENT_FROM_D: Sourced = Sourced::new(
    "brassica-latent-from",
    (7.0, "d"),
    (4.0, 14.0),
    Secondary,
    "an encyclopaedia's summary, at 16-18 °C (2.5)",
);
/// End of it.
pub const BRASSICA_LATENT_TO_D: Sourced = Sourced::new(
    "brassica-latent-to",
    (14.0, "d"),
    (7.0, 28.0),
    Secondary,
    "an encyclopaedia's summary, at 16-18 °C (2.5)",
);
/// White blister.
pub const BLISTER_LATENT_FROM_D: Sourced =
    Sourced::new("white-blister-latent-from", (6.0, "d"), (3.0, 14.0), Secondary, "a farm advisory article (2.5)");
/// End of it.
pub const BLISTER_LATENT_TO_D: Sourced =
    Sourced::new("white-blister-latent-to", (21.0, "d"), (10.0, 42.0), Secondary, "a farm advisory article (2.5)");
/// Blight of tomato: 68 to 93 h at 22 °C; the cold end is ours.
pub const BLIGHT_LATENT_FROM_D: Sourced = Sourced::new(
    "late-blight-latent-from",
    (3.0, "d"),
    (2.0, 7.0),
    Published,
    "Maziero et al. 2009, Plant Dis. 93:459-466, abstract: 68-93 h at 22 °C (2.7)",
);
/// End of it.
pub const BLIGHT_LATENT_TO_D: Sourced =
    Sourced::new("late-blight-latent-to", (10.0, "d"), (4.0, 21.0), Memory, "longer where cooler; no figure seen");
/// All others.
pub const OTHER_LATENT_FROM_D: Sourced = Sourced::new(
    "other-latent-from",
    (5.0, "d"),
    (2.0, 14.0),
    Proposal,
    "no source in the sheet: as lettuce, and shown as rough",
);
/// End of it.
pub const OTHER_LATENT_TO_D: Sourced = Sourced::new(
    "other-latent-to",
    (14.0, "d"),
    (7.0, 42.0),
    Proposal,
    "no source in the sheet: as lettuce, and shown as rough",
);

/// All of the above.
pub const ALL: &[&Sourced] = &[
    &DRY_BETWEEN_H,
    &COLD_FADE_C,
    &LETTUCE_MORNING_H,
    &LETTUCE_FIRST_H,
    &LETTUCE_FIRST_MAX_C,
    &LETTUCE_NEXT_H,
    &LETTUCE_NEXT_MAX_C,
    &ONION_SPORES_PCT,
    &ONION_SPORES_H,
    &ONION_SHORT_NIGHT_H,
    &ONION_NIGHT_MIN_C,
    &ONION_NIGHT_MAX_C,
    &ONION_DAY_MAX_C,
    &ONION_INFECTS_H,
    &ONION_WITHIN_H,
    &GREY_WET_H,
    &GREY_BAND_H,
    &GREY_BAND_MIN_C,
    &GREY_BAND_MAX_C,
    &GREY_FROM_HOUR,
    &GREY_TO_HOUR,
    &GREY_LEAST_DAYS,
    &BLIGHT_MIN_C,
    &BLIGHT_PCT,
    &HUTTON_H,
    &SMITH_H,
    &CUCURBIT_WARM_H,
    &CUCURBIT_WARM_FROM_C,
    &CUCURBIT_MILD_H,
    &CUCURBIT_MILD_FROM_C,
    &CUCURBIT_COOL_H,
    &CUCURBIT_COOL_FROM_C,
    &CUCURBIT_MAX_C,
    &DRY_MILDEW_MIN_C,
    &DRY_MILDEW_OPT_C,
    &DRY_MILDEW_MAX_C,
    &DRY_MILDEW_FROM_PCT,
    &DRY_MILDEW_DRY_END_PCT,
    &DRY_MILDEW_DRY_END_SHARE,
    &DRY_MILDEW_TO_PCT,
    &DRY_MILDEW_DAMP_END_PCT,
    &DRY_MILDEW_DAMP_END_SHARE,
    &DRY_MILDEW_HOT_H,
    &DRY_MILDEW_HOT_C,
    &DRY_MILDEW_WET_H,
    &DRY_MILDEW_WET_LESS,
    &DRY_MILDEW_FIRST_MONTH,
    &DRY_MILDEW_LAST_MONTH,
    &STEM_ROT_MIN_C,
    &STEM_ROT_MAX_C,
    &STEM_ROT_PCT,
    &STEM_ROT_H,
    &STEM_ROT_DAYS,
    &DAMPING_OFF_COLD_C,
    &DAMPING_OFF_PCT,
    &DAMPING_OFF_H,
    &GERMINATION_HARDY_C,
    &GERMINATION_TENDER_C,
    &ONION_LATENT_C_D,
    &ONION_LATENT_BASE_C,
    &ONION_LATENT_SPREAD,
    &ONION_LATENT_LONGEST_D,
    &LATENT_COLD_C,
    &LETTUCE_LATENT_FROM_D,
    &LETTUCE_LATENT_TO_D,
    &LETTUCE_LATENT_COLD_TO_D,
    &BRASSICA_LATENT_FROM_D,
    &BRASSICA_LATENT_TO_D,
    &BLISTER_LATENT_FROM_D,
    &BLISTER_LATENT_TO_D,
    &BLIGHT_LATENT_FROM_D,
    &BLIGHT_LATENT_TO_D,
    &OTHER_LATENT_FROM_D,
    &OTHER_LATENT_TO_D,
];
