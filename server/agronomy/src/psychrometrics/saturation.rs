//! Saturation vapour pressure over water and over ice, and how fast it grows.

use super::constants as c;
use super::{humidity, temperature};
use libm::exp;

/// Where saturation over ice is known, °C.
const ICE_C: core::ops::RangeInclusive<f64> = -65.0..=0.0;

/// Saturation vapour pressure over water, kPa, at `t_c` °C (-100 to 100), above and below 0 °C alike.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 11. **Accuracy**: within 0.06 % of ASHRAE (psychrolib 2.5.0) from 0 to 25 °C and 0.11 % to
/// 40 °C; below 0 °C within 0.7 % of MetPy 1.7.1 (Ambaum 2020) down to -20 °C.
///
/// ```
/// use propstick_agronomy::psychrometrics::saturation_vapour_pressure_kpa;
/// // FAO-56 example 3: 1.705 kPa at 15 °C.
/// assert!((saturation_vapour_pressure_kpa(15.0).unwrap() - 1.705).abs() < 0.0005);
/// ```
pub fn saturation_vapour_pressure_kpa(t_c: f64) -> Option<f64> {
    temperature(t_c).map(saturation_kpa)
}

/// Slope of the saturation curve over water, kPa per °C, at `t_c` °C (-100 to 100): the derivative of [`saturation_vapour_pressure_kpa`].
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 13, whose 4098 rounds 17.27 times 237.3. **Accuracy**: within 5e-5 of the numeric
/// derivative.
///
/// ```
/// use propstick_agronomy::psychrometrics::saturation_slope_kpa_per_c;
/// // FAO-56 example 17: 0.246 kPa/°C at 30.2 °C.
/// assert!((saturation_slope_kpa_per_c(30.2).unwrap() - 0.246).abs() < 0.0005);
/// ```
pub fn saturation_slope_kpa_per_c(t_c: f64) -> Option<f64> {
    temperature(t_c).map(slope_kpa_per_c)
}

/// Saturation vapour pressure over ice, kPa, at `t_c` °C, -65 to 0.
///
/// **Errors**: `None` out of range, so above 0 °C. **Source**: WMO-No. 8 Annex 4.B. **Accuracy**: within 0.04 % of ASHRAE over ice (psychrolib 2.5.0)
/// from -40 to 0 °C. At 0 °C it lies 0.07 % above [`saturation_vapour_pressure_kpa`]: the two fits do not meet exactly.
///
/// ```
/// use propstick_agronomy::psychrometrics::saturation_over_ice_kpa;
/// // Climate sheet 1.1, WMO-8 ice: 0.25987 kPa at -10 °C.
/// assert!((saturation_over_ice_kpa(-10.0).unwrap() - 0.25987).abs() < 1e-5);
/// ```
pub fn saturation_over_ice_kpa(t_c: f64) -> Option<f64> {
    ICE_C.contains(&t_c).then(|| over_ice_kpa(t_c))
}

/// Slope of the saturation curve over ice, kPa per °C, at `t_c` °C, -65 to 0: the exact derivative of [`saturation_over_ice_kpa`].
///
/// **Errors**: `None` out of range. **Source**: derivative of the WMO-No. 8 form.
///
/// ```
/// use propstick_agronomy::psychrometrics::{saturation_over_ice_slope_kpa_per_c, saturation_over_ice_kpa};
/// let slope = saturation_over_ice_slope_kpa_per_c(-5.0).unwrap();
/// let rise = saturation_over_ice_kpa(-4.9).unwrap() - saturation_over_ice_kpa(-5.1).unwrap();
/// assert!((slope - rise / 0.2).abs() < 1e-5);
/// ```
pub fn saturation_over_ice_slope_kpa_per_c(t_c: f64) -> Option<f64> {
    ICE_C.contains(&t_c).then(|| over_ice_slope_kpa_per_c(t_c))
}

/// Relative humidity over ice, %, of air of `t_c` °C (-65 to 0) and `rh_pct` % over water, which is what sensors give.
///
/// Above 100 where hoar grows; up to 137 % at -30 °C. A sensor that stands at 98.0 % at -2 °C, 95.2 % at -5 and 90.5 % at -10 °C stands at 100 % over
/// ice: it is not stuck. **Errors**: `None` out of range, so above 0 °C. **Source**: climate sheet 1.5, `RH e_w / e_i`. **Accuracy**: that of the two
/// saturation curves, 0.7 % at -20 °C.
///
/// ```
/// use propstick_agronomy::psychrometrics::humidity_over_ice_pct;
/// // Climate sheet 1.5: 95.2 % over water at -5 °C is air in equilibrium with ice.
/// assert!((humidity_over_ice_pct(-5.0, 95.2).unwrap() - 100.0).abs() < 0.3);
/// ```
pub fn humidity_over_ice_pct(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(humidity(rh_pct)? * saturation_kpa(t_c) / saturation_over_ice_kpa(t_c)?)
}

pub(super) fn saturation_kpa(t_c: f64) -> f64 {
    c::WATER_KPA.value * exp(c::WATER_GROWTH.value * t_c / (t_c + c::WATER_OFFSET_C.value))
}

pub(super) fn slope_kpa_per_c(t_c: f64) -> f64 {
    let from_c = t_c + c::WATER_OFFSET_C.value;
    c::WATER_SLOPE_C.value * saturation_kpa(t_c) / (from_c * from_c)
}

pub(super) fn over_ice_kpa(t_c: f64) -> f64 {
    c::ICE_KPA.value * exp(c::ICE_GROWTH.value * t_c / (t_c + c::ICE_OFFSET_C.value))
}

pub(super) fn over_ice_slope_kpa_per_c(t_c: f64) -> f64 {
    let offset_c = c::ICE_OFFSET_C.value;
    c::ICE_GROWTH.value * offset_c / ((t_c + offset_c) * (t_c + offset_c)) * over_ice_kpa(t_c)
}
