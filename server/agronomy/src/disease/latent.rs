//! Latent windows: when to look for spots, if a night let the disease in. Dry weather after it does not close them.

use super::constants as c;
use super::rows::Disease;
use crate::sourced::Sourced;

/// A window of days, named by day numbers (noon-days) as the caller counts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LatentWindow {
    /// The night that opened it.
    pub night: i64,
    /// First day on which spots may be seen.
    pub from: i64,
    /// Last day worth looking.
    pub to: i64,
}

/// When to look for spots of `disease` after `night`.
///
/// `daily_mean_c` gives the mean temperature of the days after the night, the first being `night + 1`; where it ends, or has none, `expected_c` (°C) stands in.
/// Windows in days: lettuce 5 to 14, to 21 where the 14 days after the night have a mean below 8 °C; brassica downy mildew 7 to 14, white blister 6 to 21,
/// blight 3 to 10, others 5 to 14, all stretched in the same proportion. Onion downy mildew by warmth: 125 °C d above 2.5 °C, a fifth either side; at most 90 days.
/// **Errors**: `None` where `expected_c` is no number. **Source**: wetness sheet 2.2, 2.3, 2.5, 2.7; the stretching, the fifth and "others" are ours.
///
/// ```
/// use propstick_agronomy::disease::{latent::latent_window, rows::Disease};
/// // Wetness sheet 2.2: 5 to 14 days; below 8 °C to 21.
/// let window = |t_c| latent_window(Disease::LettuceDownyMildew, 100, [], t_c).unwrap();
/// assert_eq!((window(10.0).from, window(10.0).to, window(6.0).to), (105, 114, 121));
/// ```
pub fn latent_window(
    disease: Disease,
    night: i64,
    daily_mean_c: impl IntoIterator<Item = Option<f64>>,
    expected_c: f64,
) -> Option<LatentWindow> {
    if !expected_c.is_finite() {
        return None;
    }
    let known = daily_mean_c.into_iter().map(|t_c| t_c.filter(|t_c| t_c.is_finite()).unwrap_or(expected_c));
    let days = known.chain(core::iter::repeat(expected_c));
    Some(match disease {
        Disease::OnionDownyMildew => by_warmth(night, days),
        Disease::LettuceDownyMildew => by_days(night, days, (&c::LETTUCE_LATENT_FROM_D, &c::LETTUCE_LATENT_TO_D)),
        Disease::BrassicaDownyMildew => by_days(night, days, (&c::BRASSICA_LATENT_FROM_D, &c::BRASSICA_LATENT_TO_D)),
        Disease::WhiteBlister => by_days(night, days, (&c::BLISTER_LATENT_FROM_D, &c::BLISTER_LATENT_TO_D)),
        Disease::LateBlight => by_days(night, days, (&c::BLIGHT_LATENT_FROM_D, &c::BLIGHT_LATENT_TO_D)),
        _ => by_days(night, days, (&c::OTHER_LATENT_FROM_D, &c::OTHER_LATENT_TO_D)),
    })
}

/// Day-degrees above 2.5 °C that one day of `mean_c` (°C) adds towards spots of onion downy mildew.
///
/// Rate 0.008 (T - 2.5) a day (wetness sheet 2.3): 5 °C makes 50 days of it, 10 °C 16.7, 15 °C 10. 0 for what is no number or beyond 80 °C either way.
///
/// ```
/// use propstick_agronomy::disease::latent::onion_latent_rate;
/// let days = [5.0, 10.0, 15.0].map(|t_c| (1.0 / onion_latent_rate(t_c) * 10.0).round() / 10.0);
/// assert_eq!(days, [50.0, 16.7, 10.0]);
/// ```
pub fn onion_latent_rate(mean_c: f64) -> f64 {
    let mean_c = if mean_c.abs() <= 80.0 { mean_c } else { c::ONION_LATENT_BASE_C.value };
    (mean_c - c::ONION_LATENT_BASE_C.value).max(0.0) / c::ONION_LATENT_C_D.value
}

/// Merges windows that overlap or touch, in place, and says how many are left at the front: one weekly look serves them all.
///
/// **Shape**: any order; afterwards the first ones ascend and do not touch. A merged window keeps the earliest night.
///
/// ```
/// use propstick_agronomy::disease::latent::{LatentWindow, merge_windows};
/// let w = |night, from, to| LatentWindow { night, from, to };
/// let mut windows = [w(20, 25, 34), w(3, 8, 17), w(1, 6, 15)];
/// let n = merge_windows(&mut windows);
/// assert_eq!(windows[..n], [w(1, 6, 17), w(20, 25, 34)]);
/// ```
pub fn merge_windows(windows: &mut [LatentWindow]) -> usize {
    windows.sort_unstable_by_key(|w| (w.from, w.to, w.night));
    let mut kept = 0_usize;
    for i in 0..windows.len() {
        let next = windows[i];
        match kept.checked_sub(1).map(|last| &mut windows[last]) {
            Some(last) if next.from <= last.to + 1 => {
                last.to = last.to.max(next.to);
                last.night = last.night.min(next.night);
            }
            _ => {
                windows[kept] = next;
                kept += 1;
            }
        }
    }
    kept
}

fn by_days(night: i64, days: impl Iterator<Item = f64>, (from, to): (&Sourced, &Sourced)) -> LatentWindow {
    let settled_d = c::LETTUCE_LATENT_TO_D.value as usize;
    let mean_c = days.take(settled_d).sum::<f64>() / settled_d as f64;
    let stretch = if mean_c < c::LATENT_COLD_C.value {
        c::LETTUCE_LATENT_COLD_TO_D.value / c::LETTUCE_LATENT_TO_D.value
    } else {
        1.0
    };
    LatentWindow { night, from: night + from.value as i64, to: night + libm::ceil(to.value * stretch) as i64 }
}

fn by_warmth(night: i64, days: impl Iterator<Item = f64>) -> LatentWindow {
    let (early, late) = (1.0 - c::ONION_LATENT_SPREAD.value, 1.0 + c::ONION_LATENT_SPREAD.value);
    let last = night + c::ONION_LATENT_LONGEST_D.value as i64;
    let (mut done, mut from) = (0.0, None);
    for (day, mean_c) in (night + 1..=last).zip(days) {
        done += onion_latent_rate(mean_c);
        // A sum of equal parts may miss its end by a rounding error.
        if from.is_none() && done + 1e-9 >= early {
            from = Some(day);
        }
        if done + 1e-9 >= late {
            return LatentWindow { night, from: from.unwrap_or(day), to: day };
        }
    }
    LatentWindow { night, from: from.unwrap_or(last), to: last }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn onion_windows_lie_about_the_days_of_2_3() {
        // Wetness sheet 2.3: 10 d at 15 °C, 16.7 at 10; a fifth either side: 8 to 12, 13.3 to 20.
        let window = |t_c| latent_window(Disease::OnionDownyMildew, 0, [], t_c).unwrap();
        assert_eq!((window(15.0).from, window(15.0).to), (8, 12));
        assert_eq!((window(10.0).from, window(10.0).to), (14, 20));
        assert_eq!((window(2.5).from, window(2.5).to), (90, 90));
    }

    #[test]
    fn days_that_are_known_go_before_what_is_expected() {
        let cold = [Some(4.0); 14];
        assert_eq!(latent_window(Disease::LettuceDownyMildew, 0, cold, 15.0).unwrap().to, 21);
        // Exactly 8 °C is not below.
        assert_eq!(latent_window(Disease::LettuceDownyMildew, 0, [Some(8.0); 14], 0.0).unwrap().to, 14);
        // Ten days of warmth, then what is expected.
        let warm = latent_window(Disease::OnionDownyMildew, 0, [Some(15.0); 10], 2.0).unwrap();
        assert_eq!((warm.from, warm.to), (8, 90));
        assert_eq!(latent_window(Disease::OnionDownyMildew, 0, [None; 3], 15.0).unwrap().to, 12);
        assert_eq!(latent_window(Disease::GreyMould, 0, [], f64::NAN), None);
        assert_eq!(latent_window(Disease::GreyMould, 0, [Some(f64::NAN)], 10.0).unwrap().to, 14);
    }

    #[test]
    fn windows_that_touch_are_one_look() {
        let w = |night, from, to| LatentWindow { night, from, to };
        let mut windows = [w(1, 6, 15), w(11, 16, 25), w(25, 30, 39)];
        let n = merge_windows(&mut windows);
        assert_eq!(windows[..n], [w(1, 6, 25), w(25, 30, 39)]);
        assert_eq!(merge_windows(&mut []), 0);
    }
}
