//! The constants of beds and their water, each once; tables are in `water/crops.rs` and `water/soils.rs`. Section numbers are those of the project's
//! sheet on climate and water.

use crate::sourced::Provenance::{Memory, Published};
use crate::sourced::Sourced;

const TABLE_22: &str = "Allen et al. 1998, FAO-56 Table 22, footnote; climate sheet 4.4";
const S_4_5: &str = "climate sheet 4.5";

/// What a crop's share of water changes by for every mm a day it uses less than 5.
pub const SHARE_PER_MM: Sourced = Sourced::fixed("depletion-per-mm", (0.04, "d/mm"), Published, TABLE_22);
/// The use at which the table's share holds.
pub const SHARE_AT_MM: Sourced = Sourced::fixed("depletion-at", (5.0, "mm/d"), Published, TABLE_22);
/// Least share.
pub const SHARE_LEAST: Sourced = Sourced::fixed("depletion-least", (0.1, "1"), Published, TABLE_22);
/// Greatest share.
pub const SHARE_MOST: Sourced = Sourced::fixed("depletion-most", (0.8, "1"), Published, TABLE_22);
/// What of the water reaches the roots by drip.
pub const DRIP: Sourced = Sourced::new("drip-efficiency", (0.90, "1"), (0.75, 0.98), Memory, S_4_5);
/// What of it does by can and rose.
pub const CAN: Sourced = Sourced::new("can-efficiency", (0.75, "1"), (0.60, 0.90), Memory, S_4_5);
/// What of it does by sprinkler.
pub const SPRINKLER: Sourced = Sourced::new("sprinkler-efficiency", (0.70, "1"), (0.50, 0.85), Memory, S_4_5);
/// What a crop in full leaf under cover uses of what the table of coefficients says.
pub const UNDER_COVER_SHARE: Sourced = Sourced::new(
    "under-cover-use",
    (0.6, "1"),
    (0.3, 1.0),
    Published,
    "Casanova et al. 2009, Chil. J. Agric. Res. 69:60: lettuce on a lysimeter 0.6 ± 0.3 of the reference, table 1.0; climate sheet 4.4",
);
/// How far off a cheap probe's water content is without a calibration in its own soil.
pub const PROBE_DOUBT: Sourced = Sourced::new("soil-probe-doubt", (0.05, "m³/m³"), (0.01, 0.10), Memory, S_4_5);
/// From how long after a thorough soaking a soil stands at field capacity.
pub const DRAINED_FROM_H: Sourced = Sourced::new("field-capacity-from", (24.0, "h"), (12.0, 48.0), Memory, S_4_5);
/// Until how long after it.
pub const DRAINED_UNTIL_H: Sourced = Sourced::new("field-capacity-until", (48.0, "h"), (24.0, 96.0), Memory, S_4_5);

/// All of them.
pub const ALL: &[&Sourced] = &[
    &SHARE_PER_MM,
    &SHARE_AT_MM,
    &SHARE_LEAST,
    &SHARE_MOST,
    &DRIP,
    &CAN,
    &SPRINKLER,
    &UNDER_COVER_SHARE,
    &PROBE_DOUBT,
    &DRAINED_FROM_H,
    &DRAINED_UNTIL_H,
];
