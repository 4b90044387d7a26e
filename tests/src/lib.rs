//! End-to-end, reference, fault and fuzz tests of Propstick.

pub mod boards;
pub mod data;
pub mod expected;
pub mod frost;
pub mod gardens;
pub mod lots;
pub mod program;
pub mod publisher;
pub mod recordings;
pub mod sources;
pub mod stores;
pub mod weather;
