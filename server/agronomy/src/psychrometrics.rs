//! Moist air: vapour pressure, dew and frost point, deficit, absolute humidity, wet bulb.
//!
//! One formulation throughout, FAO-56 equation 11 over water, above and below 0 °C alike, because humidity sensors
//! report over water. It inverts in closed form, so relative humidity, vapour pressure and dew point never disagree.
//! Ice enters only where ice is: [`frost_point_c`], [`saturation_over_ice_kpa`], [`humidity_over_ice_pct`], [`iced_bulb_c`].
//!
//! **What every function here accepts.** Temperature -100 to 100 °C (the fit is good to 0.11 % between 0 and 45 °C and to 0.7 % down to
//! -20 °C, where the sources themselves differ by as much). Relative humidity 0 to 105 % over water; above 100 it is used as 100, above 105 or
//! below 0 it cannot be meant. Air pressure 50 to 115 kPa. Whatever is out of range or not finite gives `None`; no function returns NaN or an
//! infinity. All are scalar: one instant's air in, one figure out.

pub mod constants;
mod pressure;
mod saturation;
mod vapour;
mod wet_bulb;

pub use pressure::{pressure_at_altitude_kpa, psychrometric_constant_kpa_per_c};
pub use saturation::{
    humidity_over_ice_pct, saturation_over_ice_kpa, saturation_over_ice_slope_kpa_per_c, saturation_slope_kpa_per_c,
    saturation_vapour_pressure_kpa,
};
pub use vapour::{
    absolute_humidity_g_m3, dew_point_c, dew_point_of_vapour_c, frost_point_c, frost_point_of_vapour_c, leaf_vpd_kpa,
    mixing_ratio_kg_kg, vapour_pressure_kpa, vpd_kpa,
};
pub use wet_bulb::{
    Psychrometer, iced_bulb_c, vapour_pressure_from_iced_bulb_kpa, vapour_pressure_from_wet_bulb_kpa, wet_bulb_c,
};

/// Coldest and warmest temperature accepted, °C.
const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -100.0..=100.0;
/// Air pressure accepted, kPa: from about 5,500 m down to below sea level.
const PRESSURE_KPA: core::ops::RangeInclusive<f64> = 50.0..=115.0;

fn temperature(t_c: f64) -> Option<f64> {
    TEMPERATURE_C.contains(&t_c).then_some(t_c)
}

fn humidity(rh_pct: f64) -> Option<f64> {
    crate::quality::humidity_for_physics(rh_pct).map(|(used_pct, _)| used_pct)
}

fn air_pressure(pressure_kpa: f64) -> Option<f64> {
    PRESSURE_KPA.contains(&pressure_kpa).then_some(pressure_kpa)
}

#[cfg(test)]
mod tests;
