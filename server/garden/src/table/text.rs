//! From bytes to lines, in any encoding that a mapping can name.

use std::ops::ControlFlow;

use encoding_rs::{CoderResult, Decoder};

use super::Source;
use super::mapping::Encoding;

/// At most so many bytes of one line are kept; what is behind them is dropped and the line marked as too long.
pub const MAX_LINE_BYTES: usize = 64 << 10;

/// Bytes are decoded in pieces of this size.
const STEP_BYTES: usize = 64 << 10;

/// One line of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line<'a> {
    /// Its number, counted from 1.
    pub number: u64,
    /// Its text without the line end.
    pub text: &'a str,
    /// Whether more than [`MAX_LINE_BYTES`] stood in it, of which the rest is not in `text`.
    pub is_cut: bool,
}

/// What was seen of a file's text beside its lines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// How many lines it has. A line end at the very end begins no further line.
    pub lines: u64,
    /// The first line with bytes that the encoding does not know, where there is one. They stand as U+FFFD in its text.
    pub foreign: Option<u64>,
}

/// Gives all lines of a source until `take` breaks off. Lines end with LF, CR LF or CR. A byte-order mark is removed; it decides the encoding, whatever
/// `encoding` says. However the source is cut into pieces, the lines are the same.
///
/// # Errors
/// What the source says.
pub fn for_each_line<S: Source + ?Sized>(
    source: &S,
    encoding: Encoding,
    take: &mut dyn FnMut(Line<'_>) -> ControlFlow<()>,
) -> Result<Seen, S::Error> {
    let mut lines = Lines::new(encoding, take);
    source.pieces(&mut |piece| lines.push(piece))?;
    Ok(lines.end())
}

struct Lines<'t> {
    decoder: Decoder,
    decoded: String,
    /// The beginning of a line whose end has not come yet.
    begun: String,
    begun_is_cut: bool,
    /// Whether the last character was a CR, so that an LF behind it ends no further line.
    after_cr: bool,
    is_done: bool,
    seen: Seen,
    take: &'t mut dyn FnMut(Line<'_>) -> ControlFlow<()>,
}

impl<'t> Lines<'t> {
    fn new(encoding: Encoding, take: &'t mut dyn FnMut(Line<'_>) -> ControlFlow<()>) -> Lines<'t> {
        let encoding = match encoding {
            Encoding::Utf8 => encoding_rs::UTF_8,
            Encoding::Windows1252 => encoding_rs::WINDOWS_1252,
            Encoding::Utf16Le => encoding_rs::UTF_16LE,
            Encoding::Utf16Be => encoding_rs::UTF_16BE,
        };
        Lines {
            decoder: encoding.new_decoder(),
            decoded: String::with_capacity(STEP_BYTES + 16),
            begun: String::new(),
            begun_is_cut: false,
            after_cr: false,
            is_done: false,
            seen: Seen::default(),
            take,
        }
    }

    fn push(&mut self, piece: &[u8]) -> ControlFlow<()> {
        self.decode(piece, false)
    }

    fn end(mut self) -> Seen {
        if !self.is_done {
            let _ = self.decode(&[], true);
        }
        if !self.is_done && !self.begun.is_empty() {
            let _ = self.give_begun();
        }
        self.seen
    }

    fn decode(&mut self, mut piece: &[u8], is_last: bool) -> ControlFlow<()> {
        loop {
            let mut decoded = std::mem::take(&mut self.decoded);
            decoded.clear();
            let (outcome, used, had_foreign) = self.decoder.decode_to_string(piece, &mut decoded, is_last);
            piece = &piece[used..];
            if had_foreign && self.seen.foreign.is_none() {
                let before = decoded.split('\u{FFFD}').next().unwrap_or_default();
                self.seen.foreign = Some(self.seen.lines + 1 + ends_in(before, self.after_cr));
            }
            let flow = self.split(&decoded);
            self.decoded = decoded;
            if flow.is_break() {
                self.is_done = true;
                return flow;
            }
            if outcome == CoderResult::InputEmpty {
                return ControlFlow::Continue(());
            }
        }
    }

    /// Gives the lines that end in this piece of text, and keeps what is begun.
    fn split(&mut self, mut text: &str) -> ControlFlow<()> {
        if self.after_cr && !text.is_empty() {
            self.after_cr = false;
            text = text.strip_prefix('\n').unwrap_or(text);
        }
        while let Some(end) = text.bytes().position(|byte| matches!(byte, b'\n' | b'\r')) {
            let line = &text[..end];
            let is_cr = text.as_bytes()[end] == b'\r';
            text = &text[end + 1..];
            if is_cr {
                match text.as_bytes().first() {
                    Some(b'\n') => text = &text[1..],
                    Some(_) => {}
                    None => self.after_cr = true,
                }
            }
            if self.begun.is_empty() && !self.begun_is_cut && line.len() <= MAX_LINE_BYTES {
                self.seen.lines += 1;
                (self.take)(Line { number: self.seen.lines, text: line, is_cut: false })?;
            } else {
                self.begin(line);
                self.give_begun()?;
            }
        }
        self.begin(text);
        ControlFlow::Continue(())
    }

    fn begin(&mut self, text: &str) {
        let room = MAX_LINE_BYTES.saturating_sub(self.begun.len());
        if text.len() <= room && !self.begun_is_cut {
            self.begun.push_str(text);
        } else {
            if !self.begun_is_cut {
                self.begun.push_str(&text[..text.floor_char_boundary(room)]);
            }
            self.begun_is_cut = true;
        }
    }

    fn give_begun(&mut self) -> ControlFlow<()> {
        self.seen.lines += 1;
        let line = Line { number: self.seen.lines, text: &self.begun, is_cut: self.begun_is_cut };
        let flow = (self.take)(line);
        self.begun.clear();
        self.begun_is_cut = false;
        flow
    }
}

/// How many lines end in a text.
fn ends_in(text: &str, after_cr: bool) -> u64 {
    let mut last_is_cr = after_cr;
    let mut ends = 0;
    for byte in text.bytes() {
        ends += u64::from(byte == b'\r' || (byte == b'\n' && !last_is_cr));
        last_is_cr = byte == b'\r';
    }
    ends
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::convert::Infallible;

    /// Bytes in pieces whose lengths come round again and again.
    pub(in crate::table) struct Cut<'a> {
        pub bytes: &'a [u8],
        pub lengths: &'a [usize],
    }

    impl Source for Cut<'_> {
        type Error = Infallible;

        fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Infallible> {
            let mut left = self.bytes;
            for length in self.lengths.iter().cycle() {
                let (piece, rest) = left.split_at((*length).clamp(1, left.len().max(1)).min(left.len()));
                left = rest;
                if take(piece).is_break() || left.is_empty() {
                    break;
                }
            }
            Ok(())
        }
    }

    fn lines_of(source: &(impl Source<Error = Infallible> + ?Sized), encoding: Encoding) -> (Vec<String>, Seen) {
        let mut lines = Vec::new();
        let seen = for_each_line(source, encoding, &mut |line| {
            assert_eq!((line.number, line.is_cut), (lines.len() as u64 + 1, false));
            lines.push(line.text.to_owned());
            ControlFlow::Continue(())
        });
        (lines, seen.unwrap())
    }

    fn utf_16(text: &str, to_bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(to_bytes).collect()
    }

    #[test]
    fn line_ends_of_every_kind_end_a_line_and_the_last_needs_none() {
        let (lines, seen) = lines_of(b"a\r\n\r\nb\nc\rd".as_slice(), Encoding::Utf8);
        assert_eq!(lines, ["a", "", "b", "c", "d"]);
        assert_eq!(seen, Seen { lines: 5, foreign: None });
        assert_eq!(lines_of(b"a\n".as_slice(), Encoding::Utf8).0, ["a"]);
        assert_eq!(lines_of(b"".as_slice(), Encoding::Utf8).1.lines, 0);
        assert_eq!(lines_of(b"\n\r\n".as_slice(), Encoding::Utf8).0, ["", ""]);
    }

    #[test]
    fn byte_order_mark_is_removed_and_decides_the_encoding() {
        // Troubles page 13.
        let expected = ["Zeit;Temp °C", "4,5"];
        let text = "\u{FEFF}Zeit;Temp °C\r\n4,5\r\n";
        for encoding in [Encoding::Utf8, Encoding::Windows1252, Encoding::Utf16Be] {
            assert_eq!(lines_of(text.as_bytes(), encoding).0, expected, "{encoding:?}");
            assert_eq!(lines_of(&utf_16(text, u16::to_le_bytes), encoding).0, expected, "{encoding:?}");
            assert_eq!(lines_of(&utf_16(text, u16::to_be_bytes), encoding).0, expected, "{encoding:?}");
        }
    }

    #[test]
    fn encoding_without_a_mark_is_the_named_one() {
        assert_eq!(lines_of(b"Temp \xB0C".as_slice(), Encoding::Windows1252).0, ["Temp °C"]);
        assert_eq!(lines_of("Temp °C".as_bytes(), Encoding::Utf8).0, ["Temp °C"]);
        assert_eq!(lines_of(&utf_16("°C\n1", u16::to_le_bytes), Encoding::Utf16Le).0, ["°C", "1"]);
        assert_eq!(lines_of(&utf_16("°C\n1", u16::to_be_bytes), Encoding::Utf16Be).0, ["°C", "1"]);
    }

    #[test]
    fn bytes_that_are_no_text_are_shown_with_their_first_line() {
        let (lines, seen) = lines_of(b"a\r\nb\nTemp \xB0C\n\xFF\n".as_slice(), Encoding::Utf8);
        assert_eq!(lines, ["a", "b", "Temp \u{FFFD}C", "\u{FFFD}"]);
        assert_eq!(seen, Seen { lines: 4, foreign: Some(3) });
    }

    #[test]
    fn line_without_end_is_cut_and_the_next_is_whole() {
        let mut bytes = vec![b'x'; 3 * MAX_LINE_BYTES];
        bytes.extend_from_slice(b"\nnext\n");
        let mut seen = Vec::new();
        for_each_line(&bytes, Encoding::Utf8, &mut |line| {
            seen.push((line.text.len(), line.is_cut));
            ControlFlow::Continue(())
        })
        .unwrap();
        assert_eq!(seen, [(MAX_LINE_BYTES, true), (4, false)]);
    }

    #[test]
    fn taker_that_breaks_off_is_told_nothing_more() {
        let mut many = 0;
        let seen = for_each_line(b"a\nb\nc".as_slice(), Encoding::Utf8, &mut |_| {
            many += 1;
            if many == 2 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!((many, seen.unwrap().lines), (2, 2));
    }

    proptest! {
        #[test]
        fn prop_any_cut_of_any_bytes_gives_the_same_lines(
            pieces in proptest::collection::vec(prop_oneof![
                Just(b"\r\n".to_vec()), Just(b"\n".to_vec()), Just(b"\r".to_vec()), Just("°ä€𝄞".as_bytes().to_vec()),
                Just(vec![0xFF, 0xFE]), Just(vec![0xEF, 0xBB, 0xBF]), proptest::collection::vec(any::<u8>(), 0..6),
                Just(b"abc;1,5".to_vec()),
            ], 0..24),
            lengths in proptest::collection::vec(1_usize..5, 1..6),
            encoding in prop_oneof![
                Just(Encoding::Utf8), Just(Encoding::Windows1252), Just(Encoding::Utf16Le), Just(Encoding::Utf16Be)
            ],
        ) {
            let bytes = pieces.concat();
            let whole = lines_of(&bytes, encoding);
            prop_assert_eq!(lines_of(&Cut { bytes: &bytes, lengths: &lengths }, encoding), whole);
        }
    }
}
