//! Leaf wetness under cover from temperature and humidity: how long leaves were likely wet, and how surely.
//!
//! [`state`] is the machine that runs on samples, [`hours`] makes hours of it, [`samples`] runs both over
//! readings, [`gauge`] learns what a wetness sensor's raw channel means, [`trust`] doubts one that has stuck wet,
//! [`drip`] follows the water on the film, [`spell`] finds damp spells. Numbers are in [`constants`].
//!
//! No published validation of any of this in unheated tunnels at 50 to 52° N is known (wetness sheet 8). One to two hours a day is as good as it gets;
//! up to four is normal after a move to another structure (wetness sheet 1.2).

pub mod constants;
pub mod drip;
pub mod gauge;
pub mod hours;
pub mod samples;
pub mod spell;
pub mod state;
pub mod trust;
