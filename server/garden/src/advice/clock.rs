//! The garden's clock, as far as a decision about one day needs it.

use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

/// The garden's clock, good for one day: how far it is ahead of UTC.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LocalClock {
    /// Seconds to add to UTC.
    pub offset_s: i32,
}

impl LocalClock {
    /// Minutes since local midnight, 0 to 1439.
    pub const fn minute_of_day(self, at: Millis) -> i64 {
        self.local_ms(at).div_euclid(MINUTE).rem_euclid(1_440)
    }

    /// Hours and minutes on the garden's clock.
    pub const fn hour_minute(self, at: Millis) -> (i64, i64) {
        let minutes = self.minute_of_day(at);
        (minutes / 60, minutes % 60)
    }

    /// The local month, 1 to 12.
    pub fn month(self, at: Millis) -> u32 {
        use chrono::Datelike;
        chrono::DateTime::from_timestamp_millis(self.local_ms(at)).map_or(1, |local| local.month())
    }

    /// Days from 1970-01-01 to the local date.
    pub const fn day_number(self, at: Millis) -> i64 {
        self.local_ms(at).div_euclid(24 * HOUR)
    }

    /// The nearest full or half hour on the garden's clock.
    pub const fn nearest_half_hour(self, at: Millis) -> Millis {
        let half = HOUR / 2;
        let local = self.local_ms(at);
        let rounded = (local + half / 2).div_euclid(half) * half;
        Millis(at.0.saturating_add(rounded - local))
    }

    const fn local_ms(self, at: Millis) -> i64 {
        at.0.saturating_add(self.offset_s as i64 * 1_000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_an_hour_ahead_shows_local_time_and_month() {
        // 2026-06-30T23:50:00Z is ten to one on 1 July an hour ahead.
        let at = Millis(1_782_863_400_000);
        let summer = LocalClock { offset_s: 3_600 };
        assert_eq!((summer.hour_minute(at), summer.month(at)), ((0, 50), 7));
        assert_eq!((LocalClock::default().hour_minute(at), LocalClock::default().month(at)), ((23, 50), 6));
        assert_eq!(summer.day_number(at), LocalClock::default().day_number(at) + 1);
    }

    #[test]
    fn half_hours_are_rounded_on_the_local_clock() {
        let at = |minutes: i64| Millis(1_782_864_000_000 + minutes * MINUTE);
        let plain = LocalClock::default();
        assert_eq!(plain.nearest_half_hour(at(14)), at(0));
        assert_eq!(plain.nearest_half_hour(at(15)), at(30));
        assert_eq!(plain.nearest_half_hour(at(44)), at(30));
        // A quarter of an hour off UTC: half hours fall on UTC quarters.
        let odd = LocalClock { offset_s: 45 * 60 };
        assert_eq!(odd.nearest_half_hour(at(14)), at(15));
    }
}
