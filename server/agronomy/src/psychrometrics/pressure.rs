//! Air pressure, and what of it the psychrometric constant takes.

use super::air_pressure;
use super::constants as c;

/// Mean air pressure, kPa, at `altitude_m` metres above the sea, -430 to 5,000.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 7. **Accuracy**: it stands 0.03 % below the standard atmosphere (psychrolib 2.5.0) at sea
/// level, 0.07 % above it at 500 m, 0.25 % at most for every kilometre beyond; the weather moves it by 3 %.
///
/// ```
/// use propstick_agronomy::psychrometrics::pressure_at_altitude_kpa;
/// // FAO-56 example 2: 81.8 kPa at 1,800 m.
/// assert!((pressure_at_altitude_kpa(1_800.0).unwrap() - 81.8).abs() < 0.05);
/// ```
pub fn pressure_at_altitude_kpa(altitude_m: f64) -> Option<f64> {
    let share = (293.0 - 0.0065 * altitude_m) / 293.0;
    (-430.0..=5_000.0).contains(&altitude_m).then(|| c::SEA_LEVEL_KPA.value * libm::pow(share, 5.26))
}

/// Psychrometric constant, kPa per °C, at `pressure_kpa`, 50 to 115.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 8. **Accuracy**: exact to the equation's three digits.
///
/// ```
/// use propstick_agronomy::psychrometrics::psychrometric_constant_kpa_per_c;
/// // FAO-56 example 2: 0.054 kPa/°C at 81.8 kPa.
/// assert!((psychrometric_constant_kpa_per_c(81.8).unwrap() - 0.054).abs() < 0.0005);
/// ```
pub fn psychrometric_constant_kpa_per_c(pressure_kpa: f64) -> Option<f64> {
    air_pressure(pressure_kpa).map(|p| c::PSYCHROMETRIC_PER_C.value * p)
}
