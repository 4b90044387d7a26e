//! Readings as they count at the spots of the garden: for reading, not for coming back in.

use propstick_garden::exchange::{Outlet, spot_label, wide_header, wide_rows};
use propstick_garden::fold::{Ledgered, placed_samples};
use propstick_garden::model::{Garden, Placement};
use propstick_garden::took::SeriesKey;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::ExportError;
use super::readings::{ReadingsTold, Run, in_stretches, key_of};
use crate::store::readings::{Series, Span};
use crate::store::{Readings, StoreError};

/// What was measured of a quantity at a spot, by numbers of one meaning.
struct Column<'g> {
    label: String,
    parts: Vec<(&'g Placement, &'g Series)>,
}

/// Writes a column for each spot, quantity and meaning: corrected, in the house's units, without what is excluded. An interval belongs to where its device
/// stood when it began, and stands at its beginning.
pub(super) fn by_spot(
    readings: &Readings,
    garden: &Garden,
    series: &[Series],
    span: Span,
    out: &mut Outlet<'_>,
) -> Result<ReadingsTold, ExportError> {
    let columns = columns(garden, series)?;
    if wide_header(columns.iter().map(|column| column.label.as_str()), out).is_break() {
        return Ok(ReadingsTold::default());
    }
    // The first interval begins before its stamp.
    let before = columns.iter().flat_map(|c| &c.parts).map(|(_, s)| s.starts_before_ms()).max().unwrap_or(0);
    let span = Span { from: span.from.plus(-before), to: span.to };
    let read = |stretch: Span, runs: &mut Vec<Run>| {
        for (column, run) in columns.iter().zip(runs) {
            *run = column.run(readings, garden, stretch)?;
        }
        Ok(())
    };
    let written = in_stretches(columns.len(), span, read, |runs| wide_rows(runs, out))?;
    Ok(ReadingsTold { series: columns.len(), readings: written })
}

fn columns<'g>(garden: &'g Garden, series: &'g [Series]) -> Result<Vec<Column<'g>>, ExportError> {
    let mut columns = Vec::new();
    for structure in &garden.structures {
        for spot in garden.spots_of(&structure.slug) {
            for quantity in Quantity::ALL {
                let placed = garden.placements.iter().filter(|p| p.spot == spot.slug && p.quantity == quantity);
                let mut parts: Vec<(&Placement, &Series)> = placed
                    .flat_map(|p| {
                        series.iter().filter(|s| s.urn == p.urn && s.channel == p.channel).map(move |s| (p, s))
                    })
                    .collect();
                // Numbers of different meaning do not share a column.
                parts.sort_by_key(|(_, s)| meaning(s));
                for parts in parts.chunk_by(|(_, a), (_, b)| meaning(a) == meaning(b)) {
                    let Some((_, first)) = parts.first() else { continue };
                    let stamp_end = first.stamp_end && first.starts_before_ms() == 0;
                    let key = SeriesKey { stamp_end, ..key_of(first)? };
                    let label = spot_label(&structure.name, &spot.slug, quantity, &key);
                    columns.push(Column { label, parts: parts.to_vec() });
                }
            }
        }
    }
    Ok(columns)
}

/// What a number means, once it stands at the beginning of its interval.
fn meaning(s: &Series) -> (&str, i64, bool) {
    (&s.kind, s.span_s, s.stamp_end && s.starts_before_ms() == 0)
}

impl Column<'_> {
    /// What was measured in a stretch.
    fn run(&self, readings: &Readings, garden: &Garden, stretch: Span) -> Result<Run, StoreError> {
        let mut found: Vec<(&Placement, &str, Run)> = Vec::new();
        for (placement, s) in &self.parts {
            let to = placement.to.map_or(stretch.to, |to| to.min(stretch.to));
            let (from, before) = (stretch.from.max(placement.from), s.starts_before_ms());
            if from < to {
                let stamped = readings.run(s.id, Span { from: from.plus(before), to: to.plus(before) })?;
                let begun = stamped.iter().map(|&(t, v)| (t.plus(-before), v)).collect();
                found.push((placement, &s.unit_sent, begun));
            }
        }
        let parts: Vec<Ledgered<'_>> =
            found.iter().map(|(placement, unit_sent, points)| Ledgered { placement, unit_sent, points }).collect();
        Ok(placed_samples(garden, &parts).iter().map(|s| (Millis(s.t_ms), s.v)).collect())
    }
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use propstick_garden::exchange::{Form, series_key};
    use propstick_garden::model::parse_garden;
    use propstick_garden::took::{Facts, RawReading, SeriesKind, Took};

    use super::*;
    use crate::files::export::{By, ReadingsAsked, Stretch, readings};
    use crate::store::garden::GardenDb;
    use crate::store::{Ledger, folder};

    #[test]
    fn intervals_stand_at_their_beginning_each_meaning_in_its_own_column() {
        let dir = tempfile::tempdir().unwrap();
        let garden = parse_garden(
            r#"garden = { name = "G", lat = 52, lon = -8, zone = "UTC" }
            structure = [{ slug = "out", kind = "outdoors", name = "Out" }]
            spot = [{ slug = "roof", structure = "out", role = "outside" }]
            placement = [{ device = "urn:propstick:roof", channels = ["rain", "air-temperature"], spot = "roof", from = "1970-01-01T00:00:00Z" }]"#,
        );
        GardenDb::open(&folder::garden_path(dir.path())).unwrap().keep_garden(&garden.unwrap()).unwrap();
        let took = |channel: &str, unit: &str, kind: SeriesKind, span_s: i64, stamp_end: bool, t_s: i64, v: f64| {
            let key = series_key("urn:propstick:roof", channel, unit).unwrap();
            let series = SeriesKey { kind, span_s, stamp_end, ..key };
            let (t, arrived) = (Millis(t_s * 1_000), Millis(9_000_000_000));
            Took::Reading(RawReading { series, t, v, arrived, facts: Facts::TIME_OWN, sample: None })
        };
        let lot = [
            took("rain", "mm", SeriesKind::Sum, 3_600, true, 3_600, 0.2),
            took("rain", "mm", SeriesKind::Sum, 3_600, false, 3_600, 0.4),
            took("rain", "m", SeriesKind::Sum, 3_600, true, 10_800, 0.001),
            took("air-temperature", "Cel", SeriesKind::Min, 86_400, false, 0, -2.5),
            took("air-temperature", "degF", SeriesKind::Instant, 0, false, 3_600, 50.0),
        ];
        Ledger::open(&folder::readings_path(dir.path())).unwrap().commit(&lot).unwrap();
        let asked = ReadingsAsked { stretch: Stretch::default(), form: Form::Csv, by: By::Spot, devices: Vec::new() };
        let mut text = Vec::new();
        let told = readings(dir.path(), &asked, &mut |piece| {
            text.extend_from_slice(piece);
            ControlFlow::Continue(())
        });
        assert_eq!(
            String::from_utf8(text).unwrap(),
            "time_utc,Out / roof / air-temperature [°C],\"Out / roof / air-temperature [°C; min 86400 s, start]\",\
             \"Out / roof / rain [mm; sum 3600 s, start]\"\n\
             1970-01-01T00:00:00Z,,-2.5,0.2\n\
             1970-01-01T01:00:00Z,10,,0.4\n\
             1970-01-01T02:00:00Z,,,1\n"
        );
        assert_eq!(told.unwrap(), ReadingsTold { series: 3, readings: 5 });
    }
}
