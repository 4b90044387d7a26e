//! InfluxDB line protocol: read by the reference's rules (see the writer), as far as our lines go.

use core::ops::ControlFlow;
use std::collections::HashMap;

use propstick_wire::Millis;

use super::taker::{Objection, Taker};
use super::wide::number_of;
use crate::exchange::label::{series_key, stamp_from_word};
use crate::table::AsideWhy;
use crate::table::text::Line;
use crate::took::{SeriesKey, SeriesKind};

/// So many different beginnings of lines are remembered with their series.
const REMEMBERED: usize = 16_384;

/// Whether a line is one of such a file; its end may be cut off.
pub(super) fn is_line(line: &str) -> bool {
    line.split_once(",device=urn:")
        .is_some_and(|(channel, _)| propstick_wire::Quantity::from_channel(channel).is_some())
}

/// Reads lines; what stands before the value is understood once for each series.
#[derive(Default)]
pub(super) struct Reader {
    heads: HashMap<String, u32>,
}

impl Reader {
    /// Takes a line.
    pub(super) fn line(&mut self, line: &Line<'_>, taker: &mut Taker<'_>) -> ControlFlow<()> {
        // Section "Comments": a line that begins with '#' is one.
        if line.text.starts_with('#') {
            return ControlFlow::Continue(());
        }
        taker.row();
        match self.read(line, taker) {
            Ok((number, at, v, written)) => {
                taker.row_is_read();
                taker.reading(line.number, number, at, v, written)
            }
            Err((why, what)) => {
                taker.aside(line.number, &Objection { why, what: &what, example: line.text });
                ControlFlow::Continue(())
            }
        }
    }

    fn read<'l>(
        &mut self,
        line: &Line<'l>,
        taker: &mut Taker<'_>,
    ) -> Result<(u32, Millis, f64, &'l str), (AsideWhy, String)> {
        let row = |why| (why, String::new());
        if line.text.trim().is_empty() {
            return Err(row(AsideWhy::Blank));
        }
        if line.is_cut {
            return Err(row(AsideWhy::Long));
        }
        // Section "Whitespace": the first unescaped space ends measurement and tags, the second the fields.
        let end = unescaped(line.text, ' ').ok_or(row(AsideWhy::Unbalanced))?;
        let (head, rest) = (&line.text[..end], &line.text[end + 1..]);
        let number = match self.heads.get(head) {
            Some(number) => *number,
            None => {
                let key = series(head).ok_or((AsideWhy::NoDevice, "measurement and tags".to_owned()))?;
                let number = taker.series(&key).map_err(|what| (AsideWhy::NoDevice, what))?;
                if self.heads.len() < REMEMBERED {
                    self.heads.insert(head.to_owned(), number);
                }
                number
            }
        };
        let (fields, time) = rest.split_once(' ').ok_or(row(AsideWhy::NoTime))?;
        let written = fields.strip_prefix("value=").ok_or((AsideWhy::Unbalanced, "the field value".to_owned()))?;
        let ns: i64 = time.trim().parse().map_err(|_| row(AsideWhy::NoTime))?;
        let at = Millis(ns.div_euclid(1_000_000));
        taker.counts(at).map_err(row)?;
        let v = number_of(written).ok_or((AsideWhy::NotANumber, "value".to_owned()))?;
        Ok((number, at, v, written))
    }
}

/// Where the first `wanted` stands that no backslash escapes.
fn unescaped(text: &str, wanted: char) -> Option<usize> {
    let mut is_escaped = false;
    text.char_indices().find_map(|(at, c)| {
        let found = c == wanted && !is_escaped;
        is_escaped = c == '\\' && !is_escaped;
        found.then_some(at)
    })
}

/// The series that measurement and tags name.
fn series(head: &str) -> Option<SeriesKey> {
    let mut parts = Vec::new();
    let mut rest = head;
    while let Some(at) = unescaped(rest, ',') {
        parts.push(&rest[..at]);
        rest = &rest[at + 1..];
    }
    parts.push(rest);
    let (channel, tags) = parts.split_first()?;
    let (mut device, mut unit, mut kind, mut span_s, mut stamp) = (None, String::new(), None, None, None);
    for tag in tags {
        let at = unescaped(tag, '=')?;
        let value = plain(&tag[at + 1..]);
        match &tag[..at] {
            "device" => device = Some(value),
            "unit" => unit = value,
            "kind" => kind = Some(SeriesKind::from_word(&value)?),
            "span_s" => span_s = Some(value.parse::<i64>().ok().filter(|s| *s >= 0)?),
            "stamp" => stamp = Some(stamp_from_word(&value)?),
            _ => return None,
        }
    }
    let key = series_key(&device?, &plain(channel), &unit)?;
    match (kind, span_s, stamp) {
        (None, None, None) => Some(key),
        (Some(kind), Some(span_s), Some(stamp_end)) if kind != SeriesKind::Instant => {
            Some(SeriesKey { kind, span_s, stamp_end, ..key })
        }
        _ => None,
    }
}

/// A text without the backslashes that escape; one in front of anything else stands for itself (section "Escaping backslashes").
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match (c, rest.peek()) {
            ('\\', Some(&next)) if matches!(next, '\\' | ',' | '=' | ' ') => {
                out.push(next);
                rest.next();
            }
            _ => out.push(c),
        }
    }
    out
}
