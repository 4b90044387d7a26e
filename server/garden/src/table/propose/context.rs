//! What rows say beside each other: the clock's changes, rows of another clock in between, rows of several devices, and columns that follow from others.

use std::collections::BTreeMap;

use chrono_tz::Tz;
use propstick_agronomy::psychrometrics::{absolute_humidity_g_m3, dew_point_c, vpd_kpa};

use super::order::FoundOrder;
use super::rivals::Rival;
use super::steps::Steps;
use super::times::Way;
use super::zone::Evidence;
use crate::table::cells::Row;
use crate::table::stamp::DAY_MS;
use crate::table::{Caution, Decimal, number};
use crate::wording::grouped;

/// So many rows are kept for each comparison with a derived column.
const MOST_WITNESSED: usize = 1024;

/// What a derived column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Derived {
    /// The dew point, in the unit of the temperature.
    DewPoint,
    /// Water in the air, g/m3.
    Water,
    /// What the air could take up, g/m3.
    Deficit,
    /// Vapour pressure deficit, kPa.
    Vpd,
}

/// A derived column beside the temperature and humidity that it may follow from: it tells the unit of the temperature.
#[derive(Clone, Debug)]
pub(super) struct Witness {
    pub temperature: usize,
    humidity: usize,
    pub derived: usize,
    what: Derived,
    misses: [Vec<f64>; 2],
    stride: u64,
    rows: u64,
}

impl Witness {
    pub(super) fn new(temperature: usize, humidity: usize, derived: usize, what: Derived) -> Witness {
        Witness { temperature, humidity, derived, what, misses: Default::default(), stride: 1, rows: 0 }
    }

    fn take(&mut self, row: &Row<'_>, decimal: Decimal) {
        let value = |place: usize| number(row.cell(place)?, decimal);
        let (Some(t), Some(rh), Some(told)) = (value(self.temperature), value(self.humidity), value(self.derived))
        else {
            return;
        };
        self.rows += 1;
        if !self.rows.is_multiple_of(self.stride) {
            return;
        }
        let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
        for (place, t_c) in [t, celsius(t)].into_iter().enumerate() {
            let derived = match self.what {
                Derived::DewPoint => dew_point_c(t_c, rh).map(|dew| if place == 0 { dew } else { dew * 1.8 + 32.0 }),
                Derived::Water => absolute_humidity_g_m3(t_c, rh),
                Derived::Deficit => {
                    absolute_humidity_g_m3(t_c, 100.0).zip(absolute_humidity_g_m3(t_c, rh)).map(|(most, is)| most - is)
                }
                Derived::Vpd => vpd_kpa(t_c, rh),
            };
            self.misses[place].push(derived.map_or(f64::INFINITY, |derived| (derived - told).abs()));
        }
        if self.misses[0].len() >= MOST_WITNESSED {
            self.stride *= 2;
            for misses in &mut self.misses {
                let mut place = 0_usize;
                misses.retain(|_| {
                    place += 1;
                    place.is_multiple_of(2)
                });
            }
        }
    }

    /// The unit of the temperature, and by how much the derived column differs in half of the rows; none where it tells nothing.
    pub(super) fn says(&self) -> Option<(&'static str, f64)> {
        let [celsius, fahrenheit] = [0, 1].map(|place| {
            let mut misses = self.misses[place].clone();
            misses.sort_by(f64::total_cmp);
            misses.get(misses.len() / 2).copied()
        });
        let (celsius, fahrenheit) = (celsius?, fahrenheit?);
        let near = match self.what {
            Derived::DewPoint => 0.6,
            Derived::Water | Derived::Deficit => 0.15,
            Derived::Vpd => 0.02,
        };
        if self.misses[0].len() < 20 {
            None
        } else if celsius <= near && fahrenheit > near * 4.0 {
            Some(("Cel", celsius))
        } else if fahrenheit <= near && celsius > near * 4.0 {
            Some(("degF", fahrenheit))
        } else {
            None
        }
    }
}

/// A column whose few different texts may be the names of devices.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub column: usize,
    last: String,
    /// Rows with the time of the row before and another text, and with the same text.
    other: u64,
    same: u64,
    /// Changes of the text, and those at which the time goes back by more than a day.
    changes: u64,
    back: u64,
}

/// Rows that stand between two others a step apart.
#[derive(Clone, Debug, Default)]
struct Between {
    last: Option<(u64, i64)>,
    before: Option<i64>,
    times: u64,
    /// How far behind the step they stand, in seconds: how often, and the first line.
    phases: BTreeMap<i64, (u64, u64)>,
}

/// Gathers all of it, row by row.
#[derive(Clone, Debug)]
pub(super) struct Context {
    way: Way,
    order: FoundOrder,
    usual_s: i64,
    last: Option<i64>,
    /// Rows, those with the time of the row before, and those that go back by more than a day.
    pub rows: u64,
    pub same: u64,
    back: u64,
    pub evidence: Evidence,
    candidates: Vec<Candidate>,
    between: Between,
    pub witnesses: Vec<Witness>,
    pub rivals: Vec<Rival>,
}

impl Context {
    pub(super) fn new(
        way: Way,
        order: FoundOrder,
        steps: &Steps,
        garden: Option<Tz>,
        candidates: Vec<usize>,
        witnesses: Vec<Witness>,
        rivals: Vec<Rival>,
    ) -> Context {
        let candidate =
            |column: usize| Candidate { column, last: String::new(), other: 0, same: 0, changes: 0, back: 0 };
        Context {
            way,
            order,
            usual_s: steps.usual_s().unwrap_or(0),
            last: None,
            rows: 0,
            same: 0,
            back: 0,
            evidence: garden.map(|zone| Evidence::new(zone, steps)).unwrap_or_default(),
            candidates: candidates.into_iter().map(candidate).collect(),
            between: Between::default(),
            witnesses,
            rivals,
        }
    }

    pub(super) fn take(&mut self, line: u64, row: &Row<'_>, decimal: Decimal) {
        for witness in &mut self.witnesses {
            witness.take(row, decimal);
        }
        let Some(ms) = self.ms(row) else { return };
        for rival in &mut self.rivals {
            rival.take(line, row, &self.order, ms);
        }
        self.rows += 1;
        self.evidence.take(line, ms);
        self.between.take(line, ms / 1000, self.usual_s);
        let last = self.last.replace(ms);
        let (is_same, is_back) = (last == Some(ms), last.is_some_and(|last| ms - last < -DAY_MS));
        self.same += u64::from(is_same);
        self.back += u64::from(is_back);
        for candidate in &mut self.candidates {
            let text = row.cell(candidate.column).unwrap_or_default().trim();
            if text == candidate.last {
                candidate.same += u64::from(is_same);
            } else {
                candidate.other += u64::from(is_same);
                candidate.changes += u64::from(last.is_some());
                candidate.back += u64::from(is_back);
                candidate.last.clear();
                candidate.last.push_str(text);
            }
        }
    }

    /// The row's time; where day and month change places, the one that makes the smaller step.
    fn ms(&self, row: &Row<'_>) -> Option<i64> {
        let time = self.way.of_row(row)?;
        let own = time.ms(self.order.order);
        if !self.order.mixed {
            return own;
        }
        let other = self.order.order.swapped().and_then(|order| time.ms(order));
        let size = |ms: i64| self.last.map_or(0, |last| (ms - last).abs());
        match (own, other) {
            (Some(own), Some(other)) if size(other) < size(own) => Some(other),
            (Some(own), _) => Some(own),
            (None, other) => other,
        }
    }

    /// The column whose texts tell rows of one time apart.
    pub(super) fn device(&self) -> Option<(usize, String)> {
        self.candidates.iter().find_map(|candidate| {
            let tells =
                candidate.other * 20 >= self.rows && candidate.other > 0 && candidate.same * 20 <= candidate.other;
            if tells {
                let why = format!(
                    "{} rows have the time of the row before and another name in this column",
                    grouped(candidate.other)
                );
                return Some((candidate.column, why));
            }
            let is_sorted = candidate.changes > 0 && candidate.changes == candidate.back && candidate.back == self.back;
            is_sorted.then(|| {
                let why =
                    format!("each time its name changes ({} times), the time begins anew", grouped(candidate.changes));
                (candidate.column, why)
            })
        })
    }

    /// What a person should look at.
    pub(super) fn cautions(&self, has_device: bool) -> Vec<Caution> {
        let mut cautions = Vec::new();
        if let Some(caution) = self.between.caution(self.usual_s).filter(|_| !has_device) {
            cautions.push(caution);
        }
        cautions
    }
}

impl Between {
    fn take(&mut self, line: u64, s: i64, usual_s: i64) {
        if let (Some((last_line, last)), Some(before)) = (self.last, self.before) {
            let (one, two) = (last - before, s - last);
            let is_whole = one * 10 >= usual_s && two * 10 >= usual_s && (one + two - usual_s).abs() * 100 <= usual_s;
            // Two halves are a shorter step, not another clock.
            let is_between = usual_s >= 60 && is_whole && (one - two).abs() * 50 > usual_s;
            if is_between {
                self.times += 1;
                if self.phases.len() < 32 || self.phases.contains_key(&one) {
                    self.phases.entry(one).or_insert((0, last_line)).0 += 1;
                }
            }
        }
        self.before = self.last.map(|(_, last)| last);
        self.last = Some((line, s));
    }

    fn caution(&self, usual_s: i64) -> Option<Caution> {
        let (phase, (times, first_line)) = self.phases.iter().max_by_key(|(_, (times, _))| *times)?;
        if *times < 20 || times * 2 < self.times {
            return None;
        }
        let says = format!(
            "from line {} on, rows of another clock stand between those {} apart, {} behind them: two loggers, or a logger that \
             wrote twice, in one file. All are kept",
            grouped(*first_line),
            spoken(usual_s),
            spoken(*phase)
        );
        Some(Caution { says, times: *times, first_line: *first_line })
    }
}

/// A length of time as a grower says it.
pub(super) fn spoken(seconds: i64) -> String {
    match (seconds / 60, seconds % 60) {
        (0, s) => format!("{s} s"),
        (min, 0) if min % 1440 == 0 => format!("{} d", min / 1440),
        (min, 0) if min % 60 == 0 => format!("{} h", min / 60),
        (min, 0) => format!("{min} min"),
        (min, s) => format!("{min} min {s} s"),
    }
}
