//! What comes out of what was taken in: intervals keep their meaning, a gap its emptiness, half a day its doubt, a doubtful value its number
//! (troubles 1, 18, 19 and 21). One house for all of it.

use propstick_tests::program::{Running, told};
use serde_json::{Value, json};

use super::Place;

fn exported(place: &Place, more: &[&str]) -> String {
    let done = place.run(&[&["export"], more].concat());
    assert!(done.status.success(), "{}", told(&done));
    String::from_utf8(done.stdout).unwrap()
}

/// The cells of one day under heads that begin so.
fn day(days: &str, date: &str, heads: &[&str]) -> Vec<String> {
    let cells: Vec<&str> = days.lines().find(|line| line.starts_with(date)).unwrap().split(',').collect();
    let all: Vec<&str> = days.lines().next().unwrap().split(',').collect();
    heads.iter().map(|head| cells[all.iter().position(|h| h.starts_with(head)).unwrap()].to_owned()).collect()
}

fn asked(house: &Running, quantity: &str, from: &str, to: &str, points: u32) -> Value {
    house.ask(&format!("structures/tunnel/readings?quantity={quantity}&from={from}&to={to}&points={points}"))
}

/// An evening at ten minutes, nothing in the night, a morning: the page's own numbers at either side of the gap.
fn night_without_readings() -> String {
    let mut text = "time_utc,T (°C),RH (%)\n".to_owned();
    for k in 0..6 {
        text += &format!("2026-02-05 {:02}:{}0,{:.1},{}\n", 21, k, 3.3 - f64::from(k) / 10.0, 80 + k);
    }
    for k in 1..6 {
        text += &format!("2026-02-06 07:{k}0,{:.1},{}\n", 0.4 + f64::from(k) / 10.0, 90 + k);
    }
    text
}

/// The page's trouble 18: from midnight to nine, 2 to 6 degrees. Then trouble 1: twelve times 1 % after 96 %, at 6.0 after 6.1 degrees.
fn half_a_day_and_stuck_humidity() -> String {
    let mut text = "time_utc,T (°C),RH (%)\n".to_owned();
    for k in 0..54 {
        text += &format!("2026-02-10 {:02}:{}0,{},85\n", k / 6, k % 6, 2 + k % 5);
    }
    for k in 0..13 {
        let (t, rh) = if k == 0 { (6.1, 96.0) } else { (6.0, 1.0) };
        text += &format!("2026-02-12 {:02}:{}0,{t},{rh}\n", k / 6, k % 6);
    }
    text
}

/// The page's trouble 21: an evening that cools by 1.4 degrees an hour, and goes on into the frost.
const FROST: &str = "time_utc,T (°C)\n2026-02-14 20:00,6.0\n2026-02-14 21:00,4.6\n2026-02-14 22:00,3.2\n\
    2026-02-14 23:00,1.8\n2026-02-15 00:00,0.4\n2026-02-15 01:00,-1.0\n2026-02-15 02:00,-2.4\n2026-02-15 03:00,-0.0\n";

#[test]
fn what_was_taken_in_comes_out_with_its_meaning_and_its_holes() {
    let Some(place) = Place::new() else { return };
    let rain = "time_utc,rain (mm)\n2026-02-01T10:00:00Z,0.4\n2026-02-01T11:00:00Z,0\n2026-02-01T12:00:00Z,1.2\n2026-02-02T00:00:00Z,0.6\n";
    let extremes = "date,Tmin (°C),Tmax (°C)\n2026-01-01,-1.5,8\n2026-01-02,0.5,9\n2026-01-03,2,10\n";
    for (name, text, more) in [
        ("rain.csv", rain.to_owned(), &["--stamp", "end"][..]),
        ("extremes.csv", extremes.to_owned(), &[]),
        ("night.csv", night_without_readings(), &[]),
        ("half.csv", half_a_day_and_stuck_humidity(), &[]),
        ("frost.csv", FROST.to_owned(), &[]),
    ] {
        let written = place.write(name, text.as_bytes());
        let taken = place.take_in(&written, more).unwrap();
        assert_eq!(taken["report"]["aside"], json!([]), "{name}: nothing is set aside: {taken:#}");
    }
    let house = place.serve();
    house.until_worked_out();
    a_sum_stamped_at_its_end_fell_before_it(&place, &house);
    a_gap_stays_empty(&place, &house);
    half_a_day_says_that_it_is_not_enough(&place, &house);
    house.stop();
    extremes_are_no_readings_of_an_instant(&place);
    doubtful_and_frosty_values_stand_as_they_were(&place);
}

fn a_sum_stamped_at_its_end_fell_before_it(place: &Place, house: &Running) {
    let hours = asked(house, "rain", "2026-02-01T08:00:00Z", "2026-02-01T12:00:00Z", 4);
    assert_eq!(hours["series"][0]["sum"], json!([null, 0.4, 0.0, 1.2]), "{hours:#}");
    // The rain of the last hour is stamped at midnight and fell on the day before.
    let last = asked(house, "rain", "2026-02-01T22:00:00Z", "2026-02-02T01:00:00Z", 3);
    assert_eq!(last["series"][0]["sum"], json!([null, 0.6, null]), "{last:#}");
    let readings = exported(place, &["readings", "--device", "urn:propstick:ash"]);
    assert!(readings.lines().next().unwrap().contains("rain [mm; sum 3600 s, end]"), "{readings}");
    assert!(readings.contains("\n2026-02-01T10:00:00Z,0.4,"), "the time stays as it was written: {readings}");
}

fn extremes_are_no_readings_of_an_instant(place: &Place) {
    let csv = exported(place, &["readings", "--to", "2026-01-31T00:00:00Z"]);
    let mut lines = csv.lines();
    assert_eq!(
        lines.next().unwrap(),
        "time_utc,\"urn:propstick:ash air-temperature [Cel; min 86400 s, start]\",\"urn:propstick:ash air-temperature [Cel; max 86400 s, start]\""
    );
    let rows = ["2026-01-01T00:00:00Z,-1.5,8", "2026-01-02T00:00:00Z,0.5,9", "2026-01-03T00:00:00Z,2,10"];
    assert_eq!(lines.collect::<Vec<_>>(), rows);
    let influx = exported(place, &["readings", "--to", "2026-01-31T00:00:00Z", "--form", "lines"]);
    assert_eq!(
        influx.lines().filter(|line| line.contains(",kind=min,span_s=86400,stamp=start,")).count(),
        3,
        "{influx}"
    );
    // What came out goes in again with its kinds, in either form that keeps them.
    for (name, form) in [("out.csv", "csv"), ("out.senml", "senml")] {
        let out = place.path(name);
        exported(place, &["readings", "--to", "2026-01-31T00:00:00Z", "--form", form, "--out", out.to_str().unwrap()]);
        let looked = place.run(&["import", "--dry-run", "--json", out.to_str().unwrap()]);
        let looked: Value = serde_json::from_slice(&looked.stdout).unwrap();
        let kinds: Vec<_> =
            looked["report"]["series"].as_array().unwrap().iter().map(|s| (&s["kind"], &s["n"])).collect();
        assert_eq!(kinds, [(&json!("min"), &json!(3)), (&json!("max"), &json!(3))], "{form}");
    }
}

fn a_gap_stays_empty(place: &Place, house: &Running) {
    let (from, to) = ("2026-02-05T21:00:00Z", "2026-02-06T08:00:00Z");
    let steps = asked(house, "air-temperature", from, to, 11);
    assert_eq!(steps["gaps"], json!([["2026-02-05T22:00:00Z", "2026-02-06T07:00:00Z"]]), "by hours: {steps:#}");
    let fine = house.ask(&format!("structures/tunnel/readings?quantity=air-temperature&from={from}&to={to}"));
    assert_eq!(fine["gaps"][0], json!(["2026-02-05T21:50:00Z", "2026-02-06T07:10:00Z"]), "{fine:#}");
    let series = &steps["series"][0];
    let mins = series["min"].as_array().unwrap();
    assert_eq!((&mins[0], &mins[10]), (&json!(2.8), &json!(0.5)), "{series:#}");
    assert!(mins[1..10].iter().all(Value::is_null), "no line over nine hours: {series:#}");
    let csv = exported(place, &["readings", "--from", from, "--to", to]);
    assert_eq!(csv.lines().count(), 1 + 11, "{csv}");
    // Two days of which hardly anything is known, and none between them that was not measured at all.
    let days = exported(place, &["days"]);
    for date in ["2026-02-05", "2026-02-06", "2026-02-07"] {
        let figures = day(&days, date, &["min", "mean", "max", "degree-days average-1 above 5"]);
        assert_eq!(figures, ["", "", "", ""], "{date}: {days}");
    }
    assert_eq!(day(&days, "2026-02-07", &["hours", "measured"]), ["24", "0"]);
}

fn half_a_day_says_that_it_is_not_enough(place: &Place, house: &Running) {
    let days = exported(place, &["days", "--base", "5"]);
    let cells =
        day(&days, "2026-02-10", &["measured", "min", "mean", "max", "degree-days average-1", "degree-days average-2"]);
    let share: f64 = cells[0].parse().unwrap();
    assert!((0.37..0.38).contains(&share), "the page's 37 %: {share}");
    assert_eq!(cells[1..], ["", "", "", "", ""], "neither 0 nor the figures of a morning");
    let answer = house.ask("structures/tunnel/days?from=2026-02-10&to=2026-02-10");
    for figure in ["min_c", "mean_c", "max_c"] {
        assert_eq!(answer["days"][0][figure]["unknown"], "not-enough", "{figure}: {answer:#}");
    }
}

fn doubtful_and_frosty_values_stand_as_they_were(place: &Place) {
    let csv = exported(place, &["readings", "--from", "2026-02-12T00:00:00Z", "--to", "2026-02-16T00:00:00Z"]);
    let rows: Vec<&str> = csv.lines().skip(1).collect();
    assert_eq!(rows.len(), 13 + 8, "{csv}");
    assert_eq!(rows[0], "2026-02-12T00:00:00Z,6.1,96");
    assert!(rows[1..13].iter().all(|row| row.ends_with("Z,6,1")), "an import drops no doubtful value: {csv}");
    let frost: Vec<&str> = rows[13..].iter().map(|row| row.split(',').nth(1).unwrap()).collect();
    assert_eq!(frost, ["6", "4.6", "3.2", "1.8", "0.4", "-1", "-2.4", "0"], "{csv}");
}
