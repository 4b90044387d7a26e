//! Text written into a buffer of the caller's.

use core::fmt::{self, Write};

/// The text does not fit into the buffer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Full;

impl fmt::Display for Full {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the text does not fit into the buffer")
    }
}

impl core::error::Error for Full {}

impl From<fmt::Error> for Full {
    fn from(_: fmt::Error) -> Full {
        Full
    }
}

/// A buffer with a fill level. What does not fit is refused whole, piece by piece.
pub(crate) struct Sink<'b> {
    buffer: &'b mut [u8],
    len: usize,
}

impl<'b> Sink<'b> {
    pub(crate) fn new(buffer: &'b mut [u8]) -> Sink<'b> {
        Sink { buffer, len: 0 }
    }

    pub(crate) fn len(&self) -> usize {
        self.len
    }

    pub(crate) fn room(&self) -> usize {
        self.buffer.len() - self.len
    }

    /// Forgets what was written past `len`.
    pub(crate) fn cut(&mut self, len: usize) {
        self.len = self.len.min(len);
    }

    pub(crate) fn into_str(self) -> &'b str {
        // Only whole `&str` are ever written, and `cut` goes back to where one of them ended.
        core::str::from_utf8(&self.buffer[..self.len]).unwrap_or_default()
    }
}

impl Write for Sink<'_> {
    fn write_str(&mut self, piece: &str) -> fmt::Result {
        let end = self.len + piece.len();
        self.buffer.get_mut(self.len..end).ok_or(fmt::Error)?.copy_from_slice(piece.as_bytes());
        self.len = end;
        Ok(())
    }
}

/// A text as a JSON string, quotation marks and escapes included.
pub(crate) struct Quoted<'a>(pub(crate) &'a str);

impl fmt::Display for Quoted<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('"')?;
        for c in self.0.chars() {
            match c {
                '"' => f.write_str("\\\"")?,
                '\\' => f.write_str("\\\\")?,
                c if (c as u32) < 0x20 => write!(f, "\\u{:04x}", c as u32)?,
                c => f.write_char(c)?,
            }
        }
        f.write_char('"')
    }
}

/// Texts as a JSON array of strings.
pub(crate) struct QuotedList<'a>(pub(crate) &'a [&'a str]);

impl fmt::Display for QuotedList<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('[')?;
        for (at, text) in self.0.iter().enumerate() {
            if at > 0 {
                f.write_char(',')?;
            }
            write!(f, "{}", Quoted(text))?;
        }
        f.write_char(']')
    }
}
