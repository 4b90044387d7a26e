//! An undercover climate logger and ventilation advisor: the shell around the garden.

pub mod transport;
