//! Marks that need another sensor: neighbour and sunlit.

use super::constants as c;
use super::{Mark, Marks};
use crate::coverage::Sample;

/// How far in time the other's reading may lie, ms: 15 min, or its own cadence where that is longer.
pub(super) const WITHIN_MS: i64 = 900_000;

/// Marks the readings of a series that stand further from another of the same place than `allowed` at their time, in the quantity's unit: of
/// temperatures [`c::APART_DAY_C`](super::constants::APART_DAY_C) and [`c::APART_NIGHT_C`](super::constants::APART_NIGHT_C), of vapour pressures
/// [`c::APART_KPA`](super::constants::APART_KPA). Which of the two is wrong it does not say: mark both.
///
/// **Shape**: both ascend in time, `marks` has a place for each of `samples`. The other's nearest reading counts, at most `within_ms` off; without
/// one there is no mark. **Errors**: nothing is marked where lengths differ; what is no number is not compared. **Source**: climate sheet 7, limits
/// from memory there. **Accuracy**: finds ten days of a broken humidity sensor 75 km from its neighbour, see `tests/`.
///
/// ```
/// use propstick_agronomy::{coverage::Sample, quality::{Mark, Marks, mark_apart}};
/// let (a, b) = ([Sample { t_ms: 0, v: 24.0 }], [Sample { t_ms: 60_000, v: 15.5 }]);
/// let mut marks = [Marks::NONE];
/// mark_apart(&a, &b, 900_000, |_| 6.0, &mut marks);
/// assert!(marks[0].has(Mark::Neighbour));
/// ```
pub fn mark_apart(
    samples: &[Sample],
    other: &[Sample],
    within_ms: i64,
    allowed: impl Fn(i64) -> f64,
    marks: &mut [Marks],
) {
    if marks.len() != samples.len() {
        return;
    }
    let mut at = 0;
    for (s, mark) in samples.iter().zip(marks) {
        // The other's last reading at or before this one, if any; then the nearer of it and the next.
        while other.get(at + 1).is_some_and(|next| next.t_ms <= s.t_ms) {
            at += 1;
        }
        let near = [other.get(at), other.get(at + 1)].into_iter().flatten();
        let nearest = near.min_by_key(|o| (o.t_ms - s.t_ms).abs()).filter(|o| (o.t_ms - s.t_ms).abs() <= within_ms);
        if nearest.is_some_and(|o| (o.v - s.v).abs() > allowed(s.t_ms)) {
            *mark = mark.with(Mark::Neighbour);
        }
    }
}

/// Marks the readings of an unfanned sensor that were taken with more than 150 W/m² of sun on it, as `sun_w_m2` gives it for an instant, where it
/// knows.
///
/// **Shape**: `marks` has a place for each of `samples`. **Errors**: nothing is marked where lengths differ or the sun is not known. **Source**:
/// climate sheet 7, from memory there. **Accuracy**: see [`radiation_error_c`].
///
/// ```
/// use propstick_agronomy::{coverage::Sample, quality::{Mark, Marks, mark_sunlit}};
/// let noon = [Sample { t_ms: 0, v: 24.0 }];
/// let mut marks = [Marks::NONE];
/// mark_sunlit(&noon, |_| Some(300.0), &mut marks);
/// assert!(marks[0].has(Mark::Sunlit));
/// ```
pub fn mark_sunlit(samples: &[Sample], sun_w_m2: impl Fn(i64) -> Option<f64>, marks: &mut [Marks]) {
    if marks.len() != samples.len() {
        return;
    }
    for (s, mark) in samples.iter().zip(marks) {
        if sun_w_m2(s.t_ms).is_some_and(|sun| sun > c::SUNLIT_W_M2.value) {
            *mark = mark.with(Mark::Sunlit);
        }
    }
}

/// How much too warm an unfanned sensor under cover may read with `sun_w_m2` (0 to 1,600) of sun on it, °C.
///
/// Humidity from the same chip is too low by 6 % of its value for each degree; vapour pressure stays right. **Errors**: `None` out of range.
/// **Source**: climate sheet 7, 1.5 °C at 300 W/m², from memory there. **Accuracy**: from a third of it to three times.
///
/// ```
/// use propstick_agronomy::quality::radiation_error_c;
/// assert_eq!(radiation_error_c(300.0), Some(1.5));
/// ```
pub fn radiation_error_c(sun_w_m2: f64) -> Option<f64> {
    (0.0..=1_600.0).contains(&sun_w_m2).then_some(c::SUNLIT_C.value * sun_w_m2 / 300.0)
}
