//! Files in, files out: a grower's years of logger files, and everything that is kept, in open forms.

pub mod export;
pub mod import;
