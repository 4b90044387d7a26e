//! A file whose layout is known: the names of its columns, and the passes over its rows.

use std::collections::BTreeMap;

use propstick_wire::{Millis, Quantity};

use super::context::{Context, Derived, Witness};
use super::fields::Facts;
use super::layout::{self, Head, Layout};
use super::meaning::{Meaning, meaning};
use super::order::{FoundOrder, OrderEvidence};
use super::steps::Steps;
use super::survey::{MOST_TEXTS, Survey, for_each_row};
use super::times::{Heading, Way};
use super::units::{self, Told};
use super::{Hints, words, zone};
use crate::table::cells::MAX_CELLS;
use crate::table::clock::EARLIEST_MS;
use crate::table::stamp::DAY_MS;
use crate::table::{Clock, Column, Encoding, Order, Source, column_name, column_names};

/// Names and units of the columns.
pub(super) fn headings(head: &Head, layout: &Layout) -> Vec<Heading> {
    let names = column_names(head.names.iter().map(String::as_str));
    (0..layout.cells.min(MAX_CELLS))
        .map(|place| {
            let name = names.get(place).cloned().unwrap_or_default();
            let plain = head.names.get(place).map(|cell| column_name(cell)).unwrap_or_default();
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
pub(super) struct File<'a, S: ?Sized> {
    pub source: &'a S,
    pub hints: &'a Hints,
    pub encoding: Encoding,
    pub layout: Layout,
    pub head: Head,
    pub headings: Vec<Heading>,
    pub survey: Survey,
    pub way: Way,
}

impl<S: Source + ?Sized> File<'_, S> {
    pub(super) fn time_name(&self) -> String {
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
    pub(super) fn times(&self, now: Millis) -> Result<(OrderEvidence, [Steps; 3]), S::Error> {
        let (mut evidence, mut steps) = (OrderEvidence::default(), <[Steps; 3]>::default());
        // A day more than now: the clock of the file may be ahead.
        let within = EARLIEST_MS..=now.0.saturating_add(DAY_MS);
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
    pub(super) fn context(&self, order: &FoundOrder, steps: &Steps) -> Result<Context, S::Error> {
        let candidates = (0..self.headings.len()).filter(|place| self.may_name_devices(*place)).collect();
        let garden = self.hints.garden_zone.filter(|_| !self.way.is_date_alone() && !self.has_offsets());
        let (witnesses, rivals) = (self.witnesses(), self.rivals());
        let mut context = Context::new(self.way, order.clone(), steps, garden, candidates, witnesses, rivals);
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
            && meaning(&heading.words, false) == Meaning::Unknown
    }

    /// Derived columns beside the temperature and humidity that they may follow from.
    fn witnesses(&self) -> Vec<Witness> {
        let of = |quantity: Quantity| {
            let is_it = move |(_, heading): &(usize, &Heading)| {
                meaning(&heading.words, false) == Meaning::Measures(quantity) && words::stat(&heading.words).is_none()
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

    pub(super) fn has_offsets(&self) -> bool {
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
    pub(super) fn device(&self, context: &Context) -> Option<(usize, String)> {
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

    pub(super) fn facts<'f>(&'f self, context: &Context, steps: &Steps, device: Option<usize>) -> Facts<'f> {
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
    pub(super) fn clock_named(&self, named: &[Option<Clock>]) -> Option<(Clock, String)> {
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
