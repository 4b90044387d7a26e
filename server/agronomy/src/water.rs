//! Water in beds: what crops use, what soils hold, what is missing from day to day.
//!
//! A crop uses its coefficient times the reference of [`crate::evapotranspiration`]. Nothing here orders water: a sum alone never does in winter.

pub mod balance;
pub mod constants;
pub mod crops;
pub mod soils;
pub mod tension;
