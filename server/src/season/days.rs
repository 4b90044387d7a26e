//! Days of a structure from the hours of its lead spot: the same for answers and exports.

use chrono::{Datelike, Days, NaiveDate};
use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::sun::SunDay;
use propstick_garden::fold::{
    DayFigures, DayKind, DayOfAir, DaySpan, Figure, HourRow, T_ERROR_C, WantedDegreeDays, Why, day_figures,
    frost_hours, light_of, wet_hours_of,
};
use propstick_garden::model::{Garden, Measure, Structure};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use crate::store::StoreError;
use crate::store::derived::{Hours, Seasons};
use crate::store::readings::Span;

/// A day of a structure.
#[derive(Clone, Debug, PartialEq)]
pub struct DayOf {
    /// The day.
    pub span: DaySpan,
    /// Whether it is over.
    pub is_final: bool,
    /// Its air temperatures.
    pub figures: DayFigures,
    /// Hours with wet leaves.
    pub wet_hours: Figure,
    /// Hours at or below 0 °C.
    pub frost_hours: Figure,
    /// Light that plants use, mol/m².
    pub light_mol_m2: Figure,
    /// Degree-days, in the order of [`WantedDegreeDays::each`].
    pub degree_days: Vec<Figure>,
}

/// The days `spans`, which follow each other; the running one so far.
///
/// # Errors
/// A store that cannot be read.
pub fn days_of(
    hours: &Hours,
    garden: &Garden,
    structure: &Structure,
    kind: DayKind,
    spans: &[DaySpan],
    wanted: &WantedDegreeDays,
    now: Millis,
) -> Result<Vec<DayOf>, StoreError> {
    let (Some(first), Some(last)) = (spans.first(), spans.last()) else { return Ok(Vec::new()) };
    // The day after the last: its lowest belongs to the double methods.
    let after = last.date.checked_add_days(Days::new(1)).map(|date| kind.span(garden.zone, date));
    let span = Span { from: first.from, to: after.map_or(last.to, |d| d.to) };
    let Some(lead) = garden.lead_spot(structure) else {
        return Ok(spans.iter().map(|span| nothing(*span, wanted, now)).collect());
    };
    let air = hours.hours(&lead.slug, Measure::Direct(Quantity::AirTemperature), span)?;
    let wet = hours.wet_hours(&lead.slug, span)?;
    let damp = garden.placements.iter().any(|p| p.spot == lead.slug && p.quantity == Quantity::AirHumidity);
    let light_spot = garden
        .spots_of(&structure.slug)
        .find(|s| garden.placements.iter().any(|p| p.spot == s.slug && p.quantity == Quantity::Light));
    let light = match light_spot {
        Some(spot) => Some(hours.hours(&spot.slug, Measure::Direct(Quantity::Light), span)?),
        None => None,
    };
    let figures: Vec<DayFigures> = spans
        .iter()
        .copied()
        .chain(after)
        .map(|day| day_figures(of(&air, &day), day.from, until(&day, now), T_ERROR_C))
        .collect();
    let each = wanted.each();
    let day = |(k, span): (usize, &DaySpan)| {
        let (Some(own), next) = (figures.get(k), figures.get(k + 1)) else { return nothing(*span, wanted, now) };
        let rows = of(&air, span);
        let to = until(span, now);
        // A day that goes on has no lowest yet that could be relied on.
        let next_min = match next.filter(|_| span.to.plus(24 * HOUR_MS) <= now) {
            Some(next) => next.min,
            None => Figure::unknown(Why::NotEnough, 0.0),
        };
        let air = DayOfAir { span: *span, figures: own, next_min, hours: rows, error_c: T_ERROR_C };
        let not_measured = Figure::unknown(Why::NotMeasured, 0.0);
        DayOf {
            span: *span,
            is_final: span.to <= now,
            figures: *own,
            wet_hours: if damp { wet_hours_of(&wet, span.from, whole(to)) } else { not_measured },
            frost_hours: frost_hours(rows, span.from, to, T_ERROR_C),
            light_mol_m2: match &light {
                Some(rows) => light_of(of(rows, span), span.from, to, |at| is_light(garden, span.date, at)),
                None => not_measured,
            },
            degree_days: each.iter().map(|one| one.of(&air)).collect(),
        }
    };
    Ok(spans.iter().enumerate().map(day).collect())
}

/// The running day is counted so far.
fn until(day: &DaySpan, now: Millis) -> Millis {
    day.to.min(now.max(day.from.plus(1)))
}

/// Whole hours only: the running hour is neither wet nor dry yet.
const fn whole(to: Millis) -> Millis {
    Millis(to.0.div_euclid(HOUR_MS) * HOUR_MS)
}

fn of<'a>(rows: &'a [HourRow], day: &DaySpan) -> &'a [HourRow] {
    let first = rows.partition_point(|r| r.from < day.from);
    &rows[first..rows.partition_point(|r| r.from < day.to).max(first)]
}

/// Whether an hour that begins at `at`, on `date` or the day after, is not all night.
fn is_light(garden: &Garden, date: NaiveDate, at: Millis) -> bool {
    [Some(date), date.succ_opt(), date.pred_opt()].into_iter().flatten().any(|date| {
        let sun = SunDay::of_date(date.year(), date.month(), date.day(), garden.lat, garden.lon);
        let ends = sun.and_then(|s| s.civil_dawn_s.zip(s.civil_dusk_s));
        ends.is_some_and(|(dawn_s, dusk_s)| at.0 + HOUR_MS > dawn_s * 1_000 && at.0 < dusk_s * 1_000)
    })
}

fn nothing(span: DaySpan, wanted: &WantedDegreeDays, now: Millis) -> DayOf {
    let not_measured = Figure::unknown(Why::NotMeasured, 0.0);
    DayOf {
        span,
        is_final: span.to <= now,
        figures: DayFigures { measured: 0.0, min: not_measured, max: not_measured, mean: not_measured },
        wet_hours: not_measured,
        frost_hours: not_measured,
        light_mol_m2: not_measured,
        degree_days: wanted.each().iter().map(|_| not_measured).collect(),
    }
}
