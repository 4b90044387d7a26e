//! Reading the three forms of readings back: the same pieces and the same report as any table.

mod lines;
mod seen;
mod senml;
mod taker;
mod wide;

use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::Form;
use crate::table::{Misfit, Piece, Report, Source, Trouble, mapping::Encoding, text};
use taker::Taker;

/// A form is recognised by at most so many bytes of a file's beginning; give that many, or all if there are fewer.
pub const RECOGNISED_BY_BYTES: usize = text::MAX_LINE_BYTES;

/// Which form of readings a file is in, by its first bytes; `None` where it is none of them, such as anybody else's table.
pub fn recognise(first: &[u8]) -> Option<Form> {
    let first = first.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(first);
    // A character may be cut at the end.
    let text = match core::str::from_utf8(first) {
        Ok(text) => text,
        Err(error) => core::str::from_utf8(first.get(..error.valid_up_to())?).ok()?,
    };
    let line = text.lines().map(str::trim).find(|line| !line.is_empty() && !line.starts_with('#'))?;
    if wide::is_header(line) {
        Some(Form::Csv)
    } else if senml::is_pack(line) {
        Some(Form::Senml)
    } else if lines::is_line(line) {
        Some(Form::Lines)
    } else {
        None
    }
}

/// Reads a whole file of one of the forms. Devices named `urn:dev:` are boards, all others another maker's, of the mapping that stands in their name.
///
/// What cannot be read is set aside and counted, as in any table: a value outside what can be meant, a time before 1900 or later than five minutes
/// after `now`, a line that is none of the form.
///
/// # Errors
/// [`Trouble::Misfit`] where the heads of a table are not those of the form; then nothing was given. [`Trouble::Source`] and [`Trouble::Stopped`] may
/// come after pieces were given.
pub fn read_form<S: Source + ?Sized>(
    source: &S,
    form: Form,
    now: Millis,
    take: &mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
) -> Result<Report, Trouble<S::Error>> {
    let mut taker = Taker::new(now, take);
    let mut misfit: Option<Misfit> = None;
    let mut wide = wide::Reader::default();
    let mut lines = lines::Reader::default();
    let seen = text::for_each_line(source, Encoding::Utf8, &mut |line| match form {
        Form::Csv => wide.line(&line, &mut taker).unwrap_or_else(|found| {
            misfit = Some(found);
            ControlFlow::Break(())
        }),
        Form::Senml => senml::line(&line, &mut taker),
        Form::Lines => lines.line(&line, &mut taker),
    })
    .map_err(Trouble::Source)?;
    if let Some(misfit) = misfit {
        return Err(Trouble::Misfit(misfit));
    }
    taker.end(seen.lines).ok_or(Trouble::Stopped)
}
