//! InfluxDB line protocol, by its reference for version 2 (docs.influxdata.com, "Line protocol"): the channel is the measurement, device, unit and
//! what a number means in time are tags, the field is `value`, the time is in nanoseconds.

use core::fmt::Write;
use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::Outlet;
use super::label::stamp_word;
use super::text::Number;
use crate::took::{SeriesKey, SeriesKind};

/// What stands in front of every value of a series. Tags are sorted by their keys, as the reference advises for speed.
pub(super) fn head(key: &SeriesKey) -> Vec<u8> {
    let mut head = escaped(&key.channel, &[',', ' ']);
    let mut tag = |name: &str, value: &str| {
        // "Tag values cannot be empty; instead, omit the tag" (section "Tag set").
        if !value.is_empty() {
            let _ = write!(head, ",{name}={}", escaped(value, &[',', '=', ' ']));
        }
    };
    tag("device", &key.device);
    if key.kind != SeriesKind::Instant {
        tag("kind", key.kind.word());
        tag("span_s", &key.span_s.to_string());
        tag("stamp", stamp_word(key.stamp_end));
    }
    tag("unit", &key.unit_sent);
    head.push_str(" value=");
    head.into_bytes()
}

/// Section "Special characters": comma and space in a measurement, in tags also the equals sign, take a backslash in front; section "Escaping
/// backslashes": of two backslashes the first escapes the second.
fn escaped(text: &str, special: &[char]) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c == '\\' || special.contains(&c) {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// The lines of one series in a stretch of time.
pub(super) fn run(head: &[u8], run: &[(Millis, f64)], out: &mut Outlet<'_>) -> ControlFlow<()> {
    for &(Millis(t), v) in run {
        out.text.extend_from_slice(head);
        // From milliseconds to nanoseconds by digits, so that nothing overflows.
        let zeros = if t == 0 { "" } else { "000000" };
        let _ = writeln!(out, "{} {t}{zeros}", Number(v));
        out.line_done()?;
    }
    ControlFlow::Continue(())
}
