//! A mapping proposed from the whole of a file, with the reason of each choice, and questions where the file does not tell.
//!
//! The file is gone through five times: its bytes (`encoding`), its lines under each separator (`layout`), its columns (`survey`), its times in
//! each order of day and month (`times`, `order`), and what rows say beside each other (`context`). Then `fields` decides column by column, and `zone`
//! on the clock. Nothing that is kept grows with the file. What cannot be told is asked or left out; it is never guessed.

mod assembly;
mod by_values;
mod columns;
mod context;
mod encoding;
mod fields;
mod file;
mod layout;
mod meaning;
mod order;
mod rivals;
mod steps;
mod survey;
mod times;
mod units;
mod words;
mod zone;

#[cfg(test)]
mod tests;

use crate::wording::grouped;
use std::collections::BTreeMap;

use chrono_tz::Tz;
use propstick_wire::Millis;
use serde::Serialize;

use self::assembly::Assembly;
use self::context::Context;
use self::file::{File, headings};
use self::order::FoundOrder;
use super::{Caution, Clock, FileMapping, Order, Source, Stamp};

/// What a person said beforehand, or in answer to questions.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hints {
    /// The mapping's name; else it is made of the file's.
    pub name: Option<String>,
    /// The clock of times that do not say theirs.
    pub zone: Option<Clock>,
    /// The column with the time, where several hold different ones.
    pub time: Option<String>,
    /// The order of day and month where the file does not tell it.
    pub order: Option<Order>,
    /// Units by column, in the program's words or as headers write them (`degF`, `°F`); `-` leaves the column out.
    pub units: BTreeMap<String, String>,
    /// Quantities by column, such as `air-temperature`, with `min`, `max` or `mean` behind it where each number is that of an interval; `-` leaves the
    /// column out.
    pub quantities: BTreeMap<String, String>,
    /// Which end of their interval the times name, where the file does not tell it.
    pub stamp: Option<Stamp>,
    /// The garden's zone.
    pub garden_zone: Option<Tz>,
    /// The file's name, with or without its folder.
    pub file_name: String,
}

/// What came out.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "lowercase", tag = "outcome")]
pub enum Outcome {
    /// A mapping without open questions.
    Understood(Proposal),
    /// A mapping with questions: what they ask for is left out of it or stands there as the likeliest.
    Open(Proposal),
    /// No mapping.
    Lost(Lost),
}

/// A mapping, and how it was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proposal {
    /// The mapping. In [`Outcome::Open`] it may have no field yet.
    #[serde(skip)]
    pub mapping: FileMapping,
    /// The mapping as a file, with open points as comments that begin with `# ?`.
    pub text: String,
    /// The reasons.
    pub because: Vec<Because>,
    /// What has to be answered.
    pub questions: Vec<Question>,
    /// Columns that are left out, and why.
    pub left_out: Vec<(String, String)>,
    /// What a person should look at.
    pub cautions: Vec<Caution>,
}

/// Why something in a mapping is as it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Because {
    /// The key of the mapping, such as `separator`, `time.order` or `field Temp`.
    pub key: String,
    /// What stands there.
    pub what: String,
    /// Why, in a sentence.
    pub why: String,
}

/// Something that the file does not tell.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Question {
    /// What it is about: `time`, `zone`, `order`, `stamp`, `unit:COLUMN` or `quantity:COLUMN`.
    pub key: String,
    /// The question.
    pub asks: String,
    /// What can be answered, the likeliest first.
    pub choices: Vec<String>,
    /// What the file says of it.
    pub evidence: String,
}

/// A file that cannot be understood.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Lost {
    /// What was tried, and how far it went.
    pub tried: Vec<String>,
    /// What is missing.
    pub missing: Vec<String>,
}

/// Works out a mapping from all of a file. `now` bounds the times that can be meant.
///
/// # Errors
/// What the source says. A file that cannot be understood is no error but [`Outcome::Lost`].
pub fn propose<S: Source + ?Sized>(source: &S, hints: &Hints, now: Millis) -> Result<Outcome, S::Error> {
    let text = encoding::find(source)?;
    if let Some(what) = text.not_text {
        let tried = vec![format!("read as text: {}", text.why)];
        return Ok(Outcome::Lost(Lost { tried, missing: vec![what] }));
    }
    let mut tried = vec![format!("read as {}: {}", text.encoding.word(), text.why)];
    let layout = match layout::find(source, text.encoding)? {
        Ok(layout) => layout,
        Err(none) => return Ok(Outcome::Lost(no_table(tried, none.filled))),
    };
    tried.push(format!(
        "cut at {}: {} of {} lines have {} cells with a number and a time, or with numbers",
        spoken_separator(layout.separator),
        grouped(layout.fitting),
        grouped(layout.filled),
        layout.cells
    ));
    let head = layout::head(source, text.encoding, &layout)?;
    tried.push(match head.header {
        0 => "header: no line above the first row has names for its columns".to_owned(),
        line => format!("header in line {line}: {}", head.names.join(", ")),
    });
    let headings = headings(&head, &layout);
    let survey = survey::survey(source, text.encoding, &layout, head.header)?;
    let named: Vec<Option<Clock>> = headings.iter().map(|heading| zone::named(&heading.name)).collect();
    let way = match times::find(&headings, &survey.columns, |place| named.get(place).is_some_and(Option::is_some)) {
        Ok(way) => way,
        Err(missing) => return Ok(Outcome::Lost(Lost { tried, missing })),
    };
    let mut file = File { source, hints, encoding: text.encoding, layout, head, headings, survey, way };
    if let Some(told) = file.time_told() {
        file.way = told;
    }
    let (orders, steps) = file.times(now)?;
    let order = if file.way.has_order() { orders.decide(hints.order, &steps) } else { FoundOrder::default() };
    let steps = &steps[order.order as usize];
    if steps.rows == 0 {
        let missing =
            vec![format!("a row whose time can be read and lies between 1900 and now ({})", file.time_name())];
        return Ok(Outcome::Lost(Lost { tried, missing }));
    }
    let context = file.context(&order, steps)?;
    let found = file.device(&context);
    let facts = file.facts(&context, steps, found.as_ref().map(|(place, _)| *place));
    let fields = fields::decide(&facts);
    let tells_apart = found.is_some() && !file.way.is_date_alone();
    if let Some(missing) = nothing_to_keep(&fields, &context, tells_apart) {
        return Ok(Outcome::Lost(Lost { tried, missing: vec![missing] }));
    }
    let named = file.clock_named(&named);
    let assembled = Assembly { file: &file, order, steps, context: &context, named, why_encoding: text.why };
    Ok(assembled.outcome(found, fields))
}

fn spoken_separator(separator: char) -> &'static str {
    match separator {
        ',' => "commas",
        ';' => "semicolons",
        '\t' => "tabs",
        _ => "bars (|)",
    }
}

fn no_table(mut tried: Vec<String>, filled: u64) -> Lost {
    for separator in layout::SEPARATORS {
        tried.push(format!(
            "cut at {}: no line of {} has two cells or more with a time and a number, or with numbers",
            spoken_separator(separator),
            grouped(filled)
        ));
    }
    let mut missing = vec!["rows with cells between separators: a date and time, and numbers".to_owned()];
    if filled == 1 {
        missing.push("more than one line: a header alone has no readings".to_owned());
    }
    Lost { tried, missing }
}

/// Why a table with times is still none that could be kept.
fn nothing_to_keep(fields: &fields::Fields, context: &Context, tells_apart: bool) -> Option<String> {
    let measures =
        !fields.fields.is_empty() || fields.questions.iter().any(|question| question.key.starts_with("unit:"));
    if !measures && context.same * 2 > context.rows && !tells_apart {
        return Some(format!(
            "a time for each row: {} of {} rows have the time of the row before, and no column measures a climate",
            grouped(context.same),
            grouped(context.rows)
        ));
    }
    (!measures && fields.questions.is_empty()).then(|| {
        let why: Vec<String> = fields.left_out.iter().map(|(column, why)| format!("{column}: {why}")).collect();
        format!("a column with a measurement that is kept ({})", why.join("; "))
    })
}
