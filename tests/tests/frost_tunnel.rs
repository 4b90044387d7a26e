//! A tunnel's lows in the Veneto: what its gauge learns in one winter, tried on the next, beside the rule and beside persistence; all through the
//! functions that the program uses, from the marks of the readings on.
//!
//! tunnel1-ref-airtemp is the one series of the set that reaches into a second winter; its humidity ends in July 2022, so there the first step of the
//! regression stands alone. Place: Legnaro, about 45.35° N, 11.95° E; local clock, two instants apart at most fold in autumn.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use chrono::{NaiveDate, NaiveDateTime, TimeZone};
use propstick_agronomy::coverage::Sample;
use propstick_agronomy::frost::NightCover;
use propstick_agronomy::quality::{Kind, Marks, Place, Scratch, Series, mark_series};
use propstick_garden::advice::frost::{FrostAnswer, FrostBy, FrostPlace, FrostReading, FrostTally, learn};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::frost::{Learning, Scored, Site, tally};
use propstick_wire::Millis;
use std::collections::BTreeMap;

const MIN_MS: i64 = 60_000;

fn series(
    file: &str,
    value: &str,
    time: &str,
    format: &str,
    kind: Kind,
    beside: Option<&[Sample]>,
) -> Option<Vec<(Sample, Marks)>> {
    let path = reference_file(&format!("tunnel-veneto-2021/{file}"))?;
    let by_time: BTreeMap<i64, f64> = csv_rows(&path, &[time, value])
        .unwrap()
        .iter()
        .filter_map(|row| {
            let local = NaiveDateTime::parse_from_str(&row[0], format).ok()?;
            let at = chrono_tz::Europe::Rome.from_local_datetime(&local).latest()?;
            Some((at.timestamp_millis(), row[1].parse().ok()?))
        })
        .collect();
    let samples: Vec<Sample> = by_time.into_iter().map(|(t_ms, v)| Sample { t_ms, v }).collect();
    let mut marks = vec![Marks::NONE; samples.len()];
    let series = Series { kind, place: Place::Inside, cadence_ms: 30 * MIN_MS, samples: &samples, beside };
    mark_series(&series, &mut marks, &mut Scratch::default());
    Some(samples.into_iter().zip(marks).collect())
}

/// The reference gauge of a tunnel, its marks worked out and applied.
fn tunnel(number: u32, format: &str) -> Option<Vec<FrostReading>> {
    let file = |what: &str| format!("tunnel{number}-ref-{what}.csv");
    let air = series(&file("airtemp"), "Temperature (°C)", "Timestamp", format, Kind::Air, None)?;
    let beside: Vec<Sample> = air.iter().map(|(sample, _)| *sample).collect();
    let humid = series(&file("rh"), "Humidity (%)", "Timestamp", "%Y-%m-%d %H:%M:%S", Kind::Humidity, Some(&beside))?;
    let humid: BTreeMap<i64, (f64, Marks)> = humid.iter().map(|(s, m)| (s.t_ms, (s.v, *m))).collect();
    let near = |t_ms: i64| humid.range(t_ms - 10 * MIN_MS..=t_ms + 10 * MIN_MS).next().map(|(_, v)| *v);
    Some(air.iter().map(|(s, m)| FrostReading::marked(Millis(s.t_ms), Some((s.v, *m)), near(s.t_ms))).collect())
}

fn site(readings: &[FrostReading], learning: Learning) -> Site<'_> {
    let place = FrostPlace {
        gauge_under: Some(NightCover::Tunnel),
        crop_under: Some(NightCover::Tunnel),
        ..FrostPlace::default()
    };
    Site { readings, outside: &[], lat_deg: 45.35, lon_deg: 11.95, place, learning }
}

fn day(year: i32, month: u32, day: u32) -> i64 {
    NaiveDate::from_ymd_opt(year, month, day).unwrap().signed_duration_since(NaiveDate::default()).num_days()
}

fn say(what: &str, tally: &FrostTally) {
    let (off_c, persistence_c) = tally.mean_off_c().unwrap();
    println!(
        "{what}: {} nights; low {off_c:.2} °C off, persistence {persistence_c:.2}; {} of {} within the range; {} at or below 1 °C, {} in time, {} warned",
        tally.compared,
        tally.within,
        tally.expected,
        tally.frosts(),
        tally.hits,
        tally.warned()
    );
}

/// The sheet's 0.7 °C is on the sample's own data; here there is neither wind nor sky to choose nights by. Asked are 2 °C, better than the rule, and two
/// thirds of what the low of the night before is off, over the clear nights of the second winter.
#[test]
fn winter_of_a_tunnel_teaches_the_next_better_than_rule_and_persistence() {
    let Some(readings) = tunnel(1, "%d/%m/%Y %H:%M:%S") else { return };
    let first = site(&readings, Learning::Never).nights(day(2021, 10, 15)..day(2022, 4, 15));
    let learned = learn(&first.iter().map(|n| n.past).collect::<Vec<_>>()).expect("ten clear nights and more");
    println!(
        "taught by {} nights, {:.2} °C left: low = {:.2} dusk {:+.2}",
        learned.nights, learned.residual_c, learned.per_dusk, learned.base_c
    );
    let second = day(2022, 10, 15)..day(2023, 4, 15);
    let by_rule = site(&readings, Learning::Never).nights(second.clone());
    let taught = site(&readings, Learning::Taught(learned)).nights(second);
    let is_learned =
        |n: &&Scored| matches!(&n.answer, Some(FrostAnswer::Outlook(o)) if matches!(o.by, FrostBy::Learned { .. }));
    let clear: Vec<i64> = taught.iter().filter(is_learned).map(|n| n.day).collect();
    let of_clear = |nights: &[Scored]| -> FrostTally {
        nights.iter().filter(|n| clear.contains(&n.day)).filter_map(|n| n.score.as_ref()).collect()
    };
    let (rule, learned_too) = (of_clear(&by_rule), of_clear(&taught));
    say("second winter, by rule", &rule);
    say("second winter, learned", &learned_too);
    assert!(learned.nights >= 40 && learned_too.compared >= 10 && rule.compared == learned_too.compared);
    let ((by_rule_c, _), (off_c, persistence_c)) = (rule.mean_off_c().unwrap(), learned_too.mean_off_c().unwrap());
    assert!(off_c <= 2.0 && off_c < by_rule_c && 3.0 * off_c <= 2.0 * persistence_c);
    assert!(by_rule_c < persistence_c);
    assert!(5 * learned_too.within >= 4 * learned_too.expected);
    assert_eq!(learned_too.misses, 0);
}

/// The first winter of tunnel 1 is where the numbers of the rule under a cover come from, but that a fall of more than 10 °C shows a clear night, which
/// tunnel 2 taught; for the warnings tunnel 2 is the test. A frost is 1 °C or less at the gauge: leaves under a cover get a degree colder. On these
/// clear plains up to two winter nights in five have one and nobody looks at the sky, so one night in three cannot be asked of the warnings. Asked is what
/// the last three nights' falls bring tunnel 2, which they were not chosen on: at most five nights in nine (62 of 97 without them, 50 with).
#[test]
fn rule_under_a_cover_tells_lows_better_than_persistence_and_misses_hardly_a_frost() {
    for (number, format) in [(1, "%d/%m/%Y %H:%M:%S"), (2, "%Y-%m-%d %H:%M:%S")] {
        let Some(readings) = tunnel(number, format) else { return };
        let nights = site(&readings, Learning::Never).nights(day(2021, 10, 15)..day(2022, 4, 15));
        let tally = tally(&nights);
        say(&format!("tunnel {number}, by rule"), &tally);
        let (off_c, persistence_c) = tally.mean_off_c().unwrap();
        assert!(tally.compared >= 40 && tally.frosts() >= 15, "{number}");
        assert!(off_c < 0.8 * persistence_c, "{number}");
        assert!(10 * tally.misses <= tally.frosts(), "{number}");
        assert!(number == 1 || 9 * tally.warned() <= 5 * tally.nights, "{number}");
    }
}
