//! Which series count at a spot, and what they measured there: the same for hours, advice and answers.

use std::borrow::Cow;

use propstick_agronomy::coverage::Sample;
use propstick_garden::fold::{Ledgered, placed_samples};
use propstick_garden::model::{Garden, Placement};
use propstick_wire::Millis;
use propstick_wire::millis::SECOND;
use propstick_wire::quantity::Quantity;

use super::readings::{Series, Span};
use super::{Readings, SeriesId, StoreError};

/// Readings as instant and value as sent, ascending; borrowed where somebody has them in memory.
pub type Run<'a> = Cow<'a, [(Millis, f64)]>;

/// The series placed at a spot for a quantity, with their placements: values at an instant, sums and means over an interval. The lowest and the
/// highest value of an interval are no samples, and are not among them.
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
        .filter(|(_, s)| s.is_sampled())
}

/// What those series measured in `span`: each cut to its placement, corrected, in the quantity's unit. `read` gives the readings. A sum or mean stands
/// at the start of its interval.
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
            found.push((placement, &s.unit_sent, begun_in(cut, s.starts_before_ms(), |stamped| read(s.id, stamped))?));
        }
    }
    let parts: Vec<Ledgered<'_>> =
        found.iter().map(|(placement, unit_sent, points)| Ledgered { placement, unit_sent, points }).collect();
    Ok(placed_samples(garden, &parts))
}

/// Readings whose intervals begin in `span`, at their beginnings: those that are stamped `before_ms` later.
fn begun_in<'a>(
    span: Span,
    before_ms: i64,
    read: impl FnOnce(Span) -> Result<Run<'a>, StoreError>,
) -> Result<Run<'a>, StoreError> {
    let run = read(Span { from: span.from.plus(before_ms), to: span.to.plus(before_ms) })?;
    Ok(if before_ms == 0 { run } else { run.iter().map(|&(t, v)| (t.plus(-before_ms), v)).collect() })
}

impl Series {
    /// Whether its numbers are samples, or sums and means that can stand for some.
    pub fn is_sampled(&self) -> bool {
        matches!(self.kind.as_str(), "instant" | "sum" | "mean")
    }

    /// Whether its numbers are values at an instant.
    pub fn is_of_instants(&self) -> bool {
        self.kind == "instant"
    }

    /// How long before its stamp the interval of a number begins, in milliseconds.
    pub fn starts_before_ms(&self) -> i64 {
        if self.stamp_end && !self.is_of_instants() { self.span_s.saturating_mul(SECOND) } else { 0 }
    }
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
