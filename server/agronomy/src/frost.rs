//! How cold the night gets, learned by each sensor for itself, and how much cold crops stand.
//!
//! The published sample coefficients of the regression are a check of its arithmetic and stand in the tests only: on mild maritime coasts they would
//! warn on nearly every night.

pub mod constants;
mod covers;
pub mod critical;
mod regression;

pub use covers::NightCover;
pub use regression::{
    Low, Night, NightLow, falls_to_radiation, falls_to_radiation_in_the_open, trend_c, trend_reaches_h,
};
