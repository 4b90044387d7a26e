//! How cold the leaves get tonight: a range in whole degrees, when to say so, and how often it was right.

mod outlook;

pub use outlook::{FrostBy, FrostDoubt, FrostOutlook, Ice, Speak};
