//! Levels of the risk, and when they are left again.

use super::constants as c;
use crate::runs::Runs;

/// A level of risk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Level {
    /// Little.
    #[default]
    Low,
    /// Some.
    Some,
    /// Raised.
    Raised,
    /// High.
    High,
}

impl Level {
    /// All, lowest first.
    pub const ALL: [Level; 4] = [Level::Low, Level::Some, Level::Raised, Level::High];

    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            Level::Low => "low",
            Level::Some => "some",
            Level::Raised => "raised",
            Level::High => "high",
        }
    }

    /// The level that `risk` (0 to 1) enters; low for what is no number.
    ///
    /// ```
    /// use propstick_agronomy::risk::level::Level;
    /// // Wetness sheet 3.2.
    /// assert_eq!([0.19, 0.2, 0.4, 0.6].map(Level::entered), Level::ALL);
    /// ```
    pub fn entered(risk: f64) -> Level {
        match risk {
            r if r >= c::HIGH_ENTER.value => Level::High,
            r if r >= c::RAISED_ENTER.value => Level::Raised,
            r if r >= c::SOME_ENTER.value => Level::Some,
            _ => Level::Low,
        }
    }

    /// One higher; high stays. For a disease that was found in the structure within 21 days: say that it was (wetness sheet 3.1 step 11).
    pub const fn one_higher(self) -> Level {
        match self {
            Level::Low => Level::Some,
            Level::Some => Level::Raised,
            Level::Raised | Level::High => Level::High,
        }
    }

    const fn one_lower(self) -> Level {
        match self {
            Level::Low | Level::Some => Level::Low,
            Level::Raised => Level::Some,
            Level::High => Level::Raised,
        }
    }

    const fn index(self) -> usize {
        self as usize
    }
}

/// The level of one crop group at one spot, with its hysteresis. Plain values; judge it once a noon-day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LevelState {
    /// The level.
    pub level: Level,
    /// Days running below what leaves raised.
    pub below_raised_d: u32,
    /// Days running below what leaves high.
    pub below_high_d: u32,
}

impl LevelState {
    /// Takes the risk of the next scored noon-day, 0 to 1. An unscored day is left out: a gap neither raises nor lowers a level.
    ///
    /// Some is left below 0.15 at once, raised below 0.30 and high below 0.50 on the second day running, one level at a time as far as they go.
    /// **Source**: wetness sheet 3.2.
    ///
    /// ```
    /// use propstick_agronomy::risk::level::{Level, LevelState};
    /// let mut state = LevelState::default();
    /// let levels = [0.61, 0.55, 0.45, 0.45].map(|risk| { state.judge(risk); state.level });
    /// assert_eq!(levels, [Level::High, Level::High, Level::High, Level::Raised]);
    /// ```
    pub fn judge(&mut self, risk: f64) {
        let count = |days: u32, below: bool| if below { days.saturating_add(1) } else { 0 };
        self.below_raised_d = count(self.below_raised_d, risk < c::RAISED_LEAVE.value);
        self.below_high_d = count(self.below_high_d, risk < c::HIGH_LEAVE.value);
        let long = |days: u32| f64::from(days) >= c::LEAVE_AFTER_D.value;
        let mut held = self.level;
        loop {
            let left = match held {
                Level::Low => false,
                Level::Some => risk < c::SOME_LEAVE.value,
                Level::Raised => long(self.below_raised_d),
                Level::High => long(self.below_high_d),
            };
            if !left {
                break;
            }
            held = held.one_lower();
        }
        self.level = held.max(Level::entered(risk));
    }
}

/// How far a level can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Freshness {
    /// The last noon-day was scored.
    Fresh,
    /// The last one or two were not: the level is that of before.
    Stale,
    /// Three and more were not, or none ever was: not known.
    Unknown,
}

/// What to show of a crop group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The level; none where it is not known.
    pub level: Option<Level>,
    /// The levels that the low and the high run enter.
    pub range: (Level, Level),
    /// How far it can be relied on.
    pub freshness: Freshness,
    /// Whether to add that it depends on the humidity sensor.
    pub uncertain: bool,
    /// Whether it may be alerted, if it has just risen: known, out of the start-up, and not "raised" or "high" on a range of three levels.
    pub may_alert: bool,
}

/// What to show after a noon-day: the `level` that is held, the `risk` of the group, and the day's count of unscored and scored days.
///
/// Where the low and the high run lie three levels apart the middle one is shown, and nothing above "some" is alerted; the lower of the two middle ones of four.
/// It is never above the level as read, so that doubt alone raises nothing (our reading of the sheet).
/// **Source**: wetness sheet 3.1 step 6 and 3.2.
///
/// ```
/// use propstick_agronomy::risk::level::{Level, LevelState, shown};
/// use propstick_agronomy::runs::Runs;
/// let held = LevelState { level: Level::Raised, ..LevelState::default() };
/// let wide = shown(&held, Runs { low: 0.10, read: 0.42, high: 0.58 }, 0, 9);
/// assert_eq!((wide.level, wide.uncertain, wide.may_alert), (Some(Level::Some), true, true));
/// let narrow = shown(&held, Runs { low: 0.30, read: 0.42, high: 0.58 }, 0, 9);
/// assert_eq!((narrow.level, narrow.uncertain, narrow.may_alert), (Some(Level::Raised), false, true));
/// ```
pub fn shown(held: &LevelState, risk: Runs<f64>, missing_d: u32, scored_d: u32) -> Shown {
    let range = (Level::entered(risk.low), Level::entered(risk.high));
    let freshness = match missing_d {
        _ if f64::from(missing_d) >= c::UNKNOWN_AFTER_D.value || scored_d == 0 => Freshness::Unknown,
        0 => Freshness::Fresh,
        _ => Freshness::Stale,
    };
    let wide = range.1.index().saturating_sub(range.0.index()) >= 2;
    let level = if wide { held.level.min(Level::ALL[range.0.index() + 1]) } else { held.level };
    let started = f64::from(scored_d) >= c::START_UP_D.value;
    Shown {
        level: (freshness != Freshness::Unknown).then_some(level),
        range,
        freshness,
        uncertain: risk.high - risk.low > c::UNCERTAIN_FROM.value,
        may_alert: freshness == Freshness::Fresh && started && !(wide && level > Level::Some),
    }
}

#[cfg(test)]
#[path = "level/tests.rs"]
mod tests;
