//! A mapping proposed from the whole of a file, with the reason of each choice, and questions where the file does not tell.
//!
//! The file is gone through five times: its bytes ([`encoding`]), its lines under each separator ([`layout`]), its columns ([`survey`]), its times in
//! each order of day and month ([`times`]), and what rows say beside each other ([`context`]). Then [`fields`] decides column by column, and [`zone`]
//! on the clock. Nothing that is kept grows with the file. What cannot be told is asked or left out; it is never guessed.

mod by_values;
mod context;
mod encoding;
mod fields;
mod layout;
mod survey;
mod times;
mod units;
mod words;
mod zone;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono_tz::Tz;
use propstick_wire::{Millis, Quantity};
use serde::Serialize;

use self::context::{Context, Derived, Witness};
use self::encoding::grouped;
use self::fields::Facts;
use self::layout::{Head, Layout};
use self::survey::{MOST_TEXTS, Survey, for_each_row};
use self::times::{FoundOrder, Heading, OrderEvidence, Steps, Way};
use self::units::Told;
use self::words::Meaning;
use self::zone::Decided;
use super::{
    Caution, Clock, Column, Decimal, FileDevice, FileMapping, Order, Source, Stamp, TimeForm, cells, column_names,
};

/// What a person said beforehand, or in answer to questions.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hints {
    /// The mapping's name; else it is made of the file's.
    pub name: Option<String>,
    /// The clock of times that do not say theirs.
    pub zone: Option<Clock>,
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
    /// What it is about: `zone`, `order`, `stamp`, `unit:COLUMN` or `quantity:COLUMN`.
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
        Err(none) => return Ok(Outcome::Lost(no_table(tried, &none.tried, none.filled))),
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
    let file = File { source, hints, encoding: text.encoding, layout, head, headings, survey, way };
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

fn no_table(mut tried: Vec<String>, separators: &[layout::Tried], filled: u64) -> Lost {
    for one in separators {
        tried.push(format!(
            "cut at {}: no line of {} has two cells or more with a time and a number, or with numbers",
            spoken_separator(one.separator),
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

/// Names and units of the columns.
fn headings(head: &Head, layout: &Layout) -> Vec<Heading> {
    let names = column_names(head.names.iter().map(String::as_str));
    (0..layout.cells.min(cells::MAX_CELLS))
        .map(|place| {
            let name = names.get(place).cloned().unwrap_or_default();
            let plain = head.names.get(place).map(|cell| super::column_name(cell)).unwrap_or_default();
            let (without_unit, told) = units::split(&plain);
            let told = told.or_else(|| {
                let cell = head.units.get(place)?;
                layout::unit_cell(cell).map(|unit| Told { unit, written: cell.clone() })
            });
            let number = Column::Number(u32::try_from(place + 1).unwrap_or(u32::MAX));
            let column = if name.is_empty() { number } else { Column::Name(name.clone()) };
            // The first word of a header such as "#" has no letters; it counts the rows.
            let words = if plain == "#" { vec!["no".to_owned()] } else { words::words(&without_unit) };
            Heading { name, column, words, told }
        })
        .collect()
}

/// A file whose layout and time columns are known.
struct File<'a, S: ?Sized> {
    source: &'a S,
    hints: &'a Hints,
    encoding: super::Encoding,
    layout: Layout,
    head: Head,
    headings: Vec<Heading>,
    survey: Survey,
    way: Way,
}

impl<S: Source + ?Sized> File<'_, S> {
    fn time_name(&self) -> String {
        let names: Vec<String> = self
            .way
            .columns()
            .iter()
            .filter_map(|place| self.headings.get(*place))
            .map(|heading| format!("{:?}", heading.column.to_string()))
            .collect();
        names.join(", ")
    }

    fn first_time_place(&self) -> usize {
        self.way.columns().first().copied().unwrap_or(0)
    }

    /// Goes through the times of all rows, in every order.
    fn times(&self, now: Millis) -> Result<(OrderEvidence, [Steps; 3]), S::Error> {
        let (mut evidence, mut steps) = (OrderEvidence::default(), <[Steps; 3]>::default());
        // A day more than now: the clock of the file may be ahead.
        let within = super::clock::EARLIEST_MS..=now.0.saturating_add(super::stamp::DAY_MS);
        let (place, has_order) = (self.first_time_place(), self.way.has_order());
        for_each_row(self.source, self.encoding, &self.layout, self.head.header, &mut |line, row| {
            let Some(time) = self.way.of_row(&row) else { return };
            if !has_order {
                if let Some(ms) = time.ms(Order::Ymd).filter(|ms| within.contains(ms)) {
                    steps[0].take(ms);
                }
                return;
            }
            let read = Order::ALL.map(|order| time.ms(order).filter(|ms| within.contains(ms)));
            for (ms, steps) in read.into_iter().zip(&mut steps) {
                if let Some(ms) = ms {
                    steps.take(ms);
                }
            }
            evidence.take(line, read, row.cell(place).unwrap_or_default());
        })?;
        Ok((evidence, steps))
    }

    /// Goes through all rows once more, with the order known.
    fn context(&self, order: &FoundOrder, steps: &Steps) -> Result<Context, S::Error> {
        let candidates = (0..self.headings.len()).filter(|place| self.may_name_devices(*place)).collect();
        let garden = self.hints.garden_zone.filter(|_| !self.way.is_date_alone() && !self.has_offsets());
        let mut context = Context::new(self.way, order.clone(), steps, garden, candidates, self.witnesses());
        for_each_row(self.source, self.encoding, &self.layout, self.head.header, &mut |line, row| {
            context.take(line, &row, self.layout.decimal);
        })?;
        Ok(context)
    }

    fn may_name_devices(&self, place: usize) -> bool {
        let (heading, seen) = (&self.headings[place], &self.survey.columns[place]);
        let is_name =
            !seen.has_too_many && (2..=MOST_TEXTS).contains(&seen.each.len()) && seen.dates == 0 && seen.clocks == 0;
        is_name
            && !self.way.columns().contains(&place)
            && !words::names_counter(&heading.words)
            && words::time_word(&heading.words).is_none()
            && heading.told.is_none()
            && words::meaning(&heading.words, false) == Meaning::Unknown
    }

    /// Derived columns beside the temperature and humidity that they may follow from.
    fn witnesses(&self) -> Vec<Witness> {
        let of = |quantity: Quantity| {
            let is_it = move |(_, heading): &(usize, &Heading)| {
                words::meaning(&heading.words, false) == Meaning::Measures(quantity)
                    && words::stat(&heading.words).is_none()
            };
            self.headings.iter().enumerate().filter(is_it).map(|(place, _)| place).take(4).collect::<Vec<_>>()
        };
        let mut witnesses = Vec::new();
        let derived: Vec<(usize, Derived)> = self
            .headings
            .iter()
            .enumerate()
            .filter_map(|(place, heading)| derived(heading).map(|what| (place, what)))
            .take(4)
            .collect();
        for temperature in of(Quantity::AirTemperature) {
            for humidity in of(Quantity::AirHumidity) {
                for (place, what) in &derived {
                    witnesses.push(Witness::new(temperature, humidity, *place, *what));
                }
            }
        }
        witnesses
    }

    fn has_offsets(&self) -> bool {
        match self.way {
            Way::Epoch(..) => true,
            Way::At(at) => {
                let seen = &self.survey.columns[at];
                seen.dates > 0 && seen.with_offset * 2 > seen.dates
            }
            _ => false,
        }
    }

    /// The column with the devices' names: by its own name, or because its texts tell rows of one time apart.
    fn device(&self, context: &Context) -> Option<(usize, String)> {
        if self.head.header == 0 {
            return None;
        }
        let is_named = |place: &usize| {
            let (heading, seen) = (&self.headings[*place], &self.survey.columns[*place]);
            words::names_device(&heading.words)
                && matches!(heading.column, Column::Name(_))
                && !seen.has_too_many
                && (1..=MOST_TEXTS).contains(&seen.each.len())
                && !self.way.columns().contains(place)
        };
        if let Some(place) = (0..self.headings.len()).find(is_named) {
            let n = self.survey.columns[place].each.len();
            let names = if n == 1 { "1 name stands".to_owned() } else { format!("{n} names stand") };
            return Some((place, format!("its header says so, and {names} in it")));
        }
        context.device().filter(|(place, _)| matches!(self.headings[*place].column, Column::Name(_)))
    }

    fn facts<'f>(&'f self, context: &Context, steps: &Steps, device: Option<usize>) -> Facts<'f> {
        let mut witnessed = BTreeMap::new();
        for witness in &context.witnesses {
            if let Some((unit, miss)) = witness.says() {
                let other = self.headings[witness.derived].column.to_string();
                let why = format!(
                    "{other:?} follows from it and the humidity in {}, to {miss:.2} in half of the rows",
                    units::spoken(unit)
                );
                witnessed.entry(witness.temperature).or_insert((unit, why));
            }
        }
        Facts {
            headings: &self.headings,
            survey: &self.survey,
            way: self.way,
            device,
            step_s: steps.median_s(),
            days: steps.days(),
            witnessed,
            titled: temperature_of(&self.head.titles),
            hints: self.hints,
        }
    }

    /// The clock that the header of the times names, or a line above it.
    fn clock_named(&self, named: &[Option<Clock>]) -> Option<(Clock, String)> {
        let by_header = self.way.columns().into_iter().find_map(|place| {
            let clock = named.get(place).copied().flatten()?;
            Some((clock, format!("{:?} stands at the head of the times", self.headings[place].name)))
        });
        by_header.or_else(|| {
            self.head.titles.iter().find_map(|title| {
                let small = title.to_lowercase();
                let speaks = ["zone", "utc", "gmt", "fuseau", "fuso", "huso", "tijdzone"]
                    .iter()
                    .any(|word| small.contains(word));
                zone::named(title)
                    .filter(|_| speaks)
                    .map(|clock| (clock, format!("a line above the header says {:?}", title.trim())))
            })
        })
    }
}

/// What a heading's derived column holds, where it is one that can tell a unit.
fn derived(heading: &Heading) -> Option<Derived> {
    let has = |list: &[&str]| words::any(&heading.words, list);
    let unit = heading.told.as_ref().map(|told| told.unit);
    if has(&["dew*", "dewp", "taupunkt*"]) {
        // With a unit of its own it need not share that of the temperature.
        unit.is_none().then_some(Derived::DewPoint)
    } else if has(&["abs", "absol*"]) && has(&["hum", "humid*", "feucht*"]) {
        Some(Derived::Water)
    } else if has(&["vpd"]) {
        Some(Derived::Vpd)
    } else if (has(&["hum", "humid*"]) && has(&["def"])) || has(&["*deficit*", "*defizit*"]) {
        Some(if unit == Some("kPa") { Derived::Vpd } else { Derived::Deficit })
    } else {
        None
    }
}

/// The one unit of temperature that title lines name.
fn temperature_of(titles: &[String]) -> Option<&'static str> {
    let names = |words: &[&str]| titles.iter().any(|title| words.iter().any(|word| title.contains(word)));
    let celsius = names(&["°C", "ºC", "degC", "Celsius"]);
    let fahrenheit = names(&["°F", "ºF", "degF", "Fahrenheit"]);
    match (celsius, fahrenheit) {
        (true, false) => Some("Cel"),
        (false, true) => Some("degF"),
        _ => None,
    }
}

/// Puts the parts of a proposal together.
struct Assembly<'a, S: ?Sized> {
    file: &'a File<'a, S>,
    order: FoundOrder,
    steps: &'a Steps,
    context: &'a Context,
    named: Option<(Clock, String)>,
    why_encoding: String,
}

impl<S: Source + ?Sized> Assembly<'_, S> {
    fn outcome(self, device: Option<(usize, String)>, fields: fields::Fields) -> Outcome {
        let file = self.file;
        let mut because = self.layout_because();
        let mut questions = Vec::new();
        let mut cautions = self.context.cautions(device.is_some());
        let mut time = file.way.mapped(&file.headings);
        because.push(Because { key: "time".to_owned(), what: file.time_name(), why: self.time_why() });
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

    fn order_into(&self, time: &mut super::TimeColumns, because: &mut Vec<Because>, questions: &mut Vec<Question>) {
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
                    asks: format!("From which clock were the times in {} read?", self.file.time_name()),
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
