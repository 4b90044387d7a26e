//! The numbers the vent decision turns on, in one place. All are common practice from judgement (climate sheet 6.5,
//! wetness sheet 4.6, the advice page), none is measured.

use crate::model::Crops;

/// Readings older than this say nothing of now, minutes (climate sheet 6.5).
pub const FRESH_MIN: i64 = 60;
/// Gusts above this shut everything, m/s (climate sheet 6.5).
pub const GALE_M_S: f64 = 15.0;
/// Leaves count as frozen from here down, °C.
pub const FROZEN_C: f64 = 0.0;
/// Leaves count as thawed once the air inside has been above this, °C (climate sheet 6.5).
pub const THAWED_C: f64 = 3.0;
/// How far ahead a trend is carried, h (climate sheet 6.5: "for the next 2 h").
pub const AHEAD_H: f64 = 2.0;
/// Outside, above this, air may be moved through hardy crops, °C (advice page, rule 7).
pub const MOVING_AIR_C: f64 = 4.0;
/// Outside, from here, openings stand open all summer night and air may be moved through tender crops, °C.
pub const WARM_NIGHT_C: f64 = 12.0;
/// Outside, below this, tender crops are shut in at night, °C (advice page, nights).
pub const TENDER_NIGHT_C: f64 = 10.0;
/// Below this, mornings and evenings are kept shut for warmth, °C.
pub const COLD_DAY_C: f64 = 10.0;
/// Below this outside, a hot or soft crop is opened in steps, °C (advice page, scenarios 8 and 11).
pub const STEPS_C: f64 = 15.0;
/// Humidity outside that counts as fog while nobody has looked out, % (climate sheet 1.5: "saturated").
pub const FOG_PCT: f64 = 99.5;
/// Inside, from here, a night is damp, %.
pub const DAMP_PCT: f64 = 85.0;
/// Outside, below this, a day is dry enough to see, %.
pub const DRY_DAY_PCT: f64 = 80.0;
/// How long a cold morning is left shut after sunrise, and a cold evening shut before sunset, h (climate sheet 6.5).
pub const COLD_MARGIN_H: i64 = 2;
/// How long before sunset other evenings are made ready for the night, h (climate sheet 6.5: "1-2 h before sunset").
pub const EVENING_MARGIN_H: i64 = 1;
/// A purge, minutes: 15 to 30 in climate sheet 6.5.
pub const PURGE_MIN: i64 = 20;
/// Warming up again between purges, minutes.
pub const WARM_UP_MIN: i64 = 60;
/// Between two steps of opening, minutes (advice page, scenario 8).
pub const STEP_MIN: i64 = 10;
/// Smallest and largest share of the heat that leaves through open vents: from a crack to wide open in wind. The share is
/// not known, as nothing measures the flow, so drying is promised only where it holds for all of them.
pub const VENTILATION_SHARES: (f64, f64) = (0.3, 1.0);

/// What a crop stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Inside, above this it is too hot, °C (climate sheet 6.5).
    pub hot_c: f64,
    /// Inside, below this nothing is opened, °C (climate sheet 6.5).
    pub venting_c: f64,
    /// Air that settles below this harms it, °C (wetness sheet 4.6, chill limit).
    pub chill_c: f64,
    /// Outside, below this nothing is opened, °C (climate sheet 6.5).
    pub outside_c: f64,
}

impl Limits {
    /// What hardy crops stand.
    pub const HARDY: Limits = Limits { hot_c: 28.0, venting_c: 3.0, chill_c: 0.0, outside_c: -1.0 };
    /// What tender crops stand.
    pub const TENDER: Limits = Limits { hot_c: 32.0, venting_c: 12.0, chill_c: 8.0, outside_c: 2.0 };

    /// The limits to decide by. Where tender trays stand among hardy beds, the beds decide and the trays are moved.
    pub const fn of(crops: Crops) -> Limits {
        match crops {
            Crops::Hardy | Crops::Both => Limits::HARDY,
            Crops::Tender => Limits::TENDER,
        }
    }
}
