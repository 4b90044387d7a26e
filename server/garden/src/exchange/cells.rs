//! A row of a CSV file, cell by cell (RFC 4180; lines end in LF).

use core::fmt::Write;
use core::ops::ControlFlow;

use csv_core::WriteResult;

use super::Outlet;
use super::text::Number;

/// Writes one row. Between two cells stands a comma; [`Cells::end`] closes the row.
pub(super) struct Cells<'o, 'a> {
    out: &'o mut Outlet<'a>,
    is_first: bool,
}

impl<'o, 'a> Cells<'o, 'a> {
    pub(super) fn new(out: &'o mut Outlet<'a>) -> Cells<'o, 'a> {
        Cells { out, is_first: true }
    }

    /// A text. One that a spreadsheet would take for a formula, because it begins with `=`, `+`, `-`, `@`, a tab or a carriage return, gets an
    /// apostrophe in front.
    pub(super) fn text(&mut self, text: &str) {
        self.next();
        let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
        if is_formula {
            self.quoted(&format!("'{text}"));
        } else {
            self.quoted(text);
        }
    }

    /// A number; never guarded, so that -3 stays a number.
    pub(super) fn number(&mut self, v: f64) {
        self.plain(Number(v));
    }

    /// A number where there is one, else an empty cell.
    pub(super) fn maybe(&mut self, v: Option<f64>) {
        match v {
            Some(v) => self.number(v),
            None => self.next(),
        }
    }

    /// What needs neither quotation marks nor a guard: an instant, a whole number, one of our own words.
    pub(super) fn plain(&mut self, what: impl core::fmt::Display) {
        self.next();
        let _ = write!(self.out, "{what}");
    }

    pub(super) fn end(self) -> ControlFlow<()> {
        self.out.text.push(b'\n');
        self.out.line_done()
    }

    fn next(&mut self) {
        if !self.is_first {
            self.out.text.push(b',');
        }
        self.is_first = false;
    }

    fn quoted(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        let mut writer = csv_core::Writer::new();
        let mut rest = text.as_bytes();
        let mut room = [0_u8; 256];
        loop {
            let (result, read, written) = writer.field(rest, &mut room);
            self.out.text.extend_from_slice(&room[..written]);
            rest = rest.get(read..).unwrap_or_default();
            if result == WriteResult::InputEmpty {
                break;
            }
        }
        // The last quotation mark.
        let (_, written) = writer.finish(&mut room);
        self.out.text.extend_from_slice(&room[..written]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(fill: impl FnOnce(&mut Cells<'_, '_>)) -> String {
        let mut all = Vec::new();
        let mut give = |piece: &[u8]| {
            all.extend_from_slice(piece);
            ControlFlow::Continue(())
        };
        let mut out = Outlet::new(&mut give);
        let mut cells = Cells::new(&mut out);
        fill(&mut cells);
        assert!(cells.end().is_continue() && out.flush().is_continue());
        String::from_utf8(all).unwrap()
    }

    #[test]
    fn text_that_a_spreadsheet_would_take_for_a_formula_is_guarded_and_a_number_never() {
        for (given, written) in [
            ("=1+1", "'=1+1"),
            ("+1", "'+1"),
            ("-1", "'-1"),
            ("@x", "'@x"),
            ("\tx", "'\tx"),
            ("\rx", "\"'\rx\""),
            ("a=1", "a=1"),
            ("", ""),
            ("'=1", "'=1"),
        ] {
            assert_eq!(row(|c| c.text(given)), format!("{written}\n"), "{given:?}");
        }
        assert_eq!(row(|c| c.number(-3.5)), "-3.5\n");
    }

    #[test]
    fn text_with_commas_quotes_and_line_ends_is_quoted_whole_and_long_text_is_kept() {
        let long = "say \"half\", then shut\n".repeat(40);
        let written = row(|c| {
            c.plain("2026-03-08T12:07:00Z");
            c.text(&long);
            c.maybe(None);
            c.maybe(Some(6.12));
        });
        assert_eq!(written, format!("2026-03-08T12:07:00Z,\"{}\",,6.12\n", long.replace('"', "\"\"")));
    }
}
