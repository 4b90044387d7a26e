//! What is expected of a night.

use propstick_wire::Millis;

use super::{FrostCrop, NightSpan};

/// What can be said of the night.
#[derive(Clone, Debug, PartialEq)]
pub enum FrostAnswer {
    /// How cold it gets.
    Outlook(FrostOutlook),
    /// The gauge says nothing of now: nothing is known, which is not the same as no frost.
    Unknown {
        /// Why.
        why: FrostUnknown,
        /// What the forecast heard makes of it, if one was heard. It warns of itself.
        heard: Option<FrostOutlook>,
    },
    /// Before mid-afternoon: too early for the gauge to tell.
    Early {
        /// From when on it tells.
        tells_at: Millis,
        /// What the forecast heard makes of it, if one was heard.
        heard: Option<FrostOutlook>,
    },
}

impl FrostAnswer {
    /// What is expected, from the gauge or else from the forecast heard.
    pub const fn outlook(&self) -> Option<&FrostOutlook> {
        match self {
            FrostAnswer::Outlook(outlook) => Some(outlook),
            FrostAnswer::Unknown { heard, .. } | FrostAnswer::Early { heard, .. } => heard.as_ref(),
        }
    }

    /// Its word in stores and answers.
    pub fn word(&self) -> &'static str {
        match self {
            FrostAnswer::Unknown { .. } => "unknown",
            FrostAnswer::Early { .. } => "early",
            FrostAnswer::Outlook(outlook) if !outlook.is_warning() => "none",
            FrostAnswer::Outlook(outlook) if outlook.may_freeze() => "frost",
            FrostAnswer::Outlook(_) => "chill",
        }
    }
}

/// Why a gauge says nothing of now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FrostUnknown {
    /// Nothing was read since noon.
    NoReading,
    /// Nothing came for an hour.
    Silent {
        /// When it was read last.
        at: Millis,
        /// What, °C.
        t_c: f64,
        /// Whether frost was near then.
        near_frost: bool,
    },
    /// What came for an hour cannot be believed.
    Doubtful {
        /// Since when.
        since: Millis,
        /// Whether frost was near before.
        near_frost: bool,
    },
    /// One reading alone: it waits for the next.
    One {
        /// When it was read.
        at: Millis,
    },
    /// The sun does not set and rise again.
    NoNight,
}

impl FrostUnknown {
    /// Whether frost was near when the gauge was last believed: then it is said louder.
    pub const fn near_frost(self) -> bool {
        matches!(self, FrostUnknown::Silent { near_frost: true, .. } | FrostUnknown::Doubtful { near_frost: true, .. })
    }
}

/// How cold the leaves at one spot get in the night that comes or goes on. Where nothing can be said there is none of these.
#[derive(Clone, Debug, PartialEq)]
pub struct FrostOutlook {
    /// Lowest temperature at leaf level, under the covers that lie over the crop as asked: lower and upper end, whole °C, the lower first.
    pub low_c: (i32, i32),
    /// The same before rounding, to reckon on with; never shown.
    pub leaf_c: (f64, f64),
    /// Lowest temperature of the air at the gauge, °C: both ends, to be held against what is measured in the morning.
    pub gauge_c: (f64, f64),
    /// The likeliest low there, °C.
    pub likely_c: f64,
    /// How it was found.
    pub by: FrostBy,
    /// The night.
    pub night: NightSpan,
    /// When it is coldest: sunrise.
    pub when: Millis,
    /// When the air at the gauge could reach 0 °C if it goes on so; only from two hours after sunset, and where it lies ahead and before sunrise.
    pub zero_at: Option<Millis>,
    /// What is to be said now.
    pub speak: Speak,
    /// What the lower end is held against, °C: a degree above where damage to the tenderest crop begins; 0 where no crop is known.
    pub limit_c: f64,
    /// What grows there and is in danger.
    pub danger: Vec<FrostCrop>,
    /// What would form on leaves that freeze, where that can be told.
    pub ice: Option<Ice>,
    /// Whether a look, the forecast or the fall of the air says that the night is clear and still.
    pub clear: bool,
    /// The figures it rests on.
    pub figures: FrostFigures,
    /// What is not known, most important first.
    pub doubts: Vec<FrostDoubt>,
}

impl FrostOutlook {
    /// Whether the leaves may freeze, whatever grows there.
    pub const fn may_freeze(&self) -> bool {
        self.low_c.0 <= 0
    }

    /// Whether even the upper end of the range freezes leaves.
    pub const fn will_freeze(&self) -> bool {
        self.low_c.1 <= 0
    }

    /// Whether what grows there is in danger: it may get as cold as its limit.
    pub fn is_warning(&self) -> bool {
        f64::from(self.low_c.0) <= self.limit_c
    }

    /// The range at leaf level under a further cover that gains `gain_c` °C there, 0 and more.
    pub fn under_another(&self, gain_c: f64) -> (i32, i32) {
        let gain_c = if gain_c.is_finite() { gain_c.max(0.0) } else { 0.0 };
        whole((self.leaf_c.0 + gain_c, self.leaf_c.1 + gain_c))
    }
}

/// Both ends in whole degrees.
pub(super) fn whole((lower, upper): (f64, f64)) -> (i32, i32) {
    (lower.round() as i32, upper.round() as i32)
}

/// The figures an outlook rests on; none of them where only a forecast was heard.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrostFigures {
    /// When the gauge was read.
    pub at: Option<Millis>,
    /// Air at the gauge, °C.
    pub t_c: Option<f64>,
    /// Dew point there, °C.
    pub dew_c: Option<f64>,
    /// Air outside and its dew point, °C, where the range under a cover goes by them.
    pub outside_c: Option<(f64, Option<f64>)>,
    /// How far it fell at most on the last nights from this hour, °C, where the range goes by that.
    pub fell_c: Option<f64>,
    /// How far the air has fallen since mid-afternoon, °C.
    pub fall_c: Option<f64>,
    /// How fast it cools, °C an hour.
    pub cooling_c_h: Option<f64>,
    /// The low heard for tonight, °C.
    pub heard_c: Option<f64>,
    /// The gauge leaves a lower low open than what was heard, and is gone by.
    pub gauge_over_heard: bool,
}

/// How an outlook was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrostBy {
    /// By rule, from dusk dew point, fall since mid-afternoon, window look and forecast.
    Rule,
    /// From this sensor's own clear nights.
    Learned {
        /// How many there are.
        nights: usize,
    },
    /// From the forecast heard alone.
    Heard,
}

/// What is to be said about it at this hour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Speak {
    /// Nothing: no danger, or too early in the day.
    Nothing,
    /// From mid-afternoon: there may be frost.
    May,
    /// From an hour before sunset: lay covers now.
    LayNow,
    /// From two hours after sunset: with figures and the hour.
    Figures,
}

/// What forms on leaves that freeze.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ice {
    /// Hoar: they are white; the vapour that freezes gives its warmth.
    Hoar,
    /// Black frost: the air is too dry for hoar; leaves freeze without a sign and cool faster.
    Black,
}

/// What is not known of a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FrostDoubt {
    /// The last reading was so far from the one before that it waits for the next.
    Jump,
    /// No humidity to be believed, so no dew point.
    NoDewPoint,
    /// The humidity gauge is at its end.
    Saturated,
    /// Nobody has looked at the sky, and no forecast was heard.
    NoSky,
    /// The afternoon was not measured, or only with sun on the gauge.
    NoAfternoon,
    /// The air at dusk lies beyond all nights that were learned from.
    BeyondLearned,
    /// The past week is not known, so crops are taken as not hardened.
    NoWeek,
}
