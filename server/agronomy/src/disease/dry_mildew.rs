//! Dry mildews (powdery mildews): a different animal, that needs no wetness and likes no rain.

use super::constants as c;
use super::infection::temperature_response_magarey_2005;

/// A day for the dry mildews.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryMildewDay {
    /// Mean temperature by daylight, °C.
    pub light_mean_c: f64,
    /// Mean humidity of the day, %RH.
    pub mean_rh_pct: f64,
    /// Hours at 35 °C and more.
    pub hot_h: f64,
    /// Wet hours.
    pub wet_h: f64,
    /// Month, 1 to 12.
    pub month: u8,
}

/// How well a day suited the dry mildews of tomatoes and cucurbits, 0 to 1; 0 outside May to October.
///
/// `b * r`, `b` the beta function of 10, 21 and 30 °C at the mean of daylight, `r` 1 from 50 to 85 %RH, falling in a straight line to 0.4 at 98 and to 0.3 at
/// 30 %, and no further; 0.2 less with more than 8 wet hours; 0 after 2 h at 35 °C.
/// **Errors**: `None` for what cannot be meant: hours beyond 0 to 25, humidity beyond 0 to 105 %, a temperature beyond -60 to 80 °C, no month.
/// **Source**: our proposal (wetness sheet 2.9) after Jacob et al. 2008, Guzman-Plazola et al. 2003 and extension notes. **Accuracy**: untested.
///
/// ```
/// use propstick_agronomy::disease::dry_mildew::{DryMildewDay, dry_mildew_score};
/// let best = DryMildewDay { light_mean_c: 21.0, mean_rh_pct: 70.0, hot_h: 0.0, wet_h: 2.0, month: 7 };
/// assert_eq!(dry_mildew_score(&best), Some(1.0));
/// ```
pub fn dry_mildew_score(day: &DryMildewDay) -> Option<f64> {
    let meant =
        (0.0..=105.0).contains(&day.mean_rh_pct) && [day.hot_h, day.wet_h].iter().all(|h| (0.0..=25.0).contains(h));
    let suits = temperature_response_magarey_2005(
        day.light_mean_c,
        c::DRY_MILDEW_MIN_C.value,
        c::DRY_MILDEW_OPT_C.value,
        c::DRY_MILDEW_MAX_C.value,
    )?;
    if !meant || !(1..=12).contains(&day.month) {
        return None;
    }
    let season = c::DRY_MILDEW_FIRST_MONTH.value..=c::DRY_MILDEW_LAST_MONTH.value;
    if !season.contains(&f64::from(day.month)) || day.hot_h >= c::DRY_MILDEW_HOT_H.value {
        return Some(0.0);
    }
    let less = if day.wet_h > c::DRY_MILDEW_WET_H.value { c::DRY_MILDEW_WET_LESS.value } else { 0.0 };
    Some((suits * humidity_share(day.mean_rh_pct) - less).max(0.0))
}

fn humidity_share(rh_pct: f64) -> f64 {
    let (from, to) = (c::DRY_MILDEW_FROM_PCT.value, c::DRY_MILDEW_TO_PCT.value);
    // From 1 at the edge of what suits to what is left at the end, and no further.
    let falling = |beyond: f64, width: f64, left: f64| (1.0 - (1.0 - left) * beyond / width).max(left);
    if rh_pct < from {
        falling(from - rh_pct, from - c::DRY_MILDEW_DRY_END_PCT.value, c::DRY_MILDEW_DRY_END_SHARE.value)
    } else if rh_pct > to {
        falling(rh_pct - to, c::DRY_MILDEW_DAMP_END_PCT.value - to, c::DRY_MILDEW_DAMP_END_SHARE.value)
    } else {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEST: DryMildewDay = DryMildewDay { light_mean_c: 21.0, mean_rh_pct: 70.0, hot_h: 0.0, wet_h: 0.0, month: 7 };

    fn score(day: DryMildewDay) -> f64 {
        dry_mildew_score(&day).unwrap()
    }

    #[test]
    fn humidity_suits_from_50_to_85_and_falls_to_both_ends() {
        // Wetness sheet 2.9: 0.4 at 98, 0.3 at 30; half-way between by hand.
        for (rh, share) in
            [(50.0, 1.0), (85.0, 1.0), (98.0, 0.4), (91.5, 0.7), (30.0, 0.3), (40.0, 0.65), (100.0, 0.4), (10.0, 0.3)]
        {
            let got = score(DryMildewDay { mean_rh_pct: rh, ..BEST });
            assert!((got - share).abs() < 1e-12, "{rh}: {got}");
        }
    }

    #[test]
    fn heat_rain_cold_and_winter_take_it_away() {
        assert_eq!(score(DryMildewDay { hot_h: 2.0, ..BEST }), 0.0);
        assert_eq!(score(DryMildewDay { hot_h: 1.9, ..BEST }), 1.0);
        assert_eq!(score(DryMildewDay { wet_h: 8.0, ..BEST }), 1.0);
        assert!((score(DryMildewDay { wet_h: 8.1, ..BEST }) - 0.8).abs() < 1e-12);
        assert_eq!(score(DryMildewDay { light_mean_c: 10.0, ..BEST }), 0.0);
        assert_eq!(score(DryMildewDay { light_mean_c: 10.5, wet_h: 9.0, ..BEST }), 0.0);
        for (month, expected) in [(4, 0.0), (5, 1.0), (10, 1.0), (11, 0.0)] {
            assert_eq!(score(DryMildewDay { month, ..BEST }), expected);
        }
    }

    #[test]
    fn what_cannot_be_meant_gives_none() {
        for bad in [
            DryMildewDay { light_mean_c: f64::NAN, ..BEST },
            DryMildewDay { mean_rh_pct: 340.0, ..BEST },
            DryMildewDay { hot_h: f64::NAN, ..BEST },
            DryMildewDay { wet_h: -1.0, ..BEST },
            DryMildewDay { month: 13, ..BEST },
        ] {
            assert_eq!(dry_mildew_score(&bad), None);
        }
    }
}
