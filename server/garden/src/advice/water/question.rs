//! What the water decision is asked: plain values, every one that can be missing an `Option`.

use propstick_wire::Millis;

use super::{Finger, Probe, Standing, WaterBed};
use crate::advice::{Air, FrostMemory, LocalClock};
use crate::model::Crops;
use crate::record::{Sky, Wet};

/// What is to be watered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Plot {
    /// A bed, which has a sum.
    Bed,
    /// Trays and pots, which have none: they are lifted.
    Trays,
}

/// Everything the water decision knows of a bed at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterQuestion {
    /// The instant asked about.
    pub now: Millis,
    /// The garden's clock on that day.
    pub clock: LocalClock,
    /// Sunrise of the garden's local day; none: eight o'clock stands in.
    pub sunrise: Option<Millis>,
    /// A bed, or trays.
    pub plot: Plot,
    /// The bed.
    pub bed: WaterBed,
    /// How it stands; none for trays, and for a bed without a soil.
    pub standing: Option<Standing>,
    /// The last finger test, where the standing does not hold it.
    pub finger: Option<Finger>,
    /// How tough what grows there is.
    pub crops: Crops,
    /// The air inside, as last read; no humidity where the gauge is doubtful.
    pub inside: Option<Air>,
    /// What the last twelve hours were like inside.
    pub frost_memory: Option<FrostMemory>,
    /// Whether everything is shut: a hot shut cover is watered at once where it is dry.
    pub is_shut: bool,
    /// The sky today, as seen or heard.
    pub sky: Option<Sky>,
    /// Rain or fog today, as seen or heard.
    pub wet: Option<Wet>,
    /// Gusts now or heard for the hours to come, m/s.
    pub gust_m_s: Option<f64>,
    /// The lowest that was heard for tonight and tomorrow night, °C.
    pub lowest_heard_c: Option<f64>,
    /// Whether weather that dries follows within six hours; none: nobody can say.
    pub drying_follows: Option<bool>,
    /// When somebody is there who can act, from now on two days; none: not told.
    pub there: Option<Vec<(Millis, Millis)>>,
    /// Whether somebody saw the plants wilt.
    pub wilted: bool,
    /// What a probe in the bed reads.
    pub probe: Option<Probe>,
}

impl WaterQuestion {
    /// A question about `bed` of which nothing is known yet but the time.
    pub fn new(now: Millis, clock: LocalClock, plot: Plot, bed: WaterBed) -> WaterQuestion {
        WaterQuestion {
            now,
            clock,
            sunrise: None,
            plot,
            bed,
            standing: None,
            finger: None,
            crops: Crops::Hardy,
            inside: None,
            frost_memory: None,
            is_shut: false,
            sky: None,
            wet: None,
            gust_m_s: None,
            lowest_heard_c: None,
            drying_follows: None,
            there: None,
            wilted: false,
            probe: None,
        }
    }

    /// The last finger test.
    pub fn last_finger(&self) -> Option<Finger> {
        self.standing.and_then(|standing| standing.finger).or(self.finger)
    }
}
