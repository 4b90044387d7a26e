//! The logic of a Propstick board, without hardware.
//!
//! [`Node`] is a state machine: what happened ([`Event`]) and the board's uptime go in, what is to be done ([`Actions`]) comes out.
//! It knows no clock, no radio, no sensor and no flash; the board's own program reads those and carries the actions out. There is
//! no heap: everything has a fixed size that the board chooses.
//!
//! - A sample gets a number in the queue of this run and is kept at rest ([`Record`]) before it is sent.
//! - Oldest first, one pack at a time. Only a receipt of the sample's own queue makes the board forget it.
//! - A full queue drops its oldest sample and counts it. Every start begins a new queue with a random name; samples of earlier
//!   runs keep their queue and number and go first.
//! - Without a time of day samples are dated by uptime and sent as so long ago; once the time is known, with it.
#![no_std]

#[cfg(test)]
extern crate std;

mod action;
#[cfg(test)]
mod behaviour;
mod link;
mod node;
mod pack;
mod record;
mod ring;
mod sample;
mod schedule;
mod state;
mod uptime;

pub use action::{Action, Actions};
pub use node::{Counts, Event, Node, Setup};
pub use pack::Pack;
pub use record::{Anchor, RECORD_BYTES, Record, RecordError};
pub use sample::{Channel, ChannelError, Channels, MAX_CHANNELS, Sample, Stamp, Values};
pub use schedule::{CONNECT_LIMIT_MS, LISTEN_MS, PACK_TRIES, RECEIPT_WAIT_MS};
pub use state::{MOST_FAULTS, Vitals};
pub use uptime::{Clock, EARLIEST_UTC, Uptime};
