//! What all three forms do with a reading: look whether it can be meant, number its series, hand it on, and keep count.

use core::ops::ControlFlow;
use std::collections::HashMap;

use propstick_wire::{Millis, Quantity};

use super::seen::Seen;
use crate::decode::AHEAD_ALLOWED_MS;
use crate::table::report::MAX_ENTRIES;
use crate::table::{Aside, AsideWhy, Caution, Piece, Reading, Report, SampleRow, SeriesReport};
use crate::took::SeriesKey;

/// So many readings are handed on at a time.
const BATCH: usize = 4096;
/// So many rows are shown as they were understood.
const SAMPLE_ROWS: usize = 5;
/// 1900-01-01T00:00:00Z.
const EARLIEST: Millis = Millis(-2_208_988_800_000);
/// At most so many characters of what stood in a cell are shown.
const SHOWN: usize = 60;

/// A reading that was set aside: why, which column or record, what stood there.
pub(super) struct Objection<'a> {
    pub(super) why: AsideWhy,
    pub(super) what: &'a str,
    pub(super) example: &'a str,
}

pub(super) struct Taker<'t> {
    now: Millis,
    take: &'t mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
    numbers: HashMap<SeriesKey, u32>,
    series: Vec<(SeriesKey, Quantity, Seen)>,
    batch: Vec<Reading>,
    report: Report,
    is_stopped: bool,
}

impl<'t> Taker<'t> {
    pub(super) fn new(now: Millis, take: &'t mut dyn FnMut(Piece<'_>) -> ControlFlow<()>) -> Taker<'t> {
        Taker {
            now,
            take,
            numbers: HashMap::new(),
            series: Vec::new(),
            batch: Vec::with_capacity(BATCH),
            report: Report::default(),
            is_stopped: false,
        }
    }

    /// The number of a series, given the first time it is met. `Err` says what is wrong with it.
    pub(super) fn series(&mut self, key: &SeriesKey) -> Result<u32, String> {
        if let Some(number) = self.numbers.get(key) {
            return Ok(*number);
        }
        let quantity = quantity_of(key)?;
        let number = u32::try_from(self.series.len()).map_err(|_| "too many series".to_owned())?;
        self.numbers.insert(key.clone(), number);
        self.series.push((key.clone(), quantity, Seen::default()));
        if !self.is_stopped && (self.take)(Piece::Series(key)).is_break() {
            self.is_stopped = true;
        }
        Ok(number)
    }

    /// One row of the file.
    pub(super) fn row(&mut self) {
        self.report.rows += 1;
    }

    /// That row has a time that counts.
    pub(super) fn row_is_read(&mut self) {
        self.report.rows_read += 1;
    }

    /// A cell without a value.
    pub(super) fn no_value(&mut self) {
        self.report.no_value += 1;
    }

    /// Whether an instant counts.
    pub(super) fn counts(&self, at: Millis) -> Result<(), AsideWhy> {
        if at < EARLIEST {
            Err(AsideWhy::NoTime)
        } else if at > self.now.plus(AHEAD_ALLOWED_MS) {
            Err(AsideWhy::Future)
        } else {
            Ok(())
        }
    }

    /// A reading whose time counts. `written` is what stood there.
    pub(super) fn reading(&mut self, line: u64, number: u32, at: Millis, v: f64, written: &str) -> ControlFlow<()> {
        let Some((key, quantity, seen)) = self.series.get_mut(number as usize) else {
            return ControlFlow::Continue(());
        };
        let (low, high) = quantity.hard_range();
        if quantity.to_base(v, &key.unit_sent).is_none_or(|base| !(low..=high).contains(&base)) {
            let what = key.channel.clone();
            self.aside(line, &Objection { why: AsideWhy::OutOfRange, what: &what, example: written });
            return ControlFlow::Continue(());
        }
        if let Some(back_ms) = seen.add(at, v) {
            let caution = format!("the time goes back, first by {}", said(back_ms));
            self.caution(line, "the time goes back", &caution);
        }
        self.report.readings += 1;
        self.show(line, number, at, v);
        self.batch.push(Reading { series: number, t: at, v });
        if self.batch.len() == BATCH { self.hand_on() } else { ControlFlow::Continue(()) }
    }

    /// Something that was set aside.
    pub(super) fn aside(&mut self, line: u64, found: &Objection<'_>) {
        let list = &mut self.report.aside;
        if let Some(known) = list.iter_mut().find(|a| a.why == found.why && a.what == found.what) {
            known.times += 1;
            return;
        }
        let is_full = list.len() >= MAX_ENTRIES;
        if is_full && let Some(others) = list.iter_mut().find(|a| a.why == AsideWhy::Others) {
            others.times += 1;
            return;
        }
        list.push(Aside {
            why: if is_full { AsideWhy::Others } else { found.why },
            what: if is_full { String::new() } else { found.what.to_owned() },
            times: 1,
            first_line: line,
            example: found.example.chars().take(SHOWN).collect(),
        });
    }

    fn caution(&mut self, line: u64, begins: &str, says: &str) {
        match self.report.cautions.iter_mut().find(|c| c.says.starts_with(begins)) {
            Some(known) => known.times += 1,
            None => self.report.cautions.push(Caution { says: says.to_owned(), times: 1, first_line: line }),
        }
    }

    fn show(&mut self, line: u64, number: u32, at: Millis, v: f64) {
        let sample = &mut self.report.sample;
        let is_same_row = sample.last().is_some_and(|row| row.line == line && row.at == at);
        if !is_same_row {
            if sample.len() == SAMPLE_ROWS {
                return;
            }
            sample.push(SampleRow { line, at, values: Vec::new() });
        }
        if let (Some(row), Some((key, ..))) = (sample.last_mut(), self.series.get(number as usize)) {
            row.values.push((key.channel.clone(), v, key.unit_sent.clone()));
        }
    }

    fn hand_on(&mut self) -> ControlFlow<()> {
        if !self.batch.is_empty() && !self.is_stopped && (self.take)(Piece::Readings(&self.batch)).is_break() {
            self.is_stopped = true;
        }
        self.batch.clear();
        if self.is_stopped { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }

    /// The report; none where the taker broke off.
    pub(super) fn end(mut self, lines: u64) -> Option<Report> {
        let _ = self.hand_on();
        if self.is_stopped {
            return None;
        }
        let mut report = self.report;
        report.lines = lines;
        for (key, _, seen) in &self.series {
            let found = seen.report();
            report.first = [report.first, found.first].into_iter().flatten().min();
            report.last = report.last.max(found.last);
            report.series.push(SeriesReport {
                device: key.device.clone(),
                channel: key.channel.clone(),
                unit: key.unit_sent.clone(),
                kind: key.kind,
                ..found
            });
        }
        Some(report)
    }
}

/// What a series measures; the error says why it cannot be one.
pub(super) fn quantity_of(key: &SeriesKey) -> Result<Quantity, String> {
    let Some((quantity, _)) = Quantity::from_channel(&key.channel) else {
        return Err(format!("{:?} is no channel; expected one such as \"air-temperature\"", key.channel));
    };
    if quantity.accepts_unit(&key.unit_sent) {
        return Ok(quantity);
    }
    let allowed: Vec<&str> = quantity.units().collect();
    let name = quantity.name();
    Err(format!("{:?} is no unit of {name}; expected one of {}", key.unit_sent, allowed.join(", ")))
}

fn said(ms: i64) -> String {
    match ms {
        60_000.. => format!("{} min", ms / 60_000),
        _ => format!("{} s", ms as f64 / 1_000.0),
    }
}
