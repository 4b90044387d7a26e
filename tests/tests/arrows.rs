//! The drawn floor plan against the real one: crates by `cargo metadata`, rooms of the server by a scan of its sources.
//! A new arrow fails here; draw it in the table only if the plan in DEVELOPERS.md changes with it.
#![allow(clippy::expect_used)]

use cargo_metadata::{DependencyKind, Metadata, MetadataCommand, Package};
use propstick_tests::sources::{Kind, Token, named_paths, rust_files, tokens, without_tests, workspace_root};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

type Arrows = BTreeSet<(String, String)>;

/// Who may depend on whom among the crates of the workspace.
const CRATES: &[(&str, &[&str])] = &[
    ("propstick-wire", &[]),
    ("propstick-agronomy", &[]),
    ("propstick-pages", &[]),
    ("propstick-node", &["propstick-wire"]),
    ("propstick-garden", &["propstick-agronomy", "propstick-wire"]),
    ("propstick", &["propstick-garden", "propstick-agronomy", "propstick-wire", "propstick-pages"]),
    (
        "propstick-tests",
        &["propstick-wire", "propstick-node", "propstick-agronomy", "propstick-garden", "propstick", "propstick-pages"],
    ),
];

/// Arrows that are drawn and do not exist yet. Take an entry out when its arrow is there.
const NOT_YET: &[(&str, &str)] = &[];

/// Crates that do input or output, or keep time. The pure crates reach none of them, at any depth.
const IO_CRATES: &[&str] = &[
    "tokio",
    "mio",
    "socket2",
    "hyper",
    "axum",
    "tower",
    "rusqlite",
    "libsqlite3-sys",
    "rumqttc",
    "mqtt5",
    "ureq",
    "getrandom",
    "rand",
    "tempfile",
    "tracing-subscriber",
    "iana-time-zone",
];

/// What each room of the server may use of the other rooms (`crate::room`).
const ROOMS: &[(&str, &[&str])] = &[
    ("clock", &[]),
    ("config", &[]),
    ("store", &[]),
    ("stop", &[]),
    ("transport", &["stop"]),
    ("season", &["store"]),
    ("engine", &["season", "store"]),
    ("notify", &["config", "store"]),
    ("house", &["clock", "config", "engine", "notify", "stop", "store", "transport"]),
    ("files", &["config", "season", "store"]),
    ("web", &["clock", "config", "engine", "files", "house", "season", "stop", "store"]),
    ("demo", &["clock", "config", "engine", "house", "stop", "store", "transport"]),
    (
        "commands",
        &[
            "clock",
            "config",
            "demo",
            "engine",
            "files",
            "house",
            "notify",
            "season",
            "stop",
            "store",
            "transport",
            "web",
        ],
    ),
    ("main", &["commands"]),
    ("lib", &[]),
];

/// Which rooms of the server may name a crate that opens a door to the outside.
const DOORS: &[(&str, &[&str])] = &[
    ("rusqlite", &["store"]),
    ("mqtt5", &["transport"]),
    ("rumqttc", &["transport", "demo"]),
    ("axum", &["web"]),
    ("tower_http", &["web"]),
    ("utoipa", &["web"]),
    ("utoipa_axum", &["web"]),
    ("ureq", &["commands", "notify"]),
    ("propstick_pages", &["web"]),
    ("argon2", &["house"]),
    ("clap", &["commands", "main"]),
    ("terminal_size", &["commands"]),
    ("flate2", &["files"]),
    ("sha2", &["files"]),
];

fn metadata(no_deps: bool) -> Metadata {
    let mut command = MetadataCommand::new();
    command.manifest_path(workspace_root().join("Cargo.toml")).other_options(["--locked".to_string()]);
    if no_deps {
        command.no_deps();
    }
    command.exec().expect("cargo metadata of the workspace")
}

fn package<'a>(metadata: &'a Metadata, name: &str) -> &'a Package {
    metadata.workspace_packages().into_iter().find(|p| p.name.as_str() == name).expect("a crate of the workspace")
}

fn drawn_crate_arrows() -> Arrows {
    CRATES.iter().flat_map(|(from, to)| to.iter().map(|to| (from.to_string(), to.to_string()))).collect()
}

/// Arrows between crates of the workspace, of the kinds that `counts` accepts for the crate named first.
fn real_crate_arrows(metadata: &Metadata, counts: impl Fn(&str, DependencyKind) -> bool) -> Arrows {
    let names: BTreeSet<String> = metadata.workspace_packages().iter().map(|p| p.name.to_string()).collect();
    let mut arrows = Arrows::new();
    for package in metadata.workspace_packages() {
        for dependency in &package.dependencies {
            if names.contains(&dependency.name) && counts(package.name.as_str(), dependency.kind) {
                arrows.insert((package.name.to_string(), dependency.name.clone()));
            }
        }
    }
    arrows
}

#[test]
fn crate_arrows_are_exactly_the_drawn_ones() {
    let metadata = metadata(true);
    let names: BTreeSet<String> = metadata.workspace_packages().iter().map(|p| p.name.to_string()).collect();
    assert_eq!(names, CRATES.iter().map(|(name, _)| name.to_string()).collect(), "the crates of the workspace");

    // The test crate exists to see everything, so its development dependencies are its arrows.
    let real =
        real_crate_arrows(&metadata, |from, kind| kind != DependencyKind::Development || from == "propstick-tests");
    let drawn = drawn_crate_arrows();
    let not_yet: Arrows = NOT_YET.iter().map(|(from, to)| (from.to_string(), to.to_string())).collect();
    assert!(not_yet.is_subset(&drawn), "an arrow that is to come must be a drawn one");
    let new: Vec<_> = real.difference(&drawn).collect();
    assert!(new.is_empty(), "arrows that nobody drew: {new:?}");
    let missing: Vec<_> = drawn.difference(&real).filter(|arrow| !not_yet.contains(arrow)).collect();
    assert!(missing.is_empty(), "drawn arrows that do not exist: {missing:?}");
    let arrived: Vec<_> = not_yet.intersection(&real).collect();
    assert!(arrived.is_empty(), "these exist now, take them out of NOT_YET: {arrived:?}");
}

#[test]
fn development_arrows_stay_within_the_drawn_ones() {
    let real = real_crate_arrows(&metadata(true), |_, kind| kind == DependencyKind::Development);
    let new: Vec<_> = real.difference(&drawn_crate_arrows()).cloned().collect();
    assert!(new.is_empty(), "development dependencies against the drawing: {new:?}");
}

#[test]
fn pure_crates_reach_no_io_crate_at_any_depth() {
    let metadata = metadata(false);
    let resolve = metadata.resolve.as_ref().expect("a resolved graph");
    let nodes: BTreeMap<_, _> = resolve.nodes.iter().map(|node| (&node.id, node)).collect();
    for pure in ["propstick-wire", "propstick-node", "propstick-agronomy", "propstick-garden"] {
        let mut open = vec![&package(&metadata, pure).id];
        let mut seen = BTreeSet::new();
        while let Some(id) = open.pop() {
            if !seen.insert(id) {
                continue;
            }
            let name = metadata
                .packages
                .iter()
                .find(|p| &p.id == id)
                .map(|p| p.name.as_str())
                .expect("a package of the graph");
            assert!(!IO_CRATES.contains(&name), "{pure} reaches {name}");
            open.extend(nodes[id].deps.iter().filter_map(|dep| {
                let normal = dep.dep_kinds.iter().any(|kind| {
                    // A dependency of another kind of machine (a browser, say) is not built here.
                    kind.kind == DependencyKind::Normal && kind.target.is_none()
                });
                normal.then_some(&dep.pkg)
            }));
        }
    }
}

#[test]
fn garden_names_no_io_crate_in_its_manifest() {
    let metadata = metadata(true);
    for dependency in
        package(&metadata, "propstick-garden").dependencies.iter().filter(|d| d.kind == DependencyKind::Normal)
    {
        assert!(!IO_CRATES.contains(&dependency.name.as_str()), "garden depends on {}", dependency.name);
    }
}

#[test]
fn pure_crates_do_not_touch_the_machine() {
    let root = workspace_root();
    for place in ["shared/src", "firmware/node/src", "server/agronomy/src", "server/garden/src"] {
        let files = rust_files(&root.join(place));
        assert!(!files.is_empty(), "nothing found at {place}");
        let lib = std::fs::read_to_string(root.join(place).join("lib.rs")).expect("a crate root");
        let for_tests = modules_of_tests(&tokens(&lib));
        for file in files {
            if for_tests.contains(&room_of(file.strip_prefix(root.join(place)).expect("a file below it"))) {
                continue;
            }
            let source = std::fs::read_to_string(&file).expect("a source file");
            let found = machine_uses(&tokens(&source));
            assert!(found.is_empty(), "{} reaches the machine: {found:?}", file.display());
        }
    }
}

/// Modules in files of their own that a crate root takes in for tests alone: `#[cfg(test)] mod name;`.
fn modules_of_tests(root: &[Token]) -> BTreeSet<String> {
    let outside: BTreeSet<String> = modules_of(&without_tests(root));
    modules_of(root).into_iter().filter(|name| !outside.contains(name)).collect()
}

fn modules_of(tokens: &[Token]) -> BTreeSet<String> {
    let named = |w: &[Token]| match &w[1].kind {
        Kind::Word(name) if w[0].is_word("mod") && w[2].is_mark(';') => Some(name.clone()),
        _ => None,
    };
    tokens.windows(3).filter_map(named).collect()
}

#[test]
fn modules_of_tests_are_those_taken_in_under_cfg_test_alone() {
    let root = tokens("mod wet; #[cfg(test)] mod sweep; pub mod dry; #[cfg(test)] mod tests { mod inner; }");
    assert_eq!(modules_of_tests(&root), BTreeSet::from(["sweep".to_string(), "inner".to_string()]));
}

/// Names of the standard library that reach disk, network, processes, threads or the environment.
fn machine_uses(tokens: &[Token]) -> Vec<(String, usize)> {
    const MACHINE: &[&str] = &["fs", "net", "process", "thread", "env", "io", "os"];
    named_paths(&without_tests(tokens))
        .into_iter()
        .filter(|named| named.path[0] == "std" && MACHINE.contains(&named.path[1].as_str()))
        .map(|named| (named.path.join("::"), named.line))
        .collect()
}

#[test]
fn crates_for_boards_have_no_standard_library_and_no_heap() {
    for (lib, heap) in
        [("shared/src/lib.rs", false), ("firmware/node/src/lib.rs", false), ("server/agronomy/src/lib.rs", true)]
    {
        let source = std::fs::read_to_string(workspace_root().join(lib)).expect("a crate root");
        let tokens = without_tests(&tokens(&source));
        assert!(says_no_std(&tokens), "{lib} does not say #![no_std] without conditions");
        assert!(!links(&tokens, "std"), "{lib} links std");
        assert!(heap || !links(&tokens, "alloc"), "{lib} links alloc");
    }
}

fn says_no_std(tokens: &[Token]) -> bool {
    tokens.windows(5).any(|w| {
        w[0].is_mark('#') && w[1].is_mark('!') && w[2].is_mark('[') && w[3].is_word("no_std") && w[4].is_mark(']')
    })
}

fn links(tokens: &[Token], name: &str) -> bool {
    tokens.windows(3).any(|w| w[0].is_word("extern") && w[1].is_word("crate") && w[2].is_word(name))
}

/// The top-level module that `file` (relative to the crate's `src`) belongs to.
fn room_of(file: &Path) -> String {
    let first = file.iter().next().map(|part| part.to_string_lossy().into_owned()).unwrap_or_default();
    first.strip_suffix(".rs").map(str::to_string).unwrap_or(first)
}

/// How many modules above `file`'s own the crate root stands: 0 for `lib.rs`, 1 for `store/mod.rs`, 2 for `store/rows.rs`.
fn depth_of(file: &Path) -> usize {
    let parts: Vec<String> = file.iter().map(|part| part.to_string_lossy().into_owned()).collect();
    match parts.last().map(String::as_str) {
        Some("mod.rs") => parts.len() - 1,
        Some("lib.rs" | "main.rs") if parts.len() == 1 => 0,
        _ => parts.len(),
    }
}

/// The rooms that code in `file` names, with the lines: by `crate::`, by the crate's own name, or by climbing with `super::`.
/// Inline modules inside a file are not followed: there a climb is taken for one level more than it is, never for less.
fn rooms_named(file: &Path, tokens: &[Token]) -> Vec<(String, usize)> {
    let depth = depth_of(file);
    let mut rooms = Vec::new();
    for named in named_paths(tokens) {
        let path: Vec<&str> = named.path.iter().map(String::as_str).collect();
        let room = match path[0] {
            "crate" | "propstick" => path.get(1).copied(),
            "super" | "self" => {
                let climbs = path.iter().filter(|part| **part == "super").count();
                let rest = path.iter().find(|part| !matches!(**part, "super" | "self")).copied();
                (climbs >= depth && depth > 0).then_some(rest).flatten()
            }
            _ => None,
        };
        if let Some(room) = room {
            rooms.push((room.to_string(), named.line));
        }
    }
    rooms
}

fn server_files() -> Vec<(std::path::PathBuf, Vec<Token>)> {
    let src = workspace_root().join("server/src");
    rust_files(&src)
        .into_iter()
        .filter(|file| !is_test_file(&src, file))
        .map(|file| {
            let source = std::fs::read_to_string(&file).expect("a source file");
            (file.strip_prefix(&src).expect("a file below src").to_path_buf(), tokens(&source))
        })
        .collect()
}

/// Test code in a file of its own: by this project's habit `tests.rs`, or a file below a folder `tests`.
fn is_test_file(src: &Path, file: &Path) -> bool {
    let inside = file.strip_prefix(src).unwrap_or(file);
    inside.ends_with("tests.rs") || inside.components().any(|part| part.as_os_str() == "tests")
}

/// What `room` must not do: the offences of one file as sentences.
fn room_offences(file: &Path, tokens: &[Token]) -> Vec<String> {
    let room = room_of(file);
    let Some((_, allowed)) = ROOMS.iter().find(|(name, _)| *name == room) else {
        return vec![format!("{}: the room {room} is not on the plan", file.display())];
    };
    let tokens = &without_tests(tokens);
    let mut offences = Vec::new();
    for (other, line) in rooms_named(file, tokens) {
        // An item that stands in the crate root itself is no room; a glob could be any.
        let is_room = ROOMS.iter().any(|(name, _)| *name == other) || other == "*";
        if is_room && other != room && !allowed.contains(&other.as_str()) {
            offences.push(format!("{}:{line}: {room} -> {other}", file.display()));
        }
    }
    for named in named_paths(tokens) {
        let outside = named.path[0].as_str();
        if DOORS.iter().any(|(name, rooms)| *name == outside && !rooms.contains(&room.as_str())) {
            offences.push(format!("{}:{}: {room} names {outside}", file.display(), named.line));
        }
        let roads_know = ["propstick_garden", "propstick_agronomy", "propstick_pages"];
        if room == "transport" && roads_know.contains(&outside) && named.path[..2] != ["propstick_garden", "took"] {
            offences.push(format!("{}:{}: transport names {}", file.display(), named.line, named.path.join("::")));
        }
    }
    if room == "web" {
        offences.extend(
            writes(tokens).into_iter().map(|(what, line)| format!("{}:{line}: web writes: {what}", file.display())),
        );
    }
    offences
}

/// Calls that write to a store, and SQL that does.
fn writes(tokens: &[Token]) -> Vec<(String, usize)> {
    const CALLS: &[&str] = &["commit", "take_back", "execute", "execute_batch"];
    const SQL: &[&str] = &["INSERT ", "UPDATE ", "DELETE ", "REPLACE ", "CREATE ", "DROP ", "ALTER ", "PRAGMA "];
    let calls = tokens.windows(3).filter_map(|w| match &w[1].kind {
        Kind::Word(word) if w[0].is_mark('.') && w[2].is_mark('(') && CALLS.contains(&word.as_str()) => {
            Some((format!(".{word}()"), w[1].line))
        }
        _ => None,
    });
    let texts = tokens.iter().filter_map(|token| match &token.kind {
        Kind::Text(text) => {
            SQL.iter().find(|sql| text.trim_start().starts_with(**sql)).map(|sql| (sql.to_string(), token.line))
        }
        _ => None,
    });
    calls.chain(texts).collect()
}

#[test]
fn rooms_of_the_server_use_only_the_rooms_drawn() {
    let files = server_files();
    assert!(files.iter().any(|(file, _)| file.starts_with("transport")), "the server's sources were not found");
    let offences: Vec<String> = files.iter().flat_map(|(file, tokens)| room_offences(file, tokens)).collect();
    assert!(offences.is_empty(), "arrows that nobody drew:\n{}", offences.join("\n"));
}

#[test]
fn planted_offences_are_found() {
    let planted = [
        ("store/rows.rs", "use crate::engine::Input;"),
        ("store/rows.rs", "fn f() { super::super::web::serve() }"),
        ("store/mod.rs", "use super::{transport, engine};"),
        ("engine/mod.rs", "use crate::{store::Rows, web::{self, live}};"),
        ("engine/mod.rs", "use crate::*;"),
        ("engine/hours.rs", "fn f(c: &rusqlite::Connection) {}"),
        ("transport/outside.rs", "use propstick_garden::model::Garden;"),
        ("transport/outside.rs", "use propstick_garden::{took::Took, model};"),
        ("transport.rs", "use crate::store::Ledger;"),
        ("web/now.rs", "fn f() { ledger.commit(&took) }"),
        ("web/now.rs", "fn f() { db.query_row(\" UPDATE spot SET a = 1\") }"),
        ("cellar/mod.rs", "fn nothing() {}"),
    ];
    for (file, source) in planted {
        assert!(!room_offences(Path::new(file), &tokens(source)).is_empty(), "not found: {file}: {source}");
    }
}

#[test]
fn innocent_sources_are_let_through() {
    let innocent = [
        ("store/rows.rs", "// crate::web::serve\nuse super::schema; use crate::store::schema::V1;"),
        ("store/mod.rs", "mod rows; use self::rows::Row; #[cfg(test)] mod tests { use crate::web::serve; }"),
        (
            "engine/mod.rs",
            "use crate::store::Rows; use propstick_garden::took::Publish; const A: &str = \"crate::web::x\";",
        ),
        ("transport/mod.rs", "use propstick_garden::took::{Envelope, Publish}; use propstick_wire::topic;"),
        ("web/now.rs", "fn f() { db.prepare(\"SELECT 1\"); crate::engine::Live; }"),
        ("main.rs", "fn main() { propstick::commands::run() }"),
    ];
    for (file, source) in innocent {
        assert_eq!(room_offences(Path::new(file), &tokens(source)), Vec::<String>::new(), "{file}");
    }
    assert!(
        machine_uses(&tokens("use std::{fmt, fs};")).len() == 1
            && machine_uses(&tokens("use core::fmt::Write;")).is_empty()
    );
}
