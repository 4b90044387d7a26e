//! The constants of moist air, each once. Section numbers are those of the project's sheet on climate and water.

use crate::sourced::Provenance::{Proposal, Published};
use crate::sourced::Sourced;

const EQ_11: &str = "Allen et al. 1998, FAO-56 eq 11 (Tetens and Murray); climate sheet 1.1";
const EQ_13: &str = "Allen et al. 1998, FAO-56 eq 13: 17.27 times 237.3, as rounded there";
const WMO_ICE: &str = "WMO-No. 8, Annex 4.B, Magnus over ice, -65 to 0 °C; climate sheet 1.1";
const EQ_16: &str = "Allen et al. 1998, FAO-56 eq 16; climate sheet 1.4";
const EQ_7: &str = "Allen et al. 1998, FAO-56 eq 7; climate sheet 1.4";

/// Saturation vapour pressure over water at 0 °C.
pub const WATER_KPA: Sourced = Sourced::fixed("water-saturation-at-0", (0.6108, "kPa"), Published, EQ_11);
/// Growth of saturation over water.
pub const WATER_GROWTH: Sourced = Sourced::fixed("water-saturation-growth", (17.27, "1"), Published, EQ_11);
/// Where the growth over water is counted from, below 0 °C.
pub const WATER_OFFSET_C: Sourced = Sourced::fixed("water-saturation-offset", (237.3, "°C"), Published, EQ_11);
/// Growth times offset over water, for the slope.
pub const WATER_SLOPE_C: Sourced = Sourced::fixed("water-saturation-slope", (4098.0, "°C"), Published, EQ_13);
/// Saturation vapour pressure over ice at 0 °C.
pub const ICE_KPA: Sourced = Sourced::fixed("ice-saturation-at-0", (0.6112, "kPa"), Published, WMO_ICE);
/// Growth of saturation over ice.
pub const ICE_GROWTH: Sourced = Sourced::fixed("ice-saturation-growth", (22.46, "1"), Published, WMO_ICE);
/// Where the growth over ice is counted from, below 0 °C.
pub const ICE_OFFSET_C: Sourced = Sourced::fixed("ice-saturation-offset", (272.62, "°C"), Published, WMO_ICE);
/// Ratio of the molar masses of water and dry air.
pub const WATER_TO_AIR: Sourced = Sourced::new(
    "water-to-air",
    (0.622, "1"),
    (0.6219, 0.622),
    Published,
    "climate sheet 0 and 1.4; ASHRAE 2017 ch. 1 has 0.621945",
);
/// Grams in a cubic metre per kPa and kelvin: 1000 over the gas constant of vapour, 461.5 J/(kg K).
pub const VAPOUR_G_K_M3_KPA: Sourced = Sourced::fixed(
    "vapour-density",
    (2166.7, "g K/(m³ kPa)"),
    Published,
    "ideal gas with R_v 461.5 J/(kg K); climate sheet 1.4",
);
/// Air pressure at sea level.
pub const SEA_LEVEL_KPA: Sourced = Sourced::new("sea-level-pressure", (101.3, "kPa"), (95.0, 106.0), Published, EQ_7);
/// Psychrometric constant per air pressure.
pub const PSYCHROMETRIC_PER_C: Sourced = Sourced::fixed(
    "psychrometric-constant",
    (0.665e-3, "1/°C"),
    Published,
    "Allen et al. 1998, FAO-56 eq 8; climate sheet 1.4",
);
/// Coefficient of a fanned psychrometer, about 5 m/s.
pub const ASPIRATED_PER_C: Sourced = Sourced::fixed("psychrometer-fanned", (6.62e-4, "1/°C"), Published, EQ_16);
/// Coefficient of a naturally ventilated psychrometer, about 1 m/s.
pub const NATURAL_PER_C: Sourced = Sourced::fixed("psychrometer-natural", (8.0e-4, "1/°C"), Published, EQ_16);
/// Coefficient of an unventilated psychrometer indoors.
pub const INDOOR_PER_C: Sourced = Sourced::fixed("psychrometer-indoor", (12.0e-4, "1/°C"), Published, EQ_16);
/// Coefficient of an iced bulb as a share of that of a wet one: heat of evaporation over heat of sublimation.
pub const ICED_SHARE: Sourced = Sourced::new(
    "psychrometer-iced",
    (0.882, "1"),
    (0.87, 0.90),
    Published,
    "American Meteorological Society, Glossary of Meteorology, psychrometric formula: 5.82e-4 in the place of 6.60e-4",
);
/// The lowest relative humidity that is used inside a logarithm.
pub const LOGARITHM_FLOOR_PCT: Sourced =
    Sourced::new("dew-point-floor", (1.0, "%RH"), (0.1, 5.0), Proposal, "floor of 1 %; climate sheet 1.2");

/// All of them.
pub const ALL: &[&Sourced] = &[
    &WATER_KPA,
    &WATER_GROWTH,
    &WATER_OFFSET_C,
    &WATER_SLOPE_C,
    &ICE_KPA,
    &ICE_GROWTH,
    &ICE_OFFSET_C,
    &WATER_TO_AIR,
    &VAPOUR_G_K_M3_KPA,
    &SEA_LEVEL_KPA,
    &PSYCHROMETRIC_PER_C,
    &ASPIRATED_PER_C,
    &NATURAL_PER_C,
    &INDOOR_PER_C,
    &ICED_SHARE,
    &LOGARITHM_FLOOR_PCT,
];
