//! What stands in each column, by all rows.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use super::layout::{Layout, Look, look};
use crate::table::cells::{Cells, Row};
use crate::table::stamp::Written;
use crate::table::text::for_each_line;
use crate::table::{Decimal, Encoding, Source, number};

/// Columns behind this one are not looked at.
pub(super) const MOST_COLUMNS: usize = 512;

/// Different texts of a column that are counted; a column with more has too many to be names of devices.
pub(super) const MOST_TEXTS: usize = 64;

/// Texts up to this many bytes are counted.
const LONGEST_TEXT: usize = 40;

/// Values of a column that are kept for its quantiles.
const MOST_KEPT: usize = 1024;

/// One column.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    /// Cells with something in them.
    pub full: u64,
    pub numbers: u64,
    /// Of the numbers, those without a decimal sign.
    pub whole: u64,
    /// Dates that can be read, alone or with a time of day behind them; of these, those with a time, and those with their own offset too.
    pub dates: u64,
    pub with_time: u64,
    pub with_offset: u64,
    pub clocks: u64,
    pub texts: u64,
    pub low: f64,
    pub high: f64,
    /// How often each text or whole number stands there, until there are too many.
    pub each: BTreeMap<Box<str>, u64>,
    pub has_too_many: bool,
    /// Steps from one number to the next.
    pub rises: u64,
    pub falls: u64,
    /// Rises by exactly 1.
    pub by_one: u64,
    /// Falls to 0, or nearly.
    pub resets: u64,
    last: Option<f64>,
    kept: Vec<f64>,
    stride: u64,
}

impl Seen {
    /// The value below which the share `share` (0 to 1) of the numbers lies, nearly.
    pub(super) fn quantile(&self, share: f64) -> Option<f64> {
        let mut kept = self.kept.clone();
        kept.sort_by(f64::total_cmp);
        let place = (share * (kept.len().checked_sub(1)? as f64)).round();
        kept.get(place as usize).copied()
    }

    /// The mean of the kept values between the 5th and 95th of a hundred, which a broken wire does not move.
    pub(super) fn middle(&self) -> Option<f64> {
        let (low, high) = (self.quantile(0.05)?, self.quantile(0.95)?);
        let (sum, n) = self
            .kept
            .iter()
            .filter(|value| (low..=high).contains(*value))
            .fold((0.0, 0_u32), |(sum, n), value| (sum + value, n + 1));
        (n > 0).then(|| sum / f64::from(n))
    }

    /// The mean of the kept values.
    pub(super) fn mean(&self) -> Option<f64> {
        (!self.kept.is_empty()).then(|| self.kept.iter().sum::<f64>() / self.kept.len() as f64)
    }

    /// The share of the kept values for which `holds`.
    pub(super) fn share(&self, holds: impl Fn(f64) -> bool) -> f64 {
        match self.kept.len() {
            0 => 0.0,
            n => self.kept.iter().filter(|value| holds(**value)).count() as f64 / n as f64,
        }
    }

    /// Whether what stands there is numbers, but for words that mean "no value" and a few others.
    pub(super) fn is_numeric(&self) -> bool {
        self.numbers > 0 && self.numbers * 2 >= self.full.saturating_sub(self.missing_words())
    }

    /// Cells with a word that means "no value".
    pub(super) fn missing_words(&self) -> u64 {
        self.words_for_nothing().map(|(_, times)| times).sum()
    }

    /// Words that mean "no value": those that loggers write for it, and any other that stands in 20 cells and more where numbers belong.
    pub(super) fn words_for_nothing(&self) -> impl Iterator<Item = (&str, u64)> {
        let is_word = |text: &str| look(text) == Look::Text;
        let has_numbers = self.numbers * 10 >= self.full;
        self.each
            .iter()
            .map(|(text, times)| (&**text, *times))
            .filter(move |(text, times)| is_missing_word(text) || (*times >= 20 && has_numbers && is_word(text)))
    }

    /// Whether it is the same in every row.
    pub(super) fn is_constant(&self) -> bool {
        if self.numbers == self.full { self.low == self.high } else { self.each.len() == 1 && !self.has_too_many }
    }

    /// Whether it counts the rows.
    pub(super) fn counts_rows(&self) -> bool {
        self.full >= 3 && self.whole == self.full && self.by_one * 10 >= (self.full - 1) * 9
    }

    /// Whether it runs up through hours and begins anew at 0, or never falls at all.
    pub(super) fn accumulates(&self) -> bool {
        self.full >= 24
            && self.rises > 2
            && self.resets * 10 <= self.rises
            && (self.falls - self.resets) * 50 <= self.rises
    }

    fn take(&mut self, cell: &str, decimal: Decimal) {
        let cell = cell.trim();
        let seen = look(cell);
        if seen == Look::Empty {
            return;
        }
        self.full += 1;
        let is_number = match seen {
            Look::Whole => true,
            Look::Point => decimal == Decimal::Point,
            Look::Comma => decimal == Decimal::Comma,
            _ => false,
        };
        if is_number && let Some(value) = number(cell, decimal) {
            self.take_number(value);
            self.whole += u64::from(seen == Look::Whole);
            if seen != Look::Whole {
                self.forget_numbers();
            }
            if self.has_too_many {
                return;
            }
        } else {
            match (seen, Written::parse(cell)) {
                (Look::Clock, _) => self.clocks += 1,
                (_, Some(written)) => {
                    self.dates += 1;
                    self.with_time += u64::from(written.time_ms.is_some());
                    self.with_offset += u64::from(written.offset_ms.is_some());
                }
                _ => self.texts += 1,
            }
        }
        self.count_text(cell);
    }

    fn count_text(&mut self, cell: &str) {
        if let Some(times) = self.each.get_mut(cell) {
            *times += 1;
            return;
        }
        if !self.has_too_many && (self.each.len() >= MOST_TEXTS || cell.len() > LONGEST_TEXT) {
            self.forget_numbers();
        }
        let is_kept = !self.has_too_many || look(cell) == Look::Text;
        if is_kept && self.each.len() < MOST_TEXTS && cell.len() <= LONGEST_TEXT {
            self.each.insert(cell.into(), 1);
        }
    }

    /// There are too many different texts for names of devices: only words are counted from now on.
    fn forget_numbers(&mut self) {
        if !std::mem::replace(&mut self.has_too_many, true) {
            self.each.retain(|text, _| look(text) == Look::Text);
        }
    }

    fn take_number(&mut self, value: f64) {
        if self.numbers == 0 {
            (self.low, self.high, self.stride) = (value, value, 1);
        }
        self.low = self.low.min(value);
        self.high = self.high.max(value);
        if self.numbers.is_multiple_of(self.stride.max(1)) {
            if self.kept.len() >= MOST_KEPT {
                let mut place = 0_usize;
                self.kept.retain(|_| {
                    place += 1;
                    place % 2 == 1
                });
                self.stride *= 2;
            }
            if self.numbers.is_multiple_of(self.stride.max(1)) {
                self.kept.push(value);
            }
        }
        self.numbers += 1;
        if let Some(last) = self.last {
            self.rises += u64::from(value > last);
            self.falls += u64::from(value < last);
            self.by_one += u64::from(value - last == 1.0);
            self.resets += u64::from(value < last && value.abs() <= 0.02 * self.high.abs());
        }
        self.last = Some(value);
    }
}

/// Whether a text is one of those that loggers write where they have no value.
pub(super) fn is_missing_word(text: &str) -> bool {
    const WORDS: &[&str] = &[
        "na",
        "n/a",
        "nan",
        "null",
        "none",
        "no record",
        "no data",
        "nodata",
        "missing",
        "-",
        "--",
        "---",
        "?",
        "*",
        "#n/a",
        "nil",
        "err",
        "error",
        "k.a.",
        "keine daten",
    ];
    WORDS.iter().any(|word| word.eq_ignore_ascii_case(text))
}

/// All columns of a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Survey {
    pub columns: Vec<Seen>,
    /// Rows with something in them.
    pub rows: u64,
}

/// Looks at every row below `header`.
///
/// # Errors
/// What the source says.
pub(super) fn survey<S: Source + ?Sized>(
    source: &S,
    encoding: Encoding,
    layout: &Layout,
    header: u64,
) -> Result<Survey, S::Error> {
    let mut survey = Survey::default();
    for_each_row(source, encoding, layout, header, &mut |_, row| {
        survey.rows += 1;
        let cells = row.len().min(MOST_COLUMNS).min(layout.cells);
        if survey.columns.len() < cells {
            survey.columns.resize_with(cells, Seen::default);
        }
        for (cell, seen) in row.cells().zip(&mut survey.columns) {
            seen.take(cell, layout.decimal);
        }
    })?;
    survey.columns.resize_with(layout.cells.min(MOST_COLUMNS), Seen::default);
    Ok(survey)
}

/// Gives every row that is not blank, with the number of its line.
///
/// # Errors
/// What the source says.
pub(super) fn for_each_row<S: Source + ?Sized>(
    source: &S,
    encoding: Encoding,
    layout: &Layout,
    header: u64,
    take: &mut dyn FnMut(u64, Row<'_>),
) -> Result<(), S::Error> {
    let mut splitter = Cells::new(layout.separator as u8);
    let from = header.max(layout.first_row.saturating_sub(1));
    for_each_line(source, encoding, &mut |line| {
        if line.number > from {
            let row = splitter.split(line.text);
            if row.len() >= 2 && !row.is_blank() {
                take(line.number, row);
            }
        }
        ControlFlow::Continue(())
    })?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(cells: &[&str]) -> Seen {
        let mut seen = Seen::default();
        for cell in cells {
            seen.take(cell, Decimal::Point);
        }
        seen
    }

    #[test]
    fn column_of_numbers_and_missing_words() {
        let seen = column(&["39.02", "NA", "", "40.5", "NA", "NA", "NA"]);
        assert_eq!((seen.full, seen.numbers, seen.texts, seen.missing_words()), (6, 2, 4, 4));
        assert!(seen.is_numeric());
        assert_eq!((seen.low, seen.high), (39.02, 40.5));
    }

    #[test]
    fn column_that_counts_or_accumulates_is_known() {
        let count: Vec<String> = (1..30).map(|n| n.to_string()).collect();
        assert!(column(&count.iter().map(String::as_str).collect::<Vec<_>>()).counts_rows());
        let day: Vec<String> = (0..100).map(|n| ((n % 25) * 30).to_string()).collect();
        assert!(column(&day.iter().map(String::as_str).collect::<Vec<_>>()).accumulates());
        let rain: Vec<String> = (0..100).map(|n| if n % 7 == 0 { "0.2" } else { "0" }.to_owned()).collect();
        assert!(!column(&rain.iter().map(String::as_str).collect::<Vec<_>>()).accumulates());
    }

    #[test]
    fn quantile_of_a_long_column_is_near_and_small() {
        let mut seen = Seen::default();
        for n in 0..100_000_u32 {
            seen.take(&n.to_string(), Decimal::Point);
        }
        assert!(seen.kept.len() <= MOST_KEPT);
        let median = seen.quantile(0.5).unwrap();
        assert!((median - 50_000.0).abs() < 500.0, "{median}");
        assert!(seen.each.is_empty());
    }
}
