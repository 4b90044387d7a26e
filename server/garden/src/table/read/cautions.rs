//! What a person should look at, though it was read.

use propstick_wire::Quantity;
use propstick_wire::millis::{HOUR, MINUTE, SECOND};

use crate::table::report::{Caution, MAX_ENTRIES};

/// A step between neighbours of at least so many degrees may be a change of unit: no air or soil warms by as much from one reading to the next.
const UNIT_STEP: f64 = 10.0;
/// So near must such a step be to the change of unit: half a degree for the weather in between, and the rounding.
const UNIT_FIT: f64 = 0.6;

/// What a caution is about; one sentence each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum About {
    /// The time goes back.
    Back,
    /// Neighbours of one instant and one value.
    TwiceSame,
    /// Neighbours of one instant and two values.
    TwiceOther,
    /// A step that is a change of unit, in the field with this number.
    Unit(usize),
    /// Bytes that are no text.
    NoText,
}

/// Counts of cautions.
#[derive(Debug, Default)]
pub(super) struct Cautions {
    all: Vec<(About, Caution)>,
}

impl Cautions {
    /// Counts one; `says` is asked where it is the first about this.
    pub(super) fn take(&mut self, about: About, line: u64, says: impl FnOnce() -> String) {
        if let Some((_, caution)) = self.all.iter_mut().find(|(known, _)| *known == about) {
            caution.times += 1;
        } else if self.all.len() < MAX_ENTRIES {
            self.all.push((about, Caution { says: says(), times: 1, first_line: line }));
        }
    }

    /// All of them; `rows` were read.
    pub(super) fn end(mut self, rows: u64) -> Vec<Caution> {
        if let Some((_, back)) = self.all.iter_mut().find(|(about, _)| *about == About::Back)
            && 2 * back.times > rows
        {
            let says = "the file begins with the newest row; read so".to_owned();
            *back = Caution { says, times: 1, first_line: back.first_line };
        }
        self.all.into_iter().map(|(_, caution)| caution).collect()
    }
}

/// A span in words, rounded to what is plain.
pub(super) fn span_words(ms: i64) -> String {
    let rounded = |unit: i64| (ms + unit / 2) / unit;
    if ms < MINUTE {
        format!("{} s", rounded(SECOND))
    } else if ms < 2 * HOUR {
        format!("{} min", rounded(MINUTE))
    } else if ms < 48 * HOUR {
        format!("{} h", rounded(HOUR))
    } else {
        format!("{} days", rounded(24 * HOUR))
    }
}

/// Whether the step between two neighbouring temperatures is the step from Celsius to Fahrenheit or back (troubles page 15).
pub(super) fn is_change_of_unit(quantity: Quantity, before: f64, after: f64) -> bool {
    let is_temperature =
        matches!(quantity, Quantity::AirTemperature | Quantity::SoilTemperature | Quantity::LeafTemperature);
    let fits = |celsius: f64, fahrenheit: f64| (fahrenheit - (1.8 * celsius + 32.0)).abs() <= UNIT_FIT;
    is_temperature && (after - before).abs() > UNIT_STEP && (fits(before, after) || fits(after, before))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn step_from_celsius_to_fahrenheit_is_told_from_weather() {
        let air = |before, after| is_change_of_unit(Quantity::AirTemperature, before, after);
        // Troubles page 15: 8.0, 8.1, 46.6, 46.8; 8.1 degC is 46.58 degF.
        assert!(air(8.1, 46.6) && air(46.8, 8.2));
        assert!(!air(8.0, 8.1) && !air(46.6, 46.8) && !air(8.1, 48.0));
        // At -40 both are the same, and near it the step is small.
        assert!(!air(-40.0, -40.0));
        assert!(!is_change_of_unit(Quantity::AirHumidity, 8.1, 46.6));
    }

    #[test]
    fn span_is_said_in_the_unit_that_is_plain() {
        let words =
            [40 * SECOND, 57 * MINUTE + 15 * SECOND, 119 * MINUTE, 180 * MINUTE, 3 * 1440 * MINUTE].map(span_words);
        assert_eq!(words, ["40 s", "57 min", "119 min", "3 h", "3 days"]);
    }
}
