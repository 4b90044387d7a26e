//! The water in the air, said in the ways people and plants need it.

use super::constants as c;
use super::saturation::saturation_vapour_pressure_kpa;
use super::{air_pressure, humidity, temperature};
use libm::log;

/// Vapour pressure, kPa, of air of `t_c` °C (-100 to 100) and `rh_pct` % relative humidity over water (0 to 105).
///
/// **Errors**: `None` out of range. **Source**: definition of relative humidity, FAO-56 eq 10. **Accuracy**: that of
/// [`saturation_vapour_pressure_kpa`].
///
/// ```
/// use propstick_agronomy::psychrometrics::vapour_pressure_kpa;
/// // Climate sheet 1.4: 1.1694 kPa at 20 °C and 50 %.
/// assert!((vapour_pressure_kpa(20.0, 50.0).unwrap() - 1.1694).abs() < 0.002);
/// ```
pub fn vapour_pressure_kpa(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(t_c)? * humidity(rh_pct)? / 100.0)
}

/// Dew point over water, °C, of air of `t_c` °C (-100 to 100) and `rh_pct` % (0 to 105). Never above `t_c`.
///
/// Below 1 % the humidity is taken as 1 %, because the logarithm of nothing is no number. **Errors**: `None` out of range. **Source**: climate sheet
/// 1.2, inverse of FAO-56 eq 11. **Accuracy**: within 0.02 °C of psychrolib 2.5.0 where that is above 0 °C. Below 0 °C psychrolib answers with the
/// frost point, which is another quantity.
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

/// Dew point over water, °C, of air that holds `e_kpa` kPa of vapour.
///
/// **Errors**: `None` for 0 and below, and where the dew point would lie beyond ±100 °C. **Source** and **accuracy**: as [`dew_point_c`].
///
/// ```
/// use propstick_agronomy::psychrometrics::dew_point_of_vapour_c;
/// // Climate sheet 1.2: 0.300 kPa has its dew point at -9.383 °C.
/// assert!((dew_point_of_vapour_c(0.300).unwrap() + 9.383).abs() < 0.01);
/// ```
pub fn dew_point_of_vapour_c(e_kpa: f64) -> Option<f64> {
    vapour(e_kpa).map(dew_point_unchecked_c).and_then(temperature)
}

/// Frost point, °C, of air of `t_c` °C and `rh_pct` %: the surface temperature at which hoar begins.
///
/// For the same air it lies above the dew point, by 1.0 °C at -9 and 2.1 °C at -20: frost forms first. Below 1 % humidity as [`dew_point_c`].
/// **Errors**: `None` out of range and where it would not lie below 0 °C. **Source**: WMO-No. 8 over ice, climate sheet 1.2. **Accuracy**: within
/// 0.02 °C of psychrolib 2.5.0 for the same vapour pressure.
///
/// ```
/// use propstick_agronomy::psychrometrics::frost_point_c;
/// // Climate sheet 1.2: -3.894 °C for -3 °C and 90 %, with WMO's water form; 0.02 for the difference.
/// assert!((frost_point_c(-3.0, 90.0).unwrap() + 3.894).abs() < 0.02);
/// ```
pub fn frost_point_c(t_c: f64, rh_pct: f64) -> Option<f64> {
    frost_point_of_vapour_c(vapour_pressure_kpa(t_c, floored(rh_pct)?)?)
}

/// Frost point, °C, of air that holds `e_kpa` kPa of vapour.
///
/// **Errors**: `None` for 0 and below, and where it would not lie below 0 °C or below -100. **Source** and **accuracy**: as [`frost_point_c`].
///
/// ```
/// use propstick_agronomy::psychrometrics::frost_point_of_vapour_c;
/// // Climate sheet 1.2: 0.300 kPa has its frost point at -8.373 °C.
/// assert!((frost_point_of_vapour_c(0.300).unwrap() + 8.373).abs() < 0.01);
/// ```
pub fn frost_point_of_vapour_c(e_kpa: f64) -> Option<f64> {
    let m = log(vapour(e_kpa)? / c::ICE_KPA.value);
    temperature(c::ICE_OFFSET_C.value * m / (c::ICE_GROWTH.value - m)).filter(|t_c| *t_c < 0.0)
}

/// Vapour pressure deficit of the air, kPa: what is missing to saturation at its own temperature. Never negative.
///
/// Near saturation it says little: at 5 °C and 95 %, ±2 %RH of sensor error is ±40 % of it, yet ±0.3 °C of dew point. **Errors**: `None` out of
/// range. **Source**: climate sheet 1.3. **Accuracy**: that of [`saturation_vapour_pressure_kpa`].
///
/// ```
/// use propstick_agronomy::psychrometrics::vpd_kpa;
/// // Climate sheet 1.3: 0.7015 kPa at 20 °C and 70 %.
/// assert!((vpd_kpa(20.0, 70.0).unwrap() - 0.7015).abs() < 0.0005);
/// ```
pub fn vpd_kpa(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(t_c)? * (1.0 - humidity(rh_pct)? / 100.0))
}

/// Vapour pressure deficit between a leaf of `leaf_c` °C and the air, kPa; negative means that water condenses on the leaf.
///
/// Without a leaf sensor nobody knows `leaf_c`: on a clear night a degree below the air, in the sun one or two above it (climate sheet 1.3, from memory).
/// **Errors**: `None` out of range. **Source**: climate sheet 1.3. **Accuracy**: that of [`saturation_vapour_pressure_kpa`].
///
/// ```
/// use propstick_agronomy::psychrometrics::leaf_vpd_kpa;
/// // Climate sheet 1.3: a leaf of 6.5 °C in air of 8 °C and 95 % is wet.
/// assert!((leaf_vpd_kpa(6.5, 8.0, 95.0).unwrap() + 0.0512).abs() < 0.0005);
/// ```
pub fn leaf_vpd_kpa(leaf_c: f64, t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(saturation_vapour_pressure_kpa(leaf_c)? - vapour_pressure_kpa(t_c, rh_pct)?)
}

/// Absolute humidity, g of water in a cubic metre of air.
///
/// For people to read. It is not conserved when air warms or cools: compare air masses by vapour pressure. **Errors**: `None` out of range.
/// **Source**: climate sheet 1.4, ideal gas. **Accuracy**: ±0.01 g/m³ of the sheet's table; 0.1 % of psychrolib 2.5.0.
///
/// ```
/// use propstick_agronomy::psychrometrics::absolute_humidity_g_m3;
/// // Climate sheet 1.4: 8.457 g/m³ at 10 °C and 90 %.
/// assert!((absolute_humidity_g_m3(10.0, 90.0).unwrap() - 8.457).abs() < 0.01);
/// ```
pub fn absolute_humidity_g_m3(t_c: f64, rh_pct: f64) -> Option<f64> {
    Some(c::VAPOUR_G_K_M3_KPA.value * vapour_pressure_kpa(t_c, rh_pct)? / (t_c + 273.15))
}

/// Mixing ratio, kg of water per kg of dry air, of air of `t_c` °C and `rh_pct` % at `pressure_kpa` (50 to 115).
///
/// Conserved when air warms, cools or rises. **Errors**: `None` out of range and where water would boil. **Source**: climate sheet 1.4. **Accuracy**:
/// 0.12 % of psychrolib 2.5.0, which has 0.621945 for our 0.622.
///
/// ```
/// use propstick_agronomy::psychrometrics::mixing_ratio_kg_kg;
/// // Climate sheet 1.4: 0.006859 kg/kg at 10 °C, 90 % and 101.325 kPa.
/// assert!((mixing_ratio_kg_kg(10.0, 90.0, 101.325).unwrap() - 0.006859).abs() < 1e-5);
/// ```
pub fn mixing_ratio_kg_kg(t_c: f64, rh_pct: f64, pressure_kpa: f64) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, rh_pct)?;
    let dry_kpa = air_pressure(pressure_kpa)? - e_kpa;
    (dry_kpa > 1.0).then(|| c::WATER_TO_AIR.value * e_kpa / dry_kpa)
}

fn floored(rh_pct: f64) -> Option<f64> {
    humidity(rh_pct).map(|rh_pct| rh_pct.max(c::LOGARITHM_FLOOR_PCT.value))
}

fn vapour(e_kpa: f64) -> Option<f64> {
    (e_kpa > 0.0 && e_kpa.is_finite()).then_some(e_kpa)
}

fn dew_point_unchecked_c(e_kpa: f64) -> f64 {
    let l = log(e_kpa / c::WATER_KPA.value);
    c::WATER_OFFSET_C.value * l / (c::WATER_GROWTH.value - l)
}
