//! The steps from row to row.

use std::collections::BTreeMap;

use crate::table::stamp::DAY_MS;

/// How long the steps between rows are, by how often each length comes.
#[derive(Clone, Debug, Default)]
pub(super) struct Steps {
    last: Option<i64>,
    each: BTreeMap<i64, u64>,
    /// Steps of 0.
    pub same: u64,
    pub rows: u64,
    pub first: Option<i64>,
    /// Lowest and highest time.
    pub span: Option<(i64, i64)>,
}

impl Steps {
    /// Takes the time of the next row, in milliseconds.
    pub(super) fn take(&mut self, ms: i64) {
        self.rows += 1;
        self.first.get_or_insert(ms);
        self.span = Some(self.span.map_or((ms, ms), |(low, high)| (low.min(ms), high.max(ms))));
        if let Some(last) = self.last.replace(ms) {
            let step = (ms - last) / 1000;
            self.same += u64::from(ms == last);
            // 512 lengths are more than any logger has; a file of random times does not grow the table.
            if step > 0 && (self.each.len() < 512 || self.each.contains_key(&step)) {
                *self.each.entry(step).or_default() += 1;
            }
        }
    }

    /// The step that half of the steps do not exceed, in seconds.
    pub(super) fn median_s(&self) -> Option<i64> {
        let all: u64 = self.each.values().sum();
        let mut so_far = 0;
        self.each
            .iter()
            .find(|(_, times)| {
                so_far += **times;
                so_far * 2 >= all
            })
            .map(|(step, _)| *step)
    }

    /// The step that comes most often.
    pub(super) fn usual_s(&self) -> Option<i64> {
        self.each.iter().max_by_key(|(step, times)| (**times, -**step)).map(|(step, _)| *step)
    }

    /// From the lowest to the highest time, in days.
    pub(super) fn days(&self) -> f64 {
        self.span.map_or(0.0, |(low, high)| (high - low) as f64 / DAY_MS as f64)
    }
}
