//! The fields of one record as they stand in the JSON object, checked for themselves.

use super::pack::{SenmlFault, Value};
use crate::json::{self, JsonText, Object};

/// The fields of one record (table 2 of section 5).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fields<'a> {
    pub(super) base_name: Option<JsonText<'a>>,
    pub(super) base_time_s: Option<f64>,
    pub(super) base_unit: Option<JsonText<'a>>,
    pub(super) base_value: Option<f64>,
    pub(super) base_sum: Option<f64>,
    pub(super) version: Option<u64>,
    pub(super) name: Option<JsonText<'a>>,
    pub(super) unit: Option<JsonText<'a>>,
    pub(super) value: Option<Value<'a>>,
    pub(super) sum: Option<json::Value<'a>>,
    pub(super) time_s: Option<f64>,
    pub(super) update_time_s: Option<f64>,
}

impl<'a> Fields<'a> {
    /// Reads the members of a record.
    pub(super) fn read(object: Object<'a>) -> Result<Fields<'a>, SenmlFault> {
        let mut fields = Fields::default();
        for (place, (label, given)) in object.members().enumerate() {
            if object.members().take(place).any(|(before, _)| before == label) {
                return Err(SenmlFault::Twice);
            }
            // Labels have no escapes in any sane message; one that has is compared slowly but rightly.
            match known(label) {
                Some("bn") => fields.base_name = Some(text("bn", given)?),
                Some("bt") => fields.base_time_s = Some(number("bt", given)?),
                Some("bu") => fields.base_unit = Some(text("bu", given)?),
                Some("bv") => fields.base_value = Some(number("bv", given)?),
                Some("bs") => fields.base_sum = Some(number("bs", given)?),
                Some("bver") => fields.version = Some(version(given)?),
                Some("n") => fields.name = Some(text("n", given)?),
                Some("u") => fields.unit = Some(text("u", given)?),
                Some("v") => fields.set_value(match given.to_f64() {
                    Some(number) => Value::Number(number),
                    None => Value::NotANumber(given.raw()),
                })?,
                Some("vs") => fields.set_value(Value::Text(text("vs", given)?))?,
                Some("vd") => fields.set_value(Value::Data(text("vd", given)?))?,
                Some("vb") => {
                    let truth =
                        given.to_bool().ok_or(SenmlFault::WrongType { field: "vb", expected: "true or false" })?;
                    fields.set_value(Value::Bool(truth))?;
                }
                Some("s") => fields.sum = Some(given),
                Some("t") => fields.time_s = Some(number("t", given)?),
                Some("ut") => fields.update_time_s = given.to_f64(),
                _ if label.chars().last() == Some('_') => return Err(SenmlFault::MustUnderstand),
                _ => {}
            }
        }
        Ok(fields)
    }

    /// Whether the record measures something: base fields alone do not.
    pub(super) fn has_measurement(&self) -> bool {
        self.value.is_some() || self.sum.is_some()
    }

    pub(super) fn has_base(&self) -> bool {
        self.base_name.is_some()
            || self.base_time_s.is_some()
            || self.base_unit.is_some()
            || self.base_value.is_some()
            || self.base_sum.is_some()
            || self.version.is_some()
    }

    /// Whether the record has a field that belongs to a measurement, beside value and sum.
    pub(super) fn has_regular(&self) -> bool {
        self.name.is_some() || self.unit.is_some() || self.time_s.is_some() || self.update_time_s.is_some()
    }

    fn set_value(&mut self, value: Value<'a>) -> Result<(), SenmlFault> {
        if self.value.replace(value).is_some() { Err(SenmlFault::SeveralValues) } else { Ok(()) }
    }
}

/// The label as a word of ours, if it is one.
fn known(label: JsonText<'_>) -> Option<&'static str> {
    ["bn", "bt", "bu", "bv", "bs", "bver", "n", "u", "v", "vs", "vd", "vb", "s", "t", "ut"]
        .into_iter()
        .find(|known| label == *known)
}

fn text<'a>(field: &'static str, given: json::Value<'a>) -> Result<JsonText<'a>, SenmlFault> {
    given.to_text().ok_or(SenmlFault::WrongType { field, expected: "a text" })
}

fn number(field: &'static str, given: json::Value<'_>) -> Result<f64, SenmlFault> {
    given.to_f64().ok_or(SenmlFault::WrongType { field, expected: "a number" })
}

fn version(given: json::Value<'_>) -> Result<u64, SenmlFault> {
    match given.to_u64() {
        Some(0) | None => Err(SenmlFault::WrongType { field: "bver", expected: "a whole number from 1" }),
        Some(version) => Ok(version),
    }
}
