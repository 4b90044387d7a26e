//! Which column is what: quantity, unit, interval and channel of each, what is left out and why, and what has to be asked.

use std::collections::BTreeMap;

use propstick_wire::Quantity;

use super::by_values;
use super::columns::{Judged, UnitFound, quantity_told};
use super::context::spoken as length;
use super::survey::Survey;
use super::times::{Heading, Way};
use super::units::{self, spoken};
use super::words::{self, Stat};
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

impl Facts<'_> {
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
            let (stamp, why) = match self.hints.stamp {
                Some(told) => (told, "you said so"),
                None => (Stamp::Start, "a date alone names the day that begins with it"),
            };
            decided.because.push(because(stamp, why));
            return stamp;
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
                "Does the time of a row name the start or the end of the {step} that it stands for ({})?",
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
