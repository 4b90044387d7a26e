//! The constants of evapotranspiration, each once. Section numbers are those of the project's sheet on climate and water.

use crate::sourced::Provenance::{Memory, Proposal, Published};
use crate::sourced::Sourced;

const EQ_6: &str = "Allen et al. 1998, FAO-56 eq 6; climate sheet 4.1";
const EQ_35: &str = "Allen et al. 1998, FAO-56 eq 35, Angstrom with its default coefficients; climate sheet 3.1";
const EQ_37: &str = "Allen et al. 1998, FAO-56 eq 37; climate sheet 3.1";
const EQ_38: &str = "Allen et al. 1998, FAO-56 eq 38: albedo 0.23 of grass; climate sheet 4.1";
const EQ_39: &str = "Allen et al. 1998, FAO-56 eq 39; climate sheet 4.1";
const EQ_45: &str = "Allen et al. 1998, FAO-56 eq 45 and 46; climate sheet 4.1";
const EQ_53: &str = "Allen et al. 1998, FAO-56 eq 53; climate sheet 4.1";
const ASCE: &str = "ASCE-EWRI 2005, Table 1, short crop by the hour; climate sheet 4.1";
const INSIDE: &str = "climate sheet 4.3: 0.5 to 1.5 under a single film, about 0 under a wet film or fleece";

/// Water that a megajoule evaporates: 1/2.45, in FAO-56's rounding.
pub const MM_PER_MJ: Sourced = Sourced::fixed("evaporated-by-heat", (0.408, "mm/MJ m²"), Published, EQ_6);
/// Heat that evaporates a kilogram of water.
pub const LATENT_MJ_KG: Sourced =
    Sourced::fixed("heat-of-evaporation", (2.45, "MJ/kg"), Published, "Allen et al. 1998, FAO-56; climate sheet 0");
/// What dry air carries off the reference crop in a day.
pub const AERODYNAMIC_DAY: Sourced =
    Sourced::fixed("reference-aerodynamic-day", (900.0, "kg K/kJ s/d"), Published, EQ_6);
/// The same in an hour.
pub const AERODYNAMIC_HOUR: Sourced =
    Sourced::fixed("reference-aerodynamic-hour", (37.0, "kg K/kJ s/h"), Published, EQ_53);
/// How wind works against the resistance of the reference crop's leaves.
pub const LEAF_DAY: Sourced = Sourced::fixed("reference-leaves", (0.34, "s/m"), Published, EQ_6);
/// The same by the hour after ASCE, while net radiation comes in.
pub const LEAF_ASCE_DAY: Sourced = Sourced::fixed("reference-leaves-asce-day", (0.24, "s/m"), Published, ASCE);
/// The same by the hour after ASCE, while it goes out.
pub const LEAF_ASCE_NIGHT: Sourced = Sourced::fixed("reference-leaves-asce-night", (0.96, "s/m"), Published, ASCE);
/// Share of an hour's net radiation that goes into the ground by day.
pub const GROUND_DAY: Sourced = Sourced::fixed("ground-heat-day", (0.1, "1"), Published, EQ_45);
/// Share of an hour's net radiation that comes out of the ground by night.
pub const GROUND_NIGHT: Sourced = Sourced::fixed("ground-heat-night", (0.5, "1"), Published, EQ_45);
/// Share of the radiation above the air that an overcast day lets through.
pub const OVERCAST: Sourced = Sourced::new("sunshine-overcast", (0.25, "1"), (0.15, 0.35), Published, EQ_35);
/// Share that full sunshine adds.
pub const SUNSHINE: Sourced = Sourced::new("sunshine-clear", (0.50, "1"), (0.40, 0.60), Published, EQ_35);
/// Share of the radiation above the air that a clear day lets through at sea level.
pub const CLEAR: Sourced = Sourced::fixed("clear-day", (0.75, "1"), Published, EQ_37);
/// What height adds to it.
pub const CLEAR_PER_M: Sourced = Sourced::fixed("clear-day-height", (2e-5, "1/m"), Published, EQ_37);
/// Share of the sun that grass keeps.
pub const KEPT: Sourced = Sourced::new("sun-kept-by-grass", (0.77, "1"), (0.70, 0.85), Published, EQ_38);
/// Radiation of a black surface in a day.
pub const STEFAN_DAY: Sourced = Sourced::fixed("radiation-of-black-day", (4.903e-9, "MJ/(K⁴ m² d)"), Published, EQ_39);
/// Least share of clear-sky radiation that long-wave radiation is reckoned with.
pub const LEAST_CLEARNESS: Sourced =
    Sourced::fixed("least-clearness", (0.3, "1"), Published, "ASCE-EWRI 2005: limited to 0.3 to 1; climate sheet 4.1");
/// Sun above which an hour tells how cloudy the night after is.
pub const CLEARNESS_FROM_RAD: Sourced = Sourced::new(
    "clearness-from",
    (0.3, "rad"),
    (0.1, 0.5),
    Published,
    "ASCE-EWRI 2005, beta of 0.3; climate sheet 4.1",
);
/// In winter, when the sun does not get so high: above this share of its noon height.
pub const CLEARNESS_OF_NOON: Sourced = Sourced::new(
    "clearness-of-noon",
    (0.75, "1"),
    (0.5, 0.95),
    Proposal,
    "our own: at 52° N the sun stays below 0.3 rad from mid-November to late January",
);
/// Aerodynamic resistance of grass under an unheated cover.
pub const UNDER_COVER_RESISTANCE_S_M: Sourced = Sourced::new(
    "under-cover-resistance",
    (150.0, "s/m"),
    (50.0, 400.0),
    Published,
    "Fernandez et al. 2010, Irrig. Sci. 28:497, abstract: eleven years of lysimeters; climate sheet 4.3 (a)",
);
/// Resistance of outdoor grass times wind: eq 6 has r_a = 208/u2.
pub const RESISTANCE_TIMES_WIND: Sourced = Sourced::fixed("resistance-times-wind", (208.0, "1"), Published, EQ_6);
/// Net long-wave loss under a single film.
pub const INSIDE_LOSS_MJ_M2_D: Sourced =
    Sourced::new("inside-long-wave-loss", (1.0, "MJ/(m² d)"), (0.5, 1.5), Memory, INSIDE);
/// Net long-wave loss under a wet film or fleece.
pub const INSIDE_LOSS_WET_MJ_M2_D: Sourced =
    Sourced::new("inside-long-wave-loss-wet", (0.0, "MJ/(m² d)"), (0.0, 0.5), Memory, INSIDE);
/// Makkink's coefficient after the Dutch weather service.
pub const MAKKINK: Sourced = Sourced::new(
    "makkink",
    (0.65, "1"),
    (0.60, 0.70),
    Published,
    "de Bruin 1987, as pyet 1.5.0 has it; climate sheet 4.2",
);
/// How far off water used under cover may be.
pub const UNDER_COVER_DOUBT: Sourced = Sourced::new(
    "under-cover-doubt",
    (0.30, "1"),
    (0.10, 0.60),
    Proposal,
    "shown with a band of ±30 %; climate sheet 4.3",
);

/// All of them.
pub const ALL: &[&Sourced] = &[
    &MM_PER_MJ,
    &LATENT_MJ_KG,
    &AERODYNAMIC_DAY,
    &AERODYNAMIC_HOUR,
    &LEAF_DAY,
    &LEAF_ASCE_DAY,
    &LEAF_ASCE_NIGHT,
    &GROUND_DAY,
    &GROUND_NIGHT,
    &OVERCAST,
    &SUNSHINE,
    &CLEAR,
    &CLEAR_PER_M,
    &KEPT,
    &STEFAN_DAY,
    &LEAST_CLEARNESS,
    &CLEARNESS_FROM_RAD,
    &CLEARNESS_OF_NOON,
    &UNDER_COVER_RESISTANCE_S_M,
    &RESISTANCE_TIMES_WIND,
    &INSIDE_LOSS_MJ_M2_D,
    &INSIDE_LOSS_WET_MJ_M2_D,
    &MAKKINK,
    &UNDER_COVER_DOUBT,
];
