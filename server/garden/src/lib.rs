//! The domain of Propstick and its decisions, without any input or output.

pub mod advice;
pub mod decode;
pub mod exchange;
pub mod fold;
pub mod instant;
pub mod model;
pub mod record;
pub mod season;
pub mod table;
pub mod took;
pub mod wording;
