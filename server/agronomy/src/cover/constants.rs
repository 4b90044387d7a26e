//! The constants of how a structure exchanges heat, air and water with the outside, each once. Section numbers are those of the project's sheet on
//! climate and water.

use crate::sourced::Provenance::{Memory, Proposal, Published, Secondary};
use crate::sourced::Sourced;

const S_6_2: &str = "climate sheet 6.2";
const S_6_3: &str = "climate sheet 6.3";
const DOORS: &str = "our own, by climate sheet 6.2, one level of openings: 0.3, 0.9 and 1.8 m² of a door 2 m high over the sheet's 5.5 by 2.7 m, 15 °C \
                     warmer inside, wind 1 to 2 m/s; the areas are judgement";

/// Radiation of a black surface.
pub const STEFAN_W: Sourced =
    Sourced::fixed("radiation-of-black", (5.670_4e-8, "W/(m² K⁴)"), Published, "constant of nature; climate sheet 0");
/// Heat held by a cubic metre of air: 1.2 kg of 1006 J/(kg K).
pub const AIR_J_M3_K: Sourced =
    Sourced::new("heat-of-air", (1207.0, "J/(m³ K)"), (1_100.0, 1_300.0), Published, "climate sheet 0");
/// Acceleration of gravity.
pub const GRAVITY_M_S2: Sourced = Sourced::fixed("gravity", (9.81, "m/s²"), Published, "constant of nature");
/// Discharge coefficient of openings.
pub const DISCHARGE: Sourced = Sourced::new("opening-discharge", (0.65, "1"), (0.6, 0.75), Memory, S_6_2);
/// Wind coefficient of openings.
pub const WIND: Sourced = Sourced::new("opening-wind", (0.09, "1"), (0.02, 0.10), Memory, S_6_2);
/// Air inside to cover, still.
pub const INSIDE_W: Sourced = Sourced::new("cover-inside", (4.0, "W/(m² K)"), (3.0, 5.0), Memory, S_6_3);
/// Cover to air outside, without wind.
pub const OUTSIDE_W: Sourced = Sourced::new("cover-outside", (2.8, "W/(m² K)"), (2.0, 7.0), Memory, S_6_3);
/// What a metre a second of wind adds to it.
pub const OUTSIDE_W_WIND: Sourced = Sourced::new("cover-outside-wind", (3.0, "J/(m³ K)"), (2.0, 5.0), Memory, S_6_3);
/// Radiation, four times sigma times the cube of 273 K.
pub const RADIATIVE_W: Sourced = Sourced::new("cover-radiative", (4.6, "W/(m² K)"), (4.4, 5.3), Published, S_6_3);
/// Emissivity of dry polythene.
pub const EMISSIVITY_DRY: Sourced = Sourced::new("cover-emissivity-dry", (0.5, "1"), (0.4, 0.6), Memory, S_6_3);
/// Emissivity of polythene under a film of water.
pub const EMISSIVITY_WET: Sourced = Sourced::new("cover-emissivity-wet", (0.9, "1"), (0.8, 0.97), Memory, S_6_3);
/// Sky temperature over the air's to the power of one and a half.
pub const SWINBANK: Sourced =
    Sourced::fixed("sky-swinbank", (0.0552, "K^-0.5"), Published, "Swinbank 1963; climate sheet 6.3");
/// Emissivity of the sky over the seventh root of vapour pressure by temperature.
pub const BRUTSAERT: Sourced =
    Sourced::fixed("sky-brutsaert", (1.24, "(K/hPa)^(1/7)"), Published, "Brutsaert 1975; climate sheet 6.3");
/// Mass transfer to a cover one degree colder than the air.
pub const TRANSFER_M_S: Sourced = Sourced::new(
    "condensation-transfer",
    (1.64e-3, "m/s"),
    (1.4e-3, 1.9e-3),
    Secondary,
    "Stanghellini & de Jong 1995, via two model transcriptions; climate sheet 6.3",
);
/// Share of the light that a single film over a walk-in tunnel lets through when the air under it warms most.
pub const WARMING_TRANSMISSION: Sourced = Sourced::new(
    "tunnel-warming-transmission",
    (0.7, "1"),
    (0.55, 0.85),
    Memory,
    "climate sheet 6.1, its examples; 3.5 has 0.55 old to 0.75 new",
);
/// Share of the sun let through that goes into water over winter salads and no air is warmed by.
pub const LATENT_SHARE: Sourced = Sourced::new(
    "tunnel-latent-share",
    (0.25, "1"),
    (0.0, 0.5),
    Memory,
    "climate sheet 6.1: 0.2 to 0.3 winter salads, 0.5 full canopy, 0 dry soil",
);
/// What a square metre of a single film loses.
pub const FILM_LOSS_W: Sourced = Sourced::new(
    "film-heat-loss",
    (6.2, "W/(m² K)"),
    (5.7, 6.8),
    Published,
    "any single layer 1.0 to 1.2 Btu/(h ft² °F), eXtension on greenhouse glazing; climate sheet 6.1",
);
/// Film over a square metre of floor.
pub const FILM_AREA: Sourced = Sourced::new(
    "film-area-per-floor",
    (1.8, "m²/m²"),
    (1.6, 1.9),
    Memory,
    "a walk-in tunnel; climate sheet 6 and 6.1",
);
/// Flow through a shut cover, over its floor.
pub const FLOW_SHUT_M_S: Sourced = Sourced::new(
    "flow-shut",
    (0.0008, "m/s"),
    (0.0003, 0.0022),
    Memory,
    "climate sheet 6.1: 1.4 changes an hour at 2 m height, a new single skin of EP406; 2 to 4 an hour old and leaky",
);
/// Flow through one of two doors a hand's width open, over its floor.
pub const FLOW_CRACK_M_S: Sourced = Sourced::new("flow-door-crack", (0.0055, "m/s"), (0.002, 0.01), Proposal, DOORS);
/// The same half way.
pub const FLOW_HALF_M_S: Sourced = Sourced::new("flow-door-half", (0.016, "m/s"), (0.006, 0.03), Proposal, DOORS);
/// The same wide.
pub const FLOW_FULL_M_S: Sourced = Sourced::new("flow-door-wide", (0.032, "m/s"), (0.012, 0.06), Proposal, DOORS);
/// Share of the flow that insect mesh leaves.
pub const MESH_SHARE: Sourced = Sourced::new(
    "mesh-flow-share",
    (0.67, "1"),
    (0.5, 0.9),
    Published,
    "a third less through an anti-aphid screen, Katsoulas et al. 2006, Biosyst. Eng. 93:427; climate sheet 6.1",
);

/// All of them.
pub const ALL: &[&Sourced] = &[
    &STEFAN_W,
    &AIR_J_M3_K,
    &GRAVITY_M_S2,
    &DISCHARGE,
    &WIND,
    &INSIDE_W,
    &OUTSIDE_W,
    &OUTSIDE_W_WIND,
    &RADIATIVE_W,
    &EMISSIVITY_DRY,
    &EMISSIVITY_WET,
    &SWINBANK,
    &BRUTSAERT,
    &TRANSFER_M_S,
    &WARMING_TRANSMISSION,
    &LATENT_SHARE,
    &FILM_LOSS_W,
    &FILM_AREA,
    &FLOW_SHUT_M_S,
    &FLOW_CRACK_M_S,
    &FLOW_HALF_M_S,
    &FLOW_FULL_M_S,
    &MESH_SHARE,
];
