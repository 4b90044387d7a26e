//! What the vent decision is asked: plain values, every one that can be missing an `Option`.

use propstick_wire::Millis;

use super::LocalClock;
use crate::model::{Crops, Structure, StructureKind, Vent};

/// Everything the vent decision knows of a structure at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct VentQuestion {
    /// The instant asked about.
    pub now: Millis,
    /// The garden's clock on that day.
    pub clock: LocalClock,
    /// Sunrise of the garden's local day; none in polar day or night.
    pub sunrise: Option<Millis>,
    /// Sunset of the garden's local day; none in polar day or night.
    pub sunset: Option<Millis>,
    /// The structure.
    pub structure: VentStructure,
    /// The air inside, as last read.
    pub inside: Option<Air>,
    /// The air outside, as last read.
    pub outside: Option<Air>,
    /// A measured leaf or soil surface inside, °C.
    pub surface_c: Option<f64>,
    /// What the last twelve hours were like inside.
    pub frost_memory: Option<FrostMemory>,
    /// How fast the air inside warms, °C an hour; negative where it cools.
    pub trend_inside_c_h: Option<f64>,
    /// How fast the air outside warms, °C an hour.
    pub trend_outside_c_h: Option<f64>,
    /// Stated error of the humidity sensor inside, points of %RH.
    pub rh_error_inside_pct: f64,
    /// Stated error of the humidity sensor outside, points of %RH.
    pub rh_error_outside_pct: f64,
    /// Gusts now or heard for the hours to come, m/s.
    pub gust_m_s: Option<f64>,
    /// Where the wind comes from, degrees from north, clockwise.
    pub wind_from_deg: Option<f64>,
    /// Whether somebody who looked out saw fog. Until somebody has, 99.5 % and more outside counts as fog.
    pub fog: Option<bool>,
}

/// Error of a humidity sensor that nobody has stated, points of %RH.
pub const DEFAULT_RH_ERROR_PCT: f64 = 3.0;

impl VentQuestion {
    /// A question about `structure` of which nothing is known yet but the time.
    pub fn new(now: Millis, clock: LocalClock, structure: VentStructure) -> VentQuestion {
        VentQuestion {
            now,
            clock,
            sunrise: None,
            sunset: None,
            structure,
            inside: None,
            outside: None,
            surface_c: None,
            frost_memory: None,
            trend_inside_c_h: None,
            trend_outside_c_h: None,
            rh_error_inside_pct: DEFAULT_RH_ERROR_PCT,
            rh_error_outside_pct: DEFAULT_RH_ERROR_PCT,
            gust_m_s: None,
            wind_from_deg: None,
            fog: None,
        }
    }
}

/// What the vent decision has to know of a structure.
#[derive(Clone, Debug, PartialEq)]
pub struct VentStructure {
    /// What kind it is.
    pub kind: StructureKind,
    /// What can be opened. Nothing: there is no vent decision.
    pub vents: Vec<Vent>,
    /// How tough what grows in it is.
    pub crops: Crops,
}

impl From<&Structure> for VentStructure {
    fn from(structure: &Structure) -> Self {
        VentStructure { kind: structure.kind, vents: structure.vents.clone(), crops: structure.crops }
    }
}

/// Air as one reading of temperature and humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, °C.
    pub t_c: f64,
    /// Relative humidity over water, %; none where the gauge is missing or marked as not to be believed.
    pub rh_pct: Option<f64>,
    /// When it was read: the older of the two readings.
    pub at: Millis,
}

/// What the last twelve hours were like inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrostMemory {
    /// Lowest air temperature inside, °C.
    pub lowest_c: f64,
    /// Whether the air inside has been above 3 °C since it was that low: then leaves are taken as thawed.
    pub thawed: bool,
}
