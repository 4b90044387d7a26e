//! What the vent decision is asked: plain values, every one that can be missing an `Option`.

use propstick_agronomy::runs::Runs;
use propstick_wire::Millis;

use super::frost::FrostOutlook;
use super::{Growth, LocalClock, Presence, Weather};
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
    /// Gusts measured now, m/s; what is heard stands in the weather.
    pub gust_m_s: Option<f64>,
    /// Where the wind comes from, degrees from north, clockwise.
    pub wind_from_deg: Option<f64>,
    /// Whether somebody who looked out saw fog. Until somebody has, 99.5 % and more outside counts as fog.
    pub fog: Option<bool>,
    /// What was seen and heard of the weather.
    pub weather: Weather,
    /// Who is there and when; none where nobody has told: then somebody is taken to be there from sunrise to an hour after sunset.
    pub presence: Option<Presence>,
    /// How damp it has been.
    pub damp: DampStory,
    /// How cold the leaves get tonight.
    pub frost: Option<FrostOutlook>,
    /// Air temperature outside of the last 26 hours, °C, oldest first.
    pub past_outside: Vec<(Millis, f64)>,
    /// Air temperature inside of the last 26 hours, °C, oldest first.
    pub past_inside: Vec<(Millis, f64)>,
    /// Latitude and longitude, degrees, for the light of a clear sky.
    pub place: Option<(f64, f64)>,
    /// Share of the light that the cover lets through, 0 to 1; a single clear film's where none is told.
    pub transmission: Option<f64>,
    /// Soil temperature where lettuce was just sown or is about to be, °C; none unless it is asked.
    pub sown_soil_c: Option<f64>,
    /// How fast things grow there; none where it is not worked out.
    pub growth: Option<Growth>,
    /// Whether a plan for picking is asked: something stands there to be picked.
    pub picking: bool,
}

/// How damp it has been in a structure.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DampStory {
    /// Hours the leaves were wet in the last noon-day.
    pub wet_h_last_night: Option<Runs<f64>>,
    /// Damp days in a row up to now.
    pub damp_days: Option<Runs<u32>>,
    /// Since when the humidity gauge inside has been stuck or saturated beyond belief; its reading then counts for nothing.
    pub gauge_stuck_since: Option<Millis>,
    /// Whether leaves are wet now.
    pub wet_now: Option<bool>,
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
            weather: Weather::default(),
            presence: None,
            damp: DampStory::default(),
            frost: None,
            past_outside: Vec::new(),
            past_inside: Vec::new(),
            place: None,
            transmission: None,
            sown_soil_c: None,
            growth: None,
            picking: false,
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
