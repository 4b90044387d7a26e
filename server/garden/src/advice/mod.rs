//! What to do about it: decisions as functions of plain values.

mod by_rule;
mod case;
mod clock;
mod daylight;
pub mod frost;
mod growth;
mod hold;
mod limits;
mod night;
mod openings;
mod question;
mod seen;
mod vent;
mod verdict;
pub mod water;

pub use clock::LocalClock;
pub use daylight::is_dark;
pub use growth::{Growth, GrowthBack, GrowthDay, GrowthPlace, growth};
pub use hold::{HOLD_MIN, Held, close_what_stands_open, is_news, may_flip, may_move};
pub use limits::{FRESH_MIN, Limits};
pub use question::{Air, DEFAULT_RH_ERROR_PCT, FrostMemory, VentQuestion, VentStructure};
pub use vent::decide_vent;
pub use verdict::{Aim, AirFigures, Caution, Doubt, Expect, Figures, Move, Rule, VentVerdict, Verdict};

#[cfg(test)]
pub(crate) mod tests;
