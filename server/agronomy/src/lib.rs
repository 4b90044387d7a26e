//! The science of Propstick: numbers in, numbers out.
//!
//! Every public function names its units, its range and its source. What cannot be meant or is not finite gives `None`;
//! no function gives NaN or an infinity. Nothing here knows a clock, a file, a board or a time zone.
#![no_std]
extern crate alloc;

pub mod airflow;
pub mod cover;
pub mod coverage;
pub mod degree_days;
pub mod disease;
pub mod evapotranspiration;
pub mod frost;
pub mod growth;
pub mod light;
pub mod psychrometrics;
pub mod quality;
pub mod risk;
pub mod runs;
pub mod sourced;
pub mod sun;
pub mod tunnel_model;
pub mod ventilation;
pub mod water;
pub mod wetness;

#[cfg(test)]
mod sweep;
