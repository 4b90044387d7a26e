//! Which column is what: quantity, unit, interval and channel of each, what is left out and why, and what has to be asked.

use std::collections::BTreeMap;

use propstick_wire::Quantity;

use super::by_values::{self, ByValues};
use super::context::spoken as length;
use super::encoding::grouped;
use super::survey::{MOST_COLUMNS, Survey};
use super::times::{Heading, Way};
use super::units::{self, spoken};
use super::words::{self, Meaning, Stat, TimeWord};
use super::{Because, Hints, Question};
use crate::decode::mapping::MAX_FIELDS;
use crate::table::{Caution, MappingField, Stamp};
use crate::took::SeriesKind;

/// What is known of the file by now.
pub(super) struct Facts<'a> {
    pub headings: &'a [Heading],
    pub survey: &'a Survey,
    pub way: Way,
    pub device: Option<usize>,
    /// Median step of the rows.
    pub step_s: Option<i64>,
    pub days: f64,
    /// Units of temperatures that derived columns tell, with the reason.
    pub witnessed: BTreeMap<usize, (&'static str, String)>,
    /// The unit of temperatures that the lines above the header name.
    pub titled: Option<&'static str>,
    pub hints: &'a Hints,
}

/// What was decided.
#[derive(Clone, Debug, Default)]
pub(super) struct Fields {
    pub fields: Vec<MappingField>,
    pub because: Vec<Because>,
    pub questions: Vec<Question>,
    pub left_out: Vec<(String, String)>,
    pub cautions: Vec<Caution>,
    /// Whether any column was recognised as a quantity.
    pub any: bool,
}

/// A column that measures something.
struct Found {
    place: usize,
    quantity: Quantity,
    stat: Option<Stat>,
    by: &'static str,
    unit: Option<(&'static str, String)>,
    ask: Option<Question>,
}

/// Decides on every column.
pub(super) fn decide(facts: &Facts<'_>) -> Fields {
    let mut decided = Fields::default();
    let (mut found, mut unknown) = (Vec::new(), Vec::new());
    for place in 0..facts.headings.len() {
        if facts.way.columns().contains(&place) || facts.device == Some(place) {
            continue;
        }
        match facts.judge(place) {
            Judged::Measures(quantity, stat, by) => match facts.unit(place, quantity) {
                UnitFound::Known(unit, why) => {
                    found.push(Found { place, quantity, stat, by, unit: Some((unit, why)), ask: None });
                }
                UnitFound::Ask(question) => {
                    found.push(Found { place, quantity, stat, by, unit: None, ask: Some(question) });
                }
                UnitFound::No(why) => decided.left_out.push((facts.name(place), why)),
            },
            Judged::Ask(question) => {
                decided.any = true;
                decided.questions.push(question);
            }
            Judged::Out(why) => decided.left_out.push((facts.name(place), why)),
            Judged::Unknown => unknown.push(place),
        }
    }
    facts.by_sisters(&mut found);
    decided.any |= !found.is_empty();
    for place in unknown {
        let seen = &facts.survey.columns[place];
        if decided.any {
            decided.left_out.push((facts.name(place), "its name does not say what it measures".to_owned()));
        } else {
            decided.questions.push(facts.ask_quantity(place, by_values::range(seen)));
        }
    }
    facts.assemble(found, &mut decided);
    for question in facts.hinted_in_vain(&decided) {
        decided.cautions.push(question);
    }
    decided
}

enum Judged {
    Measures(Quantity, Option<Stat>, &'static str),
    Ask(Question),
    Out(String),
    Unknown,
}

enum UnitFound {
    Known(&'static str, String),
    Ask(Question),
    No(String),
}

impl Facts<'_> {
    fn name(&self, place: usize) -> String {
        self.headings.get(place).map_or_else(|| (place + 1).to_string(), |heading| heading.column.to_string())
    }

    /// What a column is, by what a person said, its name and its numbers.
    fn judge(&self, place: usize) -> Judged {
        let (heading, seen) = (&self.headings[place], &self.survey.columns[place]);
        let name = self.name(place);
        let stat = words::stat(&heading.words);
        if seen.full == 0 {
            return Judged::Out("it is empty in every row".to_owned());
        }
        if place >= MOST_COLUMNS {
            return Judged::Out(format!("only the first {MOST_COLUMNS} columns are looked at"));
        }
        match self.hints.quantities.get(&name).map(String::as_str) {
            Some("-") => return Judged::Out("you said so".to_owned()),
            _ if self.hints.units.get(&name).is_some_and(|told| told == "-") => {
                return Judged::Out("you said so".to_owned());
            }
            Some(told) => {
                if let Some((quantity, told)) = quantity_told(told) {
                    return Judged::Measures(quantity, told.or(stat), "you said so");
                }
            }
            None => {}
        }
        let says_power = heading.told.as_ref().is_some_and(|told| units::is_power(told.unit));
        let meaning = words::meaning(&heading.words, says_power);
        if seen.dates * 2 > seen.full || seen.clocks * 2 > seen.full {
            return Judged::Out(format!("another time; that of {} is taken", self.time_name()));
        }
        if self.is_time_part(place) {
            return Judged::Out(format!("a part of the time, which {} says whole", self.time_name()));
        }
        if words::names_counter(&heading.words) || (meaning == Meaning::Unknown && seen.counts_rows()) {
            return Judged::Out("it counts the rows".to_owned());
        }
        if let Meaning::LeftOut(why) = meaning {
            return Judged::Out(why.to_owned());
        }
        if !seen.is_numeric() {
            let example = seen.each.keys().next().map(|text| format!(" such as {text:?}")).unwrap_or_default();
            return Judged::Out(format!("words{example}, not numbers"));
        }
        if heading.told.as_ref().is_some_and(|told| told.unit == "PAR") {
            return Judged::Out("light counted in photons is not kept".to_owned());
        }
        let Meaning::Measures(quantity) = meaning else {
            if seen.is_constant() && seen.full >= 3 {
                return Judged::Out(format!("it is {} in every row", seen.low));
            }
            return Judged::Unknown;
        };
        if let Some(why) = self.no_measurement(place, quantity) {
            return Judged::Out(why);
        }
        if stat == Some(Stat::Sum) && !matches!(quantity, Quantity::Rain | Quantity::Light) {
            return Judged::Out(format!("a sum of {} says nothing that is kept", quantity.name()));
        }
        if quantity == Quantity::Illuminance
            && heading.told.is_none()
            && !words::any(&heading.words, &["lux", "illum*", "iluminan*"])
        {
            if seen.quantile(0.99).is_some_and(|most| most > 1600.0) {
                return Judged::Measures(quantity, stat, "its name, and numbers too high for radiation");
            }
            let mut question = self.ask_quantity(place, by_values::range(seen));
            question.choices = vec!["light".to_owned(), "illuminance".to_owned(), "-".to_owned()];
            return Judged::Ask(question);
        }
        if self.way.is_date_alone() && stat.is_none() && quantity != Quantity::Rain && !self.is_summary() {
            let mut question =
                self.ask_quantity(place, "there is one row a day, and nothing says of what in the day".to_owned());
            question.choices = ["mean", "min", "max"].map(|stat| format!("{} {stat}", quantity.name())).to_vec();
            question.choices.push("-".to_owned());
            return Judged::Ask(question);
        }
        Judged::Measures(quantity, stat, "its name")
    }

    /// Whether one row a day holds figures of the day: one of them says which.
    fn is_summary(&self) -> bool {
        self.headings.iter().any(|heading| words::stat(&heading.words).is_some_and(|stat| stat != Stat::Sum))
    }

    fn time_name(&self) -> String {
        let names: Vec<String> =
            self.way.columns().into_iter().map(|place| format!("{:?}", self.name(place))).collect();
        names.join(", ")
    }

    fn is_time_part(&self, place: usize) -> bool {
        let (heading, seen) = (&self.headings[place], &self.survey.columns[place]);
        let most = match words::time_word(&heading.words) {
            Some(TimeWord::Year) => 2200.0,
            Some(TimeWord::Month) => 12.0,
            Some(TimeWord::Day) => 31.0,
            Some(TimeWord::Hour) => 24.0,
            Some(TimeWord::Minute) => 59.0,
            Some(TimeWord::Clock) => 2400.0,
            Some(TimeWord::Any) => f64::INFINITY,
            None => return false,
        };
        seen.whole == seen.numbers && seen.low >= 0.0 && seen.high <= most
    }

    /// Why numbers of a column that is named like a quantity are none of it.
    fn no_measurement(&self, place: usize, quantity: Quantity) -> Option<String> {
        let seen = &self.survey.columns[place];
        let is_sign = seen.numbers >= 24 && seen.whole == seen.numbers && seen.low == 0.0 && seen.high == 1.0;
        let two_only = is_sign
            || (seen.numbers >= 24
                && seen.low == 0.0
                && seen.high == 1.0
                && seen.share(|v| v != 0.0 && v != 1.0) == 0.0);
        match quantity {
            Quantity::Rain if two_only => Some("only 0 and 1: it says whether it rains, not how much".to_owned()),
            Quantity::Rain | Quantity::Light if seen.accumulates() => Some(format!(
                "it runs up ({} times) and begins anew {} times: a running total, not what fell in each interval",
                grouped(seen.rises),
                grouped(seen.resets)
            )),
            _ => None,
        }
    }

    fn ask_quantity(&self, place: usize, evidence: String) -> Question {
        let name = self.name(place);
        let mut choices: Vec<String> = Quantity::ALL.iter().map(|quantity| quantity.name().to_owned()).collect();
        choices.push("-".to_owned());
        Question {
            key: format!("quantity:{name}"),
            asks: format!("What does column {name:?} measure (\"-\": leave it out)?"),
            choices,
            evidence,
        }
    }

    /// The unit of a column: in the header, said, or the only one that its numbers can mean.
    fn unit(&self, place: usize, quantity: Quantity) -> UnitFound {
        let (heading, seen) = (&self.headings[place], &self.survey.columns[place]);
        let name = self.name(place);
        let hinted = self.hints.units.get(&name).map(|told| units::named(told).unwrap_or(told.as_str()).to_owned());
        let as_ratio = quantity == Quantity::AirHumidity && seen.high <= 1.0;
        if let Some(told) = heading.told.as_ref().filter(|_| !as_ratio) {
            return match units::wire(quantity, told.unit, self.step_s) {
                Ok(unit) => UnitFound::Known(unit, format!("\"{}\" stands in the header", told.written)),
                Err(why) => UnitFound::No(why),
            };
        }
        if let Some(told) = hinted {
            return match units::wire(quantity, &told, self.step_s) {
                Ok(unit) => UnitFound::Known(unit, "you said so".to_owned()),
                Err(why) => UnitFound::No(why),
            };
        }
        let is_temperature = quantity.accepts_unit("Cel");
        if let Some((unit, why)) = self.witnessed.get(&place).filter(|_| is_temperature) {
            return UnitFound::Known(unit, why.clone());
        }
        if let Some(unit) = self.titled.filter(|_| is_temperature) {
            let why = format!("the lines above the header name {} and no other unit of temperature", spoken(unit));
            return UnitFound::Known(unit, why);
        }
        let choices = match by_values::unit(quantity, seen, self.days, self.step_s) {
            ByValues::Only(unit, why) => return UnitFound::Known(unit, why),
            ByValues::None(why) => return UnitFound::No(why),
            ByValues::Several(units) => units,
        };
        let evidence = if as_ratio {
            format!("its numbers lie between {} and {}: a ratio from 0 to 1 is not per cent", seen.low, seen.high)
        } else {
            format!("{}; {}", by_values::range(seen), by_values::highest_in(quantity, seen, &choices))
        };
        let mut choices: Vec<String> = choices.into_iter().map(str::to_owned).collect();
        if choices.len() < 2 {
            choices.push("-".to_owned());
        }
        UnitFound::Ask(Question {
            key: format!("unit:{name}"),
            asks: format!("In which unit is column {name:?} ({}) written?", quantity.name()),
            choices,
            evidence,
        })
    }

    /// Temperatures whose unit another column of the same file tells: its minimum or maximum, or one in which it would lie near.
    fn by_sisters(&self, found: &mut [Found]) {
        let known: Vec<(usize, &'static str)> = found
            .iter()
            .filter(|column| column.quantity.accepts_unit("Cel"))
            .filter_map(|column| column.unit.as_ref().map(|(unit, _)| (column.place, *unit)))
            .collect();
        for column in found.iter_mut().filter(|column| column.unit.is_none() && column.quantity.accepts_unit("Cel")) {
            let sister = known.iter().find_map(|(place, unit)| {
                let other = self.name(*place);
                if self.is_pair(column.place, *place) {
                    return Some((*unit, format!("{other:?}, the other end of the same days, is in {}", spoken(unit))));
                }
                self.is_near(column.place, *place, unit).then(|| {
                    let why = format!(
                        "{other:?} is in {}, and so the two lie near each other; in the other unit they would not",
                        spoken(unit)
                    );
                    (*unit, why)
                })
            });
            if let Some(unit) = sister {
                (column.unit, column.ask) = (Some(unit), None);
            }
        }
    }

    /// Whether two columns are the minimum and the maximum of one thing.
    fn is_pair(&self, one: usize, other: usize) -> bool {
        let stem = |place: usize| -> Vec<String> {
            let keep = |word: &&String| words::stat(std::slice::from_ref(*word)).is_none();
            self.headings[place].words.iter().filter(keep).cloned().collect()
        };
        let stats = [one, other].map(|place| words::stat(&self.headings[place].words));
        stats[0].is_some() && stats[1].is_some() && stats[0] != stats[1] && stem(one) == stem(other)
    }

    fn is_near(&self, open: usize, known: usize, unit: &str) -> bool {
        let middle = |place: usize, unit: &str| {
            self.survey.columns[place].middle().and_then(|middle| Quantity::AirTemperature.to_base(middle, unit))
        };
        let other = if unit == "Cel" { "degF" } else { "Cel" };
        match (middle(known, unit), middle(open, unit), middle(open, other)) {
            (Some(known), Some(so), Some(otherwise)) => (known - so).abs() <= 8.0 && (known - otherwise).abs() >= 15.0,
            _ => false,
        }
    }

    /// Makes fields of the columns found: channel, interval and stamp.
    fn assemble(&self, found: Vec<Found>, decided: &mut Fields) {
        let mut intervals: Vec<String> = Vec::new();
        let mut kept: Vec<(Found, SeriesKind, Option<u32>)> = Vec::new();
        for column in found {
            match self.interval(&column) {
                Ok((kind, span_s)) => {
                    if kind != SeriesKind::Instant {
                        intervals.push(self.name(column.place));
                    }
                    kept.push((column, kind, span_s));
                }
                Err(why) => decided.left_out.push((self.name(column.place), why)),
            }
        }
        while kept.len() > MAX_FIELDS {
            if let Some((column, _, _)) = kept.pop() {
                decided.left_out.push((self.name(column.place), format!("a mapping has at most {MAX_FIELDS} fields")));
            }
        }
        let stamp = self.stamp(&intervals, decided);
        let mut many: BTreeMap<(Quantity, SeriesKind), (u32, u32)> = BTreeMap::new();
        for (column, kind, _) in &kept {
            many.entry((column.quantity, *kind)).or_default().0 += 1;
        }
        for (column, kind, span_s) in kept {
            let name = self.name(column.place);
            let Some((all, so_far)) = many.get_mut(&(column.quantity, kind)) else { continue };
            *so_far += 1;
            let channel = (*all > 1).then(|| format!("{}-{so_far}", column.quantity.name()));
            if let Some(question) = column.ask {
                decided.questions.push(question);
                continue;
            }
            let Some((unit, why)) = column.unit else { continue };
            let is_interval = kind != SeriesKind::Instant;
            let mut what = format!("{}, {}", channel.as_deref().unwrap_or(column.quantity.name()), spoken(unit));
            if let Some(span_s) = span_s {
                what.push_str(&format!(", {} of {}", kind.word(), length(i64::from(span_s))));
            }
            let mut why = format!("{}; {why}", column.by);
            if self.way.is_date_alone() && column.stat.is_none() && kind == SeriesKind::Mean {
                why.push_str("; one row a day beside lowest and highest values: the mean of the day");
            }
            decided.because.push(Because { key: format!("field {name}"), what, why });
            let field = MappingField {
                channel,
                kind: is_interval.then_some(kind),
                span_s,
                stamp: is_interval.then_some(stamp),
                ..MappingField::of_column(self.headings[column.place].column.clone(), column.quantity, unit)
            };
            decided.fields.push(field);
        }
    }

    /// What a column's numbers say of their interval.
    fn interval(&self, column: &Found) -> Result<(SeriesKind, Option<u32>), String> {
        let is_hourly_energy = match (&column.unit, &column.ask) {
            (Some((unit, _)), _) => units::is_power(unit) && *unit != "W/m2",
            (None, Some(ask)) => {
                column.quantity == Quantity::Light && ask.choices.first().is_some_and(|unit| unit != "W/m2")
            }
            _ => false,
        };
        let kind = match (column.quantity, column.stat) {
            (Quantity::Rain, _) => SeriesKind::Sum,
            (Quantity::Light, Some(Stat::Sum)) if !is_hourly_energy => {
                return Err("a sum of radiation is read in MJ/m2, J/cm2 or langleys in the hour only".to_owned());
            }
            (_, Some(Stat::Min)) => SeriesKind::Min,
            (_, Some(Stat::Max)) => SeriesKind::Max,
            (_, Some(Stat::Mean)) => SeriesKind::Mean,
            _ if is_hourly_energy || self.way.is_date_alone() => SeriesKind::Mean,
            _ => return Ok((SeriesKind::Instant, None)),
        };
        let span_s = if self.way.is_date_alone() { Some(86_400) } else { self.step_s };
        match span_s.and_then(|span_s| u32::try_from(span_s).ok()) {
            Some(span_s @ 1..=86_400) => Ok((kind, Some(span_s))),
            Some(_) => Err("each number stands for more than a day; at most a day is kept".to_owned()),
            None => Err(format!("it is a {} over an interval, and the rows do not tell how long one is", kind.word())),
        }
    }

    /// Which end of their interval the times name.
    fn stamp(&self, intervals: &[String], decided: &mut Fields) -> Stamp {
        let because = |stamp: Stamp, why: &str| Because {
            key: "stamp".to_owned(),
            what: stamp.word().to_owned(),
            why: why.to_owned(),
        };
        if intervals.is_empty() {
            return Stamp::End;
        }
        if self.way.is_date_alone() {
            decided.because.push(because(Stamp::Start, "a date alone names the day that begins with it"));
            return self.hints.stamp.unwrap_or(Stamp::Start);
        }
        let time: Vec<String> =
            self.way.columns().into_iter().flat_map(|place| self.headings[place].words.iter().cloned()).collect();
        let said = if words::any(&time, &["ending", "end", "until", "bis", "ende", "fin", "fine", "einde"]) {
            Some(Stamp::End)
        } else if words::any(
            &time,
            &["beginning", "begin", "start", "from", "von", "beginn", "debut", "inizio", "inicio"],
        ) {
            Some(Stamp::Start)
        } else {
            None
        };
        if let Some(stamp) = said {
            decided.because.push(because(stamp, "the header of the time says so"));
            return stamp;
        }
        if let Some(stamp) = self.hints.stamp {
            decided.because.push(because(stamp, "you said so"));
            return stamp;
        }
        let step = self.step_s.map(length).unwrap_or_default();
        decided.questions.push(Question {
            key: "stamp".to_owned(),
            asks: format!(
                "Does the time of a row name the start or the end of the {step} for which {} stands?",
                intervals.join(", ")
            ),
            choices: vec!["end".to_owned(), "start".to_owned()],
            evidence: "neither the header nor the numbers say it; most stations write the end".to_owned(),
        });
        Stamp::End
    }

    /// What was said of columns that the file does not have, or that say otherwise themselves.
    fn hinted_in_vain(&self, _decided: &Fields) -> Vec<Caution> {
        let names: Vec<String> = (0..self.headings.len()).map(|place| self.name(place)).collect();
        let mut cautions = Vec::new();
        for column in self.hints.units.keys().chain(self.hints.quantities.keys()) {
            if !names.contains(column) {
                cautions.push(Caution {
                    says: format!("there is no column {column:?}; what was said of it is not used"),
                    times: 1,
                    first_line: 0,
                });
            }
        }
        for (column, told) in &self.hints.quantities {
            if told != "-" && quantity_told(told).is_none() {
                cautions.push(Caution {
                    says: format!("{told:?}, said of column {column:?}, is no quantity; it is not used"),
                    times: 1,
                    first_line: 0,
                });
            }
        }
        for (place, heading) in self.headings.iter().enumerate() {
            let (Some(hint), Some(told)) = (self.hints.units.get(&names[place]), &heading.told) else { continue };
            if units::named(hint).unwrap_or(hint.as_str()) != told.unit {
                let says = format!(
                    "{hint:?} was said of column {:?}, whose header says {:?}: the header counts",
                    names[place], told.written
                );
                cautions.push(Caution { says, times: 1, first_line: 0 });
            }
        }
        cautions
    }
}

/// A quantity that a person named, perhaps with what it says of its interval: `air-temperature`, `air-temperature min`.
fn quantity_told(told: &str) -> Option<(Quantity, Option<Stat>)> {
    let (name, stat) = match told.trim().split_once(' ') {
        Some((name, stat)) => (name, Some(stat.trim())),
        None => (told.trim(), None),
    };
    let stat = match stat {
        None => None,
        Some("min") => Some(Stat::Min),
        Some("max") => Some(Stat::Max),
        Some("mean") => Some(Stat::Mean),
        Some("sum") => Some(Stat::Sum),
        Some(_) => return None,
    };
    Quantity::from_name(name).map(|quantity| (quantity, stat))
}
