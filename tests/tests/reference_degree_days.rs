//! Degree-days against a calculator's answers for a whole measured year, and against the sums that the data's README gives for three Irish stations.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use chrono::{NaiveDate, NaiveDateTime};
use propstick_agronomy::coverage::{HOUR_MS, Sample};
use propstick_agronomy::degree_days::integrated::{of_hours, of_samples};
use propstick_agronomy::degree_days::{Cutoff, DayRange, DegreeDays, Limits, Method};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::expected::Worst;

const METHODS: [(&str, Method); 4] = [
    ("sngsine", Method::SingleSine),
    ("dblsine", Method::DoubleSine),
    ("sngtri", Method::SingleTriangle),
    ("dbltri", Method::DoubleTriangle),
];
const CUTOFFS: [(&str, Cutoff); 3] =
    [("horiz", Cutoff::Horizontal), ("vert", Cutoff::Vertical), ("intrmd", Cutoff::Intermediate)];

/// The days of 2020, °F, each with the next one's lowest; the calculator takes the last day's own.
fn days_2020() -> Option<Vec<DayRange>> {
    let file = reference_file("degree-days-reference/daily-minmax-2020.csv")?;
    let rows = csv_rows(&file, &["\"tmin\"", "\"tmax\""]).unwrap();
    let number = |text: &String| text.parse::<f64>().unwrap();
    let min = |i: usize| number(&rows[i][0]);
    let day = |i: usize| {
        let next = if i + 1 < rows.len() { min(i + 1) } else { min(i) };
        DayRange::new(min(i), number(&rows[i][1])).unwrap().with_next_min(next).unwrap()
    };
    Some((0..rows.len()).map(day).collect())
}

/// The calculator prints two decimals: 0.0051 is their rounding. 4,392 comparisons.
#[test]
fn every_day_of_a_year_agrees_by_four_methods_with_three_cutoffs() {
    let Some(days) = days_2020() else { return };
    let file = reference_file("degree-days-reference/expected-all-methods-low50-high70.csv").expect("beside the other");
    assert_eq!(days.len(), 366);
    for (method_name, method) in METHODS {
        for (cutoff_name, cutoff) in CUTOFFS {
            let column = format!("{method_name}_{cutoff_name}");
            let limits = Limits::between(50.0, 70.0, cutoff).unwrap();
            let rows = csv_rows(&file, &["date", &column]).unwrap();
            assert_eq!(rows.len(), days.len());
            let mut worst = Worst::default();
            for (row, day) in rows.iter().zip(&days) {
                let ours = DegreeDays::of(*day, method, limits).unwrap().value_c_d;
                worst.take(ours - row[1].parse::<f64>().unwrap(), row.join(" "));
            }
            worst.within(&column, 0.0051).unwrap();
        }
    }
}

/// The equations know no unit: the same days in °C, between 10 and 21.1 °C, give 1/1.8 of the calculator's figures by all six methods of a range; and climate sheet 2.3, 1250 °F d
/// are 694.4 °C d.
#[test]
fn days_in_celsius_give_the_same_by_every_method_and_cutoff() {
    let Some(file) = reference_file("degree-days-reference/daily-minmax-2020.csv") else { return };
    let rows = csv_rows(&file, &["\"tmin\"", "\"tmax\""]).unwrap();
    let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
    let days: Vec<[f64; 2]> = rows.iter().map(|row| [0, 1].map(|i| row[i].parse().unwrap())).collect();
    let mut compared = 0;
    for method in Method::ALL.into_iter().filter(|method| *method != Method::Integrated) {
        for (_, cutoff) in CUTOFFS {
            let sum = |unit: &dyn Fn(f64) -> f64, low: f64, high: f64| -> f64 {
                let limits = Limits::between(low, high, cutoff).unwrap();
                let of = |today: &[f64; 2], next: &[f64; 2]| {
                    let day =
                        DayRange::new(unit(today[0]), unit(today[1])).unwrap().with_next_min(unit(next[0])).unwrap();
                    DegreeDays::of(day, method, limits).map(|found| found.value_c_d)
                };
                days.windows(2).filter_map(|pair| of(&pair[0], &pair[1])).sum()
            };
            let (in_f, in_c) = (sum(&|f| f, 50.0, 70.0), sum(&celsius, 10.0, celsius(70.0)));
            compared += usize::from(in_c > 100.0);
            assert!((in_f / 1.8 - in_c).abs() < 1e-6, "{} {cutoff:?}: {in_f} {in_c}", method.name());
        }
    }
    println!("{compared} sums of a year");
    // Four by three, and the two averages, which know one cut-off.
    assert_eq!(compared, 14);
    assert!((1_250.0_f64 / 1.8 - 694.4).abs() < 0.05);
}

/// The yearly sums of the data's README, horizontal cut-off. They are sums of 366 rounded figures: each may be 0.005 off, all of them together by
/// chance some 0.06 (sd 0.0029 times the root of 366).
#[test]
fn sums_of_the_year_are_those_of_the_calculator() {
    let Some(days) = days_2020() else { return };
    let limits = Limits::between(50.0, 70.0, Cutoff::Horizontal).unwrap();
    let sums = [
        (Method::SingleSine, 4_011.14),
        (Method::DoubleSine, 4_012.03),
        (Method::SingleTriangle, 4_093.86),
        (Method::DoubleTriangle, 4_095.40),
    ];
    for (method, wanted) in sums {
        let sum: f64 = days.iter().map(|day| DegreeDays::of(*day, method, limits).unwrap().value_c_d).sum();
        println!("{}: {sum:.3} against {wanted}", method.name());
        assert!((sum - wanted).abs() <= 0.2, "{}: {sum}", method.name());
    }
}

/// Whole days of hourly temperatures of a station of 2017, °C.
fn irish_days(station: &str) -> Option<Vec<Vec<f64>>> {
    let file = reference_file(&format!("ireland-hourly/{station}-2017.csv"))?;
    let rows = csv_rows(&file, &["temp"]).unwrap();
    let hours: Vec<f64> = rows.iter().map(|row| row[0].parse().unwrap()).collect();
    assert_eq!(hours.len(), 8_760);
    Some(hours.chunks(24).map(<[f64]>::to_vec).collect())
}

/// The README's table: above 5 °C by UTC days, from the mean of 24 hours, from (min + max)/2, and as the sum of hourly excess. Printed to 0.1.
#[test]
fn irish_sums_are_those_of_the_readme() {
    let table = [
        ("valentia", 2_316.7, 2_260.0, 2_332.8),
        ("johnstown-castle", 2_067.8, 2_033.4, 2_094.1),
        ("sherkin-island", 2_297.5, 2_283.5, 2_308.1),
    ];
    for (station, of_mean, of_average, of_excess) in table {
        let Some(days) = irish_days(station) else { return };
        let above = Limits::above(5.0).unwrap();
        let by = |low: f64, high: f64| DegreeDays::of_day(low, high, Method::Average1, 5.0, None).unwrap().value_c_d;
        let (mut mean, mut average, mut excess, mut line) = (0.0, 0.0, 0.0, 0.0);
        let samples: Vec<Sample> =
            days.iter().flatten().enumerate().map(|(h, t_c)| Sample { t_ms: h as i64 * HOUR_MS, v: *t_c }).collect();
        for (n, day) in days.iter().enumerate() {
            let day_mean = day.iter().sum::<f64>() / 24.0;
            let (low, high) = day.iter().fold((f64::MAX, f64::MIN), |(l, h), t| (t.min(l), t.max(h)));
            mean += by(day_mean, day_mean);
            average += by(low, high);
            let hours: Vec<Option<f64>> = day.iter().copied().map(Some).collect();
            excess += of_hours(&hours, above).unwrap().degree_days.value_c_d;
            let from_ms = n as i64 * 24 * HOUR_MS;
            line += of_samples(&samples, from_ms, from_ms + 24 * HOUR_MS, above).unwrap().degree_days.value_c_d;
        }
        println!("{station}: mean {mean:.2}, average {average:.2}, hours {excess:.2}, line {line:.2}");
        assert!((mean - of_mean).abs() <= 0.051 && (average - of_average).abs() <= 0.051, "{station}");
        assert!((excess - of_excess).abs() <= 0.051, "{station}: {excess}");
        // The same readings joined by lines: only the hours that cross the base differ.
        assert!((line / excess - 1.0).abs() <= 0.0005, "{station}: {line} against {excess}");
    }
}

/// Seven weeks of outside air every five minutes: what an hourly reading loses.
#[test]
fn hourly_readings_integrate_like_five_minute_ones() {
    let Some(file) = reference_file("greenhouse-lettuce-2022/outside-5min.csv") else { return };
    let rows = csv_rows(&file, &["Date", "Tout "]).unwrap();
    let samples: Vec<Sample> = rows
        .iter()
        .filter_map(|row| {
            let at = NaiveDateTime::parse_from_str(&row[0], "%m/%d/%Y %H:%M").unwrap();
            Some(Sample { t_ms: at.and_utc().timestamp_millis(), v: row[1].parse().ok()? })
        })
        .collect();
    let mut hourly: Vec<Sample> = Vec::new();
    for s in &samples {
        if hourly.last().is_none_or(|last| s.t_ms - last.t_ms >= 55 * 60_000) {
            hourly.push(*s);
        }
    }
    let above = Limits::above(4.0).unwrap();
    let first = NaiveDate::from_ymd_opt(2022, 2, 2).unwrap().and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp_millis();
    let (mut worst, mut total, mut holed) = (Worst::default(), (0.0, 0.0), 0);
    for day in 0..46 {
        let (from_ms, to_ms) = (first + day * 24 * HOUR_MS, first + (day + 1) * 24 * HOUR_MS);
        let dense = of_samples(&samples, from_ms, to_ms, above).unwrap();
        let sparse = of_samples(&hourly, from_ms, to_ms, above).unwrap();
        assert!(dense.low_c_d <= dense.degree_days.value_c_d && dense.degree_days.value_c_d <= dense.high_c_d);
        // A hole in the record makes hourly picks lie far apart: there the doubt that is stated must hold the truth.
        let truth = dense.degree_days.value_c_d;
        if sparse.covered == 1.0 {
            worst.take(truth - sparse.degree_days.value_c_d, format!("day {day}"));
        } else {
            holed += 1;
            assert!(sparse.low_c_d <= truth && truth <= sparse.high_c_d, "day {day}: {truth} of {sparse:?}");
        }
        total = (total.0 + dense.degree_days.value_c_d, total.1 + sparse.degree_days.value_c_d);
    }
    println!("sums {total:?}; {holed} days with a hole");
    assert!((1..=4).contains(&holed), "{holed}");
    worst.within("hourly against five-minute readings, °C d", 0.1).unwrap();
    assert!((total.0 / total.1 - 1.0_f64).abs() < 0.005, "{total:?}");
}
