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
    /// The columns that the mapping names, each with its place; the first is one of the time.
    named: Vec<(usize, String)>,
    /// How many columns of the header have a name.
    filled: usize,
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
        let when = WhenPlaces { date, clock };
        let (mut named, mut filled, mut width) = (Vec::new(), 0, None);
        if let Some(names) = &header.names {
            let used = when.all().into_iter().chain(device).chain(fields.iter().copied());
            named = used.map(|place| (place, names[place].clone())).filter(|(_, name)| !name.is_empty()).collect();
            filled = names.iter().filter(|name| !name.is_empty()).count();
            width = Some(names.len());
        }
        Ok(Places { when, device, fields, width, named, filled })
    }

    /// What a second header has to say against reading on by the first; none where the row is no header, or says the same of the columns that are used.
    pub(super) fn contradicted_by(&self, row: &Row<'_>) -> Option<String> {
        let anchor = &self.named.first()?.1;
        // Rows begin with digits and names do not: hardly any cell is looked at twice.
        let first = anchor.as_bytes().first().filter(|byte| !byte.is_ascii_digit())?;
        let is_anchor =
            |cell: &str| cell.trim_start().as_bytes().first() == Some(first) && column_name(cell) == *anchor;
        if !row.cells().any(is_anchor) {
            return None;
        }
        let names = column_names(row.cells());
        for (place, name) in &self.named {
            match names.iter().position(|there| there == name) {
                Some(there) if there == *place => {}
                Some(there) => return Some(format!("{name:?} is column {} there, not {}", there + 1, place + 1)),
                None => return Some(format!("{name:?} is not among them; there are: {}", listed(&names))),
            }
        }
        let filled = names.iter().filter(|name| !name.is_empty()).count();
        (filled > self.filled).then(|| format!("there are {filled} columns, not {}", self.filled))
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
