//! Late blight outdoors: days on which spores are about. What happens under cover is for the generic model to say.
//!
//! Hutton is what is said; Smith, which it replaced in Great Britain in 2017, is there to compare with; severity values of a damp spell are Wallin's.
//! The criteria were made from stations in the open and know no covers (wetness sheet 2.7).

use super::Verdict;
use super::constants as c;

/// Which day rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BlightRule {
    /// Hutton Criteria, 2017: at least 6 damp hours a day.
    Hutton2017,
    /// Smith, 1956: at least 11.
    Smith1956,
}

impl BlightRule {
    const fn hours(self) -> f64 {
        match self {
            BlightRule::Hutton2017 => c::HUTTON_H.value,
            BlightRule::Smith1956 => c::SMITH_H.value,
        }
    }
}

/// One calendar day outdoors, hour by hour. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct BlightDay {
    /// Hours below 10 °C.
    pub cold_h: u32,
    /// Hours with a temperature.
    pub t_h: u32,
    /// Hours with humidity of 90 % and more.
    pub damp_h: u32,
    /// Hours with a humidity.
    pub rh_h: u32,
}

impl BlightDay {
    /// Takes an hour of the day: its temperature (°C) and humidity (%RH), each none where it is not known.
    pub fn hour(&mut self, t_c: Option<f64>, rh_pct: Option<f64>) {
        if let Some(t_c) = t_c.filter(|t_c| t_c.is_finite()) {
            self.t_h += 1;
            self.cold_h += u32::from(t_c < c::BLIGHT_MIN_C.value);
        }
        if let Some(rh_pct) = rh_pct.filter(|rh_pct| rh_pct.is_finite()) {
            self.rh_h += 1;
            self.damp_h += u32::from(rh_pct >= c::BLIGHT_PCT.value);
        }
    }

    /// Whether the day, of `hours` hours (24; civil days may have 23 or 25), meets `rule`: no hour below 10 °C, and enough hours of 90 %RH and more.
    ///
    /// **Shape**: hours that were not taken are unknown. The answer is unknown where they could turn it. Which day is meant (UTC, civil) the caller says.
    /// **Source**: Hutton Criteria 2017, AHDB project summary; Smith 1956 by farm press; wetness sheet 2.7.
    /// **Accuracy**: counts of three Irish stations in 2017 are met to the day (`tests/tests/reference_disease.rs`).
    ///
    /// ```
    /// use propstick_agronomy::disease::{Verdict, blight::{BlightDay, BlightRule}};
    /// let mut day = BlightDay::default();
    /// for hour in 0..24 {
    ///     day.hour(Some(10.4), Some(if hour < 7 { 93.0 } else { 80.0 }));
    /// }
    /// assert_eq!(day.meets(BlightRule::Hutton2017, 24), Verdict::Yes);
    /// assert_eq!(day.meets(BlightRule::Smith1956, 24), Verdict::No);
    /// ```
    pub fn meets(&self, rule: BlightRule, hours: u32) -> Verdict {
        let warm = match (self.cold_h, self.t_h >= hours) {
            (1.., _) => Verdict::No,
            (0, true) => Verdict::Yes,
            (0, false) => Verdict::Unknown,
        };
        let unseen_h = hours.saturating_sub(self.rh_h);
        let damp = if f64::from(self.damp_h) >= rule.hours() {
            Verdict::Yes
        } else if f64::from(self.damp_h + unseen_h) >= rule.hours() {
            Verdict::Unknown
        } else {
            Verdict::No
        };
        warm.and(damp)
    }
}

/// Whether a day completes a period: it and the day before both meet the rule.
///
/// ```
/// use propstick_agronomy::disease::{Verdict, blight::completes_period};
/// assert_eq!(completes_period(Verdict::Yes, Verdict::Yes), Verdict::Yes);
/// assert_eq!(completes_period(Verdict::No, Verdict::Unknown), Verdict::No);
/// ```
pub const fn completes_period(day_before: Verdict, day: Verdict) -> Verdict {
    day_before.and(day)
}

/// Severity value, 0 to 4, of one damp spell outdoors: `hours` of RH >= 90 % without a break, also over midnight, at a mean of `mean_c` (°C).
///
/// **Range**: 0 for up to 24 hours outside 7.2 to 26.6 °C; a spell longer than 24 h counts as 24, which is the end of the table; `None` for what is no number or
/// negative. Between two classes of temperature the colder reaches up to the warmer's lower end. Hours are whole, as in the table: what lies between is
/// taken down.
/// **Source**: Wallin 1962; ranges as Michigan State University gives them (45-53, 54-59, 60-80 °F), whose own variant counts RH >= 80 %.
///
/// ```
/// use propstick_agronomy::disease::blight::spell_severity_wallin_1962 as severity;
/// assert_eq!([severity(15.0, 10.0), severity(16.0, 10.0), severity(16.0, 13.0)], [Some(0), Some(1), Some(2)]);
/// ```
pub fn spell_severity_wallin_1962(hours: f64, mean_c: f64) -> Option<u8> {
    if !(hours >= 0.0 && hours.is_finite() && mean_c.is_finite()) {
        return None;
    }
    // First hour of severity 1; each three hours more add one.
    let first_h = match mean_c {
        t if !(7.2..=26.6).contains(&t) => return Some(0),
        t if t < 11.7 => 16.0,
        t if t < 15.1 => 13.0,
        _ => 10.0,
    };
    let steps = libm::floor((libm::floor(hours.min(24.0)) - first_h) / 3.0) + 1.0;
    Some(steps.clamp(0.0, 4.0) as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A day of 24 hours with this minimum and this many hours of 90 % and more.
    fn day(min_c: f64, damp_h: u32) -> BlightDay {
        let mut day = BlightDay::default();
        for h in 0..24 {
            day.hour(Some(if h == 5 { min_c } else { min_c + 4.0 }), Some(if h < damp_h { 90.0 } else { 89.9 }));
        }
        day
    }

    #[test]
    fn pairs_of_days_of_2_7_are_reproduced() {
        // Wetness sheet 2.7, CHECK [derived]: (min T, hours RH >= 90) by day.
        for (first, second, hutton, smith) in [
            ((10.0, 6), (10.4, 7), true, false),
            ((10.0, 11), (9.9, 14), false, false),
            ((11.0, 11), (12.0, 11), true, true),
            ((11.0, 5), (12.0, 20), false, false),
            ((10.0, 10), (10.0, 12), true, false),
        ] {
            let period = |rule| {
                completes_period(day(first.0, first.1).meets(rule, 24), day(second.0, second.1).meets(rule, 24))
                    .is_yes()
            };
            assert_eq!(
                (period(BlightRule::Hutton2017), period(BlightRule::Smith1956)),
                (hutton, smith),
                "{first:?} {second:?}"
            );
        }
    }

    #[test]
    fn unknown_hours_leave_a_day_open_only_where_they_could_turn_it() {
        let of = |damp_h: u32, dry_h: u32, t_h: u32| {
            let mut day = BlightDay::default();
            (0..damp_h).for_each(|_| day.hour(None, Some(95.0)));
            (0..dry_h).for_each(|_| day.hour(None, Some(70.0)));
            (0..t_h).for_each(|_| day.hour(Some(12.0), None));
            day.meets(BlightRule::Hutton2017, 24)
        };
        assert_eq!(of(6, 0, 24), Verdict::Yes);
        assert_eq!(of(5, 18, 24), Verdict::Unknown);
        assert_eq!(of(5, 19, 24), Verdict::No);
        assert_eq!(of(6, 0, 23), Verdict::Unknown);
        let mut cold = BlightDay::default();
        cold.hour(Some(9.9), None);
        assert_eq!(cold.meets(BlightRule::Hutton2017, 24), Verdict::No);
        cold.hour(Some(f64::NAN), Some(f64::NAN));
        assert_eq!((cold.t_h, cold.rh_h), (1, 0));
    }

    #[test]
    fn severity_of_what_lies_outside_the_table_is_none_or_nothing() {
        assert_eq!([7.1, 26.7].map(|t_c| spell_severity_wallin_1962(24.0, t_c)), [Some(0), Some(0)]);
        assert_eq!([f64::NAN, -1.0].map(|h| spell_severity_wallin_1962(h, 15.0)), [None, None]);
        assert_eq!(spell_severity_wallin_1962(12.0, f64::NAN), None);
        // 152 h at Johnstown Castle are the end of the table.
        assert_eq!(spell_severity_wallin_1962(152.0, 8.0), Some(3));
    }
}
