//! A state as a row of numbers, so that it can be kept and comes back to the last bit.

/// Writes numbers, least significant byte first.
#[derive(Default)]
pub(super) struct TapeWriter {
    bytes: Vec<u8>,
}

impl TapeWriter {
    pub(super) fn int(&mut self, v: i64) {
        self.bytes.extend_from_slice(&v.to_le_bytes());
    }

    pub(super) fn count(&mut self, v: u32) {
        self.int(i64::from(v));
    }

    pub(super) fn flag(&mut self, v: bool) {
        self.int(i64::from(v));
    }

    pub(super) fn number(&mut self, v: f64) {
        self.bytes.extend_from_slice(&v.to_bits().to_le_bytes());
    }

    pub(super) fn maybe(&mut self, v: Option<i64>) {
        self.flag(v.is_some());
        self.int(v.unwrap_or(0));
    }

    pub(super) fn finish(self) -> Vec<u8> {
        self.bytes
    }
}

/// Reads them back in the same order; none where the row ends too early.
pub(super) struct TapeReader<'a> {
    bytes: &'a [u8],
}

impl<'a> TapeReader<'a> {
    pub(super) const fn new(bytes: &'a [u8]) -> TapeReader<'a> {
        TapeReader { bytes }
    }

    pub(super) fn int(&mut self) -> Option<i64> {
        let (first, rest) = self.bytes.split_first_chunk::<8>()?;
        self.bytes = rest;
        Some(i64::from_le_bytes(*first))
    }

    pub(super) fn count(&mut self) -> Option<u32> {
        u32::try_from(self.int()?).ok()
    }

    pub(super) fn flag(&mut self) -> Option<bool> {
        match self.int()? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }

    pub(super) fn number(&mut self) -> Option<f64> {
        self.int().map(|bits| f64::from_bits(bits.cast_unsigned()))
    }

    pub(super) fn maybe(&mut self) -> Option<Option<i64>> {
        let is_some = self.flag()?;
        let v = self.int()?;
        Some(is_some.then_some(v))
    }

    pub(super) const fn is_at_end(&self) -> bool {
        self.bytes.is_empty()
    }
}
