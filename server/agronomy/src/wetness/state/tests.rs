use super::*;
use crate::coverage::HOUR_MS;
use alloc::vec::Vec;
use proptest::prelude::*;

const RULES: WetRules = WetRules::UNDER_COVER;
const MIN: i64 = 60_000;

fn air(minutes: i64, t_c: f64, rh_pct: f64) -> Air {
    Air::measured(0, minutes * MIN, t_c, rh_pct, 3.0).unwrap()
}

/// Minutes wet as read.
fn read(state: &mut WetState, minutes: i64, t_c: f64, rh_pct: f64) -> i64 {
    state.step(&RULES, &air(minutes, t_c, rh_pct)).wet_ms.read / MIN
}

#[test]
fn leaves_are_wet_from_90_and_dry_below_87() {
    // Wetness sheet 1.5.
    let mut s = WetState::default();
    let wet: [i64; 7] = [89.9, 90.0, 88.0, 87.0, 86.9, 89.0, 90.1].map(|rh| read(&mut s, 10, 8.0, rh));
    assert_eq!(wet, [0, 10, 10, 10, 0, 0, 10]);
}

#[test]
fn three_runs_differ_by_the_sensors_error() {
    let mut s = WetState::default();
    assert_eq!(s.step(&RULES, &air(10, 8.0, 88.0)).wet_ms, Runs { low: 0, read: 0, high: 10 * MIN });
    assert_eq!(s.step(&RULES, &air(10, 8.0, 92.0)).wet_ms, Runs { low: 0, read: 10 * MIN, high: 10 * MIN });
    // A sensor tested over salt knows better.
    let tested = Air::measured(0, 10 * MIN, 8.0, 92.0, 1.0).unwrap();
    assert_eq!(s.step(&RULES, &tested).wet_ms, Runs::all(10 * MIN));
}

#[test]
fn frozen_water_is_not_wetness() {
    // Wetness sheet 1.3: hours with T <= 0 do not count. The advice page counts them from the thaw on.
    let mut s = WetState::default();
    assert_eq!((read(&mut s, 60, 0.0, 98.0), read(&mut s, 60, 0.1, 98.0)), (0, 60));
}

#[test]
fn watered_leaves_stay_wet_three_hours_or_until_75() {
    // Wetness sheet 1.3.
    let mut s = WetState::default();
    s.wetted(&RULES);
    assert_eq!(read(&mut s, 170, 12.0, 80.0), 170);
    assert_eq!(read(&mut s, 20, 12.0, 80.0), 10);
    s.wetted(&RULES);
    assert_eq!((read(&mut s, 60, 12.0, 75.0), read(&mut s, 60, 12.0, 74.9), read(&mut s, 60, 12.0, 80.0)), (60, 0, 0));
}

#[test]
fn drying_clock_stands_still_while_it_freezes() {
    // Wetness sheet 1.3: frozen hours do not run the drying clock.
    let mut s = WetState::default();
    s.wetted(&RULES);
    assert_eq!(read(&mut s, 60, 3.0, 80.0), 60);
    assert_eq!(read(&mut s, 600, -2.0, 80.0), 0);
    assert_eq!(read(&mut s, 600, 3.0, 80.0), 120);
}

#[test]
fn leaves_are_wet_from_a_thaw_for_three_hours_or_until_75() {
    // Advice page, damp risk in a maritime winter. At -5 °C 95.2 % over water is saturation over ice (climate sheet 1.5): 86 % of it is 90.3 %.
    let mut s = WetState::default();
    read(&mut s, 60, -5.0, 86.5);
    assert_eq!((read(&mut s, 240, 2.0, 80.0), read(&mut s, 60, 2.0, 80.0)), (180, 0));
    read(&mut s, 60, -5.0, 86.5);
    assert_eq!((read(&mut s, 60, 2.0, 80.0), read(&mut s, 60, 4.0, 74.0)), (60, 0));
    // Less than an hour of it, or dry frost, leaves nothing to thaw.
    read(&mut s, 50, -5.0, 86.5);
    assert_eq!(read(&mut s, 60, 2.0, 80.0), 0);
    read(&mut s, 600, -5.0, 84.0);
    assert_eq!(read(&mut s, 60, 2.0, 80.0), 0);
    // An hour of it without a break: half an hour at dusk and one at dawn with dry frost between them leave nothing.
    read(&mut s, 30, -5.0, 95.0);
    read(&mut s, 600, -5.0, 70.0);
    read(&mut s, 30, -5.0, 95.0);
    assert_eq!(read(&mut s, 60, 2.0, 80.0), 0);
    // The sheet's own spells know no thaw.
    s.step(&WetRules::WITHOUT_THAW, &air(600, -5.0, 95.0));
    assert_eq!(s.step(&WetRules::WITHOUT_THAW, &air(60, 2.0, 80.0)).wet_ms.read, 0);
}

#[test]
fn guttation_counts_after_three_hours_whatever_the_threshold_says() {
    // Wetness sheet 1.3. A structure that has learned a threshold of 96 must not lose it.
    let rules = RULES.moved(6.0).unwrap();
    let rules = WetRules { on_pct: 98.0, ..rules };
    let mut s = WetState::default();
    assert_eq!(s.step(&rules, &air(150, 8.0, 97.0)).wet_ms.read, 0);
    assert_eq!(s.step(&rules, &air(60, 8.0, 97.0)).wet_ms.read, 30 * MIN);
    assert_eq!(s.step(&rules, &air(10, 8.0, 96.9)).wet_ms.read, 0);
    assert_eq!(s.step(&rules, &air(60, 8.0, 97.0)).wet_ms.read, 0);
}

#[test]
fn wetness_sensor_overrides_humidity_with_its_own_hysteresis() {
    // Wetness sheet 1.4: on at 0.30, off below 0.15.
    let mut s = WetState::default();
    let by = |s: &mut WetState, w: f64| s.step(&RULES, &air(10, 8.0, 95.0).with_leaf(w).unwrap()).wet_ms;
    assert_eq!(by(&mut s, 0.29), Runs::all(0));
    assert_eq!(by(&mut s, 0.30), Runs::all(10 * MIN));
    assert_eq!(by(&mut s, 0.15), Runs::all(10 * MIN));
    assert_eq!(by(&mut s, 0.14), Runs::all(0));
    // In the low run humidity would have said dry, as read wet: it takes over again where the sensor falls silent.
    assert_eq!(s.step(&RULES, &air(10, 8.0, 91.0)).wet_ms, Runs { low: 10 * MIN, read: 10 * MIN, high: 10 * MIN });
    let alone = Air::beside_gauge(0, 10 * MIN, 8.0, 0.9).unwrap();
    assert_eq!(s.step(&RULES, &alone).wet_ms, Runs::all(10 * MIN));
    // Ice reads dry: ignored at and below 0 °C.
    assert_eq!(s.step(&RULES, &air(10, 0.0, 95.0).with_leaf(1.0).unwrap()).wet_ms, Runs::all(0));
}

#[test]
fn a_plate_gives_off_no_water_so_guttation_stays_in_the_high_run() {
    let mut s = WetState::default();
    let dry_plate = air(240, 10.0, 98.0).with_leaf(0.0).unwrap();
    assert_eq!(s.step(&RULES, &dry_plate).wet_ms, Runs { low: 0, read: 0, high: 60 * MIN });
}

#[test]
fn sensor_stuck_at_the_top_while_temperature_moved_wets_nothing_in_the_low_run() {
    // Wetness sheet 1.5: 99 % and more for 48 h while T moved by more than 5 °C.
    let mut s = WetState::default();
    let wave = |h: i64| 8.0 + if h % 24 < 12 { 3.0 } else { -3.0 };
    for h in 0..47 {
        assert_eq!(s.step(&RULES, &air(60, wave(h), 99.5)), Wetted { wet_ms: Runs::all(HOUR_MS), suspect: false });
    }
    let stuck = s.step(&RULES, &air(60, wave(47), 99.5));
    assert_eq!(stuck, Wetted { wet_ms: Runs { low: 0, read: HOUR_MS, high: HOUR_MS }, suspect: true });
    assert!(!s.step(&RULES, &air(60, 8.0, 98.9)).suspect);
    // In real fog temperature hardly moves.
    let mut fog = WetState::default();
    assert!((0..100).all(|h| !fog.step(&RULES, &air(60, 6.0 + 0.04 * h as f64, 99.8)).suspect));
}

#[test]
fn after_a_gap_the_runs_part() {
    let mut s = WetState::default();
    read(&mut s, 60, 8.0, 96.0);
    s.after_gap(&RULES, HOUR_MS);
    // Between the thresholds nobody can tell whether it had dried meanwhile.
    let unsure = Air::measured(0, 10 * MIN, 8.0, 88.0, 0.0).unwrap();
    assert_eq!(s.step(&RULES, &unsure).wet_ms, Runs { low: 0, read: 0, high: 10 * MIN });
}

#[test]
fn what_cannot_be_meant_gives_none() {
    for (t_c, rh, error) in
        [(f64::NAN, 90.0, 3.0), (8.0, f64::NAN, 3.0), (8.0, 90.0, f64::NAN), (8.0, 106.0, 3.0), (150.0, 90.0, 3.0)]
    {
        assert_eq!(Air::measured(0, 1, t_c, rh, error), None);
    }
    assert_eq!(Air::measured(5, 5, 8.0, 90.0, 3.0), None);
    assert_eq!(air(10, 8.0, 90.0).with_leaf(f64::NAN), None);
    assert_eq!(Air::beside_gauge(0, 1, 8.0, 1.1), None);
}

fn weather() -> impl Strategy<Value = Vec<(i64, f64, f64, bool)>> {
    prop::collection::vec((1_i64..200, -6.0..15.0_f64, 60.0..100.0_f64, prop::bool::weighted(0.05)), 1..120)
}

fn run(weather: &[(i64, f64, f64, bool)], shift_pct: f64) -> Vec<Wetted> {
    let mut s = WetState::default();
    weather
        .iter()
        .map(|&(minutes, t_c, rh_pct, water)| {
            if water {
                s.wetted(&RULES);
            }
            s.step(&RULES, &air(minutes, t_c, (rh_pct + shift_pct).min(100.0)))
        })
        .collect()
}

proptest! {
    #[test]
    fn prop_low_run_is_never_wetter_than_the_high_one(w in weather()) {
        for Wetted { wet_ms, .. } in run(&w, 0.0) {
            prop_assert!(0 <= wet_ms.low && wet_ms.low <= wet_ms.read && wet_ms.read <= wet_ms.high);
        }
    }

    #[test]
    fn prop_more_humidity_never_dries_a_leaf(w in weather(), shift in 0.0..8.0_f64) {
        for (drier, damper) in run(&w, 0.0).iter().zip(run(&w, shift)) {
            prop_assert!(drier.wet_ms.read <= damper.wet_ms.read && drier.wet_ms.high <= damper.wet_ms.high);
            // The low run may: the sensor that reads the more looks the more like one that has stuck.
            prop_assert!(damper.suspect || drier.wet_ms.low <= damper.wet_ms.low);
        }
    }

    #[test]
    fn prop_cutting_a_stretch_in_two_changes_nothing(w in weather(), cut in 1_i64..199) {
        let (mut whole, mut parts) = (WetState::default(), WetState::default());
        for &(minutes, t_c, rh_pct, water) in &w {
            if water {
                whole.wetted(&RULES);
                parts.wetted(&RULES);
            }
            let at_once = whole.step(&RULES, &air(minutes, t_c, rh_pct)).wet_ms;
            let cut = cut.min(minutes - 1);
            let mut in_two = Runs::all(0);
            for piece in [cut, minutes - cut].into_iter().filter(|m| *m > 0) {
                in_two = in_two.with(parts.step(&RULES, &air(piece, t_c, rh_pct)).wet_ms, |a, b| a + b);
            }
            // The hour in which suspicion falls may be cut at that moment.
            if whole.saturated_ms < c::SATURATED_H.hours_as_ms() {
                prop_assert_eq!(at_once, in_two);
            }
            prop_assert_eq!(&whole, &parts);
        }
    }
}
