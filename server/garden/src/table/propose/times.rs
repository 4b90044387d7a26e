//! Which columns are the time of a row, and what a row says of it.

use super::survey::Seen;
use super::words::{TimeWord, time_word};
use crate::table::cells::Row;
use crate::table::stamp::{self, DAY_MS, Moment, Written};
use crate::table::{Column, Order, TimeColumns, TimeForm};

/// A column as the passes know it.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    /// Its name, different from every other; empty where it has none.
    pub name: String,
    /// As a mapping names it.
    pub column: Column,
    pub words: Vec<String>,
    /// The unit that its header or the line under it names.
    pub told: Option<super::units::Told>,
}

/// Where the time of a row is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Date and time of day in one text.
    At(usize),
    /// A date alone.
    Date(usize),
    /// A date, and the time of day as a text or as digits.
    DateClock(usize, usize),
    /// A date, and the hour, perhaps with the minute.
    DateHour(usize, usize, Option<usize>),
    /// Year, month, day and what tells the time of day.
    Numbers([usize; 3], Option<usize>, Option<usize>, Option<usize>),
    /// Numbers since 1970 UTC.
    Epoch(usize, TimeForm),
}

/// What a row says of its time, before the order is decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RowTime {
    /// A date with the milliseconds that another column adds to it.
    Dated(Written, i64),
    Local(i64),
    Instant(i64),
}

impl RowTime {
    /// Milliseconds on the row's own wall, or since 1970 UTC where the row says so.
    pub(super) fn ms(&self, order: Order) -> Option<i64> {
        match self {
            RowTime::Local(ms) | RowTime::Instant(ms) => Some(*ms),
            RowTime::Dated(written, more) => Some(Way::dated_ms(written, order)? + more),
        }
    }
}

impl Way {
    /// The columns that it uses.
    pub(super) fn columns(&self) -> Vec<usize> {
        match *self {
            Way::At(at) | Way::Date(at) | Way::Epoch(at, _) => vec![at],
            Way::DateClock(date, clock) => vec![date, clock],
            Way::DateHour(date, hour, minute) => [Some(date), Some(hour), minute].into_iter().flatten().collect(),
            Way::Numbers(date, clock, hour, minute) => {
                date.into_iter().chain([clock, hour, minute].into_iter().flatten()).collect()
            }
        }
    }

    /// A written date as milliseconds on its own wall, or since 1970 UTC where it says so.
    pub(super) fn dated_ms(written: &Written, order: Order) -> Option<i64> {
        Some(match written.moment(order)? {
            Moment::Local(ms) => ms,
            Moment::Instant(at) => at.0,
        })
    }

    /// Whether the time of day is nowhere.
    pub(super) fn is_date_alone(&self) -> bool {
        matches!(self, Way::Date(_) | Way::Numbers(_, None, None, _))
    }

    /// Whether the date is a text, whose order has to be found.
    pub(super) fn has_order(&self) -> bool {
        !matches!(self, Way::Numbers(..) | Way::Epoch(..))
    }

    /// The time of a row.
    pub(super) fn of_row(&self, row: &Row<'_>) -> Option<RowTime> {
        let cell = |place: usize| row.cell(place).map(str::trim);
        let number = |place: usize| cell(place)?.parse::<u32>().ok();
        let hour = |hour: usize, minute: Option<usize>| {
            let minute = match minute {
                Some(place) => number(place).filter(|minute| *minute < 60)?,
                None => 0,
            };
            let hour = number(hour).filter(|hour| *hour <= 24)?;
            Some((i64::from(hour) * 60 + i64::from(minute)) * 60_000)
        };
        let clock = |place: usize| stamp::clock(cell(place)?).map(|(ms, _)| ms);
        match *self {
            Way::At(at) | Way::Date(at) => Written::parse(cell(at)?).map(|written| RowTime::Dated(written, 0)),
            Way::DateClock(date, place) => Some(RowTime::Dated(Written::parse(cell(date)?)?, clock(place)?)),
            Way::DateHour(date, place, minute) => {
                Some(RowTime::Dated(Written::parse(cell(date)?)?, hour(place, minute)?))
            }
            Way::Numbers([year, month, day], clock_at, hour_at, minute) => {
                let year = number(year)?;
                let year = if year < 100 { 2000 + year } else { year };
                let days = stamp::days(i32::try_from(year).ok()?, number(month)?, number(day)?)?;
                let time = match (clock_at, hour_at) {
                    (Some(place), _) => clock(place)?,
                    (None, Some(place)) => hour(place, minute)?,
                    (None, None) => 0,
                };
                Some(RowTime::Local(days * DAY_MS + time))
            }
            Way::Epoch(at, form) => {
                let number: f64 = cell(at)?.parse().ok()?;
                let ms = if form == TimeForm::S { number * 1000.0 } else { number };
                (ms.abs() < 1.0e14).then_some(RowTime::Instant(ms as i64))
            }
        }
    }

    /// As a mapping has it, without order and zone.
    pub(super) fn mapped(&self, headings: &[Heading]) -> TimeColumns {
        let column = |place: usize| headings.get(place).map(|heading| heading.column.clone());
        let mut time = TimeColumns::default();
        match *self {
            Way::At(at) | Way::Date(at) => time.at = column(at),
            Way::Epoch(at, form) => (time.at, time.unit) = (column(at), form),
            Way::DateClock(date, clock) => (time.date, time.clock) = (column(date), column(clock)),
            Way::DateHour(date, hour, minute) => {
                (time.date, time.hour, time.minute) = (column(date), column(hour), minute.and_then(column));
            }
            Way::Numbers([year, month, day], clock, hour, minute) => {
                (time.year, time.month, time.day) = (column(year), column(month), column(day));
                (time.clock, time.hour, time.minute) =
                    (clock.and_then(column), hour.and_then(column), minute.and_then(column));
            }
        }
        time
    }
}

/// Finds the columns of the time. `says_zone` tells whether a header names a zone or an offset.
///
/// # Errors
/// What was looked for and is not there, in words.
pub(super) fn find(headings: &[Heading], seen: &[Seen], says_zone: impl Fn(usize) -> bool) -> Result<Way, Vec<String>> {
    let part = |place: usize| headings.get(place).and_then(|heading| time_word(&heading.words));
    let whole_within = |place: usize, low: f64, high: f64| {
        let column = &seen[place];
        column.numbers > 0
            && column.whole == column.numbers
            && column.is_numeric()
            && column.low >= low
            && column.high <= high
    };
    let named = |word: TimeWord, low: f64, high: f64| {
        (0..seen.len()).find(|place| part(*place) == Some(word) && whole_within(*place, low, high))
    };
    let hour = || named(TimeWord::Hour, 0.0, 24.0).map(|hour| (hour, named(TimeWord::Minute, 0.0, 59.0)));
    let clock = || {
        (0..seen.len())
            .find(|place| seen[*place].clocks > 0 && seen[*place].clocks * 2 >= seen[*place].full)
            .or_else(|| named(TimeWord::Clock, 0.0, 2400.0))
    };
    let rank = |place: usize| {
        let column = &seen[place];
        let is_compact = part(place).is_some() && whole_within(place, 19_000_101.0, 21_001_231.0);
        if !is_compact && (column.dates == 0 || column.dates * 2 < column.full) {
            return 0;
        }
        if column.with_offset * 2 > column.dates && column.dates > 0 {
            4
        } else if column.with_time * 2 > column.dates && column.dates > 0 {
            if says_zone(place) { 3 } else { 2 }
        } else {
            1
        }
    };
    let best = (0..seen.len()).rev().max_by_key(|place| rank(*place)).filter(|place| rank(*place) > 0);
    if let Some(date) = best {
        return Ok(match (rank(date), clock(), hour()) {
            (1, Some(clock), _) => Way::DateClock(date, clock),
            (1, None, Some((hour, minute))) => Way::DateHour(date, hour, minute),
            (1, None, None) => Way::Date(date),
            _ => Way::At(date),
        });
    }
    let date = [named(TimeWord::Year, 0.0, 2200.0), named(TimeWord::Month, 1.0, 12.0), named(TimeWord::Day, 1.0, 31.0)];
    if let [Some(year), Some(month), Some(day)] = date {
        let clock = clock();
        let hour = if clock.is_none() { hour() } else { None };
        return Ok(Way::Numbers(
            [year, month, day],
            clock,
            hour.map(|(hour, _)| hour),
            hour.and_then(|(_, minute)| minute),
        ));
    }
    if let Some(way) = epoch(headings, seen) {
        return Ok(way);
    }
    Err(missing(headings, seen))
}

/// A column of seconds or milliseconds since 1970, told by their size: between 2000 and 2100.
fn epoch(headings: &[Heading], seen: &[Seen]) -> Option<Way> {
    let within = |column: &Seen, low: f64, high: f64| {
        column.is_numeric() && column.numbers > 0 && column.low >= low && column.high <= high
    };
    (0..seen.len()).find_map(|place| {
        let column = &seen[place];
        let goes_on = column.numbers >= 3 && column.rises * 10 >= (column.numbers - 1) * 9;
        if headings.get(place).and_then(|heading| time_word(&heading.words)).is_none() && !goes_on {
            return None;
        }
        if within(column, 9.46e8, 4.11e9) {
            Some(Way::Epoch(place, TimeForm::S))
        } else if within(column, 9.46e11, 4.11e12) {
            Some(Way::Epoch(place, TimeForm::Ms))
        } else {
            None
        }
    })
}

fn missing(headings: &[Heading], seen: &[Seen]) -> Vec<String> {
    let mut missing =
        vec!["a column with the date and time of each row, or columns with year, month and day".to_owned()];
    for (heading, column) in headings.iter().zip(seen) {
        let name = &heading.name;
        let is_serial = column.is_numeric() && column.numbers > 0 && column.low >= 25_569.0 && column.high <= 80_000.0;
        if time_word(&heading.words).is_some() && is_serial {
            missing.push(format!(
                "column {name:?} holds numbers such as {}: the days of a spreadsheet; save the column as dates",
                column.low
            ));
        } else if column.clocks * 2 > column.full {
            missing.push(format!("column {name:?} has the time of day; the date to it is nowhere"));
        }
    }
    missing
}
