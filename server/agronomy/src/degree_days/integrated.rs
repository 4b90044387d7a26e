//! Degree-days of the measured course itself. A gap is a gap: it widens the range and is never filled with a line.

use super::curve::Excess;
use super::{DayRange, DegreeDays, Limits, Method, TEMPERATURE};
use crate::coverage::{HOUR_MS, Sample};

/// Readings further apart than this leave a gap: the 60 min of climate sheet 2.1 and a quarter more, because an hourly board is never quite on the
/// hour.
pub const GAP_MS: i64 = HOUR_MS / 4 * 5;
/// From this covered share of the day on the course is integrated, climate sheet 2.1.
pub const INTEGRATED_FROM: f64 = 0.9;
/// From this covered share on the day falls back to the sine of its lowest and highest reading; below it the day is missing. Climate sheet 2.1.
pub const SINE_FROM: f64 = 0.6;
const DAY_MS: i64 = 24 * HOUR_MS;

/// A day's degree-days from what was measured of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The degree-days, and by which method: [`Method::Integrated`] or, on a day with holes, [`Method::SingleSine`].
    pub degree_days: DegreeDays,
    /// The least they can be, °C d: nothing in the time that was not measured.
    pub low_c_d: f64,
    /// The most, °C d: the warmest reading all through the time that was not measured.
    pub high_c_d: f64,
    /// Share of the day that was measured, 0 to 1.
    pub covered: f64,
}

/// Degree-days of the day `[from_ms, to_ms)`, of 20 to 28 h, straight between readings.
///
/// **Shape**: `samples` in °C ascend in time and hold all within the day and the neighbours just outside it; what carries a mark that counts as
/// missing is left out before. Readings at most 75 min apart are joined, further ones leave a gap ([`GAP_MS`]). From 90 % covered the mean rate of
/// the measured time stands for the day; from 60 % on the sine of the day's lowest and highest reading; each day counts its own length, so that a day
/// of 23 h has 23/24. **Errors**: `None` below 60 % covered, for a day of another length, or a reading beyond -250 to 250. **Source**: climate sheet
/// 2.1. **Accuracy**: exact for the line drawn; hourly readings of seven weeks stand within 0.09 °C d a day, 0.1 % in sum, of five-minute ones.
///
/// ```
/// use propstick_agronomy::coverage::Sample;
/// use propstick_agronomy::degree_days::{Limits, integrated::of_samples};
/// // A day of 10 °C, read every 30 minutes: 6 °C d above 4.
/// let samples: Vec<Sample> = (0..=48).map(|k| Sample { t_ms: k * 1_800_000, v: 10.0 }).collect();
/// let day = of_samples(&samples, 0, 86_400_000, Limits::above(4.0).unwrap()).unwrap();
/// assert_eq!((day.degree_days.value_c_d, day.covered), (6.0, 1.0));
/// ```
pub fn of_samples(samples: &[Sample], from_ms: i64, to_ms: i64, limits: Limits) -> Option<Measured> {
    let first = samples.partition_point(|s| s.t_ms < from_ms).saturating_sub(1);
    let mut sums = Sums::default();
    for pair in samples[first..].windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if a.t_ms >= to_ms {
            break;
        }
        let (start_ms, end_ms) = (a.t_ms.max(from_ms), b.t_ms.min(to_ms));
        if b.t_ms - a.t_ms > GAP_MS || start_ms >= end_ms {
            continue;
        }
        let at = |t_ms: i64| a.v + (b.v - a.v) * (t_ms - a.t_ms) as f64 / (b.t_ms - a.t_ms) as f64;
        sums.take(at(start_ms), at(end_ms), end_ms - start_ms, limits);
    }
    sums.day(to_ms - from_ms, limits)
}

/// Degree-days of a day of 20 to 28 hourly means, °C, each taken as the temperature of its whole hour.
///
/// **Shape**: one for every hour of the day, `None` where it is not known. Coverage rules as [`of_samples`]. **Errors**: as [`of_samples`].
/// **Source**: climate sheet 2.1. **Accuracy**: exact for the steps drawn; within 0.05 % of [`of_samples`] over a year at three Irish stations.
///
/// ```
/// use propstick_agronomy::degree_days::{Limits, integrated::of_hours};
/// // Twelve hours of 2 °C and twelve of 8: 2 °C d above 4.
/// let hours: Vec<Option<f64>> = (0..24).map(|h| Some(if h < 12 { 2.0 } else { 8.0 })).collect();
/// let day = of_hours(&hours, Limits::above(4.0).unwrap()).unwrap();
/// assert!((day.degree_days.value_c_d - 2.0).abs() < 1e-9);
/// ```
pub fn of_hours(hours: &[Option<f64>], limits: Limits) -> Option<Measured> {
    let mut sums = Sums::default();
    for t_c in hours.iter().flatten() {
        sums.take(*t_c, *t_c, HOUR_MS, limits);
    }
    sums.day(hours.len() as i64 * HOUR_MS, limits)
}

/// What the pieces of a day add up to.
struct Sums {
    above_base: Excess,
    above_upper: Excess,
    covered_ms: i64,
    min_c: f64,
    max_c: f64,
    sound: bool,
}

impl Default for Sums {
    fn default() -> Self {
        let none = Excess::NONE;
        let (min_c, max_c) = (f64::INFINITY, f64::NEG_INFINITY);
        Sums { above_base: none, above_upper: none, covered_ms: 0, min_c, max_c, sound: true }
    }
}

impl Sums {
    /// A straight piece of `length_ms` from `start_c` to `end_c`.
    fn take(&mut self, start_c: f64, end_c: f64, length_ms: i64, limits: Limits) {
        add(&mut self.above_base, start_c - limits.base_c, end_c - limits.base_c, length_ms as f64);
        if let Some((upper_c, _)) = limits.upper {
            add(&mut self.above_upper, start_c - upper_c, end_c - upper_c, length_ms as f64);
        }
        self.covered_ms += length_ms;
        self.min_c = self.min_c.min(start_c).min(end_c);
        self.max_c = self.max_c.max(start_c).max(end_c);
        self.sound &= TEMPERATURE.contains(&start_c) && TEMPERATURE.contains(&end_c);
    }

    fn day(&self, length_ms: i64, limits: Limits) -> Option<Measured> {
        let meant = (20 * HOUR_MS..=28 * HOUR_MS).contains(&length_ms);
        let covered = self.covered_ms as f64 / length_ms as f64;
        if !meant || !self.sound || covered < SINE_FROM {
            return None;
        }
        let range = DayRange::new(self.min_c, self.max_c)?;
        let in_days = |e: Excess| Excess { degree_days: e.degree_days / DAY_MS as f64, share: e.share / DAY_MS as f64 };
        let measured_c_d = limits.apply(in_days(self.above_base), in_days(self.above_upper));
        let unknown_d = (length_ms - self.covered_ms) as f64 / DAY_MS as f64;
        let high_c_d = measured_c_d + unknown_d * limits.greatest_rate(self.max_c);
        let degree_days = if covered >= INTEGRATED_FROM {
            DegreeDays::named(measured_c_d / covered, Method::Integrated, limits)
        } else {
            let sine = DegreeDays::of(range, Method::SingleSine, limits)?;
            DegreeDays { value_c_d: sine.value_c_d * (length_ms as f64 / DAY_MS as f64), ..sine }
        };
        let value_c_d = degree_days.value_c_d;
        let (low_c_d, high_c_d) = (measured_c_d.min(value_c_d), high_c_d.max(value_c_d));
        Some(Measured { degree_days, low_c_d, high_c_d, covered })
    }
}

/// Adds a straight piece that begins `x0` and ends `x1` above a threshold: climate sheet 2.1. Everything in units of `length`.
fn add(excess: &mut Excess, x0: f64, x1: f64, length: f64) {
    let (degrees, share) = if x0 >= 0.0 && x1 >= 0.0 {
        // A piece along the threshold itself has nothing above it.
        (0.5 * (x0 + x1), if x0 == 0.0 && x1 == 0.0 { 0.0 } else { 1.0 })
    } else if x0 <= 0.0 && x1 <= 0.0 {
        (0.0, 0.0)
    } else {
        let share = x0.max(x1) / (x1 - x0).abs();
        (0.5 * x0.max(x1) * share, share)
    };
    excess.degree_days += degrees * length;
    excess.share += share * length;
}
