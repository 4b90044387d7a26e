//! What cannot be meant is refused with a plain reason, whatever road it took; what is wrong with a file or a command is said with its
//! name and what was expected. Never a panic: every helper used here looks for one.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod files;
mod given;
mod messages;

use std::path::{Path, PathBuf};
use std::process::Output;

use propstick_tests::program::{program, run};
use propstick_tests::recordings::{GARDEN, MAPPING};

/// A temporary folder with a garden and a configuration that are in order, and the program.
struct Bench {
    dir: tempfile::TempDir,
    program: PathBuf,
}

impl Bench {
    fn new() -> Option<Bench> {
        let bench = Bench { program: program()?, dir: tempfile::tempdir().unwrap() };
        bench.file("garden.toml", GARDEN);
        let roads = "[mqtt]\nlisten = \"127.0.0.1:0\"\n[web]\nlisten = \"127.0.0.1:0\"\n";
        bench.file("propstick.toml", &format!("{roads}{MAPPING}"));
        Some(bench)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    fn file(&self, name: &str, text: &str) -> String {
        std::fs::write(self.path(name), text).unwrap();
        self.text(name)
    }

    /// Arguments of `serve` over the folder `data`.
    fn serve(&self, data: &str) -> Vec<String> {
        let args = [
            "serve",
            "--data",
            &self.text(data),
            "--config",
            &self.text("propstick.toml"),
            "--garden",
            &self.text("garden.toml"),
        ];
        args.map(str::to_owned).into()
    }

    fn run(&self, args: &[&str]) -> Output {
        run(&self.program, args)
    }
}

/// Arguments as the helpers take them.
fn plain(args: &[String]) -> Vec<&str> {
    args.iter().map(String::as_str).collect()
}

/// Bytes of a file, or nothing where it is not there.
fn bytes(path: &Path) -> Option<Vec<u8>> {
    std::fs::read(path).ok()
}
