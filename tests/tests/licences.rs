//! What the program is made of may be given on under its own licence, and comes from the registry alone.
#![allow(clippy::expect_used)]

use cargo_metadata::{DependencyKind, Metadata, MetadataCommand, PackageId};
use std::collections::{BTreeMap, BTreeSet};

/// Licences that may be linked into a program under Apache-2.0.
const ALLOWED: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "Unicode-3.0",
    "Unlicense",
    "BSL-1.0",
    "MIT-0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
];

/// Crates of which two versions would not link or would be a fault, with the reason.
const ONE_VERSION: &[(&str, &str)] = &[
    ("libsqlite3-sys", "two copies of SQLite do not link"),
    ("rusqlite", "only one may link libsqlite3-sys"),
    ("tokio", "two runtimes do not know of each other"),
    ("chrono-tz", "two zone tables could disagree"),
];

/// Crates that must not come in, with the reason.
const BANNED: &[(&str, &str)] = &[
    ("aws-lc-rs", "ring is the one crypto provider"),
    ("openssl-sys", "ring is the one crypto provider"),
    ("native-tls", "ring is the one crypto provider"),
];

fn metadata() -> Metadata {
    let mut command = MetadataCommand::new();
    command
        .manifest_path(propstick_tests::sources::workspace_root().join("Cargo.toml"))
        .other_options(["--locked".to_string(), "--all-features".to_string()]);
    command.exec().expect("cargo metadata of the workspace")
}

/// Everything that is built into the program or builds it: development dependencies are left out.
fn shipped(metadata: &Metadata) -> BTreeSet<&PackageId> {
    let resolve = metadata.resolve.as_ref().expect("a resolved graph");
    let nodes: BTreeMap<_, _> = resolve.nodes.iter().map(|node| (&node.id, node)).collect();
    let program =
        metadata.workspace_packages().into_iter().find(|p| p.name.as_str() == "propstick").expect("the program");
    let mut open = vec![&program.id];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if seen.insert(id) {
            let deps = nodes[id].deps.iter();
            open.extend(deps.filter_map(|dep| {
                dep.dep_kinds.iter().any(|kind| kind.kind != DependencyKind::Development).then_some(&dep.pkg)
            }));
        }
    }
    seen
}

/// Whether an SPDX expression can be met with the allowed licences: `AND` needs both sides, `OR` one.
fn can_be_met(expression: &str) -> bool {
    // The old way of writing OR.
    let expression = expression.replace('/', " OR ");
    let mut words: Vec<String> = Vec::new();
    for word in expression.replace('(', " ( ").replace(')', " ) ").split_whitespace() {
        words.push(word.to_string());
    }
    let mut at = 0;
    let met = either(&words, &mut at);
    met && at == words.len()
}

fn either(words: &[String], at: &mut usize) -> bool {
    let mut met = both(words, at);
    while words.get(*at).is_some_and(|word| word == "OR") {
        *at += 1;
        met |= both(words, at);
    }
    met
}

fn both(words: &[String], at: &mut usize) -> bool {
    let mut met = one(words, at);
    while words.get(*at).is_some_and(|word| word == "AND") {
        *at += 1;
        met &= one(words, at);
    }
    met
}

fn one(words: &[String], at: &mut usize) -> bool {
    let Some(word) = words.get(*at) else { return false };
    *at += 1;
    if word == "(" {
        let met = either(words, at);
        let closed = words.get(*at).is_some_and(|word| word == ")");
        *at += 1;
        return met && closed;
    }
    let mut licence = word.clone();
    if words.get(*at).is_some_and(|word| word == "WITH") {
        licence = format!("{licence} WITH {}", words.get(*at + 1).map(String::as_str).unwrap_or_default());
        *at += 2;
    }
    ALLOWED.contains(&licence.as_str())
}

#[test]
fn everything_shipped_has_an_allowed_licence() {
    let metadata = metadata();
    let shipped = shipped(&metadata);
    assert!(shipped.len() > 50, "the graph was not followed");
    let bad: Vec<String> = metadata
        .packages
        .iter()
        .filter(|package| shipped.contains(&package.id))
        .filter(|package| !package.license.as_deref().is_some_and(can_be_met))
        .map(|package| {
            format!("{} {}: {}", package.name, package.version, package.license.as_deref().unwrap_or("none named"))
        })
        .collect();
    assert!(bad.is_empty(), "licences to look at:\n{}", bad.join("\n"));
}

#[test]
fn every_dependency_comes_from_the_registry_or_this_workspace() {
    for package in &metadata().packages {
        let from_registry = package.source.as_ref().is_none_or(|source| source.repr.starts_with("registry+"));
        assert!(from_registry, "{} comes from {:?}", package.name, package.source);
    }
}

#[test]
fn crates_that_must_be_single_or_absent_are() {
    let metadata = metadata();
    let shipped = shipped(&metadata);
    for (name, why) in ONE_VERSION {
        let versions: Vec<_> =
            metadata.packages.iter().filter(|p| p.name.as_str() == *name).map(|p| &p.version).collect();
        assert!(versions.len() <= 1, "{name} {versions:?}: {why}");
    }
    for (name, why) in BANNED {
        let here = metadata.packages.iter().any(|p| p.name.as_str() == *name && shipped.contains(&p.id));
        assert!(!here, "{name}: {why}");
    }
}

#[test]
fn licence_expressions_are_read_with_and_binding_closer_than_or() {
    for met in ["MIT", "MIT OR GPL-3.0", "GPL-3.0 OR MIT AND ISC", "(GPL-3.0 OR MIT) AND ISC", "MIT/Apache-2.0"] {
        assert!(can_be_met(met), "{met}");
    }
    assert!(can_be_met("Apache-2.0 WITH LLVM-exception OR GPL-2.0"));
    for unmet in
        ["GPL-3.0", "MIT AND GPL-3.0", "(MIT OR ISC) AND GPL-3.0", "Apache-2.0 WITH Other-exception", "", "(MIT"]
    {
        assert!(!can_be_met(unmet), "{unmet}");
    }
}
