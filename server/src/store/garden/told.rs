//! What the stores of things told have in common: each is kept once, nothing is deleted, and what is taken back stays where it is.

use propstick_wire::Millis;

/// What came of keeping a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept<T> {
    /// The thing as it is kept.
    pub one: T,
    /// Whether it is kept from now on; otherwise one with the same client key was kept before.
    pub is_new: bool,
}

/// What came of taking a thing back.
#[derive(Clone, Debug, PartialEq)]
pub enum Undone<T> {
    /// It counts for nothing from now on.
    Now(T),
    /// It was taken back before.
    Before(T),
    /// There is none of that number.
    Unknown,
}

/// Which things told are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Not earlier than this.
    pub from: Millis,
    /// Earlier than this.
    pub to: Millis,
    /// Of this target alone.
    pub target: Option<String>,
    /// Of this kind alone.
    pub kind: Option<String>,
    /// Those that were taken back, too.
    pub undone: bool,
    /// At most so many, the newest.
    pub limit: u32,
}

impl Wanted {
    /// All that count, of whatever time.
    pub fn all() -> Wanted {
        let (from, to) = (Millis(i64::MIN), Millis(i64::MAX));
        Wanted { from, to, target: None, kind: None, undone: false, limit: u32::MAX }
    }
}
