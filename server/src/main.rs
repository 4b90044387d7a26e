//! The program `propstick`.

use std::process::ExitCode;

/// Gives memory back that a history or a password hash needed only once; the system's own keeps most of it.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    propstick::commands::run()
}
