//! An undercover climate logger and ventilation advisor: the shell around the garden.
//!
//! Rooms: [`config`] reads the configuration, [`store`] keeps, [`transport`] brings messages in and out, [`engine`] turns committed
//! readings into hours and advice, [`season`] tells days and what leaves went through, [`house`] runs them in their threads, [`web`] answers, [`files`] takes in and gives out files, [`demo`] invents, [`commands`] are what one types.

pub mod clock;
pub mod commands;
pub mod config;
#[cfg(feature = "embedded-broker")]
pub mod demo;
pub mod engine;
pub mod files;
pub mod house;
pub mod season;
pub mod stop;
pub mod store;
pub mod transport;
pub mod web;
