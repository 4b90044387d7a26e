//! What a row says of its time.

use super::places::{ClockPlaces, DatePlaces, WhenPlaces};
use crate::table::cells::Row;
use crate::table::mapping::{FileMapping, TimeForm};
use crate::table::stamp::{self, DAY_MS, Moment, Order, Written};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

/// A row's time before it is made an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct When {
    /// The time.
    pub moment: Moment,
    /// Whether it is a date without a time of day.
    pub is_date_alone: bool,
}

/// The time of a row with its date in this order; none where it cannot be read.
pub(super) fn when(mapping: &FileMapping, places: &WhenPlaces, row: &Row<'_>, order: Order) -> Option<When> {
    let cell = |place: usize| row.cell(place);
    let (days, own) = match places.date {
        DatePlaces::At(place) => {
            let text = cell(place)?;
            let moment = match mapping.time.unit {
                TimeForm::Text => {
                    let written = Written::parse(text)?;
                    let is_date_alone = written.time_ms.is_none();
                    return written.moment(order).map(|moment| When { moment, is_date_alone });
                }
                TimeForm::S => Millis::from_seconds(super::number::number(text, mapping.decimal)?)?,
                TimeForm::Ms => Millis::from_seconds(super::number::number(text, mapping.decimal)? / 1000.0)?,
            };
            return Some(When { moment: Moment::Instant(moment), is_date_alone: false });
        }
        DatePlaces::Date(place) => {
            let written = Written::parse(cell(place)?)?;
            // Spreadsheets write a date with its midnight.
            let has_time = !matches!(places.clock, ClockPlaces::None) && written.time_ms.unwrap_or(0) != 0;
            if has_time {
                return None;
            }
            (written.days(order)?, written.time_ms)
        }
        DatePlaces::Numbers([year, month, day]) => {
            let number = |place| cell(place).and_then(whole);
            let (year, month, day) = (number(year)?, number(month)?, number(day)?);
            let year = if (0..100).contains(&year) { 2000 + year } else { year };
            (stamp::days(year, u32::try_from(month).ok()?, u32::try_from(day).ok()?)?, None)
        }
    };
    let midnight = days * DAY_MS;
    let (time_ms, offset_ms) = match places.clock {
        ClockPlaces::None => (own.unwrap_or(0), None),
        ClockPlaces::Text(place) => stamp::clock(cell(place)?)?,
        ClockPlaces::Hour(hour, minute) => {
            let hours = i64::from(cell(hour).and_then(whole)?);
            let minutes = match minute {
                Some(minute) => i64::from(cell(minute).and_then(whole)?),
                None => 0,
            };
            let is_well = (0..=24).contains(&hours) && (0..60).contains(&minutes) && (hours < 24 || minutes == 0);
            (is_well.then_some(hours * HOUR + minutes * MINUTE)?, None)
        }
    };
    let moment = match offset_ms {
        Some(ahead_ms) => Moment::Instant(Millis(midnight + time_ms - ahead_ms)),
        None => Moment::Local(midnight + time_ms),
    };
    let is_date_alone = matches!(places.clock, ClockPlaces::None) && own.is_none();
    Some(When { moment, is_date_alone })
}

/// A whole number of at most four digits; `7.0` is one.
fn whole(cell: &str) -> Option<i32> {
    let cell = cell.trim();
    let digits = match cell.split_once('.') {
        Some((digits, zeros)) if !zeros.is_empty() && zeros.bytes().all(|byte| byte == b'0') => digits,
        Some(_) => return None,
        None => cell,
    };
    let is_well = matches!(digits.len(), 1..=4) && digits.bytes().all(|byte| byte.is_ascii_digit());
    if is_well { digits.parse().ok() } else { None }
}
