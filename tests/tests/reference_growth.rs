//! Growth speed in a measured mild winter against what growers see. Common practice, no source: under cover growth all but stops about mid-December
//! to early February and has clearly resumed by mid-February at 50 to 52° N.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use propstick_agronomy::growth::{self, Speed};
use propstick_agronomy::light::{Layer, cloudy_day_mj_m2};
use propstick_tests::data::{csv_rows, reference_file};

/// The speed on each day of 2017 in a tunnel 1 °C warmer than the air of the station, under an average sky.
fn speeds(station: &str, lat: f64) -> Option<Vec<Option<Speed>>> {
    let file = reference_file(&format!("ireland-hourly/{station}-2017.csv"))?;
    let hours: Vec<f64> = csv_rows(&file, &["temp"]).unwrap().iter().map(|row| row[0].parse().unwrap()).collect();
    let days: Vec<Option<f64>> = hours
        .chunks(24)
        .zip(1..)
        .map(|(day, number)| {
            let mean_c = day.iter().sum::<f64>() / 24.0 + 1.0;
            growth::of_day(mean_c, cloudy_day_mj_m2(lat, number)? * Layer::Tunnel.transmission())
        })
        .collect();
    Some(growth::speeds(&days))
}

#[test]
fn growth_stops_in_december_and_resumes_by_mid_february_at_three_stations() {
    for (station, lat) in [("valentia", 51.938), ("johnstown-castle", 52.298), ("sherkin-island", 51.476)] {
        let Some(speeds) = speeds(station, lat) else { return };
        assert_eq!(speeds.len(), 365);
        let on = |day: usize| speeds[day - 1].expect("a whole year");
        let first = |from: usize, speed: Speed| (from..=365).find(|day| on(*day) == speed).unwrap_or(999);
        let (resumed, slowed, stopped) =
            (first(20, Speed::Growing), first(250, Speed::Slow), first(250, Speed::Stopped));
        println!("{station}: growing from day {resumed}, slow from {slowed}, all but stopped from {stopped}");
        // Day 15 is mid-January, 32 the 1st and 51 the 20th of February; 335 is the 1st and 349 the 15th of December.
        assert!((7..=10).all(|day| on(day) == Speed::Stopped), "{station}");
        assert!((10..=31).all(|day| on(day) != Speed::Growing), "{station}");
        assert!((32..=51).contains(&resumed), "{station}: {resumed}");
        assert!((resumed..250).all(|day| on(day) == Speed::Growing), "{station}");
        assert!((325..=352).contains(&stopped) && slowed < stopped, "{station}: {slowed} {stopped}");
        assert!((352..=365).all(|day| on(day) == Speed::Stopped), "{station}");
    }
}

/// The ten-hour rule against it: right in February, weeks early in autumn (wetness sheet 4.2).
#[test]
fn ten_hour_rule_is_early_in_autumn() {
    use propstick_agronomy::sun::{DayLength, ShortDays};
    let Some(speeds) = speeds("valentia", 51.938) else { return };
    let short = ShortDays::of_winter(2017, 51.938, -10.241, 10.0, DayLength::Apparent).unwrap();
    // Days since 1970 of 1 January 2017.
    let begins = (short.first - 17_167 + 1) as usize;
    let stopped = (250..=365).find(|day| speeds[day - 1] == Some(Speed::Stopped)).unwrap();
    println!("ten hours from day {begins}, all but stopped from day {stopped}");
    assert!((30..=60).contains(&(stopped - begins)), "{begins} {stopped}");
}
