//! The short lines beside a verdict: picking, looking, sowing.

use propstick_wire::Millis;

use super::figures::time;
use super::growth::slowly;
use crate::advice::{Also, LocalClock};

/// The line of one of them.
pub fn also_words(also: Also, clock: LocalClock, now: Millis) -> String {
    match also {
        Also::Pick { from, until, wet: true } => format!(
            "The leaves are wet now: pick once they are dry, likely from {}, until {}.",
            time(clock, from),
            time(clock, until)
        ),
        Also::Pick { from, until, .. } if from <= now => {
            format!("Pick until {}, while the leaves are dry.", time(clock, until))
        }
        Also::Pick { from, until, .. } => {
            format!("Pick between {} and {}, when the leaves should be dry.", time(clock, from), time(clock, until))
        }
        Also::GoLightly(growth) => slowly(&growth),
        Also::PickIfNeeded => "Pick only what you need: the leaves stay wet today.".to_string(),
        Also::PickLater => "Leave picking till the fog has gone.".to_string(),
        Also::BadLeaves => "Pick off yellow leaves and those that touch each other, and carry them out.".to_string(),
        Also::Scout { tomorrow } => {
            let when = if tomorrow { "tomorrow" } else { "today" };
            format!("Look for brown blotches {when} when the leaves are dry; take bad leaves out in a bag.")
        }
        Also::SowLater { soil_c } => format!(
            "The soil is {} °C: sow lettuce this evening, in shade, or wait for a cooler spell.",
            soil_c.round() as i64
        ),
    }
}
