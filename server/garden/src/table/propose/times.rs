//! Which columns are the time of a row, and in which order day, month and year stand: by all rows and by their steps.

use std::collections::BTreeMap;

use super::encoding::grouped;
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
            RowTime::Dated(written, more) => match written.moment(order)? {
                Moment::Local(ms) => Some(ms + more),
                Moment::Instant(at) => Some(at.0 + more),
            },
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

/// How the rows go on with the date read in one order, or in either by the step.
#[derive(Clone, Debug, Default)]
struct Course {
    last: Option<i64>,
    /// Rows far from the last one, which may be a jump: their first and their last time.
    held: Option<(i64, i64)>,
    /// Rows that this order cannot read although another can.
    misfits: u64,
    first_misfit: u64,
    /// Jumps of more than 20 days ahead or a day back, from which the rows then go on: as they come where day and month are mistaken. A few rows
    /// far from all others are none.
    jumps: u64,
}

/// So long must rows go on behind a jump for it to count.
const CONFIRMED_MS: i64 = DAY_MS / 8;

fn is_near(ms: i64, to: i64) -> bool {
    (-DAY_MS..=20 * DAY_MS).contains(&(ms - to))
}

impl Course {
    fn step(&mut self, ms: i64) {
        if self.last.is_none_or(|last| is_near(ms, last)) {
            (self.last, self.held) = (Some(ms), None);
            return;
        }
        let from = self.held.filter(|(_, until)| is_near(ms, *until)).map_or(ms, |(from, _)| from);
        self.held = Some((from, ms));
        if ms - from >= CONFIRMED_MS {
            self.jumps += 1;
            (self.last, self.held) = (Some(ms), None);
        }
    }

    /// Which of two readings of a row goes on from the rows before.
    fn nearer(&self, own: i64, other: i64) -> i64 {
        for to in [self.last, self.held.map(|(_, until)| until)].into_iter().flatten() {
            let both = [own, other].into_iter().filter(|ms| is_near(*ms, to)).min_by_key(|ms| (ms - to).abs());
            if let Some(near) = both {
                return near;
            }
        }
        own
    }
}

/// Gathers, row by row, what tells the order.
#[derive(Clone, Debug, Default)]
pub(super) struct OrderEvidence {
    courses: [Course; 3],
    /// Each row read in the order that makes the smaller step, beginning with dmy or with mdy.
    either: [Course; 2],
    swapped: [(u64, u64, u64); 2],
    dates: u64,
    dotted: u64,
    /// Rows that only one order can read.
    only: [u64; 3],
}

/// The order found.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct FoundOrder {
    pub order: Order,
    pub mixed: bool,
    /// Whether nothing tells it: then it is the likeliest.
    pub is_open: bool,
    pub possible: Vec<Order>,
    pub why: String,
}

impl OrderEvidence {
    /// Takes a row's time, read in each order, and the text of its date.
    pub(super) fn take(&mut self, line: u64, read: [Option<i64>; 3], cell: &str) {
        let possible = read.iter().flatten().count();
        if possible == 0 {
            return;
        }
        self.dates += 1;
        self.dotted += u64::from(cell.trim_start().bytes().find(|byte| !byte.is_ascii_digit()) == Some(b'.'));
        for (place, ms) in read.into_iter().enumerate() {
            match ms {
                Some(ms) => {
                    self.courses[place].step(ms);
                    self.only[place] += u64::from(possible == 1);
                }
                None => {
                    self.courses[place].misfits += 1;
                    if self.courses[place].first_misfit == 0 {
                        self.courses[place].first_misfit = line;
                    }
                }
            }
        }
        for (place, first) in [1, 2].into_iter().enumerate() {
            let (own, other) = (read[first], read[3 - first]);
            let course = &mut self.either[place];
            let (ms, is_swapped) = match (own, other) {
                (Some(own), Some(other)) => {
                    let ms = course.nearer(own, other);
                    (ms, ms != own)
                }
                (Some(own), None) => (own, false),
                (None, Some(other)) => (other, true),
                (None, None) => {
                    course.misfits += 1;
                    continue;
                }
            };
            course.step(ms);
            if is_swapped {
                let (times, from, until) = &mut self.swapped[place];
                *times += 1;
                if *from == 0 {
                    *from = line;
                }
                *until = line;
            }
        }
    }

    /// Decides. `told` is what a person said; `step_is_short` whether rows usually follow within hours.
    pub(super) fn decide(&self, told: Option<Order>, steps: &[Steps; 3]) -> FoundOrder {
        let fits = |order: Order| self.courses[order as usize].misfits == 0;
        let possible: Vec<Order> =
            [Order::Dmy, Order::Mdy, Order::Ymd].into_iter().filter(|order| fits(*order)).collect();
        let found = |order: Order, mixed: bool, why: String| FoundOrder {
            order,
            mixed,
            is_open: false,
            possible: possible.clone(),
            why,
        };
        let best = Order::ALL
            .into_iter()
            .min_by_key(|order| {
                let course = &self.courses[*order as usize];
                (course.misfits.saturating_mul(4) + course.jumps, *order)
            })
            .unwrap_or_default();
        if let Some(mixed) = self.mixed(told.unwrap_or(best)) {
            return found(mixed.0, true, mixed.1);
        }
        if let Some(order) = told {
            return found(order, false, "you said so".to_owned());
        }
        match possible.as_slice() {
            [only] => return found(*only, false, self.only_one(*only)),
            [] => {
                let course = &self.courses[best as usize];
                let why = format!(
                    "{} of {} rows can be read so, more than in any other order; the first of the others is line {}",
                    grouped(self.dates - course.misfits),
                    grouped(self.dates),
                    grouped(course.first_misfit)
                );
                return found(best, false, why);
            }
            _ => {}
        }
        if let Some(decided) = self.by_steps(&possible, steps) {
            return found(decided.0, false, decided.1);
        }
        if self.dotted == self.dates && possible.contains(&Order::Dmy) {
            return found(Order::Dmy, false, "dates written with dots put the day first".to_owned());
        }
        let likeliest = [Order::Dmy, Order::Mdy, Order::Ymd].into_iter().find(|order| possible.contains(order));
        FoundOrder { is_open: true, ..found(likeliest.unwrap_or(best), false, String::new()) }
    }

    fn only_one(&self, order: Order) -> String {
        let n = grouped(self.only[order as usize]);
        match order {
            Order::Ymd => "the year stands first".to_owned(),
            Order::Dmy => format!("day before month: {n} rows have 13 to 31 in the first place, none in the second"),
            Order::Mdy => format!("month before day: {n} rows have 13 to 31 in the second place, none in the first"),
        }
    }

    /// The order in which the rows go on steadily where another would make them jump.
    fn by_steps(&self, possible: &[Order], steps: &[Steps; 3]) -> Option<(Order, String)> {
        let jumps = |order: Order| self.courses[order as usize].jumps;
        let best = *possible.iter().min_by_key(|order| jumps(**order))?;
        let next = possible.iter().filter(|order| **order != best).map(|order| jumps(*order)).min()?;
        let is_short = steps[best as usize].median_s().is_some_and(|step| step <= 6 * 3600);
        let is_clear = if is_short { next > jumps(best) * 3 } else { next >= 3 + jumps(best) * 3 };
        is_clear.then(|| {
            let why = format!(
                "{}: so the rows go on steadily (jumps of weeks: {}; in the other order: {})",
                words_of(best),
                grouped(jumps(best)),
                grouped(next)
            );
            (best, why)
        })
    }

    /// Whether day and month change places within the file.
    fn mixed(&self, first: Order) -> Option<(Order, String)> {
        let single = [Order::Dmy, Order::Mdy].map(|order| &self.courses[order as usize]);
        let order = if first == Order::Ymd { Order::Dmy } else { first };
        let place = usize::from(order == Order::Mdy);
        let (either, (times, from, until)) = (&self.either[place], self.swapped[place]);
        if self.dates < 20 || either.misfits > 0 || times == 0 {
            return None;
        }
        let is_torn = single.iter().all(|course| course.misfits > 0) && self.courses[0].misfits > 0;
        let worst = self.courses[order as usize].jumps;
        // Changing places must explain nearly all jumps, or else it explains nothing.
        let explains = worst >= 3 && either.jumps * 3 <= worst;
        (is_torn || explains).then(|| {
            let why = format!(
                "{} in most rows; in {} rows between line {} and line {} day and month have changed places: read so, the time goes on \
                 (jumps of weeks: {} instead of {})",
                words_of(order),
                grouped(times),
                grouped(from),
                grouped(until),
                grouped(either.jumps),
                grouped(worst)
            );
            (order, why)
        })
    }
}

/// An order in words.
pub(super) fn words_of(order: Order) -> &'static str {
    match order {
        Order::Ymd => "year, month, day",
        Order::Dmy => "day before month",
        Order::Mdy => "month before day",
    }
}

/// How long the steps between rows are, by how often each length comes.
#[derive(Clone, Debug, Default)]
pub(super) struct Steps {
    last: Option<i64>,
    each: BTreeMap<i64, u64>,
    /// Steps of 0.
    pub same: u64,
    pub rows: u64,
    pub first: Option<i64>,
    /// Lowest and highest time.
    pub span: Option<(i64, i64)>,
}

impl Steps {
    /// Takes the time of the next row, in milliseconds.
    pub(super) fn take(&mut self, ms: i64) {
        self.rows += 1;
        self.first.get_or_insert(ms);
        self.span = Some(self.span.map_or((ms, ms), |(low, high)| (low.min(ms), high.max(ms))));
        if let Some(last) = self.last.replace(ms) {
            let step = (ms - last) / 1000;
            self.same += u64::from(ms == last);
            // 512 lengths are more than any logger has; a file of random times does not grow the table.
            if step > 0 && (self.each.len() < 512 || self.each.contains_key(&step)) {
                *self.each.entry(step).or_default() += 1;
            }
        }
    }

    /// The step that half of the steps do not exceed, in seconds.
    pub(super) fn median_s(&self) -> Option<i64> {
        let all: u64 = self.each.values().sum();
        let mut so_far = 0;
        self.each
            .iter()
            .find(|(_, times)| {
                so_far += **times;
                so_far * 2 >= all
            })
            .map(|(step, _)| *step)
    }

    /// The step that comes most often.
    pub(super) fn usual_s(&self) -> Option<i64> {
        self.each.iter().max_by_key(|(step, times)| (**times, -**step)).map(|(step, _)| *step)
    }

    /// From the lowest to the highest time, in days.
    pub(super) fn days(&self) -> f64 {
        self.span.map_or(0.0, |(low, high)| (high - low) as f64 / DAY_MS as f64)
    }
}
