use super::integrated::{Measured, of_hours, of_samples};
use super::*;
use crate::coverage::Sample;
use alloc::vec;
use alloc::vec::Vec;
use proptest::prelude::*;

fn limits(base_c: f64, upper_c: Option<f64>, cutoff: Cutoff) -> Limits {
    match upper_c {
        Some(upper_c) => Limits::between(base_c, upper_c, cutoff).unwrap(),
        None => Limits::above(base_c).unwrap(),
    }
}

fn value(min_c: f64, max_c: f64, method: Method, base_c: f64, upper_c: Option<f64>) -> f64 {
    DegreeDays::of_day(min_c, max_c, method, base_c, upper_c).unwrap().value_c_d
}

#[test]
fn zalom_table_7_is_reproduced() {
    // [published: Zalom Table 7, °F, L 55, U 90, horizontal] ±0.01: min, max, next min, single and double triangle, single and double sine.
    // The leaflet prints 24.88 for the double triangle of 60/100/75; 27.12 follows from its own method (climate sheet 2.2 and 8).
    let rows = [
        (96.0, 110.0, 91.0, [35.00, 35.00, 35.00, 35.00]),
        (45.0, 54.0, 38.0, [0.0, 0.0, 0.0, 0.0]),
        (60.0, 80.0, 75.0, [15.00, 18.75, 15.00, 18.75]),
        (75.0, 88.0, 60.0, [26.50, 22.75, 26.50, 22.75]),
        (50.0, 82.0, 45.0, [11.39, 10.62, 11.85, 11.31]),
        (45.0, 70.0, 50.0, [4.50, 5.06, 5.31, 5.70]),
        (60.0, 100.0, 75.0, [23.75, 27.12, 22.82, 26.26]),
        (75.0, 95.0, 60.0, [29.38, 25.76, 28.91, 25.30]),
        (50.0, 101.0, 48.0, [19.56, 19.19, 18.95, 18.69]),
        (48.0, 95.0, 50.0, [16.76, 17.13, 16.96, 17.23]),
    ];
    let methods = [Method::SingleTriangle, Method::DoubleTriangle, Method::SingleSine, Method::DoubleSine];
    for (min, max, next, wanted) in rows {
        let day = DayRange::new(min, max).unwrap().with_next_min(next).unwrap();
        for (method, wanted) in methods.into_iter().zip(wanted) {
            let got = DegreeDays::of(day, method, limits(55.0, Some(90.0), Cutoff::Horizontal)).unwrap().value_c_d;
            assert!((got - wanted).abs() <= 0.01, "{min} {max} {next} {method:?}: {got}, printed {wanted}");
        }
    }
}

#[test]
fn mcmaster_and_wilhelm_table_1_is_reproduced_exactly() {
    // [published: McMaster & Wilhelm 1997 Table 1, base 0 °C]: Tmax, Tmin, method 1, method 2.
    for (max_c, min_c, one, two) in [
        (20.0, 10.0, 15.0, 15.0),
        (8.0, -2.0, 3.0, 4.0),
        (5.0, -5.0, 0.0, 2.5),
        (-2.0, -7.0, 0.0, 0.0),
        (10.0, -2.0, 4.0, 5.0),
        (15.0, 2.0, 8.5, 8.5),
    ] {
        assert_eq!(value(min_c, max_c, Method::Average1, 0.0, None), one);
        assert_eq!(value(min_c, max_c, Method::Average2, 0.0, None), two);
    }
}

#[test]
fn celsius_table_of_2_2_is_reproduced() {
    // Climate sheet 2.2 [arithmetic, confirmed by 1-minute integration] ±0.01, L 4, U 24: sine h, i, v, triangle h, i, v, averages without U.
    let rows = [
        (6.0, 18.0, [8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0]),
        (-2.0, 10.0, [1.910, 1.910, 1.910, 1.5, 1.5, 1.5, 0.0, 3.0]),
        (2.0, 28.0, [10.561, 9.884, 5.429, 10.769, 10.462, 7.692, 11.0, 12.0]),
        (10.0, 30.0, [14.559, 13.117, 7.178, 15.1, 14.2, 9.1, 16.0, 16.0]),
        (25.0, 33.0, [20.0, 15.0, 0.0, 20.0, 15.0, 0.0, 25.0, 25.0]),
    ];
    let cutoffs = [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical];
    for (min_c, max_c, wanted) in rows {
        let day = DayRange::new(min_c, max_c).unwrap();
        let curves = [Method::SingleSine, Method::SingleTriangle].into_iter().flat_map(|m| cutoffs.map(|c| (m, c)));
        let mut got: Vec<f64> = curves
            .map(|(method, cutoff)| DegreeDays::of(day, method, limits(4.0, Some(24.0), cutoff)).unwrap().value_c_d)
            .collect();
        got.extend([Method::Average1, Method::Average2].map(|m| value(min_c, max_c, m, 4.0, None)));
        for (got, wanted) in got.into_iter().zip(wanted) {
            assert!((got - wanted).abs() <= 0.01, "{min_c} {max_c}: {got}, sheet {wanted}");
        }
    }
}

#[test]
fn averages_clip_the_mean_in_method_1_and_the_ends_in_method_2() {
    // Climate sheet 2.1 by hand, L 4, U 24. 10..30: mean 20 -> 16; ends 10 and 24, mean 17 -> 13.
    assert_eq!(value(10.0, 30.0, Method::Average1, 4.0, Some(24.0)), 16.0);
    assert_eq!(value(10.0, 30.0, Method::Average2, 4.0, Some(24.0)), 13.0);
    // 25..33: above the limit all day.
    assert_eq!(value(25.0, 33.0, Method::Average1, 4.0, Some(24.0)), 20.0);
    assert_eq!(value(25.0, 33.0, Method::Average2, 4.0, Some(24.0)), 20.0);
}

#[test]
fn intermediate_cutoff_is_never_below_the_vertical_one() {
    // The calculator of the University of California (the folder degree-days-reference) gives 2.72 °F d for 15 August 2020, 68 to 107 °F between 50
    // and 70, where the bare formula would give 2.11: the vertical cut-off's 2.72 holds.
    let by = |cutoff| {
        let day = DayRange::new(68.0, 107.0).unwrap();
        DegreeDays::of(day, Method::SingleSine, limits(50.0, Some(70.0), cutoff)).unwrap().value_c_d
    };
    assert!((by(Cutoff::Intermediate) - 2.72).abs() <= 0.0051);
    assert_eq!(by(Cutoff::Intermediate), by(Cutoff::Vertical));
}

#[test]
fn next_minimum_above_the_day_turns_the_second_half_round() {
    // A warm front: 2 to 6 °C, then never below 8. The second half rises from 6 to 8, mean 7, by either shape.
    let day = DayRange::new(2.0, 6.0).unwrap().with_next_min(8.0).unwrap();
    for method in [Method::DoubleSine, Method::DoubleTriangle] {
        let got = DegreeDays::of(day, method, limits(0.0, None, Cutoff::Horizontal)).unwrap().value_c_d;
        assert!((got - 0.5 * (4.0 + 7.0)).abs() < 1e-12, "{got}");
    }
}

#[test]
fn double_is_the_mean_of_two_singles_where_no_cutoff_bends() {
    // Climate sheet 2.1: the mean of the single result with today's minimum and with tomorrow's.
    let day = DayRange::new(2.0, 28.0).unwrap().with_next_min(12.0).unwrap();
    for (single, double) in [(Method::SingleSine, Method::DoubleSine), (Method::SingleTriangle, Method::DoubleTriangle)]
    {
        for cutoff in [Cutoff::Horizontal, Cutoff::Vertical] {
            let by = |day, method| DegreeDays::of(day, method, limits(4.0, Some(24.0), cutoff)).unwrap().value_c_d;
            let mean = 0.5 * (by(day, single) + by(DayRange::new(12.0, 28.0).unwrap(), single));
            assert!((by(day, double) - mean).abs() < 1e-12, "{double:?} {cutoff:?}");
        }
    }
}

#[test]
fn constant_day_of_cabbage_and_lettuce_is_that_of_2_3() {
    // Climate sheet 2.3 [arithmetic]: cabbage (1/18) against lettuce (7/18) at constant 8 °C: 7.0 and 1.0 °C d.
    for method in [Method::Average1, Method::Average2, Method::SingleSine, Method::SingleTriangle] {
        assert_eq!(value(8.0, 8.0, method, 1.0, Some(18.0)), 7.0);
        assert_eq!(value(8.0, 8.0, method, 7.0, Some(18.0)), 1.0);
    }
    // [published] onion, 4 d at 22.5 = 16 d at 7.5 above 2.5: 80 °C d.
    assert_eq!(4.0 * value(22.5, 22.5, Method::SingleSine, 2.5, None), 80.0);
    assert_eq!(16.0 * value(7.5, 7.5, Method::SingleSine, 2.5, None), 80.0);
}

#[test]
fn result_names_its_method_and_limits() {
    let day = DegreeDays::of_day(2.0, 12.0, Method::Average2, 4.0, Some(24.0)).unwrap();
    assert_eq!(
        (day.method.name(), day.base_c, day.upper_c, day.cutoff.name()),
        ("average-2", 4.0, Some(24.0), "horizontal")
    );
    for method in Method::ALL {
        assert_eq!(Method::of_name(method.name()), Some(method));
    }
}

#[test]
fn impossible_days_and_limits_give_none() {
    for method in [Method::Average1, Method::SingleSine, Method::SingleTriangle] {
        let none = |a, b, base, upper| DegreeDays::of_day(a, b, method, base, upper).is_none();
        assert!(none(8.0, 2.0, 4.0, None));
        assert!(none(f64::NAN, 2.0, 4.0, None));
        assert!(none(1.0, f64::INFINITY, 4.0, None));
        assert!(none(1.0, 2.0, f64::NAN, None));
        assert!(none(1.0, 2.0, 4.0, Some(4.0)));
        assert!(none(1.0, 2.0, 4.0, Some(f64::NAN)));
        assert!(none(-1e300, 1e300, 4.0, None));
    }
    let day = DayRange::new(2.0, 12.0).unwrap();
    assert_eq!(DegreeDays::of(day, Method::DoubleSine, limits(4.0, None, Cutoff::Horizontal)), None);
    assert_eq!(DegreeDays::of(day, Method::Integrated, limits(4.0, None, Cutoff::Horizontal)), None);
    assert_eq!(DegreeDays::of(day, Method::Average1, limits(4.0, Some(9.0), Cutoff::Vertical)), None);
    assert_eq!(day.with_next_min(f64::NAN), None);
}

const MIN: i64 = 60_000;
const DAY: i64 = 1_440 * MIN;

fn series(values: &[f64], step_min: i64) -> Vec<Sample> {
    values.iter().enumerate().map(|(k, v)| Sample { t_ms: k as i64 * step_min * MIN, v: *v }).collect()
}

#[test]
fn integration_of_2_2_is_reproduced() {
    // Climate sheet 2.2 [arithmetic]: hourly 6, 5.5, 5, 4, 3, 2, 3 with L 4 -> 0.14583 °C d ±1e-5. Here as the only warm hours of a day at 0 °C
    // before and after, so that the day is whole: the pieces 0 -> 6 and 3 -> 0 add 6 °C above... (0 to 6: 2²/(2·6)/24 = 0.0138889) and nothing.
    let mut hours = vec![0.0; 25];
    hours[8..15].copy_from_slice(&[6.0, 5.5, 5.0, 4.0, 3.0, 2.0, 3.0]);
    let got = of_samples(&series(&hours, 60), 0, DAY, limits(4.0, None, Cutoff::Horizontal)).unwrap();
    let rise = 2.0 * 2.0 / (2.0 * 6.0) / 24.0;
    assert!((got.degree_days.value_c_d - rise - 0.14583).abs() <= 1e-5, "{got:?}");
    assert_eq!((got.degree_days.method, got.covered), (Method::Integrated, 1.0));
    assert_eq!((got.low_c_d, got.high_c_d), (got.degree_days.value_c_d, got.degree_days.value_c_d));
}

#[test]
fn integrated_triangle_is_the_triangle_with_every_cutoff() {
    // A day drawn as the triangle of 2 to 28 °C, from its minimum at 00:00 to its maximum at 12:00: climate sheet 2.2, tri h, i, v.
    let samples: Vec<Sample> = (0..=144_i64)
        .map(|k| Sample { t_ms: k * 10 * MIN, v: 2.0 + 26.0 * (1.0 - (k - 72).abs() as f64 / 72.0) })
        .collect();
    for (cutoff, wanted) in [(Cutoff::Horizontal, 10.769), (Cutoff::Intermediate, 10.462), (Cutoff::Vertical, 7.692)] {
        let got = of_samples(&samples, 0, DAY, limits(4.0, Some(24.0), cutoff)).unwrap();
        assert!((got.degree_days.value_c_d - wanted).abs() < 0.001, "{cutoff:?}: {got:?}");
    }
}

/// A day of 10 °C every ten minutes, without the readings between the two minutes.
fn with_hole(from_min: i64, to_min: i64) -> Option<Measured> {
    let samples: Vec<Sample> = (0..=144)
        .map(|k| Sample { t_ms: k * 10 * MIN, v: 10.0 })
        .filter(|s| !(from_min * MIN < s.t_ms && s.t_ms < to_min * MIN))
        .collect();
    of_samples(&samples, 0, DAY, limits(4.0, None, Cutoff::Horizontal))
}

#[test]
fn coverage_decides_between_integral_sine_and_nothing() {
    // Climate sheet 2.1: below 90 % the sine of minimum and maximum, below 60 % missing. 144 min are a tenth of the day.
    let joined = with_hole(300, 370).unwrap();
    assert_eq!((joined.covered, joined.degree_days.value_c_d), (1.0, 6.0), "70 min are no gap");
    assert!(with_hole(300, 380).unwrap().covered < 1.0, "80 min are one");
    let integrated = with_hole(300, 440).unwrap();
    assert_eq!(integrated.degree_days.method, Method::Integrated);
    assert!((integrated.degree_days.value_c_d - 6.0).abs() < 1e-9);
    // 1300 of 1440 minutes measured: at least 6 * 1300/1440, at most 6.
    assert!((integrated.low_c_d - 5.41667).abs() < 1e-4 && (integrated.high_c_d - 6.0).abs() < 1e-9);
    let sine = with_hole(300, 450).unwrap();
    assert_eq!((sine.degree_days.method, sine.degree_days.value_c_d), (Method::SingleSine, 6.0));
    assert_eq!(with_hole(300, 880), None);
    assert!(with_hole(300, 870).is_some());
}

#[test]
fn day_of_23_hours_counts_23_hours() {
    let short = of_samples(&series(&[10.0; 47], 30), 0, 23 * 60 * MIN, limits(4.0, None, Cutoff::Horizontal)).unwrap();
    assert!((short.degree_days.value_c_d - 6.0 * 23.0 / 24.0).abs() < 1e-12, "{short:?}");
    let hours = of_hours(&[Some(10.0); 25], limits(4.0, None, Cutoff::Horizontal)).unwrap();
    assert!((hours.degree_days.value_c_d - 6.0 * 25.0 / 24.0).abs() < 1e-12);
    assert_eq!(of_hours(&[Some(10.0); 12], limits(4.0, None, Cutoff::Horizontal)), None);
}

#[test]
fn readings_beside_the_day_lend_it_their_line_and_nothing_else() {
    // Readings at 23:30 the day before and 00:30: the half hour after midnight is covered, at the line's temperatures.
    let mut samples = vec![Sample { t_ms: -30 * MIN, v: 0.0 }];
    samples.extend((0..48).map(|k| Sample { t_ms: (30 + k * 30) * MIN, v: 12.0 }));
    let got = of_samples(&samples, 0, DAY, limits(4.0, None, Cutoff::Horizontal)).unwrap();
    // 0 to 12 °C over an hour is 6 °C at midnight: mean 9 - 4 = 5 for half an hour, then 8.
    assert!((got.degree_days.value_c_d - (5.0 * 0.5 + 8.0 * 23.5) / 24.0).abs() < 1e-12, "{got:?}");
}

#[test]
fn readings_that_are_no_temperature_give_none() {
    for bad in [f64::NAN, f64::INFINITY, 1e300] {
        let mut samples = series(&[10.0; 49], 30);
        samples[20].v = bad;
        assert_eq!(of_samples(&samples, 0, DAY, limits(4.0, None, Cutoff::Horizontal)), None);
        let mut hours = [Some(10.0); 24];
        hours[5] = Some(bad);
        assert_eq!(of_hours(&hours, limits(4.0, None, Cutoff::Horizontal)), None);
    }
    assert_eq!(of_samples(&[], 0, DAY, limits(4.0, None, Cutoff::Horizontal)), None);
    assert_eq!(of_samples(&series(&[10.0; 49], 30), DAY, 0, limits(4.0, None, Cutoff::Horizontal)), None);
}

const CURVES: [Method; 4] = [Method::SingleTriangle, Method::DoubleTriangle, Method::SingleSine, Method::DoubleSine];

proptest! {
    #[test]
    fn prop_method_2_is_never_below_method_1_without_upper_limit(min_c in -30.0..40.0, span in 0.0..30.0, base_c in -5.0..20.0) {
        let one = value(min_c, min_c + span, Method::Average1, base_c, None);
        let two = value(min_c, min_c + span, Method::Average2, base_c, None);
        prop_assert!(one >= 0.0 && two >= one - 1e-9);
        // The curves lie between the two: they know that only part of the day is warm.
        for method in [Method::SingleSine, Method::SingleTriangle] {
            let curve = value(min_c, min_c + span, method, base_c, None);
            prop_assert!(curve >= one - 1e-9 && curve <= two + 1e-9, "{curve} of {one}..{two}");
        }
    }

    #[test]
    fn prop_a_warmer_day_never_has_fewer(min_c in -30.0..40.0, span in 0.0..30.0, next in -20.0..20.0, more in 0.0..5.0) {
        for method in [Method::Average1, Method::Average2].into_iter().chain(CURVES) {
            let of = |max_c| {
                let day = DayRange::new(min_c, max_c).unwrap().with_next_min(min_c + next).unwrap();
                DegreeDays::of(day, method, limits(4.0, Some(24.0), Cutoff::Horizontal)).unwrap().value_c_d
            };
            let (cool, warm) = (of(min_c + span), of(min_c + span + more));
            prop_assert!(warm >= cool - 1e-9 && warm <= 20.0 + 1e-9);
        }
    }

    #[test]
    fn prop_cutoffs_are_ordered(min_c in -30.0..40.0, span in 0.0..30.0, next in -20.0..20.0, upper in 5.0..30.0) {
        for method in CURVES {
            let day = DayRange::new(min_c, min_c + span).unwrap().with_next_min(min_c + next).unwrap();
            let by = |cutoff| DegreeDays::of(day, method, limits(4.0, Some(upper), cutoff)).unwrap().value_c_d;
            prop_assert!(by(Cutoff::Horizontal) >= by(Cutoff::Intermediate) - 1e-9);
            prop_assert!(by(Cutoff::Intermediate) >= by(Cutoff::Vertical) - 1e-9 && by(Cutoff::Vertical) >= 0.0);
        }
    }

    #[test]
    fn prop_integral_of_a_day_is_the_sum_of_its_parts_and_its_gaps_only_widen(
        values in proptest::collection::vec(-10.0..35.0_f64, 49), hole in 1_usize..40, wide in 1_usize..8,
    ) {
        let samples = series(&values, 30);
        let limits = limits(4.0, Some(24.0), Cutoff::Horizontal);
        let whole = of_samples(&samples, 0, DAY, limits).unwrap();
        prop_assert!(whole.degree_days.value_c_d >= 0.0 && whole.degree_days.value_c_d <= 20.0);
        let mut holed = samples.clone();
        holed.drain(hole..hole + wide);
        let holed = of_samples(&holed, 0, DAY, limits).unwrap();
        prop_assert!(holed.low_c_d <= holed.degree_days.value_c_d && holed.degree_days.value_c_d <= holed.high_c_d);
        prop_assert!(holed.covered <= whole.covered);
        // The same readings a day later are the same figure.
        let later: Vec<Sample> = samples.iter().map(|s| Sample { t_ms: s.t_ms + DAY, v: s.v }).collect();
        let same = of_samples(&later, DAY, 2 * DAY, limits).unwrap();
        prop_assert!((same.degree_days.value_c_d - whole.degree_days.value_c_d).abs() < 1e-9);
    }
}
