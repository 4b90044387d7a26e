//! JSON pointers (RFC 6901).

use super::{JsonError, JsonText, Value};
use core::fmt;

/// Checks the whole `document` and gives the value that `path` (RFC 6901, such as `/air/0/t`) points to; `None` where there is none.
///
/// # Errors
/// A document that is not to be read, a path that is no pointer (offset 0), and a name on the way that stands twice in its object: then
/// the value would depend on the order of the members.
pub fn pointer<'a>(document: &'a str, path: &str) -> Result<Option<Value<'a>>, JsonError> {
    let root = Value::parse(document)?;
    let path = Pointer::parse(path).map_err(|_| JsonError {
        at: 0,
        expected: "a pointer that is empty or begins with '/', with '~' only as ~0 or ~1",
    })?;
    root.find(path).map_err(|error| JsonError { at: error.at + offset(document, root.raw()), ..error })
}

/// A checked JSON pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pointer<'p> {
    path: &'p str,
}

impl<'p> Pointer<'p> {
    /// Checks `path`: empty for the whole document, or tokens each with '/' before it, '~' written `~0` and '/' written `~1`.
    ///
    /// # Errors
    /// Where it is none.
    pub fn parse(path: &'p str) -> Result<Pointer<'p>, PointerError> {
        if !path.is_empty() && !path.starts_with('/') {
            return Err(PointerError { at: 0 });
        }
        for (at, _) in path.match_indices('~') {
            if !matches!(path.as_bytes().get(at + 1), Some(b'0' | b'1')) {
                return Err(PointerError { at });
            }
        }
        Ok(Pointer { path })
    }

    fn tokens(self) -> impl Iterator<Item = &'p str> {
        self.path.split('/').skip(1)
    }
}

/// Where a text stops being a JSON pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PointerError {
    /// Offset in bytes.
    pub at: usize,
}

impl fmt::Display for PointerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "at byte {}: a pointer is empty or begins with '/', and '~' stands only in ~0 and ~1", self.at)
    }
}

impl core::error::Error for PointerError {}

impl<'a> Value<'a> {
    /// The value that `pointer` points to from here; `None` where there is none.
    ///
    /// # Errors
    /// A name on the way that stands twice in its object; the offset counts from the beginning of this value.
    pub fn find(self, pointer: Pointer<'_>) -> Result<Option<Value<'a>>, JsonError> {
        let mut here = self;
        for token in pointer.tokens() {
            let next = match here {
                Value::Object(object) => {
                    let mut named = object.members().filter(|(name, _)| is_named(*name, token));
                    let first = named.next();
                    if let Some((twice, _)) = named.next() {
                        return Err(JsonError { at: offset(self.raw(), twice.raw()), expected: "each name once" });
                    }
                    first.map(|(_, value)| value)
                }
                Value::Array(array) => index(token).and_then(|at| array.elements().nth(at)),
                _ => None,
            };
            match next {
                Some(value) => here = value,
                None => return Ok(None),
            }
        }
        Ok(Some(here))
    }
}

/// Whether a member's name is what a token, with its `~0` and `~1`, means.
fn is_named(name: JsonText<'_>, token: &str) -> bool {
    let mut escaped = token.chars();
    let meant = core::iter::from_fn(|| match escaped.next()? {
        '~' => Some(if escaped.next()? == '0' { '~' } else { '/' }),
        c => Some(c),
    });
    name.chars().eq(meant)
}

/// The index a token means: digits without a leading zero.
fn index(token: &str) -> Option<usize> {
    let digits = token.bytes().all(|digit| digit.is_ascii_digit()) && (token == "0" || !token.starts_with('0'));
    if digits { token.parse().ok() } else { None }
}

/// Where `part`, a slice of `whole`, begins in it.
fn offset(whole: &str, part: &str) -> usize {
    (part.as_ptr() as usize).saturating_sub(whole.as_ptr() as usize)
}
