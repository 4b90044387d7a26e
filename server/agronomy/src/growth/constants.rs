//! The constants of growth in winter, each once.

use crate::sourced::Provenance::{Proposal, Secondary};
use crate::sourced::Sourced;

const LEEK: &str = "leek sheath diameter, Tb 6, f 0.6: Brewster 2008 fig. 4.51 after Wurr et al. 1999; taken for all crops, with Tb 0: wetness sheet 4.1";
const OURS: &str = "wetness sheet 4.1";
const INVENTED: &str = "the invented tunnel of wetness sheet 4.1; a stand-in until a structure has days of its own";

/// How many day-degrees a megajoule of sun weighs: the less, the more light counts.
pub const LIGHT_WEIGHT: Sourced =
    Sourced::new("growth-light-weight", (0.6, "MJ/(m² °C d)"), (0.2, 2.0), Secondary, LEEK);
/// Base temperature of growth speed.
pub const BASE_C: Sourced = Sourced::new("growth-base", (0.0, "°C"), (-1.0, 6.0), Proposal, OURS);
/// Days that growth speed is the mean of.
pub const MEAN_D: Sourced = Sourced::new("growth-mean", (7.0, "d"), (3.0, 14.0), Proposal, OURS);
/// How many of them must be known.
pub const LEAST_D: Sourced =
    Sourced::new("growth-least-days", (5.0, "d"), (3.0, 7.0), Proposal, "our rule: at most two of seven days missing");
/// Below this growth has all but stopped.
pub const STOPPED_BELOW: Sourced = Sourced::new("growth-stopped-below", (1.8, "°C d"), (1.2, 2.4), Proposal, OURS);
/// Above this things grow.
pub const GROWING_ABOVE: Sourced = Sourced::new("growth-growing-above", (2.5, "°C d"), (2.0, 4.0), Proposal, OURS);
/// How far beyond a limit the mean must go before the word changes back.
pub const HYSTERESIS: Sourced = Sourced::new("growth-hysteresis", (0.2, "°C d"), (0.0, 0.5), Proposal, OURS);

/// Mean of the year under a cover in a mild maritime climate near 51° N.
pub const SEASON_MEAN_C: Sourced = Sourced::new("season-mean", (11.0, "°C"), (5.0, 18.0), Proposal, INVENTED);
/// By how much the coldest and the warmest day of the year differ from it.
pub const SEASON_SWING_C: Sourced = Sourced::new("season-swing", (6.0, "°C"), (3.0, 12.0), Proposal, INVENTED);
/// The coldest day of the year.
pub const SEASON_COLDEST_D: Sourced =
    Sourced::new("season-coldest", (20.0, "day of year"), (10.0, 45.0), Proposal, INVENTED);

/// All of them.
pub const ALL: &[&Sourced] = &[
    &LIGHT_WEIGHT,
    &BASE_C,
    &MEAN_D,
    &LEAST_D,
    &STOPPED_BELOW,
    &GROWING_ABOVE,
    &HYSTERESIS,
    &SEASON_MEAN_C,
    &SEASON_SWING_C,
    &SEASON_COLDEST_D,
];
