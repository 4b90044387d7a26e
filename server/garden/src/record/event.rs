//! Things done, or found.

use propstick_wire::Millis;

/// One thing that somebody did or found, at an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Its number in the garden's records; 0 before it is kept.
    pub id: i64,
    /// When it was done.
    pub t: Millis,
    /// What kind of thing.
    pub kind: EventKind,
    /// Slug of what it was done to: an opening, a bed, a cover or a structure.
    pub target: String,
    /// What exactly, in a word of the kind's own; see [`EventKind`].
    pub what: Option<String>,
    /// How much, in `unit`.
    pub amount: Option<f64>,
    /// The unit of `amount`: `L`, `can`, `min` or `mm` for water, `count` for things counted.
    pub unit: Option<String>,
    /// How it came to be known.
    pub source: EventSource,
    /// The import it came with; 0 for what was told here.
    pub origin: i64,
    /// When it was taken back; it then counts for nothing.
    pub undone_at: Option<Millis>,
}

impl Event {
    /// Whether it counts.
    pub const fn counts(&self) -> bool {
        self.undone_at.is_none()
    }
}

/// What kind of thing was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventKind {
    /// An opening was set; `what` is a notch: `closed`, `crack`, `half`, `full`.
    Vent,
    /// A bed, or everything in a structure, was watered; `what` is `root` or `overhead`.
    Water,
    /// A cover was laid or lifted; `what` is `on`, `folded` or `off`.
    Fleece,
    /// Something was found on the crop; `what` is a disease of the table by its word, `nothing`, or `something` that nobody could name.
    Found,
    /// Advice was followed; `what` is its number.
    Done,
    /// Advice was left; `what` is its number.
    NotDone,
}

impl EventKind {
    /// All kinds.
    pub const ALL: [EventKind; 6] =
        [EventKind::Vent, EventKind::Water, EventKind::Fleece, EventKind::Found, EventKind::Done, EventKind::NotDone];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            EventKind::Vent => "vent",
            EventKind::Water => "water",
            EventKind::Fleece => "fleece",
            EventKind::Found => "found",
            EventKind::Done => "done",
            EventKind::NotDone => "not_done",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<EventKind> {
        EventKind::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// How an event came to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventSource {
    /// Somebody told it.
    Tap,
    /// A contact at the opening reported it.
    Contact,
    /// It was inferred from readings and confirmed by nobody.
    Inferred,
    /// It came with an import.
    Import,
}

impl EventSource {
    /// All sources.
    pub const ALL: [EventSource; 4] =
        [EventSource::Tap, EventSource::Contact, EventSource::Inferred, EventSource::Import];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            EventSource::Tap => "tap",
            EventSource::Contact => "contact",
            EventSource::Inferred => "inferred",
            EventSource::Import => "import",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<EventSource> {
        EventSource::ALL.into_iter().find(|one| one.word() == word)
    }
}
