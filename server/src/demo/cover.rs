//! The air under the three covers: the two-store model of the science crate, in long steps.
//!
//! [`TunnelModel::advance`] integrates in steps of a minute and less; a year of three covers would take seconds of it. With weather held
//! over a step the two temperatures are linear, so here they are solved exactly (the matrix exponential of climate sheet 6.6, in closed
//! form), and the vapour, which is linear on either side of its two bends (film wet or dry, crop thirsty or not), in two halves at the mean
//! temperatures. A test holds this to the model: ±0.001 °C, and the vapour within 2 % over five minutes.

use propstick_agronomy::airflow::Openings;
use propstick_agronomy::cover::{CoverExchange, condensation_g_m2_s};
use propstick_agronomy::psychrometrics::saturation_vapour_pressure_kpa;
use propstick_agronomy::tunnel_model::{TunnelModel, TunnelState, TunnelWeather};
use propstick_agronomy::ventilation::AIR_HEAT_J_M3_K;
use propstick_garden::model::Notch;

use super::weather::{Outside, grams};

/// Heat that evaporates a gram of water, J, as in the model.
const EVAPORATION_J_G: f64 = 2_450.0;

/// What a cover is like.
pub(super) struct Shape {
    pub(super) model: TunnelModel,
    pub(super) floor_m2: f64,
    /// Share of the sun that comes through.
    pub(super) lets_through: f64,
    /// All its openings together, m², by notch.
    pub(super) open_m2: [f64; 4],
    /// Height of an opening, m.
    pub(super) open_height_m: f64,
    /// Air changes per hour through its chinks at 4 m/s of wind.
    pub(super) leak_per_h: f64,
    /// What its ground loses to a clear sky, W/m².
    pub(super) clear_loss_w_m2: f64,
}

/// The walk-in tunnel of the demo's garden.
pub(super) const TUNNEL: Shape = Shape {
    model: TunnelModel {
        air_j_m2_k: 12_000.0,
        mass_j_m2_k: 320_000.0,
        cover_w_m2_k: 10.5,
        between_w_m2_k: 8.0,
        ground_w_m2_k: 2.5,
        sun_to_air: 0.52,
        sun_to_mass: 0.24,
        sun_to_vapour: 0.11,
        height_m: 2.0,
        cover_ratio: 1.8,
        soil_vapour_m_s: 0.001_1,
        crop_vapour_g_m2_s_kpa: 0.006,
    },
    floor_m2: 50.0,
    lets_through: 0.68,
    open_m2: [0.0, 0.4, 3.0, 6.0],
    open_height_m: 2.0,
    leak_per_h: 1.2,
    clear_loss_w_m2: 22.0,
};

/// The low tunnel.
pub(super) const LOW_TUNNEL: Shape = Shape {
    model: TunnelModel {
        air_j_m2_k: 6_000.0,
        mass_j_m2_k: 260_000.0,
        cover_w_m2_k: 10.0,
        between_w_m2_k: 9.0,
        ground_w_m2_k: 3.0,
        sun_to_air: 0.36,
        sun_to_mass: 0.32,
        sun_to_vapour: 0.09,
        height_m: 0.4,
        cover_ratio: 1.6,
        soil_vapour_m_s: 0.000_9,
        crop_vapour_g_m2_s_kpa: 0.004,
    },
    floor_m2: 7.2,
    lets_through: 0.72,
    open_m2: [0.0, 0.3, 0.9, 2.4],
    open_height_m: 0.3,
    leak_per_h: 3.0,
    clear_loss_w_m2: 42.0,
};

/// The cold frame.
pub(super) const FRAME: Shape = Shape {
    model: TunnelModel {
        air_j_m2_k: 5_000.0,
        mass_j_m2_k: 230_000.0,
        cover_w_m2_k: 6.0,
        between_w_m2_k: 8.0,
        ground_w_m2_k: 2.5,
        sun_to_air: 0.30,
        sun_to_mass: 0.30,
        sun_to_vapour: 0.08,
        height_m: 0.35,
        cover_ratio: 1.3,
        soil_vapour_m_s: 0.001,
        crop_vapour_g_m2_s_kpa: 0.004,
    },
    floor_m2: 2.2,
    lets_through: 0.70,
    open_m2: [0.0, 0.1, 0.3, 2.2],
    open_height_m: 0.25,
    leak_per_h: 2.0,
    clear_loss_w_m2: 25.0,
};

impl Shape {
    /// The inside `seconds` later, with an opening at `notch`. Water beyond saturation is taken out of the air: it lies on the leaves.
    pub(super) fn step(&self, from: TunnelState, outside: &Outside, notch: Notch, seconds: f64) -> TunnelState {
        let weather = TunnelWeather {
            outside_c: outside.air_c,
            outside_g_m3: outside.vapour_g_m3,
            sun_w_m2: self.lets_through * outside.sun_w_m2,
            deep_soil_c: outside.deep_soil_c,
            sky_loss_w_m2: 6.0 + (self.clear_loss_w_m2 - 6.0) * (1.0 - outside.cloud),
            sky_c: outside.sky_c,
            wind_m_s: outside.wind_m_s,
            flow_m_s: self.flow_m_s(from.air_c, outside, notch),
        };
        let mut state = stepped(&self.model, from, &weather, seconds).unwrap_or(from);
        state.vapour_g_m3 = state.vapour_g_m3.min(grams(state.air_c, 100.0));
        state
    }

    /// Ventilation through chinks and openings, m³ per s and m² of floor.
    fn flow_m_s(&self, inside_c: f64, outside: &Outside, notch: Notch) -> f64 {
        let leak_m_s = self.leak_per_h * (0.15 + outside.wind_m_s / 4.0) * self.model.height_m / 3_600.0;
        // Hedges and a dense crop: climate sheet 6.2 has 0.02 to 0.05.
        let openings = Openings { wind: 0.03, ..Openings::default() };
        let mean_k = 0.5 * (inside_c + outside.air_c) + 273.15;
        let open_m2 = self.open_m2[notch as usize];
        let rise_k = inside_c - outside.air_c;
        let through_m3_s = openings.one_level_m3_s(open_m2, self.open_height_m, rise_k, mean_k, outside.wind_m_s);
        (leak_m_s + through_m3_s.unwrap_or(0.0) / self.floor_m2).min(0.5)
    }
}

/// As [`TunnelModel::advance`] in one long step; `None` where that has none.
fn stepped(model: &TunnelModel, from: TunnelState, weather: &TunnelWeather, seconds: f64) -> Option<TunnelState> {
    let (air_c, mass_c) = temperatures(model, from, weather, seconds);
    let mean_air_c = 0.5 * (from.air_c + air_c);
    let mean_mass_c = 0.5 * (from.mass_c + mass_c);
    let cover = CoverExchange::polythene(true, weather.wind_m_s)?;
    let cover_c = cover.temperature_c(mean_air_c, mean_mass_c, weather.outside_c, weather.sky_c)?;
    let damp = Damp {
        saturated_at_cover: grams(cover_c, 100.0),
        film_m_s: model.cover_ratio * condensation_g_m2_s(mean_air_c, grams(cover_c, 100.0) + 1.0, cover_c)?,
        saturated_at_soil: grams(mean_mass_c, 100.0),
        saturated_kpa: saturation_vapour_pressure_kpa(mean_air_c)?,
        kpa_per_g_m3: (mean_air_c + 273.15) / 2_166.7,
    };
    let mut vapour_g_m3 = from.vapour_g_m3;
    for _ in 0..2 {
        vapour_g_m3 = damp.vapour_g_m3(model, vapour_g_m3, weather, 0.5 * seconds);
    }
    Some(TunnelState { air_c, mass_c, vapour_g_m3 })
}

/// Air and mass after `seconds`: the steady state of the weather held, and the way there.
fn temperatures(model: &TunnelModel, from: TunnelState, weather: &TunnelWeather, seconds: f64) -> (f64, f64) {
    let to_outside = model.cover_w_m2_k + AIR_HEAT_J_M3_K * weather.flow_m_s;
    // Per second: what each store loses itself, and gains from the other.
    let air_air = -(to_outside + model.between_w_m2_k) / model.air_j_m2_k;
    let air_mass = model.between_w_m2_k / model.air_j_m2_k;
    let mass_air = model.between_w_m2_k / model.mass_j_m2_k;
    let mass_mass = -(model.between_w_m2_k + model.ground_w_m2_k) / model.mass_j_m2_k;
    let sun_to_air = model.sun_to_air - model.sun_to_vapour;
    let into_air = (to_outside * weather.outside_c + sun_to_air * weather.sun_w_m2) / model.air_j_m2_k;
    let into_mass = (model.ground_w_m2_k * weather.deep_soil_c + model.sun_to_mass * weather.sun_w_m2
        - weather.sky_loss_w_m2)
        / model.mass_j_m2_k;

    let determinant = air_air * mass_mass - air_mass * mass_air;
    let steady_air_c = (air_mass * into_mass - mass_mass * into_air) / determinant;
    let steady_mass_c = (mass_air * into_air - air_air * into_mass) / determinant;

    let mean = 0.5 * (air_air + mass_mass);
    let apart = (0.25 * (air_air - mass_mass) * (air_air - mass_mass) + air_mass * mass_air).sqrt();
    let (slow, quick) = (((mean + apart) * seconds).exp(), ((mean - apart) * seconds).exp());
    let (level, tilt) = (0.5 * (slow + quick), 0.5 * (slow - quick) / apart);
    let (air, mass) = (from.air_c - steady_air_c, from.mass_c - steady_mass_c);
    (
        steady_air_c + level * air + tilt * ((air_air - mean) * air + air_mass * mass),
        steady_mass_c + level * mass + tilt * (mass_air * air + (mass_mass - mean) * mass),
    )
}

/// What the vapour meets at temperatures held.
struct Damp {
    saturated_at_cover: f64,
    /// Transfer to the film where it is wet, m/s.
    film_m_s: f64,
    saturated_at_soil: f64,
    saturated_kpa: f64,
    kpa_per_g_m3: f64,
}

impl Damp {
    fn vapour_g_m3(&self, model: &TunnelModel, from: f64, weather: &TunnelWeather, seconds: f64) -> f64 {
        let mut pull_m_s = model.soil_vapour_m_s + weather.flow_m_s;
        let mut gain = model.soil_vapour_m_s * self.saturated_at_soil
            + weather.flow_m_s * weather.outside_g_m3
            + model.sun_to_vapour * weather.sun_w_m2 / EVAPORATION_J_G;
        if from * self.kpa_per_g_m3 < self.saturated_kpa {
            pull_m_s += model.crop_vapour_g_m2_s_kpa * self.kpa_per_g_m3;
            gain += model.crop_vapour_g_m2_s_kpa * self.saturated_kpa;
        }
        if from > self.saturated_at_cover {
            pull_m_s += self.film_m_s;
            gain += self.film_m_s * self.saturated_at_cover;
        }
        let steady = gain / pull_m_s;
        steady + (from - steady) * (-pull_m_s * seconds / model.height_m).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn prop_one_long_step_is_what_the_model_says(
            air in -5.0..30.0, mass in 0.0..25.0, humidity in 40.0..100.0, outside in -5.0..25.0, outside_humidity in 50.0..100.0,
            sun in 0.0..550.0, cloud in 0.0..1.0, wind in 0.0..12.0, flow in 0.0001..0.05, which in 0_usize..3,
        ) {
            let model = [TUNNEL, LOW_TUNNEL, FRAME][which].model;
            let weather = TunnelWeather {
                outside_c: outside, outside_g_m3: grams(outside, outside_humidity), sun_w_m2: sun, deep_soil_c: 10.0,
                sky_loss_w_m2: 6.0 + 30.0 * (1.0 - cloud), sky_c: outside - 2.0 - 18.0 * (1.0 - cloud), wind_m_s: wind, flow_m_s: flow,
            };
            // From the state the weather itself leads to after a while: the year has no states out of the blue.
            let from = TunnelState { air_c: air, mass_c: mass, vapour_g_m3: grams(air, humidity) };
            let from = model.advance(from, &weather, 900.0).unwrap();
            let weather = TunnelWeather { outside_c: outside + 0.2, sun_w_m2: 0.9 * sun, ..weather };
            let quick = stepped(&model, from, &weather, 300.0).unwrap();
            let exact = model.advance(from, &weather, 300.0).unwrap();
            prop_assert!((quick.air_c - exact.air_c).abs() < 0.001, "{quick:?} {exact:?}");
            prop_assert!((quick.mass_c - exact.mass_c).abs() < 0.001, "{quick:?} {exact:?}");
            prop_assert!((quick.vapour_g_m3 / exact.vapour_g_m3 - 1.0).abs() < 0.02, "{quick:?} {exact:?}");
        }
    }
}
