//! Names: base name and name, joined.

use super::is_name_char;
use crate::json::{JsonText, TextChars};
use core::fmt;

/// The name of a sensor: the base name with the record's own name behind it, joined only on reading.
#[derive(Clone, Copy, Debug, Default)]
pub struct Name<'a> {
    /// The base name, empty where there is none.
    pub base: JsonText<'a>,
    /// The record's own name, empty where there is none.
    pub own: JsonText<'a>,
}

impl<'a> Name<'a> {
    /// The characters of the joined name.
    pub fn chars(&self) -> NameChars<'a> {
        NameChars { base: self.base.chars(), own: self.own.chars() }
    }

    /// What stands behind `prefix` if the joined name begins with it; where base name and name meet does not matter.
    pub fn split_after(&self, prefix: &str) -> Option<Name<'a>> {
        // The usual case, and the quick one: the prefix ends in the base name and nothing is escaped.
        if let Some(rest) = self.base.as_plain().and_then(|base| base.strip_prefix(prefix)) {
            return Some(Name { base: JsonText::from_plain(rest), own: self.own });
        }
        let mut chars = self.chars();
        prefix.chars().all(|wanted| chars.next() == Some(wanted)).then(|| chars.as_name())
    }

    /// The joined name as a slice of the message, where it is one: not where both parts have characters, or escapes.
    pub fn as_plain(&self) -> Option<&'a str> {
        if self.own.is_empty() {
            self.base.as_plain()
        } else if self.base.is_empty() {
            self.own.as_plain()
        } else {
            None
        }
    }

    /// Whether the joined name has no character.
    pub fn is_empty(&self) -> bool {
        self.base.is_empty() && self.own.is_empty()
    }

    /// Whether the joined name is one by section 4.5.1: A-Z a-z 0-9 - : . / _ and a letter or digit in front.
    pub(super) fn is_valid(&self) -> bool {
        let all_well = |text: JsonText<'_>| match text.as_plain() {
            Some(plain) => plain.bytes().all(|byte| is_name_char(char::from(byte))),
            None => text.chars().all(is_name_char),
        };
        self.chars().next().is_some_and(|c| c.is_ascii_alphanumeric()) && all_well(self.base) && all_well(self.own)
    }
}

impl PartialEq for Name<'_> {
    fn eq(&self, other: &Name<'_>) -> bool {
        self.chars().eq(other.chars())
    }
}

impl Eq for Name<'_> {}

impl PartialEq<str> for Name<'_> {
    fn eq(&self, other: &str) -> bool {
        self.chars().eq(other.chars())
    }
}

impl PartialEq<&str> for Name<'_> {
    fn eq(&self, other: &&str) -> bool {
        *self == **other
    }
}

impl fmt::Display for Name<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.base, self.own)
    }
}

/// The characters of a [`Name`].
#[derive(Clone, Debug)]
pub struct NameChars<'a> {
    base: TextChars<'a>,
    own: TextChars<'a>,
}

impl<'a> NameChars<'a> {
    /// The part of the name that was not read yet.
    pub fn as_name(&self) -> Name<'a> {
        Name { base: self.base.as_text(), own: self.own.as_text() }
    }
}

impl Iterator for NameChars<'_> {
    type Item = char;

    fn next(&mut self) -> Option<char> {
        self.base.next().or_else(|| self.own.next())
    }
}
