//! Stem rot and damping off: flags, not scores. No model of them is offered to growers anywhere that we know of (wetness sheet 2.10).

use super::Verdict;
use super::constants as c;

/// One day for the stem-rot flag.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct StemRotDay {
    /// Mean temperature, °C.
    pub mean_c: f64,
    /// Hours of 80 %RH and more.
    pub damp_h: f64,
    /// Whether the soil is kept moist.
    pub soil_moist: bool,
}

/// The last five days. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct StemRotFold {
    /// The days, oldest first; none where too little was measured.
    pub days: [Option<StemRotDay>; 5],
}

impl StemRotFold {
    /// Takes the next day and says whether the flag stands: on three of the last five days moist soil, a mean of 10 to 25 °C and at least 12 h of 80 %RH and more.
    ///
    /// **Shape**: days follow each other; where unknown ones could turn it, unknown. A day that cannot be meant (hours beyond 0 to 25) is unknown.
    /// **Source**: our proposal (wetness sheet 2.10) after Clarkson et al. 2007 and 2014, who found infection without visible wetness. **Accuracy**: untested.
    ///
    /// ```
    /// use propstick_agronomy::disease::{Verdict, stem_rot::{StemRotDay, StemRotFold}};
    /// let mut fold = StemRotFold::default();
    /// let day = StemRotDay { mean_c: 14.0, damp_h: 15.0, soil_moist: true };
    /// assert_eq!([0; 3].map(|_| fold.push(Some(day))), [Verdict::Unknown, Verdict::Unknown, Verdict::Yes]);
    /// ```
    pub fn push(&mut self, day: Option<StemRotDay>) -> Verdict {
        self.days.rotate_left(1);
        self.days[4] = day.filter(|d| (-60.0..=80.0).contains(&d.mean_c) && (0.0..=25.0).contains(&d.damp_h));
        let warmth = c::STEM_ROT_MIN_C.value..=c::STEM_ROT_MAX_C.value;
        let suits = |d: &StemRotDay| d.soil_moist && warmth.contains(&d.mean_c) && d.damp_h >= c::STEM_ROT_H.value;
        let met = self.days.iter().flatten().filter(|d| suits(d)).count() as f64;
        let unseen = self.days.iter().filter(|d| d.is_none()).count() as f64;
        if met >= c::STEM_ROT_DAYS.value {
            Verdict::Yes
        } else if met + unseen >= c::STEM_ROT_DAYS.value {
            Verdict::Unknown
        } else {
            Verdict::No
        }
    }
}

/// Whether a day brings seedlings near damping off: compost colder than the crop's best for germination by more than 8 °C, and more than 16 h above 90 %RH.
///
/// `compost_mean_c` and `germination_best_c` in °C, `damp_h` hours of the day above 90 %RH.
/// **Errors**: unknown for what is no number. **Source**: our proxy (wetness sheet 2.10); no model is offered. **Accuracy**: untested.
///
/// ```
/// use propstick_agronomy::disease::{Verdict, stem_rot::damping_off_day};
/// // Lettuce germinates best near 20 °C.
/// assert_eq!(damping_off_day(9.0, 20.0, 18.0), Verdict::Yes);
/// assert_eq!(damping_off_day(14.0, 20.0, 18.0), Verdict::No);
/// ```
pub fn damping_off_day(compost_mean_c: f64, germination_best_c: f64, damp_h: f64) -> Verdict {
    let colder_by_c = germination_best_c - compost_mean_c;
    if !(colder_by_c.is_finite() && damp_h.is_finite()) {
        return Verdict::Unknown;
    }
    Verdict::from_bool(colder_by_c > c::DAMPING_OFF_COLD_C.value && damp_h > c::DAMPING_OFF_H.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SUITS: StemRotDay = StemRotDay { mean_c: 14.0, damp_h: 15.0, soil_moist: true };

    #[test]
    fn three_days_of_five_set_the_flag_and_it_goes_with_them() {
        let mut fold = StemRotFold::default();
        let dry = StemRotDay { damp_h: 11.9, ..SUITS };
        let said = [SUITS, dry, SUITS, dry, SUITS, dry, dry].map(|d| fold.push(Some(d)));
        let expected = [
            Verdict::Unknown,
            Verdict::Unknown,
            Verdict::Unknown,
            Verdict::Unknown,
            Verdict::Yes,
            Verdict::No,
            Verdict::No,
        ];
        assert_eq!(said, expected);
    }

    #[test]
    fn each_condition_is_needed_at_its_edge() {
        let flagged = |day: StemRotDay| {
            let mut fold = StemRotFold::default();
            (0..5).map(|_| fold.push(Some(day))).last().unwrap().is_yes()
        };
        for (day, expected) in [
            (StemRotDay { mean_c: 10.0, damp_h: 12.0, ..SUITS }, true),
            (StemRotDay { mean_c: 9.9, ..SUITS }, false),
            (StemRotDay { mean_c: 25.0, ..SUITS }, true),
            (StemRotDay { mean_c: 25.1, ..SUITS }, false),
            (StemRotDay { soil_moist: false, ..SUITS }, false),
        ] {
            assert_eq!(flagged(day), expected, "{day:?}");
        }
    }

    #[test]
    fn damping_off_needs_more_than_eight_degrees_and_sixteen_hours() {
        assert_eq!(damping_off_day(12.0, 20.0, 17.0), Verdict::No);
        assert_eq!(damping_off_day(11.9, 20.0, 17.0), Verdict::Yes);
        assert_eq!(damping_off_day(11.9, 20.0, 16.0), Verdict::No);
        assert_eq!(damping_off_day(f64::NAN, 20.0, 16.0), Verdict::Unknown);
    }
}
