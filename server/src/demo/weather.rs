//! Weather that never was: a mild coast at about 52° N.
//!
//! Slow swells stand for fronts and air masses; what they leave open is filled by faster wanderers. From them follow cloud, wind and the
//! water an air mass brings; sun and sky then warm and cool the lowest air, so that clear nights are cold and overcast ones are not. Spells
//! of clear still weather are dealt out by month, from the seed alone: frost in winter, heat in summer. All constants are from judgement,
//! chosen so that a year looks like one on such a coast (the tests of this room say within what).

use propstick_agronomy::cover::clear_sky_brutsaert_c;
use propstick_agronomy::psychrometrics::{absolute_humidity_g_m3, saturation_vapour_pressure_kpa};
use propstick_agronomy::sun::{apparent_elevation_deg, clear_sky_w_m2};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::chance::{Chance, Swell, Wander, unit_of};
use super::{LAT_DEG, LON_DEG};

const DAY_MS: i64 = 24 * HOUR;
const HOUR_S: f64 = 3_600.0;
const DAY_S: f64 = 24.0 * HOUR_S;

/// The open ground at an instant.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Outside {
    /// Air, °C.
    pub(super) air_c: f64,
    /// Water in the air, g/m³.
    pub(super) vapour_g_m3: f64,
    /// Relative humidity, %, at most 100.
    pub(super) humidity_pct: f64,
    /// Radiation on the level, W/m².
    pub(super) sun_w_m2: f64,
    /// Share of the sky under cloud.
    pub(super) cloud: f64,
    /// Wind at hedge height, m/s.
    pub(super) wind_m_s: f64,
    /// The sky as a cover sees it, °C.
    pub(super) sky_c: f64,
    /// Soil a metre down, °C.
    pub(super) deep_soil_c: f64,
}

/// The weather and what it remembers.
pub(super) struct Weather {
    seed: u64,
    chance: Chance,
    front: Swell,
    air_mass: Swell,
    dryness: Wander,
    cloud: Wander,
    wind: Wander,
    flicker: Wander,
    /// How much warmer than its air mass the lowest air is, K.
    lowest_air_k: f64,
    vapour_kpa: f64,
    now: Outside,
}

impl Weather {
    /// The weather at `at`, after a day to settle.
    pub(super) fn new(seed: u64, at: Millis) -> Weather {
        let mut chance = Chance::new(seed, 1);
        let mut weather = Weather {
            seed,
            front: Swell::new(1.1 * DAY_S, &mut chance),
            air_mass: Swell::new(3.0 * DAY_S, &mut chance),
            dryness: Wander::new(1.2 * DAY_S, &mut chance),
            cloud: Wander::new(3.0 * HOUR_S, &mut chance),
            wind: Wander::new(2.0 * HOUR_S, &mut chance),
            flicker: Wander::new(8.0 * 60.0, &mut chance),
            chance,
            lowest_air_k: 0.0,
            vapour_kpa: 0.9,
            now: Outside::default(),
        };
        for n in (0..288).rev() {
            weather.step(at.plus(-5 * MINUTE * n), 300.0);
        }
        weather
    }

    /// The open ground as it is.
    pub(super) fn now(&self) -> &Outside {
        &self.now
    }

    /// Moves on by `seconds` to `at`.
    pub(super) fn step(&mut self, at: Millis, seconds: f64) {
        let chance = &mut self.chance;
        let front = self.front.step(seconds, chance);
        let air_mass = self.air_mass.step(seconds, chance);
        let dryness = self.dryness.step(seconds, chance);
        let broken = self.cloud.step(seconds, chance);
        let gust = self.wind.step(seconds, chance);
        let flicker = self.flicker.step(seconds, chance);
        let season = Season::at(at);
        let (summer, spell) = (season.summer, spell(self.seed, at));

        let cloud = 1.0 / (1.0 + (-(1.35 + 1.6 * front + 0.9 * broken - 4.5 * spell)).exp());
        let sun_w_m2 = clear_sun_w_m2(at)
            * (1.0 - 0.84 * cloud.powi(3))
            * (1.0 + 1.2 * flicker * cloud * (1.0 - cloud)).clamp(0.3, 1.08);
        let wind_m_s = ((3.3 - 0.9 * summer)
            * (0.45 * front + 0.35 * gust - 0.9 * spell).exp()
            * (0.85 + 0.4 * (sun_w_m2 / 500.0).min(1.0)))
        .min(24.0);

        let air_mass_c = season.mean_c
            + 1.7 * air_mass
            + front * (1.2 - 2.0 * summer)
            + spell * (7.0 * summer * summer - 3.2 * (1.0 - summer));
        // The lowest air answers the sun and the sky, and the wind carries the difference away; dew and fog slow its cooling.
        let fading_h = 5.5 / (1.0 + wind_m_s / 4.0);
        let damp = if self.now.humidity_pct > 97.0 { 0.55 } else { 1.0 };
        let cooling_k_h = damp * (0.12 + 1.1 * (1.0 - cloud * cloud));
        let towards_k = (2.6 * sun_w_m2 / 1_000.0 - cooling_k_h) * fading_h;
        self.lowest_air_k = towards(self.lowest_air_k, towards_k, seconds, fading_h * HOUR_S);
        let air_c = air_mass_c + self.lowest_air_k;

        let dew_gap_k = (3.9 + 1.0 * season.spring - 1.3 * front + 0.9 * dryness + 1.0 * spell).max(0.1);
        let brought_kpa = saturated_kpa(air_mass_c - dew_gap_k) + 0.08 * sun_w_m2 / 800.0;
        let saturated_kpa = saturated_kpa(air_c);
        self.vapour_kpa = towards(self.vapour_kpa, brought_kpa, seconds, 7.0 * HOUR_S).min(saturated_kpa);

        let humidity_pct = 100.0 * self.vapour_kpa / saturated_kpa;
        let clear_c = clear_sky_brutsaert_c(air_c, humidity_pct.min(100.0)).unwrap_or(air_c - 15.0);
        self.now = Outside {
            air_c,
            vapour_g_m3: grams(air_c, humidity_pct),
            humidity_pct,
            sun_w_m2,
            cloud,
            wind_m_s,
            sky_c: clear_c + cloud * (air_c - 2.0 - clear_c),
            deep_soil_c: season.deep_soil_c,
        };
    }
}

/// Water in saturated or drier air, g/m³.
pub(super) fn grams(air_c: f64, humidity_pct: f64) -> f64 {
    absolute_humidity_g_m3(air_c, humidity_pct.clamp(0.0, 100.0)).unwrap_or(8.0)
}

/// `from` on its way to `to`, which it nears by a factor e in `memory_s`.
pub(super) fn towards(from: f64, to: f64, seconds: f64, memory_s: f64) -> f64 {
    to + (from - to) * (-seconds / memory_s).exp()
}

/// The weather here stays between -60 and 60 °C, for which there always is a figure.
fn saturated_kpa(air_c: f64) -> f64 {
    saturation_vapour_pressure_kpa(air_c).unwrap_or(1.0)
}

fn clear_sun_w_m2(at: Millis) -> f64 {
    let elevation_deg = apparent_elevation_deg(at.0 as f64 / 1_000.0, LAT_DEG, LON_DEG);
    elevation_deg.and_then(clear_sky_w_m2).unwrap_or(0.0)
}

/// The time of year.
struct Season {
    /// 0 in the depth of winter, 1 at the height of summer.
    summer: f64,
    /// 1 at the end of April, when the east winds of spring are driest, -1 half a year later.
    spring: f64,
    /// Mean of the air, °C.
    mean_c: f64,
    deep_soil_c: f64,
}

impl Season {
    fn at(at: Millis) -> Season {
        // Air is coldest about 28 January, the soil a month later.
        let turn = |day: f64| {
            let days = at.0 as f64 / DAY_MS as f64 - day;
            (days / 365.242_5 * std::f64::consts::TAU).cos()
        };
        let cold = turn(27.0);
        Season {
            summer: 0.5 - 0.5 * cold,
            mean_c: 11.5 - 4.6 * cold,
            spring: turn(115.0),
            deep_soil_c: 11.0 - 3.6 * turn(58.0),
        }
    }
}

/// How much clear still weather there is at an instant, 0 to 1. Each month has at most one spell of three to seven days.
fn spell(seed: u64, at: Millis) -> f64 {
    let day = at.0 as f64 / DAY_MS as f64;
    let month = (day / MONTH_DAYS).floor();
    let of = |what: u64| unit_of(seed, 1_000_000 + 4 * month as u64 + what);
    if of(0) > 0.85 {
        return 0.0;
    }
    let length = 3.0 + 4.0 * of(1);
    let into = day - month * MONTH_DAYS - of(2) * (MONTH_DAYS - length);
    // Rises and falls within most of a day.
    (into.min(length - into) / 0.8).clamp(0.0, 1.0)
}

const MONTH_DAYS: f64 = 30.436_875;
