//! How a file's bytes are encoded, and whether they are text at all.

use std::ops::ControlFlow;

use crate::table::{Encoding, Source};
use crate::wording::grouped;

/// What all bytes say of the encoding.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    pub encoding: Encoding,
    pub why: String,
    pub bytes: u64,
    /// Why the bytes are no table of text, where they are none.
    pub not_text: Option<String>,
}

#[derive(Default)]
struct Bytes {
    all: u64,
    zeros: [u64; 2],
    controls: u64,
    /// Bytes of characters outside ASCII that are well encoded in UTF-8, and bytes that are not.
    well: u64,
    ill: u64,
    carried: Vec<u8>,
    head: Vec<u8>,
}

/// Goes through all bytes once.
///
/// # Errors
/// What the source says.
pub(super) fn find<S: Source + ?Sized>(source: &S) -> Result<Found, S::Error> {
    let mut bytes = Bytes::default();
    source.pieces(&mut |piece| {
        bytes.take(piece);
        ControlFlow::Continue(())
    })?;
    bytes.ill += bytes.carried.len() as u64;
    Ok(bytes.found())
}

impl Bytes {
    fn take(&mut self, piece: &[u8]) {
        let room = 512_usize.saturating_sub(self.head.len()).min(piece.len());
        self.head.extend_from_slice(&piece[..room]);
        // Texts have few bytes of control, so that most stretches are passed over quickly.
        for (number, stretch) in piece.chunks(64).enumerate() {
            let low = stretch.iter().fold(0_u32, |low, byte| low + u32::from(*byte < 0x09));
            let middle = stretch.iter().fold(0_u32, |middle, byte| middle + u32::from((0x0B..0x20).contains(byte)));
            if low + middle == 0 {
                continue;
            }
            let start = self.all + number as u64 * 64;
            for (place, byte) in stretch.iter().enumerate() {
                self.zeros[((start + place as u64) % 2) as usize] += u64::from(*byte == 0);
                self.controls += u64::from(*byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0));
            }
        }
        self.all += piece.len() as u64;
        let mut rest = piece;
        // A character that the end of the last piece cut through.
        while !self.carried.is_empty() && !rest.is_empty() {
            self.carried.push(rest[0]);
            rest = &rest[1..];
            self.settle_carried();
        }
        while !rest.is_empty() {
            match std::str::from_utf8(rest) {
                Ok(text) => {
                    self.well += beyond_ascii(text.as_bytes());
                    return;
                }
                Err(error) => {
                    let (well, ill) = rest.split_at(error.valid_up_to());
                    self.well += beyond_ascii(well);
                    let Some(len) = error.error_len() else {
                        self.carried = ill.to_vec();
                        return;
                    };
                    self.ill += len as u64;
                    rest = &ill[len..];
                }
            }
        }
    }

    /// Counts what is certain of the bytes carried over, and keeps what is still begun.
    fn settle_carried(&mut self) {
        loop {
            match std::str::from_utf8(&self.carried) {
                Ok(text) => {
                    self.well += beyond_ascii(text.as_bytes());
                    self.carried.clear();
                    return;
                }
                Err(error) => {
                    self.well += beyond_ascii(&self.carried[..error.valid_up_to()]);
                    let Some(len) = error.error_len() else {
                        self.carried.drain(..error.valid_up_to());
                        return;
                    };
                    self.ill += len as u64;
                    self.carried.drain(..error.valid_up_to() + len);
                }
            }
        }
    }

    fn found(&self) -> Found {
        let mark = match self.head.as_slice() {
            [0xEF, 0xBB, 0xBF, ..] => Some((Encoding::Utf8, "UTF-8")),
            [0xFF, 0xFE, ..] => Some((Encoding::Utf16Le, "UTF-16, low byte first")),
            [0xFE, 0xFF, ..] => Some((Encoding::Utf16Be, "UTF-16, high byte first")),
            _ => None,
        };
        let (even, odd) = (self.zeros[0], self.zeros[1]);
        let wide = self.all / 4;
        let (encoding, why) = if let Some((encoding, name)) = mark {
            (encoding, format!("the file begins with the mark of {name}"))
        } else if wide > 0 && odd > wide && even * 10 < odd {
            (Encoding::Utf16Le, "every second byte is 0: UTF-16, low byte first".to_owned())
        } else if wide > 0 && even > wide && odd * 10 < even {
            (Encoding::Utf16Be, "every first byte is 0: UTF-16, high byte first".to_owned())
        } else if self.ill == 0 && self.well == 0 {
            (Encoding::Utf8, "plain letters only".to_owned())
        } else if self.ill == 0 {
            (Encoding::Utf8, "all of it is valid UTF-8".to_owned())
        } else if self.well > self.ill * 4 {
            (Encoding::Utf8, format!("UTF-8, but for {} bytes that belong to no letter", grouped(self.ill)))
        } else {
            let why = format!("{} bytes are no UTF-8 and are letters or signs in windows-1252", grouped(self.ill));
            (Encoding::Windows1252, why)
        };
        let is_wide = matches!(encoding, Encoding::Utf16Le | Encoding::Utf16Be);
        Found { encoding, why, bytes: self.all, not_text: self.not_text(is_wide) }
    }

    fn not_text(&self, is_wide: bool) -> Option<String> {
        let first = self.head.iter().find(|byte| !byte.is_ascii_whitespace());
        if self.head.starts_with(b"PK\x03\x04") {
            return Some("it is a workbook or another packed file: save the table in it as CSV".to_owned());
        }
        if self.head.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
            return Some("it is an old workbook: save the table in it as CSV".to_owned());
        }
        if self.head.starts_with(&[0x1F, 0x8B]) {
            return Some("it is packed with gzip: unpack it first".to_owned());
        }
        let strange = self.controls + if is_wide { 0 } else { self.zeros[0] + self.zeros[1] };
        if strange * 100 > self.all {
            return Some(format!(
                "{} of its {} bytes stand for no letter: it is no text",
                grouped(strange),
                grouped(self.all)
            ));
        }
        match first {
            None if self.all == 0 => Some("it is empty".to_owned()),
            None if self.all <= 512 => Some("nothing but blanks stands in it".to_owned()),
            Some(b'{') => Some("it begins like JSON, which is no table".to_owned()),
            _ => None,
        }
    }
}

fn beyond_ascii(text: &[u8]) -> u64 {
    text.iter().filter(|byte| !byte.is_ascii()).count() as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(bytes: &[u8]) -> Found {
        let Ok(found) = find(bytes);
        found
    }

    /// A source that gives one byte at a time.
    struct Single<'a>(&'a [u8]);
    impl Source for Single<'_> {
        type Error = std::convert::Infallible;
        fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Self::Error> {
            for byte in self.0.chunks(1) {
                if take(byte).is_break() {
                    break;
                }
            }
            Ok(())
        }
    }

    #[test]
    fn encoding_by_mark_by_validity_and_by_zero_bytes() {
        assert_eq!(of(b"\xEF\xBB\xBFZeit;Temp").encoding, Encoding::Utf8);
        assert_eq!(of("Temp (°C)".as_bytes()).encoding, Encoding::Utf8);
        assert_eq!(of(b"Temp (\xB0C)").encoding, Encoding::Windows1252);
        let wide: Vec<u8> = "Temp (°C);1\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(of(&wide).encoding, Encoding::Utf16Le);
        assert_eq!(of(&wide).not_text, None);
        let wide: Vec<u8> = "Temp (°C);1\r\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(of(&wide).encoding, Encoding::Utf16Be);
    }

    #[test]
    fn encoding_is_the_same_however_the_bytes_are_cut() {
        for bytes in [
            "Temp (°C) µmol ³ 温".as_bytes(),
            b"Temp (\xB0C)",
            b"\xC3",
            b"\xE6\xB8",
            b"a\xC3(b\xC2\xB0",
            b"\xC2\xC0\x00",
            b"a\xE6\xB8A",
        ] {
            let Ok(single) = find(&Single(bytes));
            assert_eq!(single, of(bytes), "{bytes:?}");
        }
    }

    #[test]
    fn not_text_is_said_in_words() {
        assert_eq!(of(b"").not_text.as_deref(), Some("it is empty"));
        assert!(
            of(b"\xFF\xD8\xFF\xE0\x00\x10JFIF\x00\x01\x01\x00\x00\x48")
                .not_text
                .unwrap()
                .contains("stand for no letter")
        );
        assert!(of(b"PK\x03\x04\x14\x00").not_text.unwrap().contains("save the table in it as CSV"));
        assert_eq!(of(b"a,b\n1,2\n").not_text, None);
    }
}
