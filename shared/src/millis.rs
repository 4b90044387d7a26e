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
