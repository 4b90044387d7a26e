//! The numbers the vent decision turns on, in one place. All are common practice from judgement (climate sheet 6.5,
//! wetness sheet 4.6, the advice page), none is measured.

use crate::model::Crops;

/// Readings older than this say nothing of now, minutes (climate sheet 6.5).
pub const FRESH_MIN: i64 = 60;
/// Gusts above this shut everything, m/s (climate sheet 6.5).
pub const GALE_M_S: f64 = 15.0;
/// Gusts over the mean wind, where only means are measured: over open ground 1.4 to 1.7; common practice, no source.
pub const GUST_FACTOR: f64 = 1.6;
/// Mean wind from which an opening that faces it is no more than cracked, m/s: branches move; common practice, no source.
pub const FRESH_WIND_M_S: f64 = 8.0;
/// Within this of the wind's direction an opening faces it, degrees; common practice, no source.
pub const FACES_WIND_DEG: f64 = 60.0;
/// Air outside falls no further in a night than this below its dew point, °C; common practice, no source.
pub const BELOW_DEW_C: f64 = 1.0;
/// Nobody shuts an opening or lays a cover later than this after sunset, h; common practice, no source.
pub const AFTER_SUNSET_H: i64 = 1;
/// A low of the night at or below this, as heard or worked out, can be frost at the leaf, °C; common practice, no source.
pub const FROST_HEARD_C: f64 = 2.0;
/// Gusts that stand for a gale of which nobody named a figure, m/s; common practice, no source.
pub const GALE_SEEN_M_S: f64 = 20.0;
/// A gale that has blown is over once gusts have stayed below this for [`GALE_QUIET_H`], m/s; common practice, no source.
pub const GALE_OVER_M_S: f64 = 12.0;
/// See [`GALE_OVER_M_S`], h; common practice, no source.
pub const GALE_QUIET_H: i64 = 1;
/// A wind gauge that has shown the same for so long is stuck, h; common practice, no source.
pub const WIND_STUCK_H: i64 = 24;
/// "Tonight" said before this hour of the clock means the night that goes on, from then the one that comes; common practice, no source.
pub const TONIGHT_FROM_H: u32 = 4;
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
/// Inside, from here, leaves count as wet where nothing else tells, % (wetness sheet: the default rule).
pub const WET_LEAF_PCT: f64 = 90.0;
/// Leaves wet from the night are not dry before this after sunrise, h.
pub const DRY_AFTER_SUNRISE_H: i64 = 2;
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

/// Over how many hours today's difference from yesterday fades (the advice page's outlook).
pub const DIFFERENCE_FADES_H: f64 = 6.0;
/// Over how many hours shut air loses what the sun does not explain; judgement.
pub const EXCESS_FADES_H: f64 = 2.0;
/// Doubt of the air outside now, its growth an hour, and its most, °C; judgement.
pub const SPREAD_C: f64 = 0.5;
/// See [`SPREAD_C`].
pub const SPREAD_C_H: f64 = 0.4;
/// See [`SPREAD_C`].
pub const SPREAD_MOST_C: f64 = 4.0;
/// What is left of the side of the doubt that a seen sky speaks against; judgement.
pub const SKY_NARROWS: f64 = 0.5;
/// How far a low or a high that was heard may be out, °C; judgement.
pub const HEARD_C: f64 = 2.0;
/// Least and most of the clear-sky rise that a clear day brings: a real one may be 15 to 25 % below (climate sheet 3.4).
pub const RISE_LEAST: f64 = 0.7;
/// See [`RISE_LEAST`].
pub const RISE_MOST: f64 = 1.15;
/// Share of the clear-sky rise under a covered and a broken sky; judgement.
pub const OVERCAST_SHARE: f64 = 0.25;
/// See [`OVERCAST_SHARE`].
pub const BROKEN_SHARE: f64 = 0.6;
/// What one setting costs beside the harm it spares, in the hours of the day plan: the way there, and what an hour of work costs; judgement.
pub const SETTING_H: f64 = 0.2;
/// See [`SETTING_H`].
pub const WORK_SHARE: f64 = 2.0;
/// From here of nights, a crack may stay open over hardy crops, °C heard (advice page, scenario 1).
pub const CRACK_NIGHT_C: f64 = 4.0;
/// How long one end stays cracked after a thaw, h (advice page, scenario 3: 1 to 2 h).
pub const AFTER_THAW_H: i64 = 2;
/// Lettuce seed sleeps above this, °C in the soil (wetness sheet 4.5; the advice page's scenario 13).
pub const LETTUCE_SOIL_C: f64 = 25.0;
/// A damp spell for covers and leaves, from this many damp days, or wet hours in a night; judgement.
pub const DAMP_DAYS: u32 = 2;
/// See [`DAMP_DAYS`].
pub const WET_NIGHT_H: f64 = 10.0;
/// A plan must spare at least this much harm, in the hours of [`super::day_plan`], before a further move is offered.
pub const WORTH_A_MOVE: f64 = 1.0;
/// How long before leaving the last move is made, minutes.
pub const BEFORE_LEAVING_MIN: i64 = 15;

// Harm in the hours of the day plan: an hour at one degree above what a crop likes is 1, and "wide" counts cracks of one opening. All common practice,
// no source.

/// What the low, the middle and the high run of the outlook count.
pub const HARM_OF_RUNS: [f64; 3] = [0.2, 0.6, 0.2];
/// How much more each degree counts that lies more than [`FAR_OVER_C`] above what the crop likes.
pub const HARM_FAR_OVER: f64 = 3.0;
/// See [`HARM_FAR_OVER`], °C.
pub const FAR_OVER_C: f64 = 5.0;
/// An hour open by a crack, for each degree outside below what nothing is opened at.
pub const HARM_BELOW_OUTSIDE: f64 = 0.25;
/// An hour open by a crack, for each degree outside below [`MOVING_AIR_C`].
pub const HARM_COLD_DRAUGHT: f64 = 0.1;
/// An hour open by a crack over soft leaves while it is colder outside than [`COLD_DAY_C`].
pub const HARM_SOFT_DRAUGHT: f64 = 0.15;
/// An hour open by a crack otherwise: what is open without need is shut.
pub const HARM_OPEN: f64 = 0.02;
/// A step of the outlook open by a crack over leaves that are still frozen.
pub const HARM_OVER_FROZEN: f64 = 0.75;
/// A step of the outlook, for each crack beyond one over leaves within the hour after they thawed: they are let down gently.
pub const HARM_OVER_THAWED: f64 = 0.5;
/// A step of the outlook open by a crack while the air coming in would wet leaves.
pub const HARM_WETTING: f64 = 0.5;
/// A step of the outlook, h.
pub const OUTLOOK_STEP_H: f64 = 0.5;
