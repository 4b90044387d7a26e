//! The invented garden of the demo: its year, and its boards alive.
//!
//! [`garden_text`] is the garden as a file, [`History`] the messages its boards sent in a year that never was, [`LiveBoards`] the same
//! boards going on over real MQTT. Everything follows from a seed: weather of our own making, the covers as the science crate models them, a
//! grower with habits, and sensors that err as such sensors do. Nothing here knows a clock; time is an argument.

mod boards;
mod chance;
mod cover;
mod diary;
mod faults;
mod grower;
mod history;
mod live;
mod queue;
mod weather;
mod world;

use chrono::{DateTime, SecondsFormat};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

pub use diary::Entry;
pub use history::History;
pub use live::LiveBoards;

/// Latitude of the garden, as in its file.
const LAT_DEG: f64 = 51.7;
/// Longitude of the garden, as in its file.
const LON_DEG: f64 = -8.4;

const DAY: i64 = 24 * HOUR;

/// The garden as a file that [`propstick_garden::model::parse_garden`] reads, for a history that begins at `history_from` (1970 to 2262).
///
/// The boards have stood there since 30 days before; the one of the low tunnel was replaced at noon of the 200th day after.
pub fn garden_text(history_from: Millis) -> String {
    let written = |at: Millis| {
        DateTime::from_timestamp_millis(at.0).unwrap_or_default().to_rfc3339_opts(SecondsFormat::Secs, true)
    };
    include_str!("garden.toml")
        .replace("@placed@", &written(history_from.plus(-30 * DAY)))
        .replace("@replaced@", &written(replaced_at(history_from)))
}

/// URNs of all boards, the one that was replaced included.
pub fn boards() -> Vec<String> {
    boards::PLANS.iter().map(|plan| plan.urn.to_owned()).collect()
}

/// When the low tunnel got its new board: noon UTC.
fn replaced_at(history_from: Millis) -> Millis {
    Millis((history_from.0.div_euclid(DAY) + 200) * DAY + DAY / 2)
}

#[cfg(test)]
mod tests;
