//! The numbers the water decision turns on, in one place. All are common practice, no source, but for those that name one; none is measured.

/// What a crop uses is spread evenly over the middle half of the day, from and until this share of it: nothing evaporates by night.
pub const USED_FROM: f64 = 0.25;
/// See [`USED_FROM`].
pub const USED_UNTIL: f64 = 0.75;
/// Where nobody has said how much ground the leaves hide, this share is taken, and twice [`COVER_DOUBT`] spans bare and hidden.
pub const COVER: f64 = 0.5;
/// How far off the use may be where the leaf cover is not known: the young crop's and full leaf's coefficients of FAO-56 Table 12 lie so far from
/// their middle.
pub const COVER_DOUBT: f64 = 0.18;
/// What under-cover use may differ from the middle of lysimeter and table: (1.0 - 0.6) / (1.0 + 0.6) (climate sheet 4.4).
pub const COEFFICIENT_DOUBT: f64 = 0.25;
/// Wind at 2 m outdoors where nothing measures it, m/s (FAO-56, page 63: 2 m/s).
pub const WIND_M_S: f64 = 2.0;
/// Under a film, from this mean humidity on, the film is taken as wet inside, %.
pub const WET_FILM_PCT: f64 = 85.0;
/// From this share of what the crop can take on, surely used up, even a wide sum says how many days are left at most.
pub const PARTLY_USED: f64 = 0.25;
/// A sum whose two ends lie further apart than this share of what the crop can take says nothing.
pub const UNKNOWN_SPREAD: f64 = 0.75;
/// Days of the past that the use of the days to come is taken from.
pub const RECENT_D: usize = 7;
/// How many of them must be known.
pub const RECENT_LEAST_D: usize = 3;
/// How far off the use of the days to come may be where nothing was measured, as a factor down and up.
pub const SEASON_FACTOR: f64 = 2.0;
/// The most a crop can use in a day, mm.
pub const MOST_MM_D: f64 = 12.0;
/// A moist finger holds until this share of what the crop can take has been used since.
pub const MOIST_SHARE: f64 = 0.25;
/// From November to February a finger is asked for when the last one is this old, days (advice page, Water: fortnightly).
pub const FINGER_WINTER_D: i64 = 14;
/// More days in hand than this are not told apart.
pub const DAYS_MOST: u32 = 28;
/// No watering begins after this on the garden's clock, minutes: by noon, with an hour's grace; from May to September, when noon is hot and the early
/// evening is left, without one.
pub const LATEST_MIN: i64 = 13 * 60;
/// What wilts in a hot shut cover is seen to until then, minutes.
pub const AT_ONCE_UNTIL_MIN: i64 = 20 * 60;
/// From May to September, where nobody is there of a morning, watering begins and ends at these hours.
pub const EVENING_H: (i64, i64) = (17, 19);
/// Watering is to be done by then, minutes.
pub const NOON_MIN: i64 = 12 * 60;
/// Watering begins this long after sunrise, h.
pub const AFTER_SUNRISE_H: i64 = 1;
/// A low at or below this counts as hard frost, °C (climate sheet 6.5: below -3 within 24 h).
pub const HARD_FROST_C: f64 = -3.0;
/// A low at or below this counts as frost at the leaf, °C: a thermometer at head height reads some degrees more.
pub const FROST_HEARD_C: f64 = 2.0;
/// Gusts above this send nobody out, m/s (climate sheet 6.5).
pub const GALE_M_S: f64 = super::super::limits::GALE_M_S;
/// Inside, above this humidity, a late top-up waits for a drying day, % (climate sheet 4.5).
pub const DAMP_PCT: f64 = 90.0;
/// In winter a bed that wants more cans than this is told by the square metre: it is dry in places, not all over.
pub const WINTER_CANS: f64 = 3.0;
/// Where the sum hardly knows anything and a finger finds it dry, this share of what the crop can take is given first, or what has surely gone where
/// that is more; then it is felt again.
pub const FIRST_SHARE: f64 = 1.0 / 3.0;
/// The most that is given in one go in winter, mm: about three weeks' use.
pub const WINTER_MOST_MM: f64 = 6.0;
/// The most that is given in one go otherwise, mm: more runs past the roots of a raised bed.
pub const ONCE_MOST_MM: f64 = 20.0;
/// Trays are lifted again this long after the first time on a bright day, h.
pub const TRAYS_AGAIN_H: i64 = 4;
/// Litres in a can where nobody has said.
pub const CAN_L: f64 = 9.0;
/// Days between light pickings while nothing grows.
pub const PICKING_D: i64 = 14;
