//! Days and stretches of the API against sums that this test makes for itself.

use propstick_tests::program::{Running, program};
use propstick_tests::recordings::{Message, OUTDOORS, Reporter, TUNNEL, air, seconds};
use serde_json::Value;

use crate::replayed;

/// A temperature that looks like weather and never repeats.
fn temperature(at_s: i64) -> f64 {
    let x = (at_s / 600) as f64;
    let value = 9.0 + 6.0 * (x / 23.0).sin() + 2.0 * (x / 7.1).cos() + (x * 0.618).fract();
    (value * 100.0).round() / 100.0
}

/// Samples every ten minutes, five minutes past, from one instant to the other, without those of `missing`.
fn weather(from: &str, to: &str, missing: &[(i64, i64)]) -> Vec<i64> {
    (seconds(from) + 300..seconds(to))
        .step_by(600)
        .filter(|at| !missing.iter().any(|(a, b)| (*a..*b).contains(at)))
        .collect()
}

fn messages(times: &[i64]) -> Vec<Message> {
    let mut boards = [(Reporter::new(TUNNEL, 1, 6), 0.0), (Reporter::new(OUTDOORS, 1, 6), -3.0)];
    let mut all = Vec::new();
    for &at in times {
        for (board, more) in &mut boards {
            all.extend(board.sample(at, air(temperature(at) + *more, 80.0)));
        }
    }
    all.extend(boards.iter_mut().filter_map(|(board, _)| board.report()));
    all.sort_by_key(|m| m.recv);
    all
}

/// A day as the test has it: date, first instant, length in hours.
type Day = (&'static str, &'static str, i64);

/// Lowest, highest and mean temperature of the samples in `[from, from + hours)`.
fn own_figures(times: &[i64], from_s: i64, hours: i64) -> (f64, f64, f64) {
    let values: Vec<f64> =
        times.iter().filter(|t| (from_s..from_s + hours * 3_600).contains(t)).map(|t| temperature(*t)).collect();
    assert!(!values.is_empty());
    let fold = |f: fn(f64, f64) -> f64| values.iter().copied().reduce(f).unwrap();
    (fold(f64::min), fold(f64::max), values.iter().sum::<f64>() / values.len() as f64)
}

#[track_caller]
fn check_days(house: &Running, kind: &str, times: &[i64], days: &[Day]) {
    let (first, last) = (days[0].0, days[days.len() - 1].0);
    let answer = house.ask(&format!("structures/tunnel/days?from={first}&to={last}&kind={kind}&base_c=5"));
    assert_eq!((&answer["zone"], &answer["kind"]), (&"Europe/Dublin".into(), &kind.into()));
    let found = answer["days"].as_array().unwrap();
    assert_eq!(found.len(), days.len(), "{answer}");
    for (day, (date, from, hours)) in found.iter().zip(days) {
        assert_eq!((&day["date"], &day["hours"]), (&(*date).into(), &(*hours).into()), "{day}");
        assert_eq!((&day["complete"], day["measured"].as_f64()), (&true.into(), Some(1.0)), "{day}");
        let (min, max, mean) = own_figures(times, seconds(from), *hours);
        let close =
            |f: &Value, wanted: f64| assert!((f["value"].as_f64().unwrap() - wanted).abs() < 1e-4, "{f} {wanted}");
        close(&day["min_c"], min);
        close(&day["max_c"], max);
        // Every hour is wholly covered, so the mean of the hours is the mean of the samples.
        close(&day["mean_c"], mean);
        // Degree-days by simple average (climate sheet 2.1): half of lowest and highest, less the base, not below 0.
        let average = &day["degree_days"][0];
        assert_eq!((&average["method"], average["base_c"].as_f64()), (&"average-1".into(), Some(5.0)), "{day}");
        close(&average["figure"], ((min + max) / 2.0 - 5.0).max(0.0));
    }
}

#[test]
fn days_through_both_clock_changes_have_23_and_25_hours_and_the_figures_of_their_samples() {
    let Some(program) = program() else { return };
    let dir = tempfile::tempdir().unwrap();
    let spring = weather("2026-03-27T12:00:00Z", "2026-03-31T12:00:00Z", &[]);
    let autumn = weather("2026-10-23T12:00:00Z", "2026-10-27T12:00:00Z", &[]);
    let times = [spring, autumn].concat();
    let house = replayed(&program, dir.path(), &messages(&times), "Europe/Dublin");
    // Ireland: an hour ahead from 2026-03-29T01:00Z to 2026-10-25T01:00Z.
    let civil_spring = [
        ("2026-03-28", "2026-03-28T00:00:00Z", 24),
        ("2026-03-29", "2026-03-29T00:00:00Z", 23),
        ("2026-03-30", "2026-03-29T23:00:00Z", 24),
    ];
    let civil_autumn = [
        ("2026-10-24", "2026-10-23T23:00:00Z", 24),
        ("2026-10-25", "2026-10-24T23:00:00Z", 25),
        ("2026-10-26", "2026-10-26T00:00:00Z", 24),
    ];
    check_days(&house, "civil", &times, &civil_spring);
    check_days(&house, "civil", &times, &civil_autumn);
    // A noon-day runs from 12:00 to 12:00 of Ireland's winter time, which is UTC.
    let noon = [
        ("2026-03-28", "2026-03-28T12:00:00Z", 24),
        ("2026-03-29", "2026-03-29T12:00:00Z", 24),
        ("2026-03-30", "2026-03-30T12:00:00Z", 24),
    ];
    check_days(&house, "noon", &times, &noon);
    let utc = [("2026-10-25", "2026-10-25T00:00:00Z", 24), ("2026-10-26", "2026-10-26T00:00:00Z", 24)];
    check_days(&house, "utc", &times, &utc);
    house.stop();
}

#[test]
fn day_with_a_gap_tells_what_was_measured_and_stays_unknown_below_its_least() {
    let Some(program) = program() else { return };
    let dir = tempfile::tempdir().unwrap();
    let at = seconds;
    // 6 h are missing on the 2nd, 12 h on the 3rd.
    let missing = [
        (at("2026-02-02T06:00:00Z"), at("2026-02-02T12:00:00Z")),
        (at("2026-02-03T06:00:00Z"), at("2026-02-03T18:00:00Z")),
    ];
    let times = weather("2026-02-01T00:00:00Z", "2026-02-04T02:00:00Z", &missing);
    let house = replayed(&program, dir.path(), &messages(&times), "Europe/Dublin");
    let answer = house.ask("structures/tunnel/days?from=2026-02-02&to=2026-02-03");
    // The last sample before a gap covers ten minutes and half as much again, up to ten past; the first after it comes at five past.
    let shares = [(18.0 * 60.0 + 5.0) / 1_440.0, (12.0 * 60.0 + 5.0) / 1_440.0];
    for (day, share) in answer["days"].as_array().unwrap().iter().zip(shares) {
        assert!((day["measured"].as_f64().unwrap() - share).abs() < 0.001, "{share}: {day}");
        assert_eq!(day["complete"], false, "{day}");
    }
    let (second, third) = (&answer["days"][0], &answer["days"][1]);
    let (min, _, _) = own_figures(&times, at("2026-02-02T00:00:00Z"), 24);
    assert_eq!(second["min_c"]["value"].as_f64(), Some(min), "{second}");
    // Under 60 % measured is missing (climate sheet 2.1), never a silent zero.
    assert_eq!((&third["min_c"]["value"], &third["min_c"]["unknown"]), (&Value::Null, &"not-enough".into()), "{third}");
    assert_eq!(third["degree_days"][0]["figure"]["value"], Value::Null, "{third}");
    house.stop();
}

#[test]
fn stretches_have_in_every_step_the_number_the_ends_and_the_mean_of_their_samples() {
    let Some(program) = program() else { return };
    let dir = tempfile::tempdir().unwrap();
    let gap = (seconds("2026-02-02T06:05:00Z"), seconds("2026-02-02T11:05:00Z"));
    let times = weather("2026-02-01T00:00:00Z", "2026-02-04T00:00:00Z", &[gap]);
    let house = replayed(&program, dir.path(), &messages(&times), "Europe/Dublin");
    let (from, to) = ("2026-02-01T06:00:00Z", "2026-02-03T18:00:00Z");
    let span_s = seconds(to) - seconds(from);
    // Finer than an hour it is read from the samples, coarser from the hours.
    for points in [1_000, 216, 90, 30, 10] {
        let answer = house
            .ask(&format!("structures/tunnel/readings?quantity=air-temperature&from={from}&to={to}&points={points}"));
        let step_s = answer["step_s"].as_i64().unwrap();
        assert!(step_s * points >= span_s && (step_s - 3_600) * points < span_s, "{points}: {step_s}");
        let series = &answer["series"][0];
        assert_eq!((&series["spot"], &series["t0"]), (&"tunnel-air".into(), &from.into()), "{answer}");
        let steps = series["n"].as_array().unwrap().len();
        let mut counted = 0;
        for k in 0..steps {
            let begin = seconds(from) + k as i64 * step_s;
            let end = (begin + step_s).min(seconds(to));
            let values: Vec<f64> = times.iter().filter(|t| (begin..end).contains(t)).map(|t| temperature(*t)).collect();
            counted += values.len();
            let of = |name: &str| series[name][k].as_f64();
            assert_eq!(series["n"][k], values.len(), "{points} points, step {k}");
            if values.is_empty() {
                assert_eq!((of("min"), of("mean"), of("max")), (None, None, None), "no line across a gap: step {k}");
                continue;
            }
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            let close = |name: &str, wanted: f64| {
                assert!(
                    (of(name).unwrap() - wanted).abs() < 1e-4,
                    "{points} points, step {k}, {name}: {:?} {wanted}",
                    of(name)
                );
            };
            close("min", values.iter().copied().fold(f64::INFINITY, f64::min));
            close("max", values.iter().copied().fold(f64::NEG_INFINITY, f64::max));
            close("mean", mean);
        }
        let all = times.iter().filter(|t| (seconds(from)..seconds(to)).contains(t)).count();
        assert_eq!(counted, all, "{points} points");
        // One gap, named by its ends: the readings before and after it, or the hours where hours were read.
        let ends = if step_s < 3_600 {
            ("2026-02-02T05:55:00Z", "2026-02-02T11:05:00Z")
        } else {
            ("2026-02-02T06:00:00Z", "2026-02-02T11:00:00Z")
        };
        assert_eq!(answer["gaps"], serde_json::json!([[ends.0, ends.1]]), "{points} points");
    }
    house.stop();
}
