//! Messages of other makers' devices, read by a mapping.

use propstick_wire::json::{Pointer, Value};

use super::MAX_FOREIGN_BYTES;
use super::mapping::{DeviceFrom, Mapping, MappingField, Stamp, URN_PREFIX, device_urn};
use super::refusal::{NO_TIME, Refusal, not_utf8, shortened};
use super::time::{self, Named};
use super::value::{Given, meant};
use crate::took::{DeviceKind, Envelope, Facts, RawReading, Reason, SeriesKey, SeriesKind, Took};

/// Reads a message by one mapping: a reading or a refusal for each field that is there. A field that is absent or `null` is no fault, since devices
/// leave out what they have not measured; a message with none of the fields is one.
pub(super) fn read(envelope: &Envelope, mapping: &Mapping) -> Vec<Took> {
    let place = format!("in {}, mapping {}", shortened(&envelope.topic), mapping.name);
    let refusal = Refusal::of(envelope);
    let refuse = |reason, detail: String| vec![refusal.because(reason, format!("{detail}; {place}"))];
    let bytes = envelope.payload.len();
    if bytes > MAX_FOREIGN_BYTES {
        return refuse(Reason::Oversized, format!("message: {bytes} bytes; allowed {MAX_FOREIGN_BYTES}"));
    }
    let text = match std::str::from_utf8(&envelope.payload) {
        Ok(text) => text,
        Err(error) => return vec![refusal.because(Reason::Malformed, not_utf8(error, &place))],
    };
    let document = match Value::parse(text) {
        Ok(document) => document,
        Err(error) => return refuse(Reason::Malformed, format!("message: {error}; allowed JSON or one number")),
    };
    let device = match device(envelope, mapping, document) {
        Ok(device) => device,
        Err(detail) => return refuse(Reason::Malformed, detail),
    };
    let refusal = refusal.by(&device);
    let (t, facts) = match own_time(envelope, mapping, document) {
        Ok(own) => time::settle(own, envelope.arrived),
        Err(detail) => return vec![refusal.because(Reason::Malformed, format!("{detail}; {place}"))],
    };
    if envelope.retain && facts != Facts::TIME_OWN {
        return vec![refusal.because(Reason::NoTime, format!("{NO_TIME}; {place}"))];
    }
    let message = Message { envelope, mapping, device: &device, t, facts };
    let mut took = Vec::new();
    let mut is_empty = true;
    for field in &mapping.fields {
        match message.reading(field, document) {
            Ok(Field::Absent) => continue,
            Ok(Field::Null) => {}
            Ok(Field::Reading(reading)) => took.push(Took::Reading(reading)),
            Err((reason, detail)) => took.push(refusal.because(reason, format!("{detail}; {place}"))),
        }
        is_empty = false;
    }
    if is_empty {
        let wanted: Vec<String> = mapping.fields.iter().map(|field| format!("{:?}", pointer(field))).collect();
        let detail = format!("fields: none is there; allowed {}; {place}", wanted.join(", "));
        took.push(refusal.because(Reason::Malformed, detail));
    }
    took
}

/// What stands where a field of the mapping points.
enum Field {
    /// Nothing.
    Absent,
    /// `null`: the device says that it has no value.
    Null,
    /// A number that can be meant.
    Reading(RawReading),
}

struct Message<'a> {
    envelope: &'a Envelope,
    mapping: &'a Mapping,
    device: &'a str,
    t: propstick_wire::Millis,
    facts: Facts,
}

impl Message<'_> {
    fn reading(&self, field: &MappingField, document: Value<'_>) -> Result<Field, (Reason, String)> {
        let channel = field.channel();
        let given =
            match find(document, pointer(field)).map_err(|what| (Reason::Malformed, format!("{channel}: {what}")))? {
                None => return Ok(Field::Absent),
                Some(Value::Null) => return Ok(Field::Null),
                Some(Value::Bool(truth)) => Given::Truth(truth),
                Some(number @ Value::Number(_)) => match number.to_f64() {
                    Some(number) => Given::Number(number),
                    None => Given::Other(number.raw()),
                },
                Some(other) => Given::Other(other.raw()),
            };
        let (v, unit_sent) = meant(channel, given, Some(&field.unit))?;
        let facts = if self.envelope.retain { self.facts.and(Facts::RETAINED) } else { self.facts };
        let kind = field.kind();
        Ok(Field::Reading(RawReading {
            series: SeriesKey {
                device: self.device.to_owned(),
                device_kind: DeviceKind::Foreign,
                mapping: Some(self.mapping.name.clone()),
                channel: channel.to_owned(),
                unit_sent,
                kind,
                span_s: field.interval_s(),
                stamp_end: kind != SeriesKind::Instant && field.stamp != Some(Stamp::Start),
            },
            t: self.t,
            v,
            arrived: self.envelope.arrived,
            facts,
            sample: None,
        }))
    }
}

/// Where a field stands in the message.
fn pointer(field: &MappingField) -> &str {
    field.at.as_deref().unwrap_or_default()
}

/// What a pointer of the mapping finds; the error says what is wrong.
fn find<'d>(document: Value<'d>, at: &str) -> Result<Option<Value<'d>>, String> {
    let pointer = Pointer::parse(at).map_err(|error| error.to_string())?;
    document.find(pointer).map_err(|error| format!("{at} is not clear; {error}"))
}

fn own_time(envelope: &Envelope, mapping: &Mapping, document: Value<'_>) -> Result<Named, String> {
    let Some(at) = &mapping.time else { return Ok(Named::Nothing) };
    let given = find(document, at).map_err(|what| format!("time: {what}"))?;
    Ok(time::named(given, mapping.time_unit, mapping.zone, envelope.arrived))
}

/// The URN of the device that a message is from: [`URN_PREFIX`] and the mapping's name, and where the mapping tells devices apart what
/// [`device_urn`] makes of the device's own name.
fn device(envelope: &Envelope, mapping: &Mapping, document: Value<'_>) -> Result<String, String> {
    let own = match &mapping.device {
        DeviceFrom::Mapping => return Ok(format!("{URN_PREFIX}{}", mapping.name)),
        DeviceFrom::Topic(level) => {
            let found = envelope.topic.split('/').nth(*level);
            found
                .ok_or_else(|| format!("device: the topic has no level {level}; allowed a topic that has it"))?
                .to_owned()
        }
        DeviceFrom::At(at) => match find(document, at).map_err(|what| format!("device: {what}"))? {
            Some(Value::Text(text)) => text.to_string(),
            Some(Value::Number(number)) => number.raw().to_owned(),
            Some(other) => {
                return Err(format!("device: {} at {at}; allowed a text or a number", shortened(other.raw())));
            }
            None => return Err(format!("device: nothing at {at}; allowed a text or a number")),
        },
    };
    device_urn(&mapping.name, &own).ok_or_else(|| {
        let sent = shortened(&own);
        format!("device: {sent:?}; allowed 1 to 64 bytes without control characters")
    })
}
