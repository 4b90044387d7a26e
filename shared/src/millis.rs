//! The one instant type.

/// An instant: milliseconds since 1970-01-01T00:00:00 UTC, leap seconds not counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Millis(pub i64);

/// Milliseconds in a second.
pub const SECOND: i64 = 1_000;
/// Milliseconds in a minute.
pub const MINUTE: i64 = 60 * SECOND;
/// Milliseconds in an hour.
pub const HOUR: i64 = 60 * MINUTE;

impl Millis {
    /// The instant `seconds` after 1970-01-01 UTC, rounded to a whole millisecond; `None` where it does not fit or is not finite.
    pub fn from_seconds(seconds: f64) -> Option<Millis> {
        let ms = seconds * 1_000.0;
        // Within 2^53 every whole number of milliseconds is exact.
        if !(-9.0e15..=9.0e15).contains(&ms) {
            return None;
        }
        let half = if ms < 0.0 { -0.5 } else { 0.5 };
        Some(Millis((ms + half) as i64))
    }

    /// This instant moved by `ms` milliseconds; saturates at the ends.
    pub const fn plus(self, ms: i64) -> Millis {
        Millis(self.0.saturating_add(ms))
    }

    /// Milliseconds from `earlier` to this instant (negative if it is later); saturates at the ends.
    pub const fn since(self, earlier: Millis) -> i64 {
        self.0.saturating_sub(earlier.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn from_seconds_whole_and_fraction_is_exact() {
        // 2026-03-08 12:07:00 UTC, troubles page 11.
        assert_eq!(Millis::from_seconds(1_772_971_620.0), Some(Millis(1_772_971_620_000)));
        assert_eq!(Millis::from_seconds(1.276020076001e+09), Some(Millis(1_276_020_076_001)));
        assert_eq!(Millis::from_seconds(-0.001), Some(Millis(-1)));
    }

    #[test]
    fn from_seconds_half_millisecond_goes_away_from_zero() {
        assert_eq!(Millis::from_seconds(0.0625), Some(Millis(63)));
        assert_eq!(Millis::from_seconds(-0.0625), Some(Millis(-63)));
        assert_eq!(Millis::from_seconds(-0.0), Some(Millis(0)));
    }

    #[test]
    fn from_seconds_not_finite_or_too_far_is_none() {
        for seconds in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300, 9.1e12] {
            assert_eq!(Millis::from_seconds(seconds), None, "{seconds}");
        }
        assert_eq!(Millis::from_seconds(9.0e12), Some(Millis(9_000_000_000_000_000)));
    }

    #[test]
    fn plus_and_since_at_the_ends_saturate() {
        assert_eq!(Millis(i64::MAX).plus(1), Millis(i64::MAX));
        assert_eq!(Millis(i64::MIN).plus(-1), Millis(i64::MIN));
        assert_eq!(Millis(i64::MIN).since(Millis(1)), i64::MIN);
        assert_eq!(Millis(i64::MAX).since(Millis(-1)), i64::MAX);
        assert_eq!(Millis(5 * MINUTE).since(Millis(2 * MINUTE)), 180 * SECOND);
    }
}
