//! What is expected of a night.

use propstick_wire::Millis;

/// How cold the leaves at one spot get in the night that comes or goes on. Where nothing can be said there is none of these.
#[derive(Clone, Debug, PartialEq)]
pub struct FrostOutlook {
    /// Lowest temperature at leaf level, under the covers that lie over the crop as asked: lower and upper end, whole °C, the lower first.
    pub low_c: (i32, i32),
    /// How it was found.
    pub by: FrostBy,
    /// When it is coldest: sunrise.
    pub when: Millis,
    /// When leaves could reach 0 °C if it goes on so, where that lies ahead and before sunrise.
    pub zero_at: Option<Millis>,
    /// What is to be said now.
    pub speak: Speak,
    /// What the lower end is held against, °C: a degree above where damage to the tenderest crop begins; 0 where no crop is known.
    pub limit_c: f64,
    /// What would form on the leaves, where that can be told.
    pub ice: Option<Ice>,
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
    /// No humidity to be believed, so no dew point.
    NoDewPoint,
    /// Nobody has looked at the sky, and no forecast was heard.
    NoSky,
    /// The last reading was so far from the one before that it waits for the next.
    Jump,
    /// The afternoon was not measured.
    NoAfternoon,
    /// The last usable reading is older than an hour.
    Old {
        /// When it was read.
        at: Millis,
    },
    /// The air at dusk lies beyond all nights that were learned from.
    BeyondLearned,
    /// When the sun sets and rises is not known here.
    NoSun,
}
