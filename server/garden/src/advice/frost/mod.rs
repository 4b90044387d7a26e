//! How cold the leaves get tonight: a range in whole degrees, when to say so, and how often it was right.
//!
//! Until a gauge has ten clear nights of its own the range comes by rule, from the dew point at dusk, the fall since mid-afternoon, the window look and
//! the forecast as heard; from then on from what those nights teach ([`learn`]). Other sites' coefficients are never used.

mod crops;
mod decide;
mod gauge;
mod lately;
mod limits;
mod nights;
mod outlook;
mod outside;
mod question;
mod rule;
mod score;

pub use decide::frost;
pub use nights::{NightBeside, NightPast, learn};
pub use outlook::{FrostAnswer, FrostBy, FrostDoubt, FrostFigures, FrostOutlook, FrostUnknown, Ice, Speak};
pub use question::{FrostCrop, FrostPlace, FrostQuestion, FrostReading, NightSpan};
pub use score::{ForecastLow, FrostCall, FrostScore, FrostTally, NightCalls};

#[cfg(test)]
pub(crate) mod tests;
