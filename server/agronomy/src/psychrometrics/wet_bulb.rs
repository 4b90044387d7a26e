//! What a wet or an iced bulb shows, and what its reading says of the air.

use super::constants as c;
use super::saturation::{
    over_ice_kpa, over_ice_slope_kpa_per_c, saturation_kpa, saturation_over_ice_kpa, saturation_vapour_pressure_kpa,
    slope_kpa_per_c,
};
use super::vapour::vapour_pressure_kpa;
use super::{air_pressure, temperature};

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
    const fn wet_per_c(self) -> f64 {
        match self {
            Psychrometer::Aspirated => c::ASPIRATED_PER_C.value,
            Psychrometer::Natural => c::NATURAL_PER_C.value,
            Psychrometer::Indoor => c::INDOOR_PER_C.value,
        }
    }

    const fn iced_per_c(self) -> f64 {
        self.wet_per_c() * c::ICED_SHARE.value
    }
}

/// Vapour pressure, kPa, from a dry bulb of `t_c` °C and a wet one of `wet_c` °C (-100 to 100) at `pressure_kpa` (50 to 115).
///
/// The bulb is wet with water, also below 0 °C. **Errors**: `None` out of range, where the wet bulb is the warmer one, or drier than dry air would
/// be. **Source**: FAO-56 eq 15. **Accuracy**: that of the psychrometer's coefficient.
///
/// ```
/// use propstick_agronomy::psychrometrics::{Psychrometer, vapour_pressure_from_wet_bulb_kpa};
/// // FAO-56 example 4: 25.6 and 19.5 °C at 87.9 kPa, 1.91 kPa.
/// let e_kpa = vapour_pressure_from_wet_bulb_kpa(25.6, 19.5, 87.9, Psychrometer::Aspirated).unwrap();
/// assert!((e_kpa - 1.91).abs() < 0.005);
/// ```
pub fn vapour_pressure_from_wet_bulb_kpa(t_c: f64, wet_c: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa = saturation_vapour_pressure_kpa(wet_c)?
        - by.wet_per_c() * air_pressure(pressure_kpa)? * (temperature(t_c)? - wet_c);
    (wet_c <= t_c && e_kpa >= 0.0).then_some(e_kpa)
}

/// Vapour pressure, kPa, from a dry bulb of `t_c` °C and one under ice of `iced_c` °C (-65 to 0) at `pressure_kpa` (50 to 115).
///
/// An iced bulb may stand above the air: then hoar is growing on it. **Errors**: `None` out of range, or where the bulb is drier than dry air would
/// be. **Source**: FAO-56 eq 15 with saturation over ice and the coefficient times 0.882. **Accuracy**: that of the coefficient.
///
/// ```
/// use propstick_agronomy::psychrometrics::{Psychrometer, saturation_over_ice_kpa, vapour_pressure_from_iced_bulb_kpa};
/// // No difference means air in equilibrium with ice.
/// let e_kpa = vapour_pressure_from_iced_bulb_kpa(-5.0, -5.0, 101.3, Psychrometer::Aspirated);
/// assert_eq!(e_kpa, saturation_over_ice_kpa(-5.0));
/// ```
pub fn vapour_pressure_from_iced_bulb_kpa(t_c: f64, iced_c: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa =
        saturation_over_ice_kpa(iced_c)? - by.iced_per_c() * air_pressure(pressure_kpa)? * (temperature(t_c)? - iced_c);
    (e_kpa >= 0.0).then_some(e_kpa)
}

/// What the wet bulb of a psychrometer would show, °C, in air of `t_c` °C and `rh_pct` % at `pressure_kpa`.
///
/// Between the dew point and the air. The bulb is wet with water, also below 0 °C; under ice it reads otherwise, see [`iced_bulb_c`]. **Errors**:
/// `None` out of range. **Source**: FAO-56 eq 15, solved by Newton's method to 1e-9 °C. **Accuracy**: [`Psychrometer::Aspirated`] lies up to 0.10 °C
/// above the thermodynamic wet bulb of psychrolib 2.5.0 to 35 °C from 35 %RH on, 0.2 °C in drier or thinner air.
///
/// ```
/// use propstick_agronomy::psychrometrics::{Psychrometer, wet_bulb_c};
/// // Climate sheet 1.4: 13.841 °C at 20 °C, 50 % and 101.325 kPa.
/// let wet_c = wet_bulb_c(20.0, 50.0, 101.325, Psychrometer::Aspirated).unwrap();
/// assert!((wet_c - 13.841).abs() < 0.02);
/// ```
pub fn wet_bulb_c(t_c: f64, rh_pct: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, rh_pct)?;
    let per_c = by.wet_per_c() * air_pressure(pressure_kpa)?;
    let excess = |wet_c: f64| saturation_kpa(wet_c) - per_c * (t_c - wet_c) - e_kpa;
    Some(root(t_c, excess, |wet_c| slope_kpa_per_c(wet_c) + per_c))
}

/// What the bulb would show under ice, °C, in air of `t_c` °C and `rh_pct` % over water at `pressure_kpa`.
///
/// Between the frost point and the air; above the air where that is supersaturated over ice and hoar grows. Against the same bulb under water it
/// reads **higher in damp air below 0 °C** (by 0.18 °C at -5 °C and 90 %: ice holds less vapour back) **and lower in dry or mild air** (by 0.19 °C at
/// 0 °C and 20 %: sublimation takes more heat). The two agree about where a bulb of -5 °C stands 2.5 °C below the air, one of -2 °C 1.2 °C, one of 0
/// °C not at all. **Errors**: `None` out of range, below -65 °C, and where the bulb would not lie at or below 0 °C. **Source**: FAO-56 eq 15 with
/// saturation over ice (WMO-No. 8) and the coefficient times 0.882 (Glossary of the American Meteorological Society). **Accuracy**:
/// [`Psychrometer::Aspirated`] up to 0.07 °C above the thermodynamic iced bulb of psychrolib 2.5.0 from 35 %RH on.
///
/// ```
/// use propstick_agronomy::psychrometrics::{Psychrometer, iced_bulb_c, wet_bulb_c};
/// let bulbs = |t_c, rh_pct| {
///     let by = Psychrometer::Aspirated;
///     (iced_bulb_c(t_c, rh_pct, 101.3, by).unwrap(), wet_bulb_c(t_c, rh_pct, 101.3, by).unwrap())
/// };
/// let ((iced, wet), (iced_dry, wet_dry)) = (bulbs(-5.0, 90.0), bulbs(0.0, 20.0));
/// assert!(iced > wet && iced_dry < wet_dry);
/// ```
pub fn iced_bulb_c(t_c: f64, rh_pct: f64, pressure_kpa: f64, by: Psychrometer) -> Option<f64> {
    let e_kpa = vapour_pressure_kpa(t_c, rh_pct)?;
    let per_c = by.iced_per_c() * air_pressure(pressure_kpa)?;
    let excess = |iced_c: f64| over_ice_kpa(iced_c) - per_c * (t_c - iced_c) - e_kpa;
    let (low_c, high_c) = (-65.0, 0.0);
    let slope = |iced_c: f64| over_ice_slope_kpa_per_c(iced_c) + per_c;
    (excess(low_c) <= 0.0 && excess(high_c) >= 0.0).then(|| root(high_c, excess, slope))
}

/// Where a rising, upward curved function crosses nought below `high`, where it is at least 0: by Newton's steps, which come down to it from above.
fn root(high: f64, excess: impl Fn(f64) -> f64, slope: impl Fn(f64) -> f64) -> f64 {
    let mut at = high;
    for _ in 0..60 {
        let step = excess(at) / slope(at);
        if step.abs() < 1e-11 {
            break;
        }
        at -= step;
    }
    at.min(high)
}
