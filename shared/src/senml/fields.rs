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
        // One bit for each label of ours that was there; labels of others are compared among themselves.
        let mut seen = 0_u16;
        for (place, (label, given)) in object.members().enumerate() {
            let Some(label) = known(label) else {
                if object.members().take(place).any(|(before, _)| before == label) {
                    return Err(SenmlFault::Twice);
                }
                if label.chars().last() == Some('_') {
                    return Err(SenmlFault::MustUnderstand);
                }
                continue;
            };
            if seen & 1 << label as u16 != 0 {
                return Err(SenmlFault::Twice);
            }
            seen |= 1 << label as u16;
            match label {
                Label::Bn => fields.base_name = Some(text("bn", given)?),
                Label::Bt => fields.base_time_s = Some(number("bt", given)?),
                Label::Bu => fields.base_unit = Some(text("bu", given)?),
                Label::Bv => fields.base_value = Some(number("bv", given)?),
                Label::Bs => fields.base_sum = Some(number("bs", given)?),
                Label::Bver => fields.version = Some(version(given)?),
                Label::N => fields.name = Some(text("n", given)?),
                Label::U => fields.unit = Some(text("u", given)?),
                Label::V => fields.set_value(match given.to_f64() {
                    Some(number) => Value::Number(number),
                    None => Value::NotANumber(given.raw()),
                })?,
                Label::Vs => fields.set_value(Value::Text(text("vs", given)?))?,
                Label::Vd => fields.set_value(Value::Data(text("vd", given)?))?,
                Label::Vb => {
                    let truth =
                        given.to_bool().ok_or(SenmlFault::WrongType { field: "vb", expected: "true or false" })?;
                    fields.set_value(Value::Bool(truth))?;
                }
                Label::S => fields.sum = Some(given),
                Label::T => fields.time_s = Some(number("t", given)?),
                Label::Ut => fields.update_time_s = given.to_f64(),
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

/// A label that is understood.
#[derive(Clone, Copy)]
enum Label {
    Bn,
    Bt,
    Bu,
    Bv,
    Bs,
    Bver,
    N,
    U,
    V,
    Vs,
    Vd,
    Vb,
    S,
    T,
    Ut,
}

/// The label as one of ours, if it is. None of ours has more than four characters, so one that is escaped is short enough to unfold here.
fn known(label: JsonText<'_>) -> Option<Label> {
    let mut unfolded = [0; 4];
    let plain = match label.as_plain() {
        Some(plain) => plain,
        None => {
            let mut len = 0;
            for c in label.chars() {
                *unfolded.get_mut(len)? = u8::try_from(c).ok()?;
                len += 1;
            }
            core::str::from_utf8(&unfolded[..len]).ok()?
        }
    };
    Some(match plain {
        "bn" => Label::Bn,
        "bt" => Label::Bt,
        "bu" => Label::Bu,
        "bv" => Label::Bv,
        "bs" => Label::Bs,
        "bver" => Label::Bver,
        "n" => Label::N,
        "u" => Label::U,
        "v" => Label::V,
        "vs" => Label::Vs,
        "vd" => Label::Vd,
        "vb" => Label::Vb,
        "s" => Label::S,
        "t" => Label::T,
        "ut" => Label::Ut,
        _ => return None,
    })
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
