//! What the water decision answers. The sentences are made from it in [`crate::wording`].

use propstick_wire::Millis;

use super::{Band, Dose, Finger, ProbeSays};

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterAdvice {
    /// What to do, in one word.
    pub verdict: WaterVerdict,
    /// The rule that decided.
    pub rule: WaterRule,
    /// Whole days in hand, least and most, at most [`super::limits::DAYS_MOST`]; none where not known.
    pub days: Option<(u32, u32)>,
    /// How much, where it is dry: none for trays, or where what is missing is not known.
    pub dose: Option<Dose>,
    /// From when until when to water or look, where somebody is to act; within the times somebody is there.
    pub when: Option<(Millis, Millis)>,
    /// Whether a finger is asked for.
    pub asks_finger: bool,
    /// Whether the edges, which dry first under a film, are to be felt and watered on their own.
    pub edges: bool,
    /// When to lift trays a second time.
    pub again: Option<Millis>,
    /// When to look again: until then the advice stands.
    pub look_again: Millis,
    /// What nobody has entered that would make it better.
    pub missing: Vec<Missing>,
    /// What a probe says.
    pub probe: Option<ProbeSays>,
    /// What is not known.
    pub doubts: Vec<WaterDoubt>,
    /// What to mind.
    pub cautions: Vec<WaterCaution>,
    /// What is missing to a full soil, mm.
    pub missing_mm: Option<Band>,
    /// What the crop can take of it without suffering, mm.
    pub readily_mm: Option<f64>,
    /// What it uses a day, mm.
    pub use_mm_d: Option<Band>,
    /// The last finger test.
    pub finger: Option<Finger>,
}

/// What to do about water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WaterVerdict {
    /// Nothing: there are days in hand.
    Wait,
    /// Push a finger in; water only if it is dry.
    Feel,
    /// Water.
    Water,
    /// No water now, dry or not.
    Leave,
    /// Lift the trays and water the light ones.
    Lift,
}

impl WaterVerdict {
    /// All of them.
    pub const ALL: [WaterVerdict; 5] =
        [WaterVerdict::Wait, WaterVerdict::Feel, WaterVerdict::Water, WaterVerdict::Leave, WaterVerdict::Lift];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            WaterVerdict::Wait => "wait",
            WaterVerdict::Feel => "feel",
            WaterVerdict::Water => "water",
            WaterVerdict::Leave => "leave",
            WaterVerdict::Lift => "lift",
        }
    }
}

/// The rules; the first that applies decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WaterRule {
    /// Nobody goes out in a gale.
    Gale,
    /// Frozen leaves are left alone.
    Frozen,
    /// Trays have no sum.
    Trays,
    /// Wilted in wet soil: no water.
    WiltedInWet,
    /// Wilted, and the soil not known to be wet: feel first.
    Wilted,
    /// A hot shut cover: at the root, at once, only if dry.
    HotShut,
    /// Hard frost is heard.
    HardFrost,
    /// It rains on the bed.
    Raining,
    /// A finger found it dry.
    FeltDry,
    /// A finger found it moist or wet.
    FeltMoist,
    /// Frost is heard, or it is April: dry soil only.
    DrySoilOnly,
    /// November to February: the sum alone orders nothing.
    Winter,
    /// Winter, damp air and no drying weather ahead: a top-up would only feed mould.
    Damp,
    /// The sum.
    Sum,
    /// The sum knows too little.
    SumUnknown,
    /// There is no sum without a soil.
    NoSoil,
}

impl WaterRule {
    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            WaterRule::Gale => "gale",
            WaterRule::Frozen => "frozen",
            WaterRule::Trays => "trays",
            WaterRule::WiltedInWet => "wilted_in_wet",
            WaterRule::Wilted => "wilted",
            WaterRule::HotShut => "hot_shut",
            WaterRule::HardFrost => "hard_frost",
            WaterRule::Raining => "raining",
            WaterRule::FeltDry => "felt_dry",
            WaterRule::FeltMoist => "felt_moist",
            WaterRule::DrySoilOnly => "dry_soil_only",
            WaterRule::Winter => "winter",
            WaterRule::Damp => "damp",
            WaterRule::Sum => "sum",
            WaterRule::SumUnknown => "sum_unknown",
            WaterRule::NoSoil => "no_soil",
        }
    }
}

/// What nobody has entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Missing {
    /// The bed's soil.
    Soil,
    /// The bed's size.
    Area,
    /// What its drip line gives in a minute.
    DripFlow,
}

/// What is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WaterDoubt {
    /// The climate of that many days up to yesterday.
    UnknownDays(u32),
    /// No finger test, and no soaking, has told yet how full the soil is.
    NeverTold,
    /// The can's size was not said: nine litres are taken.
    CanAssumed,
    /// A probe speaks against the sum.
    ProbeDisagrees,
    /// Nobody is there at a time to water within two days.
    NobodyThere,
}

/// What to mind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WaterCaution {
    /// Nobody goes out in the dark, on ice or in a wind.
    StayIn,
    /// No touching until leaves are soft.
    LeaveFrozenAlone,
    /// On a bright morning, so that leaves and soil dry off.
    BrightMorning,
    /// Water does not keep frost off here.
    NotAgainstFrost,
    /// A plant that wilts in wet soil wants shade and air.
    WiltedInWet,
    /// Water that has stood under the cover, not cold from the pipe.
    StoodWater,
}
