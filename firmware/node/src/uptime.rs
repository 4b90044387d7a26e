//! Time on the board: how long it has run, and what the clock on the wall says.

use propstick_wire::Millis;

/// Milliseconds since the board started, deep sleep included. It never steps, so all waiting is done in it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Uptime(pub u64);

impl Uptime {
    /// So many milliseconds later; saturates.
    #[must_use]
    pub const fn plus(self, ms: u64) -> Uptime {
        Uptime(self.0.saturating_add(ms))
    }

    /// Milliseconds from `earlier` to this; 0 where it is not later.
    pub const fn since(self, earlier: Uptime) -> u64 {
        self.0.saturating_sub(earlier.0)
    }
}

/// 2020-01-01T00:00:00Z. A clock before it was never set.
pub const EARLIEST_UTC: Millis = Millis(1_577_836_800_000);

/// What the board knows of the time of day: how far UTC is ahead of its uptime.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Clock {
    ahead_ms: Option<i64>,
}

impl Clock {
    /// No time of day.
    pub const UNKNOWN: Clock = Clock { ahead_ms: None };

    /// A clock that is `ahead_ms` before the uptime.
    pub const fn ahead_by(ahead_ms: i64) -> Clock {
        Clock { ahead_ms: Some(ahead_ms) }
    }

    /// Sets the clock: it is `utc` now. A time before [`EARLIEST_UTC`] is passed over and `false` comes back.
    pub fn set(&mut self, utc: Millis, now: Uptime) -> bool {
        let believable = utc >= EARLIEST_UTC;
        if believable {
            self.ahead_ms = Some(utc.0.saturating_sub(whole_ms(now)));
        }
        believable
    }

    /// The time of day at an uptime, where it is known.
    pub fn utc(self, at: Uptime) -> Option<Millis> {
        self.ahead_ms.map(|ahead| Millis(ahead.saturating_add(whole_ms(at))))
    }

    /// Milliseconds by which UTC is ahead of the uptime, where known.
    pub const fn ahead_ms(self) -> Option<i64> {
        self.ahead_ms
    }
}

fn whole_ms(at: Uptime) -> i64 {
    i64::try_from(at.0).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_once_set_dates_uptimes_before_and_after() {
        let mut clock = Clock::UNKNOWN;
        assert_eq!(clock.utc(Uptime(5)), None);
        assert!(clock.set(Millis(1_772_971_200_000), Uptime(60_000)));
        assert_eq!(clock.utc(Uptime(30_000)), Some(Millis(1_772_971_170_000)));
        assert_eq!(clock.utc(Uptime(90_000)), Some(Millis(1_772_971_230_000)));
    }

    #[test]
    fn clock_set_to_the_seventies_stays_as_it_was() {
        let mut clock = Clock::UNKNOWN;
        assert!(!clock.set(Millis(12_000), Uptime(12_000)));
        assert_eq!(clock, Clock::UNKNOWN);
    }
}
