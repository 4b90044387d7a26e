//! The sun against pvlib (NREL's solar position algorithm) and astral over a whole year: the tables of `tests/reference`.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use chrono::{DateTime, NaiveDate};
use propstick_agronomy::sun::{self, DayLength, ShortDays, SunDay};
use propstick_tests::expected::{Expected, Row, Worst};

fn given(row: &Row<'_>, column: &str) -> f64 {
    row.number(column).unwrap().expect("a number in every row")
}

fn day_number(row: &Row<'_>, column: &str) -> i64 {
    let date: NaiveDate = row.text(column).unwrap().parse().unwrap();
    (date - NaiveDate::from_ymd_opt(1970, 1, 1).unwrap()).num_days()
}

/// Climate sheet 3.2 allows 60 s. The same definitions (centre at -0.833° and at -6°), other ephemerides.
#[test]
fn times_of_a_whole_year_are_within_the_minute_at_three_places() {
    let table = Expected::read("sun_year.csv").unwrap();
    assert_eq!(table.len(), 3 * 365);
    let mut worst: [(&str, Worst); 5] =
        ["dawn", "sunrise", "noon", "sunset", "dusk"].map(|name| (name, Worst::default()));
    let mut length = Worst::default();
    for row in table.rows() {
        let number = day_number(&row, "date");
        let sun = SunDay::of_day_number(number, given(&row, "lat"), given(&row, "lon")).unwrap();
        let ours = [sun.civil_dawn_s, sun.sunrise_s, Some(sun.noon_s), sun.sunset_s, sun.civil_dusk_s];
        for (ours, (name, worst)) in ours.into_iter().zip(&mut worst) {
            let ours_s = (ours.unwrap() - number * 86_400) as f64;
            worst.take(ours_s - given(&row, name), row);
        }
        let theirs_s = given(&row, "sunset") - given(&row, "sunrise");
        length.take(sun.length_s().unwrap() as f64 - theirs_s, row);
        let ours_s = DayLength::Apparent.seconds(number, given(&row, "lat"), given(&row, "lon")).unwrap();
        length.take(ours_s - theirs_s, row);
    }
    for (name, worst) in &worst {
        worst.within(&format!("{name}, s"), 60.0).unwrap();
    }
    length.within("day length, s", 60.0).unwrap();
}

/// The low-precision coordinates promise 0.01°. Azimuth is the harder the higher the sun: a degree of it is a smaller angle there.
#[test]
fn position_of_a_whole_year_is_within_a_hundredth_of_a_degree() {
    let table = Expected::read("sun_position.csv").unwrap();
    let (mut elevation, mut apparent, mut azimuth) = (Worst::default(), Worst::default(), Worst::default());
    for row in table.rows() {
        let at: DateTime<chrono::Utc> = row.text("instant").unwrap().parse().unwrap();
        let (at_s, lat, lon) = (at.timestamp() as f64, given(&row, "lat"), given(&row, "lon"));
        let ours = sun::position(at_s, lat, lon).unwrap();
        elevation.take(ours.elevation_deg - given(&row, "elevation_deg"), row);
        let turned = ours.azimuth_deg - given(&row, "azimuth_deg");
        let turned = turned - 360.0 * (turned / 360.0).round();
        azimuth.take(turned * ours.elevation_deg.to_radians().cos(), row);
        if ours.elevation_deg > 0.0 {
            let lifted = sun::apparent_elevation_deg(at_s, lat, lon).unwrap();
            apparent.take(lifted - given(&row, "apparent_deg"), row);
        }
    }
    // 0.01° of Meeus's coordinates.
    elevation.within("elevation, °", 0.01).unwrap();
    azimuth.within("azimuth on the sky, °", 0.01).unwrap();
    // Two formulas for the refraction of average air.
    apparent.within("apparent elevation above the horizon, °", 0.03).unwrap();
}

/// The same formula on another ephemeris and another refraction: climate sheet 3.4 allows 1 %.
#[test]
fn clear_days_of_a_whole_year_agree_within_one_percent() {
    let table = Expected::read("clear_sky.csv").unwrap();
    let mut worst = Worst::default();
    for row in table.rows() {
        let ours = sun::clear_sky_day_mj_m2(day_number(&row, "date"), given(&row, "lat"), 0.0).unwrap();
        worst.take(ours / given(&row, "mj_m2") - 1.0, row);
    }
    worst.within("clear-sky day", 0.01).unwrap();
}

/// Climate sheet 3.3 allows ±1 day: SPA is met to the day, astral, which differs from it by a day at 45 and 55° N, to one.
#[test]
fn ten_hour_dates_are_those_of_the_library() {
    for row in Expected::read("ten_hours.csv").unwrap().rows() {
        let short = ShortDays::of_winter(2026, given(&row, "lat"), 0.0, 10.0, DayLength::Apparent).unwrap();
        assert_eq!((short.first, short.last), (day_number(&row, "first"), day_number(&row, "last")), "{row}");
        for (ours, theirs) in [(short.first, "first_astral"), (short.last, "last_astral")] {
            assert!((ours - day_number(&row, theirs)).abs() <= 1, "{row}");
        }
        assert!((short.shortest_s as f64 / 3_600.0 - given(&row, "shortest_h")).abs() <= 0.01, "{row}");
    }
}
