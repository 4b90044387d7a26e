//! What a day used: from the climate of a structure's day, or, where it is not known, from the season.

use propstick_agronomy::evapotranspiration::{self as et, CoverSky, DayAir};
use propstick_agronomy::psychrometrics::saturation_vapour_pressure_kpa;
use propstick_agronomy::{growth, light, sun};
use propstick_wire::Millis;

use super::limits as l;
use super::{Band, Shelter, WaterBed};

/// Where the garden lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Latitude, ° north.
    pub lat_deg: f64,
    /// Longitude, ° east.
    pub lon_deg: f64,
    /// Height above the sea, m.
    pub altitude_m: f64,
}

/// The climate of one civil day in a bed's structure, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterDay {
    /// Its number: days from 1970-01-01 to the local date.
    pub day: i64,
    /// Its first instant.
    pub from: Millis,
    /// The first instant after it.
    pub to: Millis,
    /// Lowest and highest air temperature at the bed, °C; none where too little of the day was measured.
    pub min_max_c: Option<(f64, f64)>,
    /// Mean vapour pressure there, kPa; none without a gauge to be believed.
    pub vapour_kpa: Option<f64>,
    /// Short-wave radiation measured under the cover (outdoors: in the open), MJ/m².
    pub sun_mj_m2: Option<f64>,
    /// Rain, mm. Outdoors and under fleece: none means that nobody knows. Under a film it is passed over.
    pub rain_mm: Option<f64>,
    /// Mean wind at 2 m, m/s, outdoors.
    pub wind_m_s: Option<f64>,
}

impl WaterDay {
    /// A day of which nothing is known.
    pub const fn unknown(day: i64, from: Millis, to: Millis) -> WaterDay {
        WaterDay { day, from, to, min_max_c: None, vapour_kpa: None, sun_mj_m2: None, rain_mm: None, wind_m_s: None }
    }

    /// What share of the day's use lies before `at`, 0 to 1.
    pub(super) fn used_before(&self, at: Millis) -> f64 {
        let length = self.to.since(self.from).max(1) as f64;
        let share = at.since(self.from) as f64 / length;
        ((share - l::USED_FROM) / (l::USED_UNTIL - l::USED_FROM)).clamp(0.0, 1.0)
    }
}

/// What the bed's crop wanted on a day of known climate, mm: none where temperatures are missing or cannot be meant.
///
/// Under a cover: Makkink on light measured there, else Penman-Monteith at 150 s/m on modelled light, else, without a humidity to be believed,
/// Makkink on modelled light (climate sheet 4.3). Outdoors: FAO-56 with the wind measured or 2 m/s. Times the coefficient of [`WaterBed`].
pub fn wanted_mm(bed: &WaterBed, site: Site, day: &WaterDay) -> Option<Band> {
    let (min_c, max_c) = day.min_max_c.filter(|(min, max)| min <= max)?;
    let season = sun::day_of_year(day.day)?;
    let modelled = light::cloudy_day_mj_m2(site.lat_deg, season)? * bed.transmission.clamp(0.0, 1.0);
    let measured = day.sun_mj_m2.filter(|mj| (0.0..=50.0).contains(mj));
    let sun_mj_m2 = measured.unwrap_or(modelled);
    let air = day.vapour_kpa.and_then(|e| DayAir::new(min_c, max_c, e));
    let reference = match (bed.shelter, air) {
        (Shelter::None, Some(air)) => {
            let wind = day.wind_m_s.filter(|w| (0.0..=60.0).contains(w)).unwrap_or(l::WIND_M_S);
            et::fao56_daily_mm(&air, sun_mj_m2, wind, season, site.lat_deg, site.altitude_m)?
        }
        (_, Some(air)) => et::under_cover_mm_d(&air, measured, modelled, sky(bed, &air), site.altitude_m)?.mm_d,
        (_, None) => et::makkink_mm_d(0.5 * (min_c + max_c), sun_mj_m2, site.altitude_m)?,
    };
    let (coefficient, doubt) = bed.coefficient();
    Some(Band::about((coefficient * reference).clamp(0.0, l::MOST_MM_D), doubt).map(|mm| mm.min(l::MOST_MM_D)))
}

fn sky(bed: &WaterBed, air: &DayAir) -> CoverSky {
    let saturated = saturation_vapour_pressure_kpa(air.mean_c()).unwrap_or(f64::INFINITY);
    let wet = air.vapour_kpa() >= l::WET_FILM_PCT / 100.0 * saturated;
    if wet || bed.shelter == Shelter::Fleece { CoverSky::WetOrFleece } else { CoverSky::DryFilm }
}

/// What a crop may have wanted on a day of which nothing is known, mm: nothing at the least, [`likely_mm_of_season`], [`most_mm_of_season`].
pub fn wanted_mm_of_season(bed: &WaterBed, site: Site, day: i64) -> Band {
    let likely = likely_mm_of_season(bed, site, day);
    Band { low: 0.0, likely, high: most_mm_of_season(bed, site, day).max(likely) }
}

/// What a day of average cloud and warmth uses, mm; a quarter of [`l::MOST_MM_D`] outside the calendar that the sun is reckoned for.
pub fn likely_mm_of_season(bed: &WaterBed, site: Site, day: i64) -> f64 {
    let of_season = || {
        let season = sun::day_of_year(day)?;
        let cloudy = light::cloudy_day_mj_m2(site.lat_deg, season)? * bed.transmission.clamp(0.0, 1.0);
        et::makkink_mm_d(growth::season_mean_c(season)?, cloudy, site.altitude_m)
    };
    of_season().map_or(0.25 * l::MOST_MM_D, |mm| (bed.coefficient().0 * mm).clamp(0.0, l::MOST_MM_D))
}

/// All that the light of a clear day can evaporate, mm, and what dry air carries off beside it: about a third more under a cover, as much again
/// outdoors; [`l::MOST_MM_D`] outside the calendar that the sun is reckoned for. It takes the sun's path through the day: some 60 µs.
pub fn most_mm_of_season(bed: &WaterBed, site: Site, day: i64) -> f64 {
    let of_season = || {
        let (coefficient, doubt) = bed.coefficient();
        let clear = sun::clear_sky_day_mj_m2(day, site.lat_deg, site.lon_deg)? * bed.transmission.clamp(0.0, 1.0);
        let carried = if bed.shelter == Shelter::None { 2.0 } else { 1.3 };
        Some((coefficient * (1.0 + doubt) * carried * et::constants::MM_PER_MJ.value * clear).max(1.0))
    };
    of_season().filter(|mm| mm.is_finite()).unwrap_or(l::MOST_MM_D).min(l::MOST_MM_D)
}
