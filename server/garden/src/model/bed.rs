//! Beds, and what the water in them is reckoned from.

use propstick_agronomy::water::balance::Given;
use propstick_agronomy::water::soils::{TEXTURES, Texture};

/// A bed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bed {
    /// Its short name.
    pub slug: String,
    /// Its name.
    pub name: String,
    /// The structure it lies in.
    pub structure: String,
    /// Its area, m².
    pub area_m2: Option<f64>,
    /// Its soil, by the name of a texture of [`TEXTURES`].
    pub soil: Option<String>,
    /// What grows in it: a crop of the water table by its name, or any other word, which then counts as small vegetables.
    pub crop: Option<String>,
    /// How deep the roots reach, m, 0.05 to 3.
    pub roots_m: Option<f64>,
    /// How it is watered.
    pub watering: Option<Given>,
    /// Litres a minute that its drip line gives to the whole bed; only with [`Given::Drip`].
    pub drip_l_min: Option<f64>,
    /// Whether trays stand on it: they are lifted and looked at, not reckoned.
    pub trays: bool,
}

impl Bed {
    /// The texture of its soil.
    pub fn texture(&self) -> Option<&'static Texture> {
        self.soil.as_deref().and_then(texture_of_words)
    }
}

/// The texture of that name, written with hyphens or with spaces.
pub fn texture_of_words(words: &str) -> Option<&'static Texture> {
    let name = words.trim().to_lowercase().replace([' ', '_'], "-");
    TEXTURES.iter().find(|texture| texture.name == name)
}

/// The ways of watering.
pub const WATERINGS: [Given; 3] = [Given::Can, Given::Drip, Given::Sprinkler];

/// The word of a way of watering in files and answers.
pub const fn watering_word(given: Given) -> &'static str {
    match given {
        Given::Can => "can",
        Given::Drip => "drip",
        Given::Sprinkler => "sprinkler",
    }
}
