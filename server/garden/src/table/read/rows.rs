//! Going through the rows of a file once.

use std::ops::ControlFlow;

use super::places::Places;
use super::{Misfit, Trouble};
use crate::table::cells::{Cells, MAX_CELLS, Row};
use crate::table::mapping::FileMapping;
use crate::table::report::AsideWhy;
use crate::table::source::Source;
use crate::table::text::{Seen, for_each_line};

/// A line behind the header.
pub(super) struct Found<'a> {
    /// Its number.
    pub line: u64,
    /// Its text as written.
    pub text: &'a str,
    /// Its cells, or why it is no row.
    pub row: Result<Row<'a>, AsideWhy>,
}

/// Gives all lines behind the header until `take` breaks off or says that the mapping does not fit.
pub(super) fn for_each_row<S: Source + ?Sized>(
    source: &S,
    mapping: &FileMapping,
    take: &mut dyn FnMut(&Places, Found<'_>) -> ControlFlow<Option<Misfit>>,
) -> Result<Seen, Trouble<S::Error>> {
    let mut cells = Cells::new(mapping.separator);
    let mut places = None;
    if mapping.header == 0 {
        places = Some(Places::find(mapping, None).map_err(Trouble::Misfit)?);
    }
    let mut broken = None;
    let seen = for_each_line(source, mapping.encoding, &mut |line| {
        let row = cells.split(line.text);
        let outcome = match &places {
            Some(places) => {
                if let Some(why) = places.contradicted_by(&row) {
                    broken = Some(Some(header_again(line.number, &why)));
                    return ControlFlow::Break(());
                }
                let row = if line.is_cut { Err(AsideWhy::Long) } else { checked(row, places) };
                take(places, Found { line: line.number, text: line.text, row })
            }
            None if line.number == u64::from(mapping.header) => match Places::find(mapping, Some(&row)) {
                Ok(found) => {
                    places = Some(found);
                    ControlFlow::Continue(())
                }
                Err(misfit) => ControlFlow::Break(Some(misfit)),
            },
            None => ControlFlow::Continue(()),
        };
        match outcome {
            ControlFlow::Continue(()) => ControlFlow::Continue(()),
            ControlFlow::Break(why) => {
                broken = Some(why);
                ControlFlow::Break(())
            }
        }
    })
    .map_err(Trouble::Source)?;
    match (broken, places) {
        (Some(Some(misfit)), _) => Err(Trouble::Misfit(misfit)),
        (Some(None), _) => Err(Trouble::Stopped),
        (None, None) => Err(Trouble::Misfit(Misfit {
            key: "header".to_owned(),
            what: format!("line {}; the file has {} lines", mapping.header, seen.lines),
        })),
        (None, Some(_)) => Ok(seen),
    }
}

fn header_again(line: u64, why: &str) -> Misfit {
    let what = format!(
        "the names of the columns stand again in line {line}, and {why}: cut the file there and take its parts in one by one"
    );
    Misfit { key: "header".to_owned(), what }
}

fn checked<'a>(row: Row<'a>, places: &Places) -> Result<Row<'a>, AsideWhy> {
    if row.is_blank() {
        return Err(AsideWhy::Blank);
    }
    if !row.is_balanced {
        return Err(AsideWhy::Unbalanced);
    }
    let width = places.width.unwrap_or(MAX_CELLS);
    let is_filled = |place: usize| row.cell(place).is_some_and(|cell| !cell.trim().is_empty());
    if row.len() > width && (row.len() > MAX_CELLS || (width..row.len()).any(is_filled)) {
        return Err(AsideWhy::Long);
    }
    Ok(row)
}
