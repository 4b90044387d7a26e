//! Which clock the times were read from, as far as headers and clock changes tell.

use std::collections::BTreeSet;

use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::steps::Steps;
use crate::instant::to_rfc3339;
use crate::table::Clock;
use crate::table::clock::{Change, Changes};
use crate::wording::grouped;

/// The clock that a header or a title line names: a zone such as `Europe/Rome`, an offset such as `GMT+01:00`, or UTC.
pub(super) fn named(text: &str) -> Option<Clock> {
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '/' | '_' | '+' | '-' | ':');
    for word in text.split(|c: char| !is_part(c)).filter(|word| !word.is_empty()) {
        let zone = word.trim_matches(|c| matches!(c, '_' | ':' | '-' | '+'));
        if zone.contains('/')
            && let Ok(zone) = zone.parse::<Tz>()
        {
            return Some(Clock::Zone(zone));
        }
        let upper = word.to_ascii_uppercase();
        for part in upper.split('_') {
            if let Some(rest) = part.strip_prefix("GMT").or_else(|| part.strip_prefix("UTC"))
                && let Some(clock) = offset(rest)
            {
                return Some(clock);
            }
        }
    }
    let zulu = text.trim().ends_with("(Z)") || text.contains("Zulu");
    zulu.then_some(Clock::UTC)
}

/// The offset behind `GMT` or `UTC`: nothing, `+1`, `+01`, `+0100`, `+01:00`.
fn offset(text: &str) -> Option<Clock> {
    if text.is_empty() {
        return Some(Clock::UTC);
    }
    let sign = match text.as_bytes()[0] {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let digits = &text[1..];
    let (hours, minutes) = match digits.split_once(':') {
        Some((hours, minutes)) => (hours, minutes),
        None if digits.len() == 4 => digits.split_at(2),
        None => (digits, "0"),
    };
    let number = |part: &str| part.parse::<i32>().ok().filter(|_| part.bytes().all(|byte| byte.is_ascii_digit()));
    let (hours, minutes) = (number(hours)?, number(minutes)?);
    (hours <= 14 && minutes <= 59).then_some(Clock::Fixed(sign * (hours * 3600 + minutes * 60)))
}

/// What the rows near one clock change say.
#[derive(Clone, Debug)]
struct Near {
    change: Change,
    /// The last time before the hour and the first behind it.
    before: Option<i64>,
    behind: Option<i64>,
    /// Rows within the hour.
    within: u64,
    first_within: u64,
    /// Where the file goes back by about the shift.
    back: Option<u64>,
}

/// Gathers what the rows near the clock changes of the garden's zone say.
#[derive(Clone, Debug, Default)]
pub(super) struct Evidence {
    near: Vec<Near>,
    cadence_ms: i64,
    last: Option<i64>,
}

impl Evidence {
    /// For a file with these steps.
    pub(super) fn new(zone: Tz, steps: &Steps) -> Evidence {
        let Some((from, until)) = steps.span else { return Evidence::default() };
        let changes = Changes::of(zone, Millis(until.saturating_add(24 * HOUR)));
        let between = changes.between(Millis(from - 24 * HOUR), Millis(until + 24 * HOUR));
        let near = |change: &Change| Near {
            change: *change,
            before: None,
            behind: None,
            within: 0,
            first_within: 0,
            back: None,
        };
        Evidence {
            near: between.iter().map(near).collect(),
            cadence_ms: steps.usual_s().unwrap_or(0) * 1000,
            last: None,
        }
    }

    /// Takes the next row: its line and its time on the wall.
    pub(super) fn take(&mut self, line: u64, ms: i64) {
        let step = self.last.replace(ms).map(|last| ms - last);
        let next = self.near.partition_point(|near| near.change.window().1 <= ms);
        let Some(near) = self.near.get_mut(next) else {
            if let Some(near) = self.near.last_mut() {
                near.see_behind(ms);
            }
            return;
        };
        let (from, until) = near.change.hour();
        if ms < from {
            near.before = near.before.max(Some(ms));
            if let Some(near) = next.checked_sub(1).and_then(|last| self.near.get_mut(last)) {
                near.see_behind(ms);
            }
            return;
        }
        if ms < until {
            near.within += 1;
            if near.first_within == 0 {
                near.first_within = line;
            }
        } else {
            near.see_behind(ms);
        }
        let shift = near.change.shift_ms();
        // A logger puts its clock back between two rows: the step is the usual one less the shift.
        let back = self.cadence_ms + shift;
        let is_back = shift < 0 && step.is_some_and(|step| step <= 0 && (step - back).abs() * 2 <= self.cadence_ms);
        if is_back && near.back.is_none() {
            near.back = Some(line);
        }
    }

    fn verdicts(&self) -> impl Iterator<Item = (Verdict, String)> + '_ {
        self.near.iter().filter_map(|near| near.verdict(self.cadence_ms))
    }

    /// Whether the whole file lies where the zone's clock stands at its standard time, so that both say the same.
    fn is_all_standard(&self, zone: Tz, steps: &Steps) -> bool {
        let Some((from, until)) = steps.span else { return false };
        let holds = |change: &Change| {
            let (start, end) = change.hour();
            // Behind the last row, or before the first.
            start >= until || end <= from
        };
        let at_start = Clock::Fixed((offset_ms(zone, from) / 1000) as i32);
        at_start == offsets(zone, steps).0 && self.near.iter().all(|near| holds(&near.change))
    }
}

fn offset_ms(zone: Tz, local_ms: i64) -> i64 {
    use chrono::{Offset as _, TimeZone as _};
    let local = chrono::DateTime::from_timestamp_millis(local_ms).unwrap_or_default().naive_utc();
    match zone.offset_from_local_datetime(&local).earliest() {
        Some(offset) => i64::from(offset.fix().local_minus_utc()) * 1000,
        None => i64::from(zone.offset_from_utc_datetime(&local).fix().local_minus_utc()) * 1000,
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Verdict {
    /// The clock changed with the zone.
    Changes,
    /// It did not.
    Stays,
    /// The hour that comes twice is there once: a logger that does not change, or one that lets the second go.
    Once,
}

impl Near {
    fn see_behind(&mut self, ms: i64) {
        self.behind = Some(self.behind.map_or(ms, |first| first.min(ms)));
    }

    fn verdict(&self, cadence_ms: i64) -> Option<(Verdict, String)> {
        let (from, until) = self.change.hour();
        // Only rows that stand close on both sides say anything.
        let slack = (cadence_ms * 3 / 2).max(1000);
        let is_close = cadence_ms <= HOUR
            && self.before.is_some_and(|before| from - before <= slack)
            && self.behind.is_some_and(|behind| behind - until <= slack);
        let date = date(from);
        if self.change.shift_ms() > 0 {
            if self.within > 0 {
                let line = grouped(self.first_within);
                let what = match self.within {
                    1 => format!("line {line} stands in the hour that {date} does not have"),
                    n => format!("{} rows from line {line} on stand in the hour that {date} does not have", grouped(n)),
                };
                return Some((Verdict::Stays, what));
            }
            return is_close.then(|| (Verdict::Changes, format!("the hour that {date} does not have is left out")));
        }
        if let Some(line) = self.back {
            return Some((
                Verdict::Changes,
                format!("the hour of {date} that comes twice is there twice (line {})", grouped(line)),
            ));
        }
        (is_close && self.within > 0)
            .then(|| (Verdict::Once, format!("the hour of {date} that comes twice is there once")))
    }
}

fn date(local_ms: i64) -> String {
    to_rfc3339(Millis(local_ms)).chars().take(10).collect()
}

/// What was decided.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Decided {
    /// The clock, and why.
    Clock(Clock, String),
    /// Asked for: the likeliest, what can be chosen, what speaks for what.
    Ask { likeliest: Clock, choices: Vec<String>, evidence: String },
}

/// Decides by what was gathered. `is_days` says that the times are dates alone.
pub(super) fn decide(garden: Option<Tz>, evidence: &Evidence, steps: &Steps, is_days: bool) -> Decided {
    let Some(zone) = garden else {
        return Decided::Ask {
            likeliest: Clock::UTC,
            choices: vec![
                "a zone such as Europe/Dublin, where the clock changes in summer".to_owned(),
                "an offset all year such as +01:00".to_owned(),
                "UTC".to_owned(),
            ],
            evidence: "neither the times nor the header say it".to_owned(),
        };
    };
    if is_days {
        return Decided::Clock(Clock::Zone(zone), format!("dates alone are taken as the garden's days ({zone})"));
    }
    if !has_changes(zone, steps) {
        return Decided::Clock(
            Clock::Zone(zone),
            format!("the garden's zone ({zone}), which has no clock change in these times"),
        );
    }
    // One of each kind first, so that what contradicts is always told.
    let mut verdicts: Vec<(Verdict, String)> = evidence.verdicts().collect();
    let mut kinds = Vec::new();
    verdicts.sort_by_cached_key(|(verdict, _)| {
        let is_known = kinds.contains(verdict);
        kinds.push(*verdict);
        is_known
    });
    let says = |verdict: Verdict| verdicts.iter().any(|(is, _)| *is == verdict);
    let mut told = verdicts.iter().take(3).map(|(_, what)| what.as_str()).collect::<Vec<_>>().join("; ");
    if verdicts.len() > 3 {
        told.push_str(&format!("; and so on at {} more changes", verdicts.len() - 3));
    }
    if says(Verdict::Changes) && !says(Verdict::Stays) {
        return Decided::Clock(
            Clock::Zone(zone),
            format!("the clock changes as in the garden's zone ({zone}): {told}"),
        );
    }
    if verdicts.is_empty() && evidence.is_all_standard(zone, steps) {
        let why =
            format!("the garden's zone ({zone}); all times lie in its winter time, in which no clock change is near");
        return Decided::Clock(Clock::Zone(zone), why);
    }
    let (standard, summer) = offsets(zone, steps);
    let stays = says(Verdict::Stays) && !says(Verdict::Changes);
    let mut fixed: Vec<Clock> = vec![standard];
    // A logger set in summer may have kept summer time.
    if stays && steps.first.is_some_and(|first| Clock::Fixed((offset_ms(zone, first) / 1000) as i32) == summer) {
        fixed.push(summer);
    }
    fixed.push(Clock::UTC);
    let mut known = BTreeSet::new();
    fixed.retain(|clock| known.insert(clock.to_string()));
    if stays && fixed.len() == 1 {
        return Decided::Clock(standard, format!("the clock never changes: {told}"));
    }
    let mut choices: Vec<String> = Vec::new();
    if !stays {
        choices.push(zone.to_string());
    }
    choices.extend(fixed.iter().map(Clock::to_string));
    let evidence = if told.is_empty() {
        "the times say none, and no rows stand near a clock change that would tell".to_owned()
    } else if stays {
        format!("the clock never changes: {told}")
    } else {
        told
    };
    Decided::Ask { likeliest: if stays { standard } else { Clock::Zone(zone) }, choices, evidence }
}

fn has_changes(zone: Tz, steps: &Steps) -> bool {
    let (standard, summer) = offsets(zone, steps);
    standard != summer
}

/// The smallest and the largest offset of the year in which the file begins.
fn offsets(zone: Tz, steps: &Steps) -> (Clock, Clock) {
    let Some((from, until)) = steps.span else { return (Clock::UTC, Clock::UTC) };
    let months = (0..=12).map(|month| from + month * 30 * 24 * HOUR).chain([until]);
    let (mut low, mut high) = (i64::MAX, i64::MIN);
    for at in months {
        let ahead = offset_ms(zone, at);
        (low, high) = (low.min(ahead), high.max(ahead));
    }
    (Clock::Fixed((low / 1000) as i32), Clock::Fixed((high / 1000) as i32))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instant::from_rfc3339;

    #[test]
    fn named_zone_offset_and_utc_in_headers() {
        for (header, expected) in [
            ("Europe/Rome", Some(Clock::Zone(Tz::Europe__Rome))),
            ("Time (Europe/Dublin)", Some(Clock::Zone(Tz::Europe__Dublin))),
            ("Date Time GMT+01:00", Some(Clock::Fixed(3600))),
            ("Date Time, GMT-05:00", Some(Clock::Fixed(-18_000))),
            ("Zeit (UTC+1)", Some(Clock::Fixed(3600))),
            ("Time UTC+0530", Some(Clock::Fixed(19_800))),
            ("time_utc", Some(Clock::UTC)),
            ("UTC", Some(Clock::UTC)),
            ("Time (Z)", Some(Clock::UTC)),
            ("Date Time", None),
            ("Temp (m3/m3)", None),
            ("UTC+99", None),
            ("", None),
        ] {
            assert_eq!(named(header), expected, "{header}");
        }
    }

    /// The decision for rows on the wall, each given as text.
    fn decided(zone: Tz, rows: &[i64]) -> Decided {
        let mut steps = Steps::default();
        rows.iter().for_each(|ms| steps.take(*ms));
        let mut evidence = Evidence::new(zone, &steps);
        (2..).zip(rows).for_each(|(line, ms)| evidence.take(line, *ms));
        decide(Some(zone), &evidence, &steps, false)
    }

    fn wall(text: &str) -> i64 {
        from_rfc3339(text).unwrap().0
    }

    /// Rows every 15 minutes.
    fn run(from: &str, until: &str) -> Vec<i64> {
        (wall(from)..wall(until)).step_by(900_000).collect()
    }

    #[test]
    fn decide_for_a_logger_that_changes_its_clock_late_is_the_zone() {
        // As tunnel2-trh3: 03:00 to 03:45 twice, an hour behind the change.
        let mut rows = run("2021-10-01T00:00:00Z", "2021-10-31T04:00:00Z");
        rows.extend(run("2021-10-31T03:00:00Z", "2021-11-05T00:00:00Z"));
        let Decided::Clock(clock, why) = decided(Tz::Europe__Rome, &rows) else { panic!() };
        assert_eq!(clock, Clock::Zone(Tz::Europe__Rome));
        assert!(why.contains("the hour of 2021-10-31 that comes twice is there twice (line 2,898)"), "{why}");
    }

    #[test]
    fn decide_for_a_logger_that_leaves_the_missing_hour_out_is_the_zone() {
        let mut rows = run("2022-03-20T00:00:00Z", "2022-03-27T02:00:00Z");
        rows.extend(run("2022-03-27T03:00:00Z", "2022-04-05T00:00:00Z"));
        let Decided::Clock(clock, why) = decided(Tz::Europe__Rome, &rows) else { panic!() };
        assert_eq!(clock, Clock::Zone(Tz::Europe__Rome));
        assert!(why.contains("the hour that 2022-03-27 does not have is left out"), "{why}");
    }

    #[test]
    fn decide_for_a_logger_that_runs_through_asks_which_clock_it_keeps() {
        let rows = run("2022-01-01T00:00:00Z", "2022-12-01T00:00:00Z");
        let Decided::Ask { likeliest, choices, evidence } = decided(Tz::Europe__Berlin, &rows) else { panic!() };
        assert_eq!((likeliest, choices), (Clock::Fixed(3600), vec!["+01:00".to_owned(), "UTC".to_owned()]));
        assert!(evidence.starts_with("the clock never changes: 4 rows from line "), "{evidence}");
        // In Ireland the winter time is UTC: one choice only, so no question.
        let Decided::Clock(clock, _) = decided(Tz::Europe__Dublin, &rows) else { panic!() };
        assert_eq!(clock, Clock::UTC);
        // Set in summer: it may have kept that.
        let rows = run("2021-07-01T00:00:00Z", "2022-05-01T00:00:00Z");
        let Decided::Ask { choices, .. } = decided(Tz::Europe__Berlin, &rows) else { panic!() };
        assert_eq!(choices, ["+01:00", "+02:00", "UTC"]);
    }

    #[test]
    fn decide_in_winter_is_the_zone_and_in_summer_asks() {
        let rows = run("2022-02-01T00:00:00Z", "2022-03-21T00:00:00Z");
        assert!(matches!(decided(Tz::Europe__Amsterdam, &rows), Decided::Clock(Clock::Zone(Tz::Europe__Amsterdam), _)));
        let rows = run("2016-04-30T00:00:00Z", "2016-09-17T00:00:00Z");
        let Decided::Ask { likeliest, choices, .. } = decided(Tz::Europe__Dublin, &rows) else { panic!() };
        assert_eq!(
            (likeliest, choices),
            (Clock::Zone(Tz::Europe__Dublin), vec!["Europe/Dublin".to_owned(), "UTC".to_owned()])
        );
    }

    #[test]
    fn decide_with_no_rows_at_the_changes_asks() {
        let mut rows = run("2021-08-01T00:00:00Z", "2021-10-30T00:00:00Z");
        rows.extend(run("2021-11-02T00:00:00Z", "2022-02-01T00:00:00Z"));
        assert!(matches!(decided(Tz::Europe__Rome, &rows), Decided::Ask { .. }));
    }
}
