//! Sensor Measurement Lists in JSON (SenML, RFC 8428): a reader and a writer without a heap.
//!
//! [`Pack::parse`] checks a pack whole; what it lets through can be walked without errors. Section numbers in this module are those of
//! RFC 8428. The reader goes beyond it in two things: a value that is no number spoils its own record only, and the `e` of an exponent may
//! be a capital letter.

mod fields;
mod name;
mod pack;
mod writer;

pub use name::{Name, NameChars};
pub use pack::{Pack, Record, Records, SenmlError, SenmlFault, Time, Value};
pub use writer::{Figure, Mark, WriteError, Writer};

/// A pack has at most this many bytes (the contract's limit, not the RFC's).
pub const MAX_PACK_BYTES: usize = 4096;

/// A pack has at most this many records, those with base fields alone included (the contract's limit, not the RFC's).
pub const MAX_RECORDS: usize = 96;

/// The highest version of the format that is understood (section 4.1), and the one that counts where none is given.
pub const VERSION: u64 = 10;

/// Times below this many seconds are relative to now (section 4.5.3).
pub const ABSOLUTE_FROM_S: f64 = 268_435_456.0;

/// Whether a character may stand in a name (section 4.5.1).
fn is_name_char(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '-' | ':' | '.' | '/' | '_')
}

#[cfg(test)]
mod rfc8428;
#[cfg(test)]
mod tests;
