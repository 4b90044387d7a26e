//! A night's low learned from one winter's dusks and tried on the next, beside persistence: in a tunnel of the Veneto and at three Irish stations.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeZone};
use propstick_agronomy::frost::{Night, NightLow, falls_to_radiation};
use propstick_agronomy::psychrometrics::dew_point_c;
use propstick_agronomy::sun::SunDay;
use propstick_tests::data::{csv_rows, reference_file};

/// A night that was measured.
#[derive(Clone, Copy)]
struct Measured {
    date: NaiveDate,
    night: Night,
    /// Warmest of the six hours before sunset.
    afternoon_c: f64,
    /// The low of the night before.
    before_c: Option<f64>,
}

/// A reading: UTC seconds, temperature, and humidity where it was measured.
type Reading = (i64, f64, Option<f64>);

/// Every night with four fifths of its half-hours (or hours) measured, a reading within half an hour of two hours after sunset and an afternoon.
fn nights(readings: &[Reading], lat: f64, lon: f64, step_s: i64) -> Vec<Measured> {
    let day_of = |s: i64| s.div_euclid(86_400);
    let (first, last) = (day_of(readings[0].0), day_of(readings[readings.len() - 1].0));
    let between = |from: i64, to: i64| {
        let at = |s: i64| readings.partition_point(|r| r.0 < s);
        &readings[at(from)..at(to + 1)]
    };
    let (mut found, mut before_c) = (Vec::new(), None);
    for day in first..last {
        let set_s = SunDay::of_day_number(day, lat, lon).unwrap().sunset_s.unwrap();
        let rise_s = SunDay::of_day_number(day + 1, lat, lon).unwrap().sunrise_s.unwrap();
        let night = between(set_s, rise_s + 1_800);
        let measured = night.len() as f64 >= 0.8 * (rise_s - set_s) as f64 / step_s as f64;
        let low_c = night.iter().map(|r| r.1).fold(f64::INFINITY, f64::min);
        let dusk_s = set_s + 7_200;
        let dusk = between(dusk_s - 1_800, dusk_s + 1_800).iter().min_by_key(|r| (r.0 - dusk_s).abs());
        let afternoon = between(set_s - 6 * 3_600, set_s);
        if let (Some(dusk), true, true) = (dusk, measured, afternoon.len() >= 6) {
            found.push(Measured {
                date: NaiveDate::from_ymd_opt(1970, 1, 1).unwrap() + chrono::TimeDelta::days(day),
                night: Night { dusk_c: dusk.1, dusk_dew_c: dusk.2.and_then(|rh| dew_point_c(dusk.1, rh)), low_c },
                afternoon_c: afternoon.iter().map(|r| r.1).fold(f64::NEG_INFINITY, f64::max),
                before_c,
            });
        }
        before_c = measured.then_some(low_c);
    }
    found
}

struct Outcome {
    learned: NightLow,
    tried: usize,
    rms_c: f64,
    persistence_c: f64,
}

/// Learns from the nights of `learn` and tries those of `try_on`, both only where `radiation` says so.
fn learn_and_try(
    all: &[Measured],
    radiation: impl Fn(&Measured) -> bool,
    learn: impl Fn(NaiveDate) -> bool,
    try_on: impl Fn(NaiveDate) -> bool,
) -> Outcome {
    let past: Vec<Night> = all.iter().filter(|m| learn(m.date) && radiation(m)).map(|m| m.night).collect();
    let learned = NightLow::learn(&past).expect("ten nights and more");
    let next: Vec<&Measured> = all.iter().filter(|m| try_on(m.date) && m.before_c.is_some() && radiation(m)).collect();
    let rms = |errors: Vec<f64>| (errors.iter().map(|e| e * e).sum::<f64>() / errors.len() as f64).sqrt();
    let low = |m: &Measured| learned.low(m.night.dusk_c, m.night.dusk_dew_c).unwrap().low_c;
    let outcome = Outcome {
        tried: next.len(),
        rms_c: rms(next.iter().map(|m| low(m) - m.night.low_c).collect()),
        persistence_c: rms(next.iter().map(|m| m.before_c.unwrap() - m.night.low_c).collect()),
        learned,
    };
    println!(
        "{} nights taught (left {:.2} °C); {} tried: {:.2} °C off, persistence {:.2}",
        learned.nights, learned.residual_c, outcome.tried, outcome.rms_c, outcome.persistence_c
    );
    outcome
}

/// tunnel1-ref-airtemp: the one series of the set that reaches into a second winter; its humidity ends in July 2022, so the first step of the
/// regression stands alone. Place: Legnaro, about 45.35° N, 11.95° E; local clock.
#[test]
fn one_winter_of_a_tunnel_teaches_the_next_better_than_persistence() {
    let Some(file) = reference_file("tunnel-veneto-2021/tunnel1-ref-airtemp.csv") else { return };
    let mut readings: Vec<Reading> = csv_rows(&file, &["Timestamp", "Temperature (°C)"])
        .unwrap()
        .iter()
        .filter_map(|row| {
            let local = NaiveDateTime::parse_from_str(&row[0], "%d/%m/%Y %H:%M:%S").ok()?;
            let at = chrono_tz::Europe::Rome.from_local_datetime(&local).latest()?;
            Some((at.timestamp(), row[1].parse().ok()?, None))
        })
        .collect();
    readings.sort_by_key(|r| r.0);
    let all = nights(&readings, 45.35, 11.95, 1_800);
    let winter = |year: i32| {
        let from = NaiveDate::from_ymd_opt(year, 10, 15).unwrap();
        move |date: NaiveDate| (from..from + chrono::TimeDelta::days(182)).contains(&date)
    };
    let radiation = |m: &Measured| falls_to_radiation(m.afternoon_c, m.night.dusk_c, None) == Some(true);
    let outcome = learn_and_try(&all, radiation, winter(2021), winter(2022));
    assert!(outcome.learned.nights >= 40 && outcome.tried >= 10);
    // The sheet's 0.7 °C is on its own sample; a tunnel without wind or sky to choose nights by is worse. Half of persistence is asked, and 2 °C.
    assert!(outcome.rms_c <= 2.0 && outcome.rms_c <= 0.5 * outcome.persistence_c);
    assert!((0.5..1.0).contains(&outcome.learned.per_dusk));
}

/// January to May teach October to December 2017 at three stations, with dew point; nights chosen by a fall of 3 °C or more, for the sea lets hardly
/// one fall by 5.
#[test]
fn spring_of_three_stations_teaches_autumn_better_than_persistence() {
    for (station, lat, lon) in
        [("valentia", 51.938, -10.241), ("johnstown-castle", 52.298, -6.497), ("sherkin-island", 51.476, -9.428)]
    {
        let Some(file) = reference_file(&format!("ireland-hourly/{station}-2017.csv")) else { return };
        let begin = NaiveDate::from_ymd_opt(2017, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp();
        let readings: Vec<Reading> = csv_rows(&file, &["temp", "rhum"])
            .unwrap()
            .iter()
            .zip(0..)
            .filter_map(|(row, h)| Some((begin + h * 3_600, row[0].parse().ok()?, row[1].parse().ok())))
            .collect();
        let all = nights(&readings, lat, lon, 3_600);
        let fell = |m: &Measured| m.afternoon_c - m.night.dusk_c >= 3.0;
        let outcome = learn_and_try(&all, fell, |d| d.month() <= 5, |d| d.month() >= 10);
        assert!(outcome.tried >= 5, "{station}");
        assert!(outcome.rms_c <= 2.0 && outcome.rms_c <= 0.6 * outcome.persistence_c, "{station}");
    }
}
