//! Frost warnings on a mild coast: three Irish stations of 2017, October to May, asked about hour by hour as the program does.
//!
//! The rule's numbers were reasoned first and then settled on Valentia and Sherkin Island (484 nights, 19 of them at or below 2 °C). Johnstown Castle,
//! which has most of the frosts, was kept aside: it is the test. One number was changed after it had been tried, by what the two others showed (the
//! widest gap of one witness, from 6 to 5 °C); at Johnstown Castle that changed nothing, 69 nights warned and 28 of 28 in time both ways.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use chrono::Datelike;
use propstick_agronomy::frost::NightCover;
use propstick_garden::advice::frost::{FrostCall, FrostPlace, FrostReading};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::frost::{Learning, Scored, Site, tally};
use propstick_tests::weather::{HOUR_MS, IRELAND, YEAR_2017_MS, ireland_2017};
use propstick_wire::Millis;

const PLACES: [(f64, f64); 3] = [(51.938, -10.241), (52.298, -6.497), (51.476, -9.428)];

/// The station's nights from October to May, of the winter half of one calendar year: those that begin from January to May and from October on.
fn nights(station: &str, humid: bool, learning: Learning) -> Option<Vec<Scored>> {
    let (lat_deg, lon_deg) = PLACES[IRELAND.iter().position(|name| *name == station).unwrap()];
    let readings: Vec<FrostReading> = ireland_2017(station)?
        .iter()
        .filter_map(|hour| Some(FrostReading::plain(Millis(hour.from_ms), hour.t_c?, hour.rh_pct.filter(|_| humid))))
        .collect();
    let site = Site { readings: &readings, outside: &[], lat_deg, lon_deg, place: FrostPlace::default(), learning };
    let first = YEAR_2017_MS / (24 * HOUR_MS);
    let winter = |night: &Scored| !(6..=9).contains(&month_of(night.day));
    Some(site.nights(first..first + 364).into_iter().filter(winter).collect())
}

/// The station's nights as a closed tunnel has them, as far as that can be had from the open: a degree warmer and four points of humidity more (the
/// advice page's proxy). `outside`: whether the air outside is known, too.
fn tunnel_nights(station: &str, outside: bool) -> Option<Vec<Scored>> {
    let (lat_deg, lon_deg) = PLACES[IRELAND.iter().position(|name| *name == station).unwrap()];
    let open: Vec<FrostReading> = ireland_2017(station)?
        .iter()
        .filter_map(|hour| Some(FrostReading::plain(Millis(hour.from_ms), hour.t_c?, hour.rh_pct)))
        .collect();
    let under =
        |r: &FrostReading| FrostReading::plain(r.at, r.t_c.unwrap() + 1.0, r.rh_pct.map(|rh| (rh + 4.0).min(100.0)));
    let inside: Vec<FrostReading> = open.iter().map(under).collect();
    let place = FrostPlace {
        gauge_under: Some(NightCover::Tunnel),
        crop_under: Some(NightCover::Tunnel),
        ..FrostPlace::default()
    };
    let beside: &[FrostReading] = if outside { &open } else { &[] };
    let site = Site { readings: &inside, outside: beside, lat_deg, lon_deg, place, learning: Learning::Never };
    let first = YEAR_2017_MS / (24 * HOUR_MS);
    let nights = site.nights(first..first + 364);
    Some(nights.into_iter().filter(|night| !(6..=9).contains(&month_of(night.day))).collect())
}

fn month_of(day: i64) -> u32 {
    chrono::DateTime::from_timestamp_millis(day * 24 * HOUR_MS).unwrap().month()
}

fn say(station: &str, nights: &[Scored]) {
    let tally = tally(nights);
    let (off_c, persistence_c) = tally.mean_off_c().unwrap();
    println!(
        "{station}: {} nights, {} at or below 2 °C, warned {} (in time {}, without frost {}); low {off_c:.2} °C off, persistence {persistence_c:.2}; \
         {} of {} within the range",
        tally.nights,
        tally.frosts(),
        tally.warned(),
        tally.hits,
        tally.false_alarms,
        tally.within,
        tally.expected
    );
    for night in nights.iter().filter(|n| n.score.is_some_and(|s| s.call == FrostCall::Miss)) {
        let date = chrono::DateTime::from_timestamp_millis(night.day * 24 * HOUR_MS).unwrap().date_naive();
        println!("  missed {date}: {:?}, low {:?}", night.calls, night.past.low_c);
    }
}

/// Advice page, Frost: "at most one night in three warned, at most one in forty of the nights at or below 2 °C missed"; the crude rule beside it warned
/// on 194 of 723 and caught 45 of 46: "be better". A warning less than two hours ahead counts as a miss.
#[test]
fn frosts_of_three_stations_are_warned_of_two_hours_ahead_on_fewer_nights_than_by_the_crude_rule() {
    let mut all = Vec::new();
    for station in IRELAND {
        let Some(nights) = nights(station, true, Learning::Never) else { return };
        say(station, &nights);
        let tally = tally(&nights);
        assert!(3 * tally.warned() <= tally.nights, "{station}: one night in three");
        all.extend(nights);
    }
    let tally = tally(&all);
    say("all", &all);
    assert!(tally.nights >= 720 && tally.frosts() >= 46);
    assert!(40 * tally.misses <= tally.frosts(), "one frost in forty");
    assert!(tally.warned() < 194 && tally.hits >= 46);
    let (off_c, persistence_c) = tally.mean_off_c().unwrap();
    assert!(off_c < 0.7 * persistence_c);
}

/// Johnstown Castle, which the rule's numbers have not seen.
#[test]
fn frosts_of_the_station_kept_aside_are_all_warned_of() {
    let Some(nights) = nights("johnstown-castle", true, Learning::Never) else { return };
    let tally = tally(&nights);
    assert!(tally.frosts() >= 25);
    assert!(40 * tally.misses <= tally.frosts() && 3 * tally.warned() <= tally.nights);
}

/// A garden with a thermometer and no humidity gauge: the range is wider, frosts are not missed, at the price of twice the warnings.
#[test]
fn without_humidity_no_frost_is_missed_on_at_most_twice_as_many_warnings() {
    for station in IRELAND {
        let Some(nights) = nights(station, false, Learning::Never) else { return };
        say(&format!("{station} without humidity"), &nights);
        let with = tally(&self::nights(station, true, Learning::Never).unwrap());
        let without = tally(&nights);
        assert!(40 * without.misses <= without.frosts());
        assert!(without.warned() >= with.warned() && 10 * without.warned() <= 21 * with.warned(), "{station}");
    }
}

/// The same with what each gauge learns from its own clear nights as they pass.
#[test]
fn learning_its_own_nights_keeps_the_bounds() {
    let mut all = Vec::new();
    for station in IRELAND {
        let Some(nights) = nights(station, true, Learning::AsItGoes) else { return };
        say(&format!("{station}, learning"), &nights);
        all.extend(nights);
    }
    say("all, learning", &all);
    let tally = tally(&all);
    assert!(3 * tally.warned() <= tally.nights && 40 * tally.misses <= tally.frosts());
}

/// The season file from 30 April: May nights without frost (the lowest of the file is 2.9 °C).
#[test]
fn may_nights_inland_are_seldom_warned_of() {
    let Some(file) = reference_file("ireland-hourly/oak-park-2016-season.csv") else { return };
    // 2016-04-30 is day 16,921 since 1970; hours in order, stamps near the start of the hour (its README).
    let rows = csv_rows(&file, &["\"temp\"", "\"rhum\""]).unwrap();
    assert_eq!(rows.len(), 3_360);
    let readings: Vec<FrostReading> = (0..)
        .zip(&rows)
        .map(|(h, row)| {
            FrostReading::plain(Millis((16_921 * 24 + h) * HOUR_MS), row[0].parse().unwrap(), row[1].parse().ok())
        })
        .collect();
    let site = Site {
        readings: &readings,
        outside: &[],
        lat_deg: 52.861,
        lon_deg: -6.915,
        place: FrostPlace::default(),
        learning: Learning::Never,
    };
    let nights = site.nights(16_921..16_921 + 32);
    say("oak-park, May", &nights);
    let tally = tally(&nights);
    assert!(tally.nights >= 31 && tally.misses == 0 && 3 * tally.warned() <= tally.nights);
}

/// A frost is 1 °C or less at the gauge: leaves under a film get a degree colder. Johnstown Castle is kept aside here, too.
#[test]
fn closed_tunnel_with_a_gauge_outside_keeps_the_bounds() {
    let mut all = Vec::new();
    for station in IRELAND {
        for outside in [true, false] {
            let Some(nights) = tunnel_nights(station, outside) else { return };
            say(&format!("{station}, closed tunnel, outside {outside}"), &nights);
            if outside {
                let tally = tally(&nights);
                assert!(3 * tally.warned() <= tally.nights, "{station}: one night in three");
                all.extend(nights);
            }
        }
    }
    let tally = tally(&all);
    assert!(tally.nights >= 720 && 40 * tally.misses <= tally.frosts(), "one frost in forty");
}
