//! How far it may fall tonight by how far it fell of late.
//!
//! Sky, wind and soil change less from one night to the next than the rule has to leave open where nobody has looked: under a cover the air is taken to
//! fall by hardly more than on any of the last nights, from the same hour. The bound goes down with the air, so that a night that cools faster is warned
//! of later, and not never.

use propstick_wire::millis::HOUR;

use super::limits::{FALLS_FURTHER_C, LAST_NIGHTS, LAST_NIGHTS_D};
use super::nights::FALLS_FROM_H;
use super::{FrostQuestion, NightSpan};

/// The furthest that it fell from this hour on any of the last nights, °C; none where fewer were measured, and where the gauge is under no cover.
pub fn fell_at_most_c(q: &FrostQuestion, night: NightSpan) -> Option<f64> {
    q.place.gauge_under?;
    let hour = (q.now.since(night.sunset) + HOUR / 2).div_euclid(HOUR) - FALLS_FROM_H;
    let hour = usize::try_from(hour).ok()?;
    let since = night.sunset.plus(-LAST_NIGHTS_D * 24 * HOUR - HOUR);
    let of_late = q.lately.iter().rev().filter(|past| past.span.sunset >= since && past.span.sunset < night.sunset);
    let falls: Vec<f64> =
        of_late.filter_map(|past| past.falls_c.get(hour).copied().flatten()).take(LAST_NIGHTS).collect();
    let furthest_c = falls.iter().copied().reduce(f64::max)?;
    (falls.len() == LAST_NIGHTS).then_some(furthest_c)
}

/// The lowest that the air at the gauge, now `t_c`, comes down to by that, °C.
pub fn lowest_c(t_c: f64, fell_at_most_c: f64) -> f64 {
    t_c - fell_at_most_c - FALLS_FURTHER_C
}
