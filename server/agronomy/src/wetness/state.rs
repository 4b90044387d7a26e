//! The state of the leaves, run on samples: wet or dry, three times over.

use super::constants as c;
use crate::psychrometrics::{saturation_over_ice_kpa, saturation_vapour_pressure_kpa};
use crate::quality::humidity_for_physics;
use crate::runs::Runs;

/// Temperatures that air under cover can mean, °C.
pub(super) const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -60.0..=80.0;

/// The air at the leaves over the stretch of time that one sample covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    pub(super) from_ms: i64,
    pub(super) until_ms: i64,
    pub(super) t_c: f64,
    pub(super) rh_pct: Option<Runs<f64>>,
    pub(super) cadence_ms: i64,
    leaf: Option<f64>,
}

impl Air {
    /// Air of `t_c` (-60 to 80 °C) and `rh_pct` (0 to 105 %RH over water, above 100 used as 100) in `[from_ms, until_ms)`, from a sensor whose
    /// humidity may be `error_pct` (0 to 100) off either way. Instants are ms since 1970 UTC.
    ///
    /// **Errors**: `None` for a stretch without length and for what cannot be meant or is no number.
    ///
    /// ```
    /// use propstick_agronomy::wetness::state::Air;
    /// assert!(Air::measured(0, 600_000, 8.0, 103.1, 3.0).is_some());
    /// assert_eq!(Air::measured(0, 600_000, 8.0, 340.0, 3.0), None);
    /// ```
    pub fn measured(from_ms: i64, until_ms: i64, t_c: f64, rh_pct: f64, error_pct: f64) -> Option<Air> {
        let (rh_pct, _) = humidity_for_physics(rh_pct)?;
        let meant = from_ms < until_ms && TEMPERATURE_C.contains(&t_c) && (0.0..=100.0).contains(&error_pct);
        let runs = Runs { low: (rh_pct - error_pct).max(0.0), read: rh_pct, high: (rh_pct + error_pct).min(100.0) };
        meant.then(|| Air { rh_pct: Some(runs), ..Air::dark(from_ms, until_ms, t_c) })
    }

    /// Air of `t_c` whose humidity is not known, at a wetness sensor that reads `leaf` (0 dry to 1 wet).
    ///
    /// **Errors**: as [`Air::measured`].
    pub fn beside_gauge(from_ms: i64, until_ms: i64, t_c: f64, leaf: f64) -> Option<Air> {
        let meant = from_ms < until_ms && TEMPERATURE_C.contains(&t_c);
        if meant { Air::dark(from_ms, until_ms, t_c).with_leaf(leaf) } else { None }
    }

    const fn dark(from_ms: i64, until_ms: i64, t_c: f64) -> Air {
        // A sample covers one and a half cadences at most.
        Air { from_ms, until_ms, t_c, rh_pct: None, cadence_ms: (until_ms - from_ms) / 3 * 2, leaf: None }
    }

    /// The same with the word of a healthy wetness sensor, `leaf` from 0 (dry) to 1 (wet): see [`super::gauge`]. It overrides humidity.
    ///
    /// **Errors**: `None` for a fraction outside 0 to 1.
    pub fn with_leaf(self, leaf: f64) -> Option<Air> {
        (0.0..=1.0).contains(&leaf).then_some(Air { leaf: Some(leaf), ..self })
    }

    /// The same from a series of the cadence `cadence_ms`: what comes after more than 2.5 of it comes after a gap. Without this the stretch itself is
    /// taken for 1.5 cadences.
    #[must_use]
    pub const fn of_cadence(self, cadence_ms: i64) -> Air {
        Air { cadence_ms, ..self }
    }

    pub(super) const fn span_ms(&self) -> i64 {
        self.until_ms - self.from_ms
    }

    /// The part of it in `[from_ms, until_ms)`, which must not be empty.
    pub(super) const fn part(self, from_ms: i64, until_ms: i64) -> Air {
        Air { from_ms, until_ms, ..self }
    }
}

/// When leaves are wet. Wetness sheet 1.3 and 1.5, advice page; no field is checked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WetRules {
    /// Wet from this humidity on, %RH.
    pub on_pct: f64,
    /// Dry below this humidity, %RH.
    pub off_pct: f64,
    /// Wet from this humidity on whatever else is said, %RH, …
    pub guttation_pct: f64,
    /// … once it has held for so long, ms.
    pub guttation_after_ms: i64,
    /// Wet for so long after water came on the leaves, ms.
    pub watered_ms: i64,
    /// Wet for so long after a thaw, ms; 0 leaves the thaw out.
    pub thaw_ms: i64,
    /// Both ended early below this humidity, %RH.
    pub drying_pct: f64,
}

impl WetRules {
    /// The default under cover: on at 90, off below 87 %RH, with guttation, watering and thaw.
    pub const UNDER_COVER: WetRules = WetRules {
        on_pct: c::WET_ON_PCT.value,
        off_pct: c::WET_OFF_PCT.value,
        guttation_pct: c::GUTTATION_PCT.value,
        guttation_after_ms: c::GUTTATION_AFTER_H.hours_as_ms(),
        watered_ms: c::WATERED_H.hours_as_ms(),
        thaw_ms: c::THAW_H.hours_as_ms(),
        drying_pct: c::DRYING_PCT.value,
    };
    /// Wetness sheet 1.5 without the thaw, which the advice page added: the rules of the sheet's verification spells.
    pub const WITHOUT_THAW: WetRules = WetRules { thaw_ms: 0, ..WetRules::UNDER_COVER };

    /// The same with both thresholds moved by `offset_pct` (-10 to 6): what a structure's own leaves have taught.
    ///
    /// ```
    /// use propstick_agronomy::wetness::state::WetRules;
    /// assert_eq!(WetRules::UNDER_COVER.moved(-3.0).unwrap().on_pct, 87.0);
    /// assert_eq!(WetRules::UNDER_COVER.moved(30.0), None);
    /// ```
    pub fn moved(self, offset_pct: f64) -> Option<WetRules> {
        let moved = WetRules { on_pct: self.on_pct + offset_pct, off_pct: self.off_pct + offset_pct, ..self };
        (c::WET_ON_PCT.holds(moved.on_pct) && c::WET_OFF_PCT.holds(moved.off_pct)).then_some(moved)
    }
}

/// What the leaves are like at one instant, in each run: all that the past has to do with the future.
///
/// Plain values, so that it can be kept and taken up again when a late reading comes.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct WetState {
    /// Wet by humidity.
    pub damp: Runs<bool>,
    /// How long the humidity of guttation has held, ms.
    pub guttation_ms: Runs<i64>,
    /// How long watered or thawed leaves stay wet yet, ms.
    pub drying_ms: Runs<i64>,
    /// How long ice has been gathering, ms.
    pub hoar_ms: Runs<i64>,
    /// Wet by the wetness sensor.
    pub leaf_wet: bool,
    /// How long humidity has read as if it had stuck at the top, ms.
    pub saturated_ms: i64,
    /// Lowest temperature meanwhile, °C; 0 where it has not.
    pub saturated_min_c: f64,
    /// Highest temperature meanwhile, °C; 0 where it has not.
    pub saturated_max_c: f64,
}

/// What one stretch of air did to the leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wetted {
    /// How long they were wet, ms, in each run.
    pub wet_ms: Runs<i64>,
    /// Whether the humidity sensor seems to have stuck at the top: then the low run is dry.
    pub suspect: bool,
}

impl WetState {
    /// Goes through `air` and says how long leaves were wet in it.
    ///
    /// **Rules**: wetness sheet 1.5: wet on at `on_pct`, off below `off_pct`, in each run by its own humidity; at or below 0 °C nothing counts and
    /// no drying goes on; water or a thaw keeps leaves wet for `watered_ms` or `thaw_ms`, until humidity falls below `drying_pct`; guttation.
    /// A wetness sensor overrides all of it, except that guttation still counts in the high run: a plate gives off no water.
    /// Humidity of 99 % and more for 48 h while temperature moved by more than 5 °C is suspect: such hours are dry in the low run.
    /// **Shape**: stretches ascend and do not overlap; between them call [`WetState::after_gap`] where there was a gap. Cutting a stretch in two
    /// changes nothing.
    /// **Accuracy**: see [`super::hours`].
    ///
    /// ```
    /// use propstick_agronomy::runs::Runs;
    /// use propstick_agronomy::wetness::state::{Air, WetRules, WetState};
    /// let mut leaves = WetState::default();
    /// let air = Air::measured(0, 600_000, 8.0, 91.0, 3.0).unwrap();
    /// // 88, 91 and 94 %: wet as read and in the high run.
    /// assert_eq!(leaves.step(&WetRules::UNDER_COVER, &air).wet_ms, Runs { low: 0, read: 600_000, high: 600_000 });
    /// ```
    pub fn step(&mut self, rules: &WetRules, air: &Air) -> Wetted {
        let suspect = self.watch_saturation(air);
        let frozen = air.t_c <= c::FREEZING_C.value;
        let over_ice = if frozen { over_water_to_over_ice(air.t_c) } else { 1.0 };
        let run =
            |damp: &mut bool, guttation_ms: &mut i64, drying_ms: &mut i64, hoar_ms: &mut i64, rh_pct: Option<f64>| {
                let mut run = Run { damp, guttation_ms, drying_ms, hoar_ms };
                if frozen {
                    run.freeze(rules, air.span_ms(), rh_pct, over_ice)
                } else {
                    run.pass(rules, air.span_ms(), rh_pct)
                }
            };
        let (damp, gutt, dry, hoar) = (&mut self.damp, &mut self.guttation_ms, &mut self.drying_ms, &mut self.hoar_ms);
        let low_pct = air.rh_pct.map(|rh| if suspect { 0.0 } else { rh.low });
        let mut wet = Runs {
            low: run(&mut damp.low, &mut gutt.low, &mut dry.low, &mut hoar.low, low_pct),
            read: run(&mut damp.read, &mut gutt.read, &mut dry.read, &mut hoar.read, air.rh_pct.map(|rh| rh.read)),
            high: run(&mut damp.high, &mut gutt.high, &mut dry.high, &mut hoar.high, air.rh_pct.map(|rh| rh.high)),
        };
        if let (Some(leaf), false) = (air.leaf, frozen) {
            self.leaf_wet = leaf >= if self.leaf_wet { c::GAUGE_OFF.value } else { c::GAUGE_ON.value };
            let by_gauge = if self.leaf_wet { air.span_ms() } else { 0 };
            wet = Runs {
                low: Passed { wet_ms: by_gauge, ..wet.low },
                read: Passed { wet_ms: by_gauge, ..wet.read },
                high: Passed { wet_ms: by_gauge.max(wet.high.guttation_ms), ..wet.high },
            };
        }
        Wetted { wet_ms: wet.map(|run| run.wet_ms), suspect }
    }

    /// Water has come on the leaves: overhead watering, or rain through an open lid. In every run.
    pub fn wetted(&mut self, rules: &WetRules) {
        self.drying_ms = self.drying_ms.map(|left_ms| left_ms.max(rules.watered_ms));
    }

    /// Nothing is known of the last `gap_ms`: from here on the low run takes leaves to be dry, the run as read takes them to be dry until humidity
    /// says otherwise, and the high run takes them to have stayed or become as wet as they could be.
    pub fn after_gap(&mut self, rules: &WetRules, gap_ms: i64) {
        let read_ms = (self.drying_ms.read - gap_ms).max(0);
        self.damp = Runs { low: false, read: false, high: true };
        self.guttation_ms = Runs { low: 0, read: 0, high: rules.guttation_after_ms };
        self.drying_ms = Runs { low: 0, read: read_ms, ..self.drying_ms };
        self.hoar_ms = Runs { low: 0, read: 0, ..self.hoar_ms };
        self.leaf_wet = false;
    }

    fn watch_saturation(&mut self, air: &Air) -> bool {
        match air.rh_pct {
            Some(rh) if rh.read >= c::SATURATED_PCT.value => {
                let fresh = self.saturated_ms == 0;
                self.saturated_min_c = if fresh { air.t_c } else { self.saturated_min_c.min(air.t_c) };
                self.saturated_max_c = if fresh { air.t_c } else { self.saturated_max_c.max(air.t_c) };
                // No more than is needed: a state that is kept must not grow with time.
                self.saturated_ms = (self.saturated_ms + air.span_ms()).min(c::SATURATED_H.hours_as_ms());
            }
            Some(_) => (self.saturated_ms, self.saturated_min_c, self.saturated_max_c) = (0, 0.0, 0.0),
            None => {}
        }
        self.saturated_ms >= c::SATURATED_H.hours_as_ms()
            && self.saturated_max_c - self.saturated_min_c > c::SATURATED_MOVE_C.value
    }
}

/// One run's part of the state.
struct Run<'a> {
    damp: &'a mut bool,
    guttation_ms: &'a mut i64,
    drying_ms: &'a mut i64,
    hoar_ms: &'a mut i64,
}

#[derive(Clone, Copy)]
struct Passed {
    wet_ms: i64,
    guttation_ms: i64,
}

impl Run<'_> {
    fn freeze(&mut self, rules: &WetRules, span_ms: i64, rh_pct: Option<f64>, over_ice: f64) -> Passed {
        if let Some(rh_pct) = rh_pct {
            self.threshold(rules, rh_pct);
            // Near saturation means over ice what the threshold of wetness means over water.
            if rh_pct * over_ice >= rules.on_pct {
                *self.hoar_ms = (*self.hoar_ms + span_ms).min(c::HOAR_AFTER_H.hours_as_ms());
            } else if *self.hoar_ms < c::HOAR_AFTER_H.hours_as_ms() {
                // It takes an hour of it without a break.
                *self.hoar_ms = 0;
            }
        }
        Passed { wet_ms: 0, guttation_ms: 0 }
    }

    fn pass(&mut self, rules: &WetRules, span_ms: i64, rh_pct: Option<f64>) -> Passed {
        if *self.hoar_ms >= c::HOAR_AFTER_H.hours_as_ms() {
            *self.drying_ms = (*self.drying_ms).max(rules.thaw_ms);
        }
        *self.hoar_ms = 0;
        let mut guttation_ms = 0;
        if let Some(rh_pct) = rh_pct {
            self.threshold(rules, rh_pct);
            if rh_pct < rules.drying_pct {
                *self.drying_ms = 0;
            }
            if rh_pct >= rules.guttation_pct {
                let held_ms = *self.guttation_ms + span_ms;
                guttation_ms = (held_ms - rules.guttation_after_ms).clamp(0, span_ms);
                *self.guttation_ms = held_ms.min(rules.guttation_after_ms);
            } else {
                *self.guttation_ms = 0;
            }
        }
        // What dries is wet at the beginning of the stretch, what guttates at its end.
        let drying_ms = (*self.drying_ms).min(span_ms);
        *self.drying_ms -= drying_ms;
        let wet_ms = if *self.damp { span_ms } else { (drying_ms + guttation_ms).min(span_ms) };
        Passed { wet_ms, guttation_ms }
    }

    fn threshold(&mut self, rules: &WetRules, rh_pct: f64) {
        if rh_pct >= rules.on_pct {
            *self.damp = true;
        } else if rh_pct < rules.off_pct {
            *self.damp = false;
        }
    }
}

/// By how much relative humidity over ice is the greater one, at `t_c` at or below 0 °C (climate sheet 1.5).
fn over_water_to_over_ice(t_c: f64) -> f64 {
    match (saturation_vapour_pressure_kpa(t_c), saturation_over_ice_kpa(t_c)) {
        (Some(water), Some(ice)) => water / ice,
        _ => 1.0,
    }
}

#[cfg(test)]
#[path = "state/tests.rs"]
mod tests;
