//! Hours of leaf wetness: what the machine of [`super::state`] says, gathered hour by hour.
//!
//! **Accuracy**, against a measured wetness sensor in a beet field, 1 May to 23 October, 175 noon-days, hourly air at 2 m
//! (`tests/tests/reference_wetness.rs`): 1.9 h a day mean error with the default, 1.8 h where rain is counted as water on the leaves; 90 % of hours right.
//! Under cover nothing was measured: one to two hours a day is as good as it gets, up to four is normal (wetness sheet 1.2).

use super::constants as c;
use super::state::{Air, WetRules, WetState};
use crate::coverage::HOUR_MS;
use crate::runs::Runs;

/// What the leaves were like in an hour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Leaf {
    /// Too little of the hour is known.
    Unknown,
    /// Dry.
    Dry,
    /// Wet.
    Wet,
    /// At or below 0 °C: neither wet, nor drying.
    Frozen,
}

/// One hour at one spot.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct WetHour {
    /// Its first instant, ms.
    pub from_ms: i64,
    /// How much of it is known, ms, 0 to 3,600,000.
    pub covered_ms: i64,
    /// How long of that it was at or below 0 °C, ms.
    pub frozen_ms: i64,
    /// How long of the known time the leaves were wet, ms, in each run.
    pub wet_ms: Runs<i64>,
    /// Mean temperature over the known time, °C.
    pub t_c: Option<f64>,
    /// Mean humidity over the known time, %RH, in each run.
    pub rh_pct: Option<Runs<f64>>,
    /// Whether the humidity sensor seemed to have stuck at the top in any of it.
    pub suspect: bool,
}

impl WetHour {
    /// An hour of which nothing is known.
    pub fn unknown(from_ms: i64) -> WetHour {
        WetHour { from_ms, covered_ms: 0, frozen_ms: 0, wet_ms: Runs::all(0), t_c: None, rh_pct: None, suspect: false }
    }

    /// Whether at least half of it is known.
    pub fn known(&self) -> bool {
        self.covered_ms as f64 >= c::KNOWN_SHARE.value * HOUR_MS as f64
    }

    /// What the leaves were like in each run: wet where half of the known time above 0 °C was; frozen where its mean is not above 0 °C.
    ///
    /// ```
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::hours::{Leaf, WetHour};
    /// let wet_ms = Runs { low: 0, read: 1_200_000, high: 2_400_000 };
    /// let hour = WetHour { covered_ms: 2_400_000, wet_ms, t_c: Some(8.0), ..WetHour::unknown(0) };
    /// assert_eq!(hour.leaf(), Runs { low: Leaf::Dry, read: Leaf::Wet, high: Leaf::Wet });
    /// ```
    pub fn leaf(&self) -> Runs<Leaf> {
        let frozen = self.t_c.is_some_and(|t_c| t_c <= c::FREEZING_C.value);
        let known = self.known();
        // Frozen water neither counts nor dries (wetness sheet 1.3): an hour of thaw is what it was once thawed.
        let thawed_ms = (self.covered_ms - self.frozen_ms).max(0);
        self.wet_ms.map(|wet_ms| {
            if !known {
                Leaf::Unknown
            } else if frozen {
                Leaf::Frozen
            } else if wet_ms as f64 >= c::WET_SHARE.value * thawed_ms as f64 {
                Leaf::Wet
            } else {
                Leaf::Dry
            }
        })
    }
}

/// Gathers stretches of air into hours. Plain values: keep it, and a late reading restarts from there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct WetFold {
    /// The leaves at the end of what was pushed.
    pub state: WetState,
    /// End of the last stretch, ms; none before the first.
    pub until_ms: Option<i64>,
    /// Cadence of the last stretch's series, ms.
    pub cadence_ms: i64,
    /// Whether water came on the leaves at `until_ms`, beyond what anything else is known of.
    pub watered_unseen: bool,
    /// How far its hours begin after whole hours of UTC, ms.
    pub phase_ms: i64,
    /// The hour that is being gathered; `t_c` and `rh_pct` are kept apart until it is given out.
    pub hour: WetHour,
    /// Temperature times milliseconds in it.
    pub t_c_ms: f64,
    /// Humidity times milliseconds in it, in each run.
    pub rh_pct_ms: Runs<f64>,
    /// Milliseconds of it with humidity.
    pub rh_ms: i64,
}

impl Default for WetFold {
    fn default() -> WetFold {
        WetFold {
            state: WetState::default(),
            until_ms: None,
            cadence_ms: 0,
            watered_unseen: false,
            phase_ms: 0,
            hour: WetHour::unknown(i64::MIN),
            t_c_ms: 0.0,
            rh_pct_ms: Runs::all(0.0),
            rh_ms: 0,
        }
    }
}

impl WetFold {
    /// Begins with dry leaves and hours that begin where `boundary_ms` does: whole hours of a garden whose standard time is half an hour off UTC begin at
    /// half past.
    pub fn with_hours_from(boundary_ms: i64) -> WetFold {
        WetFold { phase_ms: boundary_ms.rem_euclid(HOUR_MS), ..WetFold::default() }
    }

    /// Takes the next stretch and gives out each hour that it closes.
    ///
    /// **Shape**: stretches ascend; what of one lies before the end of the one before is passed over. Each is what one sample covers: until the next,
    /// at most 1.5 cadences (as [`crate::coverage`] has it). Where more than 2.5 cadences lie between two samples there is a gap, see
    /// [`WetState::after_gap`]. Hours of which nothing is known are not given out: whoever counts must count them as unknown.
    /// Allocates nothing.
    ///
    /// ```
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::hours::{Leaf, WetFold};
    /// use propstick_agronomy::wetness::state::{Air, WetRules};
    /// let (mut fold, mut hours) = (WetFold::default(), Vec::new());
    /// // Seven ten-minute samples: 84 % at first, 93 % from the third on.
    /// for k in 0..7 {
    ///     let rh_pct = if k < 2 { 84.0 } else { 93.0 };
    ///     let air = Air::measured(k * 600_000, (k + 1) * 600_000, 8.0, rh_pct, 3.0).unwrap();
    ///     fold.push(&WetRules::UNDER_COVER, &air, |hour| hours.push(*hour));
    /// }
    /// assert_eq!(hours[0].wet_ms, Runs { low: 2_400_000, read: 2_400_000, high: 2_400_000 });
    /// assert_eq!(hours[0].leaf().read, Leaf::Wet);
    /// ```
    pub fn push(&mut self, rules: &WetRules, air: &Air, mut closed: impl FnMut(&WetHour)) {
        let from_ms = air.from_ms.max(self.until_ms.unwrap_or(i64::MIN));
        if from_ms >= air.until_ms {
            return;
        }
        self.bridge(rules, from_ms);
        let mut at = from_ms;
        while at < air.until_ms {
            let hour_from_ms = at - (at - self.phase_ms).rem_euclid(HOUR_MS);
            let until_ms = air.until_ms.min(hour_from_ms + HOUR_MS);
            if hour_from_ms != self.hour.from_ms {
                self.close_hour(&mut closed);
                self.hour.from_ms = hour_from_ms;
            }
            self.gather(rules, &air.part(at, until_ms));
            at = until_ms;
        }
        self.until_ms = Some(air.until_ms);
        self.cadence_ms = air.cadence_ms;
    }

    /// Water came on the leaves at `at_ms`: at the end of what was pushed last, or beyond it and before what will be pushed next.
    ///
    /// A stretch in which it falls must be pushed in two parts. In a gap water is known of all the same: from there to the next stretch the time in which it
    /// dries runs, in the low run too.
    pub fn wetted(&mut self, rules: &WetRules, at_ms: i64) {
        if self.until_ms.is_none_or(|until_ms| at_ms >= until_ms) {
            self.bridge(rules, at_ms);
            self.until_ms = Some(at_ms);
            self.watered_unseen = true;
        }
        self.state.wetted(rules);
    }

    /// Goes from the end of what is known to `from_ms`.
    fn bridge(&mut self, rules: &WetRules, from_ms: i64) {
        let Some(until_ms) = self.until_ms else { return };
        let gap_ms = from_ms - until_ms;
        let watered_ms = self.state.drying_ms;
        // A sample covers 1.5 cadences at most: of more than 2.5 between two, more than one lies bare. Before the first there is nothing to go from.
        if gap_ms > self.cadence_ms && self.cadence_ms > 0 {
            self.state.after_gap(rules, gap_ms);
        }
        if self.watered_unseen {
            let left_ms = watered_ms.map(|ms| (ms - gap_ms).max(0));
            self.state.drying_ms = Runs { low: left_ms.low, read: left_ms.read, ..self.state.drying_ms };
        }
        self.watered_unseen = false;
    }

    /// The hour that is being gathered, as far as it has come.
    pub fn so_far(&self) -> WetHour {
        let covered_ms = self.hour.covered_ms;
        let t_c = (covered_ms > 0).then(|| self.t_c_ms / covered_ms as f64);
        let rh_pct = (self.rh_ms > 0).then(|| self.rh_pct_ms.map(|sum| sum / self.rh_ms as f64));
        WetHour { t_c, rh_pct, ..self.hour }
    }

    /// Gives out the hour that is being gathered, if anything of it is known, and begins an empty one: where nothing more of it will come.
    pub fn close_hour(&mut self, mut closed: impl FnMut(&WetHour)) {
        if self.hour.covered_ms > 0 {
            closed(&self.so_far());
        }
        self.hour = WetHour::unknown(i64::MIN);
        self.t_c_ms = 0.0;
        self.rh_pct_ms = Runs::all(0.0);
        self.rh_ms = 0;
    }

    fn gather(&mut self, rules: &WetRules, air: &Air) {
        let wetted = self.state.step(rules, air);
        let span_ms = air.span_ms();
        self.hour.covered_ms += span_ms;
        self.hour.frozen_ms += if air.t_c <= c::FREEZING_C.value { span_ms } else { 0 };
        self.hour.wet_ms = self.hour.wet_ms.with(wetted.wet_ms, |sum, wet_ms| sum + wet_ms);
        self.hour.suspect |= wetted.suspect;
        self.t_c_ms += air.t_c * span_ms as f64;
        if let Some(rh_pct) = air.rh_pct {
            self.rh_pct_ms = self.rh_pct_ms.with(rh_pct, |sum, rh| sum + rh * span_ms as f64);
            self.rh_ms += span_ms;
        }
    }
}

#[cfg(test)]
#[path = "hours/tests.rs"]
mod tests;
