//! A series as text: which device, which channel, which unit, and what a number means in time.

use propstick_wire::Quantity;

use crate::decode::mapping::URN_PREFIX;
use crate::model::Measure;
use crate::took::{DeviceKind, SeriesKey, SeriesKind};

/// The series of a device's channel, for instants. The device's name says what kind of source it is: `urn:dev:` a board of ours,
/// `urn:propstick:NAME` or `urn:propstick:NAME:OWN` another maker's device, read by the mapping of that name. `None` for any other name.
pub fn series_key(urn: &str, channel: &str, unit: &str) -> Option<SeriesKey> {
    let (device_kind, mapping) = match urn.strip_prefix(URN_PREFIX) {
        Some(rest) => (DeviceKind::Foreign, Some(rest.split(':').next().unwrap_or(rest).to_owned())),
        None if urn.starts_with(propstick_wire::urn::PREFIX) => (DeviceKind::Board, None),
        None => return None,
    };
    Some(SeriesKey {
        device: urn.to_owned(),
        device_kind,
        mapping,
        channel: channel.to_owned(),
        unit_sent: unit.to_owned(),
        kind: SeriesKind::Instant,
        span_s: 0,
        stamp_end: false,
    })
}

/// A series as the head of a column: `URN CHANNEL [UNIT]`, for numbers of an interval `URN CHANNEL [UNIT; sum 3600 s, end]`.
pub fn label(key: &SeriesKey) -> String {
    format!("{} {} [{}]", key.device, key.channel, unit_and_meaning(&key.unit_sent, key))
}

/// What is measured at a spot as the head of a column: `STRUCTURE / SPOT / QUANTITY [UNIT]`, with the unit as said to people; `key` says what a number
/// means in time. This is for reading, not for coming back in.
pub fn spot_label(structure_name: &str, spot: &str, quantity: Quantity, key: &SeriesKey) -> String {
    let unit = unit_and_meaning(Measure::Direct(quantity).unit(), key);
    format!("{structure_name} / {spot} / {} [{unit}]", quantity.name())
}

/// `UNIT`, or `UNIT; sum 3600 s, end` where a number says something of an interval.
fn unit_and_meaning(unit: &str, key: &SeriesKey) -> String {
    match key.kind {
        SeriesKind::Instant => unit.to_owned(),
        kind => format!("{unit}; {} {} s, {}", kind.word(), key.span_s, stamp_word(key.stamp_end)),
    }
}

/// The word for where an interval is stamped.
pub(super) fn stamp_word(is_end: bool) -> &'static str {
    if is_end { "end" } else { "start" }
}

/// Whether that word says that an interval is stamped at its end.
pub(super) fn stamp_from_word(word: &str) -> Option<bool> {
    match word {
        "end" => Some(true),
        "start" => Some(false),
        _ => None,
    }
}

/// The series that [`label`] wrote so; `None` where the text is none of that form.
pub fn from_label(text: &str) -> Option<SeriesKey> {
    let (head, inside) = text.strip_suffix(']')?.rsplit_once(" [")?;
    let (urn, channel) = head.rsplit_once(' ')?;
    let Some((unit, meaning)) = inside.split_once("; ") else { return series_key(urn, channel, inside) };
    let (kind_and_span, stamp) = meaning.split_once(" s, ")?;
    let (kind, span) = kind_and_span.split_once(' ')?;
    let kind = SeriesKind::from_word(kind).filter(|kind| *kind != SeriesKind::Instant)?;
    let span_s: i64 = span.parse().ok().filter(|s| *s >= 0)?;
    Some(SeriesKey { kind, span_s, stamp_end: stamp_from_word(stamp)?, ..series_key(urn, channel, unit)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn label_of_an_instant_and_of_an_interval_lead_back_to_their_series() {
        let air = series_key("urn:dev:mac:02005efffe10a2b3", "air-temperature", "Cel").unwrap();
        assert_eq!(label(&air), "urn:dev:mac:02005efffe10a2b3 air-temperature [Cel]");
        assert_eq!((air.device_kind, &air.mapping), (DeviceKind::Board, &None));
        let rain = SeriesKey {
            kind: SeriesKind::Sum,
            span_s: 3600,
            stamp_end: true,
            ..series_key("urn:propstick:roof:a%20b", "rain", "mm").unwrap()
        };
        assert_eq!(label(&rain), "urn:propstick:roof:a%20b rain [mm; sum 3600 s, end]");
        assert_eq!((rain.device_kind, rain.mapping.as_deref()), (DeviceKind::Foreign, Some("roof")));
        assert_eq!(
            spot_label("Long tunnel", "roof", Quantity::Rain, &rain),
            "Long tunnel / roof / rain [mm; sum 3600 s, end]"
        );
        assert_eq!(spot_label("=A1", "x", Quantity::AirTemperature, &air), "=A1 / x / air-temperature [°C]");
        for key in [air, rain] {
            assert_eq!(from_label(&label(&key)).as_ref(), Some(&key));
        }
    }

    #[test]
    fn text_that_is_no_label_gives_none() {
        for text in [
            "",
            "Temp (°C)",
            "time_utc",
            "urn:dev:mac:1 air-temperature",
            "tunnel air-temperature [Cel]",
            "urn:dev:x rain [mm; sum 3600 s]",
            "urn:dev:x rain [mm; sum -1 s, end]",
            "urn:dev:x rain [mm; total 3600 s, end]",
            "urn:dev:x rain [mm; instant 0 s, end]",
            "urn:dev:x rain [mm; sum 3600 s, middle]",
        ] {
            assert_eq!(from_label(text), None, "{text}");
        }
    }
}
