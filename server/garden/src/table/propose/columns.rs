//! What one column is: its quantity and its unit, why it is left out, or what has to be asked.

use crate::wording::grouped;
use propstick_wire::Quantity;

use super::Question;
use super::by_values::{self, ByValues};
use super::fields::Facts;
use super::meaning::{Meaning, meaning};
use super::survey::MOST_COLUMNS;
use super::units::{self, spoken};
use super::words::{self, Stat, TimeWord};

pub(super) enum Judged {
    Measures(Quantity, Option<Stat>, &'static str),
    Ask(Question),
    Out(String),
    Unknown,
}

pub(super) enum UnitFound {
    Known(&'static str, String),
    Ask(Question),
    No(String),
}

impl Facts<'_> {
    pub(super) fn name(&self, place: usize) -> String {
        self.headings.get(place).map_or_else(|| (place + 1).to_string(), |heading| heading.column.to_string())
    }

    /// What a column is, by what a person said, its name and its numbers.
    pub(super) fn judge(&self, place: usize) -> Judged {
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
                return match quantity_told(told) {
                    Some((quantity, told)) => Judged::Measures(quantity, told.or(stat), "you said so"),
                    None => {
                        let known: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.name()).collect();
                        Judged::Out(format!("{told:?} is no quantity; there are: {}", known.join(", ")))
                    }
                };
            }
            None => {}
        }
        let says_power = heading.told.as_ref().is_some_and(|told| units::is_power(told.unit));
        let meaning = meaning(&heading.words, says_power);
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

    pub(super) fn ask_quantity(&self, place: usize, evidence: String) -> Question {
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
    pub(super) fn unit(&self, place: usize, quantity: Quantity) -> UnitFound {
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
}

/// A quantity that a person named, perhaps with what it says of its interval: `air-temperature`, `air-temperature min`.
pub(super) fn quantity_told(told: &str) -> Option<(Quantity, Option<Stat>)> {
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
