use super::*;
use crate::instant::from_rfc3339;
use proptest::prelude::*;

/// Wall time, written as if it were UTC.
fn wall(text: &str) -> Option<Moment> {
    Some(Moment::Local(from_rfc3339(text).unwrap().0))
}

fn instant(text: &str) -> Option<Moment> {
    Some(Moment::Instant(from_rfc3339(text).unwrap()))
}

fn moment(text: &str, order: Order) -> Option<Moment> {
    Written::parse(text)?.moment(order)
}

#[test]
fn written_time_is_read_in_its_order() {
    for (text, order, expected) in [
        ("2017-01-01T00:00:00Z", Order::Ymd, instant("2017-01-01T00:00:00Z")),
        ("2021-06-22 11:15:00", Order::Ymd, wall("2021-06-22T11:15:00Z")),
        ("18/08/2021 11:45:00", Order::Dmy, wall("2021-08-18T11:45:00Z")),
        ("2/1/2022 0:04", Order::Mdy, wall("2022-02-01T00:04:00Z")),
        ("2/1/2022 0:04", Order::Dmy, wall("2022-01-02T00:04:00Z")),
        // Troubles page 14.
        ("02/03/26 01:00:00 PM", Order::Dmy, wall("2026-03-02T13:00:00Z")),
        // Troubles page 13.
        ("05.02.2026 09:00", Order::Dmy, wall("2026-02-05T09:00:00Z")),
        ("1/1/2020   ", Order::Mdy, wall("2020-01-01T00:00:00Z")),
        ("20260201T0930", Order::Ymd, wall("2026-02-01T09:30:00Z")),
        ("26-02-01 9:30", Order::Ymd, wall("2026-02-01T09:30:00Z")),
        ("2026-02-01, 09:30:15.25", Order::Ymd, wall("2026-02-01T09:30:15.250Z")),
        ("2026-02-01T24:00", Order::Ymd, wall("2026-02-02T00:00:00Z")),
        ("2026-02-01 10:00+01:00", Order::Ymd, instant("2026-02-01T09:00:00Z")),
        ("2026-02-01 10:00 -0330", Order::Ymd, instant("2026-02-01T13:30:00Z")),
        ("2026-02-01 10:00 UTC", Order::Ymd, instant("2026-02-01T10:00:00Z")),
        ("2026-02-01 10:00 GMT+1", Order::Ymd, instant("2026-02-01T09:00:00Z")),
        ("5. Mai 2026 14h30", Order::Dmy, wall("2026-05-05T14:30:00Z")),
        ("12-Mar-26 09.15", Order::Dmy, wall("2026-03-12T09:15:00Z")),
        ("Mar 12, 2026 9:15 p.m.", Order::Mdy, wall("2026-03-12T21:15:00Z")),
        ("2026 juillet 3", Order::Ymd, wall("2026-07-03T00:00:00Z")),
    ] {
        assert_eq!(moment(text, order), expected, "{text}");
    }
}

#[test]
fn text_that_is_no_time_is_none() {
    for (text, order) in [
        ("", Order::Ymd),
        // Four rows of a tunnel export: a slash is missing.
        ("0712/2021 00:00:00", Order::Dmy),
        ("31/02/2021", Order::Dmy),
        ("13/13/2021", Order::Dmy),
        ("2021-06-22", Order::Dmy),
        ("22/06/2021", Order::Ymd),
        ("1/1/021", Order::Dmy),
        ("2021-06/22", Order::Ymd),
        ("2021-06-22 25:00", Order::Ymd),
        ("2021-06-22 24:01", Order::Ymd),
        ("2021-06-22 10:60", Order::Ymd),
        ("2021-06-22 10:00:60", Order::Ymd),
        ("2021-06-22 13:00 PM", Order::Ymd),
        ("2021-06-22 10:00 later", Order::Ymd),
        ("2021-06-22 10:00 Z+01:00", Order::Ymd),
        ("2021-06-22T", Order::Ymd),
        ("2021-06-22 10:00.", Order::Ymd),
        ("End of data", Order::Dmy),
        ("123456789", Order::Ymd),
        ("Mar Mar 2026", Order::Dmy),
    ] {
        assert_eq!(moment(text, order), None, "{text}");
    }
}

#[test]
fn clock_by_itself_as_text_or_as_digits() {
    let minutes = |hours: i64, minutes: i64| Some((hours * HOUR + minutes * MINUTE, None));
    for (text, expected) in [
        ("9:15", minutes(9, 15)),
        ("09:15:30", Some((9 * HOUR + 15 * MINUTE + 30 * SECOND, None))),
        // Hour and minute as digits, as the reference evapotranspiration's print-out has them: 0, 100, 2300.
        ("0", minutes(0, 0)),
        ("130", minutes(1, 30)),
        ("0100", minutes(1, 0)),
        ("2300", minutes(23, 0)),
        ("2400", minutes(24, 0)),
        ("91530", Some((9 * HOUR + 15 * MINUTE + 30 * SECOND, None))),
        ("12:05 AM", minutes(0, 5)),
        ("12:05 PM", minutes(12, 5)),
        ("10:00Z", Some((10 * HOUR, Some(0)))),
        ("2401", None),
        ("1270", None),
        ("1:5", None),
        ("1234567", None),
        ("noon", None),
    ] {
        assert_eq!(clock(text), expected, "{text}");
    }
}

#[test]
fn days_are_counted_from_1970() {
    assert_eq!(days(1970, 1, 1), Some(0));
    assert_eq!(days(1969, 12, 31), Some(-1));
    assert_eq!(days(2000, 3, 1), Some(11_017));
    assert_eq!(days(2023, 2, 29), None);
}

proptest! {
    #[test]
    fn prop_written_instant_is_read_back_in_every_order(ms in -2_208_988_800_000_i64..4_102_444_800_000) {
        let at = chrono::DateTime::from_timestamp_millis(ms / SECOND * SECOND).unwrap();
        for (order, form) in [
            (Order::Ymd, "%Y-%m-%d %H:%M:%S"), (Order::Ymd, "%Y%m%dT%H%M%S"), (Order::Dmy, "%d.%m.%Y %H:%M:%S"),
            (Order::Mdy, "%-m/%-d/%Y %I:%M:%S %p"), (Order::Dmy, "%-d %b %Y %H:%M:%S"), (Order::Mdy, "%B %-d, %Y %H:%M:%S"),
        ] {
            let text = at.format(form).to_string();
            prop_assert_eq!(moment(&text, order), Some(Moment::Local(at.timestamp_millis())), "{}", text);
        }
    }

    #[test]
    fn prop_any_text_is_read_without_panic(text in prop_oneof![any::<String>(), "[0-9/:. TZapm+-]{0,24}"]) {
        for order in Order::ALL {
            let _ = moment(&text, order);
        }
        if let Some((time_ms, _)) = clock(&text) {
            prop_assert!((0..=DAY_MS).contains(&time_ms));
        }
    }
}
