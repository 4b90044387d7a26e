//! The numbers the frost outlook turns on: common practice, no source. Those of the rule were chosen on two Irish stations and tried on a third
//! (`tests/tests/frost_ireland.rs`).

/// Before sunset, from when on the night is spoken of ("may"), h.
pub const MAY_BEFORE_H: f64 = 3.0;
/// Before sunset, from when on covers are laid, h (advice page, Frost).
pub const LAY_BEFORE_H: f64 = 1.0;
/// Temperatures that air in a garden can have, °C. A bus that hangs says -127.
pub const AIR_C: std::ops::RangeInclusive<f64> = -40.0..=60.0;
/// Less humidity than this at dusk is a broken sensor, %.
pub const LEAST_RH_PCT: f64 = 10.0;
/// What air may change between two readings however close they are, °C, and for every hour between them, °C/h. The fastest measured is 5.5 °C/h
/// (climate sheet 5.2).
pub const JUMP_C: (f64, f64) = (2.0, 8.0);
/// The same of humidity, points and points per hour.
pub const JUMP_RH_PCT: (f64, f64) = (15.0, 40.0);
/// Over this time before now the pace of cooling is taken, h: at least, at most.
pub const PACE_H: (f64, f64) = (0.9, 2.6);
/// How far from two hours after sunset the reading there may lie, min.
pub const DUSK_WITHIN_MIN: i64 = 45;

/// The night over which air falls as far as it can, h. From less time left it falls by the square root of its share.
pub const WHOLE_NIGHT_H: f64 = 12.0;
/// How much of the gap between air and dew point a night closes, under overcast and under a clear still sky: at the most.
pub const CLOSES_MOST: (f64, f64) = (0.4, 0.9);
/// The same at the least.
pub const CLOSES_LEAST: (f64, f64) = (0.1, 0.8);
/// How much further air falls than that, under overcast and under a clear still sky, °C: at the most.
pub const FALLS_MOST_C: (f64, f64) = (1.5, 1.5);
/// The same at the least, °C.
pub const FALLS_LEAST_C: (f64, f64) = (0.0, 1.0);
/// The widest gap between air and dew point that counts, °C: for one witness, and where a look or the fall of the air says that the sky is clear, too.
pub const WIDEST_GAP_C: (f64, f64) = (5.0, 10.0);
/// A saturated gauge cannot tell gaps up to this, °C.
pub const SATURATED_GAP_C: f64 = 1.0;
/// Under a cover the dew point is no brake: it falls as vapour freezes out on the film. The gap counts as at least this for the lower end, °C.
pub const COVERED_GAP_C: f64 = 4.0;
/// Under a cover the sun's warmth of the afternoon goes within two hours of sunset: until then so much of the present pace of cooling is carried on, h.
pub const COVERED_PACE_H: f64 = 1.0;
/// How much colder than the air leaves get under a clear still sky, °C: in the open, under a cover (climate sheet 5.2: 1 to 3).
pub const LEAF_BELOW_C: (f64, f64) = (2.0, 1.0);

/// Under a cover, where nobody has looked or heard: so many of the last nights count, from so many days back, and tonight it falls by this much more at
/// most than on any of them, °C. Chosen on tunnel 1 of the Veneto and the closed-tunnel proxy of Valentia, tried on tunnel 2 and Johnstown Castle.
pub const LAST_NIGHTS: usize = 3;
/// See [`LAST_NIGHTS`].
pub const LAST_NIGHTS_D: i64 = 10;
/// See [`LAST_NIGHTS`].
pub const FALLS_FURTHER_C: f64 = 0.5;

/// How clear and still the night may turn out where nobody has looked or heard, 0 overcast or windy to 1 clear and still: at most.
pub const UNKNOWN_CLEAR: f64 = 0.7;
/// The same where the air has not fallen since the afternoon.
pub const UNFALLEN_CLEAR: f64 = 0.5;
/// The same at the least, where the air has fallen by twice what shows a clear night, or more.
pub const FALLEN_CLEAR: f64 = 0.6;
/// A garden's low beside a forecast low as heard, °C: how much lower the lower end may lie at most and must at least, how much lower the upper end
/// may, how much higher.
pub const BESIDE_FORECAST_C: (f64, f64, f64, f64) = (4.0, 1.0, 1.0, 3.0);

/// How far above the learned low the upper end lies at least, °C.
pub const LEARNED_ABOVE_C: f64 = 0.5;
/// A gauge that falls silent at or below this was near frost, °C (troubles page 21: frost at 3 on the thermometer).
pub const NEAR_FROST_C: f64 = 4.0;
/// Share of a night that must be measured for its low to be known.
pub const NIGHT_MEASURED: f64 = 0.8;
