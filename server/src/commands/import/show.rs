//! Saying what is made of a file, and what came of it.

use std::path::Path;

use propstick_garden::table::propose::{Lost, Proposal};
use propstick_garden::wording::grouped;
use serde_json::Value;

/// Kinds of things set aside that are shown.
const MOST: usize = 12;

/// Whether it has happened.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Tense {
    /// It would be so.
    Would,
    /// It is so.
    Is,
}

/// How a file would be read, and why.
pub(super) fn proposal(path: &Path, proposal: &Proposal) {
    say!("{}", path.display());
    say!("How it is read");
    for because in &proposal.because {
        say!("  {:<12} {}: {}", because.key, because.what, because.why);
    }
    for (column, why) in &proposal.left_out {
        say!("  left out     {column}: {why}");
    }
    for caution in &proposal.cautions {
        say!("  look at      {}", with_line(&caution.says, caution.times, caution.first_line));
    }
}

/// What is in a file.
pub(super) fn found(path: &Path, report: &Value, tense: Tense) {
    let n = |key: &str| report[key].as_u64().unwrap_or(0);
    let sample = list(report, "sample");
    if !sample.is_empty() {
        say!("Some of its rows");
        for row in sample {
            let values: Vec<String> = list(row, "values").iter().map(value).collect();
            let at = row["at"].as_str().unwrap_or("");
            say!("  line {:<7} {at}  {}", row["line"].as_u64().unwrap_or(0), values.join(", "));
        }
    }
    let verb = if tense == Tense::Would { "would be read" } else { "were read" };
    say!(
        "{}: {} of {} rows {verb}, {} readings",
        path.display(),
        grouped(n("rows_read")),
        grouped(n("rows")),
        grouped(n("readings"))
    );
    for s in list(report, "series") {
        let text = |key: &str| s[key].as_str().unwrap_or("").to_owned();
        let kind = match text("kind").as_str() {
            "instant" => String::new(),
            kind => format!(" ({kind})"),
        };
        let gaps = match s["gaps"].as_u64().unwrap_or(0) {
            0 => "no gap".to_owned(),
            1 => "1 gap".to_owned(),
            more => format!("{} gaps", grouped(more)),
        };
        say!(
            "  {} {}{kind}: {} readings, {} to {} {}, {} to {}, {gaps}",
            text("device"),
            text("channel"),
            grouped(s["n"].as_u64().unwrap_or(0)),
            number(&s["min"]),
            number(&s["max"]),
            unit(&text("unit")),
            text("first"),
            text("last"),
        );
    }
    let aside = list(report, "aside");
    for a in aside.iter().take(MOST) {
        let what = a["what"].as_str().filter(|w| !w.is_empty()).map(|w| format!(" in {w}")).unwrap_or_default();
        let example = a["example"].as_str().filter(|e| !e.is_empty()).map(|e| format!(": {e:?}")).unwrap_or_default();
        say!(
            "  set aside: {} x {}{what} (first in line {}{example})",
            grouped(a["times"].as_u64().unwrap_or(0)),
            a["why"].as_str().unwrap_or(""),
            a["first_line"].as_u64().unwrap_or(0)
        );
    }
    if aside.len() > MOST {
        say!("  set aside: {} more kinds; --json shows them", aside.len() - MOST);
    }
    for note in list(report, "clock") {
        say!("  clock: {}", note["what"].as_str().unwrap_or(""));
    }
    for c in list(report, "cautions") {
        let (times, line) = (c["times"].as_u64().unwrap_or(0), c["first_line"].as_u64().unwrap_or(0));
        say!("  look at: {}", with_line(c["says"].as_str().unwrap_or(""), times, line));
    }
}

/// What came of a file that was taken in.
pub(super) fn taken(path: &Path, taken: &Value, with_report: bool) {
    if with_report {
        found(path, &taken["report"], Tense::Is);
    }
    let stored = &taken["stored"];
    let n = |key: &str| stored[key].as_u64().unwrap_or(0);
    if n("twice_same") > 0 {
        say!("  {} readings stand in the file twice with the same value; once is enough", grouped(n("twice_same")));
    }
    if n("twice_other") > 0 {
        say!(
            "  {} instants have two values in the file: the smaller counts, the other is kept beside it",
            grouped(n("twice_other"))
        );
    }
    if n("known_same") > 0 {
        say!("  {} readings were known already: they add nothing", grouped(n("known_same")));
    }
    if n("known_other") > 0 {
        say!("  {} readings contradict what was known: what came first counts", grouped(n("known_other")));
    }
    let id = taken["id"].as_i64().unwrap_or(0);
    say!(
        "Taken in as import {id}, {} readings. To take all of it back: propstick import --take-back {id}",
        grouped(n("readings"))
    );
}

/// What is still open, for somebody who cannot be asked.
pub(super) fn open(proposal: &Proposal) -> String {
    let mut text = "something has to be said first:".to_owned();
    for question in &proposal.questions {
        let choices = question.choices.join(" | ");
        let evidence = if question.evidence.is_empty() { String::new() } else { format!(" ({})", question.evidence) };
        text += &format!("\n  {}{evidence}\n    {choices}", question.asks);
        if let Some(option) = option(&question.key) {
            text += &format!("\n    with {option}");
        }
    }
    text + "\n  or write the mapping with --write-mapping FILE, complete it, and give it with --as FILE"
}

/// The option that answers a question.
fn option(key: &str) -> Option<String> {
    match key.split_once(':') {
        Some(("unit", column)) => Some(format!("--unit \"{column}=...\"")),
        Some(("quantity", column)) => Some(format!("--quantity \"{column}=...\"")),
        None if matches!(key, "time" | "zone" | "order" | "stamp" | "name") => Some(format!("--{key} ...")),
        _ => None,
    }
}

/// A file of which nothing was understood.
pub(super) fn lost(lost: &Lost) -> String {
    let mut text = "it cannot be understood as a table of readings".to_owned();
    for tried in &lost.tried {
        text += &format!("\n  tried: {tried}");
    }
    for missing in &lost.missing {
        text += &format!("\n  missing: {missing}");
    }
    text
}

fn with_line(says: &str, times: u64, first_line: u64) -> String {
    match (times, first_line) {
        (0 | 1, 0) => says.to_owned(),
        (0 | 1, line) => format!("{says} (line {line})"),
        (times, 0) => format!("{says} ({} times)", grouped(times)),
        (times, line) => format!("{says} ({} times, first in line {line})", grouped(times)),
    }
}

/// A value of a sample row: channel, number, unit.
fn value(part: &Value) -> String {
    format!("{} {} {}", part[0].as_str().unwrap_or(""), number(&part[1]), unit(part[2].as_str().unwrap_or("")))
        .trim_end()
        .to_owned()
}

/// A unit as people write it.
fn unit(word: &str) -> &str {
    match word {
        "Cel" => "°C",
        "degF" => "°F",
        "/" => "(of 1)",
        other => other,
    }
}

fn number(v: &Value) -> String {
    v.as_f64().map_or_else(|| "-".to_owned(), |v| v.to_string())
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn oddity_says_how_often_and_where_first() {
        assert_eq!(with_line("the time goes back", 1, 20), "the time goes back (line 20)");
        assert_eq!(with_line("the time goes back", 1_300, 20), "the time goes back (1,300 times, first in line 20)");
        assert_eq!(with_line("odd", 1, 0), "odd");
    }
}
