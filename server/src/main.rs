//! The program `propstick`.

use std::process::ExitCode;

fn main() -> ExitCode {
    propstick::commands::run()
}
