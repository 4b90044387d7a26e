//! The clock changes of a zone.

use chrono::{DateTime, Offset, TimeZone, Utc};
use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, SECOND};

/// The earliest time that a file may hold: 1900-01-01.
pub const EARLIEST_MS: i64 = -2_208_988_800_000;

/// So long after a change a logger may still change its own clock. A logger is set at the next visit or at night: local ruling.
pub const LATE_MS: i64 = 26 * HOUR;

/// A change of clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// Its instant.
    pub at: Millis,
    /// Milliseconds ahead of UTC before it.
    pub before_ms: i64,
    /// Milliseconds ahead of UTC from it on.
    pub after_ms: i64,
}

impl Change {
    /// By how much the clock is put: positive ahead, negative back.
    pub const fn shift_ms(&self) -> i64 {
        self.after_ms - self.before_ms
    }

    /// The local times that are left out (ahead) or come twice (back): from the first up to the second.
    pub const fn hour(&self) -> (i64, i64) {
        let (one, other) = (self.at.0 + self.before_ms, self.at.0 + self.after_ms);
        if one < other { (one, other) } else { (other, one) }
    }

    /// The local times in which a file's own order decides: [`Change::hour`] and [`LATE_MS`] behind it.
    pub const fn window(&self) -> (i64, i64) {
        let (from, until) = self.hour();
        (from, until + LATE_MS)
    }
}

/// What holds at a local time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Near {
    /// No change near: so many milliseconds ahead of UTC.
    Clear(i64),
    /// Within the window of the change with this number.
    Change(usize),
}

/// The changes of a zone from 1900 to some instant.
#[derive(Clone, Debug)]
pub struct Changes {
    all: Vec<Change>,
    first_ms: i64,
    /// A stretch of local times without a window, found last, and the offset in it.
    clear: (i64, i64, i64),
}

impl Changes {
    /// The changes of a zone up to two days after `until`.
    pub fn of(zone: Tz, until: Millis) -> Changes {
        // No zone keeps a clock for less than three weeks.
        const STEP_MS: i64 = 7 * 24 * HOUR;
        let first_ms = offset_ms(zone, EARLIEST_MS);
        let until = until.0.saturating_add(48 * HOUR);
        let (mut all, mut from, mut before_ms) = (Vec::new(), EARLIEST_MS, first_ms);
        while from < until {
            let to = from + STEP_MS;
            let after_ms = offset_ms(zone, to);
            if after_ms != before_ms {
                let (mut low, mut high) = (from / SECOND, to / SECOND);
                while high - low > 1 {
                    let middle = low + (high - low) / 2;
                    if offset_ms(zone, middle * SECOND) == before_ms { low = middle } else { high = middle }
                }
                all.push(Change { at: Millis(high * SECOND), before_ms, after_ms });
            }
            (from, before_ms) = (to, after_ms);
        }
        Changes { all, first_ms, clear: (0, 0, 0) }
    }

    /// The change with that number.
    pub fn get(&self, number: usize) -> Change {
        self.all[number]
    }

    /// All changes between two instants, both included.
    pub fn between(&self, from: Millis, until: Millis) -> &[Change] {
        let start = self.all.partition_point(|change| change.at < from);
        let end = self.all.partition_point(|change| change.at <= until);
        self.all.get(start..end).unwrap_or_default()
    }

    /// What holds at a local time.
    pub fn near(&mut self, local_ms: i64) -> Near {
        let (from, until, offset_ms) = self.clear;
        if (from..until).contains(&local_ms) {
            return Near::Clear(offset_ms);
        }
        let next = self.all.partition_point(|change| change.window().0 <= local_ms);
        let until = self.all.get(next).map_or(i64::MAX, |change| change.window().0);
        let (from, offset_ms) = match next.checked_sub(1).map(|last| (last, self.all[last])) {
            Some((last, change)) if local_ms < change.window().1 => return Near::Change(last),
            Some((_, change)) => (change.window().1, change.after_ms),
            None => (i64::MIN, self.first_ms),
        };
        self.clear = (from, until, offset_ms);
        Near::Clear(offset_ms)
    }
}

fn offset_ms(zone: Tz, at_ms: i64) -> i64 {
    let at = DateTime::<Utc>::from_timestamp_millis(at_ms).unwrap_or_default();
    i64::from(zone.offset_from_utc_datetime(&at.naive_utc()).fix().local_minus_utc()) * SECOND
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instant::from_rfc3339;

    fn at(text: &str) -> Millis {
        from_rfc3339(text).unwrap()
    }

    #[test]
    fn changes_of_a_year_are_those_of_the_zone() {
        // Directive 2000/84/EC: 01:00 UTC on the last Sundays of March and October.
        let rome = Changes::of(Tz::Europe__Rome, at("2022-01-01T00:00:00Z"));
        let year = rome.between(at("2021-01-01T00:00:00Z"), at("2021-12-31T00:00:00Z"));
        let expected = [
            Change { at: at("2021-03-28T01:00:00Z"), before_ms: HOUR, after_ms: 2 * HOUR },
            Change { at: at("2021-10-31T01:00:00Z"), before_ms: 2 * HOUR, after_ms: HOUR },
        ];
        assert_eq!(year, expected);
        // Half an hour, at 02:00 on the wall.
        let howe = Changes::of(Tz::Australia__Lord_Howe, at("2025-06-01T00:00:00Z"));
        let year = howe.between(at("2024-07-01T00:00:00Z"), at("2025-06-01T00:00:00Z"));
        let shifts: Vec<(Millis, i64)> = year.iter().map(|change| (change.at, change.shift_ms())).collect();
        assert_eq!(shifts, [(at("2024-10-05T15:30:00Z"), HOUR / 2), (at("2025-04-05T15:00:00Z"), -HOUR / 2)]);
    }

    #[test]
    fn local_time_is_clear_outside_the_windows_and_near_inside() {
        let mut rome = Changes::of(Tz::Europe__Rome, at("2022-01-01T00:00:00Z"));
        let wall = |text: &str| at(text).0;
        assert_eq!(rome.near(wall("2021-10-31T01:59:59.999Z")), Near::Clear(2 * HOUR));
        let Near::Change(number) = rome.near(wall("2021-10-31T02:00:00Z")) else { panic!() };
        assert_eq!(rome.get(number).at, at("2021-10-31T01:00:00Z"));
        assert_eq!(rome.near(wall("2021-11-01T04:59:59Z")), Near::Change(number));
        assert_eq!(rome.near(wall("2021-11-01T05:00:00Z")), Near::Clear(HOUR));
        assert_eq!(rome.near(wall("2021-07-01T00:00:00Z")), Near::Clear(2 * HOUR));
        assert_eq!(rome.near(wall("2021-03-28T02:00:00Z")), Near::Change(number - 1));
    }
}
