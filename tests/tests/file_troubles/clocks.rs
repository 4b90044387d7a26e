//! Trouble 20 in files: the nights of the clock changes, loggers that never change theirs, and a program that runs in another zone than the garden.

use std::path::Path;

use propstick_tests::program::{run, told};
use serde_json::Value;

use super::{Place, aside};

/// Ten minutes.
const STEP_S: i64 = 600;
/// 2025-10-25 12:00 UTC; Dublin's clocks went back on the 26th at 01:00 UTC.
const AUTUMN: i64 = 1_761_393_600;
/// 2026-03-28 12:00 UTC; Dublin's clocks went ahead on the 29th at 01:00 UTC.
const SPRING: i64 = 1_774_699_200;
/// A noon to the next but one, both included: two nights.
const ROWS: i64 = 48 * 6 + 1;

fn utc(at_s: i64) -> String {
    chrono::DateTime::from_timestamp(at_s, 0).unwrap().format("%Y-%m-%dT%H:%M:%SZ").to_string()
}

fn value(k: i64) -> f64 {
    4.0 + (k % 40) as f64 / 8.0
}

/// Two days by ten minutes; `ahead` is how far the logger's clock was ahead of UTC, in hours, so many seconds after 12:00 UTC of the first day.
fn two_days(noon: i64, ahead: impl Fn(i64) -> i64) -> Vec<String> {
    let row = |k: i64| {
        let wall = utc(noon + k * STEP_S + ahead(k * STEP_S) * 3_600);
        format!("{},{}", wall.replace('T', " ").trim_end_matches(":00Z"), value(k))
    };
    (0..ROWS).map(row).collect()
}

fn file(rows: &[String]) -> Vec<u8> {
    format!("time,T (°C)\n{}\n", rows.join("\n")).into_bytes()
}

/// What `export readings` must give: each reading at its true instant.
fn true_instants(noon: i64) -> Vec<String> {
    (0..ROWS).map(|k| format!("{},{}", utc(noon + k * STEP_S), value(k))).collect()
}

fn exported(place: &Place) -> Vec<String> {
    let done = place.run(&["export", "readings"]);
    String::from_utf8(done.stdout).unwrap().lines().skip(1).map(str::to_owned).collect()
}

fn take_back(place: &Place, taken: &Value) {
    let done = place.run(&["import", "--take-back", &taken["id"].to_string()]);
    assert!(done.status.success(), "{}", told(&done));
}

/// Hours and measured share of a day in `export days`.
fn day(place: &Place, date: &str) -> (String, String) {
    let done = place.run(&["export", "days"]);
    let text = String::from_utf8(done.stdout).unwrap();
    let cells: Vec<&str> = text.lines().find(|line| line.starts_with(date)).unwrap().split(',').collect();
    let at = |head: &str| text.lines().next().unwrap().split(',').position(|h| h.starts_with(head)).unwrap();
    (cells[at("hours")].to_owned(), cells[at("measured")].to_owned())
}

#[test]
fn every_reading_of_the_nights_of_change_has_its_true_instant() {
    let Some(place) = Place::new() else { return };
    let (change, at_eight) = (13 * 3_600, 20 * 3_600);
    let autumn = |turns: i64| two_days(AUTUMN, move |s| i64::from(s < turns));
    let newest_first: Vec<String> = autumn(change).into_iter().rev().collect();
    for (what, noon, rows) in [
        ("clocks that go back at the hour", AUTUMN, autumn(change)),
        ("a logger set back at breakfast", AUTUMN, autumn(at_eight)),
        ("the newest row first", AUTUMN, newest_first),
        ("clocks that go ahead", SPRING, two_days(SPRING, |s| i64::from(s >= change))),
        ("a logger set ahead an hour late", SPRING, two_days(SPRING, |s| i64::from(s >= change + 3_600))),
    ] {
        let written = place.write("night.csv", &file(&rows));
        let taken = place.take_in(&written, &["--zone", "Europe/Dublin"]).unwrap();
        assert_eq!(taken["stored"]["readings"], ROWS, "{what}: {taken:#}");
        assert_eq!(exported(&place), true_instants(noon), "{what}");
        if noon == AUTUMN {
            let note = taken["report"]["clock"][0].clone();
            assert_eq!(note["at"], "2025-10-26T01:00:00Z", "{what}: the change is told of: {note}");
        }
        let (date, hours) = if noon == AUTUMN { ("2025-10-26", "25") } else { ("2026-03-29", "23") };
        place.settle();
        assert_eq!(day(&place, date), (hours.to_owned(), "1".to_owned()), "{what}");
        take_back(&place, &taken);
    }
}

#[test]
fn logger_that_never_changes_its_clock_is_recognised_or_asked_for() {
    let Some(place) = Place::new() else { return };
    // Rows at 01:10 of a spring morning on which Dublin has no such time: winter time all year, and nothing to be asked.
    let spring = file(&two_days(SPRING, |_| 0));
    let written = place.write("spring.csv", &spring);
    let taken = place.take_in(&written, &[]).unwrap();
    assert_eq!(exported(&place), true_instants(SPRING));
    take_back(&place, &taken);
    // Said to be Dublin's, the six rows of the missing hour are reported, and the others stand.
    let looked = place.looked_at(&spring, &["--zone", "Europe/Dublin"]);
    assert_eq!(aside(&looked), [("skipped-hour".to_owned(), 6, 2 + 13 * 6)]);
    assert_eq!(looked["report"]["readings"], ROWS - 6);
    let note = looked["report"]["clock"][0]["what"].as_str().unwrap().to_owned();
    assert!(note.contains("does not seem to change its clock") && note.contains("\"UTC\""), "{note}");
    // In autumn the repeated hour is there once: winter time all year, or an hour of silence? Asked, and either answer is taken.
    let autumn = two_days(AUTUMN, |_| 0);
    let written = place.write("autumn.csv", &file(&autumn));
    let (code, says) = place.take_in(&written, &[]).unwrap_err();
    assert!(code == Some(2) && says.contains("Europe/Dublin | UTC") && says.contains("--zone"), "{says}");
    place.take_in(&written, &["--zone", "UTC"]).unwrap();
    assert_eq!(exported(&place), true_instants(AUTUMN));
}

#[test]
fn zone_in_which_the_program_runs_changes_nothing() {
    let Some(place) = Place::new() else { return };
    let written = place.write("night.csv", &file(&two_days(AUTUMN, |s| i64::from(s < 13 * 3_600))));
    place.take_in(&written, &["--zone", "Europe/Dublin"]).unwrap();
    place.settle();
    let (data, program) = (place.data(), place.program.to_str().unwrap());
    let in_zone = |zone: &str, args: &[&str]| {
        let zone = format!("TZ={zone}");
        let all = [&[zone.as_str(), program], args].concat();
        let done = run(Path::new("env"), &all);
        assert!(done.status.success(), "{}", told(&done));
        String::from_utf8(done.stdout).unwrap()
    };
    let data = data.to_str().unwrap();
    let looking = ["import", "--dry-run", "--json", "--name", "ash", "--data", data, written.to_str().unwrap()];
    for args in [&looking[..], &["export", "readings", "--data", data], &["export", "days", "--data", data]] {
        let at_home = in_zone("Europe/Dublin", args);
        assert!(at_home.contains("2025-10-26"), "{at_home}");
        for zone in ["America/Los_Angeles", "Pacific/Kiritimati", "UTC"] {
            assert_eq!(in_zone(zone, args), at_home, "{zone} {args:?}");
        }
    }
}

#[test]
fn zone_or_offset_in_the_header_is_that_of_the_times() {
    let Some(place) = Place::new() else { return };
    for (head, at) in [
        ("Date Time GMT+01:00", "2026-07-01T09:00:00Z"),
        ("Time (UTC-05:00)", "2026-07-01T15:00:00Z"),
        ("Time GMT+05:30", "2026-07-01T04:30:00Z"),
        ("Time Europe/Rome", "2026-07-01T08:00:00Z"),
        ("time_utc", "2026-07-01T10:00:00Z"),
    ] {
        let text = format!("{head},T (°C)\n2026-07-01 10:00,1\n2026-07-01 10:10,2\n");
        assert_eq!(place.looked_at(text.as_bytes(), &[])["report"]["first"], at, "{head}");
    }
    // A few letters may be the time of Ireland, of India or of Israel.
    for head in ["Time (IST)", "Time (CST)", "Time"] {
        let text = format!("{head},T (°C)\n2026-07-01 10:00,1\n2026-07-01 10:10,2\n");
        let (code, says) = place.take_in(&place.write("asked.csv", text.as_bytes()), &[]).unwrap_err();
        assert!(code == Some(2) && says.contains("By which clock"), "{head}: {says}");
    }
    // Every row has its own: the row without one is set aside, the others are what they say.
    let own = "Time,T (°C)\n2025-10-26T01:50:00+01:00,1\n2025-10-26T01:00:00Z,2\n2025-10-26 01:10,3\n2025-10-26T01:20:00+00:00,4\n";
    let looked = place.looked_at(own.as_bytes(), &[]);
    assert_eq!(aside(&looked), [("no-time".to_owned(), 1, 4)]);
    assert_eq!(looked["report"]["first"], "2025-10-26T00:50:00Z");
}
