//! The domain of Propstick and its decisions, without any input or output.

pub mod took;
