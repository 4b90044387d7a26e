//! Only the shell reads a clock: everywhere else time is an argument. A scan of the sources.
#![allow(clippy::expect_used)]

use propstick_tests::sources::{Token, named_paths, rust_files, tokens, workspace_root};
use std::path::PathBuf;

/// Crates and rooms in which no clock is read and nothing waits for time to pass, tests included.
const WITHOUT_A_CLOCK: &[&str] = &[
    "shared/src",
    "firmware/node/src",
    "server/agronomy/src",
    "server/garden/src",
    "server/src/engine",
    "server/src/store",
];

/// The one file of the server that reads the time of day.
const THE_CLOCK: &str = "server/src/clock.rs";

/// Types whose `now` reads the machine's clock.
const CLOCKS: &[&str] = &["SystemTime", "Instant", "Utc", "Local"];

/// What a place may do with time.
#[derive(Clone, Copy, PartialEq)]
enum May {
    /// Nothing: time is an argument.
    Nothing,
    /// Wait and measure durations, as a timeout does, but not read the time of day.
    Wait,
}

/// Each use of a clock in `tokens` that `may` does not allow, with its line.
fn clock_uses(tokens: &[Token], may: May) -> Vec<(String, usize)> {
    let mut found = Vec::new();
    for named in named_paths(tokens) {
        let path: Vec<&str> = named.path.iter().map(String::as_str).collect();
        let reads_day = path.windows(2).any(|w| matches!(w[0], "SystemTime" | "Utc" | "Local") && w[1] == "now");
        let names_day_clock = path.first() == Some(&"std") && path.contains(&"SystemTime");
        // A renamed import (`use std::time::Instant as Stopwatch`) is caught where it is imported.
        let names_clock = matches!(path[..], ["std", "time", "Instant" | "SystemTime" | "*", ..]);
        let reads_clock = path.windows(2).any(|w| CLOCKS.contains(&w[0]) && w[1] == "now");
        let waits = path.starts_with(&["tokio", "time"]) || path.starts_with(&["std", "thread", "sleep"]);
        let counts = match may {
            May::Nothing => reads_clock || names_clock || waits,
            May::Wait => reads_day || names_day_clock,
        };
        if counts {
            found.push((named.path.join("::"), named.line));
        }
    }
    found
}

fn offences(files: &[PathBuf], may: May) -> Vec<String> {
    let root = workspace_root();
    let mut all = Vec::new();
    for file in files {
        let source = std::fs::read_to_string(file).expect("a source file");
        for (what, line) in clock_uses(&tokens(&source), may) {
            all.push(format!("{}:{line}: {what}", file.strip_prefix(&root).unwrap_or(file).display()));
        }
    }
    all
}

#[test]
fn core_crates_engine_and_store_read_no_clock() {
    let root = workspace_root();
    for place in &WITHOUT_A_CLOCK[..4] {
        assert!(!rust_files(&root.join(place)).is_empty(), "nothing found at {place}");
    }
    let files: Vec<PathBuf> = WITHOUT_A_CLOCK.iter().flat_map(|place| rust_files(&root.join(place))).collect();
    let found = offences(&files, May::Nothing);
    assert!(found.is_empty(), "a clock is read outside the shell:\n{}", found.join("\n"));
}

#[test]
fn rest_of_the_server_reads_the_time_of_day_in_one_file() {
    let root = workspace_root();
    let files: Vec<PathBuf> =
        rust_files(&root.join("server/src")).into_iter().filter(|file| file != &root.join(THE_CLOCK)).collect();
    assert!(!files.is_empty(), "nothing found at server/src");
    let found = offences(&files, May::Wait);
    assert!(found.is_empty(), "the time of day is read outside {THE_CLOCK}:\n{}", found.join("\n"));
}

#[test]
fn planted_clock_is_found() {
    for planted in [
        "let t = std::time::SystemTime::now();",
        "use std::time::Instant; fn f() { Instant::now(); }",
        "use std::time::Instant as Stopwatch;",
        "use std::{fmt, time::{Duration, SystemTime}};",
        "use std::time::*;",
        "fn f() -> i64 { chrono::Utc::now().timestamp() }",
        "fn f() { chrono::offset::Local::now(); }",
        "async fn f() { tokio::time::sleep(x).await }",
        "use tokio::{sync::mpsc, time};",
        "fn f() { std::thread::sleep(d) }",
    ] {
        assert!(!clock_uses(&tokens(planted), May::Nothing).is_empty(), "not found: {planted}");
    }
    for planted in ["use std::time::{Duration, SystemTime};", "chrono::Utc::now()", "Local::now()"] {
        assert!(!clock_uses(&tokens(planted), May::Wait).is_empty(), "not found: {planted}");
    }
}

#[test]
fn innocent_text_is_let_through() {
    for innocent in [
        "// Instant::now() is forbidden here\nuse core::time::Duration;",
        "const SAY: &str = \"SystemTime::now()\";",
        "use chrono::{Utc, TimeZone}; fn f() { Utc.timestamp_millis_opt(0); }",
        "fn now(at: Millis) -> Millis { at }",
    ] {
        assert_eq!(clock_uses(&tokens(innocent), May::Nothing), [], "{innocent}");
    }
    assert_eq!(clock_uses(&tokens("tokio::time::timeout(a, b); std::time::Instant::now();"), May::Wait), []);
}
