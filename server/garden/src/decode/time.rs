//! When a message's numbers were measured, and how that is known.

use chrono::{DateTime, NaiveDateTime, TimeZone};
use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::json::Value;
use propstick_wire::millis::MINUTE;

use super::mapping::TimeUnit;
use crate::took::Facts;

/// A message's own time counts from this instant on: 2020-01-01T00:00:00Z.
pub const EARLIEST: Millis = Millis(1_577_836_800_000);

/// A message's own time counts up to so many milliseconds after its arrival.
pub const AHEAD_ALLOWED_MS: i64 = 5 * MINUTE;

/// Numbers below this are seconds, those above milliseconds: as seconds it lies in the year 5138, as milliseconds in 1973.
const SECONDS_BELOW: f64 = 1.0e11;

/// Whether an instant that a message names counts.
pub(super) fn counts(own: Millis, arrived: Millis) -> bool {
    own >= EARLIEST && own <= arrived.plus(AHEAD_ALLOWED_MS)
}

/// The instant of a message that named `own`: itself where it counts, otherwise the arrival.
pub(super) fn settle(own: Named, arrived: Millis) -> (Millis, Facts) {
    match own {
        Named::Instant(own) if counts(own, arrived) => (own, Facts::TIME_OWN),
        Named::Instant(_) | Named::Unreadable => (arrived, Facts::TIME_REPLACED),
        Named::Nothing => (arrived, Facts::TIME_RECEIPT),
    }
}

/// What a message says of its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Named {
    Instant(Millis),
    /// Something that is no time.
    Unreadable,
    Nothing,
}

/// Reads the time that a foreign message names.
pub(super) fn named(given: Option<Value<'_>>, unit: TimeUnit, zone: Option<Tz>, arrived: Millis) -> Named {
    let instant = match given {
        None | Some(Value::Null) => return Named::Nothing,
        Some(Value::Number(number)) => number.to_f64().and_then(|number| from_number(number, unit)),
        Some(Value::Text(text)) => {
            let text = text.to_string();
            let text = text.trim();
            match unit {
                TimeUnit::Rfc3339 => from_text(text, zone, arrived),
                TimeUnit::S | TimeUnit::Ms => text.parse().ok().and_then(|number| from_number(number, unit)),
                TimeUnit::Auto => from_text(text, zone, arrived)
                    .or_else(|| text.parse().ok().and_then(|number| from_number(number, unit))),
            }
        }
        Some(_) => None,
    };
    instant.map_or(Named::Unreadable, Named::Instant)
}

fn from_number(number: f64, unit: TimeUnit) -> Option<Millis> {
    let seconds = match unit {
        TimeUnit::S => number,
        TimeUnit::Ms => number / 1000.0,
        TimeUnit::Auto if number.abs() < SECONDS_BELOW => number,
        TimeUnit::Auto => number / 1000.0,
        TimeUnit::Rfc3339 => return None,
    };
    Millis::from_seconds(seconds)
}

/// An RFC 3339 time; without its offset it is local time in `zone`, if there is one.
fn from_text(text: &str, zone: Option<Tz>, arrived: Millis) -> Option<Millis> {
    if let Ok(time) = DateTime::parse_from_rfc3339(text) {
        return Some(Millis(time.timestamp_millis()));
    }
    let zone = zone?;
    let local = ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%d %H:%M:%S%.f", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok())?;
    let found = zone.from_local_datetime(&local);
    let at = |time: DateTime<Tz>| Millis(time.timestamp_millis());
    // In the hour that comes twice in autumn: the later of the two, unless that is still to come. In the hour that spring leaves out: no time.
    found.latest().map(at).filter(|late| *late <= arrived.plus(AHEAD_ALLOWED_MS)).or_else(|| found.earliest().map(at))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-03-08T12:07:00Z (troubles page 11).
    const NOON: Millis = Millis(1_772_971_620_000);

    fn read(json: &str, unit: TimeUnit, zone: Option<Tz>) -> Named {
        named(Some(Value::parse(json).unwrap()), unit, zone, NOON)
    }

    #[test]
    fn named_seconds_and_milliseconds_are_told_apart_by_size() {
        // Troubles page 11.
        assert_eq!(read("1772971620000", TimeUnit::Auto, None), Named::Instant(NOON));
        assert_eq!(read("1772971620", TimeUnit::Auto, None), Named::Instant(NOON));
        assert_eq!(read("1772971620.25", TimeUnit::Auto, None), Named::Instant(NOON.plus(250)));
        assert_eq!(read("\"1772971620\"", TimeUnit::Auto, None), Named::Instant(NOON));
    }

    #[test]
    fn named_with_a_fixed_unit_is_not_guessed() {
        assert_eq!(read("1772971620", TimeUnit::S, None), Named::Instant(NOON));
        assert_eq!(read("1772971620000", TimeUnit::Ms, None), Named::Instant(NOON));
        assert_eq!(read("1772971620", TimeUnit::Ms, None), Named::Instant(Millis(1_772_971_620)));
        assert_eq!(read("1772971620", TimeUnit::Rfc3339, None), Named::Unreadable);
        assert_eq!(read("\"2026-03-08T12:07:00Z\"", TimeUnit::S, None), Named::Unreadable);
    }

    #[test]
    fn named_rfc_3339_with_and_without_offset() {
        let dublin = Some(Tz::Europe__Dublin);
        assert_eq!(read("\"2026-03-08T12:07:00Z\"", TimeUnit::Auto, None), Named::Instant(NOON));
        assert_eq!(read("\"2026-03-08T13:07:00+01:00\"", TimeUnit::Rfc3339, dublin), Named::Instant(NOON));
        assert_eq!(read("\"2026-03-08 12:07:00\"", TimeUnit::Rfc3339, dublin), Named::Instant(NOON));
        assert_eq!(read("\"2026-03-08T13:07\"", TimeUnit::Auto, Some(Tz::Europe__Berlin)), Named::Instant(NOON));
        assert_eq!(read("\"2026-03-08T12:07:00\"", TimeUnit::Auto, None), Named::Unreadable);
        assert_eq!(read("\"yesterday\"", TimeUnit::Auto, dublin), Named::Unreadable);
    }

    #[test]
    fn named_local_time_at_the_clock_changes() {
        let dublin = Some(Tz::Europe__Dublin);
        let twice = Value::parse("\"2025-10-26T01:30:00\"").unwrap();
        // 00:30Z is the first half past one, 01:30Z the second; what has not come yet is not meant.
        let first = Millis(1_761_438_600_000);
        let second = Millis(1_761_442_200_000);
        assert_eq!(named(Some(twice), TimeUnit::Auto, dublin, first.plus(1000)), Named::Instant(first));
        assert_eq!(named(Some(twice), TimeUnit::Auto, dublin, second.plus(1000)), Named::Instant(second));
        assert_eq!(read("\"2026-03-29T01:30:00\"", TimeUnit::Auto, dublin), Named::Unreadable);
    }

    #[test]
    fn named_nothing_or_rubbish() {
        assert_eq!(named(None, TimeUnit::Auto, None, NOON), Named::Nothing);
        assert_eq!(read("null", TimeUnit::Auto, None), Named::Nothing);
        for json in ["nan", "true", "{}", "[]", "\"\"", "1e300", "\"inf\"", "\"nan\""] {
            assert_eq!(read(json, TimeUnit::Auto, None), Named::Unreadable, "{json}");
        }
    }

    #[test]
    fn settle_at_both_ends_of_what_counts() {
        let own = |ms: i64| settle(Named::Instant(Millis(ms)), NOON);
        assert_eq!(own(EARLIEST.0), (EARLIEST, Facts::TIME_OWN));
        assert_eq!(own(EARLIEST.0 - 1), (NOON, Facts::TIME_REPLACED));
        assert_eq!(own(NOON.0 + 300_000), (NOON.plus(300_000), Facts::TIME_OWN));
        assert_eq!(own(NOON.0 + 300_001), (NOON, Facts::TIME_REPLACED));
        assert_eq!(settle(Named::Nothing, NOON), (NOON, Facts::TIME_RECEIPT));
        assert_eq!(settle(Named::Unreadable, NOON), (NOON, Facts::TIME_REPLACED));
        assert_eq!(EARLIEST.0, DateTime::parse_from_rfc3339("2020-01-01T00:00:00Z").unwrap().timestamp_millis());
    }
}
