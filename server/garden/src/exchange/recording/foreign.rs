//! Messages of other makers' devices, made by the mapping that reads them.

use core::fmt::{self, Display, Write};
use core::ops::ControlFlow;
use std::collections::BTreeMap;

use propstick_wire::{Decimal, Millis};

use super::{Kept, Outlet, Recorder, envelope};
use crate::decode::mapping::{DeviceFrom, Mapping, TimeUnit, URN_PREFIX};
use crate::exchange::json_text;
use crate::exchange::text::Number;
use crate::instant::to_rfc3339;
use crate::took::Facts;

impl Recorder<'_> {
    /// Writes the readings of one device, of one way of knowing the time, a message for each instant.
    pub(super) fn foreign(&mut self, arrived: Millis, kept: &[&Kept<'_>], out: &mut Outlet<'_>) -> ControlFlow<()> {
        let Some(first) = kept.first() else { return ControlFlow::Continue(()) };
        let name = first.series.mapping.as_deref().unwrap_or_default();
        let Some(mapping) = self.book.mappings.iter().find(|m| m.name == name) else {
            let why =
                format!("readings of {name:?}: no [[mapping]] of that name; give its configuration with --config");
            self.leave_out(why, kept.len());
            return ControlFlow::Continue(());
        };
        for message in kept.chunk_by(|a, b| a.t == b.t) {
            let is_written = match made(mapping, message) {
                Some((topic, payload)) => {
                    let retain = first.facts.has(Facts::RETAINED);
                    self.write_if_same(&envelope(arrived, topic, payload.into_bytes(), retain), message, out)?
                }
                None => false,
            };
            if !is_written {
                let why = format!("readings of {name:?} that its [[mapping]], as it is now, does not read so");
                self.leave_out(why, message.len());
            }
        }
        ControlFlow::Continue(())
    }
}

/// Topic and payload of a message that says what is kept.
fn made(mapping: &Mapping, kept: &[&Kept<'_>]) -> Option<(String, String)> {
    let first = kept.first()?;
    let own = own_name(&first.series.device, &mapping.name)?;
    let mut document = Node::Object(BTreeMap::new());
    let mut level = None;
    match (&mapping.device, &own) {
        (DeviceFrom::Mapping, None) => {}
        (DeviceFrom::Topic(place), Some(own)) => level = Some((*place, own.as_str())),
        (DeviceFrom::At(at), Some(own)) => document.put(at, json_text(own).to_string())?,
        _ => return None,
    }
    if let Some(at) = &mapping.time
        && let Some(time) = time(mapping.time_unit, first.t, first.facts)
    {
        document.put(at, time)?;
    }
    for k in kept {
        let field = mapping.fields.iter().find(|f| f.channel() == k.series.channel)?;
        document.put(field.at.as_deref()?, Number(k.v).to_string())?;
    }
    Some((topic(&mapping.topic, level)?, document.to_string()))
}

/// What the device calls itself, out of its name here; `Some(None)` where the mapping is for one device.
fn own_name(urn: &str, mapping: &str) -> Option<Option<String>> {
    let rest = urn.strip_prefix(URN_PREFIX)?.strip_prefix(mapping)?;
    let Some(escaped) = rest.strip_prefix(':') else { return rest.is_empty().then_some(None) };
    let mut bytes = Vec::new();
    let mut from = escaped.bytes();
    while let Some(byte) = from.next() {
        if byte == b'%' {
            let (high, low) = (from.next()?, from.next()?);
            let digit = |b: u8| char::from(b).to_digit(16);
            bytes.push(u8::try_from(digit(high)? * 16 + digit(low)?).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    Some(Some(String::from_utf8(bytes).ok()?))
}

/// A topic that the filter lets through, with `level` in its place.
fn topic(filter: &str, level: Option<(usize, &str)>) -> Option<String> {
    /// Stands where any word may.
    const ANY: &str = "recorded";
    let mut levels: Vec<&str> = filter.split('/').collect();
    if levels.last() == Some(&"#") {
        levels.pop();
        let least = level.map_or(0, |(place, _)| place + 1);
        while levels.len() < least || levels.is_empty() {
            levels.push(ANY);
        }
    }
    for (place, word) in levels.iter_mut().enumerate() {
        match level {
            Some((wanted, own)) if wanted == place => *word = own,
            _ if *word == "+" => *word = ANY,
            _ => {}
        }
    }
    Some(levels.join("/")).filter(|topic| propstick_wire::filter::matches(filter, topic))
}

/// The time that leads to `t` by those facts; none where the message named none.
fn time(unit: TimeUnit, t: Millis, facts: Facts) -> Option<String> {
    let named = match facts.time_kind() {
        Facts::TIME_OWN => t,
        // 1970 is replaced by the arrival, as what stood there was.
        Facts::TIME_REPLACED => Millis(0),
        _ => return None,
    };
    Some(match unit {
        TimeUnit::Auto | TimeUnit::S => Decimal::new(named.0, 3).to_string(),
        TimeUnit::Ms => named.0.to_string(),
        TimeUnit::Rfc3339 => format!("\"{}\"", to_rfc3339(named)),
    })
}

/// A JSON document as it grows.
enum Node {
    Leaf(String),
    Object(BTreeMap<String, Node>),
}

impl Node {
    /// Puts a value where a pointer (RFC 6901) points; none where something else is in its way. Numbers in pointers are taken for names.
    fn put(&mut self, pointer: &str, value: String) -> Option<()> {
        let mut here = self;
        for token in pointer.split('/').skip(1) {
            let name = token.replace("~1", "/").replace("~0", "~");
            let Node::Object(members) = here else { return None };
            here = members.entry(name).or_insert_with(|| Node::Object(BTreeMap::new()));
        }
        match here {
            Node::Object(members) if members.is_empty() => {
                *here = Node::Leaf(value);
                Some(())
            }
            _ => None,
        }
    }
}

impl Display for Node {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let members = match self {
            Node::Leaf(value) => return f.write_str(value),
            Node::Object(members) => members,
        };
        f.write_char('{')?;
        for (place, (name, node)) in members.iter().enumerate() {
            let between = if place == 0 { "" } else { "," };
            write!(f, "{between}{}:{node}", json_text(name))?;
        }
        f.write_char('}')
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn topic_is_one_that_the_filter_lets_through() {
        for (filter, level, made) in [
            ("site/+/air", Some((1, "3")), Some("site/3/air")),
            ("site/+/+", Some((1, "3")), Some("site/3/recorded")),
            ("site/#", Some((2, "a b")), Some("site/recorded/a b")),
            ("#", None, Some("recorded")),
            ("garden/tunnel/air", None, Some("garden/tunnel/air")),
            ("garden/tunnel/air", Some((1, "tunnel")), Some("garden/tunnel/air")),
            ("garden/tunnel/air", Some((1, "frame")), None),
            ("site/+/air", Some((1, "a/b")), None),
        ] {
            assert_eq!(topic(filter, level).as_deref(), made, "{filter} {level:?}");
        }
    }

    #[test]
    fn document_has_values_where_pointers_point() {
        let mut document = Node::Object(BTreeMap::new());
        for (at, value) in [("/soil/1", "5.5"), ("/soil/0", "4"), ("/a~1b/~0", "\"x\"")] {
            document.put(at, value.to_owned()).unwrap();
        }
        assert!(document.put("/soil", "1".to_owned()).is_none() && document.put("/soil/1/x", "1".to_owned()).is_none());
        assert_eq!(document.to_string(), r#"{"a/b":{"~":"x"},"soil":{"0":4,"1":5.5}}"#);
        let mut lone = Node::Object(BTreeMap::new());
        lone.put("", "6.1".to_owned()).unwrap();
        assert_eq!(lone.to_string(), "6.1");
    }
}
