//! Where this week stands among the structure's own weeks of the same month: in a maritime winter the level alone says the same on nearly every day.

use chrono::{Datelike, NaiveDate};
use propstick_agronomy::risk::standing::{Standing, standing};
use propstick_agronomy::runs::Runs;

/// A noon-day that is over: its date and wet hours, none where it has no score.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastDay {
    /// The date of the noon it begins with.
    pub date: NaiveDate,
    /// Wet hours in each run.
    pub wet_h: Option<Runs<f64>>,
}

/// Where a week stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeekStanding {
    /// Wet hours a day in the last seven noon-days.
    pub wet_h_day: Runs<f64>,
    /// Its place among the structure's own past weeks of that month, in each run.
    pub among: Runs<Standing>,
    /// The month, 1 to 12.
    pub month: u32,
}

/// Fewest of the seven days of a week that must have a score for it to count. Our own choice.
const LEAST_DAYS: usize = 5;

/// Where the seven noon-days up to the last of `days` stand among the weeks before them that end in the same month of any year, counted back in steps of
/// seven days. `days` ascend. None where fewer than four such weeks are known.
pub fn week_standing(days: &[PastDay]) -> Option<WeekStanding> {
    let last = days.last()?.date;
    let this = week_ending(days, last)?;
    let first = days.first()?.date;
    let mut past = Vec::new();
    let mut ends = last;
    while let Some(before) = ends.checked_sub_days(chrono::Days::new(7)).filter(|d| *d >= first) {
        ends = before;
        if ends.month() == last.month() {
            past.extend(week_ending(days, ends));
        }
    }
    let among = standing(this, past)?;
    Some(WeekStanding { wet_h_day: this, among, month: last.month() })
}

/// Mean wet hours a day of the week that ends with `last`; none with fewer than five scored days.
fn week_ending(days: &[PastDay], last: NaiveDate) -> Option<Runs<f64>> {
    let to = days.partition_point(|d| d.date <= last);
    let from = days.partition_point(|d| d.date <= last - chrono::Days::new(7));
    let scored: Vec<Runs<f64>> = days[from..to].iter().filter_map(|d| d.wet_h).collect();
    let n = scored.len();
    let sum = scored.into_iter().reduce(|a, b| a.with(b, |x, y| x + y))?;
    (n >= LEAST_DAYS).then(|| sum.map(|h| h / n as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn days(from: NaiveDate, wet_h: impl IntoIterator<Item = f64>) -> Vec<PastDay> {
        from.iter_days().zip(wet_h).map(|(date, h)| PastDay { date, wet_h: Some(Runs::all(h)) }).collect()
    }

    fn date(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn week_is_placed_among_weeks_of_its_own_month_alone() {
        // Two Januaries with a dry February to December between: 31 Januarys' days at 10 h a day, the rest at 2, and this week at 12.
        let first = date(2025, 1, 1);
        let mut all = days(first, (0..396).map(|k| if (31..365).contains(&k) { 2.0 } else { 10.0 }));
        let n = all.len();
        all[n - 7..].iter_mut().for_each(|d| d.wet_h = Some(Runs::all(12.0)));
        assert_eq!(all.last().unwrap().date, date(2026, 1, 31));
        let week = week_standing(&all).unwrap();
        // This January's three weeks before, and of last January those ending on the 4th, 11th, 18th and 25th.
        assert_eq!((week.among.read.place(), week.among.read.drier, week.month), (1, week.among.read.weeks(), 1));
        assert!((6..=8).contains(&week.among.read.weeks()), "{week:?}");
        assert_eq!(week.wet_h_day.read, 12.0);
    }

    #[test]
    fn first_weeks_of_a_structure_have_no_place() {
        assert_eq!(week_standing(&days(date(2026, 1, 1), [9.0; 27])), None);
        assert_eq!(week_standing(&[]), None);
        let mut unscored = days(date(2025, 1, 1), [9.0; 396]);
        let n = unscored.len();
        unscored[n - 4..].iter_mut().for_each(|d| d.wet_h = None);
        assert_eq!(week_standing(&unscored), None, "four of seven days without a score");
    }
}
