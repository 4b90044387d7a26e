//! Which series count at a spot, and what they measured there: the same for hours, advice and answers.

use std::borrow::Cow;

use propstick_agronomy::coverage::Sample;
use propstick_garden::fold::{Ledgered, placed_samples};
use propstick_garden::model::{Garden, Placement};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::readings::{Series, Span};
use super::{Readings, SeriesId, StoreError};

/// Readings as instant and value as sent, ascending; borrowed where somebody has them in memory.
pub type Run<'a> = Cow<'a, [(Millis, f64)]>;

/// The series placed at a spot for a quantity, with their placements. Sums and means over an interval are among them.
pub fn placed<'a>(
    garden: &'a Garden,
    series: &'a [Series],
    spot: &'a str,
    quantity: Quantity,
) -> impl Iterator<Item = (&'a Placement, &'a Series)> {
    garden
        .placements
        .iter()
        .filter(move |p| p.spot == spot && p.quantity == quantity)
        .flat_map(move |p| series.iter().filter(move |s| s.urn == p.urn && s.channel == p.channel).map(move |s| (p, s)))
}

/// What those series measured in `span`: each cut to its placement, corrected, in the quantity's unit. `read` gives the readings.
///
/// # Errors
/// What `read` says.
pub fn samples<'a>(
    garden: &Garden,
    series: impl Iterator<Item = (&'a Placement, &'a Series)>,
    span: Span,
    read: impl Fn(SeriesId, Span) -> Result<Run<'a>, StoreError>,
) -> Result<Vec<Sample>, StoreError> {
    let mut found: Vec<(&Placement, &str, Run<'a>)> = Vec::new();
    for (placement, s) in series {
        let cut = Span { from: span.from.max(placement.from), to: placement.to.map_or(span.to, |t| t.min(span.to)) };
        if cut.from < cut.to {
            found.push((placement, &s.unit_sent, read(s.id, cut)?));
        }
    }
    let parts: Vec<Ledgered<'_>> =
        found.iter().map(|(placement, unit_sent, points)| Ledgered { placement, unit_sent, points }).collect();
    Ok(placed_samples(garden, &parts))
}

impl Readings {
    /// The winning readings of `span` as a run.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn run(&self, series: SeriesId, span: Span) -> Result<Run<'static>, StoreError> {
        let mut points = Vec::new();
        self.scan(series, span, &mut |run| points.extend(run.iter().map(|p| (p.t, p.v))))?;
        Ok(Cow::Owned(points))
    }
}
