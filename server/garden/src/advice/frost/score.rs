//! How often the outlook was right, counted from the first night.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::{FrostAnswer, NightPast};

/// What was said of one night, gathered while it was said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct NightCalls {
    /// When it was first warned of, if it was.
    pub warned_at: Option<Millis>,
    /// The low at the gauge as it was expected last before three hours after sunset.
    pub forecast: Option<ForecastLow>,
}

/// A low at the gauge as it was expected, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForecastLow {
    /// Both ends.
    pub ends_c: (f64, f64),
    /// The likeliest.
    pub likely_c: f64,
}

/// Until so long after sunset the range may still be corrected before it is held against the low, h.
const FORECAST_UNTIL_H: i64 = 3;

impl NightCalls {
    /// Takes in what was answered at `now` for a night that began or begins at `sunset`.
    pub fn hear(&mut self, now: Millis, sunset: Millis, answer: &FrostAnswer) {
        let FrostAnswer::Outlook(outlook) = answer else { return };
        if outlook.is_warning() {
            self.warned_at = Some(self.warned_at.map_or(now, |first| first.min(now)));
        }
        if now < sunset.plus(FORECAST_UNTIL_H * HOUR) || self.forecast.is_none() {
            self.forecast = Some(ForecastLow { ends_c: outlook.gauge_c, likely_c: outlook.likely_c });
        }
    }
}

/// What became of a night's call.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FrostCall {
    /// Frost, and warned of two hours ahead or more.
    Hit,
    /// Frost, and not warned of, or too late.
    Miss,
    /// Warned of, and no frost.
    FalseAlarm,
    /// No frost and no warning.
    Quiet,
}

impl FrostCall {
    /// All of them.
    pub const ALL: [FrostCall; 4] = [FrostCall::Hit, FrostCall::Miss, FrostCall::FalseAlarm, FrostCall::Quiet];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            FrostCall::Hit => "hit",
            FrostCall::Miss => "miss",
            FrostCall::FalseAlarm => "false_alarm",
            FrostCall::Quiet => "quiet",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<FrostCall> {
        FrostCall::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// A warning counts only if it comes so long before the frost.
pub(super) const AHEAD: i64 = 2 * HOUR;

/// One night's score, as it is stored.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrostScore {
    /// The advice it is the score of.
    pub advice: i64,
    /// The night's low at the gauge, °C.
    pub measured_c: f64,
    /// The low that was expected there; none where nothing could be said.
    pub forecast: Option<ForecastLow>,
    /// The low of the night before: what one would have guessed without any of this, °C.
    pub baseline_c: Option<f64>,
    /// What became of the call.
    pub call: FrostCall,
    /// When it was scored.
    pub scored_at: Millis,
}

impl FrostScore {
    /// The score of a night that is over.
    ///
    /// **Errors**: `None` where the night's low is not known: what was not measured is not scored.
    pub fn of(
        advice: i64,
        calls: &NightCalls,
        night: &NightPast,
        before: Option<&NightPast>,
        at: Millis,
    ) -> Option<FrostScore> {
        let call = match (night.frost_from, calls.warned_at) {
            (Some(frost), Some(warned)) if frost.since(warned) >= AHEAD => FrostCall::Hit,
            (Some(_), _) => FrostCall::Miss,
            (None, Some(_)) => FrostCall::FalseAlarm,
            (None, None) => FrostCall::Quiet,
        };
        Some(FrostScore {
            advice,
            measured_c: night.low_c?,
            forecast: calls.forecast,
            baseline_c: before.and_then(|night| night.low_c),
            call,
            scored_at: at,
        })
    }

    /// How far off the expected low was, °C.
    pub fn off_c(&self) -> Option<f64> {
        self.forecast.map(|low| (low.likely_c - self.measured_c).abs())
    }

    /// How far off the low of the night before was, °C.
    pub fn baseline_off_c(&self) -> Option<f64> {
        self.baseline_c.map(|low_c| (low_c - self.measured_c).abs())
    }
}

/// The scores of many nights, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrostTally {
    /// Nights scored.
    pub nights: usize,
    /// Frosts warned of in time.
    pub hits: usize,
    /// Frosts not warned of, or too late.
    pub misses: usize,
    /// Warnings without frost.
    pub false_alarms: usize,
    /// Nights whose low lay in the expected range.
    pub within: usize,
    /// Nights with an expected range.
    pub expected: usize,
    /// Nights with an expected range and a low of the night before.
    pub compared: usize,
    off_sum_c: f64,
    baseline_sum_c: f64,
}

impl FrostTally {
    /// Counts one score in.
    pub fn count(&mut self, score: &FrostScore) {
        self.nights += 1;
        match score.call {
            FrostCall::Hit => self.hits += 1,
            FrostCall::Miss => self.misses += 1,
            FrostCall::FalseAlarm => self.false_alarms += 1,
            FrostCall::Quiet => {}
        }
        if let Some((lower, upper)) = score.forecast.map(|low| low.ends_c) {
            self.expected += 1;
            self.within += usize::from((lower..=upper).contains(&score.measured_c));
        }
        if let (Some(off_c), Some(baseline_c)) = (score.off_c(), score.baseline_off_c()) {
            self.compared += 1;
            self.off_sum_c += off_c;
            self.baseline_sum_c += baseline_c;
        }
    }

    /// Nights with frost.
    pub const fn frosts(&self) -> usize {
        self.hits + self.misses
    }

    /// Nights warned of, late warnings left out.
    pub const fn warned(&self) -> usize {
        self.hits + self.false_alarms
    }

    /// Mean distance of the expected low from the measured one, and of the night before's low from it, °C, over the same nights.
    pub fn mean_off_c(&self) -> Option<(f64, f64)> {
        let nights = self.compared as f64;
        (self.compared > 0).then(|| (self.off_sum_c / nights, self.baseline_sum_c / nights))
    }
}

impl<'a> FromIterator<&'a FrostScore> for FrostTally {
    fn from_iter<T: IntoIterator<Item = &'a FrostScore>>(scores: T) -> FrostTally {
        let mut tally = FrostTally::default();
        scores.into_iter().for_each(|score| tally.count(score));
        tally
    }
}
