//! Files in, files out.

pub mod export;
