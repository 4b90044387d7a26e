//! Damp spells: unbroken hours of damp air, and damp days in a row.

use super::constants as c;
use super::state::TEMPERATURE_C;
use crate::coverage::HOUR_MS;
use crate::runs::Runs;

/// One hour of air for [`SpellFold`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpellHour {
    /// Its first instant, ms.
    pub from_ms: i64,
    /// Mean humidity, %RH; none where it is not known.
    pub rh_pct: Option<f64>,
    /// Mean temperature, °C; none where it is not known.
    pub t_c: Option<f64>,
    /// Whether the humidity is doubtful: a sensor that may have stuck at the top, or one that a neighbour contradicts.
    pub doubtful: bool,
}

/// Hours in a row with humidity of 90 % and more.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct DampSpell {
    /// Its first instant, ms.
    pub from_ms: i64,
    /// Its length in whole hours.
    pub hours: u32,
    /// Sum of the hours' temperatures, °C; see [`DampSpell::mean_c`].
    pub t_sum_c: f64,
    /// Hours with a temperature.
    pub t_hours: u32,
    /// Whether what lay before it is unknown: it may have begun earlier.
    pub begun_unseen: bool,
    /// Whether what lay after it is unknown: it may have gone on.
    pub ended_unseen: bool,
    /// Whether any hour of it was doubtful: then it is no damp spell by itself.
    pub doubtful: bool,
}

impl DampSpell {
    /// Mean temperature of its hours, °C.
    pub fn mean_c(&self) -> Option<f64> {
        (self.t_hours > 0).then(|| self.t_sum_c / f64::from(self.t_hours))
    }

    /// First instant after it, ms.
    pub const fn until_ms(&self) -> i64 {
        self.from_ms + self.hours as i64 * HOUR_MS
    }
}

/// Finds damp spells in hours, in one run. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SpellFold {
    /// The spell that goes on.
    pub open: Option<DampSpell>,
    /// First instant after the last hour known, ms.
    pub seen_until_ms: Option<i64>,
}

impl SpellFold {
    /// Takes the next hour and gives the spell that it ends, if it ends one.
    ///
    /// **Shape**: hours ascend; one that is left out, or has no humidity, is unknown: it ends a spell (`ended_unseen`), and a spell after it has
    /// `begun_unseen`. Nothing bridges a gap. Humidity of 90 % and more counts, without hysteresis.
    /// **Source**: none; the threshold is that of wetness.
    /// **Accuracy**: finds the longest spells of three Irish stations in 2017 (95, 152 and 127 h) to the hour, see `tests/tests/reference_wetness.rs`.
    ///
    /// ```
    /// use propstick_agronomy::wetness::spell::{SpellFold, SpellHour};
    /// let mut fold = SpellFold::default();
    /// let damp = [95.0, 90.0, 89.0].map(Some);
    /// let ended: Vec<_> = (0..3).zip(damp).filter_map(|(h, rh_pct)| {
    ///     fold.push(&SpellHour { from_ms: h * 3_600_000, rh_pct, t_c: Some(8.0), doubtful: false })
    /// }).collect();
    /// assert_eq!((ended[0].hours, ended[0].mean_c(), ended[0].ended_unseen), (2, Some(8.0), false));
    /// ```
    pub fn push(&mut self, hour: &SpellHour) -> Option<DampSpell> {
        let unseen_before = self.seen_until_ms != Some(hour.from_ms);
        let mut ended = if unseen_before { self.end(true) } else { None };
        match hour.rh_pct.filter(|rh_pct| rh_pct.is_finite()) {
            Some(rh_pct) => {
                self.seen_until_ms = Some(hour.from_ms + HOUR_MS);
                if rh_pct >= c::SPELL_PCT.value {
                    self.lengthen(hour, unseen_before);
                } else {
                    ended = ended.or(self.end(false));
                }
            }
            None => {
                self.seen_until_ms = None;
                ended = ended.or(self.end(true));
            }
        }
        ended
    }

    /// Ends the spell that goes on, because what comes next is not known.
    pub fn finish(&mut self) -> Option<DampSpell> {
        self.end(true)
    }

    fn lengthen(&mut self, hour: &SpellHour, begun_unseen: bool) {
        let spell = self.open.get_or_insert(DampSpell {
            from_ms: hour.from_ms,
            hours: 0,
            t_sum_c: 0.0,
            t_hours: 0,
            begun_unseen,
            ended_unseen: false,
            doubtful: false,
        });
        spell.hours += 1;
        spell.doubtful |= hour.doubtful;
        if let Some(t_c) = hour.t_c.filter(|t_c| TEMPERATURE_C.contains(t_c)) {
            spell.t_sum_c += t_c;
            spell.t_hours += 1;
        }
    }

    fn end(&mut self, ended_unseen: bool) -> Option<DampSpell> {
        self.open.take().map(|spell| DampSpell { ended_unseen, ..spell })
    }
}

/// Damp days in a row, up to the last noon-day: days with more than seven wet hours. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct DampDays {
    /// How many, in each run.
    pub days: Runs<u32>,
}

impl DampDays {
    /// Takes the next noon-day with its wet hours, none where it has no score (less than 18 h measured); hours beyond 0 to 25 count as none.
    ///
    /// An unscored day breaks the row in the low run, neither breaks nor lengthens it as read, and lengthens it in the high run.
    ///
    /// ```
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::spell::DampDays;
    /// let mut row = DampDays::default();
    /// for wet_h in [Some(14.0), Some(13.0), None, Some(15.0)] {
    ///     row.push(wet_h.map(Runs::all));
    /// }
    /// assert_eq!(row.days, Runs { low: 1, read: 3, high: 4 });
    /// ```
    pub fn push(&mut self, wet_h: Option<Runs<f64>>) {
        let Some(wet_h) = wet_h.filter(|h| h.as_refs().into_iter().all(|h| (0.0..=25.0).contains(h))) else {
            self.days = Runs { low: 0, read: self.days.read, high: self.days.high.saturating_add(1) };
            return;
        };
        self.days = self.days.with(wet_h, |days, h| if h > c::DAMP_DAY_H.value { days.saturating_add(1) } else { 0 });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec;
    use alloc::vec::Vec;

    fn spells(hours: &[(Option<f64>, bool)]) -> Vec<DampSpell> {
        let mut fold = SpellFold::default();
        let mut found: Vec<DampSpell> = (0..)
            .zip(hours)
            .filter_map(|(h, &(rh_pct, doubtful))| {
                fold.push(&SpellHour { from_ms: h * HOUR_MS, rh_pct, t_c: Some(h as f64), doubtful })
            })
            .collect();
        found.extend(fold.finish());
        found
    }

    fn sure(hours: &[f64]) -> Vec<(Option<f64>, bool)> {
        hours.iter().map(|rh| (Some(*rh), false)).collect()
    }

    #[test]
    fn a_spell_ends_with_the_first_drier_hour() {
        let found = spells(&sure(&[80.0, 90.0, 99.0, 89.9, 95.0, 80.0]));
        assert_eq!(found.iter().map(|s| (s.from_ms / HOUR_MS, s.hours)).collect::<Vec<_>>(), [(1, 2), (4, 1)]);
        assert_eq!((found[0].mean_c(), found[0].until_ms()), (Some(1.5), 3 * HOUR_MS));
        assert!(!found[0].begun_unseen && !found[0].ended_unseen && !found[0].doubtful);
    }

    #[test]
    fn nothing_bridges_an_unknown_hour() {
        let mut hours = sure(&[80.0, 95.0, 95.0, 95.0, 95.0, 80.0]);
        hours[3].0 = None;
        let found = spells(&hours);
        assert_eq!(
            found.iter().map(|s| (s.hours, s.begun_unseen, s.ended_unseen)).collect::<Vec<_>>(),
            [(2, false, true), (1, true, false)]
        );
    }

    #[test]
    fn an_hour_left_out_is_an_unknown_hour() {
        let mut fold = SpellFold::default();
        let at = |h: i64| SpellHour { from_ms: h * HOUR_MS, rh_pct: Some(95.0), t_c: None, doubtful: false };
        assert_eq!(fold.push(&at(0)), None);
        let ended = fold.push(&at(2)).unwrap();
        assert_eq!((ended.hours, ended.ended_unseen, ended.mean_c()), (1, true, None));
        assert!(fold.open.unwrap().begun_unseen);
    }

    #[test]
    fn one_doubtful_hour_makes_the_whole_spell_doubtful() {
        let mut hours = sure(&[80.0, 99.0, 99.0, 80.0, 95.0, 80.0]);
        hours[1].1 = true;
        assert_eq!(spells(&hours).iter().map(|s| s.doubtful).collect::<Vec<_>>(), [true, false]);
    }

    #[test]
    fn exactly_seven_hours_are_no_damp_day() {
        // Wetness sheet 2.6: "exceeded 7 h/day".
        let mut row = DampDays::default();
        let seen: Vec<u32> = vec![8.0, 7.0, 7.1, 7.1]
            .into_iter()
            .map(|h| {
                row.push(Some(Runs::all(h)));
                row.days.read
            })
            .collect();
        assert_eq!(seen, [1, 0, 1, 2]);
    }
}
