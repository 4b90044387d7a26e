//! A lenient, allocation-free JSON scanner (RFC 8259).
//!
//! A document is checked whole before anything of it is handed out; what is handed out borrows from it. Lenient means three things and no
//! more: a byte-order mark in front is skipped, half a surrogate pair reads as U+FFFD, and the bare words `nan`, `inf` and `infinity`, with or
//! without a minus and in any letter case, are [`Value::NotANumber`], so that one broken sensor does not take its neighbours along.

mod pointer;
mod scan;
mod text;

pub use pointer::{Pointer, PointerError, pointer};
pub use scan::{Elements, Members};
pub use text::{JsonText, TextChars};

use core::fmt;

/// Arrays and objects may lie this deep in each other.
pub const MAX_DEPTH: u32 = 32;

/// A value of a checked document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'a> {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number, as written.
    Number(Number<'a>),
    /// A word such as `nan` or `-Infinity`, as written: not JSON, but sent by sensors.
    NotANumber(&'a str),
    /// A string.
    Text(JsonText<'a>),
    /// An array.
    Array(Array<'a>),
    /// An object.
    Object(Object<'a>),
}

impl<'a> Value<'a> {
    /// Checks the whole `document` and gives its one value; a lone number or `nan` is a document too.
    ///
    /// # Errors
    /// Anything that is not JSON apart from the words above, more than [`MAX_DEPTH`] levels, and rubbish behind the value.
    pub fn parse(document: &'a str) -> Result<Value<'a>, JsonError> {
        scan::document(document)
    }

    /// The value as written in the document; a string without its quotation marks.
    pub fn raw(&self) -> &'a str {
        match self {
            Value::Null => "null",
            Value::Bool(true) => "true",
            Value::Bool(false) => "false",
            Value::Number(number) => number.raw,
            Value::NotANumber(word) => word,
            Value::Text(text) => text.raw(),
            Value::Array(array) => array.raw,
            Value::Object(object) => object.raw,
        }
    }

    /// The number, if this is one and a double can hold it.
    pub fn to_f64(&self) -> Option<f64> {
        match self {
            Value::Number(number) => number.to_f64(),
            _ => None,
        }
    }

    /// The whole number, if this is one from 0 to 2^64 - 1.
    pub fn to_u64(&self) -> Option<u64> {
        match self {
            Value::Number(number) => number.to_u64(),
            _ => None,
        }
    }

    /// The truth value, if this is one.
    pub fn to_bool(&self) -> Option<bool> {
        match self {
            Value::Bool(truth) => Some(*truth),
            _ => None,
        }
    }

    /// The string, if this is one.
    pub fn to_text(&self) -> Option<JsonText<'a>> {
        match self {
            Value::Text(text) => Some(*text),
            _ => None,
        }
    }
}

/// A number as written; `1.10` and `1.1` differ here and are the same double.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number<'a> {
    raw: &'a str,
}

impl<'a> Number<'a> {
    /// The number as written.
    pub fn raw(&self) -> &'a str {
        self.raw
    }

    /// The nearest double; `None` where it is too large for one.
    pub fn to_f64(&self) -> Option<f64> {
        self.raw.parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// The whole number from 0 to 2^64 - 1. Exact where written as digits; `1e3` and `5.0` count too, up to 2^53.
    pub fn to_u64(&self) -> Option<u64> {
        self.raw.parse().ok().or_else(|| {
            let number = self.to_f64().filter(|number| (0.0..=9_007_199_254_740_992.0).contains(number))?;
            let whole = number as u64;
            (whole as f64 == number).then_some(whole)
        })
    }
}

/// An array of a checked document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Array<'a> {
    raw: &'a str,
}

impl<'a> Array<'a> {
    /// Its elements in order.
    pub fn elements(&self) -> Elements<'a> {
        Elements::of(self.raw)
    }
}

/// An object of a checked document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Object<'a> {
    raw: &'a str,
}

impl<'a> Object<'a> {
    /// Its names and values in order; a name may stand twice.
    pub fn members(&self) -> Members<'a> {
        Members::of(self.raw)
    }

    /// The first value of that name.
    pub fn member(&self, name: &str) -> Option<Value<'a>> {
        self.members().find(|(given, _)| *given == *name).map(|(_, value)| value)
    }
}

/// Where a document stops being JSON, and what would have been right there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct JsonError {
    /// Offset in bytes.
    pub at: usize,
    /// What was expected there, in plain words.
    pub expected: &'static str,
}

impl fmt::Display for JsonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "at byte {}: expected {}", self.at, self.expected)
    }
}

impl core::error::Error for JsonError {}

#[cfg(test)]
mod tests;
