//! Every sentence the program says about the garden, for the page, the terminal and messages alike.

mod figures;
mod openings;
mod vent;

pub use vent::{VentWords, vent_words};
