//! What lies over beds at night, and the film of a structure.

use propstick_agronomy::frost::NightCover;

/// A cover that can be laid over a bed, or over all that stands in a structure, and lifted again.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Its short name; unique in the garden.
    pub slug: String,
    /// Its name as the grower says it, such as "potato fleece".
    pub name: String,
    /// The bed it lies over; all of the structure if absent.
    pub bed: Option<String>,
    /// What kind it is.
    pub kind: NightCover,
    /// The positions that have words of their own, each once.
    pub positions: Vec<CoverPosition>,
}

impl Cover {
    /// How the grower says that it lies so, where they said.
    pub fn words(&self, state: CoverState) -> Option<&str> {
        self.positions.iter().find(|p| p.state == state).map(|p| p.words.as_str())
    }
}

/// How a cover lies, in the grower's words.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverPosition {
    /// Which.
    pub state: CoverState,
    /// How the grower says it.
    pub words: String,
}

/// How a cover lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CoverState {
    /// Over the crop.
    On,
    /// Folded back beside it.
    Folded,
    /// Off, and put away.
    Off,
}

impl CoverState {
    /// All of them.
    pub const ALL: [CoverState; 3] = [CoverState::On, CoverState::Folded, CoverState::Off];

    /// Its word in files, stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            CoverState::On => "on",
            CoverState::Folded => "folded",
            CoverState::Off => "off",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<CoverState> {
        CoverState::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// The kinds of cover that a garden may name.
pub const COVER_KINDS: [NightCover; 3] = [NightCover::Fleece17, NightCover::Fleece30, NightCover::FleeceDouble];

/// The word of a kind of cover in files and answers.
pub const fn cover_word(kind: NightCover) -> &'static str {
    match kind {
        NightCover::Fleece17 => "fleece-17",
        NightCover::Fleece30 => "fleece-30",
        NightCover::FleeceDouble => "fleece-double",
        NightCover::Tunnel => "tunnel",
        NightCover::TunnelAndFleece => "tunnel-and-fleece",
    }
}

/// The film or glass of a structure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Share of the light outdoors that reaches the crop, 0.1 to 1; that of its kind if absent.
    pub transmission: Option<f64>,
    /// Whether drops run off it instead of falling.
    pub sheds_drips: bool,
    /// How many layers, 1 to 3.
    pub layers: u8,
}
