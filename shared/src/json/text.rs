//! The text of a JSON string, escapes and all.

use core::fmt::{self, Write};

/// The text of a JSON string. It borrows what stood between the quotation marks and takes the escapes out only on reading; two texts are
/// equal if they mean the same, however they are escaped.
#[derive(Clone, Copy, Debug, Default)]
pub struct JsonText<'a> {
    raw: &'a str,
}

impl<'a> JsonText<'a> {
    pub(super) fn from_raw(raw: &'a str) -> JsonText<'a> {
        JsonText { raw }
    }

    /// A text without a backslash, which stands for itself.
    pub(crate) fn from_plain(plain: &'a str) -> JsonText<'a> {
        JsonText { raw: plain }
    }

    /// What stood between the quotation marks.
    pub fn raw(&self) -> &'a str {
        self.raw
    }

    /// The text itself, where no escape occurs in it.
    pub fn as_plain(&self) -> Option<&'a str> {
        (!self.raw.as_bytes().contains(&b'\\')).then_some(self.raw)
    }

    /// The characters of the text; half a surrogate pair is U+FFFD.
    pub fn chars(&self) -> TextChars<'a> {
        TextChars { rest: self.raw }
    }

    /// Whether the text has no character.
    pub fn is_empty(&self) -> bool {
        self.raw.is_empty()
    }
}

impl PartialEq for JsonText<'_> {
    fn eq(&self, other: &JsonText<'_>) -> bool {
        self.raw == other.raw || self.chars().eq(other.chars())
    }
}

impl Eq for JsonText<'_> {}

impl PartialEq<str> for JsonText<'_> {
    fn eq(&self, other: &str) -> bool {
        match self.as_plain() {
            Some(plain) => plain == other,
            None => self.chars().eq(other.chars()),
        }
    }
}

impl PartialEq<&str> for JsonText<'_> {
    fn eq(&self, other: &&str) -> bool {
        *self == **other
    }
}

impl fmt::Display for JsonText<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.as_plain() {
            Some(plain) => f.write_str(plain),
            None => self.chars().try_for_each(|c| f.write_char(c)),
        }
    }
}

/// The characters of a [`JsonText`].
#[derive(Clone, Debug)]
pub struct TextChars<'a> {
    rest: &'a str,
}

impl<'a> TextChars<'a> {
    /// The text that was not read yet.
    pub fn as_text(&self) -> JsonText<'a> {
        JsonText { raw: self.rest }
    }

    fn take(&mut self) -> Option<char> {
        let mut chars = self.rest.chars();
        let c = chars.next()?;
        self.rest = chars.as_str();
        Some(c)
    }

    /// The four hexadecimal digits behind `\u`.
    fn unit(&mut self) -> Option<u32> {
        let unit = u32::from_str_radix(self.rest.get(..4)?, 16).ok()?;
        self.rest = &self.rest[4..];
        Some(unit)
    }

    /// The character of a `\u` escape, with the second escape of a pair.
    fn unicode(&mut self) -> Option<char> {
        let first = self.unit()?;
        if (0xd800..0xdc00).contains(&first) {
            let mut ahead = TextChars { rest: self.rest.strip_prefix("\\u").unwrap_or_default() };
            if let Some(second @ 0xdc00..0xe000) = ahead.unit() {
                self.rest = ahead.rest;
                return char::from_u32(0x1_0000 + ((first - 0xd800) << 10) + (second - 0xdc00));
            }
        }
        Some(char::from_u32(first).unwrap_or(char::REPLACEMENT_CHARACTER))
    }
}

impl Iterator for TextChars<'_> {
    type Item = char;

    fn next(&mut self) -> Option<char> {
        match self.take()? {
            '\\' => match self.take()? {
                'b' => Some('\u{8}'),
                'f' => Some('\u{c}'),
                'n' => Some('\n'),
                'r' => Some('\r'),
                't' => Some('\t'),
                'u' => self.unicode(),
                c => Some(c),
            },
            c => Some(c),
        }
    }
}
