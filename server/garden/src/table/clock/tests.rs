use std::ops::ControlFlow;

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use proptest::prelude::*;

use super::Clock;
use crate::instant::{from_rfc3339, to_rfc3339};
use crate::table::{AsideWhy, FileMapping, Piece, Report, read};

const NOW: Millis = Millis(1_790_000_000_000);

/// Reads rows `time,value` on a clock: the instants in the order of the file, and the report.
fn read_on(clock: &str, more: &str, rows: &str) -> (Vec<Millis>, Report) {
    let mapping = format!(
        "name = 'a'\nheader = 0\n[time]\nat = 1\nzone = '{clock}'\n[[field]]\ncolumn = 2\nquantity = 'air-temperature'\nunit = 'Cel'\n{more}"
    );
    let mapping = FileMapping::from_toml(&mapping).unwrap();
    let mut instants = Vec::new();
    let report = read(rows.as_bytes(), &mapping, NOW, &mut |piece| {
        if let Piece::Readings(all) = piece {
            instants.extend(all.iter().map(|reading| reading.t));
        }
        ControlFlow::Continue(())
    });
    (instants, report.unwrap())
}

/// One row for each wall time.
fn rows(times: &[&str]) -> String {
    times.iter().map(|time| format!("{time},5\n")).collect()
}

fn shown(instants: &[Millis]) -> Vec<String> {
    instants.iter().map(|at| to_rfc3339(*at)).collect()
}

#[test]
fn clock_is_written_as_it_is_read() {
    for text in ["UTC", "Europe/Dublin", "+01:00", "-03:30", "+10:30", "Etc/GMT-1"] {
        assert_eq!(text.parse::<Clock>().unwrap().to_string(), text);
    }
    assert_eq!("Z".parse(), Ok(Clock::UTC));
    assert_eq!("-00:00".parse(), Ok(Clock::UTC));
    assert_eq!("+05:45".parse(), Ok(Clock::Fixed(20_700)));
    for text in ["", "+1", "+01", "+0100", "+15:00", "+01:60", "+0a:00", "Dublin", "BST"] {
        assert!(text.parse::<Clock>().is_err(), "{text}");
    }
}

#[test]
fn hour_that_comes_twice_is_told_by_order() {
    // Rome, 31 October 2021: 03:00 summer time is 02:00 winter time, at 01:00 UTC.
    let (instants, report) = read_on(
        "Europe/Rome",
        "",
        &rows(&[
            "2021-10-31 01:30",
            "2021-10-31 02:00",
            "2021-10-31 02:30",
            "2021-10-31 02:00",
            "2021-10-31 02:30",
            "2021-10-31 03:00",
        ]),
    );
    let expected = [
        "2021-10-30T23:30:00Z",
        "2021-10-31T00:00:00Z",
        "2021-10-31T00:30:00Z",
        "2021-10-31T01:00:00Z",
        "2021-10-31T01:30:00Z",
        "2021-10-31T02:00:00Z",
    ];
    assert_eq!(shown(&instants), expected);
    assert_eq!(report.clock.len(), 1);
    assert_eq!(report.clock[0].at, from_rfc3339("2021-10-31T01:00:00Z").unwrap());
    assert!(report.clock[0].what.contains("the rows show it in line 4:"), "{}", report.clock[0].what);
    assert!(report.cautions.is_empty());
}

#[test]
fn logger_that_goes_back_an_hour_late_is_read_at_the_old_offset_until_then() {
    // As rows 1601 to 1610 of tunnel2-trh3 (tunnel-veneto-2021): 03:00 to 03:45 are there twice, 02:00 to 02:45 once.
    let times = ["02:30", "02:45", "03:00", "03:15", "03:30", "03:45", "03:00", "03:15", "03:30", "03:45", "04:00"];
    let times: Vec<String> = times.iter().map(|time| format!("2021-10-31 {time}")).collect();
    let (instants, report) = read_on("Europe/Rome", "", &rows(&times.iter().map(String::as_str).collect::<Vec<_>>()));
    let first = from_rfc3339("2021-10-31T00:30:00Z").unwrap();
    let expected: Vec<Millis> = (0..11).map(|quarter| first.plus(quarter * 15 * MINUTE)).collect();
    assert_eq!(instants, expected);
    assert!(report.clock[0].what.contains("line 7:"), "{}", report.clock[0].what);
}

#[test]
fn hour_that_is_there_once_is_the_first_and_said() {
    let (instants, report) = read_on(
        "Europe/Rome",
        "",
        &rows(&["2021-10-31 01:30", "2021-10-31 02:00", "2021-10-31 02:30", "2021-10-31 03:00", "2021-10-31 03:30"]),
    );
    let expected = [
        "2021-10-30T23:30:00Z",
        "2021-10-31T00:00:00Z",
        "2021-10-31T00:30:00Z",
        "2021-10-31T02:00:00Z",
        "2021-10-31T02:30:00Z",
    ];
    assert_eq!(shown(&instants), expected);
    assert!(report.clock[0].what.contains("is there once (2 rows from line 2)"), "{}", report.clock[0].what);
}

#[test]
fn rows_an_hour_apart_repeat_one_time_and_rows_three_hours_apart_show_a_shorter_step() {
    // New York, 3 November 2013: 01:00 twice, at 05:00 and 06:00 UTC (dewpoint-dst-2013).
    let hourly = ["2013-11-03 00:00", "2013-11-03 01:00", "2013-11-03 01:00", "2013-11-03 02:00"];
    let (instants, _) = read_on("America/New_York", "", &rows(&hourly));
    assert_eq!(
        shown(&instants),
        ["2013-11-03T04:00:00Z", "2013-11-03T05:00:00Z", "2013-11-03T06:00:00Z", "2013-11-03T07:00:00Z"]
    );
    // Every three hours from 18:00 UTC on: 20, 23, 02 (winter), 05 o'clock in Rome. The step of three hours is two on the wall.
    let sparse = [
        "2021-10-30 14:00",
        "2021-10-30 17:00",
        "2021-10-30 20:00",
        "2021-10-30 23:00",
        "2021-10-31 02:00",
        "2021-10-31 04:00",
    ];
    let (instants, _) = read_on("Europe/Rome", "", &rows(&sparse));
    assert_eq!(instants[4], from_rfc3339("2021-10-31T00:00:00Z").unwrap());
    let sparse = [
        "2021-10-30 15:00",
        "2021-10-30 18:00",
        "2021-10-30 21:00",
        "2021-10-31 00:00",
        "2021-10-31 02:00",
        "2021-10-31 05:00",
    ];
    let (instants, _) = read_on("Europe/Rome", "", &rows(&sparse));
    assert_eq!(instants[4], from_rfc3339("2021-10-31T01:00:00Z").unwrap());
}

#[test]
fn same_time_twice_in_the_repeated_hour_is_no_change_where_rows_are_a_quarter_apart() {
    let times =
        ["01:30", "01:45", "02:00", "02:00", "02:15", "02:30", "02:45", "02:00", "02:15", "02:30", "02:45", "03:00"];
    let times: Vec<String> = times.iter().map(|time| format!("2021-10-31 {time}")).collect();
    let (instants, report) = read_on("Europe/Rome", "", &rows(&times.iter().map(String::as_str).collect::<Vec<_>>()));
    assert_eq!(instants[3], from_rfc3339("2021-10-31T00:00:00Z").unwrap());
    assert_eq!(instants[7], from_rfc3339("2021-10-31T01:00:00Z").unwrap());
    assert_eq!((report.cautions.len(), report.cautions[0].times, report.cautions[0].first_line), (1, 1, 4));
}

#[test]
fn hour_that_is_left_out_is_set_aside_and_said() {
    let (instants, report) = read_on(
        "Europe/Rome",
        "",
        &rows(&["2022-03-27 01:30", "2022-03-27 02:00", "2022-03-27 02:30", "2022-03-27 03:00", "2022-03-27 03:30"]),
    );
    assert_eq!(shown(&instants), ["2022-03-27T00:30:00Z", "2022-03-27T01:00:00Z", "2022-03-27T01:30:00Z"]);
    assert_eq!((report.aside.len(), report.aside[0].why, report.aside[0].times), (1, AsideWhy::SkippedHour, 2));
    assert_eq!((report.aside[0].first_line, report.aside[0].example.as_str()), (2, "2022-03-27 02:00"));
    assert!(report.clock[0].what.contains("\"+01:00\", would fit"), "{}", report.clock[0].what);
}

#[test]
fn logger_that_goes_ahead_late_is_read_at_the_old_offset_until_then() {
    let times = ["01:15", "01:30", "01:45", "02:00", "02:15", "02:30", "02:45", "03:00", "04:15", "04:30"];
    let times: Vec<String> = times.iter().map(|time| format!("2022-03-27 {time}")).collect();
    let (instants, report) = read_on("Europe/Rome", "", &rows(&times.iter().map(String::as_str).collect::<Vec<_>>()));
    let first = from_rfc3339("2022-03-27T00:15:00Z").unwrap();
    let expected: Vec<Millis> = (0..10).map(|quarter| first.plus(quarter * 15 * MINUTE)).collect();
    assert_eq!((instants, report.aside.len()), (expected, 0));
    assert!(report.clock[0].what.contains("in line 9 only"), "{}", report.clock[0].what);
}

#[test]
fn end_of_the_hour_before_the_change_is_the_change_itself() {
    let hourly = rows(&["2022-03-27 01:00", "2022-03-27 02:00", "2022-03-27 04:00"]);
    let (instants, _) = read_on("Europe/Rome", "kind = 'mean'\nspan_s = 3600\nstamp = 'end'", &hourly);
    assert_eq!(shown(&instants), ["2022-03-27T00:00:00Z", "2022-03-27T01:00:00Z", "2022-03-27T02:00:00Z"]);
    let (instants, report) = read_on("Europe/Rome", "kind = 'mean'\nspan_s = 3600\nstamp = 'start'", &hourly);
    assert_eq!((instants.len(), report.aside[0].why), (2, AsideWhy::SkippedHour));
}

#[test]
fn midnight_that_is_left_out_begins_its_day_with_the_change() {
    // Santiago goes ahead at midnight: 8 September 2024 begins at 01:00, at 04:00 UTC.
    let dates = rows(&["2024-09-07", "2024-09-08", "2024-09-09"]);
    let (instants, report) = read_on("America/Santiago", "kind = 'max'\nspan_s = 86400", &dates);
    assert_eq!(shown(&instants), ["2024-09-07T04:00:00Z", "2024-09-08T04:00:00Z", "2024-09-09T03:00:00Z"]);
    assert!(report.aside.is_empty());
}

#[test]
fn same_time_twice_where_the_hour_is_there_once_is_no_change_either() {
    let times = ["01:30", "01:45", "02:00", "02:00", "02:15", "02:30", "02:45", "03:00"];
    let times: Vec<String> = times.iter().map(|time| format!("2021-10-31 {time}")).collect();
    let (instants, report) = read_on("Europe/Rome", "", &rows(&times.iter().map(String::as_str).collect::<Vec<_>>()));
    assert_eq!(instants[6], from_rfc3339("2021-10-31T00:45:00Z").unwrap());
    assert!(report.clock[0].what.contains("is there once (5 rows from line 3)"), "{}", report.clock[0].what);
}

#[test]
fn stretch_that_is_there_again_goes_through_the_change_again() {
    // From 02:00 to 05:00, so that the second time begins within the time in which the first could still go on.
    let once: Vec<String> = ["02:00", "02:30", "02:00", "02:30", "03:00", "04:00", "05:00"]
        .iter()
        .map(|time| format!("2021-10-31 {time}"))
        .collect();
    let once: Vec<&str> = once.iter().map(String::as_str).collect();
    let first = from_rfc3339("2021-10-31T00:00:00Z").unwrap();
    let expected: Vec<Millis> = [0, 1, 2, 3, 4, 6, 8].iter().map(|half| first.plus(half * 30 * MINUTE)).collect();
    let (instants, report) = read_on("Europe/Rome", "", &rows(&[once.clone(), once].concat()));
    assert_eq!(instants, [expected.clone(), expected].concat());
    let lines: Vec<bool> = report.clock.iter().zip(["line 3:", "line 10:"]).map(|(n, l)| n.what.contains(l)).collect();
    assert_eq!(lines, [true, true]);
}

#[test]
fn devices_of_one_file_go_through_the_change_each_by_itself() {
    let mapping = "name = 'a'\nheader = 0\n[time]\nat = 1\nzone = 'Europe/Rome'\n[[field]]\ncolumn = 2\nquantity = 'light'\nunit = 'W/m2'";
    let mut mapping = FileMapping::from_toml(mapping).unwrap();
    mapping.device = crate::table::FileDevice::Column(crate::table::Column::Number(3));
    // The second device has the hour once only, beside the first one's second time.
    let text = "2021-10-31 02:00,7,a\n2021-10-31 02:30,7,a\n2021-10-31 02:00,7,a\n2021-10-31 02:00,7,b\n\
                2021-10-31 02:30,7,a\n2021-10-31 02:30,7,b\n2021-10-31 03:00,7,a\n2021-10-31 03:00,7,b\n";
    let mut instants = [Vec::new(), Vec::new()];
    read(text.as_bytes(), &mapping, NOW, &mut |piece| {
        if let Piece::Readings(all) = piece {
            all.iter().for_each(|reading| instants[reading.series as usize].push(reading.t));
        }
        ControlFlow::Continue(())
    })
    .unwrap();
    let first = from_rfc3339("2021-10-31T00:00:00Z").unwrap();
    let after = |halves: &[i64]| halves.iter().map(|half| first.plus(half * 30 * MINUTE)).collect::<Vec<_>>();
    assert_eq!(instants, [after(&[0, 1, 2, 3, 4]), after(&[0, 1, 4])]);
}

#[test]
fn newest_row_first_through_the_hour_that_comes_twice() {
    let times = ["02:30", "02:00", "01:30", "01:00", "01:30", "01:00", "00:30", "00:00"];
    let text: String = times.iter().map(|time| format!("2025-10-26 {time},5\n")).collect();
    let (instants, report) = read_on("Europe/Dublin", "", &text);
    let expected: Vec<Millis> =
        (0..8).rev().map(|half| from_rfc3339("2025-10-25T23:00:00Z").unwrap().plus(half * 30 * MINUTE)).collect();
    assert_eq!(shown(&instants), shown(&expected));
    assert!(report.clock[0].what.contains("in line 4: that row and those above it"), "{:?}", report.clock);
}

/// A zone, its largest shift in minutes, and an instant within a week of one of its changes.
fn zones() -> impl Strategy<Value = (Tz, i64, Millis)> {
    prop_oneof![
        Just((Tz::Europe__Dublin, 60, "2025-10-26T01:00:00Z")),
        Just((Tz::Europe__Dublin, 60, "2026-03-29T01:00:00Z")),
        Just((Tz::Europe__Rome, 60, "2021-10-31T01:00:00Z")),
        Just((Tz::Europe__Rome, 60, "2022-03-27T01:00:00Z")),
        Just((Tz::America__New_York, 60, "2013-11-03T06:00:00Z")),
        Just((Tz::America__New_York, 60, "2013-03-10T07:00:00Z")),
        Just((Tz::Australia__Lord_Howe, 30, "2025-04-05T15:00:00Z")),
        Just((Tz::Australia__Lord_Howe, 30, "2024-10-05T15:30:00Z")),
        Just((Tz::America__Santiago, 60, "2025-04-06T03:00:00Z")),
        Just((Tz::UTC, 60, "2025-04-06T03:00:00Z")),
    ]
    .prop_map(|(zone, shift, near)| (zone, shift, from_rfc3339(near).unwrap()))
}

fn on_the_wall(zone: Tz, at: Millis) -> String {
    let utc = DateTime::from_timestamp_millis(at.0).unwrap();
    zone.from_utc_datetime(&utc.naive_utc()).format("%Y-%m-%d %H:%M:%S").to_string()
}

proptest! {
    #[test]
    fn prop_steady_instants_come_back_through_any_change(
        (zone, shift, near) in zones(), step in 1_i64..=60, start_s in 0_i64..172_800,
    ) {
        let step = step.min(shift) * MINUTE;
        let from = near.plus(-start_s * 1000 - 4 * HOUR);
        let instants: Vec<Millis> = (0..4 * 24 * HOUR / step).map(|number| from.plus(number * step)).collect();
        let text: String = instants.iter().map(|at| format!("{},5\n", on_the_wall(zone, *at))).collect();
        let (read_back, report) = read_on(zone.name(), "", &text);
        prop_assert_eq!(read_back, instants);
        prop_assert!(report.cautions.is_empty() && report.aside.is_empty());
    }

    #[test]
    fn prop_file_that_begins_with_its_newest_row_is_read_as_the_other_way_round(
        (zone, shift, near) in zones(), step in 1_i64..=60, start_s in 0_i64..172_800,
    ) {
        let step = step.min(shift) * MINUTE;
        let from = near.plus(-start_s * 1000 - 4 * HOUR);
        let instants: Vec<Millis> = (0..4 * 24 * HOUR / step).rev().map(|number| from.plus(number * step)).collect();
        let text: String = instants.iter().map(|at| format!("{},5\n", on_the_wall(zone, *at))).collect();
        let (read_back, report) = read_on(zone.name(), "", &text);
        prop_assert_eq!(read_back, instants);
        prop_assert!(report.aside.is_empty());
        let says: Vec<&str> = report.cautions.iter().map(|c| c.says.as_str()).collect();
        prop_assert_eq!(says, ["the file begins with the newest row; read so"]);
        prop_assert_eq!((report.series[0].cadence_s, report.series[0].gaps), (Some(step / 1000), 0));
    }

    #[test]
    fn prop_uneven_steps_below_the_shift_come_back_through_any_change(
        (zone, shift, near) in zones(), steps in proptest::collection::vec(1_i64..60, 40..400), back in 20_i64..40,
    ) {
        let mut at = near.plus(-back * shift * MINUTE / 2);
        let mut instants = Vec::new();
        for step in steps {
            instants.push(at);
            at = at.plus(step * shift * MINUTE / 60);
        }
        let text: String = instants.iter().map(|at| format!("{},5\n", on_the_wall(zone, *at))).collect();
        let whole = read_on(zone.name(), "", &text).0;
        prop_assert_eq!(whole, instants);
    }

    #[test]
    fn prop_fixed_offset_comes_back_all_year(ahead_min in -840_i64..=840, at in 1_600_000_000_i64..1_700_000_000) {
        let at = Millis(at * 1000);
        let wall = DateTime::from_timestamp_millis(at.0 + ahead_min * MINUTE).unwrap().format("%Y-%m-%d %H:%M:%S");
        let clock = Clock::Fixed((ahead_min * 60) as i32).to_string();
        prop_assert_eq!(read_on(&clock, "", &format!("{wall},5\n")).0, [at]);
    }
}
