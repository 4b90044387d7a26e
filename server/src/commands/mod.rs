//! What one types.

/// Says a line on standard output. That nobody listens any more is no fault of the command.
macro_rules! say {
    ($($part:tt)*) => {{
        use std::io::Write as _;
        let _ = writeln!(std::io::stdout(), $($part)*);
    }};
}
/// Says a line on standard error.
macro_rules! say_aside {
    ($($part:tt)*) => {{
        use std::io::Write as _;
        let _ = writeln!(std::io::stderr(), $($part)*);
    }};
}

mod board;
mod check;
#[cfg(feature = "embedded-broker")]
mod demo;
mod did;
mod export;
mod import;
mod now;
mod owner;
mod replay;
mod running;
mod seen;
mod serve;
mod telling;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

/// An undercover climate logger and ventilation advisor.
#[derive(Parser)]
#[command(name = "propstick", version, about, max_term_width = 100)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Show an invented garden with a year of history, then go on live.
    #[cfg(feature = "embedded-broker")]
    Demo(demo::DemoArgs),
    /// Keep the readings of your boards, and serve the pages.
    Serve(serve::ServeArgs),
    /// Run a recording through the program, with the recording's clock.
    Replay(replay::ReplayArgs),
    /// Take in a logger's file, or take back what was taken in.
    Import(import::ImportArgs),
    /// Say what it is like under each cover, and what to do.
    Now(now::NowArgs),
    /// Tell what was done: a door set, a bed watered, a fleece laid, something found, advice followed.
    Did(did::DidArgs),
    /// Tell what was seen: out of the window, at a finger's depth in a bed, on the leaves.
    Seen(seen::SeenArgs),
    /// Tell the forecast as it was heard.
    Heard(seen::HeardArgs),
    /// Make, list and take away the logins of boards.
    Board(board::BoardArgs),
    /// Take readings, days, advice, the garden or a recording out, in open formats.
    Export(export::ExportArgs),
    /// Look whether configuration, garden and data are in order.
    Check(check::CheckArgs),
}

/// Where the data is.
#[derive(Args, Clone)]
struct Where {
    /// Folder of the data.
    #[arg(long, global = true, env = "PROPSTICK_DATA_FOLDER", default_value = "propstick-data", value_name = "FOLDER")]
    data: PathBuf,
}

/// What a command ends with: 1 where it could not do its work, 2 where what it was given is wrong.
#[derive(Debug)]
pub struct Failed {
    code: u8,
    says: String,
}

impl Failed {
    fn given(says: impl Into<String>) -> Failed {
        Failed { code: 2, says: says.into() }
    }

    fn work(says: impl Into<String>) -> Failed {
        Failed { code: 1, says: says.into() }
    }
}

impl From<crate::config::ConfigError> for Failed {
    fn from(e: crate::config::ConfigError) -> Failed {
        Failed::given(e.to_string())
    }
}

impl From<crate::store::StoreError> for Failed {
    fn from(e: crate::store::StoreError) -> Failed {
        use crate::store::StoreError;
        match e {
            StoreError::Newer { .. } => Failed::given(e.to_string()),
            other => Failed::work(other.to_string()),
        }
    }
}

/// Runs what the command line says.
pub fn run() -> ExitCode {
    let line = Line::parse();
    let done = match line.command {
        #[cfg(feature = "embedded-broker")]
        Command::Demo(args) => demo::run(args),
        Command::Serve(args) => serve::run(args),
        Command::Replay(args) => replay::run(args),
        Command::Import(args) => import::run(&args),
        Command::Now(args) => now::run(&args),
        Command::Did(args) => did::run(&args),
        Command::Seen(args) => seen::run(&args),
        Command::Heard(args) => seen::run_heard(&args),
        Command::Board(args) => board::run(args),
        Command::Export(args) => export::run(&args),
        Command::Check(args) => check::run(&args),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failed) => {
            say_aside!("propstick: {}", failed.says);
            ExitCode::from(failed.code)
        }
    }
}
