use super::*;
use proptest::prelude::*;

/// Seconds of "hh:mm:ss".
fn clock(text: &str) -> i64 {
    text.split(':').fold(0, |sum, part| sum * 60 + part.parse::<i64>().unwrap())
}

#[test]
fn sun_times_of_the_table_of_3_2_are_met_within_a_minute() {
    // Climate sheet 3.2 [library: astral 3.2], UTC, tolerance 60 s: lat, lon, date, dawn, sunrise, noon, sunset, dusk.
    let rows = [
        (52.0, -1.0, (2026, 12, 21), ["07:28:22", "08:10:08", "12:01:49", "15:54:00", "16:35:46"]),
        (52.0, -1.0, (2027, 3, 20), ["05:33:23", "06:07:39", "12:11:39", "18:16:22", "18:50:44"]),
        (52.0, -1.0, (2027, 6, 21), ["02:54:13", "03:44:06", "12:05:39", "20:27:26", "21:17:19"]),
        (50.0, -5.0, (2026, 12, 21), ["07:36:57", "08:16:13", "12:17:49", "16:19:56", "16:59:12"]),
        (58.0, -6.0, (2026, 12, 21), ["08:15:54", "09:08:52", "12:21:49", "15:35:17", "16:28:15"]),
    ];
    for (lat, lon, (year, month, day), times) in rows {
        let sun = SunDay::of_date(year, month, day, lat, lon).unwrap();
        let midnight = days_since_1970(year, month, day).unwrap() * 86_400;
        let got = [sun.civil_dawn_s, sun.sunrise_s, Some(sun.noon_s), sun.sunset_s, sun.civil_dusk_s];
        for (got, want) in got.into_iter().zip(times) {
            let off = got.unwrap() - midnight - clock(want);
            assert!(off.abs() <= 60, "{lat} {year}-{month}-{day} {want}: off by {off} s");
        }
    }
}

#[test]
fn spa_reference_case_of_3_2_is_met() {
    // [library: pvlib 0.16.1], equal to Reda & Andreas 2004: 2003-10-17 at 39.742476 N, 105.1786 W, UTC-7.
    let (lat, lon) = (39.742476, -105.1786);
    let midnight = days_since_1970(2003, 10, 17).unwrap() * 86_400 + 7 * 3_600;
    let sun = SunDay::of_date(2003, 10, 17, lat, lon).unwrap();
    // SPA gives the events of the UTC date: its sunset, at 00:20 UTC, closes the local day before.
    let eve = SunDay::of_date(2003, 10, 16, lat, lon).unwrap();
    for (got, want) in
        [(sun.sunrise_s.unwrap(), "06:12:43"), (sun.noon_s, "11:46:05"), (eve.sunset_s.unwrap() + 86_400, "17:20:19")]
    {
        assert!((got - midnight - clock(want)).abs() <= 60, "{want}: {}", got - midnight);
    }
    // Zenith 50.11162° with refraction at 82 kPa; at sea level the lift is larger by about 0.004°.
    let at_s = (midnight + clock("12:30:30")) as f64;
    let apparent = apparent_elevation_deg(at_s, lat, lon).unwrap();
    assert!((apparent - (90.0 - 50.11162)).abs() < 0.01, "{apparent}");
}

#[test]
fn highest_sun_of_21_december_is_that_of_3_2() {
    // Climate sheet 3.2 [library: pvlib 0.16.1], true elevation; apparent 0.06 to 0.10° above it.
    for (lat, want) in [(50.0, 16.56), (52.0, 14.56), (55.0, 11.56), (58.0, 8.56)] {
        let noon_s = SunDay::of_date(2026, 12, 21, lat, 0.0).unwrap().noon_s as f64;
        let elevation = elevation_deg(noon_s, lat, 0.0).unwrap();
        assert!((elevation - want).abs() <= 0.01, "{lat}: {elevation}");
        let lift = apparent_elevation_deg(noon_s, lat, 0.0).unwrap() - elevation;
        assert!((0.05..=0.105).contains(&lift), "{lat}: {lift}");
    }
}

#[test]
fn length_of_the_day_about_the_ten_hour_dates_is_that_of_3_3() {
    // Climate sheet 3.3, 52 N at longitude 0 [library: astral 3.2], ±0.02 h.
    let rows = [(2026, 10, 25, 10.039), (2026, 10, 26, 9.976), (2027, 2, 15, 9.955), (2027, 2, 16, 10.019)];
    for (year, month, day, hours) in rows {
        let sun = SunDay::of_date(year, month, day, 52.0, 0.0).unwrap();
        let got = (sun.sunset_s.unwrap() - sun.sunrise_s.unwrap()) as f64 / 3_600.0;
        assert!((got - hours).abs() <= 0.02, "{year}-{month}-{day}: {got}");
    }
}

#[test]
fn clear_sky_days_of_3_4_are_met_within_one_percent() {
    // Climate sheet 3.4, Haurwitz column, MJ/m² d, 288 steps of 5 min from 00:02:30 UTC at longitude 0.
    let rows = [
        (50.0, 12, 21, 4.37),
        (52.0, 12, 21, 3.57),
        (55.0, 12, 21, 2.44),
        (58.0, 12, 21, 1.44),
        (52.0, 10, 25, 9.06),
        (52.0, 2, 15, 8.82),
        (52.0, 3, 21, 16.32),
        (52.0, 6, 21, 31.22),
    ];
    for (lat, month, day, want) in rows {
        let midnight_s = days_since_1970(2026, month, day).unwrap() as f64 * 86_400.0;
        let sum: f64 = (0..288)
            .map(|n| apparent_elevation_deg(midnight_s + 150.0 + 300.0 * f64::from(n), lat, 0.0).unwrap())
            .map(|elevation| clear_sky_w_m2(elevation).unwrap() * 300.0 / 1e6)
            .sum();
        assert!((sum - want).abs() <= 0.01 * want, "{lat} {day}.{month}.: {sum}, want {want}");
    }
}

#[test]
fn polar_day_and_night_have_a_noon_and_no_rising() {
    let night = SunDay::of_date(2026, 12, 21, 70.0, 20.0).unwrap();
    assert_eq!((night.sunrise_s, night.sunset_s), (None, None));
    assert!(night.civil_dawn_s.is_some());
    let day = SunDay::of_date(2026, 6, 21, 70.0, 20.0).unwrap();
    assert_eq!((day.civil_dawn_s, day.sunrise_s, day.sunset_s, day.civil_dusk_s), (None, None, None, None));
    // 60.5° N at midsummer: the sun sets, yet it never gets as dark as civil dusk.
    let white = SunDay::of_date(2026, 6, 21, 60.7, 20.0).unwrap();
    assert!(white.sunset_s.is_some() && white.civil_dusk_s.is_none());
}

#[test]
fn dates_and_places_that_do_not_exist_give_none() {
    assert_eq!(SunDay::of_date(2026, 2, 29, 52.0, 0.0), None);
    assert!(SunDay::of_date(2028, 2, 29, 52.0, 0.0).is_some());
    assert_eq!(SunDay::of_date(2026, 13, 1, 52.0, 0.0), None);
    assert_eq!(SunDay::of_date(2026, 4, 31, 52.0, 0.0), None);
    assert_eq!(SunDay::of_date(2026, 4, 0, 52.0, 0.0), None);
    assert_eq!(SunDay::of_date(1899, 12, 31, 52.0, 0.0), None);
    assert_eq!(SunDay::of_date(2026, 4, 1, 91.0, 0.0), None);
    assert_eq!(SunDay::of_date(2026, 4, 1, f64::NAN, 0.0), None);
    assert_eq!(elevation_deg(f64::NAN, 52.0, 0.0), None);
    assert_eq!(elevation_deg(1e12, 52.0, 0.0), None);
    assert_eq!(elevation_deg(0.0, 52.0, 181.0), None);
    assert_eq!(clear_sky_w_m2(f64::NAN), None);
    assert_eq!(clear_sky_w_m2(-0.1), Some(0.0));
}

#[test]
fn day_numbers_are_those_of_the_calendar() {
    // 2000-01-01 is Unix day 10957; 2100 is not a leap year.
    assert_eq!(days_since_1970(1970, 1, 1), Some(0));
    assert_eq!(days_since_1970(2000, 1, 1), Some(10_957));
    assert_eq!(days_since_1970(1900, 1, 1), Some(-25_567));
    assert_eq!(days_since_1970(2100, 12, 31), Some(47_846));
    assert_eq!(days_since_1970(2100, 2, 29), None);
    assert_eq!(days_since_1970(2027, 3, 1).unwrap() - days_since_1970(2027, 2, 28).unwrap(), 1);
}

#[test]
fn the_sun_stands_where_it_should_at_its_own_events_all_year_round() {
    for day_number in 20_454..20_454 + 366 {
        for (lat, lon) in [(50.0, -5.0), (58.0, 6.0), (-40.0, 175.0), (0.0, -179.9)] {
            let sun = SunDay::of_day_number(day_number, lat, lon).unwrap();
            for (at_s, want) in
                [(sun.civil_dawn_s, -6.0), (sun.sunrise_s, -0.833), (sun.sunset_s, -0.833), (sun.civil_dusk_s, -6.0)]
            {
                let elevation = elevation_deg(at_s.unwrap() as f64, lat, lon).unwrap();
                assert!((elevation - want).abs() < 0.003, "{day_number} {lat}: {elevation} for {want}");
            }
            assert!(sun.civil_dawn_s < sun.sunrise_s && sun.sunrise_s < Some(sun.noon_s));
            assert!(Some(sun.noon_s) < sun.sunset_s && sun.sunset_s < sun.civil_dusk_s);
            let local_noon = (sun.noon_s + (lon * 240.0) as i64) - day_number * 86_400;
            assert!((local_noon - 43_200).abs() < 17 * 60, "{day_number} {lon}: {local_noon}");
        }
    }
}

proptest! {
    #[test]
    fn prop_no_place_or_instant_gives_nan(lat: f64, lon: f64, at: f64, day in -30_000_i64..60_000) {
        for value in [elevation_deg(at, lat, lon), apparent_elevation_deg(at, lat, lon), clear_sky_w_m2(at)] {
            prop_assert!(value.is_none_or(f64::is_finite));
        }
        let _ = SunDay::of_day_number(day, lat, lon);
    }

    #[test]
    fn prop_anywhere_on_earth_has_a_noon(lat in -90.0..=90.0, lon in -180.0..=180.0, day in -25_567_i64..=47_846) {
        let sun = SunDay::of_day_number(day, lat, lon).unwrap();
        prop_assert!(sun.sunrise_s.is_some() == sun.sunset_s.is_some() || lat.abs() > 60.0);
        prop_assert!(sun.noon_s != 0);
    }
}
