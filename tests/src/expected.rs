//! The expected tables of `tests/reference`, made with other people's libraries (see the README there).

use std::path::Path;

/// A table kept in `tests/reference`: its columns' names and its rows, as text.
pub struct Expected {
    name: String,
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Expected {
    /// The table `name`, for example `air.csv`.
    ///
    /// # Errors
    /// A sentence that names the file, where it cannot be read or a row is too short or too long.
    pub fn read(name: &str) -> Result<Expected, String> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference").join(name);
        let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        let mut lines = text.lines().enumerate().filter(|(_, line)| !line.starts_with('#'));
        let split = |line: &str| line.split(',').map(str::to_string).collect::<Vec<String>>();
        let columns = lines.next().map(|(_, line)| split(line)).unwrap_or_default();
        let mut rows = Vec::new();
        for (i, line) in lines {
            let row = split(line);
            if row.len() != columns.len() {
                return Err(format!("{name}:{}: {} fields for {} columns", i + 1, row.len(), columns.len()));
            }
            rows.push(row);
        }
        Ok(Expected { name: name.to_string(), columns, rows })
    }

    /// Its rows.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|fields| Row { table: self, fields })
    }

    /// How many rows it has.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether it has no row.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

/// A row of an [`Expected`] table.
#[derive(Clone, Copy)]
pub struct Row<'a> {
    table: &'a Expected,
    fields: &'a [String],
}

impl Row<'_> {
    /// The text of `column`.
    ///
    /// # Errors
    /// A sentence that names the table, where there is no such column.
    pub fn text(&self, column: &str) -> Result<&str, String> {
        let place = self.table.columns.iter().position(|name| name == column);
        let place = place.ok_or_else(|| format!("{}: no column {column}", self.table.name))?;
        Ok(&self.fields[place])
    }

    /// The number of `column`; none where the field is empty.
    ///
    /// # Errors
    /// As [`Row::text`], and where something else than a number stands there.
    pub fn number(&self, column: &str) -> Result<Option<f64>, String> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Ok(None);
        }
        text.parse().map(Some).map_err(|_| format!("{}: {column} has {text:?}", self.table.name))
    }
}

impl std::fmt::Display for Row<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.table.name, self.fields.join(","))
    }
}

/// The greatest difference met in a comparison, and where.
#[derive(Default)]
pub struct Worst {
    difference: f64,
    place: String,
}

impl Worst {
    /// Takes a difference in.
    pub fn take(&mut self, difference: f64, place: impl std::fmt::Display) {
        // A difference that is no number is the worst there is.
        let difference = if difference.is_nan() { f64::INFINITY } else { difference.abs() };
        if difference > self.difference || self.place.is_empty() {
            *self = Worst { difference, place: place.to_string() };
        }
    }

    /// The greatest difference so far, and what is said of it where it is beyond `allowed`.
    ///
    /// # Errors
    /// A sentence with the difference and its place.
    pub fn within(&self, what: &str, allowed: f64) -> Result<f64, String> {
        println!("{what}: at most {:.3e} ({}), allowed {allowed:.1e}", self.difference, self.place);
        if self.place.is_empty() {
            return Err(format!("{what}: nothing was compared"));
        }
        if self.difference <= allowed {
            return Ok(self.difference);
        }
        Err(format!("{what}: {:e} at {}, allowed {allowed:e}", self.difference, self.place))
    }
}
