//! One honest risk index under cover: the same scale for every structure and crop group, never more precise than the humidity sensor.
//!
//! Our proposal throughout (wetness sheet 3); a reasoned one until the grower's own log supports it, and the help page must say so. It is about weather
//! alone. [`fold`] scores noon-days from hours, [`level`] makes levels of scores, [`groups`] says which diseases a crop group answers for, [`standing`]
//! where a week stands among the structure's own.

pub mod constants;
pub mod fold;
pub mod groups;
pub mod level;
pub mod standing;
