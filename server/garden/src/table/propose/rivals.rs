//! Other columns with whole times of their own: whether they tell what the chosen one tells, or are the time of something else.

use std::collections::BTreeSet;

use super::file::File;
use super::order::FoundOrder;
use super::times::Way;
use super::{Hints, Question};
use crate::table::Source;
use crate::table::cells::Row;
use crate::table::stamp::Written;

/// Two columns that tell one time by two clocks are a whole number of quarters of an hour apart, at most so many milliseconds: from -12 to +14 hours
/// are kept on earth.
const FARTHEST_MS: i64 = 26 * 60 * 60_000;
const QUARTER_MS: i64 = 15 * 60_000;
/// A clock that is put forth and back has two offsets, in two seasons; half a year's change of zone besides makes four.
const MOST_OFFSETS: usize = 4;

/// Another column with whole times.
#[derive(Clone, Debug)]
pub(super) struct Rival {
    place: usize,
    /// Rows in which both can be read.
    rows: u64,
    /// Rows in which they differ, and by how much.
    differing: u64,
    first_line: u64,
    apart: BTreeSet<i64>,
}

impl Rival {
    pub(super) fn new(place: usize) -> Rival {
        Rival { place, rows: 0, differing: 0, first_line: 0, apart: BTreeSet::new() }
    }

    /// Takes a row whose time in the chosen column is `ms`.
    pub(super) fn take(&mut self, line: u64, row: &Row<'_>, order: &FoundOrder, ms: i64) {
        let written = row.cell(self.place).and_then(Written::parse);
        let Some(own) = written.and_then(|written| Way::dated_ms(&written, order.order)) else { return };
        self.rows += 1;
        if own == ms {
            return;
        }
        self.differing += 1;
        if self.first_line == 0 {
            self.first_line = line;
        }
        if self.apart.len() <= MOST_OFFSETS {
            self.apart.insert(own - ms);
        }
    }

    /// Whether its times can be those of the chosen column by another clock.
    fn is_another_clock(&self) -> bool {
        self.apart.len() <= MOST_OFFSETS && self.apart.iter().all(|ms| ms.abs() <= FARTHEST_MS && ms % QUARTER_MS == 0)
    }
}

impl<S: Source + ?Sized> File<'_, S> {
    /// The other columns with whole times.
    pub(super) fn rivals(&self) -> Vec<Rival> {
        let Way::At(chosen) = self.way else { return Vec::new() };
        let is_rival = |place: &usize| {
            let seen = &self.survey.columns[*place];
            *place != chosen && seen.dates > 0 && seen.with_time * 2 > seen.full
        };
        (0..self.headings.len().min(self.survey.columns.len())).filter(is_rival).map(Rival::new).collect()
    }

    /// What has to be asked where two columns hold times that are not one time by two clocks.
    pub(super) fn ask_time(&self, rivals: &[Rival], hints: &Hints) -> Option<Question> {
        let Way::At(chosen) = self.way else { return None };
        let name = |place: usize| self.headings[place].column.to_string();
        if hints.time.as_ref().is_some_and(|told| *told == name(chosen)) {
            return None;
        }
        let plain = |place: usize| name(place).split('#').next().unwrap_or_default().to_owned();
        let rival = rivals
            .iter()
            .find(|rival| rival.differing > 0 && (!rival.is_another_clock() || plain(rival.place) == plain(chosen)))?;
        Some(Question {
            key: "time".to_owned(),
            asks: format!(
                "{:?} and {:?} hold different times: which is the time of all values that are to be read?",
                name(chosen),
                name(rival.place)
            ),
            choices: vec![name(chosen), name(rival.place)],
            evidence: format!(
                "they differ in {} of {} rows, first in line {}; values with another time belong into a file of their own",
                rival.differing, rival.rows, rival.first_line
            ),
        })
    }

    /// The column that a person named as the time, if it holds whole times.
    pub(super) fn time_told(&self) -> Option<Way> {
        let told = self.hints.time.as_ref()?;
        let place = self.headings.iter().position(|heading| heading.column.to_string() == *told)?;
        let seen = self.survey.columns.get(place)?;
        (seen.dates * 2 > seen.full && seen.with_time > 0).then_some(Way::At(place))
    }
}
