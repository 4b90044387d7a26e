//! Lots that are drawn: numbers that look random and come again with the same seed.

/// SplitMix64 (Steele, Lea and Flood 2014, figure 16), begun with a seed.
#[derive(Clone, Debug)]
pub struct Lot(pub u64);

impl Lot {
    /// Any number.
    #[allow(clippy::should_implement_trait)] // it never ends
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to below `end`; 0 where that is 0.
    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    /// One of `all`, of which there must be one.
    #[allow(clippy::indexing_slicing)] // below its length
    pub fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}
