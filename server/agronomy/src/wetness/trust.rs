//! Whether the word of a wetness sensor is believed where it says wet: one that has stuck must not wet a leaf.
//!
//! Our addition to wetness sheet 1.4. Both rules look back over a stretch of fixed length and keep nothing, so that they say the same wherever the
//! asking starts. Only a word of wet is doubted: humidity then speaks, as it does where there is no sensor.

use super::constants as c;
use super::gauge::GaugeScale;
use crate::coverage::HOUR_MS;

/// A reading of a wetness sensor with the air beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watched {
    /// Instant, ms since 1970 UTC.
    pub t_ms: i64,
    /// Air temperature, °C.
    pub t_c: f64,
    /// Relative humidity, %RH; none where it is missing.
    pub rh_pct: Option<f64>,
    /// The channel's value.
    pub raw: f64,
}

/// How far back [`is_stuck_wet`] looks, ms.
pub const STUCK_LOOK_BACK_MS: i64 = c::GAUGE_STUCK_H.hours_as_ms();
/// How far back [`is_contradicted`] looks, ms.
pub const CONTRADICTED_LOOK_BACK_MS: i64 = c::WATERED_H.hours_as_ms();

/// Fewest readings of a day that can show a sensor to stand still.
const LEAST_STILL: u32 = 12;
/// Fewest readings that contradict each other.
const LEAST_AGAINST: u32 = 3;
/// A stretch counts from this share of its length on.
const LEAST_SHARE: f64 = 0.8;

/// Whether a sensor has stuck wet: over the day before (`readings` of [`STUCK_LOOK_BACK_MS`], ascending) it moved by less than 2 % of its span, always
/// wet, while temperature moved by 2 °C or humidity by 5 %RH.
///
/// **Errors**: false with fewer than twelve readings, or with less than four fifths of the day between the first and the last. **Source**: our proposal.
/// **Accuracy**: a sensor at the end of its scale through a fog of a day may be called stuck; humidity then says wet as well.
///
/// ```
/// use propstick_agronomy::wetness::{gauge::GaugeScale, trust::{Watched, is_stuck_wet}};
/// let scale = GaugeScale { dry: 0.0, wet: 1.0 };
/// let day = |raw: fn(i64) -> f64| (0..48).map(move |k| Watched { t_ms: k * 1_800_000, t_c: 5.0 + (k % 24) as f64 / 8.0, rh_pct: Some(93.0), raw: raw(k) });
/// assert!(is_stuck_wet(&scale, day(|_| 0.97)));
/// assert!(!is_stuck_wet(&scale, day(|k| 0.90 + 0.01 * (k % 4) as f64)));
/// assert!(!is_stuck_wet(&scale, day(|_| 0.0)));
/// ```
pub fn is_stuck_wet(scale: &GaugeScale, readings: impl IntoIterator<Item = Watched>) -> bool {
    let span = (scale.wet - scale.dry).abs();
    let (mut seen, mut raw, mut t_c, mut rh_pct) = (Seen::default(), Ends::NONE, Ends::NONE, Ends::NONE);
    for r in readings {
        if !scale.wetness(r.raw).is_some_and(|w| w >= c::GAUGE_OFF.value) {
            return false;
        }
        seen.take(r.t_ms);
        raw.take(r.raw);
        t_c.take(r.t_c);
        if let Some(rh) = r.rh_pct {
            rh_pct.take(rh);
        }
    }
    let air_moved = t_c.apart() >= c::GAUGE_STUCK_MOVED_C.value || rh_pct.apart() >= c::GAUGE_STUCK_MOVED_PCT.value;
    seen.is_enough(LEAST_STILL, STUCK_LOOK_BACK_MS) && raw.apart() < c::GAUGE_STILL.value * span && air_moved
}

/// Whether humidity contradicts a sensor that says wet: it has said so for the three hours before (`readings` of [`CONTRADICTED_LOOK_BACK_MS`],
/// ascending) while humidity stood below 75 %RH, in which water that came on leaves is gone.
///
/// **Errors**: false with fewer than three readings, an unknown humidity, or less than four fifths of the time between the first and the last.
/// **Source**: wetness sheet 1.3 ("ended early by RH < 75 %"); to turn it on the sensor is our proposal.
///
/// ```
/// use propstick_agronomy::wetness::{gauge::GaugeScale, trust::{Watched, is_contradicted}};
/// let scale = GaugeScale { dry: 0.0, wet: 1.0 };
/// let hours = |rh_pct: f64| (0..18).map(move |k| Watched { t_ms: k * 600_000, t_c: 12.0, rh_pct: Some(rh_pct), raw: 0.6 });
/// assert!(is_contradicted(&scale, hours(74.0)));
/// assert!(!is_contradicted(&scale, hours(76.0)));
/// ```
pub fn is_contradicted(scale: &GaugeScale, readings: impl IntoIterator<Item = Watched>) -> bool {
    let mut seen = Seen::default();
    for r in readings {
        let wet = scale.wetness(r.raw).is_some_and(|w| w >= c::GAUGE_OFF.value);
        if !wet || r.rh_pct.is_none_or(|rh| rh >= c::DRYING_PCT.value) {
            return false;
        }
        seen.take(r.t_ms);
    }
    seen.is_enough(LEAST_AGAINST, CONTRADICTED_LOOK_BACK_MS)
}

/// How many readings, from when to when.
#[derive(Default)]
struct Seen {
    n: u32,
    first_ms: i64,
    last_ms: i64,
}

impl Seen {
    const fn take(&mut self, t_ms: i64) {
        if self.n == 0 {
            self.first_ms = t_ms;
        }
        (self.n, self.last_ms) = (self.n + 1, t_ms);
    }

    fn is_enough(&self, least: u32, of_ms: i64) -> bool {
        self.n >= least && (self.last_ms - self.first_ms) as f64 >= LEAST_SHARE * of_ms as f64
    }
}

/// Least and greatest of some values.
struct Ends(f64, f64);

impl Ends {
    const NONE: Ends = Ends(f64::INFINITY, f64::NEG_INFINITY);

    const fn take(&mut self, v: f64) {
        (self.0, self.1) = (self.0.min(v), self.1.max(v));
    }

    /// How far they lie apart; below nought where there are none.
    const fn apart(&self) -> f64 {
        self.1 - self.0
    }
}

const _: () = assert!(CONTRADICTED_LOOK_BACK_MS < STUCK_LOOK_BACK_MS && STUCK_LOOK_BACK_MS <= 96 * HOUR_MS);

#[cfg(test)]
mod tests {
    use super::*;

    const SCALE: GaugeScale = GaugeScale { dry: 0.1, wet: 0.6 };

    /// A day of half hours at one value, in air that moves by so much.
    fn day(raw: f64, moved_c: f64, moved_pct: f64) -> impl Iterator<Item = Watched> {
        (0..48).map(move |k| {
            let wave = (k % 24) as f64 / 23.0;
            Watched { t_ms: k * 1_800_000, t_c: 6.0 + moved_c * wave, rh_pct: Some(88.0 + moved_pct * wave), raw }
        })
    }

    #[test]
    fn sensor_that_stands_wet_through_a_day_that_moved_is_stuck_and_a_dry_one_is_not() {
        assert!(is_stuck_wet(&SCALE, day(0.5, 2.0, 0.0)));
        assert!(is_stuck_wet(&SCALE, day(0.5, 0.0, 5.0)));
        assert!(!is_stuck_wet(&SCALE, day(0.5, 1.9, 4.9)), "the air stood still as well");
        // 0.15 of the span of 0.5 from the dry end at 0.1: off below 0.175.
        assert!(is_stuck_wet(&SCALE, day(0.176, 3.0, 9.0)));
        assert!(!is_stuck_wet(&SCALE, day(0.174, 3.0, 9.0)));
    }

    #[test]
    fn a_move_of_two_hundredths_of_the_span_shows_that_the_sensor_lives() {
        let with = |move_of: f64| {
            is_stuck_wet(
                &SCALE,
                day(0.5, 3.0, 9.0).map(|r| if r.t_ms == 0 { Watched { raw: 0.5 + move_of, ..r } } else { r }),
            )
        };
        assert!(with(0.009) && !with(0.011));
    }

    #[test]
    fn too_little_of_a_day_shows_nothing() {
        assert!(!is_stuck_wet(&SCALE, day(0.5, 3.0, 9.0).take(38)), "18.5 h");
        assert!(is_stuck_wet(&SCALE, day(0.5, 3.0, 9.0).step_by(4)), "twelve readings over 22 h");
        assert!(!is_stuck_wet(&SCALE, day(0.5, 3.0, 9.0).step_by(5)), "ten");
        assert!(!is_stuck_wet(&SCALE, core::iter::empty()) && !is_contradicted(&SCALE, core::iter::empty()));
    }

    #[test]
    fn wet_in_air_that_dries_leaves_is_contradicted_after_three_hours() {
        let hours = |n: i64, rh: Option<f64>| {
            (0..n).map(move |k| Watched { t_ms: k * 1_200_000, t_c: 14.0, rh_pct: rh, raw: 0.5 })
        };
        assert!(is_contradicted(&SCALE, hours(9, Some(74.9))));
        assert!(!is_contradicted(&SCALE, hours(9, Some(75.0))));
        assert!(!is_contradicted(&SCALE, hours(9, None)));
        assert!(!is_contradicted(&SCALE, hours(8, Some(60.0))), "two hours and twenty minutes");
        assert!(!is_contradicted(
            &SCALE,
            hours(9, Some(60.0)).map(|r| if r.t_ms == 0 { Watched { raw: 0.1, ..r } } else { r })
        ));
    }
}
