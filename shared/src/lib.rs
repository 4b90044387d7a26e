//! What Propstick's boards and server say to each other.
#![no_std]

pub mod millis;

pub use millis::Millis;
