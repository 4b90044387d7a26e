//! What has come of each board's numbered queue: how far, and what never came.

/// How far one queue has come.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(super) struct QueueState {
    /// Highest sample settled; `None` before the first pack.
    pub upto: Option<u64>,
    /// Samples below `upto` that never came, as disjoint ascending ranges (first, last).
    pub gaps: Vec<(u64, u64)>,
    /// Whether the store has an older picture.
    pub changed: bool,
}

impl QueueState {
    /// Whether sample `n` has been settled before.
    pub(super) fn settled(&self, n: u64) -> bool {
        match self.upto {
            None => false,
            Some(upto) => n <= upto && !self.gaps.iter().any(|&(first, last)| first <= n && n <= last),
        }
    }

    /// Whether all of `first..=last` has been settled before.
    pub(super) fn all_settled(&self, first: u64, last: u64) -> bool {
        match self.upto {
            None => false,
            Some(upto) => last <= upto && !self.gaps.iter().any(|&(a, b)| a <= last && first <= b),
        }
    }

    /// Settles `first..=last`: fills gaps it covers and opens one before it if samples were passed over.
    pub(super) fn settle(&mut self, first: u64, last: u64) {
        // Samples are numbered from 1.
        let next = self.upto.map_or(1, |u| u + 1);
        if first > next {
            self.gaps.push((next, first - 1));
            self.changed = true;
        }
        if self.upto.is_none_or(|u| last > u) {
            self.upto = Some(last);
            self.changed = true;
        }
        if self.gaps.iter().any(|&(a, b)| a <= last && first <= b) {
            let old = std::mem::take(&mut self.gaps);
            for (a, b) in old {
                if b < first || last < a {
                    self.gaps.push((a, b));
                    continue;
                }
                if a < first {
                    self.gaps.push((a, first - 1));
                }
                if b > last {
                    self.gaps.push((last + 1, b));
                }
            }
            self.changed = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    #[test]
    fn samples_passed_over_are_a_gap_until_they_come() {
        let mut q = QueueState::default();
        q.settle(3, 5);
        assert_eq!(q.gaps, [(1, 2)]);
        q.settle(9, 9);
        assert_eq!(q.gaps, [(1, 2), (6, 8)]);
        q.settle(7, 7);
        assert_eq!(q.gaps, [(1, 2), (6, 6), (8, 8)]);
        assert!(q.settled(7) && !q.settled(6) && q.settled(5) && !q.settled(10));
    }

    proptest! {
        #[test]
        fn prop_any_order_of_packs_leaves_the_same_picture(packs in prop::collection::vec((1u64..60, 0u64..6), 1..20), seed in any::<u64>()) {
            let mut shuffled = packs.clone();
            let len = shuffled.len();
            for i in (1..len).rev() {
                shuffled.swap(i, (seed.rotate_left(i as u32) % (i as u64 + 1)) as usize);
            }
            let mut a = QueueState::default();
            let mut b = QueueState::default();
            let mut set = BTreeSet::new();
            for &(first, more) in &packs {
                a.settle(first, first + more);
                set.extend(first..=first + more);
            }
            for &(first, more) in &shuffled {
                b.settle(first, first + more);
                b.settle(first, first + more);
            }
            b.gaps.sort_unstable();
            a.gaps.sort_unstable();
            prop_assert_eq!(&a, &b);
            for n in 1..80 {
                prop_assert_eq!(a.settled(n), set.contains(&n));
            }
        }
    }
}
