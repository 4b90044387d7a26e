//! The fifteen scenarios of the advice page through the real program: a recording goes in, and what stands at the scenario's instant is asserted in its
//! coarse column, times within an hour; of all that is said in the last hours nothing is what "must not say" names. All of it is common practice, from
//! judgement, no source.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)] // a test's helpers are part of the test

mod again;
mod heard;
mod scene;
mod spring;
mod summer;
mod winter;
