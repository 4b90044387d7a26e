//! Readings in one of three forms.

use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::senml::{self, Frame};
use super::{Outlet, label, lines, wide_header, wide_rows};
use crate::took::SeriesKey;

/// A form that readings are written in and read back from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A table: a column for each series, a row for each instant.
    Csv,
    /// SenML as JSON (RFC 8428), one pack a line.
    Senml,
    /// InfluxDB line protocol.
    Lines,
}

/// Writes readings as the devices sent them, in the units they sent.
pub struct ReadingsWriter {
    series: Vec<SeriesKey>,
    how: How,
}

/// What a form keeps ready of each series.
enum How {
    Csv,
    Senml { frames: Vec<Frame>, devices: Vec<(String, Vec<usize>)> },
    Lines { heads: Vec<Vec<u8>> },
}

impl ReadingsWriter {
    /// A writer for these series.
    pub fn new(form: Form, series: Vec<SeriesKey>) -> ReadingsWriter {
        let how = match form {
            Form::Csv => How::Csv,
            Form::Lines => How::Lines { heads: series.iter().map(lines::head).collect() },
            Form::Senml => {
                let mut devices: Vec<(&str, Vec<usize>)> = Vec::new();
                for (place, key) in series.iter().enumerate() {
                    match devices.iter_mut().find(|(urn, _)| *urn == key.device) {
                        Some((_, places)) => places.push(place),
                        None => devices.push((&key.device, vec![place])),
                    }
                }
                let devices = devices.into_iter().map(|(urn, places)| (senml::base_name(urn), places)).collect();
                How::Senml { frames: series.iter().map(Frame::of).collect(), devices }
            }
        };
        ReadingsWriter { series, how }
    }

    /// What stands in front of the first reading: the heads of the columns, in the form that has them.
    pub fn begin(&self, out: &mut Outlet<'_>) -> ControlFlow<()> {
        match self.how {
            How::Csv => {
                let labels: Vec<String> = self.series.iter().map(label).collect();
                wide_header(labels.iter().map(String::as_str), out)
            }
            _ => ControlFlow::Continue(()),
        }
    }

    /// The readings of a stretch of time: of each series those in it, ascending and each instant once. Stretches must follow one another.
    pub fn stretch(&self, runs: &[impl AsRef<[(Millis, f64)]>], out: &mut Outlet<'_>) -> ControlFlow<()> {
        match &self.how {
            How::Csv => wide_rows(runs, out),
            How::Lines { heads } => {
                heads.iter().zip(runs).try_for_each(|(head, run)| lines::run(head, run.as_ref(), out))
            }
            How::Senml { frames, devices } => devices.iter().try_for_each(|(base_name, places)| {
                let frames: Vec<&Frame> = places.iter().filter_map(|p| frames.get(*p)).collect();
                let runs: Vec<&[(Millis, f64)]> =
                    places.iter().filter_map(|p| runs.get(*p)).map(AsRef::as_ref).collect();
                senml::packs(base_name, &frames, &runs, out)
            }),
        }
    }
}
