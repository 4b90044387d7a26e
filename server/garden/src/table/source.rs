//! Where the bytes of a file come from.

use std::convert::Infallible;
use std::ops::ControlFlow;

/// Bytes that can be gone through from beginning to end, again and again, and are the same every time.
pub trait Source {
    /// Why it could not be read to its end.
    type Error;

    /// Gives all bytes in order, in pieces of any size, until `take` breaks off.
    ///
    /// # Errors
    /// Whatever keeps the bytes from being read. Breaking off is no error.
    fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Self::Error>;
}

impl Source for [u8] {
    type Error = Infallible;

    fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Infallible> {
        for piece in self.chunks(1 << 18) {
            if take(piece).is_break() {
                break;
            }
        }
        Ok(())
    }
}

impl Source for Vec<u8> {
    type Error = Infallible;

    fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Infallible> {
        self.as_slice().pieces(take)
    }
}
