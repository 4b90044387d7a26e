//! What to do about it: decisions as functions of plain values.

mod by_rule;
mod case;
mod clock;
mod covers;
mod day_plan;
mod daylight;
pub mod frost;
mod growth;
mod heard;
mod hold;
mod limits;
mod night;
mod openings;
mod outlook;
mod people;
mod picking;
mod question;
mod seen;
mod vent;
mod verdict;
pub mod water;
mod weather;
mod wind;

pub use clock::LocalClock;
pub use covers::{CoverAt, CoverMove, CoverQuestion, CoverRule, CoverState, CoverVerdict, decide_cover};
pub use daylight::{is_dark, laying_hour, thaw_hour};
pub use growth::{Growth, GrowthBack, GrowthDay, GrowthPlace, growth};
pub use heard::{Heard, heard_of_night};
pub use hold::{
    HOLD_MIN, Held, VentStands, close_what_stands_open, is_cover_news, is_news, is_outlived, is_picking_news,
    is_told_done, may_flip, may_move,
};
pub use limits::{FRESH_MIN, Limits};
pub use outlook::{Outlook, OutlookHour};
pub use people::Presence;
pub use question::{Air, DEFAULT_RH_ERROR_PCT, DampStory, FrostMemory, VentQuestion, VentStructure};
pub use vent::decide_vent;
pub use verdict::{
    Aim, AirFigures, Also, Caution, DayNote, Doubt, Expect, Figures, Further, Move, Rule, VentVerdict, Verdict,
};
pub use weather::{Gale, GaleWhen, Weather};
pub use wind::WindNow;

#[cfg(test)]
pub(crate) mod tests;
