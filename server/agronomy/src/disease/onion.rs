//! Onion downy mildew: a night of spores, then leaves wet long enough.

use super::Verdict;
use super::constants as c;
use crate::coverage::HOUR_MS;
use crate::runs::Runs;
use crate::wetness::hours::{Leaf, WetHour};

/// Whether onion downy mildew could make spores in a night, in each run.
///
/// At least 4 h of 92 %RH and more between midnight and dawn, no known hour of it outside 4 to 24 °C, and the day before below 27 °C. Where dawn comes sooner
/// than 4 h after midnight 2 h will do: at 50 to 58° N that is the height of the season, when the published rule, from 02:00 to dawn, asks for no more.
/// **Shape**: `hours` ascend; those from `midnight_ms` (00:00 standard time) to `dawn_ms` count, an hour by the mean of its known half at least; where
/// `day_before_max_c` (°C) is not known a yes becomes unknown. As read, unknown hours leave the verdict open where they could turn it.
/// **Source**: our undercover default (wetness sheet 2.3) after the rules of Jesperson and Sutton 1987 as de Visser 1998 adjusted them.
/// **Accuracy**: the original rules were right on 111 of 119 nights (published), 69 % in a British test (secondary); this default is untested.
///
/// ```
/// use propstick_agronomy::disease::{Verdict, onion::onion_spore_night};
/// use propstick_agronomy::runs::Runs;
/// use propstick_agronomy::wetness::hours::WetHour;
/// let night: Vec<_> = (0..6).map(|k| WetHour {
///     covered_ms: 3_600_000,
///     t_c: Some(10.0),
///     rh_pct: Some(Runs { low: if k < 4 { 92.0 } else { 85.0 }, read: 95.0, high: 98.0 }),
///     ..WetHour::unknown(k * 3_600_000)
/// }).collect();
/// assert_eq!(onion_spore_night(&night, 0, 6 * 3_600_000, Some(18.0)), Runs::all(Verdict::Yes));
/// assert_eq!(onion_spore_night(&night, 0, 6 * 3_600_000, Some(27.0)), Runs::all(Verdict::No));
/// ```
pub fn onion_spore_night(
    hours: &[WetHour],
    midnight_ms: i64,
    dawn_ms: i64,
    day_before_max_c: Option<f64>,
) -> Runs<Verdict> {
    let not_hot = day_before_max_c.map_or(Verdict::Unknown, |t_c| Verdict::from_bool(t_c < c::ONION_DAY_MAX_C.value));
    let night_h = ((dawn_ms - midnight_ms) / HOUR_MS).max(0);
    let known = hours
        .iter()
        .filter(|h| h.known() && h.rh_pct.is_some() && h.from_ms >= midnight_ms && h.from_ms + HOUR_MS <= dawn_ms);
    let mut seen_h = 0;
    let mut damp_h = Runs::all(0_i64);
    let mut mild = true;
    for hour in known {
        let (Some(rh_pct), Some(t_c)) = (hour.rh_pct, hour.t_c) else { continue };
        seen_h += 1;
        mild &= (c::ONION_NIGHT_MIN_C.value..=c::ONION_NIGHT_MAX_C.value).contains(&t_c);
        damp_h = damp_h.with(rh_pct, |n, rh| n + i64::from(rh >= c::ONION_SPORES_PCT.value));
    }
    let unseen_h = night_h - seen_h;
    let whole_h = c::ONION_SPORES_H.value as i64;
    let least_h = if night_h < whole_h { c::ONION_SHORT_NIGHT_H.value as i64 } else { whole_h };
    damp_h.map(|damp_h| {
        let damp = if damp_h >= least_h {
            Verdict::Yes
        } else if damp_h + unseen_h >= least_h && unseen_h > 0 {
            Verdict::Unknown
        } else {
            Verdict::No
        };
        damp.and(Verdict::from_bool(mild)).and(not_hot)
    })
}

/// Follows the hours after nights of spores: infected once leaves have been wet for 3 h within 72 h. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct OnionInfection {
    /// Hours for which spores still live, in each run.
    pub left_h: Runs<u32>,
    /// Wet hours since they were made.
    pub wet_h: Runs<u32>,
}

impl OnionInfection {
    /// A night of spores has ended: call it with [`onion_spore_night`] at dawn. Unknown counts in the high run only.
    pub fn night(&mut self, spores: Runs<Verdict>) {
        let renew = |left_h: &mut u32, wet_h: &mut u32, made: bool| {
            if made {
                (*left_h, *wet_h) = (c::ONION_WITHIN_H.value as u32, 0);
            }
        };
        renew(&mut self.left_h.low, &mut self.wet_h.low, spores.low.is_yes());
        renew(&mut self.left_h.read, &mut self.wet_h.read, spores.read.is_yes());
        renew(&mut self.left_h.high, &mut self.wet_h.high, spores.high != Verdict::No);
    }

    /// Takes the next hour; says in which runs it completes an infection.
    ///
    /// **Shape**: hours ascend without a break; give unknown ones too: they age the spores, and are wet in the high run.
    ///
    /// ```
    /// use propstick_agronomy::disease::{Verdict, onion::OnionInfection};
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::hours::WetHour;
    /// let mut onions = OnionInfection::default();
    /// onions.night(Runs::all(Verdict::Yes));
    /// let wet = WetHour { covered_ms: 3_600_000, wet_ms: Runs::all(3_600_000), t_c: Some(9.0), ..WetHour::unknown(0) };
    /// assert_eq!([0; 4].map(|_| onions.hour(&wet).read), [false, false, true, false]);
    /// ```
    pub fn hour(&mut self, hour: &WetHour) -> Runs<bool> {
        let leaf = hour.leaf();
        let step = |left_h: &mut u32, wet_h: &mut u32, wet: bool| {
            if *left_h == 0 {
                return false;
            }
            *left_h -= 1;
            *wet_h += u32::from(wet);
            let infects = f64::from(*wet_h) >= c::ONION_INFECTS_H.value;
            if infects {
                *left_h = 0;
            }
            infects
        };
        Runs {
            low: step(&mut self.left_h.low, &mut self.wet_h.low, leaf.low == Leaf::Wet),
            read: step(&mut self.left_h.read, &mut self.wet_h.read, leaf.read == Leaf::Wet),
            high: step(&mut self.left_h.high, &mut self.wet_h.high, matches!(leaf.high, Leaf::Wet | Leaf::Unknown)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec::Vec;

    fn night(rh: &[f64], t_c: f64) -> Vec<WetHour> {
        (0..)
            .zip(rh)
            .map(|(k, rh)| WetHour {
                covered_ms: HOUR_MS,
                t_c: Some(t_c),
                rh_pct: Some(Runs::all(*rh)),
                ..WetHour::unknown(k * HOUR_MS)
            })
            .collect()
    }

    fn verdict(rh: &[f64], t_c: f64, day_before: Option<f64>) -> Verdict {
        onion_spore_night(&night(rh, t_c), 0, 6 * HOUR_MS, day_before).read
    }

    #[test]
    fn four_hours_of_92_make_a_night_of_spores() {
        // Wetness sheet 2.3, undercover default.
        let four = [92.0, 91.9, 92.0, 99.0, 92.0, 80.0];
        assert_eq!(verdict(&four, 10.0, Some(20.0)), Verdict::Yes);
        assert_eq!(verdict(&[92.0, 91.9, 92.0, 99.0, 91.9, 80.0], 10.0, Some(20.0)), Verdict::No);
        for (t_c, expected) in [(3.9, Verdict::No), (4.0, Verdict::Yes), (24.0, Verdict::Yes), (24.1, Verdict::No)] {
            assert_eq!(verdict(&four, t_c, Some(20.0)), expected, "{t_c}");
        }
        assert_eq!(verdict(&four, 10.0, Some(26.9)), Verdict::Yes);
        assert_eq!(verdict(&four, 10.0, Some(27.0)), Verdict::No);
        assert_eq!(verdict(&four, 10.0, None), Verdict::Unknown);
    }

    #[test]
    fn two_hours_will_do_in_a_short_night() {
        let of =
            |rh: &[f64]| onion_spore_night(&night(rh, 12.0), 0, rh.len() as i64 * HOUR_MS + 1_200_000, Some(20.0)).read;
        // Dawn at 03:20: two hours of three; at 02:20 two of two; at 01:20 never; at 04:20 four.
        assert_eq!((of(&[92.0, 91.9, 92.0]), of(&[92.0, 91.9, 91.9])), (Verdict::Yes, Verdict::No));
        assert_eq!((of(&[92.0; 4]), of(&[92.0, 91.9, 92.0, 92.0])), (Verdict::Yes, Verdict::No));
        assert_eq!((of(&[92.0; 2]), of(&[92.0, 80.0]), of(&[99.0])), (Verdict::Yes, Verdict::No, Verdict::No));
        assert_eq!(onion_spore_night(&night(&[92.0; 1], 12.0), 0, 3 * HOUR_MS, Some(20.0)).read, Verdict::Unknown);
    }

    #[test]
    fn unknown_hours_leave_it_open_only_where_they_could_turn_it() {
        assert_eq!(verdict(&[95.0, 95.0, 95.0, 80.0], 10.0, Some(20.0)), Verdict::Unknown);
        assert_eq!(verdict(&[80.0, 80.0, 80.0, 95.0], 10.0, Some(20.0)), Verdict::No);
        assert_eq!(verdict(&[95.0, 95.0, 95.0, 95.0], 10.0, Some(20.0)), Verdict::Yes);
    }

    #[test]
    fn spores_die_after_72_hours() {
        let hour = |wet: bool| {
            let wet_ms = Runs::all(if wet { HOUR_MS } else { 0 });
            WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(9.0), ..WetHour::unknown(0) }
        };
        let infected_after = |dry_h: usize| {
            let mut onions = OnionInfection::default();
            onions.night(Runs::all(Verdict::Yes));
            (0..dry_h).for_each(|_| assert!(!onions.hour(&hour(false)).read));
            (0..3).any(|_| onions.hour(&hour(true)).read)
        };
        assert!(infected_after(69) && !infected_after(70));
        // Without spores wetness does nothing.
        assert!(!OnionInfection::default().hour(&hour(true)).high);
    }

    #[test]
    fn what_is_unknown_infects_in_the_high_run_only() {
        let mut onions = OnionInfection::default();
        onions.night(Runs::all(Verdict::Unknown));
        let infects: Vec<_> = (0..3).map(|k| onions.hour(&WetHour::unknown(k * HOUR_MS))).collect();
        assert_eq!(infects[2], Runs { low: false, read: false, high: true });
    }
}
