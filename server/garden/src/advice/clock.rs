//! The garden's clock, as far as a decision about one day needs it.

use chrono::Offset;
use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use crate::fold::local;

/// How far either way from the instant it is made for a clock looks for a change of its zone.
const NEAR: i64 = 4 * 24 * HOUR;

/// The garden's clock, good for four days either way: how far it is ahead of UTC, and where that changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LocalClock {
    offset_s: i32,
    /// When it changes, and to what.
    change: Option<(Millis, i32)>,
}

impl LocalClock {
    /// A clock that is always `offset_s` seconds ahead of UTC.
    pub const fn steady(offset_s: i32) -> LocalClock {
        LocalClock { offset_s, change: None }
    }

    /// The clock of a zone around `now`, with its change if there is one near.
    pub fn of(zone: Tz, now: Millis) -> LocalClock {
        let offset_at = |at: Millis| local(zone, at).offset().fix().local_minus_utc();
        let (mut before, mut after) = (now.plus(-NEAR), now.plus(NEAR));
        let offsets = (offset_at(before), offset_at(after));
        if offsets.0 == offsets.1 {
            return LocalClock::steady(offsets.0);
        }
        while after.since(before) > 1_000 {
            let middle = before.plus(after.since(before) / 2);
            if offset_at(middle) == offsets.0 { before = middle } else { after = middle }
        }
        // Clocks change at whole seconds.
        let at = Millis(after.0.div_euclid(1_000) * 1_000);
        LocalClock { offset_s: offsets.0, change: Some((at, offsets.1)) }
    }

    /// Seconds to add to UTC at an instant.
    pub const fn offset_s(self, at: Millis) -> i32 {
        match self.change {
            Some((change, after_s)) if at.0 >= change.0 => after_s,
            _ => self.offset_s,
        }
    }

    /// The midnight that the local day of an instant begins with.
    pub const fn midnight(self, at: Millis) -> Millis {
        let so_far = at.plus(-self.local_ms(at).rem_euclid(24 * HOUR));
        so_far.plus((self.offset_s(at) - self.offset_s(so_far)) as i64 * 1_000)
    }

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
        at.0.saturating_add(self.offset_s(at) as i64 * 1_000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_an_hour_ahead_shows_local_time_and_month() {
        // 2026-06-30T23:50:00Z is ten to one on 1 July an hour ahead.
        let at = Millis(1_782_863_400_000);
        let summer = LocalClock::steady(3_600);
        assert_eq!((summer.hour_minute(at), summer.month(at)), ((0, 50), 7));
        assert_eq!((LocalClock::default().hour_minute(at), LocalClock::default().month(at)), ((23, 50), 6));
        assert_eq!(summer.day_number(at), LocalClock::default().day_number(at) + 1);
    }

    #[test]
    fn clock_of_a_zone_tells_the_hours_on_both_sides_of_its_change() {
        // Europe/Dublin went an hour ahead on 2026-03-29 at 01:00 UTC, and back on 2025-10-26 at 01:00 UTC.
        let utc = |text: &str| Millis(chrono::DateTime::parse_from_rfc3339(text).unwrap().timestamp_millis());
        let dublin = |at| LocalClock::of(chrono_tz::Europe::Dublin, at);
        let spring = dublin(utc("2026-03-28T18:00:00Z"));
        let shown = |clock: LocalClock, text: &str| clock.hour_minute(utc(text));
        assert_eq!(shown(spring, "2026-03-29T00:59:59Z"), (0, 59));
        assert_eq!(shown(spring, "2026-03-29T01:00:00Z"), (2, 0));
        assert_eq!(shown(spring, "2026-03-29T07:30:00Z"), (8, 30), "tomorrow's opening");
        assert_eq!(spring.midnight(utc("2026-03-29T11:00:00Z")), utc("2026-03-29T00:00:00Z"), "a day of 23 hours");
        assert_eq!(spring.midnight(utc("2026-03-30T11:00:00Z")), utc("2026-03-29T23:00:00Z"));
        let autumn = dublin(utc("2025-10-26T09:00:00Z"));
        assert_eq!((shown(autumn, "2025-10-26T00:30:00Z"), shown(autumn, "2025-10-26T01:30:00Z")), ((1, 30), (1, 30)));
        assert_eq!(autumn.midnight(utc("2025-10-26T12:00:00Z")), utc("2025-10-25T23:00:00Z"), "a day of 25 hours");
        assert_eq!(autumn.day_number(utc("2025-10-25T22:59:59Z")) + 1, autumn.day_number(utc("2025-10-25T23:00:00Z")));
        assert_eq!(dublin(utc("2026-06-30T12:00:00Z")), LocalClock::steady(3_600));
    }

    #[test]
    fn half_hours_are_rounded_on_the_local_clock() {
        let at = |minutes: i64| Millis(1_782_864_000_000 + minutes * MINUTE);
        let plain = LocalClock::default();
        assert_eq!(plain.nearest_half_hour(at(14)), at(0));
        assert_eq!(plain.nearest_half_hour(at(15)), at(30));
        assert_eq!(plain.nearest_half_hour(at(44)), at(30));
        // A quarter of an hour off UTC: half hours fall on UTC quarters.
        let odd = LocalClock::steady(45 * 60);
        assert_eq!(odd.nearest_half_hour(at(14)), at(15));
    }
}
