//! In which order day, month and year stand: by all rows and by their steps.

use super::steps::Steps;
use crate::table::Order;
use crate::table::stamp::DAY_MS;
use crate::wording::grouped;

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
    /// Rows far from the row before: each jump begins with one, and where every row is a year from the last there is nothing else.
    far: u64,
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
        let known = self.held.filter(|(_, until)| is_near(ms, *until));
        self.far += u64::from(known.is_none());
        let from = known.map_or(ms, |(from, _)| from);
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
    /// Rows that are the same with day or month first: the month stands there as a word, or both are one number.
    either_way: u64,
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
        self.either_way += u64::from(read[1].is_some() && read[1] == read[2]);
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
        let is_moot = self.either_way == self.dates;
        let possible: Vec<Order> = [Order::Dmy, Order::Mdy, Order::Ymd]
            .into_iter()
            .filter(|order| fits(*order) && !(is_moot && *order == Order::Mdy))
            .collect();
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
            Order::Dmy if self.either_way == self.dates => "day and month cannot be taken for each other".to_owned(),
            Order::Dmy => format!("day before month: {n} rows have 13 to 31 in the first place, none in the second"),
            Order::Mdy => format!("month before day: {n} rows have 13 to 31 in the second place, none in the first"),
        }
    }

    /// The order in which the rows go on steadily where another would make them jump.
    fn by_steps(&self, possible: &[Order], steps: &[Steps; 3]) -> Option<(Order, String)> {
        let jumps = |order: Order| self.courses[order as usize].far;
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
