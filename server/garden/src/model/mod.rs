//! The garden: its structures, what is measured where, and how it is written down.

mod file;
mod measure;
mod place;
mod text;

pub use file::{GardenError, parse_garden};
pub use measure::Measure;
pub use place::{
    Bed, Correction, Crops, Exclusion, Garden, Notch, Placement, Position, Role, Spot, Structure, StructureKind, Vent,
    VentKind,
};
pub use text::garden_text;
