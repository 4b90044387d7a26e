//! Water used under an unheated cover, where hardly any wind blows.
//!
//! The choice of climate sheet 4.3: by the light where a sensor measures it under the cover (Makkink), else by Penman-Monteith with a fixed
//! resistance on modelled light; always with a band of ±30 %.

use super::constants as c;
use super::daily::reference_mm_d;
use super::{DayAir, SUN_MJ_M2, TEMPERATURE_C};
use crate::psychrometrics::{pressure_at_altitude_kpa, psychrometric_constant_kpa_per_c, saturation_slope_kpa_per_c};

/// What a crop under cover radiates to at night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoverSky {
    /// A dry single film, half open to the sky's cold.
    DryFilm,
    /// A film wet inside, or fleece: closed to it.
    WetOrFleece,
}

/// Net radiation under cover, MJ/m² in the day, from short-wave radiation `sun_inside_mj_m2` there.
///
/// **Errors**: `None` out of range. **Source**: climate sheet 4.3, `0.77 R_in - R_nl` with 1.0 under a dry film and 0 under a wet one, from memory
/// there. **Accuracy**: ±0.5 MJ/m².
///
/// ```
/// use propstick_agronomy::evapotranspiration::{CoverSky, net_radiation_inside_mj_m2};
/// assert!((net_radiation_inside_mj_m2(5.0, CoverSky::DryFilm).unwrap() - 2.85).abs() < 1e-12);
/// ```
pub fn net_radiation_inside_mj_m2(sun_inside_mj_m2: f64, sky: CoverSky) -> Option<f64> {
    let loss = match sky {
        CoverSky::DryFilm => c::INSIDE_LOSS_MJ_M2_D.value,
        CoverSky::WetOrFleece => c::INSIDE_LOSS_WET_MJ_M2_D.value,
    };
    SUN_MJ_M2.contains(&sun_inside_mj_m2).then_some(c::KEPT.value * sun_inside_mj_m2 - loss)
}

/// Reference evapotranspiration under an unheated cover, mm in the day, from net radiation there (-20 to 40 MJ/m²): FAO-56 eq 6 with the resistance
/// `resistance_s_m` of the air, 50 to 400 s/m ([`super::constants::UNDER_COVER_RESISTANCE_S_M`]: 150).
///
/// **Errors**: `None` out of range. **Source**: Fernandez et al. 2010, climate sheet 4.3 (a), as wind of 208/r_a. **Accuracy**: within 1e-4 mm of
/// pyet 1.5.0; of a real tunnel ±30 %.
///
/// ```
/// use propstick_agronomy::evapotranspiration::{DayAir, penman_monteith_inside_mm_d};
/// // Climate sheet 4.3: 10 to 24 °C, 95 and 55 %, R_n 7: 2.4986 mm.
/// let day = DayAir::of_humidities(10.0, 24.0, 55.0, 95.0).unwrap();
/// assert!((penman_monteith_inside_mm_d(&day, 7.0, 150.0, 50.0).unwrap() - 2.4986).abs() < 0.002);
/// ```
pub fn penman_monteith_inside_mm_d(air: &DayAir, net_mj_m2: f64, resistance_s_m: f64, altitude_m: f64) -> Option<f64> {
    let resistance = c::UNDER_COVER_RESISTANCE_S_M.holds(resistance_s_m).then_some(resistance_s_m)?;
    reference_mm_d(air, net_mj_m2, 0.0, c::RESISTANCE_TIMES_WIND.value / resistance, altitude_m)
}

/// Reference evapotranspiration by radiation alone, mm in the day: mean temperature `mean_c`, short-wave radiation `sun_mj_m2` at the same place,
/// altitude.
///
/// **Errors**: `None` out of range. **Source**: Makkink in the form of de Bruin 1987, climate sheet 4.2, latent heat 2.45. **Accuracy**: within 1.9 %
/// of pyet 1.5.0, whose latent heat changes with temperature; of a real tunnel ±30 %.
///
/// ```
/// use propstick_agronomy::evapotranspiration::makkink_mm_d;
/// // Climate sheet 4.3 (b): 17 °C, 18 MJ outside under 0.65, 50 m: 2.009 mm.
/// assert!((makkink_mm_d(17.0, 18.0 * 0.65, 50.0).unwrap() - 2.009).abs() < 0.005);
/// ```
pub fn makkink_mm_d(mean_c: f64, sun_mj_m2: f64, altitude_m: f64) -> Option<f64> {
    let meant = TEMPERATURE_C.contains(&mean_c) && SUN_MJ_M2.contains(&sun_mj_m2);
    let slope = saturation_slope_kpa_per_c(mean_c)?;
    let gamma = psychrometric_constant_kpa_per_c(pressure_at_altitude_kpa(altitude_m)?)?;
    meant.then(|| c::MAKKINK.value * slope / (slope + gamma) * sun_mj_m2 / c::LATENT_MJ_KG.value)
}

/// By which way a figure under cover was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// [`makkink_mm_d`], from light measured under the cover.
    LightInside,
    /// [`penman_monteith_inside_mm_d`], from modelled light.
    ModelledLight,
}

/// Reference evapotranspiration under cover with its doubt, mm in the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnderCover {
    /// The figure, 0 or more.
    pub mm_d: f64,
    /// 30 % less.
    pub low_mm_d: f64,
    /// 30 % more.
    pub high_mm_d: f64,
    /// How it was reached.
    pub by: By,
}

/// What a day under an unheated cover uses, for watering: from `measured_mj_m2`, short-wave radiation measured under the cover, where it is; else
/// from `modelled_mj_m2`, what is thought to come in.
///
/// Nothing below 0: dew does not water a bed. **Errors**: `None` out of range. **Source**: the choice of climate sheet 4.3. **Accuracy**: ±30 %, see
/// the band.
///
/// ```
/// use propstick_agronomy::evapotranspiration::{By, CoverSky, DayAir, under_cover_mm_d};
/// let day = DayAir::of_humidities(3.0, 10.0, 85.0, 99.0).unwrap();
/// let used = under_cover_mm_d(&day, None, 1.3, CoverSky::WetOrFleece, 50.0).unwrap();
/// assert!((0.1..0.5).contains(&used.mm_d) && used.by == By::ModelledLight);
/// ```
pub fn under_cover_mm_d(
    air: &DayAir,
    measured_mj_m2: Option<f64>,
    modelled_mj_m2: f64,
    sky: CoverSky,
    altitude_m: f64,
) -> Option<UnderCover> {
    let (mm_d, by) = match measured_mj_m2 {
        Some(sun_mj_m2) => (makkink_mm_d(air.mean_c(), sun_mj_m2, altitude_m)?, By::LightInside),
        None => {
            let net = net_radiation_inside_mj_m2(modelled_mj_m2, sky)?;
            let resistance = c::UNDER_COVER_RESISTANCE_S_M.value;
            (penman_monteith_inside_mm_d(air, net, resistance, altitude_m)?, By::ModelledLight)
        }
    };
    let (mm_d, doubt) = (mm_d.max(0.0), c::UNDER_COVER_DOUBT.value);
    Some(UnderCover { mm_d, low_mm_d: mm_d * (1.0 - doubt), high_mm_d: mm_d * (1.0 + doubt), by })
}
