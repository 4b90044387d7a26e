//! End-to-end, reference, fault and fuzz tests of Propstick.

pub mod boards;
pub mod data;
pub mod sources;
