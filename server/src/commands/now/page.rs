//! The answers as a person reads them. It makes no sentences of advice or damp: those stand in the answers.

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use serde_json::Value;

use super::Told;
use super::wrap::wrapped;

/// Longest name that the others are lined up with.
const LONGEST_NAME: usize = 20;

/// What is said of a garden: of each structure its air and the one sentence that matters, then the damp where it is raised or has changed, and how
/// much else there is to mind; `full` gives everything with its reasons.
pub(super) fn lines(garden: &str, told: &[Told], full: bool, width: Option<usize>) -> Vec<String> {
    let Some(first) = told.first() else { return Vec::new() };
    let mut all = wrapped("", &format!("{garden}, {}", at(&first.now)), width);
    let column = told.iter().map(|t| t.name.chars().count()).max().unwrap_or(0).min(LONGEST_NAME);
    for t in told {
        if full {
            all.push(String::new());
        }
        let under = " ".repeat(column + 2);
        all.extend(wrapped(&format!("{:column$}  ", t.name), &air(&t.now, full), width));
        let said = if full { in_full(t) } else { in_short(t) };
        for (lead, text) in said {
            all.extend(wrapped(&format!("{under}{lead}"), &text, width));
        }
    }
    if !full {
        let ending = damp_news(told).into_iter().chain(more_to_mind(told));
        all.extend(ending.flat_map(|text| wrapped("", &text, width)));
    }
    all
}

/// The risks that are news, those of several structures once: "High risk: grey mould on lettuce (Tunnel, Frame)."
fn damp_news(told: &[Told]) -> Vec<String> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for t in told {
        let news = text(&t.now["damp_says"]["short"]);
        match all.iter_mut().find(|(said, _)| *said == news) {
            Some((_, names)) => names.push(&t.name),
            None if news.is_empty() => {}
            None => all.push((news, vec![&t.name])),
        }
    }
    let line = |(news, names): (&str, Vec<&str>)| format!("{} ({}).", news.trim_end_matches('.'), names.join(", "));
    all.into_iter().map(line).collect()
}

/// How much else asks for something: "More to mind: Tunnel 3, Frame 1; see --full."
fn more_to_mind(told: &[Told]) -> Option<String> {
    let of = |t: &Told| match what_matters(&t.advice, instant(&t.now["at"])) {
        Some((_, more)) if more > 0 => Some(format!("{} {more}", t.name)),
        _ => None,
    };
    let all: Vec<String> = told.iter().filter_map(of).collect();
    (!all.is_empty()).then(|| format!("More to mind: {}; see --full.", all.join(", ")))
}

/// A text with what stands before it.
type Said = (&'static str, String);

/// How much deeper reasons stand than what they are for.
const DEEPER: &str = "    ";

fn in_short(t: &Told) -> Vec<Said> {
    match what_matters(&t.advice, instant(&t.now["at"])) {
        Some((one, _)) => vec![("", said_then(one, &t.now))],
        None if is_outside(&t.now) || advice(&t.advice).next().is_some() => Vec::new(),
        None => vec![("", "No advice yet.".to_owned())],
    }
}

/// The advice whose sentence matters most, and how much else asks for something: what guards people, the structure and leaves from harm that cannot wait,
/// then a frost warning, openings, covers, and water that is due; what asks for nothing, or has run out at `at`, comes last.
fn what_matters(answer: &Value, at: Option<DateTime<FixedOffset>>) -> Option<(&Value, usize)> {
    let all = || advice(answer);
    // That no frost is in sight, or that it is too early to say, is worth no line of its own.
    let is_idle =
        |a: &Value| text(&a["kind"]) == "frost" && !asks(a) && matches!(text(&a["verdict"]), "none" | "early");
    let sayable = all().filter(|a| !text(&a["say"]).is_empty() && !is_idle(a));
    let has_run_out = |a: &Value| instant(&a["until"]).zip(at).is_some_and(|(until, now)| until <= now);
    let one = sayable.min_by_key(|a| (!asks(a) || has_run_out(a), place(a)))?;
    let asking = all().filter(|a| asks(a)).count();
    Some((one, asking.saturating_sub(usize::from(asks(one)))))
}

fn place(advice: &Value) -> u8 {
    match text(&advice["kind"]) {
        "vent" if cannot_wait(advice) => 0,
        "frost" if asks(advice) => 1,
        "vent" => 2,
        "cover" => 3,
        "water" => 4,
        _ => 5,
    }
}

/// Gale, frozen leaves and heat stand before all else in the order of safety.
fn cannot_wait(advice: &Value) -> bool {
    // A gale of the coming night, too: it is met by daylight.
    matches!(text(&advice["rule"]), "gale" | "frozen" | "heat") || advice["fasten_by"].is_string()
}

/// Whether it wants something done, or something left alone that one might well do.
fn asks(advice: &Value) -> bool {
    let has_moves = advice["moves"].as_array().is_some_and(|moves| !moves.is_empty());
    match text(&advice["kind"]) {
        // Of a forecast that was heard something may be asked before anything is measured.
        "frost" => matches!(text(&advice["verdict"]), "frost" | "chill") || text(&advice["aim"]) == "keep_warmth",
        "water" => matches!(text(&advice["verdict"]), "water" | "feel" | "lift"),
        _ => has_moves || cannot_wait(advice) || text(&advice["rule"]) == "heat_ahead",
    }
}

/// For so long what was said needs no word of when.
const FRESH_H: i64 = 1;

/// A sentence of advice, with when it was said where that is a while ago, and until when it held where that is past: "… (said 06:50, held until 12:00)".
fn said_then(advice: &Value, now: &Value) -> String {
    let say = text(&advice["say"]);
    let zone: Tz = now["zone"].as_str().and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC);
    let (Some(at), Some(made)) = (instant(&now["at"]), instant(&advice["made_at"])) else { return say.to_owned() };
    let clock = |t: DateTime<FixedOffset>| {
        let (there, here) = (t.with_timezone(&zone), at.with_timezone(&zone));
        let form = if there.date_naive() == here.date_naive() { "%H:%M" } else { "%a %-d %B, %H:%M" };
        there.format(form).to_string()
    };
    let held =
        instant(&advice["until"]).filter(|until| *until <= at).map(|until| format!(", held until {}", clock(until)));
    if held.is_none() && (at - made).num_hours() < FRESH_H {
        return say.to_owned();
    }
    format!("{say} (said {}{})", clock(made), held.unwrap_or_default())
}

fn in_full(t: &Told) -> Vec<Said> {
    let mut said: Vec<Said> = Vec::new();
    for one in advice(&t.advice).filter(|a| !text(&a["say"]).is_empty()) {
        said.push(("", said_then(one, &t.now)));
        let all = |part: &str| texts(&one[part]);
        let parts = ["because", "doubt", "cautions", "further"].into_iter().flat_map(all);
        said.extend(parts.map(|part| (DEEPER, part)));
        said.extend(all("also").into_iter().map(|also| ("", also)));
    }
    if said.is_empty() && !is_outside(&t.now) {
        said.push(("", "No advice yet.".to_owned()));
    }
    let damp = &t.now["damp_says"];
    said.extend(texts(&damp["leaves"]).into_iter().map(|part| ("", part)));
    let risks = damp["risks"].as_array().into_iter().flatten();
    said.extend(risks.map(|risk| ("", text(&risk["says"]).to_owned())));
    said.extend(texts(&damp["doubt"]).into_iter().map(|part| (DEEPER, part)));
    said
}

fn advice(answer: &Value) -> impl Iterator<Item = &Value> {
    answer["advice"].as_array().into_iter().flatten()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

/// A text or several; none where there is nothing.
fn texts(value: &Value) -> Vec<String> {
    let all: Vec<&Value> = match value {
        Value::Array(all) => all.iter().collect(),
        one => vec![one],
    };
    all.into_iter().map(text).filter(|text| !text.is_empty()).map(str::to_owned).collect()
}

fn instant(value: &Value) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(value.as_str()?).ok()
}

/// Whether the air of the structure stands for the air outside.
fn is_outside(now: &Value) -> bool {
    let outside = text(&now["outside_spot"]);
    now["spots"].as_array().into_iter().flatten().any(|s| !outside.is_empty() && text(&s["spot"]) == outside)
}

/// "Wednesday 25 November, 12:55 (Europe/Dublin)".
fn at(now: &Value) -> String {
    let zone: Tz = now["zone"].as_str().and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC);
    match instant(&now["at"]) {
        Some(t) => format!("{} ({})", t.with_timezone(&zone).format("%A %-d %B, %H:%M"), zone.name()),
        None => "at a time that is not known".to_owned(),
    }
}

/// The air at the first spot that has any, and its age; in full the day's range, in short how long leaves were wet, where the damp is news.
fn air(now: &Value, full: bool) -> String {
    let reading = |quantity: &str| {
        let spots = now["spots"].as_array().into_iter().flatten();
        let all = spots.flat_map(|s| s["readings"].as_array().into_iter().flatten());
        all.filter(|r| r["quantity"] == quantity).find(|r| r["value"].is_number())
    };
    let Some(t) = reading("air-temperature") else { return "No reading yet.".to_owned() };
    let number = |value: &Value, decimals: usize| signed(value.as_f64().unwrap_or_default(), decimals);
    let mut said = format!("{} °C{}", number(&t["value"], 1), doubtful(t));
    let rh = reading("air-humidity");
    if let Some(rh) = rh {
        let rh_pct = rh["value"].as_f64().unwrap_or_default().min(100.0);
        said += &format!(", {} %RH{}", signed(rh_pct, 0), doubtful(rh));
    }
    if now["derived"]["dew_point_c"]["value"].is_number() {
        said += &format!(", dew point {} °C", number(&now["derived"]["dew_point_c"]["value"], 1));
    }
    said += &format!("; {}", age(t));
    if let Some(rh) = rh.filter(|rh| rh["state"] != "fresh" && t["state"] == "fresh") {
        said += &format!("; humidity: {}", age(rh));
    }
    let (low, high) = (&now["today"]["min_c"]["value"], &now["today"]["max_c"]["value"]);
    if full && low.is_number() && high.is_number() {
        said += &format!("; today {} to {} °C", number(low, 1), number(high, 1));
    }
    let (news, hours) = (text(&now["damp_says"]["short"]), text(&now["damp_says"]["hours"]));
    if !full && !news.is_empty() && !hours.is_empty() {
        said += &format!("; {hours}");
    }
    said
}

/// How old a reading is; that nothing was heard since, where it is too old.
fn age(reading: &Value) -> String {
    let minutes = reading["age_s"].as_i64().unwrap_or_default() / 60;
    match (reading["state"].as_str(), minutes) {
        (Some("fresh"), 0) => "just now".to_owned(),
        (Some("fresh"), m) => format!("{m} min ago"),
        (_, m) if m < 120 => format!("NOT HEARD for {m} min"),
        (_, m) if m < 48 * 60 => format!("NOT HEARD for {} hours", m / 60),
        (_, m) => format!("NOT HEARD for {} days", m / (24 * 60)),
    }
}

/// " (doubtful: stuck)" where something speaks against a reading. Humidity above 100 is common, and used as 100.
fn doubtful(reading: &Value) -> String {
    let marks: Vec<String> =
        texts(&reading["marks"]).into_iter().filter(|m| m != "over" && m != "saturated" && m != "sunlit").collect();
    if marks.is_empty() { String::new() } else { format!(" (doubtful: {})", marks.join(", ").replace('_', " ")) }
}

/// A number with a true minus sign, and none before zero.
fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text.replace('-', "\u{2212}") }
}

#[cfg(test)]
mod tests;
