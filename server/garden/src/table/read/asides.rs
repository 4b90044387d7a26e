//! What is set aside, counted by reason and column.

use crate::table::report::{Aside, AsideWhy, MAX_ENTRIES};

/// At most so many characters of what stood there are kept.
const EXAMPLE_CHARS: usize = 60;

/// Counts of what is set aside.
#[derive(Debug, Default)]
pub(super) struct Asides {
    all: Vec<(Aside, usize)>,
    others: Option<Aside>,
}

/// The place of a trouble that is the whole row's.
pub(super) const ROW: usize = usize::MAX;
/// The place of a trouble with the row's time, in whatever columns it stands.
pub(super) const TIME: usize = usize::MAX - 1;

impl Asides {
    /// Counts one. The column's name and what stands there are asked for where this is the first of its kind.
    pub(super) fn take(
        &mut self,
        why: AsideWhy,
        place: usize,
        line: u64,
        name: impl FnOnce() -> String,
        example: impl FnOnce() -> String,
    ) {
        if let Some((aside, _)) = self.all.iter_mut().find(|(aside, at)| aside.why == why && *at == place) {
            aside.times += 1;
            return;
        }
        if let Some(others) = &mut self.others {
            others.times += 1;
            return;
        }
        let example: String = example().trim().chars().take(EXAMPLE_CHARS).collect();
        let aside = Aside { why, what: name(), times: 1, first_line: line, example };
        if self.all.len() < MAX_ENTRIES {
            self.all.push((aside, place));
        } else {
            self.others = Some(Aside { why: AsideWhy::Others, what: String::new(), ..aside });
        }
    }

    /// All of them, in the order in which they were first met.
    pub(super) fn end(self) -> Vec<Aside> {
        self.all.into_iter().map(|(aside, _)| aside).chain(self.others).collect()
    }
}
