//! Runs the machine over readings: from samples and waterings to hours, from any kept state on.

use super::hours::{WetFold, WetHour};
use super::state::{Air, WetRules};
use crate::coverage::HOUR_MS;
use core::ops::Range;

/// Temperature and humidity of one instant at one spot, and what a wetness sensor said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirSample {
    /// Instant, ms since 1970 UTC.
    pub t_ms: i64,
    /// Air temperature, °C.
    pub t_c: f64,
    /// Relative humidity, %RH; none where it is missing or counts as missing (see [`crate::quality`]).
    pub rh_pct: Option<f64>,
    /// What the humidity may be off by, %RH: [`super::constants::HUMIDITY_ERROR_PCT`] unless tested; 100 for a reading that is doubted altogether, which
    /// makes it dry in the low run and wet in the high one.
    pub error_pct: f64,
    /// What a healthy wetness sensor says, 0 dry to 1 wet (see [`super::gauge`]).
    pub leaf: Option<f64>,
}

impl AirSample {
    fn air(&self, until_ms: i64) -> Option<Air> {
        let air = match self.rh_pct {
            Some(rh_pct) => Air::measured(self.t_ms, until_ms, self.t_c, rh_pct, self.error_pct)?,
            None => return Air::beside_gauge(self.t_ms, until_ms, self.t_c, self.leaf?),
        };
        Some(self.leaf.and_then(|leaf| air.with_leaf(leaf)).unwrap_or(air))
    }
}

/// The hours of `span` (ms, both ends on hours of the `fold`), from `samples` and the instants at which water came on the leaves.
///
/// A sample covers until the next one, at most 1.5 cadences; `cadence_ms` says the cadence of the hour that ends at the instant it is given
/// ([`crate::coverage::cadence_ms`], or [`crate::coverage::CADENCE_UNKNOWN_MS`]).
/// **Shape**: `samples` ascend in time, and begin at the latest with the last one before `span`, which may reach into it; `wettings_ms` ascend, those outside `span`
/// are passed over. What cannot be meant, or has neither humidity nor wetness, is as if it were not there. Every hour of which something is known is given
/// to `closed`; the others are unknown. Afterwards `fold` is that of the end of `span`: keep it there, and go on from it with the next span, or again when a
/// late reading has come. Allocates nothing.
///
/// ```
/// use propstick_agronomy::wetness::hours::{Leaf, WetFold};
/// use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
/// use propstick_agronomy::wetness::state::WetRules;
/// let ten_minutes = 600_000;
/// let samples: Vec<_> = (0..12).map(|k| {
///     AirSample { t_ms: k * ten_minutes, t_c: 8.0, rh_pct: Some(80.0), error_pct: 3.0, leaf: None }
/// }).collect();
/// let mut hours = Vec::new();
/// // Watered at 00:20: wet for three hours, as far as it is known.
/// wet_hours(&mut WetFold::default(), &WetRules::UNDER_COVER, &samples, &[1_200_000], 0..7_200_000, |_| ten_minutes, |h| hours.push(*h));
/// assert_eq!(hours.iter().map(|h| h.wet_ms.read / 60_000).collect::<Vec<_>>(), [40, 60]);
/// ```
pub fn wet_hours(
    fold: &mut WetFold,
    rules: &WetRules,
    samples: &[AirSample],
    wettings_ms: &[i64],
    span: Range<i64>,
    mut cadence_ms: impl FnMut(i64) -> i64,
    mut closed: impl FnMut(&WetHour),
) {
    let begun = samples.partition_point(|s| s.t_ms < span.start);
    // The last of those before that says anything.
    let first = samples[..begun].iter().rposition(|s| s.air(s.t_ms + 1).is_some()).unwrap_or(begun);
    let mut wettings = wettings_ms.iter().copied().filter(|t_ms| span.contains(t_ms)).peekable();
    let mut usable = samples[first..].iter().filter(|s| s.air(s.t_ms + 1).is_some()).peekable();
    let (mut hour_end_ms, mut cadence) = (i64::MIN, 0);
    while let Some(sample) = usable.next().filter(|s| s.t_ms < span.end) {
        let ends_ms = sample.t_ms - (sample.t_ms - span.start).rem_euclid(HOUR_MS) + HOUR_MS;
        if ends_ms != hour_end_ms {
            (hour_end_ms, cadence) = (ends_ms, cadence_ms(ends_ms).max(1));
        }
        let reach_ms = sample.t_ms + cadence * 3 / 2;
        let until_ms = usable.peek().map_or(reach_ms, |next| next.t_ms.min(reach_ms)).min(span.end);
        let Some(air) = sample.air(until_ms).map(|air| air.of_cadence(cadence)) else { continue };
        let mut from_ms = sample.t_ms.max(span.start);
        while let Some(at_ms) = wettings.next_if(|at_ms| *at_ms < until_ms) {
            if at_ms > from_ms {
                fold.push(rules, &air.part(from_ms, at_ms), &mut closed);
                from_ms = at_ms;
            }
            fold.wetted(rules, at_ms);
        }
        if from_ms < until_ms {
            fold.push(rules, &air.part(from_ms, until_ms), &mut closed);
        }
    }
    // Water that came after the last sample that is known of.
    wettings.for_each(|at_ms| fold.wetted(rules, at_ms));
    fold.close_hour(&mut closed);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::{CADENCE_UNKNOWN_MS, Sample, cadence_ms, hour_cells};
    use crate::runs::Runs;
    use alloc::vec::Vec;
    use proptest::prelude::*;

    const MIN: i64 = 60_000;
    const RULES: WetRules = WetRules::UNDER_COVER;

    fn sample(minute: i64, t_c: f64, rh_pct: f64) -> AirSample {
        AirSample { t_ms: minute * MIN, t_c, rh_pct: Some(rh_pct), error_pct: 3.0, leaf: None }
    }

    fn run(fold: &mut WetFold, samples: &[AirSample], wettings: &[i64], span: Range<i64>) -> Vec<WetHour> {
        let plain: Vec<Sample> = samples.iter().map(|s| Sample { t_ms: s.t_ms, v: s.t_c }).collect();
        let mut hours = Vec::new();
        let cadence = |end| cadence_ms(&plain, end).unwrap_or(CADENCE_UNKNOWN_MS);
        wet_hours(fold, &RULES, samples, wettings, span, cadence, |h| hours.push(*h));
        hours
    }

    #[test]
    fn water_in_the_middle_of_a_stretch_counts_from_there() {
        let samples = [0, 60, 120, 180, 240].map(|m| sample(m, 12.0, 80.0));
        let hours = run(&mut WetFold::default(), &samples, &[90 * MIN], 0..5 * HOUR_MS);
        assert_eq!(hours.iter().map(|h| h.wet_ms.read / MIN).collect::<Vec<_>>(), [0, 30, 60, 60, 30]);
    }

    #[test]
    fn what_cannot_be_meant_is_as_if_it_were_not_there() {
        let mut samples: Vec<_> = (0..12).map(|k| sample(10 * k, 8.0, 95.0)).collect();
        let whole = run(&mut WetFold::default(), &samples, &[], 0..2 * HOUR_MS);
        samples[4].rh_pct = None;
        samples[5].rh_pct = Some(340.0);
        samples[6].t_c = f64::NAN;
        let hours = run(&mut WetFold::default(), &samples, &[], 0..2 * HOUR_MS);
        assert_eq!((whole[0].covered_ms, hours[0].covered_ms, hours[1].covered_ms), (HOUR_MS, 45 * MIN, 50 * MIN));
        // A wetness sensor alone will do.
        samples[4].leaf = Some(1.0);
        let hours = run(&mut WetFold::default(), &samples, &[], 0..2 * HOUR_MS);
        assert_eq!((hours[0].covered_ms, hours[0].wet_ms), (55 * MIN, Runs::all(55 * MIN)));
    }

    #[test]
    fn a_reading_that_is_doubted_altogether_parts_the_runs() {
        let doubted: Vec<_> = (0..6).map(|k| AirSample { error_pct: 100.0, ..sample(10 * k, 8.0, 97.0) }).collect();
        let hours = run(&mut WetFold::default(), &doubted, &[], 0..HOUR_MS);
        assert_eq!(hours[0].wet_ms, Runs { low: 0, read: HOUR_MS, high: HOUR_MS });
        let dry: Vec<_> = doubted.iter().map(|s| AirSample { rh_pct: Some(25.0), ..*s }).collect();
        let hours = run(&mut WetFold::default(), &dry, &[], 0..HOUR_MS);
        assert_eq!(hours[0].wet_ms, Runs { low: 0, read: 0, high: HOUR_MS });
    }

    #[test]
    fn water_after_the_last_sample_is_not_forgotten() {
        let mut fold = WetFold::default();
        run(&mut fold, &[sample(0, 8.0, 80.0)], &[50 * MIN], 0..HOUR_MS);
        assert_eq!(fold.state.drying_ms.read, 3 * HOUR_MS);
        // Known again 10 minutes later, in one cadence.
        let hours = run(&mut fold, &[sample(60, 8.0, 80.0)], &[], HOUR_MS..2 * HOUR_MS);
        assert_eq!(hours[0].wet_ms.read, hours[0].covered_ms);
    }

    #[test]
    fn water_told_in_a_gap_dries_from_when_it_came() {
        // Every ten minutes to 10:05, silent to 14:00; watered over the leaves at 13:50, 12 °C and 80 % after: wet for 2 h 50 yet, in every run.
        let mut samples: Vec<_> = (0..=6).map(|k| sample(540 + 10 * k + 5, 12.0, 80.0)).collect();
        samples.extend((0..24).map(|k| sample(840 + 10 * k, 12.0, 80.0)));
        let wet_after = |watered_min: &[i64]| {
            let wettings: Vec<i64> = watered_min.iter().map(|m| m * MIN).collect();
            let hours = run(&mut WetFold::default(), &samples, &wettings, 0..18 * HOUR_MS);
            let after = hours.iter().filter(|h| h.from_ms >= 14 * HOUR_MS).map(|h| h.wet_ms);
            after.fold(Runs::all(0), |sum, wet_ms| sum.with(wet_ms, |a, b| a + b)).map(|ms| ms / MIN)
        };
        let wet = wet_after(&[830]);
        assert_eq!((wet.low, wet.read, wet.high >= 170), (170, 170, true));
        // Twice in the gap: the later counts. Before the gap: the low run knows nothing of it.
        assert_eq!(wet_after(&[700, 830]).low, 170);
        assert_eq!((wet_after(&[700]).low, wet_after(&[700]).read), (40, 40));
        assert_eq!((wet_after(&[600]).low, wet_after(&[600]).read), (0, 0));
    }

    fn readings() -> impl Strategy<Value = Vec<AirSample>> {
        let step = prop_oneof![8 => Just(10_i64), 1 => 1_i64..60, 1 => Just(200)];
        prop::collection::vec((step, -4.0..14.0_f64, 70.0..100.0_f64), 10..300).prop_map(|steps| {
            let mut at = 0;
            steps
                .into_iter()
                .map(|(step, t_c, rh)| {
                    at += step;
                    sample(at, t_c, rh)
                })
                .collect()
        })
    }

    proptest! {
        /// Coverage here is coverage everywhere.
        #[test]
        fn prop_hours_are_covered_as_the_hours_of_a_series(samples in readings()) {
            let plain: Vec<Sample> = samples.iter().map(|s| Sample { t_ms: s.t_ms, v: s.t_c }).collect();
            let hours = run(&mut WetFold::default(), &samples, &[], 0..60 * HOUR_MS);
            let cells: Vec<_> = hour_cells(&plain, 0, 60).into_iter().filter(|c| c.covered_ms > 0).collect();
            prop_assert_eq!(
                hours.iter().map(|h| (h.from_ms, h.covered_ms)).collect::<Vec<_>>(),
                cells.iter().map(|c| (c.from_ms, c.covered_ms)).collect::<Vec<_>>()
            );
        }

        /// Water in a gap wets for no less than water at the first sample after it, less the time between; whatever run.
        #[test]
        fn prop_water_in_a_gap_counts_as_water_at_its_end_less_the_time_between(
            silent_min in 40_i64..600, before_end_min in 1_i64..40, rh in 70.0..100.0_f64, after in prop::collection::vec(70.0..100.0_f64, 40),
        ) {
            // The last sample before it covers a quarter of an hour: water in that is water before the gap.
            prop_assume!(before_end_min <= silent_min - 15);
            let mut samples: Vec<_> = (0..30).map(|k| sample(10 * k, 9.0, rh)).collect();
            let back = 290 + silent_min;
            samples.extend((0..).zip(&after).map(|(k, rh)| sample(back + 10 * k, 9.0, *rh)));
            let wet = |at_min: i64| {
                let hours = run(&mut WetFold::default(), &samples, &[at_min * MIN], 0..30 * HOUR_MS);
                hours.iter().fold(Runs::all(0), |sum, h| sum.with(h.wet_ms, |a, b| a + b))
            };
            let (in_gap, at_end) = (wet(back - before_end_min), wet(back));
            for (gap, end) in in_gap.as_refs().into_iter().zip(at_end.as_refs()) {
                prop_assert!(*gap >= end - before_end_min * MIN, "{in_gap:?} {at_end:?}");
            }
        }

        /// A fold that was kept at any hour goes on as if it had never stopped.
        #[test]
        fn prop_span_cut_at_any_hour_says_the_same(samples in readings(), wettings in prop::collection::vec(0_i64..3_000, 0..5), cut in 1_i64..59) {
            let mut wettings: Vec<i64> = wettings.into_iter().map(|m| m * MIN).collect();
            wettings.sort_unstable();
            let mut whole = WetFold::default();
            let at_once = run(&mut whole, &samples, &wettings, 0..60 * HOUR_MS);
            let mut kept = WetFold::default();
            let mut in_two = run(&mut kept, &samples, &wettings, 0..cut * HOUR_MS);
            in_two.extend(run(&mut kept, &samples, &wettings, cut * HOUR_MS..60 * HOUR_MS));
            prop_assert_eq!(at_once, in_two);
            prop_assert_eq!(whole, kept);
        }
    }
}
