//! The garden: its structures, what is measured where, and how it is written down.

mod bed;
mod cover;
mod file;
mod measure;
mod place;
mod presence;
mod text;

pub use bed::{Bed, WATERINGS, texture_of_words, watering_word};
pub use cover::{COVER_KINDS, Cover, CoverPosition, CoverState, Film, cover_word};
pub use file::{GardenError, parse_garden};
pub use measure::Measure;
pub use place::{
    Correction, Crops, Exclusion, Garden, Notch, Placement, Position, Role, Spot, Structure, StructureKind, Vent,
    VentKind,
};
pub use presence::{Presence, WEEKDAYS, joined};
pub use text::garden_text;
