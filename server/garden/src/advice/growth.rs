//! How fast things grow under a cover now, and when growth is to be expected back.

use chrono::Datelike;
use propstick_agronomy::growth::{self as speed, Speed, constants as c};
use propstick_agronomy::light::cloudy_day_mj_m2;
use propstick_agronomy::sun::{self, DayLength, ShortDays};

use super::water::limits::PICKING_D;

/// One day of a structure, as growth speed needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthDay {
    /// Its number: days from 1970-01-01 to the local date.
    pub day: i64,
    /// Mean air temperature at the crop, °C; none where too little was measured.
    pub mean_c: Option<f64>,
    /// Short-wave radiation measured at the crop, MJ/m²; none: a day of average cloud is taken.
    pub sun_mj_m2: Option<f64>,
}

/// What a structure's growth is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthPlace {
    /// Latitude, ° north.
    pub lat_deg: f64,
    /// Longitude, ° east.
    pub lon_deg: f64,
    /// Share of the outdoor light that reaches the crop, 0 to 1.
    pub transmission: f64,
}

/// Growth in a structure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// The speed; none until five of the last seven days are known.
    pub speed: Option<Speed>,
    /// Mean effective day-degrees of those days, °C d a day.
    pub mean_c_d: Option<f64>,
    /// How many of the last seven days are known.
    pub known_d: u32,
    /// Whether the light is an average of the season and not measured.
    pub light_modelled: bool,
    /// When growth is to be expected back, where things do not grow now.
    pub back: Option<GrowthBack>,
    /// Length of the day, sunrise to sunset, h.
    pub day_length_h: Option<f64>,
    /// First day from now on that is ten hours long, where today is shorter; days since 1970.
    pub ten_hours_on: Option<i64>,
}

/// When growth is to be expected back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GrowthBack {
    /// The day, in days since 1970: in a year of average light and warmth.
    pub day: i64,
    /// Light pickings that lie before it, where what stands there has to last.
    pub pickings: u32,
}

/// Growth at the end of `days`, which ascend without a break and end with the day before `today` (in days since 1970).
///
/// **Shape**: 28 days are enough; days whose temperature is not known count as unknown. **Source**: wetness sheet 4.1 ([`speed::speeds`]); when it
/// comes back is reckoned from average cloud and the default temperatures of [`speed::season_mean_c`], moved by what this structure's last known days
/// differed from them, halved for the days to come: our proposal. **Accuracy**: a week either way.
pub fn growth(days: &[GrowthDay], today: i64, place: GrowthPlace) -> Growth {
    let effective: Vec<Option<f64>> = days.iter().map(|day| effective(day, place)).collect();
    let last: Vec<f64> = effective.iter().rev().take(c::MEAN_D.value as usize).flatten().copied().collect();
    let now = speed::speeds(&effective).last().copied().flatten();
    let ten_hours_on = ten_hours(today, place);
    Growth {
        speed: now,
        mean_c_d: now.map(|_| last.iter().sum::<f64>() / last.len().max(1) as f64),
        known_d: last.len() as u32,
        light_modelled: days.iter().rev().take(c::MEAN_D.value as usize).any(|day| day.sun_mj_m2.is_none()),
        back: if now == Some(Speed::Growing) { None } else { growth_back(today, now, own_warmth_c(days), place) },
        day_length_h: DayLength::Apparent.seconds(today, place.lat_deg, place.lon_deg).map(|s| s / 3_600.0),
        ten_hours_on,
    }
}

/// First day from `today` on which the mean of seven average days makes things grow; none within a year, or where they grow on average days now
/// and `speed_now` does not say otherwise.
fn growth_back(today: i64, speed_now: Option<Speed>, warmer_c: f64, place: GrowthPlace) -> Option<GrowthBack> {
    let average = |day: i64| {
        let season = sun::day_of_year(day)?;
        let sun = cloudy_day_mj_m2(place.lat_deg, season)? * place.transmission.clamp(0.0, 1.0);
        speed::of_day(speed::season_mean_c(season)? + 0.5 * warmer_c, sun)
    };
    let begin = today - 2 * c::MEAN_D.value as i64;
    let days: Vec<Option<f64>> = (begin..today + 366).map(average).collect();
    let speeds = speed::speeds(&days);
    let ahead = speeds.get((today - begin) as usize..)?;
    // Average days that grow now say nothing of when a slow spell ends.
    let known_slow = speed_now.is_some_and(|now| now != Speed::Growing);
    if ahead.first().copied().flatten() == Some(Speed::Growing) && !known_slow {
        return None;
    }
    let ahead_d = ahead.iter().skip(1).position(|speed| *speed == Some(Speed::Growing))? as i64 + 1;
    (ahead_d > c::MEAN_D.value as i64).then(|| GrowthBack {
        day: today + ahead_d,
        pickings: u32::try_from((ahead_d + PICKING_D / 2) / PICKING_D).unwrap_or(0).max(1),
    })
}

fn effective(day: &GrowthDay, place: GrowthPlace) -> Option<f64> {
    let modelled =
        || Some(cloudy_day_mj_m2(place.lat_deg, sun::day_of_year(day.day)?)? * place.transmission.clamp(0.0, 1.0));
    let sun = day.sun_mj_m2.filter(|mj| (0.0..=50.0).contains(mj)).or_else(modelled)?;
    speed::of_day(day.mean_c?, sun)
}

/// By how much the known days were warmer than the default, °C, -8 to 8; 0 where fewer than seven are known.
fn own_warmth_c(days: &[GrowthDay]) -> f64 {
    let differences: Vec<f64> = days
        .iter()
        .rev()
        .take(28)
        .filter_map(|day| {
            Some(day.mean_c.filter(|t| t.is_finite())? - speed::season_mean_c(sun::day_of_year(day.day)?)?)
        })
        .collect();
    if differences.len() < c::MEAN_D.value as usize {
        return 0.0;
    }
    (differences.iter().sum::<f64>() / differences.len() as f64).clamp(-8.0, 8.0)
}

fn ten_hours(today: i64, place: GrowthPlace) -> Option<i64> {
    let date = chrono::DateTime::from_timestamp(today.checked_mul(86_400)?, 0)?;
    let year = date.year();
    [year - 1, year]
        .into_iter()
        .filter_map(|year| ShortDays::of_winter(year, place.lat_deg, place.lon_deg, 10.0, DayLength::Apparent))
        .find(|short| (short.first..=short.last).contains(&today))
        .map(|short| short.last + 1)
}
