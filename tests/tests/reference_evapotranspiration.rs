//! Evapotranspiration against pyet and refet (the tables of `tests/reference`) and against a program's answers for a whole desert year, by the day
//! and by the hour.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use chrono::{Datelike, NaiveDate, TimeDelta, TimeZone, Timelike};
use propstick_agronomy::evapotranspiration::{self as et, CoverSky, DayAir, Form, HourAir, NightSky};
use propstick_agronomy::psychrometrics::{
    pressure_at_altitude_kpa, psychrometric_constant_kpa_per_c, saturation_slope_kpa_per_c, vapour_pressure_kpa,
};
use propstick_agronomy::sun::{SunDay, fao56};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::expected::{Expected, Row, Worst};

fn given(row: &Row<'_>, column: &str) -> f64 {
    row.number(column).unwrap().expect("a number in every row")
}

fn day_of_year(row: &Row<'_>) -> u32 {
    row.text("date").unwrap().parse::<NaiveDate>().unwrap().ordinal()
}

/// The same equation as pyet's: 1e-3 mm (the weather is given to 0.1 °C, the answer to 1e-4). refet rounds some constants as ASCE does (sigma
/// 4.901e-9, slope 2503): a little more.
#[test]
fn two_libraries_agree_over_a_measured_season_and_an_invented_year() {
    let table = Expected::read("et_daily.csv").unwrap();
    assert_eq!(table.len(), 262);
    let (mut fao, mut asce, mut plain) = (Worst::default(), Worst::default(), Worst::default());
    for row in table.rows() {
        let n = |column| given(&row, column);
        let air = DayAir::of_humidities(n("t_min"), n("t_max"), n("rh_min"), n("rh_max")).unwrap();
        let (lat, altitude_m, day) = (n("lat"), n("altitude_m"), day_of_year(&row));
        let ours = et::fao56_daily_mm(&air, n("rs"), n("wind"), day, lat, altitude_m).unwrap();
        fao.take(ours - n("fao56_mm"), row);
        asce.take(ours - n("asce_mm"), row);
        let clear = et::clear_day_mj_m2(fao56::extraterrestrial_day_mj_m2(lat, day).unwrap(), altitude_m).unwrap();
        let net = et::net_radiation_mj_m2(&air, n("rs"), clear).unwrap();
        plain.take(et::reference_mm_d(&air, net, 0.0, n("wind"), altitude_m).unwrap() - ours, row);
    }
    fao.within("daily against pyet, mm", 1e-3).unwrap();
    asce.within("daily against refet, mm", 3e-3).unwrap();
    plain.within("put together by hand, mm", 1e-12).unwrap();
}

/// A whole year at a windy coast, winter with it: the same equation as pyet's, day by day and in the sum.
#[test]
fn two_libraries_agree_over_a_whole_maritime_year() {
    let table = Expected::read("et_year.csv").unwrap();
    assert_eq!(table.len(), 365);
    let (mut fao, mut asce, mut sums) = (Worst::default(), Worst::default(), (0.0, 0.0));
    for row in table.rows() {
        let n = |column| given(&row, column);
        let air = DayAir::of_humidities(n("t_min"), n("t_max"), n("rh_min"), n("rh_max")).unwrap();
        let ours = et::fao56_daily_mm(&air, n("rs"), n("wind"), day_of_year(&row), n("lat"), n("altitude_m")).unwrap();
        fao.take(ours - n("fao56_mm"), row);
        asce.take(ours - n("asce_mm"), row);
        sums = (sums.0 + ours, sums.1 + n("fao56_mm"));
    }
    println!("sums {sums:.2?} mm");
    fao.within("daily of a year against pyet, mm", 1e-3).unwrap();
    asce.within("daily of a year against refet, mm", 3e-3).unwrap();
    assert!((sums.0 - sums.1).abs() < 0.05, "{sums:?}");
}

/// The hours of twenty Irish days in refet's own form; the package takes the sky as clear for long-wave radiation while the sun is below 0.3 rad, and
/// so does this comparison.
#[test]
fn hours_agree_with_the_library_in_its_own_form() {
    let table = Expected::read("et_hourly.csv").unwrap();
    assert_eq!(table.len(), 480);
    let (mut above, mut net, mut mm) = (Worst::default(), Worst::default(), Worst::default());
    for row in table.rows() {
        let n = |column| given(&row, column);
        let (t_c, day) = (n("t_c"), day_of_year(&row));
        let air = HourAir::new(t_c, vapour_pressure_kpa(t_c, n("rh_pct")).unwrap()).unwrap();
        let ours = fao56::extraterrestrial_period_mj_m2(52.861, -6.915, day, n("hour") + 0.5, 1.0).unwrap();
        above.take(ours - n("ra"), row);
        // fcd = 1.35 x - 0.35.
        let clearness = (n("fcd") + 0.35) / 1.35;
        let ours = air.net_radiation_mj_m2(n("rs"), clearness).unwrap();
        net.take(ours - n("rn"), row);
        mm.take(et::reference_mm_h(&air, ours, 2.0, 62.0, Form::Asce2005).unwrap() - n("asce_mm"), row);
    }
    above.within("hourly radiation above the air, MJ/m²", 1e-3).unwrap();
    net.within("hourly net radiation, MJ/m²", 2e-4).unwrap();
    mm.within("hourly evapotranspiration, mm", 1e-4).unwrap();
}

/// Penman-Monteith with a given net radiation is the same equation. Makkink and Priestley-Taylor have a latent heat in the library that changes with
/// temperature (2.501 - 0.00236 T for our 2.45): up to 1.4 % at 0 to 30 °C. Priestley-Taylor is a comparison only: it knows neither wind nor dryness,
/// and stays within a third of Penman-Monteith under cover.
#[test]
fn air_under_cover_agrees_with_the_library() {
    let table = Expected::read("et_under_cover.csv").unwrap();
    let (mut at_150, mut at_295, mut makkink, mut taylor) =
        (Worst::default(), Worst::default(), Worst::default(), Worst::default());
    for row in table.rows() {
        let n = |column| given(&row, column);
        let air = DayAir::of_humidities(n("t_min"), n("t_max"), n("rh_min"), n("rh_max")).unwrap();
        let by = |resistance| et::penman_monteith_inside_mm_d(&air, n("rn"), resistance, 50.0).unwrap();
        at_150.take(by(150.0) - n("ra_150_mm"), row);
        at_295.take(by(295.0) - n("ra_295_mm"), row);
        let ours = et::makkink_mm_d(air.mean_c(), n("sun"), 50.0).unwrap();
        makkink.take(ours / n("makkink_mm") - 1.0, row);
        let slope = saturation_slope_kpa_per_c(air.mean_c()).unwrap();
        let gamma = psychrometric_constant_kpa_per_c(pressure_at_altitude_kpa(50.0).unwrap()).unwrap();
        taylor.take(1.26 * slope / (slope + gamma) * n("rn") / 2.45 / n("priestley_taylor_mm") - 1.0, row);
        if n("rn") >= 3.0 {
            let share = by(150.0) / n("priestley_taylor_mm");
            assert!((0.67..1.5).contains(&share), "{row}: {share}");
        }
        // A wet film keeps what a dry one loses: at least as much water is used.
        let used = |sky| et::under_cover_mm_d(&air, None, n("sun"), sky, 50.0).unwrap().mm_d;
        assert!(used(CoverSky::WetOrFleece) >= used(CoverSky::DryFilm));
    }
    at_150.within("under cover, r_a 150, mm", 1e-3).unwrap();
    at_295.within("under cover, r_a 295, mm", 1e-3).unwrap();
    makkink.within("Makkink", 0.021).unwrap();
    taylor.within("Priestley-Taylor", 0.021).unwrap();
}

/// The table of FAO-56's worked examples and its Table 2.3, row by row; every figure is held to a unit of the last digit printed.
#[test]
fn worked_examples_of_the_published_table_are_reproduced() {
    let Some(file) = reference_file("published-rules/fao56-worked-examples.csv") else { return };
    let rows = csv_rows(&file, &["example", "inputs", "quantity", "expected"]).unwrap();
    let uccle = DayAir::of_humidities(12.3, 21.5, 63.0, 84.0).unwrap();
    let wind = et::wind_at_2m_m_s(10.0 / 3.6, 10.0).unwrap();
    let sun = et::sun_of_sunshine_mj_m2(50.8, 187, 9.25).unwrap();
    let clear = et::clear_day_mj_m2(fao56::extraterrestrial_day_mj_m2(50.8, 187).unwrap(), 100.0).unwrap();
    let example_5 = DayAir::of_humidities(18.0, 25.0, 54.0, 82.0).unwrap();
    for row in &rows {
        let [example, inputs, quantity, expected] = [0, 1, 2, 3].map(|i| row[i].as_str());
        let ours = match (example, quantity) {
            ("table-2.3", _) => vapour_pressure_kpa(inputs.trim_start_matches("T=").parse().unwrap(), 100.0).unwrap(),
            ("example-3", _) => DayAir::new(15.0, 24.5, 1.0).unwrap().saturation_kpa(),
            ("example-5", "actual vapour pressure") => example_5.vapour_kpa(),
            ("example-5", _) => example_5.saturation_kpa() - example_5.vapour_kpa(),
            ("example-18", "reference evapotranspiration") => {
                et::fao56_daily_mm(&uccle, sun, wind, 187, 50.8, 100.0).unwrap()
            }
            ("example-18", "actual vapour pressure") => uccle.vapour_kpa(),
            ("example-18", "mean saturation vapour pressure") => uccle.saturation_kpa(),
            ("example-18", "solar radiation Rs") => sun,
            ("example-18", "net radiation Rn") => et::net_radiation_mj_m2(&uccle, sun, clear).unwrap(),
            _ => panic!("an example that is not known: {row:?}"),
        };
        let digit = 0.1_f64.powi(expected.split('.').nth(1).map_or(0, str::len) as i32);
        let wanted: f64 = expected.parse().unwrap();
        assert!((ours - wanted).abs() <= digit, "{row:?}: {ours}");
    }
    assert_eq!(rows.len(), 15);
}

/// Fallon, Nevada: the place of the data's README.
const LAT: f64 = 39.4575;
const LON: f64 = -118.77388;
const ALTITUDE_M: f64 = 1_208.5;

/// ASCE-EWRI 2005, appendix D: clear-sky radiation of a whole day with turbidity and water vapour, which the program that gave the answers uses in
/// the place of eq 37. A comparison that lives here only. `above` in MJ/m².
fn full_clear_sky(above: f64, vapour_kpa: f64, day: u32) -> f64 {
    let pressure_kpa = pressure_at_altitude_kpa(ALTITUDE_M).unwrap();
    let (lat, water_mm) = (LAT.to_radians(), 0.14 * vapour_kpa * pressure_kpa + 2.1);
    let angle = 2.0 * std::f64::consts::PI * f64::from(day) / 365.0 - 1.39;
    let sin_24 = (0.85 + 0.3 * lat * angle.sin() - 0.42 * lat * lat).sin().max(0.1);
    let beam = 0.98 * ((-0.00146 * pressure_kpa) / sin_24 - 0.075 * (water_mm / sin_24).powf(0.4)).exp();
    let diffuse = if beam >= 0.15 { 0.35 - 0.36 * beam } else { 0.18 + 0.82 * beam };
    (beam + diffuse) * above
}

/// The README: refet agrees "daily within 0.007 mm/day in its program-compatible mode, within 0.14 mm/day by the standard's letter (another
/// net-radiation constant)". The other constant is the clear-sky radiation of net long-wave loss: with the program's own, everything else is FAO-56
/// to 0.02 mm, with eq 37 to the 0.14 of the README (to its two digits: FAO-56's sigma is 4.903e-9, ASCE's 4.901e-9).
#[test]
fn every_day_of_a_desert_year_agrees_with_the_program() {
    let Some(file) = reference_file("et0-reference-2015/daily-expected-2015.csv") else { return };
    let input = reference_file("et0-reference-2015/daily-input-2015.csv").expect("beside the other");
    let expected =
        csv_rows(&file, &["month", "day", "tmax_c", "tmin_c", "rs_mj_m2", "wind_ms", "dewpoint_c", "eto_mm_d"]);
    let input = csv_rows(&input, &["MN", "MX", "SR", "YM", "UA"]).unwrap();
    let expected = expected.unwrap();
    assert_eq!((expected.len(), input.len()), (365, 365));
    let (mut letter, mut program, mut sums, mut left_out) = (Worst::default(), Worst::default(), (0.0, 0.0, 0.0), 0);
    for (row, raw) in expected.iter().zip(&input) {
        let n = |i: usize| row[i].parse::<f64>().unwrap();
        let date = NaiveDate::from_ymd_opt(2015, n(0) as u32, n(1) as u32).unwrap();
        let theirs = n(7);
        // The input's units: °F, langleys, of which the program makes 41,868 J each, miles per hour at 3 m. One day lacks its radiation; there the
        // program's own figure is taken.
        let raw: Vec<Option<f64>> = raw.iter().map(|text| text.parse::<f64>().ok()).collect();
        let celsius = |i: usize| raw[i].map(|f| (f - 32.0) / 1.8);
        let (min_c, max_c) = (celsius(0).unwrap_or(n(3)), celsius(1).unwrap_or(n(2)));
        let sun = raw[2].map_or(n(4), |langleys| langleys * 0.041_868);
        let wind = et::wind_at_2m_m_s(raw[4].map_or(n(5), |mph| mph * 0.447_04), 3.0).unwrap();
        if raw.iter().any(Option::is_none) {
            left_out += 1;
        }
        let air = DayAir::of_dew_point(min_c, max_c, celsius(3).unwrap_or(n(6))).unwrap();
        let day = date.ordinal();
        let by_letter = et::fao56_daily_mm(&air, sun, wind, day, LAT, ALTITUDE_M).unwrap();
        letter.take(by_letter - theirs, date);
        let above = fao56::extraterrestrial_day_mj_m2(LAT, day).unwrap();
        let clear = full_clear_sky(above, air.vapour_kpa(), day);
        let net = et::net_radiation_mj_m2(&air, sun, clear).unwrap();
        let by_program = et::reference_mm_d(&air, net, 0.0, wind, ALTITUDE_M).unwrap();
        program.take(by_program - theirs, date);
        sums = (sums.0 + by_letter, sums.1 + by_program, sums.2 + theirs);
    }
    println!(
        "sums by letter {:.2}, with its clear sky {:.2}, the program's {:.2}; {left_out} day lacks something",
        sums.0, sums.1, sums.2
    );
    assert_eq!(left_out, 1);
    // The README's annual sum.
    assert!((sums.2 - 1_310.96).abs() < 0.01);
    letter.within("daily by FAO-56's letter, mm", 0.145).unwrap();
    program.within("daily with the program's clear sky, mm", 0.02).unwrap();
    assert!((sums.1 - sums.2).abs() < 1.5, "{sums:?}");
}

/// The hours of the year: the program carries night cloudiness over in its own way, so the tolerance is wide, as the README says (refet 1333 to 1347
/// mm against 1380, up to 0.27 mm in one hour).
///
/// The README calls the stamps the end of the hour. By the radiation they are its middle: its centroid over the year falls on the sun's highest stand
/// to five minutes (asserted below), where stamps at the end would put it half an hour late. Taken as ends, every afternoon would end in false cloud
/// and the year in 1435 mm.
#[test]
fn hours_of_a_desert_year_agree_widely() {
    let Some(file) = reference_file("et0-reference-2015/hourly-expected-2015.csv") else { return };
    let columns = ["month", "day", "hhmm", "tmax_c", "rs_wm2", "wind_ms", "dewpoint_c", "eto_mm_h"];
    let expected = csv_rows(&file, &columns).unwrap();
    assert_eq!(expected.len(), 8_758);
    let (mut worst, mut sum, mut theirs_sum, mut square) = (Worst::default(), 0.0, 0.0, 0.0_f64);
    let (mut after_noon, mut light) = (0.0, 0.0);
    let mut sky = NightSky::default();
    for row in &expected {
        let n = |i: usize| row[i].parse::<f64>().unwrap();
        let date = NaiveDate::from_ymd_opt(2015, n(0) as u32, n(1) as u32).unwrap();
        // Local stamps with summer time.
        let local = date.and_hms_opt((n(2) / 100.0) as u32, 0, 0).unwrap();
        let stamp = chrono_tz::America::Los_Angeles.from_local_datetime(&local).latest().expect("an hour of the clock");
        let middle = stamp.naive_utc();
        let (day, middle_h) = ((middle - TimeDelta::hours(8)).ordinal(), f64::from(middle.hour()));
        let (t_c, sun) = (n(3), n(4) * 0.003_6);
        let noon_s = SunDay::of_day_number(middle.and_utc().timestamp().div_euclid(86_400), LAT, LON).unwrap().noon_s;
        // The noon nearest to the hour.
        let from_noon_h = (middle.and_utc().timestamp() - noon_s) as f64 / 3_600.0;
        after_noon += sun * (from_noon_h - 24.0 * (from_noon_h / 24.0).round());
        light += sun;
        let air = HourAir::new(t_c, vapour_pressure_kpa(n(6), 100.0).unwrap()).unwrap();
        let above = fao56::extraterrestrial_period_mj_m2(LAT, LON, day, middle_h, 1.0).unwrap();
        let clear = et::clear_day_mj_m2(above, ALTITUDE_M).unwrap();
        sky = sky.after(middle_h, day, LAT, LON, sun, clear).unwrap();
        // Clear until the first sun: desert.
        let net = air.net_radiation_mj_m2(sun, sky.clearness().unwrap_or(1.0)).unwrap();
        let wind = et::wind_at_2m_m_s(n(5), 3.0).unwrap();
        let ours = et::reference_mm_h(&air, net, wind, ALTITUDE_M, Form::Asce2005).unwrap();
        worst.take(ours - n(7), stamp);
        sum += ours;
        theirs_sum += n(7);
        square += (ours - n(7)).powi(2);
    }
    let (centroid_min, rms) = (after_noon / light * 60.0, (square / 8_758.0).sqrt());
    println!("centroid {centroid_min:.1} min after noon; sum {sum:.2}, the program's {theirs_sum:.2}, rms {rms:.4}");
    assert!(centroid_min.abs() < 10.0, "{centroid_min}");
    assert!((theirs_sum - 1_380.42).abs() < 0.01);
    assert!((sum / theirs_sum - 1.0).abs() < 0.01, "{sum}");
    worst.within("hourly against the program, mm", 0.27).unwrap();
    assert!(rms < 0.012, "{rms}");
}
