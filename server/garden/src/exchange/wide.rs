//! A table with a column for each series and a row for each instant that any of them has.

use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::Outlet;
use super::cells::Cells;
use crate::instant::to_rfc3339;

/// Head of the first column.
pub(super) const TIME: &str = "time_utc";

/// The line of heads: the time, then one for each series.
pub fn wide_header<'a>(labels: impl IntoIterator<Item = &'a str>, out: &mut Outlet<'_>) -> ControlFlow<()> {
    let mut cells = Cells::new(out);
    cells.plain(TIME);
    for label in labels {
        cells.text(label);
    }
    cells.end()
}

/// The rows of a stretch of time, from the readings of each column in it, ascending and each instant once. A column that has nothing at an instant
/// has an empty cell there: nothing is filled.
pub fn wide_rows(runs: &[impl AsRef<[(Millis, f64)]>], out: &mut Outlet<'_>) -> ControlFlow<()> {
    let mut rests: Vec<&[(Millis, f64)]> = runs.iter().map(AsRef::as_ref).collect();
    while let Some(at) = rests.iter().filter_map(|rest| rest.first()).map(|(t, _)| *t).min() {
        let mut cells = Cells::new(out);
        cells.plain(to_rfc3339(at));
        for rest in &mut rests {
            match rest.split_first() {
                Some(((t, v), more)) if *t == at => {
                    cells.number(*v);
                    *rest = more;
                }
                _ => cells.maybe(None),
            }
        }
        cells.end()?;
    }
    ControlFlow::Continue(())
}
