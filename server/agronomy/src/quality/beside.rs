//! Marks that need another sensor: neighbour and sunlit.

use super::constants as c;
use super::{Mark, Marks};
use crate::coverage::Sample;
use crate::psychrometrics::saturation_vapour_pressure_kpa;
use libm::sqrt;

/// The content of water of the air at an instant, which two places that share their air have in common whatever the sun does to their sensors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vapour {
    /// Instant, ms.
    pub t_ms: i64,
    /// Vapour pressure, kPa.
    pub kpa: f64,
    /// What the humidity sensor's stated error makes of it at this temperature, kPa.
    pub error_kpa: f64,
}

impl Vapour {
    /// Of `t_c` (-60 to 80 °C) and `rh_pct` (0 to 105 %RH over water, above 100 used as 100), a sensor that may be `error_pct` (0 to 100) off.
    ///
    /// **Errors**: `None` for what cannot be meant.
    pub fn of(t_ms: i64, t_c: f64, rh_pct: f64, error_pct: f64) -> Option<Vapour> {
        let (rh_pct, _) = super::humidity_for_physics(rh_pct)?;
        let saturated_kpa = saturation_vapour_pressure_kpa(t_c).filter(|_| (0.0..=100.0).contains(&error_pct))?;
        Some(Vapour { t_ms, kpa: saturated_kpa * rh_pct / 100.0, error_kpa: saturated_kpa * error_pct / 100.0 })
    }

    /// How far it may be apart from another of the same air before one of them is doubted, kPa: three times what both sensors' stated errors leave open,
    /// which at any temperature above -4 °C is 12.7 %RH of two sensors of 3 %, and no less than a small floor.
    ///
    /// **Source**: the dead band of the advice page ("both sensors' stated error at these temperatures, not a constant"), in the place of the 0.2 kPa that climate
    /// sheet 7 has from memory: that is 33 %RH at 0 °C and 5 at 30.
    ///
    /// ```
    /// use propstick_agronomy::quality::Vapour;
    /// let limit = |t_c| { let v = Vapour::of(0, t_c, 80.0, 3.0).unwrap(); v.allowed_kpa(&v) };
    /// // Advice page: the dead band is 0.03 kPa at 0 °C, 0.05 at 8, 0.13 at 24.
    /// assert_eq!([limit(0.0), limit(8.0), limit(24.0)].map(|kpa| (100.0 * kpa / 3.0).round() / 100.0), [0.03, 0.05, 0.13]);
    /// ```
    pub fn allowed_kpa(&self, other: &Vapour) -> f64 {
        let band_kpa = sqrt(self.error_kpa * self.error_kpa + other.error_kpa * other.error_kpa);
        (c::APART_BANDS.value * band_kpa).max(c::APART_LEAST_KPA.value)
    }
}

/// How far a reading can lie that makes a stretch of [`mark_drier_than_outside`] long enough, ms.
pub(super) const DRIER_REACH_MS: i64 = 2 * c::DRIER_FOR_H.hours_as_ms() + WITHIN_MS;

/// Holds each of `own` against the reading of `other` that is nearest in time, at most `within_ms` off: gives its index and that reading, in their order. Both
/// ascend in time.
pub fn beside_each(own: &[Vapour], other: &[Vapour], within_ms: i64, mut each: impl FnMut(usize, &Vapour)) {
    let mut at = 0;
    for (k, s) in own.iter().enumerate() {
        while other.get(at + 1).is_some_and(|next| next.t_ms <= s.t_ms) {
            at += 1;
        }
        let near = [other.get(at), other.get(at + 1)].into_iter().flatten();
        let nearest = near.min_by_key(|o| (o.t_ms - s.t_ms).abs()).filter(|o| (o.t_ms - s.t_ms).abs() <= within_ms);
        if let Some(nearest) = nearest {
            each(k, nearest);
        }
    }
}

/// Which readings of the air under a cover hold far less water than the air outside for three hours and more: a humidity that has fallen out, as a cover takes
/// no water from the air but by dew on it, and air that dews is damp.
///
/// `dry[k]` says whether the `k`-th of `own` reads so dry that no dew takes its water (see [`c::DRIER_BELOW_PCT`](super::constants::DRIER_BELOW_PCT)).
/// **Shape**: all ascend in time; one place in `marks` for each of `own`, where such readings are marked [`Mark::Range`]: outside what their place can be. Where
/// nothing is known of the outside for three hours a stretch ends. **Errors**: nothing is marked where lengths differ. **Source**: troubles page 1 ("far from outside");
/// climate sheet 7, polymer drift; the numbers are ours.
pub fn mark_drier_than_outside(own: &[Vapour], dry: &[bool], outside: &[Vapour], within_ms: i64, marks: &mut [Marks]) {
    if marks.len() != own.len() || dry.len() != own.len() {
        return;
    }
    let long_ms = c::DRIER_FOR_H.hours_as_ms();
    // First and last reading of the stretch that goes on.
    let mut stretch: Option<(usize, usize)> = None;
    beside_each(own, outside, within_ms, |k, out| {
        let limit_kpa = own[k].allowed_kpa(out).max(c::DRIER_KPA.value);
        if !(dry[k] && own[k].kpa + limit_kpa < out.kpa) {
            stretch = None;
            return;
        }
        let goes_on = stretch.filter(|(_, last)| own[k].t_ms - own[*last].t_ms <= long_ms);
        let first = goes_on.map_or(k, |(first, _)| first);
        stretch = Some((first, k));
        if own[k].t_ms - own[first].t_ms >= long_ms {
            // What was marked already is marked again only from the last reading on.
            let from = if marks[first].has(Mark::Range) { goes_on.map_or(k, |(_, last)| last) } else { first };
            marks[from..=k].iter_mut().for_each(|mark| *mark = mark.with(Mark::Range));
        }
    });
}

/// How far in time the other's reading may lie, ms: 15 min, or its own cadence where that is longer.
pub(super) const WITHIN_MS: i64 = 900_000;

/// Marks the readings of a series that stand further from another of the same place than `allowed` at their time, in the quantity's unit: of
/// temperatures [`c::APART_DAY_C`](super::constants::APART_DAY_C) and [`c::APART_NIGHT_C`](super::constants::APART_NIGHT_C); vapour pressures are held against each
/// other by [`beside_each`]. Which of the two is wrong it does not say: mark both.
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
pub fn mark_sunlit(samples: &[Sample], mut sun_w_m2: impl FnMut(i64) -> Option<f64>, marks: &mut [Marks]) {
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
