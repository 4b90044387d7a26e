//! The devices of a file whose rows name them.

use std::collections::HashMap;

use super::Misfit;
use crate::table::cells::Row;

/// At most so many devices stand in one file.
const MAX_DEVICES: usize = 4096;

/// The devices met so far, counted from 0. A file without a column for them has one, without a name.
#[derive(Debug, Default)]
pub(super) struct Devices {
    names: Vec<String>,
    numbers: HashMap<String, u32>,
    last: u32,
}

impl Devices {
    /// The device of a row; none where its cell is empty, is no name or is not there.
    pub(super) fn of(&mut self, place: Option<usize>, row: &Row<'_>) -> Result<Option<u32>, Misfit> {
        let Some(place) = place else { return Ok(Some(0)) };
        let own = row.cell(place).map(str::trim).unwrap_or_default();
        if self.names.get(self.last as usize).is_some_and(|name| name == own) {
            return Ok(Some(self.last));
        }
        if let Some(number) = self.numbers.get(own) {
            self.last = *number;
            return Ok(Some(*number));
        }
        if own.is_empty() || own.len() > 64 || own.chars().any(char::is_control) {
            return Ok(None);
        }
        if self.names.len() == MAX_DEVICES {
            let what =
                format!("over {MAX_DEVICES} different names in its column; allowed a column that tells devices apart");
            return Err(Misfit { key: "device".to_owned(), what });
        }
        let number = self.names.len() as u32;
        self.names.push(own.to_owned());
        self.numbers.insert(own.to_owned(), number);
        self.last = number;
        Ok(Some(number))
    }

    /// The own name of a device, where it has one.
    pub(super) fn name(&self, number: u32) -> Option<&str> {
        self.names.get(number as usize).map(String::as_str)
    }
}
