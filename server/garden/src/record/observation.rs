//! Things seen or heard: the look out of the window, the forecast, the finger in the soil.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

/// How long a look out of the window holds.
pub const LOOK_HOLDS: i64 = 3 * HOUR;

/// One thing that somebody saw or heard, at an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// Its number in the garden's records; 0 before it is kept.
    pub id: i64,
    /// When it was seen or heard.
    pub t: Millis,
    /// Who tells it, in a word; empty where nobody was named.
    pub teller: String,
    /// What.
    pub seen: Seen,
    /// When it was taken back; it then counts for nothing.
    pub undone_at: Option<Millis>,
}

/// What was seen or heard.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// A look out of the window.
    Look(WindowLook),
    /// A forecast as it was heard.
    Heard(Forecast),
    /// A finger pushed into a bed, 5 cm deep.
    Finger {
        /// Slug of the bed.
        bed: String,
        /// How it felt.
        feel: Feel,
    },
    /// The leaves in a structure looked at or touched.
    Leaves {
        /// Slug of the structure.
        structure: String,
        /// Whether they were wet.
        wet: bool,
    },
}

/// A look out of the window: three taps. Good for [`LOOK_HOLDS`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowLook {
    /// When.
    pub at: Millis,
    /// The sky.
    pub sky: Sky,
    /// The wind.
    pub wind: Wind,
    /// What falls or hangs in the air.
    pub wet: Wet,
    /// Where the wind comes from, degrees from north, clockwise, if it was said.
    pub wind_from_deg: Option<f64>,
}

impl WindowLook {
    /// Whether it still holds at `now`.
    pub const fn holds(&self, now: Millis) -> bool {
        let age = now.0 - self.at.0;
        age >= 0 && age < LOOK_HOLDS
    }
}

/// The sky.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sky {
    /// Clear, or nearly so.
    Clear,
    /// Sun and cloud.
    Broken,
    /// Overcast.
    Overcast,
}

impl Sky {
    /// All skies.
    pub const ALL: [Sky; 3] = [Sky::Clear, Sky::Broken, Sky::Overcast];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Sky::Clear => "clear",
            Sky::Broken => "broken",
            Sky::Overcast => "overcast",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Sky> {
        Sky::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// The wind, as one sees it at trees and washing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wind {
    /// Nothing moves.
    Calm,
    /// Leaves and twigs move.
    Light,
    /// Branches move.
    Fresh,
    /// Trees sway, walking is hard.
    Gale,
}

impl Wind {
    /// All winds, the least first.
    pub const ALL: [Wind; 4] = [Wind::Calm, Wind::Light, Wind::Fresh, Wind::Gale];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Wind::Calm => "calm",
            Wind::Light => "light",
            Wind::Fresh => "fresh",
            Wind::Gale => "gale",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Wind> {
        Wind::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// What falls or hangs in the air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Wet {
    /// Nothing.
    Dry,
    /// Rain or drizzle.
    Rain,
    /// Fog.
    Fog,
}

impl Wet {
    /// All of them.
    pub const ALL: [Wet; 3] = [Wet::Dry, Wet::Rain, Wet::Fog];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Wet::Dry => "dry",
            Wet::Rain => "rain",
            Wet::Fog => "fog",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Wet> {
        Wet::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// A forecast as it was heard, in one line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// When it was heard.
    pub at: Millis,
    /// What it speaks of.
    pub of: ForecastFor,
    /// Lowest air temperature, °C.
    pub low_c: Option<f64>,
    /// Highest air temperature, °C.
    pub high_c: Option<f64>,
    /// Wind.
    pub wind: Option<Wind>,
    /// Gusts, m/s, where a figure was heard.
    pub gust_m_s: Option<f64>,
    /// Sky.
    pub sky: Option<Sky>,
    /// Rain or fog.
    pub wet: Option<Wet>,
}

/// What a forecast speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ForecastFor {
    /// The day it was heard on, while it lasts.
    Today,
    /// The night that comes or goes on.
    Tonight,
    /// The day after.
    Tomorrow,
}

impl ForecastFor {
    /// All of them.
    pub const ALL: [ForecastFor; 3] = [ForecastFor::Today, ForecastFor::Tonight, ForecastFor::Tomorrow];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            ForecastFor::Today => "today",
            ForecastFor::Tonight => "tonight",
            ForecastFor::Tomorrow => "tomorrow",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<ForecastFor> {
        ForecastFor::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// How soil feels at a finger's depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Feel {
    /// Dry at 5 cm.
    Dry,
    /// Moist.
    Moist,
    /// Wet.
    Wet,
}

impl Feel {
    /// All of them.
    pub const ALL: [Feel; 3] = [Feel::Dry, Feel::Moist, Feel::Wet];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Feel::Dry => "dry",
            Feel::Moist => "moist",
            Feel::Wet => "wet",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Feel> {
        Feel::ALL.into_iter().find(|one| one.word() == word)
    }
}
