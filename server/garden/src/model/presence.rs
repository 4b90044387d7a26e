//! Who is there, and when.

use chrono::{Datelike, Days, NaiveDate, TimeZone, Weekday};
use chrono_tz::Tz;
use propstick_wire::Millis;

use super::Garden;
use crate::fold::date_of;

/// Somebody who can act is there on these weekdays, from one time of the garden's clocks until before another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Presence {
    /// Who, in a word.
    pub who: String,
    /// On which weekdays: in their order from Monday, each once, at least one.
    pub days: Vec<Weekday>,
    /// From this minute of the day, 0 to 1,439.
    pub from_min: u32,
    /// Until before this minute of the day, above `from_min`, up to 1,440.
    pub to_min: u32,
}

/// The weekdays from Monday, with their words in files.
pub const WEEKDAYS: [(Weekday, &str); 7] = [
    (Weekday::Mon, "mon"),
    (Weekday::Tue, "tue"),
    (Weekday::Wed, "wed"),
    (Weekday::Thu, "thu"),
    (Weekday::Fri, "fri"),
    (Weekday::Sat, "sat"),
    (Weekday::Sun, "sun"),
];

impl Garden {
    /// The stretches of `[from, to)` in which somebody is there who can act: in order, apart from each other. None where nobody has told who is there.
    pub fn presence_between(&self, from: Millis, to: Millis) -> Option<Vec<(Millis, Millis)>> {
        if self.presence.is_empty() {
            return None;
        }
        let (mut date, last) = (date_of(self.zone, from), date_of(self.zone, to));
        let mut all = Vec::new();
        while date <= last {
            for p in self.presence.iter().filter(|p| p.days.contains(&date.weekday())) {
                let begin = instant_of(self.zone, date, p.from_min).zip(instant_of(self.zone, date, p.to_min));
                all.extend(begin.map(|(begin, end)| (begin.max(from), end.min(to))).filter(|(begin, end)| begin < end));
            }
            let Some(next) = date.checked_add_days(Days::new(1)) else { break };
            date = next;
        }
        all.sort_unstable();
        Some(joined(&all))
    }
}

/// Stretches, given in the order of their beginnings, with those that meet made one.
pub fn joined(all: &[(Millis, Millis)]) -> Vec<(Millis, Millis)> {
    let mut apart: Vec<(Millis, Millis)> = Vec::new();
    for &(from, to) in all {
        match apart.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => apart.push((from, to)),
        }
    }
    apart
}

/// When the clocks show that minute of that day: the first of two instants in autumn; where spring leaves it out, the first instant after the gap.
fn instant_of(zone: Tz, date: NaiveDate, minute: u32) -> Option<Millis> {
    let wall = date.and_hms_opt(0, 0, 0)?.checked_add_signed(chrono::TimeDelta::minutes(minute.into()))?;
    let found = |step_min: i64| {
        let then = wall.checked_add_signed(chrono::TimeDelta::minutes(step_min))?;
        zone.from_local_datetime(&then).earliest().map(|t| Millis(t.timestamp_millis()))
    };
    // No clock change leaves out more than a day.
    (0..=4 * 24).find_map(|k| found(15 * k))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instant::from_rfc3339;

    fn at(text: &str) -> Millis {
        from_rfc3339(text).unwrap()
    }

    fn garden(presence: Vec<Presence>) -> Garden {
        Garden { zone: Tz::Europe__Dublin, presence, ..Garden::empty() }
    }

    fn one(days: &[Weekday], from_min: u32, to_min: u32) -> Presence {
        Presence { who: "Ann".into(), days: days.to_vec(), from_min, to_min }
    }

    #[test]
    fn garden_that_says_nothing_of_presence_has_none() {
        assert_eq!(garden(vec![]).presence_between(Millis(0), Millis(86_400_000)), None);
    }

    #[test]
    fn stretches_of_two_people_that_meet_are_one_and_are_cut_at_the_ends() {
        // Wednesday, 11 March 2026, winter time.
        let g = garden(vec![
            one(&[Weekday::Wed], 480, 600),
            one(&[Weekday::Wed], 600, 720),
            one(&[Weekday::Thu], 480, 500),
        ]);
        let there = g.presence_between(at("2026-03-11T09:00:00Z"), at("2026-03-13T09:00:00Z")).unwrap();
        let expected =
            [("2026-03-11T09:00:00Z", "2026-03-11T12:00:00Z"), ("2026-03-12T08:00:00Z", "2026-03-12T08:20:00Z")];
        assert_eq!(there, expected.map(|(a, b)| (at(a), at(b))));
        assert_eq!(
            g.presence_between(at("2026-03-13T09:00:00Z"), at("2026-03-15T09:00:00Z")),
            Some(vec![]),
            "nobody comes"
        );
    }

    #[test]
    fn times_are_those_of_the_clocks_and_a_missing_hour_is_none() {
        // Sunday, 29 March 2026: the clocks go from 01:00 to 02:00.
        let g = garden(vec![one(&[Weekday::Sun], 90, 180), one(&[Weekday::Mon], 480, 1440)]);
        let there = g.presence_between(at("2026-03-28T12:00:00Z"), at("2026-03-31T12:00:00Z")).unwrap();
        let expected =
            [("2026-03-29T01:00:00Z", "2026-03-29T02:00:00Z"), ("2026-03-30T07:00:00Z", "2026-03-30T23:00:00Z")];
        assert_eq!(there, expected.map(|(a, b)| (at(a), at(b))));
    }
}
