//! Every sentence the program says about the garden, for the page, the terminal and messages alike.

mod also;
mod cautions;
mod counts;
mod covers;
mod damp;
mod figures;
mod frost;
mod growth;
mod leaf_band;
mod level;
mod openings;
mod told;
mod vent;
mod water;

pub use covers::{CoverWords, cover_words};
pub use damp::{DampHere, DampWords, RiskWords, damp_words, week_words};
pub use figures::grouped;
pub use frost::{Fleece, FrostHere, FrostWords, frost_tally_words, frost_words};
pub use growth::{day_length_words, go_lightly, part_of_month, speed_words};
pub use leaf_band::leaf_band_words;
pub use told::{did_words, saw_words};
pub use vent::{VentWords, vent_words};
pub use water::{WaterWords, water_words};
