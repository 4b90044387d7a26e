//! How other makers' devices are read: the `[[mapping]]` tables of the configuration.
//!
//! ```toml
//! [[mapping]]
//! name = "greenhouse-sticks"          # a-z 0-9 - ; becomes part of the devices' names for ever
//! topic = "site/+/air"                # an MQTT topic filter
//! device = "topic:1"                  # the level of the topic, counted from 0, or a pointer such as "/id"; left out: one device alone
//! time = "/ts"                        # left out: arrival counts
//! time_unit = "auto"                  # auto, s, ms or rfc3339
//! zone = "Europe/Dublin"              # for times without an offset
//! [[mapping.field]]
//! at = "/t"                           # RFC 6901; "" where the whole message is one number
//! quantity = "air-temperature"
//! unit = "Cel"
//! kind = "mean"                       # instant (left out; for rain: sum), sum, mean, min or max: what the number says of its interval
//! span_s = 600                        # its interval in seconds; not for an instant
//! stamp = "end"                       # start or end: which end of it the time names; left out: end
//! ```

use std::borrow::Cow;

use chrono_tz::Tz;
use propstick_wire::filter;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer};

pub use super::field::{Column, MAX_FIELDS, MappingField, Stamp};
use super::field::{Where, check_fields, check_pointer};

/// What the names of other makers' devices begin with; the mapping's name and the device's own follow.
pub const URN_PREFIX: &str = "urn:propstick:";

/// Whether a topic lies under the contract's root, which no mapping reads, however wide it is.
pub(super) fn is_ours(topic: &str) -> bool {
    topic == "propstick" || topic.starts_with("propstick/")
}

/// The URN of a device that a mapping tells apart by its own name: [`URN_PREFIX`], the mapping's name, ':' and the own name with every byte but
/// A-Z a-z 0-9 - . _ as % and two hexadecimal digits. None where the own name is not 1 to 64 bytes without control characters.
pub fn device_urn(mapping: &str, own: &str) -> Option<String> {
    if own.is_empty() || own.len() > 64 || own.chars().any(char::is_control) {
        return None;
    }
    let mut urn = format!("{URN_PREFIX}{mapping}:");
    for byte in own.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_') {
            urn.push(char::from(byte));
        } else {
            urn.push_str(&format!("%{byte:02X}"));
        }
    }
    Some(urn)
}

/// Whether a text can be the name of a mapping: 1 to 32 of a-z, 0-9 and '-'.
pub fn is_name(text: &str) -> bool {
    (1..=32).contains(&text.len()) && text.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
}

/// All mappings in force.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    /// The mappings, each with its own name.
    pub mappings: Vec<Mapping>,
}

/// How messages on some topics are read.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// Its name, which is part of the names of its devices: a-z, 0-9 and '-', at most 32 bytes.
    pub name: String,
    /// MQTT topic filter.
    pub topic: String,
    /// Where the device's own name is found.
    #[serde(default, deserialize_with = "device_from")]
    pub device: DeviceFrom,
    /// JSON pointer to the message's own time.
    #[serde(default)]
    pub time: Option<String>,
    /// How the time is written.
    #[serde(default)]
    pub time_unit: TimeUnit,
    /// Zone of times that say none.
    #[serde(default, deserialize_with = "zone")]
    pub zone: Option<Tz>,
    /// The numbers in the message.
    #[serde(rename = "field")]
    pub fields: Vec<MappingField>,
}

/// Where a device's own name is found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum DeviceFrom {
    /// Nowhere: the mapping is for one device.
    #[default]
    Mapping,
    /// In a level of the topic, counted from 0.
    Topic(usize),
    /// In the message, at a JSON pointer.
    At(String),
}

/// How a message's own time is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TimeUnit {
    /// As a text, or as a number whose size tells seconds from milliseconds.
    #[default]
    Auto,
    /// Seconds since 1970-01-01 UTC.
    S,
    /// Milliseconds since 1970-01-01 UTC.
    Ms,
    /// As RFC 3339 has it; without an offset, in the mapping's zone.
    Rfc3339,
}

/// What is wrong with a mapping: its key, and what is allowed there.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{key}: {what}")]
pub struct MappingError {
    /// The key, such as `field[1].unit`.
    pub key: String,
    /// What stands there and what is allowed.
    pub what: String,
}

pub(crate) fn wrong(key: impl Into<String>, what: impl Into<String>) -> MappingError {
    MappingError { key: key.into(), what: what.into() }
}

impl Mapping {
    /// Checks what the types alone cannot.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn check(&self) -> Result<(), MappingError> {
        if !is_name(&self.name) {
            return Err(wrong("name", format!("{:?}; allowed 1 to 32 of a-z, 0-9 and '-'", self.name)));
        }
        if let Some(fault) = filter::fault(&self.topic) {
            return Err(wrong("topic", format!("{:?}; {fault}", self.topic)));
        }
        if is_ours(&self.topic) {
            let what = format!("{:?}; topics under propstick/ belong to the boards' own contract", self.topic);
            return Err(wrong("topic", what));
        }
        self.check_device()?;
        if let Some(at) = &self.time {
            check_pointer("time", at)?;
        } else if self.time_unit != TimeUnit::Auto || self.zone.is_some() {
            return Err(wrong("time", "missing; time_unit and zone need it"));
        }
        if self.zone.is_some() && matches!(self.time_unit, TimeUnit::S | TimeUnit::Ms) {
            return Err(wrong("zone", "seconds and milliseconds have none; allowed with time_unit auto or rfc3339"));
        }
        check_fields(&self.fields, Where::Messages)
    }

    fn check_device(&self) -> Result<(), MappingError> {
        match &self.device {
            DeviceFrom::Mapping if filter::is_wide(&self.topic) => {
                let what = "missing; needed where the topic has '+' or '#': \"topic:1\" or a pointer such as \"/id\"";
                Err(wrong("device", what))
            }
            DeviceFrom::Mapping => Ok(()),
            DeviceFrom::Topic(level) => {
                let levels = self.topic.split('/').count();
                if *level < levels || self.topic.ends_with('#') {
                    Ok(())
                } else {
                    Err(wrong("device", format!("\"topic:{level}\"; allowed 0 to {} for this topic", levels - 1)))
                }
            }
            DeviceFrom::At(at) => check_pointer("device", at),
        }
    }
}

fn device_from<'de, D: Deserializer<'de>>(deserializer: D) -> Result<DeviceFrom, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    if text.starts_with('/') {
        return Ok(DeviceFrom::At(text.into_owned()));
    }
    let level = text.strip_prefix("topic:").filter(|digits| digits.bytes().all(|digit| digit.is_ascii_digit()));
    level.and_then(|digits| digits.parse().ok()).map(DeviceFrom::Topic).ok_or_else(|| {
        D::Error::custom(format!(
            "{text:?}; expected a level of the topic such as \"topic:1\" or a pointer such as \"/id\""
        ))
    })
}

fn zone<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Tz>, D::Error> {
    let text = Cow::<str>::deserialize(deserializer)?;
    text.parse().map(Some).map_err(|_| D::Error::custom(format!("{text:?}; expected a zone such as \"Europe/Dublin\"")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_wire::Quantity;

    const GOOD: &str = r#"
        name = "sticks"
        topic = "site/+/air"
        device = "topic:1"
        time = "/ts"
        time_unit = "rfc3339"
        zone = "Europe/Dublin"
        [[field]]
        at = "/t"
        quantity = "air-temperature"
        unit = "degF"
        [[field]]
        at = "/soil/1"
        quantity = "soil-temperature"
        unit = "Cel"
        channel = "soil-temperature-2"
    "#;

    /// The good mapping with one text in the place of another.
    fn changed(from: &str, to: &str) -> Result<Mapping, String> {
        assert!(GOOD.contains(from), "{from}");
        let mapping: Mapping =
            toml::from_str(&GOOD.replacen(from, to, 1)).map_err(|error| error.message().to_owned())?;
        mapping.check().map_err(|error| error.to_string())?;
        Ok(mapping)
    }

    #[test]
    fn mapping_of_the_configuration_is_read() {
        let mapping = changed("sticks", "sticks").unwrap();
        assert_eq!(mapping.device, DeviceFrom::Topic(1));
        assert_eq!(mapping.time_unit, TimeUnit::Rfc3339);
        assert_eq!(mapping.zone, Some(Tz::Europe__Dublin));
        assert_eq!(mapping.fields[0].channel(), "air-temperature");
        assert_eq!(mapping.fields[1].channel(), "soil-temperature-2");
        let small = r#"name="a"
            topic="t/air"
            field=[{at="",quantity="rain",unit="mm",span_s=600}]"#;
        let small: Mapping = toml::from_str(small).unwrap();
        assert_eq!(small.check(), Ok(()));
        assert_eq!((small.device, small.time_unit, small.time), (DeviceFrom::Mapping, TimeUnit::Auto, None));
    }

    #[test]
    fn mapping_that_is_wrong_says_the_key_and_what_is_allowed() {
        for (from, to, expected) in [
            ("\"sticks\"", "\"Sticks\"", "name: \"Sticks\"; allowed 1 to 32 of a-z, 0-9 and '-'"),
            ("\"sticks\"", "\"\"", "name: \"\"; allowed"),
            ("site/+/air", "site/a+/air", "topic: \"site/a+/air\"; expected '+' only"),
            ("site/+/air", "site/#/air", "topic: \"site/#/air\"; expected '#' only"),
            ("site/+/air", "propstick/v1/+/state", "topic: \"propstick/v1/+/state\"; topics under propstick/"),
            ("topic:1", "topic:3", "device: \"topic:3\"; allowed 0 to 2 for this topic"),
            ("topic:1", "topic:-1", "\"topic:-1\"; expected a level"),
            ("topic:1", "id", "\"id\"; expected a level"),
            ("topic:1", "/a~", "device: \"/a~\"; at byte 2"),
            ("device = \"topic:1\"", "", "device: missing; needed where the topic has"),
            ("time = \"/ts\"", "time = \"ts\"", "time: \"ts\"; at byte 0"),
            ("time = \"/ts\"", "", "time: missing"),
            ("rfc3339", "hours", "unknown variant `hours`"),
            ("rfc3339", "ms", "zone: seconds and milliseconds have none"),
            ("Europe/Dublin", "Dublin", "\"Dublin\"; expected a zone"),
            ("\"/t\"", "\"t\"", "field[0].at: \"t\"; at byte 0"),
            ("air-temperature", "warmth", "\"warmth\"; expected one of air-temperature,"),
            ("degF", "F", "field[0].unit: \"F\"; allowed for air-temperature: Cel, K, degF"),
            (
                "soil-temperature-2",
                "air-temperature-2",
                "field[1].channel: \"air-temperature-2\"; allowed soil-temperature and",
            ),
            ("\"soil-temperature\"", "\"soil-temperature\"\nspan_s = 5", "field[1].span_s: allowed for rain only"),
            ("zone", "region", "unknown field `region`"),
            ("channel", "chanel", "unknown field `chanel`"),
        ] {
            let error = changed(from, to).unwrap_err();
            assert!(error.starts_with(expected), "{to}: {error}");
        }
    }

    #[test]
    fn mapping_with_two_fields_of_one_channel_or_none_is_wrong() {
        let mut mapping = changed("sticks", "sticks").unwrap();
        mapping.fields[1] = mapping.fields[0].clone();
        assert_eq!(mapping.check().unwrap_err().key, "field[1].channel");
        mapping.fields.clear();
        assert_eq!(mapping.check().unwrap_err().key, "field");
    }

    #[test]
    fn mapping_of_rain_needs_its_interval() {
        let mut mapping = changed("sticks", "sticks").unwrap();
        mapping.fields[0].quantity = Quantity::Rain;
        mapping.fields[0].unit = "mm".to_owned();
        for (span_s, is_well) in
            [(None, false), (Some(0), false), (Some(1), true), (Some(86_400), true), (Some(86_401), false)]
        {
            mapping.fields[0].span_s = span_s;
            assert_eq!(mapping.check().is_ok(), is_well, "{span_s:?}");
        }
    }
}
