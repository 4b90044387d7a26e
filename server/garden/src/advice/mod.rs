//! What to do about it: decisions as functions of plain values.

mod clock;
mod question;
mod verdict;

pub use clock::LocalClock;
pub use question::{Air, DEFAULT_RH_ERROR_PCT, FrostMemory, VentQuestion, VentStructure};
pub use verdict::{Aim, AirFigures, Caution, Doubt, Expect, Figures, Move, Rule, VentVerdict, Verdict};
