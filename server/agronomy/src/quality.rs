//! Marks on readings: what is known against a number that is kept all the same.

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

/// The one table of marks: bit, name, and whether a reading that carries it counts as missing. Those that count are the
/// ones where the number says nothing of the air; the rest are doubts, which travel with the number.
const TABLE: [(Mark, &str, bool); 11] = [
    (Mark::Over, "over", false),
    (Mark::Range, "range", true),
    (Mark::Step, "step", false),
    (Mark::Spike, "spike", true),
    (Mark::Stuck, "stuck", true),
    (Mark::Saturated, "saturated", false),
    (Mark::Neighbour, "neighbour", false),
    (Mark::Sunlit, "sunlit", false),
    (Mark::Dead, "dead", true),
    (Mark::PowerOn, "power_on", true),
    (Mark::Excluded, "excluded", true),
];

impl Mark {
    /// All marks, in the order of their bits.
    pub fn all() -> impl Iterator<Item = Mark> {
        TABLE.iter().map(|row| row.0)
    }

    /// The name used in stores and answers.
    pub fn name(self) -> &'static str {
        TABLE[self as usize].1
    }

    /// Whether a reading that carries this mark counts as missing.
    pub fn counts_as_missing(self) -> bool {
        TABLE[self as usize].2
    }
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
pub const HUMIDITY_LIMIT_PCT: f64 = 105.0;

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
mod tests {
    use super::*;
    use alloc::vec::Vec;

    #[test]
    fn every_mark_stands_in_the_table_at_its_own_bit() {
        for (n, (mark, name, missing)) in TABLE.into_iter().enumerate() {
            assert_eq!(mark as usize, n);
            assert_eq!(Marks::NONE.with(mark).0, 1 << n);
            assert_eq!((mark.name(), mark.counts_as_missing()), (name, missing));
        }
    }

    #[test]
    fn names_are_those_of_the_design() {
        let names: Vec<_> = Mark::all().map(Mark::name).collect();
        let design = "over, range, step, spike, stuck, saturated, neighbour, sunlit, dead, power_on, excluded";
        assert_eq!(names, design.split(", ").collect::<Vec<_>>());
    }

    #[test]
    fn a_set_counts_as_missing_when_one_of_its_marks_does() {
        let doubts = Marks::NONE.with(Mark::Over).with(Mark::Saturated).with(Mark::Step);
        assert!(!doubts.counts_as_missing());
        assert!(doubts.with(Mark::Stuck).counts_as_missing());
        assert!(!Marks::NONE.counts_as_missing());
        assert_eq!(doubts.iter().collect::<Vec<_>>(), [Mark::Over, Mark::Step, Mark::Saturated]);
        assert_eq!(doubts.and(Marks::NONE.with(Mark::Dead)), doubts.with(Mark::Dead));
    }

    #[test]
    fn humidity_over_100_is_used_as_100_and_marked() {
        assert_eq!(humidity_for_physics(100.0), Some((100.0, Marks::NONE)));
        assert_eq!(humidity_for_physics(100.1), Some((100.0, Marks::NONE.with(Mark::Over))));
        assert_eq!(humidity_for_physics(0.0), Some((0.0, Marks::NONE)));
        for bad in [-0.1, 105.1, 340.0, f64::NAN, f64::INFINITY] {
            assert_eq!(humidity_for_physics(bad), None);
        }
    }
}
