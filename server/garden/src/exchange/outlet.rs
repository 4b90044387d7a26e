//! Where text goes: gathered into pieces, each handed on as soon as it is full.

use core::fmt::{self, Write};
use core::ops::ControlFlow;

/// A piece is handed on when it has at least so many bytes.
const PIECE_BYTES: usize = 64 << 10;

/// Gathers text and hands it on piece by piece. What it hands to may say that it wants no more.
pub struct Outlet<'a> {
    pub(super) text: Vec<u8>,
    give: &'a mut dyn FnMut(&[u8]) -> ControlFlow<()>,
}

impl<'a> Outlet<'a> {
    /// An outlet that hands its pieces to `give`.
    pub fn new(give: &'a mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Outlet<'a> {
        Outlet { text: Vec::with_capacity(PIECE_BYTES + 4096), give }
    }

    /// A line is finished: hands on what has gathered, if it is enough.
    pub(super) fn line_done(&mut self) -> ControlFlow<()> {
        if self.text.len() < PIECE_BYTES { ControlFlow::Continue(()) } else { self.flush() }
    }

    /// Hands on what has gathered, however little.
    pub fn flush(&mut self) -> ControlFlow<()> {
        if self.text.is_empty() {
            return ControlFlow::Continue(());
        }
        let go_on = (self.give)(&self.text);
        self.text.clear();
        go_on
    }
}

impl Write for Outlet<'_> {
    fn write_str(&mut self, piece: &str) -> fmt::Result {
        self.text.extend_from_slice(piece.as_bytes());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlet_hands_on_full_pieces_at_the_end_of_a_line_and_the_rest_when_flushed() {
        let mut pieces: Vec<usize> = Vec::new();
        let mut give = |piece: &[u8]| {
            pieces.push(piece.len());
            ControlFlow::Continue(())
        };
        let mut out = Outlet::new(&mut give);
        for _ in 0..3 {
            let _ = out.write_str(&"x".repeat(40_000));
            assert!(out.line_done().is_continue());
        }
        assert!(out.flush().is_continue() && out.flush().is_continue());
        assert_eq!(pieces, [80_000, 40_000]);
    }

    #[test]
    fn outlet_passes_on_that_nobody_wants_more() {
        let mut give = |_: &[u8]| ControlFlow::Break(());
        let mut out = Outlet::new(&mut give);
        let _ = out.write_str("x");
        assert!(out.line_done().is_continue(), "a short line waits");
        assert!(out.flush().is_break());
    }
}
