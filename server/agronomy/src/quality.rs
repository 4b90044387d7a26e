//! Marks on readings: what is known against a number that is kept all the same.
//!
//! Marks are derived, never stored for good: [`mark_series`] from a series itself, [`mark_apart`] and [`mark_sunlit`] from what stands beside it,
//! [`Mark::Excluded`] by the grower. [`Mark::reach_ms`] says how far away a reading can change a mark.

mod beside;
pub mod constants;
mod series;
mod stuck;

pub use beside::{Vapour, beside_each, mark_apart, mark_drier_than_outside, mark_sunlit, radiation_error_c};
pub use series::{Kind, Place, Series, is_spike, mark_series};
pub use stuck::{Scratch, needed_from};

use crate::coverage::Sample;

/// What a mark says of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Relative humidity above 100 %: kept as sent, used as 100.
    Over,
    /// Outside what its place can be.
    Range,
    /// Changed faster from one sample to the next than air can.
    Step,
    /// Stood out from both neighbours in time.
    Spike,
    /// Has not moved while it should have.
    Stuck,
    /// Humidity of 99.5 % and more: right or wrong, it cannot tell fog from a tired sensor.
    Saturated,
    /// Disagrees with the other sensor of the place.
    Neighbour,
    /// Sun on the shield: probably too warm.
    Sunlit,
    /// The value that a dead bus or sensor sends.
    Dead,
    /// The first conversion after power-on.
    PowerOn,
    /// Excluded by the grower.
    Excluded,
}

/// The one table of marks: bit, name, whether a reading that carries it counts as missing, and how far before and after it, in ms, a reading can lie
/// that changes the mark. Those that count as missing are the ones where the number says nothing of the air; the rest are doubts, which travel with
/// the number.
const TABLE: [(Mark, &str, bool, [i64; 2]); 11] = [
    (Mark::Over, "over", false, [0, 0]),
    (Mark::Range, "range", true, [beside::DRIER_REACH_MS, beside::DRIER_REACH_MS]),
    (Mark::Step, "step", false, [JOINED_MS, 0]),
    (Mark::Spike, "spike", true, [series::SPIKE_WINDOW_MS + SPIKE_JOINED_MS, SPIKE_JOINED_MS]),
    (Mark::Stuck, "stuck", true, [stuck::WINDOW_MS + stuck::FINE_WITHIN_MS, stuck::WINDOW_MS]),
    (Mark::Saturated, "saturated", false, [0, 0]),
    (Mark::Neighbour, "neighbour", false, [HALF_DAY_MS, HALF_DAY_MS]),
    (Mark::Sunlit, "sunlit", false, [beside::WITHIN_MS, beside::WITHIN_MS]),
    (Mark::Dead, "dead", true, [stuck::WINDOW_MS, stuck::WINDOW_MS]),
    (Mark::PowerOn, "power_on", true, [JOINED_MS, JOINED_MS]),
    (Mark::Excluded, "excluded", true, [0, 0]),
];

/// One and a half of the longest cadence in which steps are looked for.
const JOINED_MS: i64 = series::STEP_CADENCE_MS / 2 * 3;
/// One and a half of the longest cadence in which spikes are looked for.
const SPIKE_JOINED_MS: i64 = series::SPIKE_CADENCE_MS / 2 * 3;
/// Half of the longest cadence there is, a day: what stands beside a reading lies at most so far off.
const HALF_DAY_MS: i64 = 43_200_000;

/// How far before a stretch readings must be given for its marks to be exact, ms: the greatest reach, and a step more.
pub const LOOK_BACK_MS: i64 = stuck::WINDOW_MS + HALF_DAY_MS;
/// How far after it.
pub const LOOK_AHEAD_MS: i64 = stuck::WINDOW_MS + HALF_DAY_MS;

impl Mark {
    /// All marks, in the order of their bits.
    ///
    /// ```
    /// use propstick_agronomy::quality::Mark;
    /// assert_eq!(Mark::all().count(), 11);
    /// ```
    pub fn all() -> impl Iterator<Item = Mark> {
        TABLE.iter().map(|row| row.0)
    }

    /// The name used in stores and answers.
    ///
    /// ```
    /// use propstick_agronomy::quality::Mark;
    /// assert_eq!(Mark::PowerOn.name(), "power_on");
    /// ```
    pub fn name(self) -> &'static str {
        TABLE[self as usize].1
    }

    /// Whether a reading that carries this mark counts as missing.
    ///
    /// ```
    /// use propstick_agronomy::quality::Mark;
    /// assert!(Mark::Stuck.counts_as_missing() && !Mark::Saturated.counts_as_missing());
    /// ```
    pub fn counts_as_missing(self) -> bool {
        TABLE[self as usize].2
    }

    /// How far before and after a reading another one can lie that changes this mark of it, ms.
    ///
    /// ```
    /// use propstick_agronomy::quality::Mark;
    /// assert_eq!(Mark::Stuck.reach_ms(), [93_600_000, 86_400_000]);
    /// assert_eq!(Mark::Over.reach_ms(), [0, 0]);
    /// ```
    pub fn reach_ms(self) -> [i64; 2] {
        TABLE[self as usize].3
    }
}

/// Whether no reading is missing between two of a series: at most one and a half cadences apart.
fn joined(a: Sample, b: Sample, cadence_ms: i64) -> bool {
    b.t_ms - a.t_ms <= cadence_ms / 2 * 3
}

/// A set of marks, as bits: bit `n` is the `n`-th mark of [`Mark::all`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Marks(pub u16);

impl Marks {
    /// No mark.
    pub const NONE: Marks = Marks(0);

    /// This set and `mark`.
    #[must_use]
    pub const fn with(self, mark: Mark) -> Marks {
        Marks(self.0 | 1 << mark as u16)
    }

    /// The marks of either set.
    #[must_use]
    pub const fn and(self, other: Marks) -> Marks {
        Marks(self.0 | other.0)
    }

    /// Whether `mark` is in the set.
    pub const fn has(self, mark: Mark) -> bool {
        self.0 & 1 << mark as u16 != 0
    }

    /// Whether the set is empty.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The marks of the set, in the order of their bits.
    pub fn iter(self) -> impl Iterator<Item = Mark> {
        Mark::all().filter(move |mark| self.has(*mark))
    }

    /// Whether a reading that carries these marks counts as missing.
    pub fn counts_as_missing(self) -> bool {
        self.iter().any(Mark::counts_as_missing)
    }
}

/// The highest relative humidity, %, that a sensor can mean; a reading above it is outside the range.
pub const HUMIDITY_LIMIT_PCT: f64 = constants::DAMPEST_PCT.value;

/// The relative humidity to calculate with, %, and the marks that follow from it; `None` outside 0 to 105 or not finite.
///
/// Above 100 the reading is kept as sent elsewhere, used as 100 here, and marked [`Mark::Over`] (climate sheet 1.5).
///
/// ```
/// use propstick_agronomy::quality::{Mark, Marks, humidity_for_physics};
/// // Climate sheet 7: 103.1 is stored as 103.1, used as 100, flagged `over`.
/// assert_eq!(humidity_for_physics(103.1), Some((100.0, Marks::NONE.with(Mark::Over))));
/// ```
pub fn humidity_for_physics(rh_pct: f64) -> Option<(f64, Marks)> {
    if !(0.0..=HUMIDITY_LIMIT_PCT).contains(&rh_pct) {
        return None;
    }
    Some(if rh_pct > 100.0 { (100.0, Marks::NONE.with(Mark::Over)) } else { (rh_pct, Marks::NONE) })
}

#[cfg(test)]
mod faults;
#[cfg(test)]
mod tests;
