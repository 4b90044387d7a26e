//! One number of a message or one column of a file: the `[[mapping.field]]` table of the configuration and the `[[field]]` table of a mapping file.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt;

use propstick_wire::Quantity;
use propstick_wire::json::Pointer;
use serde::de::{Error as _, Visitor};
use serde::{Deserialize, Deserializer};

use super::mapping::{MappingError, wrong};
use crate::took::SeriesKind;

/// At most this many fields stand in one mapping.
pub const MAX_FIELDS: usize = 64;

/// One number in a message, or one column of a file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MappingField {
    /// In messages: the JSON pointer to it; `""` where the whole message is one number.
    #[serde(default)]
    pub at: Option<String>,
    /// In files: its column.
    #[serde(default)]
    pub column: Option<Column>,
    /// What it measures.
    #[serde(deserialize_with = "quantity")]
    pub quantity: Quantity,
    /// The unit it is written in.
    pub unit: String,
    /// Its channel, where the device has several of the quantity: the quantity's name and `-1` to `-99`.
    #[serde(default)]
    pub channel: Option<String>,
    /// What the number says of its interval; left out: an instant, for rain a sum.
    #[serde(default, deserialize_with = "kind")]
    pub kind: Option<SeriesKind>,
    /// The seconds of its interval, 1 to a day; not for an instant.
    #[serde(default)]
    pub span_s: Option<u32>,
    /// Which end of its interval the time names; left out: its end, in files that hold dates alone its start.
    #[serde(default)]
    pub stamp: Option<Stamp>,
}

/// A column of a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Column {
    /// By its name, as [`crate::table::column_name`] writes it; the second of one name is `NAME#2`.
    Name(String),
    /// By its number, counted from 1.
    Number(u32),
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Column::Name(name) => f.write_str(name),
            Column::Number(number) => write!(f, "{number}"),
        }
    }
}

/// Which end of an interval a time names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stamp {
    /// Its start.
    Start,
    /// Its end.
    End,
}

impl Stamp {
    /// The word in a mapping.
    pub const fn word(self) -> &'static str {
        match self {
            Stamp::Start => "start",
            Stamp::End => "end",
        }
    }
}

/// Where the fields of a mapping are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Where {
    /// In messages.
    Messages,
    /// In files.
    Files,
}

impl MappingField {
    /// The number of a message at a JSON pointer.
    pub fn at(pointer: &str, quantity: Quantity, unit: &str) -> MappingField {
        MappingField { at: Some(pointer.to_owned()), column: None, ..MappingField::bare(quantity, unit) }
    }

    /// A column of a file.
    pub fn of_column(column: Column, quantity: Quantity, unit: &str) -> MappingField {
        MappingField { column: Some(column), ..MappingField::bare(quantity, unit) }
    }

    fn bare(quantity: Quantity, unit: &str) -> MappingField {
        MappingField {
            at: None,
            column: None,
            quantity,
            unit: unit.to_owned(),
            channel: None,
            kind: None,
            span_s: None,
            stamp: None,
        }
    }

    /// Its channel.
    pub fn channel(&self) -> &str {
        self.channel.as_deref().unwrap_or(self.quantity.name())
    }

    /// What its number says of its interval.
    pub fn kind(&self) -> SeriesKind {
        match (self.kind, self.quantity) {
            (Some(kind), _) => kind,
            (None, Quantity::Rain) => SeriesKind::Sum,
            (None, _) => SeriesKind::Instant,
        }
    }

    /// The seconds of its interval; 0 for an instant.
    pub fn interval_s(&self) -> i64 {
        i64::from(self.span_s.unwrap_or(0))
    }

    fn check(&self, key: &str, place: Where) -> Result<(), MappingError> {
        match (place, &self.at, &self.column) {
            (Where::Messages, Some(at), None) => check_pointer(&format!("{key}.at"), at)?,
            (Where::Messages, _, Some(_)) => {
                return Err(wrong(format!("{key}.column"), "belongs to files; in messages `at` says where"));
            }
            (Where::Messages, None, None) => {
                return Err(wrong(format!("{key}.at"), "missing; a pointer such as \"/t\" says where"));
            }
            (Where::Files, None, Some(column)) => check_column(&format!("{key}.column"), column)?,
            (Where::Files, Some(_), _) => {
                return Err(wrong(format!("{key}.at"), "belongs to messages; in files `column` says where"));
            }
            (Where::Files, None, None) => {
                return Err(wrong(format!("{key}.column"), "missing; the name of a column, or its number from 1"));
            }
        }
        if !self.quantity.accepts_unit(&self.unit) {
            let allowed: Vec<&str> = self.quantity.units().collect();
            let what = format!("{:?}; allowed for {}: {}", self.unit, self.quantity.name(), allowed.join(", "));
            return Err(wrong(format!("{key}.unit"), what));
        }
        if Quantity::from_channel(self.channel()).is_none_or(|(quantity, _)| quantity != self.quantity) {
            let name = self.quantity.name();
            let what = format!("{:?}; allowed {name} and {name}-1 to {name}-99", self.channel());
            return Err(wrong(format!("{key}.channel"), what));
        }
        self.check_interval(key)
    }

    fn check_interval(&self, key: &str) -> Result<(), MappingError> {
        let kind = self.kind();
        if (kind == SeriesKind::Sum) != (self.quantity == Quantity::Rain) {
            let what = match kind {
                SeriesKind::Sum => "\"sum\"; allowed for rain only; for others: instant, mean, min, max".to_owned(),
                _ => format!("{:?}; allowed for rain: sum", kind.word()),
            };
            return Err(wrong(format!("{key}.kind"), what));
        }
        match (kind, self.span_s) {
            (SeriesKind::Instant, None) => {}
            (SeriesKind::Instant, Some(_)) => {
                let what = "allowed for rain only, and where `kind` says mean, min or max";
                return Err(wrong(format!("{key}.span_s"), what));
            }
            (_, Some(1..=86_400)) => {}
            (kind, _) => {
                let of_what = if kind == SeriesKind::Sum { "rain" } else { kind.word() };
                let what = format!("needed for {of_what}: 1 to 86400, the seconds of its interval");
                return Err(wrong(format!("{key}.span_s"), what));
            }
        }
        if kind == SeriesKind::Instant && self.stamp.is_some() {
            return Err(wrong(
                format!("{key}.stamp"),
                "an instant has no interval; allowed with sum, mean, min or max",
            ));
        }
        Ok(())
    }
}

/// Checks all fields of one mapping, and that no two of them would be one series.
pub(crate) fn check_fields(fields: &[MappingField], place: Where) -> Result<(), MappingError> {
    if fields.is_empty() || fields.len() > MAX_FIELDS {
        return Err(wrong("field", format!("{} fields; allowed 1 to {MAX_FIELDS}", fields.len())));
    }
    let mut series = BTreeSet::new();
    for (number, field) in fields.iter().enumerate() {
        field.check(&format!("field[{number}]"), place)?;
        if !series.insert((field.channel(), field.kind())) {
            let what = format!("{:?} is there already; allowed one field each, told apart by channel", field.channel());
            return Err(wrong(format!("field[{number}].channel"), what));
        }
    }
    Ok(())
}

pub(super) fn check_pointer(key: &str, at: &str) -> Result<(), MappingError> {
    Pointer::parse(at).map(|_| ()).map_err(|error| wrong(key, format!("{at:?}; {error}")))
}

pub(crate) fn check_column(key: &str, column: &Column) -> Result<(), MappingError> {
    match column {
        Column::Number(0) => Err(wrong(key, "0; columns are counted from 1")),
        Column::Name(name) if name.trim().is_empty() => Err(wrong(key, "\"\"; allowed a name, or a number from 1")),
        _ => Ok(()),
    }
}

fn quantity<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Quantity, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    Quantity::from_name(&text).ok_or_else(|| {
        let known: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.name()).collect();
        D::Error::custom(format!("{text:?}; expected one of {}", known.join(", ")))
    })
}

fn kind<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<SeriesKind>, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    SeriesKind::from_word(&text).map(Some).ok_or_else(|| {
        let known: Vec<&str> = SeriesKind::ALL.iter().map(|kind| kind.word()).collect();
        D::Error::custom(format!("{text:?}; expected one of {}", known.join(", ")))
    })
}

impl<'de> Deserialize<'de> for Column {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Column, D::Error> {
        struct NameOrNumber;

        impl Visitor<'_> for NameOrNumber {
            type Value = Column;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the name of a column, or its number from 1")
            }

            fn visit_str<E: serde::de::Error>(self, name: &str) -> Result<Column, E> {
                Ok(Column::Name(name.to_owned()))
            }

            fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Column, E> {
                self.visit_i64(i64::try_from(number).unwrap_or(i64::MAX))
            }

            fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Column, E> {
                let column = u32::try_from(number).map(Column::Number);
                column.map_err(|_| E::custom(format!("{number}; columns are counted from 1 and are not so many")))
            }
        }

        deserializer.deserialize_any(NameOrNumber)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::mapping::Mapping;

    fn mapping(field: &str) -> Result<Mapping, String> {
        let text = format!("name = 'a'\ntopic = 't'\n[[field]]\nquantity = 'air-temperature'\nunit = 'Cel'\n{field}");
        let mapping: Mapping = toml::from_str(&text).map_err(|error| error.message().to_owned())?;
        mapping.check().map_err(|error| error.to_string())?;
        Ok(mapping)
    }

    #[test]
    fn field_of_a_message_may_have_an_interval() {
        let field = mapping("at = '/t'\nkind = 'mean'\nspan_s = 600\nstamp = 'start'").unwrap().fields.remove(0);
        assert_eq!((field.kind(), field.interval_s(), field.stamp), (SeriesKind::Mean, 600, Some(Stamp::Start)));
        let field = mapping("at = ''").unwrap().fields.remove(0);
        assert_eq!((field.kind(), field.interval_s(), field.stamp), (SeriesKind::Instant, 0, None));
    }

    #[test]
    fn field_of_a_message_that_is_wrong_says_what_is_allowed() {
        for (field, expected) in [
            ("column = 'T'", "field[0].column: belongs to files; in messages `at` says where"),
            ("at = '/t'\ncolumn = 1", "field[0].column: belongs to files"),
            ("", "field[0].at: missing; a pointer such as"),
            ("at = '/t'\nkind = 'mean'", "field[0].span_s: needed for mean: 1 to 86400"),
            ("at = '/t'\nkind = 'max'\nspan_s = 86401", "field[0].span_s: needed for max: 1 to 86400"),
            ("at = '/t'\nstamp = 'end'", "field[0].stamp: an instant has no interval"),
            ("at = '/t'\nkind = 'sum'\nspan_s = 60", "field[0].kind: \"sum\"; allowed for rain only"),
            ("at = '/t'\nkind = 'middle'", "\"middle\"; expected one of instant, sum, mean, min, max"),
            ("at = '/t'\nkind = 'min'\nspan_s = 60\nstamp = 'middle'", "unknown variant `middle`"),
            ("column = 5000000000", "5000000000; columns are counted from 1 and"),
            ("column = 1.5", "invalid type: floating point `1.5`, expected the name of a column, or its number"),
        ] {
            let error = mapping(field).unwrap_err();
            assert!(error.starts_with(expected), "{field}: {error}");
        }
    }
}
