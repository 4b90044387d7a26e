//! Grey mould: the weekly rule for unheated houses.

use super::Verdict;
use super::constants as c;
use crate::coverage::HOUR_MS;
use crate::runs::Runs;
use crate::wetness::hours::WetHour;

/// One noon-day for the weekly rule.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct GreyMouldDay {
    /// Wet hours in it, in each run.
    pub wet_h: Runs<f64>,
    /// Hours of its night, 18:00 to 08:00 standard time, at 9 to 21 °C: unknown ones in the high run alone.
    pub band_h: Runs<f64>,
    /// Its hours that are not known.
    pub unknown_h: f64,
}

impl GreyMouldDay {
    /// Hours at 9 to 21 °C, ends included, between 18:00 and 08:00, of the noon-day that begins at `noon_ms` (12:00 standard time).
    ///
    /// **Shape**: an hour counts by its mean; unknown ones, and those left out, count in the high run alone.
    ///
    /// ```
    /// use propstick_agronomy::disease::grey_mould::GreyMouldDay;
    /// use propstick_agronomy::wetness::hours::WetHour;
    /// let h = 3_600_000;
    /// let hours: Vec<_> = (0..24).map(|k| WetHour { covered_ms: h, t_c: Some(12.0), ..WetHour::unknown(k * h) }).collect();
    /// assert_eq!(GreyMouldDay::band_h(&hours, 0), propstick_agronomy::runs::Runs::all(14.0));
    /// ```
    pub fn band_h(hours: &[WetHour], noon_ms: i64) -> Runs<f64> {
        let at = |o_clock: f64| noon_ms + (o_clock * HOUR_MS as f64) as i64;
        let night = at(c::GREY_FROM_HOUR.value - 12.0)..at(c::GREY_TO_HOUR.value + 12.0);
        let band = c::GREY_BAND_MIN_C.value..=c::GREY_BAND_MAX_C.value;
        let of_night = hours.iter().filter(|h| night.contains(&h.from_ms) && h.known());
        let (mut known_h, mut mild_h) = (0.0, 0.0);
        for t_c in of_night.filter_map(|h| h.t_c) {
            known_h += 1.0;
            mild_h += f64::from(u8::from(band.contains(&t_c)));
        }
        let unknown_h = ((night.end - night.start) as f64 / HOUR_MS as f64 - known_h).max(0.0);
        Runs { high: mild_h + unknown_h, ..Runs::all(mild_h) }
    }
}

/// What a week meant for grey mould.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GreyMouldWeek {
    /// Mean of wet hours a day, in each run.
    pub wet_h: Runs<f64>,
    /// Mean of mild hours a night, in each run.
    pub band_h: Runs<f64>,
    /// Days of the seven that were measured.
    pub days: u8,
    /// Whether it was outbreak weather, in each run.
    pub outbreak: Runs<Verdict>,
}

/// The last seven noon-days. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct GreyMouldFold {
    /// The days, oldest first; none where less than 18 h were measured.
    pub days: [Option<GreyMouldDay>; 7],
}

impl GreyMouldFold {
    /// Takes the next noon-day and says what the seven up to it meant.
    ///
    /// Outbreak weather: more than 7 wet hours a day and more than 9.5 h a night at 9 to 21 °C, in the weekly mean.
    /// **Shape**: days follow each other without a break; means are over the days measured, and with fewer than five the verdict is unknown; a day that
    /// cannot be meant (hours beyond 0 to 25) is not measured. As read, unknown hours leave the verdict open where they could turn it.
    /// **Source**: Yunis, Shtienberg, Elad and Mahrer 1994, unheated houses, cucumber (abstract); wetness sheet 2.6. The five days are our proposal.
    /// **Accuracy**: not stated for other crops or places.
    ///
    /// ```
    /// use propstick_agronomy::disease::{Verdict, grey_mould::{GreyMouldDay, GreyMouldFold}};
    /// use propstick_agronomy::runs::Runs;
    /// // Wetness sheet 2.6: a week of 8 h wet and 10 h in the band.
    /// let mut fold = GreyMouldFold::default();
    /// let week = (0..7).map(|_| fold.push(Some(GreyMouldDay { wet_h: Runs::all(8.0), band_h: Runs::all(10.0), unknown_h: 0.0 }))).last().unwrap();
    /// assert_eq!(week.outbreak.read, Verdict::Yes);
    /// ```
    pub fn push(&mut self, day: Option<GreyMouldDay>) -> GreyMouldWeek {
        let meant = |d: &GreyMouldDay| {
            let all = d.wet_h.as_refs().into_iter().chain(d.band_h.as_refs()).chain([&d.unknown_h]);
            all.into_iter().all(|h| (0.0..=25.0).contains(h))
        };
        self.days.rotate_left(1);
        self.days[6] = day.filter(meant);
        let measured = || self.days.iter().flatten();
        let n = measured().count();
        let mean = |of: &dyn Fn(&GreyMouldDay) -> f64| measured().map(of).sum::<f64>() / (n.max(1) as f64);
        let wet_h = Runs { low: mean(&|d| d.wet_h.low), read: mean(&|d| d.wet_h.read), high: mean(&|d| d.wet_h.high) };
        let band_h =
            Runs { low: mean(&|d| d.band_h.low), read: mean(&|d| d.band_h.read), high: mean(&|d| d.band_h.high) };
        let breaks_out = |wet_h: f64, band_h: f64| wet_h > c::GREY_WET_H.value && band_h > c::GREY_BAND_H.value;
        let could = breaks_out(wet_h.read + mean(&|d| d.unknown_h), band_h.high);
        let outbreak = if (n as f64) < c::GREY_LEAST_DAYS.value {
            Runs::all(Verdict::Unknown)
        } else {
            let met = wet_h.with(band_h, |wet_h, band_h| Verdict::from_bool(breaks_out(wet_h, band_h)));
            Runs { read: if could && !met.read.is_yes() { Verdict::Unknown } else { met.read }, ..met }
        };
        GreyMouldWeek { wet_h, band_h, days: n as u8, outbreak }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn week(days: [Option<(f64, f64)>; 7]) -> GreyMouldWeek {
        let mut fold = GreyMouldFold::default();
        let mut last = fold.push(None);
        for day in days {
            last = fold.push(day.map(|(wet_h, band_h)| GreyMouldDay {
                wet_h: Runs::all(wet_h),
                band_h: Runs::all(band_h),
                unknown_h: 0.0,
            }));
        }
        last
    }

    #[test]
    fn weeks_of_2_6_are_reproduced() {
        // Wetness sheet 2.6, CHECK: 8 h wet and 10 h in band; 8 and 9; 6.5 and 12.
        for (wet_h, band_h, expected) in [(8.0, 10.0, Verdict::Yes), (8.0, 9.0, Verdict::No), (6.5, 12.0, Verdict::No)]
        {
            assert_eq!(week([Some((wet_h, band_h)); 7]).outbreak, Runs::all(expected), "{wet_h} {band_h}");
        }
        // "Exceeded": the limits themselves are not over.
        assert_eq!(week([Some((7.0, 10.0)); 7]).outbreak.read, Verdict::No);
        assert_eq!(week([Some((8.0, 9.5)); 7]).outbreak.read, Verdict::No);
    }

    #[test]
    fn a_week_with_three_days_lost_says_nothing() {
        let mut days = [Some((8.0, 10.0)); 7];
        days[0] = None;
        days[3] = None;
        assert_eq!((week(days).outbreak.read, week(days).days), (Verdict::Yes, 5));
        days[5] = None;
        assert_eq!(week(days).outbreak.read, Verdict::Unknown);
        assert_eq!(week([None; 7]).wet_h.read, 0.0);
    }

    #[test]
    fn nights_half_unseen_leave_the_week_open_where_they_could_turn_it() {
        // Five hours of each night lost: 9 of 14 h seen in the band, 8 h wet. A mild night would have been 14 h: outbreak.
        let of = |wet_h: f64, seen_h: f64, unknown_h: f64| {
            let band_h = Runs { high: seen_h + unknown_h, ..Runs::all(seen_h) };
            let day = GreyMouldDay { wet_h: Runs { high: wet_h + unknown_h, ..Runs::all(wet_h) }, band_h, unknown_h };
            let mut fold = GreyMouldFold::default();
            (0..7).map(|_| fold.push(Some(day))).last().unwrap().outbreak
        };
        assert_eq!(of(8.0, 9.0, 5.0), Runs { low: Verdict::No, read: Verdict::Unknown, high: Verdict::Yes });
        // Wet hours may be among the lost ones, too; cold nights and few wet hours stay a no.
        assert_eq!(of(6.0, 10.0, 3.0).read, Verdict::Unknown);
        assert_eq!((of(8.0, 4.0, 5.0).read, of(1.0, 9.0, 5.0).read), (Verdict::No, Verdict::No));
        assert_eq!(of(8.0, 10.0, 4.0).read, Verdict::Yes);
    }

    #[test]
    fn one_wet_night_does_not_make_a_week() {
        let mut days = [Some((2.0, 12.0)); 7];
        days[6] = Some((20.0, 12.0));
        assert_eq!(week(days).outbreak.read, Verdict::No);
    }

    #[test]
    fn band_counts_the_night_alone_and_its_ends() {
        let hour = |k: i64, t_c: f64| WetHour { covered_ms: HOUR_MS, t_c: Some(t_c), ..WetHour::unknown(k * HOUR_MS) };
        // The noon-day begins at 12:00: its hours 6 to 19 are 18:00 to 08:00.
        for (k, t_c, counts) in
            [(5, 12.0, 0.0), (6, 9.0, 1.0), (19, 21.0, 1.0), (20, 12.0, 0.0), (10, 8.9, 0.0), (10, 21.1, 0.0)]
        {
            let band_h = GreyMouldDay::band_h(&[hour(k, t_c)], 0);
            assert_eq!((band_h.low, band_h.read), (counts, counts), "{k} {t_c}");
            // All other hours of the night are not known.
            assert_eq!(band_h.high, if (6..20).contains(&k) { 13.0 + counts } else { 14.0 }, "{k} {t_c}");
        }
    }
}
