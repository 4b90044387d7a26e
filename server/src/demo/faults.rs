//! What goes wrong in the demo's year: always the same, counted back from its end, so that a year of any date shows it all.

#[cfg(test)]
use propstick_garden::took::Reason;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::DAY;
use super::boards::{BENCH, CORNER, FRAME, Kind, MIDDLE, NEW, OLD, SCREEN};
use super::queue::Oddity;

/// Something that lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trouble {
    /// It does not run at all: no samples, and a restart after it.
    Off,
    /// It samples, but nothing it sends arrives.
    Unheard,
    /// Its humidity sensor says the same for days.
    HumidityStuck,
}

/// Something that happens to one sample or to one pack.
#[derive(Clone, Copy, Debug)]
pub(super) enum Once {
    /// To a sample.
    Sample(Oddity),
    /// The pack is cut short on its way.
    CutShort,
}

/// The faults of a history.
pub(super) struct Faults {
    lasting: Vec<(usize, Trouble, Millis, Millis)>,
    once: Vec<(usize, Once, Millis)>,
}

impl Faults {
    /// Those of a history up to `until` whose low tunnel got a new board at `replaced`.
    pub(super) fn new(until: Millis, replaced: Millis) -> Faults {
        let before = |days: f64| until.plus(-((days * DAY as f64) as i64));
        let mut lasting = vec![
            // A battery that samples but no longer sends; after two days its queue has overflowed, and there is a new battery.
            (FRAME, Trouble::Unheard, before(4.6), before(2.55)),
            // Half a day ago a loose wire: a gap in the ribbon of the day.
            (OLD, Trouble::Off, before(0.47), before(0.40)),
            (NEW, Trouble::Off, before(0.47), before(0.40)),
            // The sensor stuck, and the board was replaced for it.
            (OLD, Trouble::HumidityStuck, replaced.plus(-5 * DAY + HOUR), replaced),
            (OLD, Trouble::Off, replaced, Millis(i64::MAX)),
            (NEW, Trouble::Off, Millis(i64::MIN), replaced.plus(20 * MINUTE)),
        ];
        // The server was off for an afternoon: everything came late.
        for board in [SCREEN, MIDDLE, CORNER, BENCH, OLD, NEW, FRAME] {
            lasting.push((board, Trouble::Unheard, before(61.3), before(61.3).plus(5 * HOUR)));
        }
        let once = vec![
            (MIDDLE, Once::Sample(Oddity::Says(Kind::Soil, 8_500)), before(19.6)),
            (BENCH, Once::Sample(Oddity::NotANumber(Kind::Humidity)), before(33.2)),
            (FRAME, Once::CutShort, before(75.45)),
            (SCREEN, Once::Sample(Oddity::Unit(Kind::Humidity, "%")), before(85.4)),
            (CORNER, Once::Sample(Oddity::Says(Kind::Soil, -12_700)), before(67.1)),
        ];
        Faults { lasting, once }
    }

    /// Whether a board has this trouble at an instant.
    pub(super) fn has(&self, board: usize, trouble: Trouble, at: Millis) -> bool {
        self.lasting.iter().any(|(b, t, from, to)| *b == board && *t == trouble && *from <= at && at < *to)
    }

    /// What happens once to a board between `after` and `at`, `at` included.
    pub(super) fn once(&self, board: usize, after: Millis, at: Millis) -> Option<Once> {
        let due = |when: Millis| after < when && when <= at;
        self.once.iter().find(|(b, _, when)| *b == board && due(*when)).map(|(_, what, _)| *what)
    }
}

#[cfg(test)]
impl Faults {
    /// What the server refuses of a history that has them all.
    pub(super) fn planned_refusals(&self) -> impl Iterator<Item = Reason> {
        self.once.iter().filter_map(|(_, what, _)| what.refused_as())
    }
}

#[cfg(test)]
impl Once {
    /// Why the server will refuse it, if it will.
    fn refused_as(self) -> Option<Reason> {
        match self {
            Once::CutShort => Some(Reason::Malformed),
            Once::Sample(Oddity::NotANumber(_)) => Some(Reason::NotANumber),
            Once::Sample(Oddity::Unit(..)) => Some(Reason::WrongUnit),
            Once::Sample(Oddity::Says(_, -12_700)) => Some(Reason::OutOfRange),
            Once::Sample(_) => None,
        }
    }
}
