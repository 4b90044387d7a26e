//! Lettuce downy mildew: leaves that stay wet into the morning.

use super::Verdict;
use super::constants as c;
use super::rows::Disease;
use crate::coverage::HOUR_MS;
use crate::runs::Runs;
use crate::wetness::hours::{Leaf, WetHour};

/// What a morning meant for lettuce downy mildew.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LettuceMorning {
    /// Hours that leaves stayed wet after sunrise, without a break, in each run.
    pub wet_h: Runs<f64>,
    /// Whether it let the disease in, in each run.
    pub infects: Runs<Verdict>,
    /// How well the temperature of those hours suits it, 0 to 1 (f of the generic model); none where leaves were dry or T unknown. Leaves of a closed
    /// winter tunnel are wet nearly every morning: say nothing on a yes without this.
    pub suits: Option<f64>,
}

/// The morning rule, with its temperature gates, on `hours` of one spot and the `sunrise_ms` of that morning (ms since 1970 UTC).
///
/// Infects where leaves stay wet for 4 h after sunrise, unless the mean of the first 3 h after it is above 20 °C, or that of the next 4 h above 22 °C.
/// **Shape**: `hours` ascend and hold those from sunrise to 8 h after it ([`LETTUCE_LOOK_MS`]); an hour left out is unknown. An unknown hour ends wetness in the
/// low run; as read it leaves the verdict unknown unless 4 h were reached before; in the high run it is wet. A frozen hour neither counts nor ends wetness
/// (wetness sheet 1.3). The dry part of the hour in which leaves dry is its end.
/// **Source**: Scherm and van Bruggen 1994 (abstract); Wu et al. 2002 (abstract); wetness sheet 2.2. They count from 06:00, where sunrise was near 06:00;
/// counting from sunrise is our proposal for 50 to 52° N.
/// **Accuracy**: infection days had 4.2 h of morning wetness in the mean, others 1.9 h (published). It failed under sprinklers.
///
/// ```
/// use propstick_agronomy::disease::{Verdict, lettuce::lettuce_morning_wu_2002};
/// use propstick_agronomy::runs::Runs;
/// use propstick_agronomy::wetness::hours::WetHour;
/// // Wetness sheet 2.2: sunrise 07:00, wet to 11:30 at 9 °C: 4.5 h.
/// let h = 3_600_000;
/// let hours: Vec<_> = (7..14).map(|k| {
///     let wet_ms = Runs::all(match k { ..11 => h, 11 => h / 2, _ => 0 });
///     WetHour { covered_ms: h, wet_ms, t_c: Some(9.0), ..WetHour::unknown(k * h) }
/// }).collect();
/// let morning = lettuce_morning_wu_2002(&hours, 7 * h);
/// assert_eq!((morning.wet_h.read, morning.infects.read), (4.5, Verdict::Yes));
/// ```
pub fn lettuce_morning_wu_2002(hours: &[WetHour], sunrise_ms: i64) -> LettuceMorning {
    let first_until_ms = sunrise_ms + c::LETTUCE_FIRST_H.hours_as_ms();
    let next_until_ms = first_until_ms + c::LETTUCE_NEXT_H.hours_as_ms();
    let cool_enough = not_above(mean_c(hours, sunrise_ms, first_until_ms), c::LETTUCE_FIRST_MAX_C.value)
        .and(not_above(mean_c(hours, first_until_ms, next_until_ms), c::LETTUCE_NEXT_MAX_C.value));
    let low = wet_after(hours, sunrise_ms, |h| h.wet_ms.low, false);
    let read = wet_after(hours, sunrise_ms, |h| h.wet_ms.read, false);
    let high = wet_after(hours, sunrise_ms, |h| h.wet_ms.high, true);
    let long_enough = |wet: Wet, unseen: Verdict| match wet.h >= c::LETTUCE_MORNING_H.value {
        true => Verdict::Yes,
        false if wet.unseen => unseen,
        false => Verdict::No,
    };
    let wet_until_ms = read.until_ms;
    LettuceMorning {
        wet_h: Runs { low: low.h, read: read.h, high: high.h },
        infects: Runs {
            low: long_enough(low, Verdict::No).and(cool_enough),
            read: long_enough(read, Verdict::Unknown).and(cool_enough),
            high: long_enough(high, Verdict::Unknown).and(cool_enough),
        },
        suits: mean_c(hours, sunrise_ms, wet_until_ms).and_then(|t_c| Disease::LettuceDownyMildew.row().response(t_c)),
    }
}

/// How far after sunrise hours are looked at, ms: the hours of both gates, and one more where the morning began with frost.
pub const LETTUCE_LOOK_MS: i64 = c::LETTUCE_FIRST_H.hours_as_ms() + c::LETTUCE_NEXT_H.hours_as_ms() + HOUR_MS;

#[derive(Clone, Copy)]
struct Wet {
    h: f64,
    until_ms: i64,
    unseen: bool,
}

/// Unbroken wetness from `sunrise_ms`, as far as it is looked for; frozen hours are passed over.
fn wet_after(hours: &[WetHour], sunrise_ms: i64, wet_ms: impl Fn(&WetHour) -> i64, unknown_is_wet: bool) -> Wet {
    let until_ms = sunrise_ms + LETTUCE_LOOK_MS;
    let (mut h, mut at) = (0.0, sunrise_ms);
    while at < until_ms {
        let hour_from_ms = hour_of(hours, at);
        let ends_ms = (hour_from_ms + HOUR_MS).min(until_ms);
        let span_h = (ends_ms - at) as f64 / HOUR_MS as f64;
        let share = match hours.iter().find(|hour| hour.from_ms == hour_from_ms && hour.known()) {
            Some(hour) if hour.leaf().read == Leaf::Frozen => {
                at = ends_ms;
                continue;
            }
            Some(hour) => wet_ms(hour) as f64 / hour.covered_ms as f64,
            None if unknown_is_wet => 1.0,
            None => return Wet { h, until_ms: at, unseen: true },
        };
        h += share * span_h;
        if share < 1.0 {
            at += (share * span_h * HOUR_MS as f64) as i64;
            break;
        }
        at = ends_ms;
    }
    Wet { h, until_ms: at, unseen: false }
}

/// Mean temperature of `[from_ms, until_ms)`; none where any of it is unknown, or it is empty.
fn mean_c(hours: &[WetHour], from_ms: i64, until_ms: i64) -> Option<f64> {
    let (mut sum, mut at) = (0.0, from_ms);
    while at < until_ms {
        let hour_from_ms = hour_of(hours, at);
        let ends_ms = (hour_from_ms + HOUR_MS).min(until_ms);
        let t_c = hours.iter().find(|hour| hour.from_ms == hour_from_ms)?.t_c?;
        sum += t_c * (ends_ms - at) as f64;
        at = ends_ms;
    }
    (until_ms > from_ms).then(|| sum / (until_ms - from_ms) as f64)
}

/// First instant of the hour that `at_ms` lies in; all hours begin like the first of `hours`.
fn hour_of(hours: &[WetHour], at_ms: i64) -> i64 {
    let phase_ms = hours.first().map_or(0, |hour| hour.from_ms);
    at_ms - (at_ms - phase_ms).rem_euclid(HOUR_MS)
}

fn not_above(mean_c: Option<f64>, limit_c: f64) -> Verdict {
    mean_c.map_or(Verdict::Unknown, |t_c| Verdict::from_bool(t_c <= limit_c))
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec::Vec;

    const SUNRISE_MS: i64 = 7 * HOUR_MS;

    /// Hours of a morning from 6 to 15 o'clock: wet until `wet_until_min` minutes after midnight, at `t_c` of the hour.
    fn morning(wet_until_min: i64, t_c: impl Fn(i64) -> f64) -> Vec<WetHour> {
        (6..15)
            .map(|k| {
                let wet_ms = ((wet_until_min - 60 * k) * 60_000).clamp(0, HOUR_MS);
                WetHour {
                    covered_ms: HOUR_MS,
                    wet_ms: Runs::all(wet_ms),
                    t_c: Some(t_c(k)),
                    ..WetHour::unknown(k * HOUR_MS)
                }
            })
            .collect()
    }

    #[test]
    fn mornings_of_2_2_are_reproduced() {
        // Wetness sheet 2.2, CHECK: sunrise 07:00.
        let dry_by_half_past_ten = lettuce_morning_wu_2002(&morning(10 * 60 + 30, |_| 9.0), SUNRISE_MS);
        assert_eq!((dry_by_half_past_ten.wet_h.read, dry_by_half_past_ten.infects.read), (3.5, Verdict::No));
        let half_past_eleven = lettuce_morning_wu_2002(&morning(11 * 60 + 30, |_| 9.0), SUNRISE_MS);
        assert_eq!((half_past_eleven.wet_h.read, half_past_eleven.infects.read), (4.5, Verdict::Yes));
        let too_warm = lettuce_morning_wu_2002(&morning(12 * 60, |k| if k < 10 { 9.0 } else { 23.0 }), SUNRISE_MS);
        assert_eq!((too_warm.wet_h.read, too_warm.infects.read), (5.0, Verdict::No));
    }

    #[test]
    fn wetness_that_comes_back_later_in_the_morning_does_not_count() {
        let mut hours = morning(9 * 60, |_| 9.0);
        hours.iter_mut().filter(|h| h.from_ms >= 10 * HOUR_MS).for_each(|h| h.wet_ms = Runs::all(HOUR_MS));
        let morning = lettuce_morning_wu_2002(&hours, SUNRISE_MS);
        assert_eq!((morning.wet_h.read, morning.infects.read), (2.0, Verdict::No));
    }

    #[test]
    fn frozen_sunrise_neither_counts_nor_ends_wetness() {
        // Wetness sheet 1.3: sunrise 08:40 at -0.3 °C, thaw at 10:00, wet at 3 °C to 15:00: 5 h.
        let sunrise_ms = 8 * HOUR_MS + 40 * 60_000;
        let mut hours = morning(15 * 60, |k| if k < 10 { -0.3 } else { 3.0 });
        hours.extend((15..18).map(|k| WetHour {
            covered_ms: HOUR_MS,
            t_c: Some(3.0),
            ..WetHour::unknown(k * HOUR_MS)
        }));
        hours.iter_mut().filter(|h| h.from_ms < 10 * HOUR_MS).for_each(|h| h.wet_ms = Runs::all(0));
        let thawed = lettuce_morning_wu_2002(&hours, sunrise_ms);
        assert_eq!((thawed.wet_h, thawed.infects), (Runs::all(5.0), Runs::all(Verdict::Yes)));
        // Wetness sheet 2.1: f at the mean of the morning, little.
        assert!(thawed.suits.unwrap() < 0.2);
        // Dry once thawed.
        hours.iter_mut().for_each(|h| h.wet_ms = Runs::all(0));
        assert_eq!(lettuce_morning_wu_2002(&hours, sunrise_ms).infects, Runs::all(Verdict::No));
    }

    #[test]
    fn gates_stand_at_20_and_22() {
        // Wu et al. 2002: "exceeds".
        let verdict = |first: f64, next: f64| {
            lettuce_morning_wu_2002(&morning(12 * 60, |k| if k < 10 { first } else { next }), SUNRISE_MS).infects.read
        };
        assert_eq!(verdict(20.0, 22.0), Verdict::Yes);
        assert_eq!(verdict(20.1, 22.0), Verdict::No);
        assert_eq!(verdict(20.0, 22.1), Verdict::No);
    }

    #[test]
    fn sunrise_within_an_hour_counts_from_there() {
        let late = lettuce_morning_wu_2002(&morning(12 * 60, |_| 9.0), SUNRISE_MS + 48 * 60_000);
        assert!((late.wet_h.read - 4.2).abs() < 1e-9);
    }

    #[test]
    fn hours_that_begin_at_half_past_are_hours_too() {
        let mut hours = morning(12 * 60, |_| 9.0);
        hours.iter_mut().for_each(|h| h.from_ms += HOUR_MS / 2);
        // Wet to 12:30.
        assert_eq!(lettuce_morning_wu_2002(&hours, SUNRISE_MS).wet_h.read, 5.5);
    }

    #[test]
    fn suitability_is_that_of_the_wet_hours() {
        // Wetness sheet 2.1: f(8) = 0.6442.
        let cold = lettuce_morning_wu_2002(&morning(11 * 60 + 30, |_| 8.0), SUNRISE_MS);
        assert!((cold.suits.unwrap() - 0.6442).abs() < 0.000_05);
        assert_eq!(lettuce_morning_wu_2002(&morning(0, |_| 8.0), SUNRISE_MS).suits, None);
    }

    #[test]
    fn an_unknown_hour_parts_the_runs() {
        let mut hours = morning(12 * 60, |_| 9.0);
        hours.retain(|h| h.from_ms != 9 * HOUR_MS);
        let morning = lettuce_morning_wu_2002(&hours, SUNRISE_MS);
        assert_eq!(morning.wet_h, Runs { low: 2.0, read: 2.0, high: 5.0 });
        // A temperature is missing as well: not even the high run can say yes.
        assert_eq!(morning.infects, Runs { low: Verdict::No, read: Verdict::Unknown, high: Verdict::Unknown });
        assert_eq!(lettuce_morning_wu_2002(&[], SUNRISE_MS).infects.read, Verdict::Unknown);
    }
}
