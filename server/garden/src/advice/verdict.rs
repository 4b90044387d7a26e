//! What the vent decision answers: the verdict, the moves, and every figure it rests on. The sentences are made from it in
//! [`crate::wording`].

use propstick_wire::Millis;

use super::{Growth, OutlookHour};
use crate::model::Notch;

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// What to do, in one word.
    pub verdict: VentVerdict,
    /// What it is for.
    pub aim: Aim,
    /// The rule that decided.
    pub rule: Rule,
    /// What to set, when. None for [`VentVerdict::Shut`] means: keep everything closed, nobody has to act.
    pub moves: Vec<Move>,
    /// When to look again, where the rule knows.
    pub look_again: Option<Millis>,
    /// What to expect once the moves are made, where that can be said.
    pub expect: Expect,
    /// The figures it rests on.
    pub figures: Figures,
    /// Decided by season and hour, not by reading.
    pub by_rule: bool,
    /// What is not known, most important first.
    pub doubts: Vec<Doubt>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// How the day's plan fits who is there and what is to come.
    pub day: DayNote,
    /// What else the hour asks for: picking, looking, sowing.
    pub also: Vec<Also>,
}

/// How a plan fits who is there and what is to come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayNote {
    /// Nobody is there now, and somebody comes then.
    pub away_until: Option<Millis>,
    /// Nobody is there now and nobody is told to come, or `away_until`.
    pub away: bool,
    /// The harm cannot wait until then: anybody who can should do it.
    pub anyone: bool,
    /// The first move is made on leaving, to stand until somebody is back.
    pub on_leaving: bool,
    /// The warmest that it would get shut, where that is above the crop's limit.
    pub peak: Option<OutlookHour>,
    /// When it would pass that limit shut.
    pub passes: Option<Millis>,
    /// Further moves, with what they gain.
    pub further: Option<Further>,
    /// A gale is heard for the night: everything is shut and fastened by then, and until then the other rules decide.
    pub fasten_by: Option<Millis>,
}

/// Moves that one may make beside the plan of one move.
#[derive(Clone, Debug, PartialEq)]
pub struct Further {
    /// The plan with these in place of the moves given.
    pub moves: Vec<Move>,
    /// What they gain: hours above the crop's limit that they spare.
    pub spares_hot_h: f64,
}

/// What else the hour asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Also {
    /// Pick in these hours, when leaves should be dry and not frozen.
    Pick {
        /// From when.
        from: Millis,
        /// Until when.
        until: Millis,
        /// Whether they are wet now, so that it is not before they have dried.
        wet: bool,
    },
    /// Leaves grow back slowly or not at all.
    GoLightly(Growth),
    /// Pick only what is needed: leaves stay wet today.
    PickIfNeeded,
    /// No picking until the fog has gone.
    PickLater,
    /// Pick off yellow and touching leaves and carry them out.
    BadLeaves,
    /// Look for blotches when the leaves are dry.
    Scout {
        /// Whether tomorrow: the leaves do not dry today.
        tomorrow: bool,
    },
    /// No sowing of lettuce in the heat of the day.
    SowLater {
        /// The soil, °C.
        soil_c: f64,
    },
}

/// What to do with the vents.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum VentVerdict {
    /// Keep or make everything shut.
    Shut,
    /// Open for the sake of moving air; drying is not promised.
    MoveAir,
    /// Open for a short while, shut to warm up again, repeat.
    Purge,
    /// Open to dry.
    Dry,
    /// Open against heat.
    Cool,
    /// Nothing is known of the inside.
    Unknown,
}

impl VentVerdict {
    /// All of them.
    pub const ALL: [VentVerdict; 6] = [
        VentVerdict::Shut,
        VentVerdict::MoveAir,
        VentVerdict::Purge,
        VentVerdict::Dry,
        VentVerdict::Cool,
        VentVerdict::Unknown,
    ];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            VentVerdict::Shut => "shut",
            VentVerdict::MoveAir => "move_air",
            VentVerdict::Purge => "purge",
            VentVerdict::Dry => "dry",
            VentVerdict::Cool => "cool",
            VentVerdict::Unknown => "unknown",
        }
    }
}

/// What a verdict is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aim {
    /// To dry leaves and air, or to keep water out.
    Dry,
    /// To move air.
    MoveAir,
    /// To keep warmth, and the structure, in.
    KeepWarmth,
}

impl Aim {
    /// All of them.
    pub const ALL: [Aim; 3] = [Aim::Dry, Aim::MoveAir, Aim::KeepWarmth];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Aim::Dry => "dry",
            Aim::MoveAir => "move_air",
            Aim::KeepWarmth => "keep_warmth",
        }
    }
}

/// The rules in their order of safety; the first that applies decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// 1. People, and gale.
    Gale,
    /// 2. Frozen leaves are left alone.
    Frozen,
    /// 3. Heat.
    Heat,
    /// Heat that is to come before somebody can act again.
    HeatAhead,
    /// 4. Cold.
    Cold,
    /// 5. Wetting of surfaces.
    Wetting,
    /// The night's own rule, in place of 6 and 7 from two hours before sunset until sunrise.
    Night,
    /// 6. Drying.
    Drying,
    /// 7. Moving air.
    MovingAir,
    /// Season and hour, where readings are missing.
    SeasonAndHour,
}

impl Rule {
    /// All of them.
    pub const ALL: [Rule; 10] = [
        Rule::Gale,
        Rule::Frozen,
        Rule::Heat,
        Rule::HeatAhead,
        Rule::Cold,
        Rule::Wetting,
        Rule::Night,
        Rule::Drying,
        Rule::MovingAir,
        Rule::SeasonAndHour,
    ];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Rule::Gale => "gale",
            Rule::Frozen => "frozen",
            Rule::Heat => "heat",
            Rule::HeatAhead => "heat_ahead",
            Rule::Cold => "cold",
            Rule::Wetting => "wetting",
            Rule::Night => "night",
            Rule::Drying => "drying",
            Rule::MovingAir => "moving_air",
            Rule::SeasonAndHour => "season_and_hour",
        }
    }

    /// Whether it guards against harm that cannot wait: people, gale, frozen leaves, heat, cold.
    pub const fn is_urgent(self) -> bool {
        matches!(self, Rule::Gale | Rule::Frozen | Rule::Heat | Rule::Cold)
    }
}

/// One opening, set to a notch for a while.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// Slug of the vent; none for the sheltered end, where the wind is not known.
    pub vent: Option<String>,
    /// How far.
    pub notch: Notch,
    /// From when.
    pub from: Millis,
    /// Until when; none for until further notice.
    pub until: Option<Millis>,
}

/// What to expect once the moves are made.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expect {
    /// Lowest and highest air temperature, °C.
    pub air_c: Option<(f64, f64)>,
    /// Lowest and highest relative humidity once the air is exchanged, %.
    pub rh_pct: Option<(f64, f64)>,
}

/// The figures a verdict rests on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// The air inside.
    pub inside: Option<AirFigures>,
    /// The air outside.
    pub outside: Option<AirFigures>,
    /// Vapour pressure inside less that outside, kPa.
    pub difference_kpa: Option<f64>,
    /// The dead band: what both gauges' errors make of that difference, kPa.
    pub band_kpa: Option<f64>,
    /// How much drier outside is, `1 - e_out / e_in`.
    pub dryness: Option<f64>,
    /// What that must exceed for humidity to fall, with little and with all of the heat leaving through the vents.
    pub thresholds: Option<(f64, f64)>,
    /// Humidity once all air is exchanged and as warm as now, %.
    pub flushed_pct: Option<f64>,
    /// The temperature limit that decided, °C.
    pub limit_c: Option<f64>,
    /// The temperature held against it, °C: as read, or as it will be in two hours at this rate.
    pub against_c: Option<f64>,
    /// Gusts, m/s.
    pub gust_m_s: Option<f64>,
    /// Whether a gale is only heard of yet.
    pub gale_heard: bool,
    /// The low heard for tonight, °C, where it decided.
    pub heard_low_c: Option<f64>,
}

/// Air as it was read, and what follows from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirFigures {
    /// Temperature, °C.
    pub t_c: f64,
    /// Relative humidity as used, %.
    pub rh_pct: Option<f64>,
    /// Vapour pressure, kPa.
    pub e_kpa: Option<f64>,
    /// Dew point over water, °C.
    pub dew_c: Option<f64>,
    /// When it was read.
    pub at: Millis,
}

/// What is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Doubt {
    /// Nothing is read inside.
    NoInside,
    /// The last reading inside is too old.
    OldInside {
        /// When it was read.
        at: Millis,
    },
    /// No humidity to be believed inside.
    NoInsideHumidity,
    /// The humidity gauge inside is stuck.
    GaugeStuck {
        /// Since when.
        since: Millis,
    },
    /// Nothing is read outside.
    NoOutside,
    /// The last reading outside is too old.
    OldOutside {
        /// When it was read.
        at: Millis,
    },
    /// No humidity to be believed outside.
    NoOutsideHumidity,
    /// The difference is inside what the gauges can tell.
    WithinBand,
    /// Fog is guessed from the gauge: nobody has looked out.
    FogGuessed,
    /// When the sun rises and sets is not known here.
    NoSun,
}

/// What to mind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Caution {
    /// Nobody goes out in the dark, on ice or in a wind.
    StayIn,
    /// Both ends, fastened, while it is light; nobody up a ladder.
    Fasten,
    /// No picking, watering, lifting of fleece until leaves are soft.
    LeaveFrozenAlone,
    /// Open in steps: soft leaves suffer from a sudden draught.
    InSteps,
    /// Only the sheltered end: no draught through soft seedlings.
    NoThroughDraught,
    /// Tender trays among hardy beds: move or fleece them.
    MoveTrays,
    /// Only if a look outside shows no fog, frost or strong wind.
    LookOutFirst,
    /// Shut before dark if frost or a gale is heard for the night.
    ShutIfFrostOrGaleHeard,
    /// Leave it as it stands if it is dark already: not worth going out for.
    NotForThisInTheDark,
    /// Keep it so tonight: it is heard to be mild and without a gale.
    KeepTonight,
    /// Leave it open tonight and every night that is warm.
    KeepOpenNights,
    /// The windward end is shut if rain blows in.
    WindwardIfRainIn,
    /// Rain reaches the leaves under an open lid or a lifted side.
    RainReaches,
    /// Only if the leaves are soft by then; else it is left.
    OnlyIfSoft,
    /// The openings can only be shut or wide open, and wide is too much.
    AllOrNothing,
}
