//! The constants of night and frost, each once; tables are in `frost/critical.rs`. Section numbers are those of the project's sheet on climate and
//! water unless said.

use crate::sourced::Provenance::{Memory, Proposal, Published};
use crate::sourced::Sourced;

const FFP: &str = "Snyder & de Melo-Abreu 2005, FAO Frost Protection vol. 1; climate sheet 5.1";
const COVERS: &str = "climate sheet 5.2, defaults";

/// When the night's regression looks at the air: after sunset.
pub const DUSK_AFTER_H: Sourced = Sourced::new("dusk-after-sunset", (2.0, "h"), (1.5, 3.0), Published, FFP);
/// Nights that must be known before a sensor's own regression counts.
pub const LEAST_NIGHTS: Sourced = Sourced::new(
    "frost-least-nights",
    (10.0, "1"),
    (8.0, 30.0),
    Proposal,
    "advice page, Frost; climate sheet 5.1: at least 10 nights",
);
/// How far below the regression's low to warn.
pub const MARGIN_C: Sourced = Sourced::new(
    "frost-margin",
    (1.5, "°C"),
    (0.5, 4.0),
    Proposal,
    "R² 0.67 means 0.7 °C even on its own data, so warn on the low less 1.5; climate sheet 5.1",
);
/// Calm: wind at most.
pub const CALM_M_S: Sourced = Sourced::new("radiation-night-wind", (2.0, "m/s"), (1.0, 4.0), Published, FFP);
/// Without wind and sky: how far the air must have fallen from the afternoon's warmest to two hours after sunset.
pub const FALL_C: Sourced = Sourced::new(
    "radiation-night-fall",
    (5.0, "°C"),
    (3.0, 10.0),
    Proposal,
    "our own: on nights so chosen in a tunnel of the Veneto the regression of one winter is 1.7 °C off in the next",
);
/// The same in the open, where no cover traps the sun of the afternoon.
pub const FALL_OPEN_C: Sourced = Sourced::new(
    "radiation-night-fall-open",
    (3.0, "°C"),
    (2.0, 6.0),
    Proposal,
    "our own: on the coast of Ireland hardly a night falls by 5; on nights that fell by 3 the regression halves persistence's error",
);
/// Fleece of about 17 g/m².
pub const FLEECE_17_C: Sourced = Sourced::new("fleece-17-gain", (1.5, "°C"), (0.5, 2.0), Memory, COVERS);
/// Fleece of about 30 g/m².
pub const FLEECE_30_C: Sourced = Sourced::new("fleece-30-gain", (2.5, "°C"), (1.0, 5.0), Memory, COVERS);
/// Two layers of fleece.
pub const FLEECE_DOUBLE_C: Sourced = Sourced::new("fleece-double-gain", (4.0, "°C"), (2.0, 6.0), Memory, COVERS);
/// An unheated tunnel.
pub const TUNNEL_C: Sourced = Sourced::new(
    "tunnel-gain",
    (1.5, "°C"),
    (-1.0, 3.0),
    Memory,
    "climate sheet 5.2; measured +1.3 in the mean, and colder than outside for 1.5 h after sunset (Savage 1980)",
);
/// Fleece in an unheated tunnel, on clear nights.
pub const TUNNEL_AND_FLEECE_C: Sourced =
    Sourced::new("tunnel-and-fleece-gain", (4.0, "°C"), (1.5, 6.0), Memory, COVERS);
/// What is left of a fleece's gain when it is wet or lies on the leaves.
pub const WET_FLEECE: Sourced = Sourced::new("fleece-wet-share", (0.5, "1"), (0.2, 0.8), Memory, COVERS);
/// How far above a crop's limit to warn.
pub const ALERT_ABOVE_C: Sourced =
    Sourced::new("frost-alert-above", (1.0, "°C"), (0.0, 2.0), Proposal, "wetness sheet 4.6, default alert");
/// A week warmer than this leaves a crop unhardened.
pub const UNHARDENED_ABOVE_C: Sourced =
    Sourced::new("unhardened-above", (10.0, "°C"), (6.0, 14.0), Proposal, "wetness sheet 4.6, default alert");

/// All of them.
pub const ALL: &[&Sourced] = &[
    &DUSK_AFTER_H,
    &LEAST_NIGHTS,
    &MARGIN_C,
    &CALM_M_S,
    &FALL_C,
    &FALL_OPEN_C,
    &FLEECE_17_C,
    &FLEECE_30_C,
    &FLEECE_DOUBLE_C,
    &TUNNEL_C,
    &TUNNEL_AND_FLEECE_C,
    &WET_FLEECE,
    &ALERT_ABOVE_C,
    &UNHARDENED_ABOVE_C,
];
