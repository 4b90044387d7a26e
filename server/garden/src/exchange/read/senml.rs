//! SenML as JSON, a pack a line: read by RFC 8428's rules, with our labels beside (see the writer).

use core::ops::ControlFlow;

use propstick_wire::Millis;
use propstick_wire::json::{Object, Value};
use propstick_wire::senml::ABSOLUTE_FROM_S;
use propstick_wire::urn::CHANNEL_SEPARATOR;

use super::taker::{Objection, Taker};
use crate::exchange::label::{series_key, stamp_from_word};
use crate::instant::from_rfc3339;
use crate::table::AsideWhy;
use crate::table::text::Line;
use crate::took::{SeriesKey, SeriesKind};

/// Whether a line begins like a pack of such a file; its end may be cut off.
pub(super) fn is_pack(line: &str) -> bool {
    line.starts_with('[') && line.contains("\"bn\":\"urn:")
}

/// Takes a line.
pub(super) fn line(line: &Line<'_>, taker: &mut Taker<'_>) -> ControlFlow<()> {
    taker.row();
    let row = |why| Objection { why, what: "", example: line.text };
    if line.text.trim().is_empty() {
        taker.aside(line.number, &row(AsideWhy::Blank));
        return ControlFlow::Continue(());
    }
    if line.is_cut {
        taker.aside(line.number, &row(AsideWhy::Long));
        return ControlFlow::Continue(());
    }
    let Ok(Value::Array(records)) = Value::parse(line.text) else {
        taker.aside(line.number, &row(AsideWhy::Unbalanced));
        return ControlFlow::Continue(());
    };
    let mut base = Base::default();
    let mut is_read = false;
    for record in records.elements() {
        let taken = match record {
            Value::Object(object) => Record::read(object, &mut base),
            _ => Err((AsideWhy::Unbalanced, "a record".to_owned())),
        };
        let taken = taken.and_then(|record| {
            let key = record.key().ok_or((AsideWhy::NoDevice, "the name of a record".to_owned()))?;
            let number = taker.series(&key).map_err(|what| (AsideWhy::NoDevice, what))?;
            let at = record.at.ok_or((AsideWhy::NoTime, key.channel.clone()))?;
            taker.counts(at).map_err(|why| (why, key.channel.clone()))?;
            let v = record.v.ok_or((AsideWhy::NotANumber, key.channel.clone()))?;
            Ok((number, at, v))
        });
        match taken {
            Ok((number, at, v)) => {
                is_read = true;
                taker.reading(line.number, number, at, v, &v.to_string())?;
            }
            Err((why, what)) => taker.aside(line.number, &Objection { why, what: &what, example: record.raw() }),
        }
    }
    if is_read {
        taker.row_is_read();
    }
    ControlFlow::Continue(())
}

/// The base fields in force (section 4.1).
#[derive(Default)]
struct Base {
    name: String,
    time_s: f64,
    unit: String,
    value: Option<f64>,
}

/// A record, resolved (section 4.6).
struct Record {
    name: String,
    unit: String,
    v: Option<f64>,
    at: Option<Millis>,
    meaning: Option<(SeriesKind, i64, bool)>,
}

type Refused = (AsideWhy, String);

impl Record {
    fn read(object: Object<'_>, base: &mut Base) -> Result<Record, Refused> {
        let (mut name, mut unit, mut v, mut t) = (String::new(), None, None, 0.0);
        let (mut utc, mut kind, mut span_s, mut stamp) = (None, None, None, None);
        for (label, value) in object.members() {
            let label = label.to_string();
            let wrong = || (AsideWhy::Unbalanced, format!("label {label}"));
            let text = || value.to_text().map(|text| text.to_string()).ok_or_else(wrong);
            let number = || value.to_f64().ok_or_else(wrong);
            match label.as_str() {
                "bn" => base.name = text()?,
                "bt" => base.time_s = number()?,
                "bu" => base.unit = text()?,
                "bv" => base.value = Some(number()?),
                "n" => name = text()?,
                "u" => unit = Some(text()?),
                "v" => v = value.to_f64(),
                "t" => t = number()?,
                "utc_" => utc = Some(from_rfc3339(&text()?)),
                "kind" => kind = Some(SeriesKind::from_word(&text()?).ok_or_else(wrong)?),
                "span_s" => span_s = Some(value.to_u64().and_then(|s| i64::try_from(s).ok()).ok_or_else(wrong)?),
                "stamp" => stamp = Some(stamp_from_word(&text()?).ok_or_else(wrong)?),
                // Section 4.4: who does not know a label that ends in '_' must not go on.
                other if other.ends_with('_') => return Err(wrong()),
                _ => {}
            }
        }
        let meaning = match (kind, span_s, stamp) {
            (None, None, None) => None,
            (Some(kind), Some(span_s), Some(stamp)) if kind != SeriesKind::Instant => Some((kind, span_s, stamp)),
            _ => return Err((AsideWhy::Unbalanced, "kind, span_s and stamp belong together".to_owned())),
        };
        let seconds = base.time_s + t;
        let at = match utc {
            Some(at) => at,
            // Section 4.5.3: what is lower is relative to now, and nobody knows when that was.
            None => Millis::from_seconds(seconds).filter(|_| seconds >= ABSOLUTE_FROM_S),
        };
        Ok(Record {
            name: format!("{}{name}", base.name),
            unit: unit.unwrap_or_else(|| base.unit.clone()),
            // Nothing is added where there is nothing to add: -0 would become 0.
            v: v.map(|v| base.value.map_or(v, |base| base + v)).filter(|v| v.is_finite()),
            at,
            meaning,
        })
    }

    fn key(&self) -> Option<SeriesKey> {
        let (device, channel) = self.name.rsplit_once(CHANNEL_SEPARATOR)?;
        let key = series_key(&unescaped(device)?, channel, &self.unit)?;
        Some(match self.meaning {
            None => key,
            Some((kind, span_s, stamp_end)) => SeriesKey { kind, span_s, stamp_end, ..key },
        })
    }
}

/// A device's name out of a base name: `/` and two hexadecimal digits are one byte.
fn unescaped(name: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(name.len());
    let mut rest = name.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'/' {
            let high = char::from(rest.next()?).to_digit(16)?;
            let low = char::from(rest.next()?).to_digit(16)?;
            bytes.push(u8::try_from(high * 16 + low).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}
