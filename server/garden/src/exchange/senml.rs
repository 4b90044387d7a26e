//! SenML as JSON (RFC 8428), one pack a line and one device a pack, so that each line can be read for itself.
//!
//! Beside the labels of the RFC stand three of our own where a number says something of an interval: `kind`, `span_s` and `stamp`; who does not know
//! them passes over them (section 4.4). A name may have only letters, digits and `-` `:` `.` `/` `_` (section 4.5.1), so every other byte of a
//! device's name, and `/` itself, is written as `/` and two hexadecimal digits. Times below 2^28 seconds would read as relative to now (section
//! 4.5.3); an instant before July 1978 therefore stands in `utc_`, a label that nobody may pass over (section 4.4: it ends in `_`).

use core::fmt::Write;
use core::ops::ControlFlow;

use propstick_wire::senml::{ABSOLUTE_FROM_S, MAX_PACK_BYTES, MAX_RECORDS};
use propstick_wire::urn::CHANNEL_SEPARATOR;
use propstick_wire::{Decimal, Millis};

use super::Outlet;
use super::label::stamp_word;
use super::text::{Number, json_text};
use crate::instant::to_rfc3339;
use crate::took::{SeriesKey, SeriesKind};

/// What stands in a record before its value, and behind it.
pub(super) struct Frame {
    before: String,
    behind: String,
}

impl Frame {
    pub(super) fn of(key: &SeriesKey) -> Frame {
        let mut before = format!("\"n\":{}", json_text(&key.channel));
        if !key.unit_sent.is_empty() {
            let _ = write!(before, ",\"u\":{}", json_text(&key.unit_sent));
        }
        let behind = match key.kind {
            SeriesKind::Instant => String::new(),
            kind => format!(
                ",\"kind\":\"{}\",\"span_s\":{},\"stamp\":\"{}\"",
                kind.word(),
                key.span_s,
                stamp_word(key.stamp_end)
            ),
        };
        Frame { before, behind }
    }
}

/// A device's name as a base name.
pub(super) fn base_name(urn: &str) -> String {
    let mut name = String::with_capacity(urn.len() + 1);
    for byte in urn.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b':' | b'.' | b'_') {
            name.push(char::from(byte));
        } else {
            let _ = write!(name, "/{byte:02X}");
        }
    }
    name.push_str(CHANNEL_SEPARATOR);
    name
}

/// Whether an instant's seconds would read as relative to now.
pub(super) fn is_relative(at: Millis) -> bool {
    at.0 < ABSOLUTE_FROM_S as i64 * 1_000
}

/// The packs of one device in a stretch of time, from the readings of each of its series, ascending: the records of all of them by time.
pub(super) fn packs(
    base_name: &str,
    frames: &[&Frame],
    runs: &[&[(Millis, f64)]],
    out: &mut Outlet<'_>,
) -> ControlFlow<()> {
    let mut rests = runs.to_vec();
    let mut pack = Pack { base_name, base: Millis(0), records: 0, text: String::new(), record: String::new() };
    while let Some(at) = rests.iter().filter_map(|rest| rest.first()).map(|(t, _)| *t).min() {
        for (frame, rest) in frames.iter().zip(&mut rests) {
            if let Some(((t, v), more)) = rest.split_first()
                && *t == at
            {
                pack.add(frame, at, *v, out)?;
                *rest = more;
            }
        }
    }
    pack.close(out)
}

/// The pack being written. `text` has no closing bracket yet.
struct Pack<'a> {
    base_name: &'a str,
    base: Millis,
    records: usize,
    text: String,
    record: String,
}

impl Pack<'_> {
    fn add(&mut self, frame: &Frame, at: Millis, v: f64, out: &mut Outlet<'_>) -> ControlFlow<()> {
        // Old instants and others do not share a pack: the base time of the one would spoil the other.
        if self.records == MAX_RECORDS || (self.records > 0 && is_relative(at) != is_relative(self.base)) {
            self.close(out)?;
        }
        self.write_record(frame, at, v);
        if self.records > 0 && self.text.len() + self.record.len() + 2 > MAX_PACK_BYTES {
            self.close(out)?;
            self.write_record(frame, at, v);
        }
        self.text.push(if self.records == 0 { '[' } else { ',' });
        self.text.push_str(&self.record);
        self.records += 1;
        ControlFlow::Continue(())
    }

    fn write_record(&mut self, frame: &Frame, at: Millis, v: f64) {
        let record = &mut self.record;
        record.clear();
        record.push('{');
        if self.records == 0 {
            self.base = at;
            let _ = write!(record, "\"bn\":\"{}\",", self.base_name);
            if !is_relative(at) {
                let _ = write!(record, "\"bt\":{},", Decimal::new(at.0, 3));
            }
        }
        let _ = write!(record, "{},\"v\":{}", frame.before, Number(v));
        if is_relative(at) {
            let _ = write!(record, ",\"utc_\":\"{}\"", to_rfc3339(at));
        } else if at != self.base {
            let _ = write!(record, ",\"t\":{}", Decimal::new(at.since(self.base), 3));
        }
        record.push_str(&frame.behind);
        record.push('}');
    }

    fn close(&mut self, out: &mut Outlet<'_>) -> ControlFlow<()> {
        if self.records == 0 {
            return ControlFlow::Continue(());
        }
        let _ = writeln!(out, "{}]", self.text);
        self.text.clear();
        self.records = 0;
        out.line_done()
    }
}
