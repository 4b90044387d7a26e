//! Asking a person at a terminal.

use std::io::{BufRead, IsTerminal};

use propstick_garden::table::propose::{Hints, Proposal, Question};

use super::super::Failed;
use crate::files::import::{order_from, stamp_from};

/// Asks for a yes; without a terminal nobody can give one.
pub(super) fn yes(question: &str) -> Result<bool, Failed> {
    if !std::io::stdin().is_terminal() {
        return Err(Failed::given(
            "nobody is here to say yes: look at it with --dry-run, then say --yes, or give --as MAPPING",
        ));
    }
    say_aside!("{question} [y/n]");
    Ok(matches!(line()?.to_lowercase().as_str(), "y" | "yes"))
}

/// Asks every open question and notes the answers; false if somebody gave none.
pub(super) fn questions(proposal: &Proposal, hints: &mut Hints) -> Result<bool, Failed> {
    for question in &proposal.questions {
        say_aside!("");
        say_aside!("{}", question.asks);
        if !question.evidence.is_empty() {
            say_aside!("  ({})", question.evidence);
        }
        for (k, choice) in question.choices.iter().enumerate() {
            say_aside!("  {}  {choice}", k + 1);
        }
        say_aside!("A number, an answer of your own, or nothing to stop:");
        let said = line()?;
        if said.is_empty() {
            return Ok(false);
        }
        let said =
            said.parse::<usize>().ok().and_then(|k| question.choices.get(k.wrapping_sub(1)).cloned()).unwrap_or(said);
        note(question, &said, hints)?;
    }
    Ok(true)
}

/// Notes an answer.
fn note(question: &Question, said: &str, hints: &mut Hints) -> Result<(), Failed> {
    let wrong = |allowed: &str| Failed::given(format!("{said}: expected {allowed}"));
    match question.key.split_once(':').unwrap_or((question.key.as_str(), "")) {
        ("time", _) => hints.time = Some(said.to_owned()),
        ("zone", _) => {
            let zone =
                said.parse().map_err(|_| wrong("a zone such as Europe/Dublin, an offset such as +01:00, or UTC"))?;
            hints.zone = Some(zone);
        }
        ("order", _) => hints.order = Some(order_from(said).ok_or_else(|| wrong("ymd, dmy or mdy"))?),
        ("stamp", _) => hints.stamp = Some(stamp_from(said).ok_or_else(|| wrong("start or end"))?),
        ("unit", column) => {
            hints.units.insert(column.to_owned(), said.to_owned());
        }
        ("quantity", column) => {
            hints.quantities.insert(column.to_owned(), said.to_owned());
        }
        _ => hints.name = Some(said.to_owned()),
    }
    Ok(())
}

fn line() -> Result<String, Failed> {
    let mut text = String::new();
    std::io::stdin().lock().read_line(&mut text).map_err(|e| Failed::work(format!("nothing could be read: {e}")))?;
    Ok(text.trim().to_owned())
}
