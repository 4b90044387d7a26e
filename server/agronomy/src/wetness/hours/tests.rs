use super::*;
use alloc::vec;
use alloc::vec::Vec;
use proptest::prelude::*;

const RULES: WetRules = WetRules::UNDER_COVER;
const MIN: i64 = 60_000;

fn push(fold: &mut WetFold, from_min: i64, until_min: i64, t_c: f64, rh_pct: f64) -> Vec<WetHour> {
    let mut hours = vec![];
    fold.push(&RULES, &Air::measured(from_min * MIN, until_min * MIN, t_c, rh_pct, 3.0).unwrap(), |h| hours.push(*h));
    hours
}

#[test]
fn an_hour_is_wet_when_half_its_covered_time_is() {
    let mut fold = WetFold::default();
    for (k, rh) in [80.0, 80.0, 80.0, 95.0, 95.0, 95.0].into_iter().enumerate() {
        push(&mut fold, 10 * k as i64, 10 * k as i64 + 10, 8.0, rh);
    }
    let hour = push(&mut fold, 60, 70, 8.0, 80.0)[0];
    assert_eq!((hour.from_ms, hour.covered_ms, hour.wet_ms.read), (0, HOUR_MS, 30 * MIN));
    assert_eq!((hour.leaf().read, hour.t_c), (Leaf::Wet, Some(8.0)));
    assert_eq!(hour.rh_pct, Some(Runs { low: 84.5, read: 87.5, high: 90.5 }));
}

#[test]
fn an_hour_less_than_half_covered_is_unknown() {
    let mut fold = WetFold::default();
    push(&mut fold, 0, 29, 8.0, 99.0);
    assert_eq!(fold.so_far().leaf(), Runs::all(Leaf::Unknown));
    push(&mut fold, 29, 30, 8.0, 99.0);
    assert_eq!(fold.so_far().leaf(), Runs::all(Leaf::Wet));
}

#[test]
fn hour_of_thaw_is_what_it_was_once_thawed() {
    // -1 °C for 40 min, +2.5 for 20 at 96 %: mean 0.17 °C; wet all the 20 minutes that are not frozen. Then the same, dry.
    for (rh, expected) in [(96.0, Leaf::Wet), (80.0, Leaf::Dry)] {
        let mut fold = WetFold::default();
        push(&mut fold, 0, 40, -1.0, 80.0);
        push(&mut fold, 40, 60, 2.5, rh);
        let hour = fold.so_far();
        assert!(hour.t_c.unwrap() > 0.0 && hour.frozen_ms == 40 * MIN);
        assert_eq!(hour.leaf().read, expected, "{rh}");
    }
}

#[test]
fn a_frozen_hour_is_neither_wet_nor_dry() {
    let mut fold = WetFold::default();
    push(&mut fold, 0, 60, -1.0, 98.0);
    assert_eq!(fold.so_far().leaf(), Runs::all(Leaf::Frozen));
}

#[test]
fn a_stretch_over_a_boundary_goes_to_both_hours() {
    let mut fold = WetFold::default();
    let closed = push(&mut fold, 50, 140, 8.0, 95.0);
    assert_eq!(closed.iter().map(|h| h.covered_ms).collect::<Vec<_>>(), [10 * MIN, 60 * MIN]);
    assert_eq!(fold.so_far().covered_ms, 20 * MIN);
}

#[test]
fn what_overlaps_or_repeats_counts_once() {
    let mut fold = WetFold::default();
    for (from, until) in [(0, 15), (10, 25), (10, 25), (5, 20)] {
        push(&mut fold, from, until, 8.0, 95.0);
    }
    assert_eq!((fold.so_far().covered_ms, fold.so_far().wet_ms.read), (25 * MIN, 25 * MIN));
}

#[test]
fn one_lost_sample_is_no_gap_two_are() {
    // Ten-minute samples: 89 % keeps wet what was wet. One lost: 20 minutes between samples; two: 30, over 2.5 cadences.
    let mut fold = WetFold::default();
    push(&mut fold, 0, 15, 8.0, 95.0);
    push(&mut fold, 20, 35, 8.0, 89.0);
    assert_eq!(fold.so_far().wet_ms.read, 30 * MIN);
    push(&mut fold, 50, 60, 8.0, 89.0);
    assert_eq!(fold.so_far().wet_ms, Runs { low: 15 * MIN, read: 30 * MIN, high: 40 * MIN });
}

proptest! {
    /// A late reading restarts from a kept state: pushing in two goes with the fold kept between is pushing in one.
    #[test]
    fn prop_fold_taken_up_again_says_the_same(rh in prop::collection::vec(70.0..100.0_f64, 2..200), at in 0_usize..199) {
        let go = |keep_at: Option<usize>| {
            let (mut fold, mut hours) = (WetFold::default(), vec![]);
            for (k, &rh_pct) in rh.iter().enumerate() {
                if keep_at == Some(k) {
                    let kept = fold;
                    push(&mut fold, 10 * k as i64, 10 * k as i64 + 10, -3.0, 100.0);
                    fold = kept;
                }
                hours.extend(push(&mut fold, 10 * k as i64, 10 * k as i64 + 10, 8.0, rh_pct));
            }
            (fold, hours)
        };
        prop_assert_eq!(go(None), go(Some(at.min(rh.len() - 1))));
    }

    #[test]
    fn prop_hours_never_hold_more_wetness_than_time(rh in prop::collection::vec((1_i64..40, 60.0..100.0_f64), 1..200)) {
        let (mut fold, mut at) = (WetFold::default(), 7);
        for (minutes, rh_pct) in rh {
            for hour in push(&mut fold, at, at + minutes, 8.0, rh_pct) {
                prop_assert!(hour.covered_ms <= HOUR_MS);
                prop_assert!(hour.wet_ms.as_refs().into_iter().all(|w| (0..=hour.covered_ms).contains(w)));
            }
            at += minutes + minutes % 3;
        }
    }
}
