//! Days of the structures, from the hours that are worked out.

use std::ops::ControlFlow;
use std::path::Path;

use chrono::{Days, NaiveDate};
use propstick_garden::exchange::{DayColumns, DayOfStructure, Outlet};
use propstick_garden::fold::{DayKind, DaySpan, T_ERROR_C, WantedDegreeDays, date_of};
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::{ExportError, Give, Stretch};
use crate::season::days::days_of;
use crate::store::derived::Hours;
use crate::store::folder::{derived_path, readings_path};
use crate::store::{Readings, StoreError, placed};

/// So many days are held at once.
const AT_ONCE: usize = 62;

/// Which days are asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct DaysAsked {
    /// From when until before when: days that begin in it.
    pub stretch: Stretch,
    /// Which kind of days.
    pub kind: DayKind,
    /// Which degree-days.
    pub wanted: WantedDegreeDays,
}

/// What was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DaysTold {
    /// Rows.
    pub days: u64,
    /// Whether some readings have not been worked out yet.
    pub is_behind: bool,
}

/// Writes the days of every structure that has a lead spot, from its first reading to its last or until `now`.
///
/// # Errors
/// A folder without garden or without figures; a store that cannot be read.
pub fn days(folder: &Path, asked: &DaysAsked, now: Millis, give: Give<'_>) -> Result<DaysTold, ExportError> {
    super::must_have_readings(folder)?;
    let garden = super::garden(folder)?;
    if !derived_path(folder).is_file() {
        let what = format!("{}: its figures are not worked out; start `propstick serve` on it once", folder.display());
        return Err(ExportError::Asked(what));
    }
    let (readings, hours) = (Readings::open(&readings_path(folder))?, Hours::of_folder(folder)?);
    let columns = DayColumns { wanted: asked.wanted.clone(), error_c: T_ERROR_C };
    let mut out = Outlet::new(give);
    let is_behind = hours.done()? < readings.newest_generation()?;
    let mut told = DaysTold { days: 0, is_behind };
    if columns.header(&mut out).is_break() {
        return Ok(told);
    }
    for structure in &garden.structures {
        let Some(spot) = garden.lead_spot(structure) else { continue };
        let Some(extent) = extent(&readings, &garden, &spot.slug)? else { continue };
        let spans = spans(&garden, asked, extent, now);
        for spans in spans.chunks(AT_ONCE) {
            for day in days_of(&hours, &garden, structure, asked.kind, spans, &asked.wanted, now)? {
                let row = DayOfStructure {
                    date: day.span.date,
                    structure: &structure.slug,
                    kind: asked.kind,
                    hours: day.span.hours(),
                    is_final: day.is_final,
                    figures: day.figures,
                    wet_hours: day.wet_hours,
                    frost_hours: day.frost_hours,
                    light_mol_m2: day.light_mol_m2,
                    degree_days: day.degree_days,
                };
                if columns.row(&row, &mut out) == ControlFlow::Break(()) {
                    return Ok(told);
                }
                told.days += 1;
            }
        }
    }
    let _ = out.flush();
    Ok(told)
}

/// From the first reading of air temperature at a spot until after the last.
fn extent(readings: &Readings, garden: &Garden, spot: &str) -> Result<Option<(Millis, Millis)>, StoreError> {
    let series = readings.series()?;
    let mut ends: Option<(Millis, Millis)> = None;
    for (placement, s) in placed::placed(garden, &series, spot, Quantity::AirTemperature) {
        let Some((first, last)) = readings.extent(s.id)? else { continue };
        let first = first.max(placement.from);
        let last = placement.to.map_or(last, |to| last.min(to.plus(-1)));
        if first <= last {
            ends = Some(ends.map_or((first, last), |(a, b)| (a.min(first), b.max(last))));
        }
    }
    Ok(ends)
}

/// The days that are asked for, as far as anything was measured.
fn spans(garden: &Garden, asked: &DaysAsked, (first, last): (Millis, Millis), now: Millis) -> Vec<DaySpan> {
    let (from, to) = asked.stretch.ends();
    let zone = garden.zone;
    // A noon-day may begin on the date before.
    let begin: Option<NaiveDate> = date_of(zone, first.max(from)).checked_sub_days(Days::new(1));
    let end = last.plus(1).min(to).min(now);
    begin
        .into_iter()
        .flat_map(|date| date.iter_days())
        .map(|date| asked.kind.span(zone, date))
        .skip_while(|day| day.to <= first || day.from < from)
        .take_while(|day| day.from < end)
        .collect()
}
