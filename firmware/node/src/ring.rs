//! The queue in memory: a ring of fixed length, oldest first.

use crate::sample::{Sample, Stamp, Values};
use crate::uptime::Uptime;
use propstick_wire::QueueId;

/// At most `N` samples; a further one drops the oldest.
#[derive(Clone, Debug)]
pub struct Ring<const N: usize> {
    slots: [Sample; N],
    head: usize,
    len: usize,
}

const VACANT: Sample = Sample { queue: QueueId(0), n: 0, at: Stamp::Since(Uptime(0)), values: Values::NONE };

impl<const N: usize> Default for Ring<N> {
    fn default() -> Ring<N> {
        const { assert!(N > 0, "a queue holds at least one sample") };
        Ring { slots: [VACANT; N], head: 0, len: 0 }
    }
}

impl<const N: usize> Ring<N> {
    /// Adds the newest sample; gives back the oldest where there was no room.
    pub fn push(&mut self, sample: Sample) -> Option<Sample> {
        let dropped = if self.len == N { self.pop() } else { None };
        self.slots[(self.head + self.len) % N] = sample;
        self.len += 1;
        dropped
    }

    /// Takes out the oldest sample.
    pub fn pop(&mut self) -> Option<Sample> {
        let oldest = self.first().copied()?;
        self.head = (self.head + 1) % N;
        self.len -= 1;
        Some(oldest)
    }

    /// The oldest sample.
    pub fn first(&self) -> Option<&Sample> {
        self.iter().next()
    }

    /// The samples, oldest first.
    pub fn iter(&self) -> impl Iterator<Item = &Sample> + Clone {
        (0..self.len).map(|k| &self.slots[(self.head + k) % N])
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.len
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::VecDeque;
    use std::vec::Vec;

    fn numbered(n: u64) -> Sample {
        Sample { n, ..VACANT }
    }

    proptest! {
        #[test]
        fn prop_ring_behaves_like_a_queue_that_drops_its_oldest(pushes in prop::collection::vec(prop::option::weighted(0.7, any::<u64>()), 0..60)) {
            let mut ring = Ring::<5>::default();
            let mut model: VecDeque<u64> = VecDeque::new();
            for step in pushes {
                match step {
                    Some(n) => {
                        let dropped = if model.len() == 5 { model.pop_front() } else { None };
                        model.push_back(n);
                        prop_assert_eq!(ring.push(numbered(n)).map(|sample| sample.n), dropped);
                    }
                    None => prop_assert_eq!(ring.pop().map(|sample| sample.n), model.pop_front()),
                }
                prop_assert_eq!(ring.iter().map(|sample| sample.n).collect::<Vec<_>>(), model.iter().copied().collect::<Vec<_>>());
                prop_assert_eq!(ring.len(), model.len());
            }
        }
    }
}
