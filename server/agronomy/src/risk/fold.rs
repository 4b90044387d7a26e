//! Scores of noon-days from hours: how far leaves got towards an infection in each night, and what the last days make together.

use super::constants as c;
use super::groups::CropGroup;
use crate::coverage::HOUR_MS;
use crate::disease::infection::InfectionEvents;
use crate::disease::rows::{COUNT, Disease, InfectionRow, ROWS};
use crate::runs::Runs;
use crate::wetness::hours::{Leaf, WetHour};

/// Hours of a noon-day.
const DAY_H: i64 = 24;
/// Milliseconds of a noon-day.
pub const NOON_DAY_MS: i64 = DAY_H * HOUR_MS;

/// One disease over one noon-day.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct DiseaseDay {
    /// Progress of all its events together, in infections, in each run.
    pub progress: Runs<f64>,
    /// Severity of the night, 0 to 1: 0.5 is one infection just complete. None without a score.
    pub severity: Option<Runs<f64>>,
    /// Risk after it, 0 to 1; held as read where there is no score, and widened.
    pub risk: Runs<f64>,
}

impl DiseaseDay {
    /// Whether the night, as read, was good enough for the disease to get in that spots are worth looking for later: severity of 0.5 and more
    /// (wetness sheet 3.1 step 10). See [`crate::disease::latent::latent_window`].
    pub fn opens_window(&self) -> bool {
        self.severity.is_some_and(|s| s.read >= c::WINDOW_FROM.value)
    }
}

/// One noon-day at one spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RiskDay {
    /// Its first instant, 12:00 standard time, ms.
    pub from_ms: i64,
    /// Whether all its hours have been given.
    pub is_final: bool,
    /// Hours measured in it, 0 to 24.
    pub measured_h: f64,
    /// Whether that is enough for a score.
    pub scored: bool,
    /// Wet hours, in each run: unknown ones dry in the low run and as read, wet in the high run.
    pub wet_h: Runs<u32>,
    /// Days without a score up to and with this one.
    pub missing_d: u32,
    /// Days with a score since the risk was last unknown, this one with them.
    pub scored_d: u32,
    /// Every disease, in the order of [`Disease::ALL`].
    pub diseases: [DiseaseDay; COUNT],
}

/// A crop group over one noon-day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupDay {
    /// Its risk: in each run that of its worst disease.
    pub risk: Runs<f64>,
    /// The worst disease as read.
    pub by: Disease,
    /// Severity of the night for the disease that had the worst one as read; none without a score.
    pub severity: Option<Runs<f64>>,
}

impl RiskDay {
    /// A disease of it.
    pub const fn disease(&self, disease: Disease) -> &DiseaseDay {
        &self.diseases[disease as usize]
    }

    /// A crop group of it: the maximum over its diseases, never a sum (wetness sheet 3.1 step 8). None for a group that has flags only.
    pub fn group(&self, group: CropGroup) -> Option<GroupDay> {
        let (first, others) = group.diseases().split_first()?;
        let of = |d: Disease| GroupDay { risk: self.disease(d).risk, by: d, severity: self.disease(d).severity };
        Some(others.iter().map(|d| of(*d)).fold(of(*first), |worst, other| GroupDay {
            risk: worst.risk.with(other.risk, f64::max),
            by: if other.risk.read > worst.risk.read { other.by } else { worst.by },
            severity: match (worst.severity, other.severity) {
                (Some(a), Some(b)) => Some(if b.read > a.read { b } else { a }),
                (a, b) => a.or(b),
            },
        }))
    }
}

/// Risk of all diseases at one spot, hour by hour. Plain values: keep it at any hour, and a late reading restarts from there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct RiskFold {
    /// First instant of the noon-day that goes on, ms.
    pub day_from_ms: i64,
    /// Hours of it that have been given.
    pub hours: u32,
    /// Milliseconds measured in it.
    pub measured_ms: i64,
    /// Wet hours in it.
    pub wet_h: Runs<u32>,
    /// Days without a score up to the last one.
    pub missing_d: u32,
    /// Days with a score since the risk was last unknown.
    pub scored_d: u32,
    /// Every disease's events of the day, in each run.
    pub events: [Runs<InfectionEvents>; COUNT],
    /// Every disease's risk after the day before.
    pub risk: [Runs<f64>; COUNT],
}

impl RiskFold {
    /// Begins with the noon-day that begins at `noon_ms`: 12:00 standard time somewhere, in ms since 1970 UTC. All further days follow in steps of 24 h.
    pub fn starting(noon_ms: i64) -> RiskFold {
        RiskFold {
            day_from_ms: noon_ms,
            hours: 0,
            measured_ms: 0,
            wet_h: Runs::all(0),
            missing_d: 0,
            scored_d: 0,
            events: [Runs::all(InfectionEvents::default()); COUNT],
            risk: [Runs::all(0.0); COUNT],
        }
    }

    /// Takes the next hour and gives out each noon-day that it closes.
    ///
    /// **Rules** (wetness sheet 3.1): a wet hour adds [`InfectionRow::hourly_progress`] at its mean temperature; more than four dry hours split an event, and so does
    /// noon; frozen hours do neither. Severity `S = J/(1+J)`, `J` the sum of the squares of the events. Risk `R = L R + (1 - L) S`, `L = exp(-1/4)`.
    /// Less than 18 h measured: no score; as read R is held, in the low run it falls as after a dry day, in the high run it rises as after the worst.
    /// An unknown hour is dry in the low run and as read, in the high run wet, at the best temperature where its own is not known.
    /// **Shape**: hours ascend, on whole hours from the first noon on; those that are left out are unknown; one given again or earlier is passed over. At most
    /// 400 days may be skipped at once, what is beyond begins anew. Allocates nothing.
    ///
    /// ```
    /// use propstick_agronomy::disease::rows::Disease;
    /// use propstick_agronomy::risk::fold::RiskFold;
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::hours::WetHour;
    /// let h = 3_600_000;
    /// let (mut fold, mut days) = (RiskFold::starting(0), Vec::new());
    /// // Four wet hours at 15 °C are one infection of lettuce: severity 0.5.
    /// for k in 0..25 {
    ///     let wet_ms = Runs::all(if k < 4 { h } else { 0 });
    ///     let hour = WetHour { covered_ms: h, wet_ms, t_c: Some(15.0), ..WetHour::unknown(k * h) };
    ///     fold.push(&hour, |day| days.push(*day));
    /// }
    /// assert_eq!(days[0].disease(Disease::LettuceDownyMildew).severity, Some(Runs::all(0.5)));
    /// ```
    pub fn push(&mut self, hour: &WetHour, mut closed: impl FnMut(&RiskDay)) {
        let due_ms = self.day_from_ms + i64::from(self.hours) * HOUR_MS;
        if hour.from_ms < due_ms {
            return;
        }
        if hour.from_ms - due_ms > 400 * NOON_DAY_MS {
            let days = (hour.from_ms - self.day_from_ms).div_euclid(NOON_DAY_MS);
            *self = RiskFold::starting(self.day_from_ms + days * NOON_DAY_MS);
        }
        while self.day_from_ms + i64::from(self.hours) * HOUR_MS < hour.from_ms {
            let unknown = WetHour::unknown(self.day_from_ms + i64::from(self.hours) * HOUR_MS);
            self.gather(&unknown, &mut closed);
        }
        self.gather(hour, &mut closed);
    }

    /// The noon-day that goes on, as far as it has come: scored once 18 h of it are measured. Until then it is not missing either: risk, and how many days are
    /// missing and scored, are those of the day before.
    pub fn so_far(&self) -> RiskDay {
        self.scored_day(i64::from(self.hours) >= DAY_H)
    }

    fn gather(&mut self, hour: &WetHour, closed: &mut impl FnMut(&RiskDay)) {
        self.hours += 1;
        self.measured_ms += hour.covered_ms.clamp(0, HOUR_MS);
        let leaf = hour.leaf();
        let wet = Runs { low: leaf.low == Leaf::Wet, read: leaf.read == Leaf::Wet, high: is_wet_or_unknown(leaf.high) };
        self.wet_h = self.wet_h.with(wet, |n, wet| n + u32::from(wet));
        let month = if wet.high { month_of(self.day_from_ms) } else { 1 };
        for (row, events) in ROWS.iter().zip(self.events.iter_mut()) {
            // The common hour is dry in all runs: nothing to work out.
            let progress = if wet.high && row.months.contains(&month) { progress_of(row, hour.t_c) } else { 0.0 };
            step(&mut events.low, leaf.low == Leaf::Wet, leaf.low == Leaf::Frozen, progress);
            step(&mut events.read, leaf.read == Leaf::Wet, leaf.read == Leaf::Frozen, progress);
            step(&mut events.high, wet.high, leaf.high == Leaf::Frozen, progress);
        }
        if i64::from(self.hours) == DAY_H {
            let day = self.scored_day(true);
            closed(&day);
            *self = RiskFold {
                missing_d: day.missing_d,
                scored_d: day.scored_d,
                risk: day.diseases.map(|d| d.risk),
                ..RiskFold::starting(self.day_from_ms + NOON_DAY_MS)
            };
        }
    }

    fn scored_day(&self, is_final: bool) -> RiskDay {
        let measured_h = self.measured_ms as f64 / HOUR_MS as f64;
        let scored = measured_h >= c::LEAST_MEASURED_H.value;
        if !scored && !is_final {
            let mut diseases = [DiseaseDay::default(); COUNT];
            for (day, (events, before)) in diseases.iter_mut().zip(self.events.iter().zip(&self.risk)) {
                *day = DiseaseDay { progress: events.map(|e| e.total), severity: None, risk: *before };
            }
            let (from_ms, wet_h) = (self.day_from_ms, self.wet_h);
            let (missing_d, scored_d) = (self.missing_d, self.scored_d);
            return RiskDay { from_ms, is_final, measured_h, scored, wet_h, missing_d, scored_d, diseases };
        }
        let missing_d = if scored { 0 } else { self.missing_d.saturating_add(1) };
        let known = f64::from(missing_d) < c::UNKNOWN_AFTER_D.value;
        let scored_d = if known { self.scored_d.saturating_add(u32::from(scored)) } else { 0 };
        let memory = c::MEMORY.value;
        let mut diseases = [DiseaseDay::default(); COUNT];
        for (day, (events, before)) in diseases.iter_mut().zip(self.events.iter().zip(&self.risk)) {
            day.progress = events.map(|e| e.total);
            day.severity = scored.then(|| events.map(|e| severity(e.sum_of_squares())));
            day.risk = match day.severity {
                Some(severity) => before.with(severity, |r, s| memory * r + (1.0 - memory) * s),
                None => Runs { low: memory * before.low, read: before.read, high: memory * before.high + 1.0 - memory },
            };
        }
        let (from_ms, wet_h) = (self.day_from_ms, self.wet_h);
        RiskDay { from_ms, is_final, measured_h, scored, wet_h, missing_d, scored_d, diseases }
    }
}

/// Severity of a night from the sum of the squares of its events, 0 or more: 0.5 for one infection just complete, 0.8 for two in one. 0 for anything else.
///
/// ```
/// use propstick_agronomy::risk::fold::severity;
/// // Wetness sheet 3.1 step 5: I = 1, 0.5 and 2.
/// assert_eq!([1.0, 0.25, 4.0].map(severity), [0.5, 0.2, 0.8]);
/// ```
pub fn severity(sum_of_squares: f64) -> f64 {
    if sum_of_squares >= 0.0 && sum_of_squares.is_finite() { sum_of_squares / (1.0 + sum_of_squares) } else { 0.0 }
}

fn is_wet_or_unknown(leaf: Leaf) -> bool {
    matches!(leaf, Leaf::Wet | Leaf::Unknown)
}

fn progress_of(row: &InfectionRow, t_c: Option<f64>) -> f64 {
    t_c.map_or(1.0 / row.wet_min_h, |t_c| row.hourly_progress(t_c))
}

fn step(events: &mut InfectionEvents, wet: bool, frozen: bool, progress: f64) {
    if wet {
        events.wet(progress);
    } else if !frozen {
        events.dry();
    }
}

/// Month, 1 to 12, of the civil date of `t_ms`, proleptic Gregorian.
fn month_of(t_ms: i64) -> u8 {
    // Days since 0000-03-01 in cycles of 400 years; five months have 153 days.
    let day = t_ms.div_euclid(NOON_DAY_MS) + 719_468;
    let of_cycle = day.rem_euclid(146_097);
    let year = (of_cycle - of_cycle / 1_460 + of_cycle / 36_524 - of_cycle / 146_096) / 365;
    let of_year = of_cycle - (365 * year + year / 4 - year / 100);
    let month_from_march = (5 * of_year + 2) / 153;
    (if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 }) as u8
}

#[cfg(test)]
#[path = "fold/tests.rs"]
mod tests;
