//! How fast things grow in winter: warmth and light together, by effective day-degrees.
//!
//! Degree-days predict development; winter size is limited by light. The two are combined so that neither can stand in for the other.

pub mod constants;

use alloc::vec::Vec;
use constants as c;

/// Effective day-degrees of one day, °C d: `1 / (1/DD + f/R)`. Never more than either alone would give.
///
/// `degree_days_c_d` above the crop's base, 0 to 60; `sun_mj_m2` short-wave radiation that reaches the crop in the day, MJ/m², 0 to 50;
/// `light_weight` f, MJ/(m² °C d), above 0 to 10 ([`constants::LIGHT_WEIGHT`]). Published sums belong to their own f and base: never pair the 589 of
/// crisp lettuce (Wurr, Fellows & Suckling 1988) with the leek constants.
///
/// **Errors**: `None` out of range. **Source**: Scaife, Cox & Morris 1987, in the form of Brewster 2008 eq 4.19; wetness sheet 4.1. **Accuracy**:
/// exact to the equation.
///
/// ```
/// use propstick_agronomy::growth::effective_day_degrees;
/// // Wetness sheet 4.1, f 0.6: 4 °C d and 2 MJ give 1.8182.
/// assert!((effective_day_degrees(4.0, 2.0, 0.6).unwrap() - 1.8182).abs() < 1e-4);
/// ```
pub fn effective_day_degrees(degree_days_c_d: f64, sun_mj_m2: f64, light_weight: f64) -> Option<f64> {
    let meant = (0.0..=60.0).contains(&degree_days_c_d)
        && (0.0..=50.0).contains(&sun_mj_m2)
        && light_weight > 0.0
        && light_weight <= 10.0;
    // The same without a division by nought in the dark or the cold.
    let both = sun_mj_m2 + light_weight * degree_days_c_d;
    meant.then(|| if both > 0.0 { degree_days_c_d * sun_mj_m2 / both } else { 0.0 })
}

/// Effective day-degrees of a day with the constants of growth speed: base 0 °C, f 0.6.
///
/// `mean_c` the day's mean temperature at the crop, -60 to 60 °C; `sun_mj_m2` as above. **Errors**: `None` out of range. **Source**: wetness sheet
/// 4.1, our proposal.
///
/// ```
/// use propstick_agronomy::growth::of_day;
/// assert!((of_day(4.0, 2.0).unwrap() - 1.8182).abs() < 1e-4);
/// assert_eq!(of_day(-3.0, 2.0), Some(0.0));
/// ```
pub fn of_day(mean_c: f64, sun_mj_m2: f64) -> Option<f64> {
    let meant = (-60.0..=60.0).contains(&mean_c).then_some(mean_c)?;
    effective_day_degrees((meant - c::BASE_C.value).max(0.0), sun_mj_m2, c::LIGHT_WEIGHT.value)
}

/// Mean air temperature to expect on day of year `day_of_year` (1 to 366) under a cover in a mild maritime climate near 51° N, °C.
///
/// **Errors**: `None` out of range. **Source**: the invented tunnel of wetness sheet 4.1, `11 - 6 cos(2 pi (J - 20)/365)`. **Accuracy**: a stand-in
/// until a structure has days of its own; a year may lie 2 °C off.
///
/// ```
/// use propstick_agronomy::growth::season_mean_c;
/// assert_eq!(season_mean_c(20), Some(5.0));
/// ```
pub fn season_mean_c(day_of_year: u32) -> Option<f64> {
    let swing = libm::cos(2.0 * core::f64::consts::PI * (f64::from(day_of_year) - c::SEASON_COLDEST_D.value) / 365.0);
    (1..=366).contains(&day_of_year).then_some(c::SEASON_MEAN_C.value - c::SEASON_SWING_C.value * swing)
}

/// How fast things grow, in words a grower can check by looking.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Speed {
    /// All but stopped.
    Stopped,
    /// Slow.
    Slow,
    /// Growing.
    Growing,
}

impl Speed {
    /// The name used in stores and answers.
    ///
    /// ```
    /// use propstick_agronomy::growth::Speed;
    /// assert_eq!(Speed::Stopped.name(), "all-but-stopped");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            Speed::Stopped => "all-but-stopped",
            Speed::Slow => "slow",
            Speed::Growing => "growing",
        }
    }

    /// The speed after `before` at a mean of `mean_c_d` effective day-degrees a day, 0 to 60; `before` holds until the mean is 0.2 beyond the limit
    /// it came over.
    ///
    /// **Errors**: `None` out of range. **Source**: wetness sheet 4.1, our proposal: all but stopped below 1.8, growing above 2.5.
    ///
    /// ```
    /// use propstick_agronomy::growth::Speed;
    /// assert_eq!(Speed::after(None, 1.7), Some(Speed::Stopped));
    /// assert_eq!(Speed::after(Some(Speed::Stopped), 1.9), Some(Speed::Stopped));
    /// assert_eq!(Speed::after(Some(Speed::Stopped), 2.1), Some(Speed::Slow));
    /// ```
    pub fn after(before: Option<Speed>, mean_c_d: f64) -> Option<Speed> {
        if !(0.0..=60.0).contains(&mean_c_d) {
            return None;
        }
        let (stopped, growing, more) = (c::STOPPED_BELOW.value, c::GROWING_ABOVE.value, c::HYSTERESIS.value);
        // A limit lies further off for the speed that would have to cross it back.
        let (stopped, growing) = match before {
            Some(Speed::Stopped) => (stopped + more, growing),
            Some(Speed::Growing) => (stopped, growing - more),
            _ => (stopped, growing),
        };
        Some(if mean_c_d < stopped {
            Speed::Stopped
        } else if mean_c_d > growing {
            Speed::Growing
        } else {
            Speed::Slow
        })
    }
}

/// The speed on each day, from the effective day-degrees of the days.
///
/// **Shape**: one value a day without a break, `None` where a day is not known; the result has one for each, `None` until five of the seven days that
/// end with it are known. After such a gap the speed is reckoned anew. **Errors**: a value out of range counts as unknown. **Source**: wetness sheet
/// 4.1, our proposal: the mean of seven days. **Accuracy**: common practice at 50 to 52° N (all but stopped about mid-December, clearly growing by
/// mid-February) is met at three Irish stations, see `tests/`.
///
/// ```
/// use propstick_agronomy::growth::{Speed, speeds};
/// let days = [Some(1.0); 7];
/// assert_eq!(speeds(&days)[3..6], [None, Some(Speed::Stopped), Some(Speed::Stopped)]);
/// ```
pub fn speeds(days: &[Option<f64>]) -> Vec<Option<Speed>> {
    let (span, least) = (c::MEAN_D.value as usize, c::LEAST_D.value as usize);
    let mut before = None;
    (0..days.len())
        .map(|day| {
            let window = &days[(day + 1).saturating_sub(span)..=day];
            let known = window.iter().flatten().filter(|v| (0.0..=60.0).contains(*v));
            let (sum, n) = known.fold((0.0, 0), |(sum, n), v| (sum + v, n + 1));
            before = if n >= least { Speed::after(before, sum / n as f64) } else { None };
            before
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Layer, cloudy_day_mj_m2};
    use core::f64::consts::PI;
    use proptest::prelude::*;

    #[test]
    fn effective_day_degrees_of_the_wetness_sheet_4_1_are_reproduced() {
        // f 0.6 [derived].
        for (warmth, sun, wanted) in [
            (4.0, 2.0, 1.8182),
            (4.0, 10.0, 3.2258),
            (10.0, 2.0, 2.5),
            (10.0, 10.0, 6.25),
            (0.0, 5.0, 0.0),
            (5.0, 0.0, 0.0),
            (0.0, 0.0, 0.0),
        ] {
            let got = effective_day_degrees(warmth, sun, 0.6).unwrap();
            assert!((got - wanted).abs() <= 5e-5, "{warmth} {sun}: {got}");
        }
    }

    /// The invented tunnel of wetness sheet 4.1 at 51° N, `Tmean = 11 - 6 cos(2 pi (J - 20)/365)`, transmission 0.65.
    fn invented(day: u32) -> f64 {
        let mean_c = 11.0 - 6.0 * libm::cos(2.0 * PI * (f64::from(day) - 20.0) / 365.0);
        assert!((season_mean_c(day).unwrap() - mean_c).abs() < 1e-12);
        let sun = cloudy_day_mj_m2(51.0, day).unwrap() * Layer::Tunnel.transmission();
        of_day(mean_c, sun).unwrap()
    }

    #[test]
    fn invented_winter_of_the_wetness_sheet_4_1_is_reproduced() {
        // [derived]
        for (day, wanted) in [
            (311, 2.707),
            (326, 2.106),
            (341, 1.732),
            (356, 1.575),
            (6, 1.613),
            (21, 1.822),
            (36, 2.190),
            (46, 2.523),
            (61, 3.152),
        ] {
            assert!((invented(day) - wanted).abs() <= 0.001, "{day}: {}", invented(day));
        }
    }

    #[test]
    fn growth_all_but_stops_in_december_and_has_resumed_by_mid_february() {
        // Common practice, no source: undercover growth all but stops about mid-December to early February and has clearly resumed by mid-February at
        // 50 to 52 N. From 1 July, day 182, over a year and a half of the invented tunnel.
        let days: Vec<Option<f64>> = (182..=365).chain(1..=181).map(|day| Some(invented(day))).collect();
        let speeds = speeds(&days);
        let on = |day: usize| speeds[if day >= 182 { day - 182 } else { day + 184 }].unwrap();
        assert_eq!(on(290), Speed::Growing);
        for day in (349..=365).chain(1..=20) {
            assert_eq!(on(day), Speed::Stopped, "day {day}");
        }
        for day in 330..=365 {
            assert_ne!(on(day), Speed::Growing, "day {day}");
        }
        assert_ne!(on(35), Speed::Growing);
        assert_eq!(on(52), Speed::Growing, "21 February");
        let resumed = (20..60).find(|day| on(*day) == Speed::Growing).unwrap();
        assert!((44..=52).contains(&resumed), "{resumed}");
    }

    #[test]
    fn speed_changes_only_beyond_its_hysteresis() {
        let walk = |from, values: &[f64]| values.iter().fold(from, |at, v| Speed::after(at, *v));
        assert_eq!(walk(Some(Speed::Slow), &[1.79]), Some(Speed::Stopped));
        assert_eq!(walk(Some(Speed::Stopped), &[1.81, 1.99]), Some(Speed::Stopped));
        assert_eq!(walk(Some(Speed::Stopped), &[2.01, 1.81]), Some(Speed::Slow));
        assert_eq!(walk(Some(Speed::Growing), &[2.49, 2.31]), Some(Speed::Growing));
        assert_eq!(walk(Some(Speed::Growing), &[2.29, 2.49]), Some(Speed::Slow));
        assert_eq!(walk(Some(Speed::Stopped), &[2.51]), Some(Speed::Growing));
        assert_eq!(Speed::after(None, f64::NAN), None);
    }

    #[test]
    fn unknown_days_make_the_speed_unknown_and_never_faster() {
        let mut days = [Some(1.0); 20];
        days[8] = None;
        days[9] = Some(f64::NAN);
        assert_eq!(speeds(&days)[9], Some(Speed::Stopped));
        days[10] = None;
        let got = speeds(&days);
        assert_eq!((got[9], got[10], got[14], got[15]), (Some(Speed::Stopped), None, None, Some(Speed::Stopped)));
        assert!(speeds(&[]).is_empty());
    }

    #[test]
    fn what_cannot_be_meant_gives_none() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 100.0] {
            assert_eq!(effective_day_degrees(bad, 2.0, 0.6), None);
            assert_eq!(effective_day_degrees(4.0, bad, 0.6), None);
            assert_eq!(effective_day_degrees(4.0, 2.0, bad), None);
        }
        assert_eq!(effective_day_degrees(4.0, 2.0, 0.0), None);
        assert_eq!(of_day(-61.0, 2.0), None);
        assert_eq!(of_day(f64::NAN, 2.0), None);
    }

    proptest! {
        #[test]
        fn prop_more_warmth_or_light_never_gives_less_and_neither_replaces_the_other(
            dd in 0.0..30.0_f64, sun in 0.0..30.0_f64, more in 0.0..10.0_f64,
        ) {
            let at = |dd, sun| effective_day_degrees(dd, sun, 0.6).unwrap();
            prop_assert!(at(dd + more, sun) >= at(dd, sun) - 1e-12 && at(dd, sun + more) >= at(dd, sun) - 1e-12);
            prop_assert!(at(dd, sun) <= dd + 1e-12 && at(dd, sun) <= sun / 0.6 + 1e-12);
        }
    }
}
