//! What one wind gauge says of now.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::limits::{GALE_M_S, GALE_OVER_M_S, GALE_QUIET_H, GUST_FACTOR, WIND_STUCK_H};

/// The wind as measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindNow {
    /// Mean of the last hour, m/s.
    pub mean_m_s: f64,
    /// Gusts as they follow from the highest mean of the last hour, m/s. While a gale lasts, those of its worst hour: it is over only after a quiet
    /// hour, so that nobody opens in a lull and shuts again in the next gust.
    pub gust_m_s: f64,
}

impl WindNow {
    /// What `means` (instant and m/s, ascending, of the last 25 hours or more) say at `now`.
    ///
    /// **Errors**: `None` where nothing was measured in the last hour, and where the gauge has shown the same for a day: it is frozen or seized.
    pub fn of(means: &[(Millis, f64)], now: Millis) -> Option<WindNow> {
        let sound = |(at, v): &&(Millis, f64)| *at <= now && v.is_finite() && *v >= 0.0;
        let means: Vec<(Millis, f64)> = means.iter().filter(sound).copied().collect();
        let recent: Vec<f64> = means.iter().filter(|(at, _)| now.since(*at) <= HOUR).map(|(_, v)| *v).collect();
        let last = *recent.last()?;
        let since = means.iter().rev().take_while(|(_, v)| *v == last).last().map(|(at, _)| *at)?;
        if now.since(since) >= WIND_STUCK_H * HOUR {
            return None;
        }
        let highest = GUST_FACTOR * recent.iter().copied().fold(0.0, f64::max);
        Some(WindNow {
            mean_m_s: recent.iter().sum::<f64>() / recent.len() as f64,
            gust_m_s: gale_that_lasts(&means, now).map_or(highest, |gust| gust.max(highest)),
        })
    }
}

/// The gusts of the worst of a gale that is not over yet at `now`.
fn gale_that_lasts(means: &[(Millis, f64)], now: Millis) -> Option<f64> {
    let over = |quiet_since: Millis, at: Millis| at.since(quiet_since) >= GALE_QUIET_H * HOUR;
    let mut gale: Option<(f64, Millis)> = None;
    for (at, mean) in means {
        let gust = GUST_FACTOR * mean;
        gale = gale.filter(|(_, blew_at)| !over(*blew_at, *at));
        gale = match gale {
            Some((worst, _)) if gust >= GALE_OVER_M_S => Some((worst.max(gust), *at)),
            None if gust > GALE_M_S => Some((gust, *at)),
            other => other,
        };
    }
    gale.filter(|(_, blew_at)| !over(*blew_at, now)).map(|(worst, _)| worst)
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_wire::millis::MINUTE;

    const NOW: Millis = Millis(1_000 * HOUR);

    /// Ten-minute means up to `NOW`, the last of them last.
    fn means(values: &[f64]) -> Vec<(Millis, f64)> {
        let first = NOW.plus(-(values.len() as i64 - 1) * 10 * MINUTE);
        values.iter().enumerate().map(|(k, v)| (first.plus(k as i64 * 10 * MINUTE), *v)).collect()
    }

    fn gust(values: &[f64]) -> Option<f64> {
        WindNow::of(&means(values), NOW).map(|wind| wind.gust_m_s)
    }

    #[test]
    fn mean_of_14_is_a_gale_by_its_gusts() {
        // 14 times 1.6 (limits, common practice) is 22.4.
        assert!(gust(&[5.0, 14.0, 6.0]).is_some_and(|gust| (gust - 22.4).abs() < 1e-9), "the highest of the hour");
        assert!(gust(&[5.0, 9.0]).is_some_and(|gust| gust < GALE_M_S));
        let mean = WindNow::of(&means(&[5.0, 14.0, 6.0]), NOW).unwrap().mean_m_s;
        assert!((mean - 25.0 / 3.0).abs() < 1e-9, "{mean}");
    }

    #[test]
    fn gale_is_over_only_after_a_quiet_hour() {
        let mut day = vec![10.0];
        day.extend([7.4; 6]);
        assert_eq!(gust(&day), Some(16.0), "an hour old: gusts of 11.8 since");
        let lull: Vec<f64> = [10.0].into_iter().chain([8.0; 12]).collect();
        assert_eq!(gust(&lull), Some(16.0), "12.8 keeps it going");
        day.push(7.4);
        assert!(gust(&day).is_some_and(|gust| gust < 12.0));
        // Up and down across the limit it stays one gale.
        assert_eq!(gust(&[10.0, 7.5, 10.0, 7.5]), Some(16.0));
    }

    #[test]
    fn wind_that_has_not_moved_for_a_day_is_no_reading() {
        let seized = |steps: usize| gust(&vec![0.0; steps + 1]);
        assert_eq!(seized(144), None);
        assert_eq!(seized(143), Some(0.0));
        let mut moved = vec![0.0; 145];
        moved[140] = 0.4;
        assert!(gust(&moved).is_some());
    }

    #[test]
    fn old_and_impossible_values_say_nothing() {
        assert_eq!(WindNow::of(&[(NOW.plus(-HOUR - 1), 20.0)], NOW), None);
        assert_eq!(WindNow::of(&[(NOW, f64::NAN), (NOW, -1.0)], NOW), None);
        assert_eq!(WindNow::of(&[], NOW), None);
    }
}
