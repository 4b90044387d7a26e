//! Readings, winners only: by device as they were sent, or by spot as they count.

use std::ops::ControlFlow;
use std::path::Path;

use propstick_garden::exchange::{Form, Outlet, ReadingsWriter, label, series_key};
use propstick_garden::table::text::MAX_LINE_BYTES;
use propstick_garden::took::{SeriesKey, SeriesKind};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::{ExportError, Give, Stretch, spots};
use crate::store::folder::readings_path;
use crate::store::readings::{Series, Span};
use crate::store::{Readings, StoreError};

/// Stretches that are read at once begin with this length and change with how much lies in them.
const WEEK: i64 = 7 * 24 * HOUR;
/// So many readings are held at once, unless one series alone has more in [`SHORTEST`].
const MOST_HELD: usize = 100_000;
/// Stretches are at least so long.
const SHORTEST: i64 = MINUTE;
/// And at most so long.
const LONGEST: i64 = 8 * WEEK;

/// What stands at the head of a column.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum By {
    /// The device: values as sent, in the units sent; can be read back.
    #[default]
    Device,
    /// The spot: corrected, in the house's units, without what is excluded.
    Spot,
}

/// Which readings are asked for, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingsAsked {
    /// From when until before when.
    pub stretch: Stretch,
    /// In which form.
    pub form: Form,
    /// By device or by spot.
    pub by: By,
    /// URNs of the devices that are meant; empty: all.
    pub devices: Vec<String>,
}

/// What was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReadingsTold {
    /// Series, or columns of spots.
    pub series: usize,
    /// Readings.
    pub readings: u64,
}

/// Writes the readings of a data folder.
///
/// # Errors
/// A device that is not known, a form that spots do not have, a table with more heads than can be read back; a store that cannot be read.
pub fn readings(folder: &Path, asked: &ReadingsAsked, give: Give<'_>) -> Result<ReadingsTold, ExportError> {
    super::must_have_readings(folder)?;
    let readings = Readings::open(&readings_path(folder))?;
    let all = readings.series()?;
    if let Some(unknown) = asked.devices.iter().find(|urn| !all.iter().any(|s| s.urn == **urn)) {
        let mut known: Vec<&str> = all.iter().map(|s| s.urn.as_str()).collect();
        known.dedup();
        return Err(ExportError::Asked(format!(
            "--device {unknown}: nothing was heard of it; known: {}",
            known.join(", ")
        )));
    }
    let (from, to) = asked.stretch.ends();
    let mut series = Vec::new();
    let mut ends: Option<Span> = None;
    for s in all.into_iter().filter(|s| asked.devices.is_empty() || asked.devices.contains(&s.urn)) {
        let Some((first, last)) = readings.extent(s.id)?.filter(|(first, last)| *last >= from && *first < to) else {
            continue;
        };
        let of = Span { from: first.max(from), to: last.plus(1).min(to) };
        ends = Some(ends.map_or(of, |e| Span { from: e.from.min(of.from), to: e.to.max(of.to) }));
        series.push((s, of));
    }
    let span = ends.unwrap_or(Span { from: Millis(0), to: Millis(0) });
    let mut out = Outlet::new(give);
    let told = match asked.by {
        By::Device => by_device(&readings, asked.form, &series, span, &mut out)?,
        By::Spot if asked.form == Form::Csv => {
            let garden = super::garden(folder)?;
            let series: Vec<Series> = series.into_iter().map(|(s, _)| s).collect();
            spots::by_spot(&readings, &garden, &series, span, &mut out)?
        }
        By::Spot => return Err(ExportError::Asked("--by spot: only as --form csv".to_owned())),
    };
    let _ = out.flush();
    Ok(told)
}

pub(super) type Run = Vec<(Millis, f64)>;

fn by_device(
    readings: &Readings,
    form: Form,
    series: &[(Series, Span)],
    span: Span,
    out: &mut Outlet<'_>,
) -> Result<ReadingsTold, ExportError> {
    let keys = series.iter().map(|(s, _)| key_of(s)).collect::<Result<Vec<SeriesKey>, ExportError>>()?;
    if form == Form::Csv {
        let labels: Vec<String> = keys.iter().map(label).collect();
        heads_fit(&labels)?;
    }
    let writer = ReadingsWriter::new(form, keys);
    if writer.begin(out).is_break() {
        return Ok(ReadingsTold::default());
    }
    let read = |stretch: Span, runs: &mut Vec<Run>| {
        for ((s, of), run) in series.iter().zip(runs) {
            let cut = Span { from: stretch.from.max(of.from), to: stretch.to.min(of.to) };
            if cut.from < cut.to {
                readings.scan(s.id, cut, &mut |points| run.extend(points.iter().map(|p| (p.t, p.v))))?;
            }
        }
        Ok(())
    };
    let written = in_stretches(series.len(), span, read, |runs| writer.stretch(runs, out))?;
    Ok(ReadingsTold { series: series.len(), readings: written })
}

pub(super) fn key_of(s: &Series) -> Result<SeriesKey, ExportError> {
    let wrong = || ExportError::Asked(format!("{} {}: a series that no form can name", s.urn, s.channel));
    let kind = SeriesKind::from_word(&s.kind).ok_or_else(wrong)?;
    let key = series_key(&s.urn, &s.channel, &s.unit_sent).ok_or_else(wrong)?;
    Ok(SeriesKey { kind, span_s: s.span_s, stamp_end: s.stamp_end, ..key })
}

/// Goes through `span` in stretches that hold about as much each, however dense or thin the readings lie.
pub(super) fn in_stretches(
    columns: usize,
    span: Span,
    read: impl Fn(Span, &mut Vec<Run>) -> Result<(), StoreError>,
    mut write: impl FnMut(&[Run]) -> ControlFlow<()>,
) -> Result<u64, StoreError> {
    let mut runs: Vec<Run> = vec![Vec::new(); columns];
    let (mut from, mut length) = (span.from, WEEK);
    let mut written = 0;
    while from < span.to {
        let stretch = Span { from, to: from.plus(length).min(span.to) };
        runs.iter_mut().for_each(Vec::clear);
        read(stretch, &mut runs)?;
        let held: usize = runs.iter().map(Vec::len).sum();
        if held > MOST_HELD && length > SHORTEST {
            length = (length / 2).max(SHORTEST);
            runs.iter_mut().for_each(|run| *run = Vec::new());
            continue;
        }
        if write(&runs).is_break() {
            break;
        }
        written += held as u64;
        from = stretch.to;
        if held < MOST_HELD / 4 {
            length = (length * 2).min(LONGEST);
        }
    }
    Ok(written)
}

/// A line of heads must not be longer than a line that is read.
fn heads_fit(labels: &[String]) -> Result<(), ExportError> {
    let bytes: usize = labels.iter().map(|label| label.len() + 3).sum();
    if bytes + 16 <= MAX_LINE_BYTES {
        return Ok(());
    }
    let what = format!(
        "{} series are too many for one table; choose devices with --device, or take --form senml or --form lines",
        labels.len()
    );
    Err(ExportError::Asked(what))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_give_every_reading_once_and_hold_few_however_dense_they_lie() {
        // A year of a reading an hour, and in its middle four hours of one every 10 ms: 1.44 million.
        let thin: Vec<i64> = (0..8_760).map(|k| k * HOUR).collect();
        let dense: Vec<i64> = (0..1_440_000).map(|k| 4_000 * HOUR + k * 10).collect();
        let span = Span { from: Millis(0), to: Millis(8_759 * HOUR + 1) };
        let read = |stretch: Span, runs: &mut Vec<Run>| {
            for (all, run) in [&thin, &dense].into_iter().zip(runs) {
                let at = |t: Millis| all.partition_point(|x| *x < t.0);
                run.extend(all[at(stretch.from)..at(stretch.to)].iter().map(|t| (Millis(*t), 0.0)));
            }
            Ok(())
        };
        let (mut seen, mut most, mut stretches) = (vec![Vec::new(), Vec::new()], 0, 0);
        let written = in_stretches(2, span, read, |runs| {
            stretches += 1;
            most = most.max(runs.iter().map(Vec::len).sum());
            for (run, seen) in runs.iter().zip(&mut seen) {
                seen.extend(run.iter().map(|(t, _)| t.0));
            }
            ControlFlow::Continue(())
        });
        assert_eq!(written.unwrap(), 8_760 + 1_440_000);
        assert!(seen[0] == thin && seen[1] == dense);
        assert!(most <= MOST_HELD, "{most}");
        assert!(stretches < 200, "{stretches}");
    }

    #[test]
    fn heads_that_no_reader_would_take_are_refused() {
        assert!(heads_fit(&vec!["x".repeat(60); 900]).is_ok());
        let error = heads_fit(&vec!["x".repeat(60); 1_100]).unwrap_err();
        assert!(error.to_string().contains("--form senml"), "{error}");
    }
}
