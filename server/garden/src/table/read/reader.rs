//! From rows to readings and to the report.

use std::ops::ControlFlow;

use propstick_wire::Millis;

use super::asides::{Asides, ROW, TIME};
use super::cautions::{About, Cautions, is_change_of_unit, span_words};
use super::devices::Devices;
use super::number::number;
use super::orders::Orders;
use super::places::Places;
use super::rows::Found;
use super::tally::Tally;
use super::when::when;
use super::{Misfit, Piece, Reading, Trouble};
use crate::decode::can_be_meant;
use crate::decode::mapping::{MappingField, Stamp, URN_PREFIX, device_urn};
use crate::table::cells::Row;
use crate::table::clock::{EARLIEST_MS, Resolver};
use crate::table::mapping::{FileDevice, FileMapping};
use crate::table::report::{AsideWhy, Report, SampleRow};
use crate::table::stamp::{Moment, Order};
use crate::table::text::Seen;
use crate::took::{DeviceKind, SeriesKey, SeriesKind};

/// Readings are given in lots of this size.
const LOT: usize = 4096;
/// So many rows are shown as they were understood.
const SAMPLE_ROWS: usize = 5;

/// The clock that local times stand on.
pub(super) enum Wall {
    /// Every text has its own offset.
    None,
    /// So many milliseconds ahead of UTC.
    Fixed(i64),
    /// A zone's.
    Zone(Resolver),
}

pub(super) struct Reader<'m, 't> {
    mapping: &'m FileMapping,
    clock: Wall,
    orders: Option<Orders>,
    devices: Devices,
    until: Millis,
    take: &'t mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
    lot: Vec<Reading>,
    tallies: Vec<Tally>,
    /// The series of each device's fields, device by device.
    series: Vec<Option<u32>>,
    /// The last instant of each device.
    last: Vec<Option<Millis>>,
    /// Whether times end intervals, so that the change itself may be named as the end of the hour before it.
    has_ends: bool,
    /// Whether the first row read has a date alone: then what has an interval is stamped at its start where the mapping does not say.
    are_dates: Option<bool>,
    asides: Asides,
    cautions: Cautions,
    report: Report,
}

/// A row that is set aside: why, and the place that it is about.
type RowAside = (AsideWhy, usize);

impl<'m, 't> Reader<'m, 't> {
    pub(super) fn new(
        mapping: &'m FileMapping,
        clock: Wall,
        orders: Option<Orders>,
        devices: Devices,
        until: Millis,
        take: &'t mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
    ) -> Reader<'m, 't> {
        let ends = |field: &MappingField| field.kind() != SeriesKind::Instant && field.stamp != Some(Stamp::Start);
        Reader {
            mapping,
            clock,
            orders,
            devices,
            until,
            take,
            lot: Vec::with_capacity(LOT),
            tallies: Vec::new(),
            series: Vec::new(),
            last: Vec::new(),
            has_ends: mapping.fields.iter().any(ends),
            are_dates: None,
            asides: Asides::default(),
            cautions: Cautions::default(),
            report: Report::default(),
        }
    }

    pub(super) fn row(&mut self, places: &Places, found: Found<'_>) -> ControlFlow<Option<Misfit>> {
        self.report.rows += 1;
        let row = match found.row {
            Ok(row) => row,
            Err(why) => {
                self.asides.take(why, ROW, found.line, String::new, || found.text.to_owned());
                return ControlFlow::Continue(());
            }
        };
        match self.place_row(places, found.line, &row)? {
            Ok((device, t)) => self.cells(places, found.line, &row, device, t),
            Err((why, place)) => {
                let mapping = self.mapping;
                let stands = |places: Vec<usize>| {
                    places.iter().filter_map(|place| row.cell(*place)).map(str::trim).collect::<Vec<_>>().join(" ")
                };
                let example = || stands(if place == TIME { places.when.all() } else { vec![place] });
                let name = || if place == TIME { time_columns(mapping) } else { device_column(mapping) };
                self.asides.take(why, place, found.line, name, example);
                ControlFlow::Continue(())
            }
        }
    }

    /// Whose row it is, and its instant.
    fn place_row(
        &mut self,
        places: &Places,
        line: u64,
        row: &Row<'_>,
    ) -> ControlFlow<Option<Misfit>, Result<(u32, Millis), RowAside>> {
        let aside = |why| ControlFlow::Continue(Err((why, TIME)));
        let read = |order: Order| when(self.mapping, &places.when, row, order);
        let order = match &mut self.orders {
            Some(orders) => orders.of(line),
            None => Some(self.mapping.time.order),
        };
        let Some(order) = order else {
            let plain = self.mapping.time.order;
            let is_time = read(plain).or_else(|| plain.swapped().and_then(read)).is_some();
            return aside(if is_time { AsideWhy::NoOrder } else { AsideWhy::NoTime });
        };
        let Some(when) = read(order) else { return aside(AsideWhy::NoTime) };
        let device = match self.devices.of(places.device, row) {
            Ok(Some(device)) => device,
            Ok(None) => return ControlFlow::Continue(Err((AsideWhy::NoDevice, places.device.unwrap_or(ROW)))),
            Err(misfit) => return ControlFlow::Break(Some(misfit)),
        };
        let t = match (when.moment, &mut self.clock) {
            (Moment::Instant(t), _) => t,
            (Moment::Local(_), Wall::None) => return aside(AsideWhy::NoTime),
            (Moment::Local(ms), Wall::Fixed(ahead_ms)) => Millis(ms - *ahead_ms),
            (Moment::Local(ms), Wall::Zone(resolver)) => {
                match resolver.instant(device, line, ms, self.has_ends || when.is_date_alone) {
                    Some(t) => t,
                    None => return aside(AsideWhy::SkippedHour),
                }
            }
        };
        if t.0 < EARLIEST_MS {
            return aside(AsideWhy::NoTime);
        }
        if t > self.until {
            return aside(AsideWhy::Future);
        }
        self.are_dates.get_or_insert(when.is_date_alone);
        ControlFlow::Continue(Ok((device, t)))
    }

    fn cells(
        &mut self,
        places: &Places,
        line: u64,
        row: &Row<'_>,
        device: u32,
        t: Millis,
    ) -> ControlFlow<Option<Misfit>> {
        self.report.rows_read += 1;
        self.note_order(line, device, t);
        let mapping = self.mapping;
        let mut sample = Vec::new();
        for (number_of_field, (field, place)) in mapping.fields.iter().zip(&places.fields).enumerate() {
            let name = || field.column.as_ref().map_or_else(String::new, ToString::to_string);
            let Some(cell) = row.cell(*place).map(str::trim) else {
                self.asides.take(AsideWhy::Short, *place, line, name, || row.cells().collect::<Vec<_>>().join(" "));
                continue;
            };
            if cell.is_empty() || mapping.missing.iter().any(|word| word.trim().eq_ignore_ascii_case(cell)) {
                self.report.no_value += 1;
                continue;
            }
            let Some(v) = number(cell, mapping.decimal) else {
                self.asides.take(AsideWhy::NotANumber, *place, line, name, || cell.to_owned());
                continue;
            };
            if !can_be_meant(field.quantity, v, &field.unit) {
                self.asides.take(AsideWhy::OutOfRange, *place, line, name, || cell.to_owned());
                continue;
            }
            let series = self.series(device, number_of_field)?;
            self.note_neighbours(line, number_of_field, series, t, v);
            self.tallies[series as usize].take(t, v);
            self.report.readings += 1;
            if self.report.sample.len() < SAMPLE_ROWS {
                sample.push((field.channel().to_owned(), v, field.unit.clone()));
            }
            self.lot.push(Reading { series, t, v });
            if self.lot.len() == LOT {
                self.give()?;
            }
        }
        if !sample.is_empty() {
            self.report.sample.push(SampleRow { line, at: t, values: sample });
        }
        ControlFlow::Continue(())
    }

    /// The series of a device's field; told to the taker where it is new.
    fn series(&mut self, device: u32, number_of_field: usize) -> ControlFlow<Option<Misfit>, u32> {
        let fields = self.mapping.fields.len();
        let place = device as usize * fields + number_of_field;
        if self.series.len() <= place {
            self.series.resize((device as usize + 1) * fields, None);
        }
        if let Some(series) = self.series[place] {
            return ControlFlow::Continue(series);
        }
        let key = self.key(device, &self.mapping.fields[number_of_field]);
        if (self.take)(Piece::Series(&key)).is_break() {
            return ControlFlow::Break(None);
        }
        let series = self.tallies.len() as u32;
        self.tallies.push(Tally::new(key));
        self.series[place] = Some(series);
        ControlFlow::Continue(series)
    }

    fn key(&self, device: u32, field: &MappingField) -> SeriesKey {
        let name = &self.mapping.name;
        let urn = match &self.mapping.device {
            FileDevice::Urn(urn) => urn.clone(),
            FileDevice::Mapping => format!("{URN_PREFIX}{name}"),
            FileDevice::Column(_) => {
                self.devices.name(device).and_then(|own| device_urn(name, own)).unwrap_or_default()
            }
        };
        let is_board = urn.starts_with("urn:dev:");
        let kind = field.kind();
        let stamp = field.stamp.unwrap_or(if self.are_dates == Some(true) { Stamp::Start } else { Stamp::End });
        SeriesKey {
            device: urn,
            device_kind: if is_board { DeviceKind::Board } else { DeviceKind::File },
            mapping: (!is_board).then(|| name.clone()),
            channel: field.channel().to_owned(),
            unit_sent: field.unit.clone(),
            kind,
            span_s: field.interval_s(),
            stamp_end: kind != SeriesKind::Instant && stamp == Stamp::End,
        }
    }

    fn note_order(&mut self, line: u64, device: u32, t: Millis) {
        let place = device as usize;
        if self.last.len() <= place {
            self.last.resize(place + 1, None);
        }
        if let Some(before) = self.last[place].filter(|before| t < *before) {
            let back = before.since(t);
            self.cautions.take(About::Back, line, || {
                format!("the time goes back, the first time by {}: a logger begun anew, or a file put together; read as it stands", span_words(back))
            });
        }
        self.last[place] = Some(t);
    }

    fn note_neighbours(&mut self, line: u64, number_of_field: usize, series: u32, t: Millis, v: f64) {
        let Some((last_t, last_v)) = self.tallies[series as usize].last else { return };
        if last_t == t {
            let (about, says) = if last_v == v {
                (About::TwiceSame, "neighbouring rows have the same time and the same value; one counts")
            } else {
                (About::TwiceOther, "neighbouring rows have the same time and another value; the smaller one counts")
            };
            self.cautions.take(about, line, || says.to_owned());
        }
        let field = &self.mapping.fields[number_of_field];
        if is_change_of_unit(field.quantity, last_v, v) {
            let column = field.column.as_ref().map_or_else(String::new, ToString::to_string);
            self.cautions.take(About::Unit(number_of_field), line, || {
                format!("{column}: from {last_v} to {v}, which is the same temperature in Celsius and Fahrenheit: a change of unit?")
            });
        }
    }

    fn give(&mut self) -> ControlFlow<Option<Misfit>> {
        let flow = (self.take)(Piece::Readings(&self.lot));
        self.lot.clear();
        if flow.is_break() { ControlFlow::Break(None) } else { ControlFlow::Continue(()) }
    }

    pub(super) fn end<E>(mut self, seen: Seen) -> Result<Report, Trouble<E>> {
        if !self.lot.is_empty() && self.give().is_break() {
            return Err(Trouble::Stopped);
        }
        if let Some(line) = seen.foreign {
            self.cautions.take(About::NoText, line, || {
                format!("there are bytes that are no {} text, the first in this line", self.mapping.encoding.word())
            });
        }
        let ends = self.tallies.iter().filter_map(Tally::ends);
        let (first, last) = ends.fold((None, None), |(first, last), (from, until)| {
            (
                Some(first.map_or(from, |known: Millis| known.min(from))),
                Some(last.map_or(until, |known: Millis| known.max(until))),
            )
        });
        let clock = match self.clock {
            Wall::Zone(resolver) => resolver.notes(),
            Wall::None | Wall::Fixed(_) => Vec::new(),
        };
        Ok(Report {
            lines: seen.lines,
            aside: self.asides.end(),
            first,
            last,
            series: self.tallies.into_iter().map(Tally::report).collect(),
            clock,
            cautions: self.cautions.end(self.report.rows_read),
            ..self.report
        })
    }
}

/// The columns that are named where a row has no time that counts.
fn time_columns(mapping: &FileMapping) -> String {
    mapping.time.columns().iter().map(|(_, column)| column.to_string()).collect::<Vec<_>>().join(", ")
}

fn device_column(mapping: &FileMapping) -> String {
    match &mapping.device {
        FileDevice::Column(column) => column.to_string(),
        FileDevice::Mapping | FileDevice::Urn(_) => String::new(),
    }
}
