//! What Propstick's boards and server say to each other.
//!
//! The crate knows no clock, no network, no disk and no heap: it turns text into checked values that borrow from the text, and values
//! into text in a buffer of the caller's. The board and the server read and write with the same code, so they cannot drift apart.
//!
//! - [`senml`]: measurements (RFC 8428), [`urn`]: device names (RFC 9039), [`topic`]: where messages go, [`filter`]: which topics are meant,
//! - [`message`]: receipt, state and settings, [`quantity`]: what may be measured and what can be meant,
//! - [`json`]: the lenient JSON scanner under all of them, [`decimal`]: exact decimals, [`millis`]: the one instant type.
#![no_std]

#[cfg(test)]
extern crate std;

pub mod decimal;
pub mod filter;
pub mod json;
pub mod message;
pub mod millis;
pub mod quantity;
pub mod senml;
pub mod topic;
pub mod urn;

mod sink;

pub use decimal::Decimal;
pub use millis::Millis;
pub use quantity::Quantity;
pub use sink::Full;
pub use topic::{QueueId, Topic};
pub use urn::BoardUrn;
