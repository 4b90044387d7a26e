//! Water: how many days a bed has in hand, and what to do if a finger finds it dry.
//!
//! A sum is kept for every bed from day to day ([`WaterFold`]); it knows what was missing to a full soil at the least and at the most. It never
//! orders water by itself in winter, and a finger pushed in overrules it at any time.

mod band;
mod bed;
mod day;
mod decide;
mod fold;
pub mod limits;
mod probe;
mod question;
mod standing;
mod told;
mod verdict;

pub use band::Band;
pub use bed::{Shelter, WaterBed, usual_transmission};
pub use day::{Site, WaterDay, likely_mm_of_season, most_mm_of_season, wanted_mm, wanted_mm_of_season};
pub use decide::decide_water;
pub use fold::{Finger, WaterFold};
pub use probe::{Probe, ProbeSays, learned_field_capacity};
pub use question::{Plot, WaterQuestion};
pub use standing::{Dose, Standing, dose};
pub use told::{BedEvent, Target, Told, told_of};
pub use verdict::{Missing, WaterAdvice, WaterCaution, WaterDoubt, WaterRule, WaterVerdict};

#[cfg(test)]
mod tests;
