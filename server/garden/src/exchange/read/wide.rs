//! The table: a column for each series.

use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::taker::{Objection, Taker, quantity_of};
use crate::exchange::{from_label, wide::TIME};
use crate::instant::from_rfc3339;
use crate::table::cells::{Cells, Row};
use crate::table::text::Line;
use crate::table::{AsideWhy, Misfit};
use crate::took::SeriesKey;

/// Whether a line is the header of such a table: the time, then nothing but series. Its end may be cut off.
pub(super) fn is_header(line: &str) -> bool {
    let mut cells = Cells::new(b',');
    let row = cells.split(line);
    let mut heads = row.cells();
    heads.next() == Some(TIME) && heads.next().is_none_or(|head| from_label(head).is_some())
}

/// Reads the table line by line.
pub(super) struct Reader {
    cells: Cells,
    /// The series of each column behind the time; none before the header was read.
    columns: Option<Vec<(u32, String)>>,
}

impl Default for Reader {
    fn default() -> Reader {
        Reader { cells: Cells::new(b','), columns: None }
    }
}

impl Reader {
    /// Takes a line. The error is a header that is not one of this form.
    pub(super) fn line(&mut self, line: &Line<'_>, taker: &mut Taker<'_>) -> Result<ControlFlow<()>, Misfit> {
        let row = self.cells.split(line.text);
        match &self.columns {
            None => {
                self.columns = Some(header(line, &row, taker)?);
                Ok(ControlFlow::Continue(()))
            }
            Some(columns) => Ok(read_row(line, &row, columns, taker)),
        }
    }
}

fn header(line: &Line<'_>, row: &Row<'_>, taker: &mut Taker<'_>) -> Result<Vec<(u32, String)>, Misfit> {
    let misfit = |place: usize, what: String| Misfit { key: format!("line {}, column {place}", line.number), what };
    if line.is_cut {
        return Err(misfit(
            1,
            "the header is longer than a line may be; write fewer devices into one table".to_owned(),
        ));
    }
    let mut heads = row.cells();
    match heads.next() {
        Some(TIME) => {}
        other => return Err(misfit(1, format!("{:?}; expected {TIME}", other.unwrap_or_default()))),
    }
    let mut keys: Vec<(SeriesKey, &str)> = Vec::new();
    for (k, head) in heads.enumerate() {
        let Some(key) = from_label(head) else {
            let what = format!("{head:?}; expected a head such as \"urn:dev:... air-temperature [Cel]\"");
            return Err(misfit(k + 2, what));
        };
        quantity_of(&key).map_err(|what| misfit(k + 2, what))?;
        if keys.iter().any(|(known, _)| *known == key) {
            return Err(misfit(k + 2, format!("{head:?} stands there twice; expected each series once")));
        }
        keys.push((key, head));
    }
    // Nothing is given before all heads are known to be well.
    let mut columns = Vec::new();
    for (k, (key, head)) in keys.into_iter().enumerate() {
        columns.push((taker.series(&key).map_err(|what| misfit(k + 2, what))?, head.to_owned()));
    }
    Ok(columns)
}

fn read_row(line: &Line<'_>, row: &Row<'_>, columns: &[(u32, String)], taker: &mut Taker<'_>) -> ControlFlow<()> {
    taker.row();
    let whole = |why, example| Objection { why, what: "", example };
    let refused = if row.is_blank() {
        Some(AsideWhy::Blank)
    } else if !row.is_balanced {
        Some(AsideWhy::Unbalanced)
    } else if line.is_cut || row.len() > columns.len() + 1 {
        Some(AsideWhy::Long)
    } else {
        None
    };
    if let Some(why) = refused {
        taker.aside(line.number, &whole(why, line.text));
        return ControlFlow::Continue(());
    }
    let written = row.cell(0).unwrap_or_default();
    let at = match time(written, taker) {
        Ok(at) => at,
        Err(why) => {
            taker.aside(line.number, &whole(why, written));
            return ControlFlow::Continue(());
        }
    };
    taker.row_is_read();
    for (k, (number, head)) in columns.iter().enumerate() {
        match row.cell(k + 1) {
            None => taker.aside(line.number, &Objection { why: AsideWhy::Short, what: head, example: line.text }),
            Some("") => taker.no_value(),
            Some(cell) => match number_of(cell) {
                Some(v) => taker.reading(line.number, *number, at, v, cell)?,
                None => taker.aside(line.number, &Objection { why: AsideWhy::NotANumber, what: head, example: cell }),
            },
        }
    }
    ControlFlow::Continue(())
}

fn time(written: &str, taker: &Taker<'_>) -> Result<Millis, AsideWhy> {
    let at = from_rfc3339(written).ok_or(AsideWhy::NoTime)?;
    taker.counts(at).map(|()| at)
}

/// A finite number as our forms write it: digits, not `inf` or `nan`.
pub(super) fn number_of(text: &str) -> Option<f64> {
    let begins_well = text.bytes().next().is_some_and(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+' | b'.'));
    text.parse().ok().filter(|v: &f64| begins_well && v.is_finite())
}
