//! The constants of sun and clear sky, each once. Section numbers are those of the project's sheet on climate and water.

use crate::sourced::Provenance::{Memory, Published, Secondary};
use crate::sourced::Sourced;

const FAO: &str = "Allen et al. 1998, FAO-56 eq 21 to 24; climate sheet 3.1";
const HAURWITZ: &str = "Haurwitz 1945, as in pvlib 0.16.1; climate sheet 3.4";

/// Centre of the sun at sunrise and sunset.
pub const SUNRISE_DEG: Sourced = Sourced::fixed(
    "sunrise-elevation",
    (-0.833, "°"),
    Published,
    "34' of refraction and 16' of semi-diameter; climate sheet 3.2",
);
/// Centre of the sun at civil dawn and dusk.
pub const CIVIL_DEG: Sourced = Sourced::fixed(
    "civil-twilight-elevation",
    (-6.0, "°"),
    Published,
    "definition of civil twilight; climate sheet 3.2",
);
/// Day length under which growth of winter salads is said to be negligible.
pub const TEN_HOURS_H: Sourced = Sourced::new(
    "ten-hour-rule",
    (10.0, "h"),
    (9.0, 11.0),
    Secondary,
    "Coleman, Winter Harvest Handbook, as extension services repeat it; found at 44° N; climate sheet 3.3",
);
/// Clear-sky radiation without air.
pub const HAURWITZ_W_M2: Sourced = Sourced::fixed("clear-sky-top", (1098.0, "W/m²"), Published, HAURWITZ);
/// What clear air takes of it.
pub const HAURWITZ_AIR: Sourced = Sourced::fixed("clear-sky-air", (0.059, "1"), Published, HAURWITZ);
/// Solar constant, in FAO-56's rounding.
pub const SOLAR_MJ_M2_MIN: Sourced = Sourced::fixed("solar-constant", (0.0820, "MJ/(m² min)"), Published, FAO);
/// Share of the sun above the air that reaches the ground in a cloudy maritime place, mean of the year.
pub const CLOUDY_MEAN: Sourced = Sourced::new(
    "cloudy-sun-mean",
    (0.36, "1"),
    (0.25, 0.60),
    Memory,
    "wetness sheet 4.1, from memory there: 0.29 in December and January, 0.36 in the mean, 0.43 in summer",
);
/// How far that share swings between midwinter and midsummer.
pub const CLOUDY_SWING: Sourced =
    Sourced::new("cloudy-sun-swing", (0.07, "1"), (0.0, 0.15), Memory, "wetness sheet 4.1, from memory there");

/// All of them.
pub const ALL: &[&Sourced] = &[
    &SUNRISE_DEG,
    &CIVIL_DEG,
    &TEN_HOURS_H,
    &HAURWITZ_W_M2,
    &HAURWITZ_AIR,
    &SOLAR_MJ_M2_MIN,
    &CLOUDY_MEAN,
    &CLOUDY_SWING,
];
