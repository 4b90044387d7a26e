use super::*;
use propstick_agronomy::coverage::Sample;
use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::wetness::samples::AirSample;
use proptest::prelude::*;

const RULES: WetRules = WetRules::WITHOUT_THAW;

fn air(samples: impl IntoIterator<Item = (i64, f64, f64)>) -> SpotAir {
    let mut air = SpotAir::default();
    for (t_ms, t_c, rh) in samples {
        air.samples.push(AirSample { t_ms, t_c, rh_pct: Some(rh), error_pct: 3.0, leaf: None });
        air.plain.push(Sample { t_ms, v: t_c });
    }
    air
}

/// Wetness sheet 3.3: hours of eight days, from midnight.
fn spell(tm: f64, a: f64, rhm: f64, b: f64) -> SpotAir {
    air((0..8 * 24).map(|h| {
        let c = (2.0 * std::f64::consts::PI * ((h % 24 - 15) as f64) / 24.0).cos();
        (h * HOUR_MS, tm + a * c, (rhm - b * c).clamp(0.0, 100.0))
    }))
}

fn nights(state: &mut SpotState, air: &SpotAir, days: usize) -> Vec<Night> {
    let mut cadence = CadenceWindow::new(&air.plain);
    let mut room = DayRoom::default();
    (0..days).map(|_| state.close_day(&RULES, air, &mut cadence, &[], &mut room)).collect()
}

#[test]
fn spells_of_the_sheet_come_to_their_risk_and_level() {
    // Wetness sheet 3.3: R after seven noon-days, with humidity 3 % lower and higher.
    for (of, disease, expected, level) in [
        ((9.0, 2.0, 92.0, 7.0), Disease::LettuceDownyMildew, [0.6671, 0.7221, 0.7844], Level::High),
        ((8.0, 2.0, 86.0, 8.0), Disease::LettuceDownyMildew, [0.2844, 0.5061, 0.5872], Level::Raised),
        ((0.0, 6.0, 82.0, 15.0), Disease::LettuceDownyMildew, [0.0, 0.0, 0.0], Level::Low),
        ((3.0, 2.0, 92.0, 7.0), Disease::LettuceDownyMildew, [0.1031, 0.2380, 0.5544], Level::Some),
    ] {
        let mut state = SpotState::starting(Millis(12 * HOUR_MS));
        // The leaves begin dry at midnight of day 0: twelve hours before the first noon.
        let air = spell(of.0, of.1, of.2, of.3);
        let mut cadence = CadenceWindow::new(&air.plain);
        wet_hours(
            &mut state.wet,
            &RULES,
            &air.samples,
            &[],
            0..12 * HOUR_MS,
            |e| cadence.before(e).unwrap_or(HOUR_MS),
            |_| {},
        );
        let nights = nights(&mut state, &air, 7);
        let risk = nights[6].day.disease(disease).risk;
        for (found, expected) in [risk.low, risk.read, risk.high].into_iter().zip(expected) {
            assert!((found - expected).abs() < 0.000_05, "{of:?}: {risk:?}");
        }
        assert_eq!(nights[6].levels[CropGroup::Lettuce as usize].level, level, "{of:?}");
    }
}

#[test]
fn two_days_of_silence_raise_no_level_and_are_unknown_rather_than_dry() {
    let mut state = SpotState::starting(Millis(0));
    // Eight days, then nothing.
    let before = nights(&mut state, &spell(9.0, 2.0, 92.0, 7.0), 7).pop().unwrap();
    let mut after = Vec::new();
    let rolled = roll_forward(state, &[], Millis(11 * NOON_DAY_MS), |night| after.push(*night));
    assert_eq!((after.len(), rolled.noon()), (4, Millis(11 * NOON_DAY_MS)));
    for night in &after {
        assert!(!night.day.scored && night.day.wet_h.low == 0 && night.day.wet_h.high == 24);
        assert!(night.levels.iter().zip(&before.levels).all(|(a, b)| a.level <= b.level), "{night:?}");
    }
    assert_eq!(after[3].day.missing_d, 4);
    assert!(rolled.spell.open.is_none());
}

#[test]
fn bytes_of_something_else_are_no_state() {
    let mut bytes = SpotState::starting(Millis(5)).written();
    assert_eq!(SpotState::read(&bytes), Some(SpotState::starting(Millis(5))));
    bytes.push(0);
    assert_eq!(SpotState::read(&bytes), None);
    assert_eq!(SpotState::read(&bytes[..40]), None);
    assert_eq!(SpotState::read(&[]), None);
}

#[test]
fn noon_before_is_noon_of_standard_time_also_in_summer() {
    // 2026-07-01T11:30Z is 12:30 by Dublin's clocks and before noon by its standard time.
    let at = Millis(1_782_905_400_000);
    assert_eq!(noon_before(chrono_tz::Europe::Dublin, at), Millis(1_782_820_800_000));
    assert_eq!(noon_before(chrono_tz::Europe::Dublin, at.plus(30 * 60_000)), Millis(1_782_907_200_000));
}

fn readings() -> impl Strategy<Value = SpotAir> {
    let step = prop_oneof![8 => Just(10_i64), 1 => 1_i64..60, 1 => Just(400)];
    prop::collection::vec((step, -4.0..14.0_f64, 70.0..100.0_f64), 10..700).prop_map(|steps| {
        let mut at = 0;
        air(steps.into_iter().map(|(step, t_c, rh)| {
            at += step;
            (at * 60_000, t_c, rh)
        }))
    })
}

proptest! {
    /// A state that was written down at any noon goes on as if it had never stopped.
    #[test]
    fn prop_state_kept_at_any_noon_goes_on_as_if_it_had_never_stopped(air in readings(), cut in 1_usize..6, wettings in prop::collection::vec(0_i64..6 * NOON_DAY_MS, 0..4)) {
        let mut wettings = wettings;
        wettings.sort_unstable();
        let run = |state: &mut SpotState, days: usize| {
            let mut cadence = CadenceWindow::new(&air.plain);
            let mut room = DayRoom::default();
            (0..days).map(|_| state.close_day(&WetRules::UNDER_COVER, &air, &mut cadence, &wettings, &mut room)).collect::<Vec<_>>()
        };
        let mut whole = SpotState::starting(Millis(0));
        let at_once = run(&mut whole, 7);
        let mut kept = SpotState::starting(Millis(0));
        let mut in_two = run(&mut kept, cut);
        let mut kept = SpotState::read(&kept.written()).unwrap();
        let last = in_two.last().unwrap();
        let mut found = Night::read(&last.written(&[]), &kept).unwrap();
        found.day.diseases.iter_mut().zip(&last.day.diseases).for_each(|(a, b)| a.progress = b.progress);
        prop_assert_eq!(&found, last);
        in_two.extend(run(&mut kept, 7 - cut));
        prop_assert_eq!(at_once, in_two);
        prop_assert_eq!(whole, kept);
    }
}
