//! A tunnel as two heat stores and one store of vapour: the grey-box model of climate sheet 6.6, for simulation.
//!
//! Everything is per square metre of floor. The default parameters are the sheet's, which recalls them as orders of
//! magnitude: they make a believable tunnel, not any particular one.

use crate::cover::{CoverExchange, transfer_m_s};
use crate::evapotranspiration::constants::LATENT_MJ_KG;
use crate::psychrometrics::constants::VAPOUR_G_K_M3_KPA;
use crate::psychrometrics::{absolute_humidity_g_m3, saturation_vapour_pressure_kpa};
use crate::ventilation::AIR_HEAT_J_M3_K;

/// Longest step of the integration, s.
const STEP_S: f64 = 60.0;
/// Temperatures that the model is asked about, °C.
const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -100.0..=100.0;
/// Water that air can hold, g/m³; a hair below nothing is rounding.
const VAPOUR_G_M3: core::ops::RangeInclusive<f64> = -1e-6..=1_000.0;
/// Heat that evaporates a gram of water, J: 2.45 MJ/kg.
const EVAPORATION_J_G: f64 = LATENT_MJ_KG.value * 1_000.0;

/// What the inside is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunnelState {
    /// Air, with leaves and frame, °C.
    pub air_c: f64,
    /// Soil and other mass, °C.
    pub mass_c: f64,
    /// Water in the air, g/m³.
    pub vapour_g_m3: f64,
}

impl TunnelState {
    /// Relative humidity of the air, %. The model has no fog: above 100 it means that the air would hold droplets.
    /// `None` where the temperature is out of range or the water is not 0 to 1,000 g/m³.
    pub fn humidity_pct(&self) -> Option<f64> {
        let meant = VAPOUR_G_M3.contains(&self.vapour_g_m3);
        Some(100.0 * self.vapour_g_m3 / absolute_humidity_g_m3(self.air_c, 100.0)?).filter(|_| meant)
    }

    fn is_meant(&self) -> bool {
        let temperatures = [self.air_c, self.mass_c].iter().all(|t_c| TEMPERATURE_C.contains(t_c));
        temperatures && VAPOUR_G_M3.contains(&self.vapour_g_m3)
    }
}

/// What acts from outside, held over one call of [`TunnelModel::advance`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunnelWeather {
    /// Air outside, °C.
    pub outside_c: f64,
    /// Water in the air outside, g/m³.
    pub outside_g_m3: f64,
    /// Short-wave radiation under the cover, W per m² of floor.
    pub sun_w_m2: f64,
    /// Deep soil, °C.
    pub deep_soil_c: f64,
    /// What the mass loses to the sky, W per m² of floor: 10 overcast or wet film, 60 clear and dry polythene.
    pub sky_loss_w_m2: f64,
    /// The sky as the cover sees it, °C.
    pub sky_c: f64,
    /// Wind outside, m/s, 0 to 60.
    pub wind_m_s: f64,
    /// Ventilation, m³ of air per s and m² of floor, 0 to 1.
    pub flow_m_s: f64,
}

impl TunnelWeather {
    fn is_meant(&self) -> bool {
        let temperatures = [self.outside_c, self.deep_soil_c, self.sky_c].iter().all(|t_c| TEMPERATURE_C.contains(t_c));
        let sun = (0.0..=1_600.0).contains(&self.sun_w_m2) && self.sky_loss_w_m2.abs() <= 1_000.0;
        temperatures && sun && VAPOUR_G_M3.contains(&self.outside_g_m3)
    }
}

/// What the structure is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunnelModel {
    /// Heat capacity of air, leaves and frame, J/(m² K).
    pub air_j_m2_k: f64,
    /// Heat capacity of the mass, J/(m² K).
    pub mass_j_m2_k: f64,
    /// Conductance of the cover, W/(m² K).
    pub cover_w_m2_k: f64,
    /// Exchange between air and mass, W/(m² K).
    pub between_w_m2_k: f64,
    /// Exchange between mass and deep soil, W/(m² K).
    pub ground_w_m2_k: f64,
    /// Share of the sun that warms the air.
    pub sun_to_air: f64,
    /// Share of the sun that warms the mass.
    pub sun_to_mass: f64,
    /// Share of the sun that evaporates water from the crop: taken from the air's heat, given to its vapour.
    pub sun_to_vapour: f64,
    /// Volume over floor area, m.
    pub height_m: f64,
    /// Cover area over floor area.
    pub cover_ratio: f64,
    /// Exchange of vapour with wet soil, m/s.
    pub soil_vapour_m_s: f64,
    /// What the crop gives off in dry air, g/(m² s) per kPa of deficit.
    pub crop_vapour_g_m2_s_kpa: f64,
}

impl Default for TunnelModel {
    /// The sheet's defaults for heat, bare and dry inside: no vapour comes from crop or soil.
    fn default() -> Self {
        TunnelModel {
            air_j_m2_k: 12_000.0,
            mass_j_m2_k: 200_000.0,
            cover_w_m2_k: 11.2,
            between_w_m2_k: 8.0,
            ground_w_m2_k: 1.5,
            sun_to_air: 0.25,
            sun_to_mass: 0.35,
            sun_to_vapour: 0.0,
            height_m: 2.0,
            cover_ratio: 1.8,
            soil_vapour_m_s: 0.0,
            crop_vapour_g_m2_s_kpa: 0.0,
        }
    }
}

impl TunnelModel {
    /// The state `seconds` later (0 to ten days) under steady weather. Fourth-order Runge-Kutta in steps of at most 60 s,
    /// shorter where the structure is quicker.
    ///
    /// `None` where a parameter is not finite, a capacity or the height is not positive, the weather is out of range (temperatures -100 to 100 °C,
    /// water 0 to 1,000 g/m³, sun 0 to 1,600 W/m², loss to the sky -1,000 to 1,000 W/m²), or the state is or leaves those of temperature and water.
    /// Climate sheet 6.6, ±0.001 °C of the exact solution.
    pub fn advance(&self, from: TunnelState, weather: &TunnelWeather, seconds: f64) -> Option<TunnelState> {
        let cover = CoverExchange::polythene(true, weather.wind_m_s)?;
        if !self.is_meant()
            || !weather.is_meant()
            || !from.is_meant()
            || !(0.0..=1.0).contains(&weather.flow_m_s)
            || !(0.0..=864_000.0).contains(&seconds)
        {
            return None;
        }
        let steps = libm::ceil(seconds / self.step_s(weather)).max(1.0);
        let step_s = seconds / steps;
        let mut state = from;
        for _ in 0..steps as u32 {
            let slope = |at: TunnelState| self.slope(at, weather, &cover);
            let k1 = slope(state)?;
            let k2 = slope(moved(state, k1, 0.5 * step_s))?;
            let k3 = slope(moved(state, k2, 0.5 * step_s))?;
            let k4 = slope(moved(state, k3, step_s))?;
            let mean = |pick: fn(&TunnelState) -> f64| (pick(&k1) + 2.0 * (pick(&k2) + pick(&k3)) + pick(&k4)) / 6.0;
            let rate = TunnelState {
                air_c: mean(|s| s.air_c),
                mass_c: mean(|s| s.mass_c),
                vapour_g_m3: mean(|s| s.vapour_g_m3),
            };
            state = moved(state, rate, step_s);
        }
        state.is_meant().then_some(state)
    }

    /// Half the shortest time in which anything here answers, at most 60 s: Runge-Kutta is stable to 2.7 of it.
    fn step_s(&self, weather: &TunnelWeather) -> f64 {
        let heat = (self.cover_w_m2_k + AIR_HEAT_J_M3_K * weather.flow_m_s + self.between_w_m2_k) / self.air_j_m2_k;
        // 3.5e-3 m/s is the transfer to a cover 10 K colder, with room for its growth.
        let vapour = (weather.flow_m_s + self.soil_vapour_m_s + self.cover_ratio * 5e-3) / self.height_m;
        (0.5 / heat.max(vapour)).min(STEP_S)
    }

    fn slope(&self, at: TunnelState, weather: &TunnelWeather, cover: &CoverExchange) -> Option<TunnelState> {
        let to_outside = self.cover_w_m2_k + AIR_HEAT_J_M3_K * weather.flow_m_s;
        let between = self.between_w_m2_k * (at.mass_c - at.air_c);
        let air_w = to_outside * (weather.outside_c - at.air_c)
            + between
            + (self.sun_to_air - self.sun_to_vapour) * weather.sun_w_m2;
        let mass_w =
            -between + self.ground_w_m2_k * (weather.deep_soil_c - at.mass_c) + self.sun_to_mass * weather.sun_w_m2
                - weather.sky_loss_w_m2;
        let cover_c = cover.temperature_c(at.air_c, at.mass_c, weather.outside_c, weather.sky_c)?;
        let condensing = self.cover_ratio
            * transfer_m_s(at.air_c - cover_c)
            * (at.vapour_g_m3 - absolute_humidity_g_m3(cover_c, 100.0)?).max(0.0);
        let held_kpa = at.vapour_g_m3 * (at.air_c + 273.15) / VAPOUR_G_K_M3_KPA.value;
        let deficit_kpa = (saturation_vapour_pressure_kpa(at.air_c)? - held_kpa).max(0.0);
        let vapour_g = self.soil_vapour_m_s * (absolute_humidity_g_m3(at.mass_c, 100.0)? - at.vapour_g_m3)
            + self.sun_to_vapour * weather.sun_w_m2 / EVAPORATION_J_G
            + self.crop_vapour_g_m2_s_kpa * deficit_kpa
            - weather.flow_m_s * (at.vapour_g_m3 - weather.outside_g_m3)
            - condensing;
        Some(TunnelState {
            air_c: air_w / self.air_j_m2_k,
            mass_c: mass_w / self.mass_j_m2_k,
            vapour_g_m3: vapour_g / self.height_m,
        })
    }

    fn is_meant(&self) -> bool {
        let positive = [self.air_j_m2_k, self.mass_j_m2_k, self.height_m];
        let not_negative = [
            self.cover_w_m2_k,
            self.between_w_m2_k,
            self.ground_w_m2_k,
            self.sun_to_air,
            self.sun_to_mass,
            self.sun_to_vapour,
            self.cover_ratio,
            self.soil_vapour_m_s,
            self.crop_vapour_g_m2_s_kpa,
        ];
        positive.iter().all(|v| *v > 0.0 && v.is_finite()) && not_negative.iter().all(|v| *v >= 0.0 && v.is_finite())
    }
}

fn moved(from: TunnelState, rate: TunnelState, seconds: f64) -> TunnelState {
    TunnelState {
        air_c: from.air_c + rate.air_c * seconds,
        mass_c: from.mass_c + rate.mass_c * seconds,
        vapour_g_m3: from.vapour_g_m3 + rate.vapour_g_m3 * seconds,
    }
}

#[cfg(test)]
mod tests;
