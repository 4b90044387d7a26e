//! The parts of a proposal put together: the mapping, its text, reasons and questions.

use std::collections::BTreeMap;

use super::context::Context;
use super::file::File;
use super::order::FoundOrder;
use super::steps::Steps;
use super::times::Way;
use super::zone::{self, Decided};
use super::{Because, Outcome, Proposal, Question, fields, spoken_separator};
use crate::table::{Caution, Clock, Decimal, FileDevice, FileMapping, Source, TimeColumns, TimeForm};
use crate::wording::grouped;

/// Puts the parts of a proposal together.
pub(super) struct Assembly<'a, S: ?Sized> {
    pub file: &'a File<'a, S>,
    pub order: FoundOrder,
    pub steps: &'a Steps,
    pub context: &'a Context,
    pub named: Option<(Clock, String)>,
    pub why_encoding: String,
}

impl<S: Source + ?Sized> Assembly<'_, S> {
    pub(super) fn outcome(self, device: Option<(usize, String)>, fields: fields::Fields) -> Outcome {
        let file = self.file;
        let mut because = self.layout_because();
        let mut questions = Vec::new();
        let mut cautions = self.context.cautions(device.is_some());
        let mut time = file.way.mapped(&file.headings);
        because.push(Because { key: "time".to_owned(), what: file.time_name(), why: self.time_why() });
        questions.extend(file.ask_time(&self.context.rivals, file.hints));
        if file.way.has_order() {
            self.order_into(&mut time, &mut because, &mut questions);
        }
        time.zone = self.zone(&mut because, &mut questions, &mut cautions);
        if device.is_none() && self.context.same * 20 > self.context.rows {
            let says = format!(
                "{} of {} rows have the time of the row before, and no column tells whose they are",
                grouped(self.context.same),
                grouped(self.context.rows)
            );
            cautions.push(Caution { says, times: self.context.same, first_line: 0 });
        }
        let column = device.as_ref().map(|(place, _)| file.headings[*place].column.clone());
        if let (Some((_, why)), Some(column)) = (device, &column) {
            because.push(Because { key: "device".to_owned(), what: format!("column:{column}"), why });
            if std::mem::take(&mut time.mixed) {
                let says = "day and month change places, which cannot be told where rows of several devices alternate"
                    .to_owned();
                cautions.push(Caution { says, times: 1, first_line: 0 });
            }
        }
        let mapping = FileMapping {
            name: self.name(),
            device: column.map_or(FileDevice::Mapping, FileDevice::Column),
            encoding: file.encoding,
            separator: file.layout.separator as u8,
            decimal: file.layout.decimal,
            header: u32::try_from(file.head.header).unwrap_or(u32::MAX),
            missing: self.missing(&mut because),
            time,
            fields: fields.fields,
        };
        because.extend(fields.because);
        questions.extend(fields.questions);
        cautions.extend(fields.cautions);
        let mut proposal =
            Proposal { mapping, text: String::new(), because, questions, left_out: fields.left_out, cautions };
        proposal.text = written(&proposal);
        if proposal.questions.is_empty() { Outcome::Understood(proposal) } else { Outcome::Open(proposal) }
    }

    fn layout_because(&self) -> Vec<Because> {
        let (layout, head) = (&self.file.layout, &self.file.head);
        let because = |key: &str, what: String, why: String| Because { key: key.to_owned(), what, why };
        let mut all = vec![
            because("encoding", self.file.encoding.word().to_owned(), self.why_encoding.clone()),
            because(
                "separator",
                spoken_separator(layout.separator).to_owned(),
                format!(
                    "{} of {} lines have {} cells so, with numbers among them",
                    grouped(layout.fitting),
                    grouped(layout.filled),
                    layout.cells
                ),
            ),
        ];
        let (sign, with, without) = match layout.decimal {
            Decimal::Point => (".", layout.with_point, layout.with_comma),
            Decimal::Comma => (",", layout.with_comma, layout.with_point),
        };
        let why = match (with, without) {
            (0, 0) => "there are whole numbers only".to_owned(),
            (with, without) => {
                format!("{} rows have numbers written so, {} otherwise", grouped(with), grouped(without))
            }
        };
        all.push(because("decimal", sign.to_owned(), why));
        let why = match (head.header, &head.doubt) {
            (0, Some(doubt)) => doubt.clone(),
            (0, None) => "the first line is a row already".to_owned(),
            (line, _) if !head.units.is_empty() => {
                format!("names stand in line {line} and units under them; the first row is line {}", layout.first_row)
            }
            _ => format!("names stand there; the first row is line {}", layout.first_row),
        };
        all.push(because("header", head.header.to_string(), why));
        all
    }

    fn time_why(&self) -> String {
        let names = self.file.time_name();
        match self.file.way {
            Way::At(_) => format!("date and time of day stand in {names}"),
            Way::Date(_) => format!("{names} holds dates alone"),
            Way::DateClock(..) | Way::DateHour(..) => format!("the date and the time of day stand in {names}"),
            Way::Numbers(..) => format!("the parts of the time stand in {names}"),
            Way::Epoch(_, TimeForm::Ms) => format!("the numbers in {names} are as large as milliseconds since 1970"),
            Way::Epoch(..) => format!("the numbers in {names} are as large as seconds since 1970"),
        }
    }

    fn order_into(&self, time: &mut TimeColumns, because: &mut Vec<Because>, questions: &mut Vec<Question>) {
        (time.order, time.mixed) = (self.order.order, self.order.mixed);
        if !self.order.is_open {
            let what = if self.order.mixed {
                format!("{}, mixed", self.order.order.word())
            } else {
                self.order.order.word().to_owned()
            };
            because.push(Because { key: "time.order".to_owned(), what, why: self.order.why.clone() });
            return;
        }
        let mut choices = vec![self.order.order.word().to_owned()];
        choices.extend(
            self.order.possible.iter().filter(|order| **order != self.order.order).map(|order| order.word().to_owned()),
        );
        let each: Vec<String> = choices.clone();
        questions.push(Question {
            key: "order".to_owned(),
            asks: format!("In which order do day (d), month (m) and year (y) stand in {}?", self.file.time_name()),
            choices,
            evidence: format!("all dates can be read as {}, and the rows go on as steadily", each.join(" and as ")),
        });
    }

    /// The clock of the times; none where each time says its own.
    fn zone(
        &self,
        because: &mut Vec<Because>,
        questions: &mut Vec<Question>,
        cautions: &mut Vec<Caution>,
    ) -> Option<Clock> {
        let hint = self.file.hints.zone;
        if let Some(why) = self.own_offsets(cautions) {
            because.push(Because { key: "time.zone".to_owned(), what: "in each time".to_owned(), why });
            return None;
        }
        let mut known = |clock: Clock, why: String| {
            because.push(Because { key: "time.zone".to_owned(), what: clock.to_string(), why });
            Some(clock)
        };
        if let Some((clock, mut why)) = self.named.clone() {
            if let Some(hint) = hint.filter(|hint| *hint != clock) {
                let says = format!("{hint} was said of the times, but {why}: the file counts");
                cautions.push(Caution { says, times: 1, first_line: 0 });
            }
            if matches!(clock, Clock::Fixed(_)) {
                why.push_str("; an offset there holds all year");
            }
            return known(clock, why);
        }
        if let Some(clock) = hint {
            return known(clock, "you said so".to_owned());
        }
        let is_days = self.file.way.is_date_alone();
        match zone::decide(self.file.hints.garden_zone, &self.context.evidence, self.steps, is_days) {
            Decided::Clock(clock, why) => known(clock, why),
            Decided::Ask { likeliest, choices, evidence } => {
                questions.push(Question {
                    key: "zone".to_owned(),
                    asks: format!("By which clock are the times in {} written?", self.file.time_name()),
                    choices,
                    evidence,
                });
                Some(likeliest)
            }
        }
    }

    fn own_offsets(&self, cautions: &mut Vec<Caution>) -> Option<String> {
        if !self.file.has_offsets() {
            return None;
        }
        let Way::At(at) = self.file.way else {
            return Some("numbers since 1970 count in UTC".to_owned());
        };
        let seen = &self.file.survey.columns[at];
        let without = seen.dates - seen.with_offset;
        if without > 0 {
            let says = format!("{} times have no offset of their own; their rows will be set aside", grouped(without));
            cautions.push(Caution { says, times: without, first_line: 0 });
        }
        Some(format!("{} of {} times carry their offset or Z", grouped(seen.with_offset), grouped(seen.dates)))
    }

    fn missing(&self, because: &mut Vec<Because>) -> Vec<String> {
        let mut words: BTreeMap<String, u64> = BTreeMap::new();
        for seen in self.file.survey.columns.iter().filter(|seen| seen.is_numeric()) {
            for (text, times) in seen.words_for_nothing() {
                *words.entry(text.to_string()).or_default() += times;
            }
        }
        if !words.is_empty() {
            let each: Vec<String> =
                words.iter().map(|(word, times)| format!("{word:?} stands {} times", grouped(*times))).collect();
            because.push(Because {
                key: "missing".to_owned(),
                what: words.keys().cloned().collect::<Vec<_>>().join(", "),
                why: format!("{} where numbers belong", each.join(", ")),
            });
        }
        words.into_keys().take(64).collect()
    }

    /// The name said, or one made of the file's.
    fn name(&self) -> String {
        let hints = self.file.hints;
        if let Some(name) = &hints.name {
            return name.clone();
        }
        let file = hints.file_name.rsplit(['/', '\\']).next().unwrap_or_default();
        let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
        let mut name = String::new();
        for letter in stem.chars() {
            if letter.is_ascii_alphanumeric() && name.len() < 32 {
                name.push(letter.to_ascii_lowercase());
            } else if !name.is_empty() && !name.ends_with('-') && name.len() < 31 {
                name.push('-');
            }
        }
        let name = name.trim_matches('-');
        if name.is_empty() { "file".to_owned() } else { name.to_owned() }
    }
}

/// The mapping as a file, with what is open and what is left out as comments.
fn written(proposal: &Proposal) -> String {
    let mut text = String::new();
    let mut comment = |words: String| {
        text.push('#');
        text.push(' ');
        text.extend(words.chars().map(|letter| if letter.is_control() { ' ' } else { letter }));
        text.push('\n');
    };
    for question in &proposal.questions {
        comment(format!(
            "? {}: {} One of: {}. {}",
            question.key,
            question.asks,
            question.choices.join(", "),
            question.evidence
        ));
    }
    for (column, why) in &proposal.left_out {
        comment(format!("left out: {column}: {why}"));
    }
    text.push_str(&proposal.mapping.to_toml());
    text
}
