//! Where the measured and published tables are that reference tests compare with.

use std::io::Write;
use std::path::PathBuf;

/// The file `name` below the data folder: `PROPSTICK_DATA`, or `shared/data` beside the project's folder.
///
/// Where it is absent the caller's test is to return at once: a line that begins with `SKIPPED` has been written past the
/// test runner's capture, so that `tests/run` counts it. Where `CI=true` its absence fails the test instead.
pub fn reference_file(name: &str) -> Option<PathBuf> {
    let folder = std::env::var_os("PROPSTICK_DATA")
        .map(PathBuf::from)
        .unwrap_or_else(|| crate::sources::workspace_root().join("../shared/data"));
    let file = folder.join(name);
    if file.is_file() {
        return Some(file);
    }
    let in_ci = std::env::var("CI").is_ok_and(|value| value == "true");
    assert!(!in_ci, "{} is absent, and CI=true allows no skipping", file.display());
    skipped(&format!("{name} is absent (PROPSTICK_DATA names the data folder)"));
    None
}

/// Says that the test it is called from did not run, and why, in a line that `tests/run` collects.
pub fn skipped(why: &str) {
    let thread = std::thread::current();
    // The runner captures print macros only. One write, begun on a new line, so that nothing gets between.
    let line = format!("\nSKIPPED {}: {why}\n", thread.name().unwrap_or("a test"));
    let _ = std::io::stderr().write_all(line.as_bytes());
}

/// The rows of a plain CSV file (no quotes) as text fields, in the order of `columns`.
///
/// # Errors
/// A sentence that names the file, where it cannot be read, lacks a column or has a row that is too short.
pub fn csv_rows(file: &std::path::Path, columns: &[&str]) -> Result<Vec<Vec<String>>, String> {
    let text = std::fs::read_to_string(file).map_err(|e| format!("{}: {e}", file.display()))?;
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap_or_default().split(',').collect();
    let places = columns
        .iter()
        .map(|column| {
            let place = header.iter().position(|name| name == column);
            place.ok_or_else(|| format!("{}: no column {column}", file.display()))
        })
        .collect::<Result<Vec<usize>, String>>()?;
    lines
        .enumerate()
        .map(|(i, line)| {
            let fields: Vec<&str> = line.split(',').collect();
            let row = places.iter().map(|&place| fields.get(place).map(|field| field.to_string()));
            row.collect::<Option<Vec<String>>>().ok_or_else(|| format!("{}:{}: short row", file.display(), i + 2))
        })
        .collect()
}
