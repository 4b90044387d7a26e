//! Moist air: vapour pressure, dew and frost point, deficit, absolute humidity, wet bulb.
//!
//! One formulation throughout, FAO-56 equation 11 over water, above and below 0 °C alike, because humidity sensors
//! report over water. It inverts in closed form, so relative humidity, vapour pressure and dew point never disagree.
//! Ice enters only in [`frost_point_c`] and [`saturation_over_ice_kpa`].
//!
//! **What every function here accepts.** Temperature -100 to 100 °C (the fit is good to 0.1 % between -20 and 45 °C).
//! Relative humidity 0 to 105 % over water; above 100 it is used as 100, above 105 or below 0 it cannot be meant.
//! Whatever is out of range or not finite gives `None`; no function returns NaN or an infinity.

use libm::{exp, log};

/// Coldest and warmest temperature accepted, °C.
const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -100.0..=100.0;
/// Air pressure accepted, kPa: from about 5,500 m down to below sea level.
const PRESSURE_KPA: core::ops::RangeInclusive<f64> = 50.0..=115.0;
/// The lowest relative humidity that is used inside a logarithm, %.
const LOGARITHM_FLOOR_PCT: f64 = 1.0;
/// Ratio of the molar masses of water and dry air (climate sheet 0).
const WATER_TO_AIR: f64 = 0.622;

/// Saturation vapour pressure over water, kPa, at `t_c` °C.
///
/// FAO-56 eq 11; within 0.06 % of ASHRAE from 0 to 25 °C, 0.11 % at 40 °C.
///
/// ```
/// use propstick_agronomy::psychrometrics::saturation_vapour_pressure_kpa;
/// // FAO-56 example 3: 1.705 kPa at 15 °C.
/// assert!((saturation_vapour_pressure_kpa(15.0).unwrap() - 1.705).abs() < 0.0005);
/// ```
pub fn saturation_vapour_pressure_kpa(t_c: f64) -> Option<f64> {
    temperature(t_c).map(saturation_kpa)
}

/// Slope of the saturation curve over water, kPa per °C, at `t_c` °C: the derivative of
/// [`saturation_vapour_pressure_kpa`]. FAO-56 eq 13.
pub fn saturation_slope_kpa_per_c(t_c: f64) -> Option<f64> {
    let t_c = temperature(t_c)?;
    Some(4098.0 * saturation_kpa(t_c) / ((t_c + 237.3) * (t_c + 237.3)))
}

/// Saturation vapour pressure over ice, kPa, at `t_c` °C, -65 to 0 °C; `None` above 0 °C.
///
/// WMO-No. 8 Annex 4.B. At 0 °C it is 0.07 % above [`saturation_vapour_pressure_kpa`]: the two fits do not meet exactly.
pub fn saturation_over_ice_kpa(t_c: f64) -> Option<f64> {
    (-65.0..=0.0).contains(&t_c).then(|| 0.6112 * exp(22.46 * t_c / (t_c + 272.62)))
}

/// Vapour pressure, kPa, of air of `t_c` °C and `rh_pct` % relative humidity over water. FAO-56, definition.
pub fn vapour_pressure_kpa(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(t_c)? * humidity(rh_pct)? / 100.0)
}

/// Dew point over water, °C, of air of `t_c` °C and `rh_pct` %. Never above `t_c`.
///
/// Below 1 % the humidity is taken as 1 %, because the logarithm of nothing is no number. Climate sheet 1.2; within
/// 0.02 °C of psychrolib above 0 °C. Below 0 °C psychrolib answers with the frost point, which is another quantity.
///
/// ```
/// use propstick_agronomy::psychrometrics::dew_point_c;
/// // Climate sheet 1.2: 10 °C and 90 % have a dew point of 8.438 °C.
/// assert!((dew_point_c(10.0, 90.0).unwrap() - 8.438).abs() < 0.0005);
/// ```
pub fn dew_point_c(t_c: f64, rh_pct: f64) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, floored(rh_pct)?)?;
    // At saturation the closed form can miss the temperature by a rounding error.
    Some(dew_point_unchecked_c(e_kpa).min(t_c))
}

/// Dew point over water, °C, of air that holds `e_kpa` kPa of vapour; `None` for zero and below. Climate sheet 1.2.
pub fn dew_point_of_vapour_c(e_kpa: f64) -> Option<f64> {
    vapour(e_kpa).map(dew_point_unchecked_c).and_then(temperature)
}

/// Frost point, °C: the surface temperature at which hoar begins. `None` where it would not lie below 0 °C.
///
/// For the same air it lies above the dew point, by up to 1 °C: frost forms first. Below 1 % humidity as
/// [`dew_point_c`]. WMO-No. 8 over ice, climate sheet 1.2; ±0.01 °C.
pub fn frost_point_c(t_c: f64, rh_pct: f64) -> Option<f64> {
    let m = log(vapour_pressure_kpa(t_c, floored(rh_pct)?)? / 0.6112);
    let frost_point_c = 272.62 * m / (22.46 - m);
    (frost_point_c < 0.0).then_some(frost_point_c)
}

/// Vapour pressure deficit of the air, kPa: what is missing to saturation at its own temperature. Never negative.
/// Climate sheet 1.3.
pub fn vpd_kpa(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(t_c)? * (1.0 - humidity(rh_pct)? / 100.0))
}

/// Vapour pressure deficit between a leaf of `leaf_c` °C and the air, kPa; negative means that water condenses on the
/// leaf. Climate sheet 1.3.
pub fn leaf_vpd_kpa(leaf_c: f64, t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(leaf_c)? - vapour_pressure_kpa(t_c, rh_pct)?)
}

/// Absolute humidity, g of water in a cubic metre of air. Climate sheet 1.4 (ideal gas); ±0.01 g/m³.
///
/// For people to read. It is not conserved when air warms or cools: compare air masses by vapour pressure.
pub fn absolute_humidity_g_m3(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(2166.7 * vapour_pressure_kpa(t_c, rh_pct)? / (t_c + 273.15))
}

/// Mixing ratio, kg of water per kg of dry air, of air of `t_c` °C and `rh_pct` % at `pressure_kpa`. Climate sheet 1.4.
/// `None` where water would boil.
pub fn mixing_ratio_kg_kg(t_c: f64, rh_pct: f64, pressure_kpa: f64) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, rh_pct)?;
    let dry_kpa = pressure(pressure_kpa)? - e_kpa;
    (dry_kpa > 1.0).then(|| WATER_TO_AIR * e_kpa / dry_kpa)
}

/// Mean air pressure, kPa, at `altitude_m` metres above the sea, -430 to 5,000 m. FAO-56 eq 7.
pub fn pressure_at_altitude_kpa(altitude_m: f64) -> Option<f64> {
    (-430.0..=5_000.0).contains(&altitude_m).then(|| 101.3 * libm::pow((293.0 - 0.0065 * altitude_m) / 293.0, 5.26))
}

/// Psychrometric constant, kPa per °C, at `pressure_kpa`. FAO-56 eq 8.
pub fn psychrometric_constant_kpa_per_c(pressure_kpa: f64) -> Option<f64> {
    pressure(pressure_kpa).map(|p| 0.665e-3 * p)
}

/// How air passes the wet bulb of a psychrometer; it decides the coefficient of FAO-56 eq 16.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Psychrometer {
    /// Fanned, about 5 m/s.
    Aspirated,
    /// Naturally ventilated, about 1 m/s.
    Natural,
    /// Indoors, unventilated.
    Indoor,
}

impl Psychrometer {
    const fn coefficient_per_c(self) -> f64 {
        match self {
            Psychrometer::Aspirated => 6.62e-4,
            Psychrometer::Natural => 8.0e-4,
            Psychrometer::Indoor => 12.0e-4,
        }
    }
}

/// Vapour pressure, kPa, from a dry and a wet bulb, °C, at `pressure_kpa`. FAO-56 eq 15. `None` where the wet bulb is the
/// warmer one, or drier than dry air would be.
pub fn vapour_pressure_from_wet_bulb_kpa(t_c: f64, wet_c: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa = saturation_vapour_pressure_kpa(wet_c)?
        - by.coefficient_per_c() * pressure(pressure_kpa)? * (temperature(t_c)? - wet_c);
    (wet_c <= t_c && e_kpa >= 0.0).then_some(e_kpa)
}

/// What the wet bulb of a psychrometer would show, °C: FAO-56 eq 15 solved for the wet bulb by bisection, to 1e-9 °C.
///
/// With [`Psychrometer::Aspirated`] it lies up to 0.08 °C above the thermodynamic wet bulb of psychrolib between 5 and
/// 30 °C. The bulb is taken as wet with water also below 0 °C; an iced bulb would read higher.
pub fn wet_bulb_c(t_c: f64, rh_pct: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, rh_pct)?;
    let per_c = by.coefficient_per_c() * pressure(pressure_kpa)?;
    // Rises with the wet bulb, is <= 0 at `low` and >= 0 at `high`.
    let excess = |wet_c: f64| saturation_kpa(wet_c) - per_c * (t_c - wet_c) - e_kpa;
    let mut low = (t_c - saturation_kpa(t_c) / per_c).max(*TEMPERATURE_C.start());
    let mut high = t_c;
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if excess(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

fn temperature(t_c: f64) -> Option<f64> {
    TEMPERATURE_C.contains(&t_c).then_some(t_c)
}

fn humidity(rh_pct: f64) -> Option<f64> {
    crate::quality::humidity_for_physics(rh_pct).map(|(used_pct, _)| used_pct)
}

fn floored(rh_pct: f64) -> Option<f64> {
    humidity(rh_pct).map(|rh_pct| rh_pct.max(LOGARITHM_FLOOR_PCT))
}

fn pressure(pressure_kpa: f64) -> Option<f64> {
    PRESSURE_KPA.contains(&pressure_kpa).then_some(pressure_kpa)
}

fn vapour(e_kpa: f64) -> Option<f64> {
    (e_kpa > 0.0 && e_kpa.is_finite()).then_some(e_kpa)
}

fn saturation_kpa(t_c: f64) -> f64 {
    0.6108 * exp(17.27 * t_c / (t_c + 237.3))
}

fn dew_point_unchecked_c(e_kpa: f64) -> f64 {
    let l = log(e_kpa / 0.6108);
    237.3 * l / (17.27 - l)
}

#[cfg(test)]
mod tests;
