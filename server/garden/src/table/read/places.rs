//! Where the columns of a mapping stand in a file.

use super::Misfit;
use crate::table::cells::{Row, column_name, column_names};
use crate::table::mapping::{FileDevice, FileMapping};
use crate::table::{Column, TimeColumns};

/// The columns of a mapping, as places counted from 0.
#[derive(Clone, Debug)]
pub(super) struct Places {
    /// Where the time is.
    pub when: WhenPlaces,
    /// Where the device's own name is, if rows tell it.
    pub device: Option<usize>,
    /// Where each field is.
    pub fields: Vec<usize>,
    /// How many columns the header has, where there is one.
    pub width: Option<usize>,
}

/// Where the parts of a time are.
#[derive(Clone, Copy, Debug)]
pub(super) struct WhenPlaces {
    pub date: DatePlaces,
    pub clock: ClockPlaces,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum DatePlaces {
    /// Date and time of day in one cell, or a date alone.
    At(usize),
    /// The date as a text.
    Date(usize),
    /// Year, month and day.
    Numbers([usize; 3]),
}

#[derive(Clone, Copy, Debug)]
pub(super) enum ClockPlaces {
    /// In the date's own cell, or nowhere.
    None,
    /// As a text.
    Text(usize),
    /// As hour and perhaps minute.
    Hour(usize, Option<usize>),
}

impl WhenPlaces {
    /// All cells that the time is made of.
    pub(super) fn all(&self) -> Vec<usize> {
        let mut all = match self.date {
            DatePlaces::At(place) | DatePlaces::Date(place) => vec![place],
            DatePlaces::Numbers(places) => places.to_vec(),
        };
        match self.clock {
            ClockPlaces::None => {}
            ClockPlaces::Text(place) => all.push(place),
            ClockPlaces::Hour(hour, minute) => all.extend([Some(hour), minute].into_iter().flatten()),
        }
        all
    }
}

impl Places {
    /// Finds all columns of a mapping in its header, the line with the number `mapping.header`; in a file without one, columns are numbers.
    pub(super) fn find(mapping: &FileMapping, header: Option<&Row<'_>>) -> Result<Places, Misfit> {
        let names = header.map(|row| column_names(row.cells()));
        let header = Header { names, line: mapping.header };
        let TimeColumns { at, date, clock, hour, minute, year, month, day, .. } = &mapping.time;
        let find = |key: &str, column: &Option<Column>| match column {
            Some(column) => header.place(&format!("time.{key}"), column).map(Some),
            None => Ok(None),
        };
        let numbers = (find("year", year)?, find("month", month)?, find("day", day)?);
        let date = match (find("at", at)?, find("date", date)?, numbers) {
            (Some(at), _, _) => DatePlaces::At(at),
            (_, Some(date), _) => DatePlaces::Date(date),
            (_, _, (Some(year), Some(month), Some(day))) => DatePlaces::Numbers([year, month, day]),
            _ => return Err(Misfit { key: "time".to_owned(), what: "no column for the date".to_owned() }),
        };
        let clock = match (find("clock", clock)?, find("hour", hour)?) {
            (Some(clock), _) => ClockPlaces::Text(clock),
            (None, Some(hour)) => ClockPlaces::Hour(hour, find("minute", minute)?),
            (None, None) => ClockPlaces::None,
        };
        let device = match &mapping.device {
            FileDevice::Column(column) => Some(header.place("device", column)?),
            FileDevice::Mapping | FileDevice::Urn(_) => None,
        };
        let mut fields = Vec::with_capacity(mapping.fields.len());
        for (number, field) in mapping.fields.iter().enumerate() {
            if let Some(column) = &field.column {
                fields.push(header.place(&format!("field[{number}].column"), column)?);
            }
        }
        let width = header.names.as_ref().map(Vec::len);
        Ok(Places { when: WhenPlaces { date, clock }, device, fields, width })
    }
}

struct Header {
    names: Option<Vec<String>>,
    line: u32,
}

impl Header {
    fn place(&self, key: &str, column: &Column) -> Result<usize, Misfit> {
        let line = self.line;
        let misfit = |what| Misfit { key: key.to_owned(), what };
        match (column, &self.names) {
            (Column::Number(number), names) => {
                let place = (*number as usize).checked_sub(1);
                let fits = |place: &usize| names.as_ref().is_none_or(|names| *place < names.len());
                place.filter(fits).ok_or_else(|| {
                    let columns = names.as_ref().map_or(0, Vec::len);
                    misfit(format!("{number}; line {line} has {columns} columns"))
                })
            }
            (Column::Name(name), Some(names)) => {
                let wanted = column_name(name);
                names
                    .iter()
                    .position(|there| *there == wanted)
                    .ok_or_else(|| misfit(format!("no column {wanted:?} in line {line}; there are: {}", listed(names))))
            }
            (Column::Name(name), None) => Err(misfit(format!("{name:?}; without a header columns are numbers"))),
        }
    }
}

/// The names of a header, as far as a sentence can hold them.
fn listed(names: &[String]) -> String {
    let mut list = String::new();
    for name in names.iter().take(40) {
        if list.len() > 400 {
            list.push_str(", …");
            break;
        }
        let shown: String = name.chars().take(60).collect();
        if !list.is_empty() {
            list.push_str(", ");
        }
        list.push_str(&format!("{shown:?}"));
    }
    list
}
