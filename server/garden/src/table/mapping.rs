//! The mapping file: what the columns of a table mean, as plain TOML.
//!
//! ```toml
//! name = "tunnel-probe"          # a-z 0-9 - ; part of the devices' names for ever: urn:propstick:tunnel-probe
//! device = "column:station"      # left out: one device; a column with the devices' own names; or one full name, "urn:dev:..." or "urn:propstick:..."
//! encoding = "utf-8"             # utf-8 (left out), windows-1252, utf-16le or utf-16be; a byte-order mark wins
//! separator = ","                # "," (left out), ";", "\t" or "|"
//! decimal = "."                  # "." (left out) or ","
//! header = 1                     # the line with the columns' names, counted from 1 (left out: 1); 0: none, columns are numbers
//! missing = ["NA"]               # words that mean "no value", in any case of letters, beside the empty cell
//! [time]
//! at = "Timestamp"               # one column with date and time of day, or a date alone (its midnight);
//! #                                or date, or year, month and day; with clock (a text), or hour and perhaps minute, or neither
//! order = "dmy"                  # ymd (left out), dmy or mdy
//! mixed = true                   # day and month change places within the file: each row is told by its step
//! unit = "text"                  # text (left out), s or ms: numbers since 1970-01-01 UTC
//! zone = "Europe/Rome"           # a zone, an offset all year such as "+01:00", or "UTC"; left out where every text has its own offset
//! [[field]]                      # as [[mapping.field]] of the configuration, with `column` for `at`
//! column = "rain"                # a name, or a number from 1; the second column of one name is "NAME#2"
//! quantity = "rain"
//! unit = "mm"
//! channel = "rain-1"             # left out: the quantity
//! kind = "sum"                   # instant (left out; for rain: sum), sum, mean, min or max
//! span_s = 3600                  # not for an instant
//! stamp = "end"                  # start or end of the interval (left out: end; start where the times are dates alone)
//! ```

use std::borrow::Cow;
use std::fmt::Write as _;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer};

use super::clock::Clock;
use super::stamp::Order;
use crate::decode::mapping::{Column, MappingError, MappingField, URN_PREFIX, is_name, wrong};
use crate::decode::{Where, check_column, check_fields};

/// A mapping file has at most so many bytes.
pub const MAX_BYTES: usize = 64 << 10;

/// How a table is read.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileMapping {
    /// Its name, which is part of the names of its devices: a-z, 0-9 and '-', at most 32 bytes.
    pub name: String,
    /// Whose readings they are.
    #[serde(default, deserialize_with = "device")]
    pub device: FileDevice,
    /// How its text is encoded where no byte-order mark says so.
    #[serde(default)]
    pub encoding: Encoding,
    /// What stands between two cells: one ASCII byte.
    #[serde(default = "comma", deserialize_with = "separator")]
    pub separator: u8,
    /// What stands before the decimals.
    #[serde(default)]
    pub decimal: Decimal,
    /// Number of the line with the names of the columns, counted from 1; 0 where there is none.
    #[serde(default = "first_line")]
    pub header: u32,
    /// Words that mean "no value".
    #[serde(default)]
    pub missing: Vec<String>,
    /// Where the time of a row is found, and how it is written.
    pub time: TimeColumns,
    /// The columns with numbers.
    #[serde(rename = "field")]
    pub fields: Vec<MappingField>,
}

/// Whose readings a file holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum FileDevice {
    /// One device, named after the mapping.
    #[default]
    Mapping,
    /// The device whose own name stands in this column of the row.
    Column(Column),
    /// One device with this full name.
    Urn(String),
}

/// How text is encoded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Encoding {
    /// UTF-8, and with it ASCII.
    #[default]
    #[serde(rename = "utf-8")]
    Utf8,
    /// The single bytes of western Europe, and with them ISO 8859-1.
    #[serde(rename = "windows-1252")]
    Windows1252,
    /// UTF-16 with the low byte first.
    #[serde(rename = "utf-16le")]
    Utf16Le,
    /// UTF-16 with the high byte first.
    #[serde(rename = "utf-16be")]
    Utf16Be,
}

impl Encoding {
    /// The word in a mapping.
    pub const fn word(self) -> &'static str {
        match self {
            Encoding::Utf8 => "utf-8",
            Encoding::Windows1252 => "windows-1252",
            Encoding::Utf16Le => "utf-16le",
            Encoding::Utf16Be => "utf-16be",
        }
    }
}

/// What stands before the decimals of a number.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Decimal {
    /// A point.
    #[default]
    #[serde(rename = ".")]
    Point,
    /// A comma.
    #[serde(rename = ",")]
    Comma,
}

/// How the time of a row is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TimeForm {
    /// As a text, or as numbers of year, month, day and hour.
    #[default]
    Text,
    /// As seconds since 1970-01-01 UTC.
    S,
    /// As milliseconds since 1970-01-01 UTC.
    Ms,
}

/// Where the time of a row is found, and how it is written.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct TimeColumns {
    /// Date and time of day, or a date alone.
    pub at: Option<Column>,
    /// The date.
    pub date: Option<Column>,
    /// The time of day, as a text, or as one to six digits such as 130 for half past one.
    pub clock: Option<Column>,
    /// The hour, 0 to 24.
    pub hour: Option<Column>,
    /// The minute, 0 to 59.
    pub minute: Option<Column>,
    /// The year.
    pub year: Option<Column>,
    /// The month, 1 to 12.
    pub month: Option<Column>,
    /// The day of the month.
    pub day: Option<Column>,
    /// In which order day, month and year stand in a text.
    pub order: Order,
    /// Whether day and month change places within the file.
    pub mixed: bool,
    /// How it is written.
    pub unit: TimeForm,
    /// The clock that it was read from; none where every text has its own offset.
    #[serde(deserialize_with = "zone")]
    pub zone: Option<Clock>,
}

impl FileMapping {
    /// Reads a mapping file and checks it.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn from_toml(text: &str) -> Result<FileMapping, MappingError> {
        if text.len() > MAX_BYTES {
            return Err(wrong("file", format!("{} bytes; allowed {MAX_BYTES}", text.len())));
        }
        let mapping: FileMapping = toml::from_str(text).map_err(|error| {
            let line = error.span().map_or(1, |span| 1 + text[..span.start.min(text.len())].matches('\n').count());
            wrong(format!("line {line}"), error.message().to_owned())
        })?;
        mapping.check()?;
        Ok(mapping)
    }

    /// The mapping as a file that [`FileMapping::from_toml`] reads back to the same.
    pub fn to_toml(&self) -> String {
        let mut to = String::new();
        put(&mut to, "name", &text(&self.name));
        match &self.device {
            FileDevice::Mapping => {}
            FileDevice::Column(column) => put(&mut to, "device", &text(&format!("column:{column}"))),
            FileDevice::Urn(urn) => put(&mut to, "device", &text(urn)),
        }
        put(&mut to, "encoding", &text(self.encoding.word()));
        put(&mut to, "separator", &text(&char::from(self.separator).to_string()));
        put(&mut to, "decimal", &text(if self.decimal == Decimal::Comma { "," } else { "." }));
        put(&mut to, "header", &self.header.to_string());
        if !self.missing.is_empty() {
            let words: Vec<String> = self.missing.iter().map(|word| text(word)).collect();
            put(&mut to, "missing", &format!("[{}]", words.join(", ")));
        }
        self.time.put_into(&mut to);
        for field in &self.fields {
            put_field(&mut to, field);
        }
        to
    }

    /// Checks what the types alone cannot.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn check(&self) -> Result<(), MappingError> {
        if !is_name(&self.name) {
            return Err(wrong("name", format!("{:?}; allowed 1 to 32 of a-z, 0-9 and '-'", self.name)));
        }
        match &self.device {
            FileDevice::Mapping => {}
            FileDevice::Column(column) => check_column("device", column)?,
            FileDevice::Urn(urn) => check_urn(urn)?,
        }
        let separator = char::from(self.separator);
        if !matches!(separator, ',' | ';' | '\t' | '|') {
            return Err(wrong("separator", format!("{separator:?}; allowed \",\", \";\", \"\\t\" and \"|\"")));
        }
        if self.header > 10_000 {
            return Err(wrong("header", format!("{}; allowed 0 to 10000", self.header)));
        }
        if self.missing.len() > 64 || self.missing.iter().any(|word| word.len() > 64) {
            return Err(wrong("missing", "allowed at most 64 words of at most 64 bytes"));
        }
        self.time.check()?;
        if self.time.mixed && matches!(self.device, FileDevice::Column(_)) {
            return Err(wrong(
                "time.mixed",
                "the steps are those of one device; not allowed where `device` is a column",
            ));
        }
        check_fields(&self.fields, Where::Files)?;
        if self.header == 0
            && let Some((key, name)) = self.columns().into_iter().find_map(|(key, column)| match column {
                Column::Name(name) => Some((key, name.clone())),
                Column::Number(_) => None,
            })
        {
            return Err(wrong(key, format!("{name:?}; where `header` is 0, columns are numbers from 1")));
        }
        Ok(())
    }

    /// All columns it names, with the keys that name them.
    pub fn columns(&self) -> Vec<(String, &Column)> {
        let mut columns = Vec::new();
        if let FileDevice::Column(column) = &self.device {
            columns.push(("device".to_owned(), column));
        }
        for (key, column) in self.time.columns() {
            columns.push((format!("time.{key}"), column));
        }
        for (place, field) in self.fields.iter().enumerate() {
            if let Some(column) = &field.column {
                columns.push((format!("field[{place}].column"), column));
            }
        }
        columns
    }
}

impl TimeColumns {
    /// The columns it names, with their keys.
    pub fn columns(&self) -> Vec<(&'static str, &Column)> {
        let all = [
            ("at", &self.at),
            ("date", &self.date),
            ("clock", &self.clock),
            ("hour", &self.hour),
            ("minute", &self.minute),
            ("year", &self.year),
            ("month", &self.month),
            ("day", &self.day),
        ];
        all.into_iter().filter_map(|(key, column)| column.as_ref().map(|column| (key, column))).collect()
    }

    fn check(&self) -> Result<(), MappingError> {
        for (key, column) in self.columns() {
            check_column(&format!("time.{key}"), column)?;
        }
        let date_by_number = [&self.year, &self.month, &self.day].iter().filter(|column| column.is_some()).count();
        let ways = usize::from(self.at.is_some()) + usize::from(self.date.is_some()) + usize::from(date_by_number > 0);
        if ways != 1 || !matches!(date_by_number, 0 | 3) {
            return Err(wrong("time", "allowed one of: `at`; `date`; `year` with `month` and `day`"));
        }
        let clock_keys = [("clock", &self.clock), ("hour", &self.hour), ("minute", &self.minute)];
        if self.at.is_some()
            && let Some((key, _)) = clock_keys.iter().find(|(_, column)| column.is_some())
        {
            return Err(wrong(format!("time.{key}"), "`at` holds the time of day; allowed with `date` or `year`"));
        }
        if self.clock.is_some() && self.hour.is_some() {
            return Err(wrong("time.hour", "`clock` is there already; allowed one of them"));
        }
        if self.minute.is_some() && self.hour.is_none() {
            return Err(wrong("time.minute", "allowed with `hour`"));
        }
        if self.unit != TimeForm::Text {
            if self.at.is_none() {
                return Err(wrong("time.unit", "seconds and milliseconds stand in one column; allowed with `at`"));
            }
            if self.zone.is_some() {
                return Err(wrong("time.zone", "seconds and milliseconds have none; allowed with unit text"));
            }
        }
        if date_by_number > 0 && self.zone.is_none() {
            return Err(wrong("time.zone", "missing; numbers of year, month and day do not say theirs"));
        }
        if self.mixed && (self.order == Order::Ymd || self.unit != TimeForm::Text || date_by_number > 0) {
            return Err(wrong("time.mixed", "allowed for texts in the order dmy or mdy"));
        }
        Ok(())
    }

    fn put_into(&self, to: &mut String) {
        to.push_str("\n[time]\n");
        for (key, column) in self.columns() {
            put(to, key, &column_text(column));
        }
        if self.unit != TimeForm::Text {
            put(to, "unit", &text(if self.unit == TimeForm::S { "s" } else { "ms" }));
        } else if self.year.is_none() {
            put(to, "order", &text(self.order.word()));
        }
        if self.mixed {
            put(to, "mixed", "true");
        }
        if let Some(zone) = self.zone {
            put(to, "zone", &text(&zone.to_string()));
        }
    }
}

fn put_field(to: &mut String, field: &MappingField) {
    to.push_str("\n[[field]]\n");
    if let Some(column) = &field.column {
        put(to, "column", &column_text(column));
    }
    put(to, "quantity", &text(field.quantity.name()));
    put(to, "unit", &text(&field.unit));
    if let Some(channel) = &field.channel {
        put(to, "channel", &text(channel));
    }
    if let Some(kind) = field.kind {
        put(to, "kind", &text(kind.word()));
    }
    if let Some(span_s) = field.span_s {
        put(to, "span_s", &span_s.to_string());
    }
    if let Some(stamp) = field.stamp {
        put(to, "stamp", &text(stamp.word()));
    }
}

fn put(to: &mut String, key: &str, value: &str) {
    let _ = writeln!(to, "{key} = {value}");
}

fn text(value: &str) -> String {
    toml::Value::String(value.to_owned()).to_string()
}

fn column_text(column: &Column) -> String {
    match column {
        Column::Name(name) => text(name),
        Column::Number(number) => number.to_string(),
    }
}

fn check_urn(urn: &str) -> Result<(), MappingError> {
    let is_well = urn.len() <= 160
        && (urn.starts_with("urn:dev:") || urn.starts_with(URN_PREFIX))
        && !urn.ends_with(':')
        && urn.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b':' | b'-' | b'.' | b'_' | b'%'));
    if is_well {
        return Ok(());
    }
    let what =
        format!("{urn:?}; allowed \"column:NAME\", or a full name such as \"urn:dev:mac:...\" or \"{URN_PREFIX}...\"");
    Err(wrong("device", what))
}

fn comma() -> u8 {
    b','
}

fn first_line() -> u32 {
    1
}

fn device<'de, D: Deserializer<'de>>(deserializer: D) -> Result<FileDevice, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    if let Some(column) = text.strip_prefix("column:") {
        return Ok(FileDevice::Column(Column::Name(column.to_owned())));
    }
    Ok(FileDevice::Urn(text.into_owned()))
}

fn separator<'de, D: Deserializer<'de>>(deserializer: D) -> Result<u8, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    match text.as_bytes() {
        [one] => Ok(*one),
        _ => Err(D::Error::custom(format!("{text:?}; expected one of \",\", \";\", \"\\t\" and \"|\""))),
    }
}

fn zone<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Clock>, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    text.parse().map(Some).map_err(D::Error::custom)
}

#[cfg(test)]
mod tests;
