//! The reader: a pack checked whole, and its resolved records.

use super::fields::Fields;
use super::{ABSOLUTE_FROM_S, MAX_PACK_BYTES, MAX_RECORDS, Name, VERSION};
use crate::Millis;
use crate::json::{self, Array, Elements, JsonError, JsonText};
use core::fmt;

/// A checked pack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack<'a> {
    array: Array<'a>,
}

impl<'a> Pack<'a> {
    /// Checks the whole of `text`; an empty array is a pack without records.
    ///
    /// # Errors
    /// A text that is not to be read or too long, too many records, a version above [`VERSION`] or one that changes, a field that must be
    /// understood and is not (its label ends in `_`), a label twice in a record, a field of the wrong type, a name against the rules, more
    /// than one value, a record with neither value nor sum that is not base fields alone, a time too far away. A value `v` or sum `s` that
    /// is no number is none of these: see [`Record`].
    pub fn parse(text: &'a str) -> Result<Pack<'a>, SenmlError> {
        let whole = |fault| SenmlError { record: None, fault };
        if text.len() > MAX_PACK_BYTES {
            return Err(whole(SenmlFault::TooLong { bytes: text.len() }));
        }
        let json::Value::Array(array) = json::Value::parse(text).map_err(|error| whole(SenmlFault::Json(error)))?
        else {
            return Err(whole(SenmlFault::NotAnArray));
        };
        let mut base = Base::default();
        let mut version = None;
        for (place, element) in array.elements().enumerate() {
            let here = |fault| SenmlError { record: Some(place), fault };
            if place == MAX_RECORDS {
                return Err(whole(SenmlFault::TooMany));
            }
            let json::Value::Object(object) = element else { return Err(here(SenmlFault::NotAnObject)) };
            let fields = Fields::read(object).map_err(here)?;
            let given = fields.version.unwrap_or(version.unwrap_or(VERSION));
            if given > VERSION {
                return Err(here(SenmlFault::Version { given }));
            }
            if *version.get_or_insert(given) != given {
                return Err(here(SenmlFault::VersionChanges));
            }
            base.take(&fields);
            base.resolve(&fields).map_err(here)?;
        }
        Ok(Pack { array })
    }

    /// The records that measure something, resolved, in order. Records of base fields alone take part and do not show.
    pub fn records(&self) -> Records<'a> {
        Records { elements: self.array.elements(), base: Base::default() }
    }
}

/// A resolved record (section 4.6), apart from relative times: what "now" is, the reader of the message knows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Record<'a> {
    /// Base name and name, joined.
    pub name: Name<'a>,
    /// Unit, or base unit.
    pub unit: Option<JsonText<'a>>,
    /// The value, base value added to a number. [`Value::None`] only where there is a sum.
    pub value: Value<'a>,
    /// The integral of the values over time in the unit times seconds, base sum added. A sum that is no number is left out, and where there is no
    /// value either it stands as [`Value::NotANumber`] in `value`.
    pub sum: Option<f64>,
    /// When the value was measured.
    pub time: Time,
    /// Seconds until the next value at the latest, where given and a number.
    pub update_time_s: Option<f64>,
}

/// The value of a record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'a> {
    /// A number, finite.
    Number(f64),
    /// What stands in the place of a number and is none, as written: `nan`, a text, a number too large for a double.
    NotANumber(&'a str),
    /// A text.
    Text(JsonText<'a>),
    /// A truth value.
    Bool(bool),
    /// Bytes in the URL-safe base64 alphabet without padding; not decoded, not checked.
    Data(JsonText<'a>),
    /// No value; the record has a sum.
    None,
}

/// The time of a record: base time and time, added as seconds and rounded to milliseconds once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Time {
    /// An instant.
    Absolute(Millis),
    /// Milliseconds from roughly now, negative in the past.
    Relative(i64),
}

/// The resolved records of a pack.
#[derive(Clone, Debug)]
pub struct Records<'a> {
    elements: Elements<'a>,
    base: Base<'a>,
}

impl<'a> Iterator for Records<'a> {
    type Item = Record<'a>;

    fn next(&mut self) -> Option<Record<'a>> {
        loop {
            // The pack was checked whole, so the two ways out before a record are not taken.
            let json::Value::Object(object) = self.elements.next()? else { return None };
            let fields = Fields::read(object).ok()?;
            self.base.take(&fields);
            if let Some(record) = self.base.resolve(&fields).ok()? {
                return Some(record);
            }
        }
    }
}

/// The base fields in force.
#[derive(Clone, Copy, Debug, Default)]
struct Base<'a> {
    name: JsonText<'a>,
    time_s: f64,
    unit: Option<JsonText<'a>>,
    value: f64,
    sum: Option<f64>,
}

impl<'a> Base<'a> {
    /// The base fields of a record hold from it on.
    fn take(&mut self, fields: &Fields<'a>) {
        self.name = fields.base_name.unwrap_or(self.name);
        self.time_s = fields.base_time_s.unwrap_or(self.time_s);
        self.unit = fields.base_unit.or(self.unit);
        self.value = fields.base_value.unwrap_or(self.value);
        self.sum = fields.base_sum.or(self.sum);
    }

    /// The record resolved; `None` where it is base fields alone.
    fn resolve(&self, fields: &Fields<'a>) -> Result<Option<Record<'a>>, SenmlFault> {
        if !fields.has_measurement() {
            let base_alone = fields.has_base() && !fields.has_regular();
            return if base_alone { Ok(None) } else { Err(SenmlFault::NoValue) };
        }
        let name = Name { base: self.name, own: fields.name.unwrap_or_default() };
        if !name.is_valid() {
            return Err(SenmlFault::BadName);
        }
        let own_sum = fields.sum.map(|given| given.to_f64().ok_or(given.raw()));
        let sum = match (own_sum, self.sum) {
            (Some(Ok(own)), base) => finite(own + base.unwrap_or(0.0)),
            (Some(Err(_)), _) => None,
            (None, base) => base,
        };
        let value = match (fields.value, own_sum) {
            (Some(Value::Number(own)), _) => match finite(own + self.value) {
                Some(number) => Value::Number(number),
                None => Value::NotANumber("too large"),
            },
            (Some(other), _) => other,
            (None, Some(Err(raw))) => Value::NotANumber(raw),
            (None, _) => Value::None,
        };
        Ok(Some(Record {
            name,
            unit: fields.unit.or(self.unit),
            value,
            sum,
            time: time(self.time_s + fields.time_s.unwrap_or(0.0))?,
            update_time_s: fields.update_time_s,
        }))
    }
}

fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}

fn time(seconds: f64) -> Result<Time, SenmlFault> {
    let at = Millis::from_seconds(seconds).ok_or(SenmlFault::TimeTooFar)?;
    Ok(if seconds < ABSOLUTE_FROM_S { Time::Relative(at.0) } else { Time::Absolute(at) })
}

/// Why a pack is refused, and in which record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SenmlError {
    /// The record, counted from 0; `None` where the pack as a whole is meant.
    pub record: Option<usize>,
    /// What is wrong with it.
    pub fault: SenmlFault,
}

/// What is wrong with a pack or a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SenmlFault {
    /// More than [`MAX_PACK_BYTES`].
    TooLong {
        /// How many bytes it has.
        bytes: usize,
    },
    /// More than [`MAX_RECORDS`].
    TooMany,
    /// Not JSON.
    Json(JsonError),
    /// JSON, but not an array.
    NotAnArray,
    /// A record that is not an object.
    NotAnObject,
    /// A version that is not understood.
    Version {
        /// The version.
        given: u64,
    },
    /// A version that differs from that of the records before.
    VersionChanges,
    /// An unknown label that ends in `_`.
    MustUnderstand,
    /// A label twice in one record.
    Twice,
    /// A field of the wrong type.
    WrongType {
        /// Its label.
        field: &'static str,
        /// What it should be.
        expected: &'static str,
    },
    /// A joined name against the rules of section 4.5.1.
    BadName,
    /// More than one of `v`, `vs`, `vb`, `vd`.
    SeveralValues,
    /// Neither value nor sum, and not base fields alone.
    NoValue,
    /// A time that no [`Millis`] can hold.
    TimeTooFar,
}

impl fmt::Display for SenmlError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.record {
            Some(record) => write!(f, "record {}: {}", record + 1, self.fault),
            None => write!(f, "{}", self.fault),
        }
    }
}

impl fmt::Display for SenmlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SenmlFault::TooLong { bytes } => write!(f, "{bytes} bytes; allowed {MAX_PACK_BYTES}"),
            SenmlFault::TooMany => write!(f, "more than {MAX_RECORDS} records"),
            SenmlFault::Json(error) => write!(f, "{error}"),
            SenmlFault::NotAnArray => f.write_str("expected an array of records"),
            SenmlFault::NotAnObject => f.write_str("expected an object"),
            SenmlFault::Version { given } => write!(f, "version {given}; understood are 1 to {VERSION}"),
            SenmlFault::VersionChanges => f.write_str("another version than the records before"),
            SenmlFault::MustUnderstand => f.write_str("a field ending in '_' that is not understood"),
            SenmlFault::Twice => f.write_str("a field given twice"),
            SenmlFault::WrongType { field, expected } => write!(f, "'{field}': expected {expected}"),
            SenmlFault::BadName => {
                f.write_str("a name has only A-Z a-z 0-9 - : . / _ and begins with a letter or digit")
            }
            SenmlFault::SeveralValues => f.write_str("more than one value"),
            SenmlFault::NoValue => f.write_str("neither value nor sum"),
            SenmlFault::TimeTooFar => f.write_str("a time too far away"),
        }
    }
}

impl core::error::Error for SenmlError {}
