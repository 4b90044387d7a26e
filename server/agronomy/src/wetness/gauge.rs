//! What the raw channel of a leaf-wetness sensor means: learned from its own fortnight, because each sensor reads differently.
//!
//! Wetness sheet 1.4, our proposal throughout. Learn daily; a sensor that cannot be learned is not used.

use super::constants as c;
use alloc::vec::Vec;

/// One reading of a wetness sensor with the air beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeReading {
    /// Air temperature, °C.
    pub t_c: f64,
    /// Relative humidity, %RH.
    pub rh_pct: f64,
    /// The channel's value in whatever unit it has.
    pub raw: f64,
}

/// Which way the channel goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rises {
    /// It rises when water comes on it: most capacitive sensors.
    WhenWet,
    /// It rises when it dries: a resistance.
    WhenDry,
}

/// What the channel reads when the sensor is dry and when it is wet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct GaugeScale {
    /// Dry.
    pub dry: f64,
    /// Wet.
    pub wet: f64,
}

/// Why a sensor cannot be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GaugeRefused {
    /// Too few readings in dry air, RH below 70 %: so many.
    FewDry(usize),
    /// No mist test, and too few readings in wet air, RH above 97 %: so many.
    FewWet(usize),
    /// What lies between dry and wet is not six times the noise.
    NoSpan {
        /// From dry to wet, in the channel's unit; negative where it goes the wrong way.
        span: f64,
        /// Standard deviation of one reading, in the channel's unit.
        noise: f64,
    },
    /// More than a tenth of the readings in dry air would be called wet: the channel does not follow water.
    DoesNotFollow,
}

impl GaugeScale {
    /// How wet the sensor is at `raw`: 0 dry, 1 wet. `None` where `raw` is no number or the scale has no span.
    ///
    /// ```
    /// use propstick_agronomy::wetness::gauge::GaugeScale;
    /// let resistance_kohm = GaugeScale { dry: 800.0, wet: 200.0 };
    /// assert_eq!(resistance_kohm.wetness(620.0), Some(0.3));
    /// assert_eq!(resistance_kohm.wetness(900.0), Some(0.0));
    /// ```
    pub fn wetness(&self, raw: f64) -> Option<f64> {
        let w = (raw - self.dry) / (self.wet - self.dry);
        w.is_finite().then(|| w.clamp(0.0, 1.0))
    }

    /// How far the dry end has drifted towards wet since `then`, as a share of the span it had; 0 where that had none.
    pub fn drift_since(&self, then: &GaugeScale) -> f64 {
        let share = (self.dry - then.dry) / (then.wet - then.dry);
        if share.is_finite() { share } else { 0.0 }
    }

    /// Whether that drift looks like dirt: a quarter of the span and more.
    ///
    /// ```
    /// use propstick_agronomy::wetness::gauge::GaugeScale;
    /// let clean = GaugeScale { dry: 100.0, wet: 500.0 };
    /// assert!(GaugeScale { dry: 200.0, wet: 500.0 }.dirty_since(&clean));
    /// assert!(!GaugeScale { dry: 199.0, wet: 500.0 }.dirty_since(&clean));
    /// ```
    pub fn dirty_since(&self, then: &GaugeScale) -> bool {
        self.drift_since(then) >= c::GAUGE_DIRT.value
    }
}

/// Learns the scale of a channel from its readings of the last 14 days, and from a `mist_test` (the channel's value when it was sprayed) if there was one.
///
/// Dry is the 5th percentile of the readings with RH below 70 %, wet the mist test or the 99th percentile with RH above 97 %; percentiles from the
/// other end where the channel rises when it dries. Readings at or below 0 °C are passed over (ice reads dry), and those that are no number.
/// **Shape**: readings ascend in time, at any step; allocates, so once a day.
/// **Errors**: [`GaugeRefused`]. The noise is a robust one: half of the steps between neighbouring dry readings are within 0.954 of it. The sheet's "1-minute
/// noise" where readings come each minute; where they come seldom it holds the weather too and refuses the sooner. That nine tenths of the dry readings
/// must come out dry is our addition: a dead input passes the test of noise when it drifts with temperature.
/// **Source**: wetness sheet 1.4.
///
/// ```
/// use propstick_agronomy::wetness::gauge::{GaugeReading, Rises, learn_scale};
/// let day = (0..48).map(|k| {
///     let wet = k < 20;
///     let raw = if wet { 480.0 } else { 100.0 + f64::from(k % 3) };
///     GaugeReading { t_c: 9.0, rh_pct: if wet { 99.0 } else { 60.0 }, raw }
/// });
/// let scale = learn_scale(&day.collect::<Vec<_>>(), Rises::WhenWet, None).unwrap();
/// assert_eq!((scale.dry, scale.wet), (100.0, 480.0));
/// ```
pub fn learn_scale(
    readings: &[GaugeReading],
    rises: Rises,
    mist_test: Option<f64>,
) -> Result<GaugeScale, GaugeRefused> {
    let usable = || readings.iter().filter(|r| r.t_c > c::FREEZING_C.value && r.raw.is_finite());
    let least = c::GAUGE_LEAST.value as usize;
    let mut dry: Vec<f64> = usable().filter(|r| r.rh_pct < c::GAUGE_DRY_BELOW_PCT.value).map(|r| r.raw).collect();
    let mut wet: Vec<f64> = usable().filter(|r| r.rh_pct > c::GAUGE_WET_ABOVE_PCT.value).map(|r| r.raw).collect();
    if dry.len() < least {
        return Err(GaugeRefused::FewDry(dry.len()));
    }
    let mist_test = mist_test.filter(|raw| raw.is_finite());
    if mist_test.is_none() && wet.len() < least {
        return Err(GaugeRefused::FewWet(wet.len()));
    }
    let noise = noise_of(&dry);
    let scale = GaugeScale {
        dry: percentile(&mut dry, c::GAUGE_DRY_PERCENTILE.value, rises),
        wet: mist_test.unwrap_or_else(|| percentile(&mut wet, c::GAUGE_WET_PERCENTILE.value, rises)),
    };
    let span = match rises {
        Rises::WhenWet => scale.wet - scale.dry,
        Rises::WhenDry => scale.dry - scale.wet,
    };
    if span <= 0.0 || span < c::GAUGE_NOISE.value * noise {
        return Err(GaugeRefused::NoSpan { span, noise });
    }
    let called_wet = dry.iter().filter(|raw| scale.wetness(**raw).is_some_and(|w| w >= c::GAUGE_ON.value)).count();
    if called_wet as f64 > c::GAUGE_FALSE_WET.value * dry.len() as f64 {
        return Err(GaugeRefused::DoesNotFollow);
    }
    Ok(scale)
}

/// The median of a channel's last ten minutes, against single flickers. Plain values; holds at most 16 readings and drops the oldest.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct GaugeMedian {
    /// Instants, ms, newest first; only the first `n` count.
    pub t_ms: [i64; 16],
    /// Their values.
    pub raw: [f64; 16],
    /// How many.
    pub n: u8,
}

impl GaugeMedian {
    /// Takes the reading of `t_ms` and gives the median of the ten minutes up to it; of an even number the lower middle one.
    ///
    /// **Shape**: instants ascend. `None` where `raw` is no number. Allocates nothing.
    ///
    /// ```
    /// use propstick_agronomy::wetness::gauge::GaugeMedian;
    /// let mut median = GaugeMedian::default();
    /// let minutes = [100.0, 101.0, 480.0, 102.0];
    /// let seen: Vec<_> = (0..4).map(|m| median.push(m * 60_000, minutes[m as usize]).unwrap()).collect();
    /// assert_eq!(seen, [100.0, 100.0, 101.0, 101.0]);
    /// assert_eq!(median.push(20 * 60_000, 480.0), Some(480.0));
    /// ```
    pub fn push(&mut self, t_ms: i64, raw: f64) -> Option<f64> {
        if !raw.is_finite() {
            return None;
        }
        let within_ms = (c::GAUGE_MEDIAN_MIN.value * 60_000.0) as i64;
        let n = usize::from(self.n).min(15);
        let kept = self.t_ms[..n].iter().take_while(|old| t_ms - **old < within_ms).count();
        self.t_ms.copy_within(0..kept, 1);
        self.raw.copy_within(0..kept, 1);
        (self.t_ms[0], self.raw[0], self.n) = (t_ms, raw, kept as u8 + 1);
        let mut sorted = self.raw;
        let sorted = &mut sorted[..=kept];
        sorted.sort_unstable_by(f64::total_cmp);
        Some(sorted[kept / 2])
    }
}

/// The nearest-rank percentile, counted from the dry end.
fn percentile(values: &mut [f64], percent: f64, rises: Rises) -> f64 {
    let rank = libm::ceil(percent / 100.0 * values.len() as f64).max(1.0) as usize - 1;
    let from_dry_end = match rises {
        Rises::WhenWet => rank,
        Rises::WhenDry => values.len() - 1 - rank,
    };
    *values.select_nth_unstable_by(from_dry_end.min(values.len() - 1), f64::total_cmp).1
}

/// Standard deviation of one reading, from the median step between neighbours.
fn noise_of(readings: &[f64]) -> f64 {
    let mut steps: Vec<f64> = readings.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    if steps.is_empty() {
        return 0.0;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1 / 0.954
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec;

    /// Twenty readings in dry air and twenty in wet, with the values given in turn.
    fn fortnight(dry: &[f64], wet: &[f64]) -> Vec<GaugeReading> {
        let of = |rh_pct: f64, raw: &[f64]| -> Vec<GaugeReading> {
            (0..20).map(|k| GaugeReading { t_c: 9.0, rh_pct, raw: raw[k % raw.len()] }).collect()
        };
        [of(60.0, dry), of(99.0, wet)].concat()
    }

    #[test]
    fn ends_are_the_fifth_and_the_ninety_ninth_percentile() {
        // Of 20 readings the 5th percentile is the first, the 99th the last.
        let dry: Vec<f64> = (0..20).map(|k| 100.0 + f64::from(k)).collect();
        let wet: Vec<f64> = (0..20).map(|k| 400.0 + f64::from(k)).collect();
        let scale = learn_scale(&fortnight(&dry, &wet), Rises::WhenWet, None);
        assert_eq!(scale, Ok(GaugeScale { dry: 100.0, wet: 419.0 }));
        let scale = learn_scale(&fortnight(&wet, &dry), Rises::WhenDry, None);
        assert_eq!(scale, Ok(GaugeScale { dry: 419.0, wet: 100.0 }));
    }

    #[test]
    fn a_mist_test_stands_in_for_wet_air() {
        let only_dry = &fortnight(&[100.0, 101.0], &[0.0])[..20];
        assert_eq!(learn_scale(only_dry, Rises::WhenWet, None), Err(GaugeRefused::FewWet(0)));
        assert_eq!(learn_scale(only_dry, Rises::WhenWet, Some(500.0)).unwrap().wet, 500.0);
        assert_eq!(learn_scale(&[], Rises::WhenWet, Some(500.0)), Err(GaugeRefused::FewDry(0)));
    }

    #[test]
    fn a_span_under_six_times_the_noise_is_refused() {
        // Steps of 1 between neighbours: noise 1 / 0.954 = 1.048, six times that 6.29.
        let with_span = |span: f64| learn_scale(&fortnight(&[100.0, 101.0], &[100.0 + span]), Rises::WhenWet, None);
        assert!(matches!(with_span(6.2), Err(GaugeRefused::NoSpan { .. })));
        assert!(with_span(6.4).is_ok());
        assert!(matches!(with_span(-50.0), Err(GaugeRefused::NoSpan { span, .. }) if span == -50.0));
        // A channel that never moves.
        let dead = learn_scale(&fortnight(&[24.15], &[24.15]), Rises::WhenWet, None);
        assert_eq!(dead, Err(GaugeRefused::NoSpan { span: 0.0, noise: 0.0 }));
    }

    #[test]
    fn a_channel_that_follows_something_else_is_refused() {
        // Slow drift over the same range in dry air and in wet.
        let drift: Vec<f64> = (0..20).map(|k| 24.10 + 0.004 * f64::from(k)).collect();
        let refused = learn_scale(&fortnight(&drift, &drift), Rises::WhenWet, None);
        assert_eq!(refused, Err(GaugeRefused::DoesNotFollow));
    }

    #[test]
    fn ice_and_what_is_no_number_teach_nothing() {
        let mut readings = fortnight(&[100.0], &[480.0]);
        let icy = GaugeReading { t_c: -1.0, rh_pct: 60.0, raw: 0.0 };
        readings.extend([
            icy,
            GaugeReading { raw: f64::NAN, ..icy },
            GaugeReading { t_c: 9.0, raw: f64::INFINITY, ..icy },
        ]);
        assert_eq!(learn_scale(&readings, Rises::WhenWet, None), Ok(GaugeScale { dry: 100.0, wet: 480.0 }));
        assert_eq!(GaugeScale { dry: 1.0, wet: 1.0 }.wetness(1.0), None);
        assert_eq!(GaugeScale { dry: 1.0, wet: 2.0 }.wetness(f64::NAN), None);
        assert_eq!(GaugeMedian::default().push(0, f64::NAN), None);
    }

    #[test]
    fn median_holds_ten_minutes_and_no_more_than_its_places() {
        let mut median = GaugeMedian::default();
        let seen: Vec<f64> = (0..12).map(|m| median.push(m * 60_000, m as f64).unwrap()).collect();
        // The tenth minute is the last that goes back to minute 0.
        assert_eq!(seen, vec![0.0, 0.0, 1.0, 1.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 5.0, 6.0]);
        let mut fast = GaugeMedian::default();
        for s in 0..100 {
            fast.push(s * 1_000, 7.0);
        }
        assert_eq!(fast.n, 16);
    }
}
