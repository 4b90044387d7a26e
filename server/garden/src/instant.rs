//! Instants as text: RFC 3339, written in UTC.

use chrono::{DateTime, SecondsFormat};
use propstick_wire::Millis;

/// An instant as text in UTC, with a fraction only where it has one; bare milliseconds where the calendar does not reach.
pub fn to_rfc3339(at: Millis) -> String {
    DateTime::from_timestamp_millis(at.0)
        .map_or_else(|| at.0.to_string(), |t| t.to_rfc3339_opts(SecondsFormat::AutoSi, true))
}

/// The instant a text means, to the millisecond; none where it is no RFC 3339 or lacks its offset.
pub fn from_rfc3339(text: &str) -> Option<Millis> {
    DateTime::parse_from_rfc3339(text).ok().map(|t| Millis(t.timestamp_millis()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instant_written_is_read_again_and_another_offset_means_the_same() {
        let at = Millis(1_772_971_620_000);
        assert_eq!(to_rfc3339(at), "2026-03-08T12:07:00Z");
        assert_eq!(from_rfc3339("2026-03-08T13:07:00+01:00"), Some(at));
        assert_eq!(from_rfc3339(&to_rfc3339(at.plus(7))), Some(at.plus(7)));
        assert_eq!((from_rfc3339("2026-03-08T12:07:00"), from_rfc3339("")), (None, None));
        assert_eq!(to_rfc3339(Millis(i64::MAX)), i64::MAX.to_string());
    }
}
