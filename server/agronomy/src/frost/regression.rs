//! A night's low from the air at dusk, learned from the sensor's own clear nights.

use super::constants as c;
use libm::sqrt;

/// Temperatures that a night can have, °C.
const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -60.0..=60.0;

/// A past radiation night: calm, clear, dry, with nothing opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Night {
    /// Air two hours after sunset, °C.
    pub dusk_c: f64,
    /// Dew point then, °C, where humidity was known.
    pub dusk_dew_c: Option<f64>,
    /// The night's lowest, °C.
    pub low_c: f64,
}

/// What one sensor's nights teach about its lows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightLow {
    /// Low per degree at dusk.
    pub per_dusk: f64,
    /// Low at a dusk of 0 °C, before the dew point.
    pub base_c: f64,
    /// What the dew point at dusk adds per degree; 0 where it was not known on enough nights.
    pub per_dew: f64,
    /// What the dew point adds at 0 °C.
    pub dew_base_c: f64,
    /// Nights learned from.
    pub nights: usize,
    /// Standard deviation of what is left unexplained, °C, on the nights learned from: less than that of new ones.
    pub residual_c: f64,
    /// Share of the lows' variance that the first step explains, 0 to 1.
    pub explained: f64,
    /// Lowest and highest air at dusk that it has seen, °C.
    pub seen_c: [f64; 2],
}

/// A night's low as it is expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Low {
    /// The low, °C.
    pub low_c: f64,
    /// The low to warn by, °C: 1.5 °C less. Where [`NightLow::residual_c`] is more than 0.75 °C a range of twice it is the honester answer.
    pub warn_c: f64,
    /// Whether the air at dusk lies beyond all that was learned from.
    pub beyond: bool,
}

impl NightLow {
    /// What `nights` teach, from ten on.
    ///
    /// Two successive fits of one variable, not a multiple regression: the low on the air at dusk, then what is left on the dew point, from the
    /// nights that know it, if they are ten. **Shape**: in any order; every one counts the same. **Errors**: `None` for fewer than ten nights, all
    /// with the same air at dusk, or a number out of -60 to 60 °C. **Source**: Snyder & de Melo-Abreu 2005 ch. 5, climate sheet 5.1. **Accuracy**:
    /// FAO's sample data to 1e-4; in a tunnel of the Veneto what one winter taught was 1.7 °C off in the next (root mean square), where yesterday's
    /// low was 4.5 °C off.
    ///
    /// ```
    /// use propstick_agronomy::frost::{Night, NightLow};
    /// let nights: Vec<Night> = (0..10).map(|k| f64::from(k)).map(|t| Night { dusk_c: t, dusk_dew_c: None, low_c: 0.8 * t - 4.0 }).collect();
    /// let learned = NightLow::learn(&nights).unwrap();
    /// assert!((learned.low(5.0, None).unwrap().low_c - 0.0).abs() < 1e-9);
    /// ```
    pub fn learn(nights: &[Night]) -> Option<NightLow> {
        let meant = |n: &Night| {
            let all = [Some(n.dusk_c), n.dusk_dew_c, Some(n.low_c)];
            all.iter().flatten().all(|t_c| TEMPERATURE_C.contains(t_c))
        };
        if nights.len() < c::LEAST_NIGHTS.value as usize || !nights.iter().all(meant) {
            return None;
        }
        let first = fit(nights.iter().map(|n| (n.dusk_c, n.low_c)))?;
        let left = |n: &Night| n.low_c - first.at(n.dusk_c);
        let with_dew = || nights.iter().filter_map(|n| Some((n.dusk_dew_c?, left(n))));
        let enough = with_dew().count() >= c::LEAST_NIGHTS.value as usize;
        // Dew points that are all the same teach nothing.
        let second =
            if enough { fit(with_dew()) } else { None }.unwrap_or(Line { slope: 0.0, base: 0.0, explained: 0.0 });
        let rest = |n: &Night| left(n) - n.dusk_dew_c.map_or(0.0, |dew_c| second.at(dew_c));
        let square: f64 = nights.iter().map(|n| rest(n) * rest(n)).sum();
        let ends =
            nights.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |e, n| [e[0].min(n.dusk_c), e[1].max(n.dusk_c)]);
        Some(NightLow {
            per_dusk: first.slope,
            base_c: first.base,
            per_dew: second.slope,
            dew_base_c: second.base,
            nights: nights.len(),
            residual_c: sqrt(square / (nights.len() - 2) as f64),
            explained: first.explained,
            seen_c: ends,
        })
    }

    /// The low of a night with air of `dusk_c` and, where humidity is known, a dew point of `dusk_dew_c` two hours after sunset, °C, -60 to 60. It
    /// stands for calm clear nights like those learned from.
    ///
    /// **Errors**: `None` out of range. **Source**: climate sheet 5.1; the margin to warn by is 1.5 °C there. **Accuracy**: see [`NightLow::learn`].
    ///
    /// ```
    /// use propstick_agronomy::frost::{Night, NightLow};
    /// let nights: Vec<Night> = (0..10).map(|k| f64::from(k)).map(|t| Night { dusk_c: t, dusk_dew_c: None, low_c: 0.8 * t - 4.0 }).collect();
    /// let low = NightLow::learn(&nights).unwrap().low(12.0, None).unwrap();
    /// assert!(low.beyond && (low.low_c - low.warn_c - 1.5).abs() < 1e-9);
    /// ```
    pub fn low(&self, dusk_c: f64, dusk_dew_c: Option<f64>) -> Option<Low> {
        let all = [Some(dusk_c), dusk_dew_c];
        let meant = all.iter().flatten().all(|t_c| TEMPERATURE_C.contains(t_c));
        let low_c = self.base_c
            + self.per_dusk * dusk_c
            + dusk_dew_c.map_or(0.0, |dew_c| self.dew_base_c + self.per_dew * dew_c);
        let beyond = !(self.seen_c[0]..=self.seen_c[1]).contains(&dusk_c);
        (meant && low_c.is_finite()).then_some(Low { low_c, warn_c: low_c - c::MARGIN_C.value, beyond })
    }
}

/// Temperature `after_h` hours after sunset (2 to `night_h`) on a night of `night_h` hours from sunset to sunrise (more than 2, to 24) that had
/// `dusk_c` two hours after sunset and is to have `low_c` at sunrise, °C.
///
/// **Errors**: `None` out of range. **Source**: Snyder & de Melo-Abreu 2005 ch. 5, climate sheet 5.1: falls with the root of the time. **Accuracy**:
/// exact to the equation.
///
/// ```
/// use propstick_agronomy::frost::trend_c;
/// // Climate sheet 5.1: night of 15 h from 0.95 to -5.45 °C; -1.5603 after 4 h.
/// assert!((trend_c(0.95, -5.45, 15.0, 4.0).unwrap() + 1.5603).abs() < 1e-4);
/// ```
pub fn trend_c(dusk_c: f64, low_c: f64, night_h: f64, after_h: f64) -> Option<f64> {
    let from_h = c::DUSK_AFTER_H.value;
    let meant = TEMPERATURE_C.contains(&dusk_c)
        && TEMPERATURE_C.contains(&low_c)
        && night_h > from_h
        && night_h <= 24.0
        && (from_h..=night_h).contains(&after_h);
    meant.then(|| dusk_c + (low_c - dusk_c) / sqrt(night_h - from_h) * sqrt(after_h - from_h))
}

/// Hours after sunset at which the trend of [`trend_c`] comes down to `to_c`, on the same night: 2 to `night_h`.
///
/// **Errors**: `None` out of the ranges of [`trend_c`], and where the night does not come to `to_c`. **Source**: the same equation, solved for the time.
///
/// ```
/// use propstick_agronomy::frost::{trend_c, trend_reaches_h};
/// let hour = trend_reaches_h(0.95, -5.45, 15.0, 0.0).unwrap();
/// assert!(trend_c(0.95, -5.45, 15.0, hour).unwrap().abs() < 1e-9);
/// ```
pub fn trend_reaches_h(dusk_c: f64, low_c: f64, night_h: f64, to_c: f64) -> Option<f64> {
    trend_c(dusk_c, low_c, night_h, night_h)?;
    let share = (dusk_c - to_c) / (dusk_c - low_c);
    let from_h = c::DUSK_AFTER_H.value;
    (dusk_c > low_c && (0.0..=1.0).contains(&share)).then_some(from_h + (night_h - from_h) * share * share)
}

/// Whether a night that can be judged by its temperature alone looks like a radiation night: from `afternoon_c`, the warmest of the afternoon, it
/// fell to `dusk_c` two hours after sunset by 5 °C or more. Where wind is measured it must be below 2 m/s, too.
///
/// **Errors**: `None` out of -60 to 60 °C, or of 0 to 60 m/s. **Source**: ours, see [`super::constants::FALL_C`]; the wind from climate sheet 5.1.
///
/// ```
/// use propstick_agronomy::frost::falls_to_radiation;
/// assert_eq!(falls_to_radiation(18.0, 9.0, None), Some(true));
/// assert_eq!(falls_to_radiation(18.0, 9.0, Some(4.0)), Some(false));
/// ```
pub fn falls_to_radiation(afternoon_c: f64, dusk_c: f64, wind_m_s: Option<f64>) -> Option<bool> {
    let wind_meant = wind_m_s.is_none_or(|wind| (0.0..=60.0).contains(&wind));
    let meant = TEMPERATURE_C.contains(&afternoon_c) && TEMPERATURE_C.contains(&dusk_c) && wind_meant;
    let calm = wind_m_s.is_none_or(|wind| wind < c::CALM_M_S.value);
    meant.then_some(afternoon_c - dusk_c >= c::FALL_C.value && calm)
}

/// The same of a sensor in the open, where nothing traps the sun of the afternoon: a fall of 3 °C is enough.
///
/// **Errors**: `None` out of -60 to 60 °C. **Source**: ours, see [`super::constants::FALL_OPEN_C`].
///
/// ```
/// use propstick_agronomy::frost::falls_to_radiation_in_the_open;
/// assert_eq!(falls_to_radiation_in_the_open(9.0, 6.0, None), Some(true));
/// ```
pub fn falls_to_radiation_in_the_open(afternoon_c: f64, dusk_c: f64, wind_m_s: Option<f64>) -> Option<bool> {
    falls_to_radiation(afternoon_c + c::FALL_C.value - c::FALL_OPEN_C.value, dusk_c, wind_m_s)
}

/// A straight line of least squares.
struct Line {
    slope: f64,
    base: f64,
    explained: f64,
}

impl Line {
    fn at(&self, x: f64) -> f64 {
        self.base + self.slope * x
    }
}

/// The line through the points; none where all have the same x.
fn fit(points: impl Iterator<Item = (f64, f64)> + Clone) -> Option<Line> {
    let n = points.clone().count() as f64;
    let (x_sum, y_sum) = points.clone().fold((0.0, 0.0), |(x, y), p| (x + p.0, y + p.1));
    let (x_mean, y_mean) = (x_sum / n, y_sum / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in points {
        xx += (x - x_mean) * (x - x_mean);
        xy += (x - x_mean) * (y - y_mean);
        yy += (y - y_mean) * (y - y_mean);
    }
    (xx > 1e-9).then(|| Line {
        slope: xy / xx,
        base: y_mean - xy / xx * x_mean,
        explained: if yy > 0.0 { xy * xy / (xx * yy) } else { 0.0 },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec::Vec;
    use proptest::prelude::*;

    /// [published: FFP ch 5, via the R package frost]: the sample data. A check of the arithmetic, never a first guess for anywhere.
    fn sample() -> Vec<Night> {
        let dusk = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6];
        let dew = [-4.2, -8.8, -6.5, -6.2, -6.1, 2.6, -0.7, -1.7, -1.2, 0.1];
        let low = [-3.1, -5.0, -6.3, -5.4, -4.0, -2.5, -4.8, -5.0, -4.4, -3.3];
        (0..10).map(|i| Night { dusk_c: dusk[i], dusk_dew_c: Some(dew[i]), low_c: low[i] }).collect()
    }

    #[test]
    fn coefficients_of_5_1_are_reproduced() {
        // [arithmetic] ±1e-4: b 0.50281, a -5.90855, R2 0.6656; b' 0.026472, a' 0.086562; combined intercept -5.82199.
        let learned = NightLow::learn(&sample()).unwrap();
        for (got, want) in [
            (learned.per_dusk, 0.50281),
            (learned.base_c, -5.90855),
            (learned.explained, 0.6656),
            (learned.per_dew, 0.026472),
            (learned.dew_base_c, 0.086562),
            (learned.base_c + learned.dew_base_c, -5.82199),
        ] {
            assert!((got - want).abs() <= 1e-4, "{got} {want}");
        }
        // "R2 0.67 means a residual SD of 0.7 °C even on its own data."
        assert!((learned.residual_c - 0.7).abs() < 0.05, "{}", learned.residual_c);
    }

    #[test]
    fn forecasts_of_5_1_are_reproduced() {
        // (10, 2) [published: frost package documentation] -0.7409; the rest [arithmetic], ±1e-4 and ±1e-3; a multiple regression would give -1.0293.
        let learned = NightLow::learn(&sample()).unwrap();
        let low = |dusk, dew| learned.low(dusk, dew).unwrap();
        assert!((low(10.0, Some(2.0)).low_c + 0.7409).abs() <= 1e-4);
        assert!((low(10.0, None).low_c + 0.8804).abs() <= 1e-4);
        for (dusk, dew, want) in [(3.0, -5.0, -4.446), (5.0, 0.0, -3.308), (1.0, -6.0, -5.478)] {
            assert!((low(dusk, Some(dew)).low_c - want).abs() <= 6e-4, "{dusk} {dew}");
        }
        assert!(low(10.0, None).beyond && !low(3.0, None).beyond);
        assert!((low(3.0, None).low_c - low(3.0, None).warn_c - 1.5).abs() < 1e-12);
    }

    #[test]
    fn trend_of_5_1_is_reproduced() {
        // [published: frost package] n 15, T2 0.95, Tp -5.45 ±1e-4.
        for (hour, want) in [
            (2.0, 0.95),
            (3.0, -0.8250),
            (4.0, -1.5603),
            (5.0, -2.1245),
            (8.0, -3.3979),
            (12.0, -4.6632),
            (15.0, -5.45),
        ] {
            assert!((trend_c(0.95, -5.45, 15.0, hour).unwrap() - want).abs() <= 1e-4, "{hour}");
        }
        assert_eq!(trend_c(0.95, -5.45, 15.0, 1.9), None);
        assert_eq!(trend_c(0.95, -5.45, 15.0, 15.1), None);
        assert_eq!(trend_c(0.95, -5.45, 2.0, 2.0), None);
        assert_eq!(trend_c(f64::NAN, -5.45, 15.0, 4.0), None);
    }

    #[test]
    fn trend_is_solved_for_its_time() {
        // [published: frost package] the table above, read the other way; ±1e-4 °C are at most 0.001 h there.
        for (hour, at) in [(3.0, -0.8250), (5.0, -2.1245), (12.0, -4.6632), (15.0, -5.45)] {
            assert!((trend_reaches_h(0.95, -5.45, 15.0, at).unwrap() - hour).abs() <= 1e-3, "{hour}");
        }
        assert_eq!(trend_reaches_h(0.95, -5.45, 15.0, -5.5), None);
        assert_eq!(trend_reaches_h(0.95, -5.45, 15.0, 1.0), None);
        assert_eq!(trend_reaches_h(0.95, 0.95, 15.0, 0.95), None);
        assert_eq!(trend_reaches_h(f64::NAN, -5.45, 15.0, 0.0), None);
    }

    #[test]
    fn too_few_or_equal_nights_teach_nothing() {
        let nights = sample();
        assert_eq!(NightLow::learn(&nights[..9]), None);
        let same: Vec<Night> = nights.iter().map(|n| Night { dusk_c: 3.0, ..*n }).collect();
        assert_eq!(NightLow::learn(&same), None);
        let bad: Vec<Night> = nights.iter().map(|n| Night { low_c: f64::NAN, ..*n }).collect();
        assert_eq!(NightLow::learn(&bad), None);
        let bad: Vec<Night> = nights.iter().map(|n| Night { dusk_dew_c: Some(-300.0), ..*n }).collect();
        assert_eq!(NightLow::learn(&bad), None);
        let learned = NightLow::learn(&nights).unwrap();
        assert_eq!(learned.low(f64::NAN, None), None);
        assert_eq!(learned.low(3.0, Some(f64::INFINITY)), None);
        // Without dew points the first step stands alone; nine of them are not enough.
        let mut nine = nights;
        nine[0].dusk_dew_c = None;
        let learned = NightLow::learn(&nine).unwrap();
        assert_eq!((learned.per_dew, learned.dew_base_c), (0.0, 0.0));
    }

    #[test]
    fn radiation_night_needs_a_fall_and_no_wind() {
        assert_eq!(falls_to_radiation(15.0, 10.0, Some(1.9)), Some(true));
        assert_eq!(falls_to_radiation(15.0, 10.1, Some(1.9)), Some(false));
        assert_eq!(falls_to_radiation(15.0, 8.0, Some(2.0)), Some(false));
        assert_eq!(falls_to_radiation(f64::NAN, 8.0, None), None);
    }

    proptest! {
        #[test]
        fn prop_order_of_nights_does_not_matter_and_a_line_is_found_again(
            slope in 0.1..1.2_f64, base in -8.0..2.0_f64, dusk in proptest::collection::vec(-5.0..15.0_f64, 10..40),
        ) {
            let nights: Vec<Night> = dusk.iter().map(|t| Night { dusk_c: *t, dusk_dew_c: None, low_c: base + slope * t }).collect();
            let Some(learned) = NightLow::learn(&nights) else { return Ok(()) };
            let backwards: Vec<Night> = nights.iter().rev().copied().collect();
            let other = NightLow::learn(&backwards).unwrap();
            prop_assert!((learned.per_dusk - other.per_dusk).abs() < 1e-9);
            prop_assert!((learned.per_dusk - slope).abs() < 1e-5 && (learned.base_c - base).abs() < 1e-4);
        }

        #[test]
        fn prop_trend_falls_all_night(dusk in 0.0..15.0_f64, fall in 0.0..12.0_f64, night in 6.0..16.0_f64, a in 0.0..1.0_f64, b in 0.0..1.0_f64) {
            let at = |share: f64| trend_c(dusk, dusk - fall, night, 2.0 + share * (night - 2.0)).unwrap();
            let (early, late) = (a.min(b), a.max(b));
            prop_assert!(at(late) <= at(early) + 1e-9 && at(late) >= dusk - fall - 1e-9);
        }
    }
}
