//! How much water a short green crop gives off: Penman-Monteith after FAO-56, outside by the day and the hour, and under cover.
//!
//! 1 mm is a litre on a square metre. The reference is grass of 0.12 m that lacks nothing; a crop's own use is that times its coefficient
//! ([`crate::water`]).
//!
//! **What every function here accepts.** Temperature -60 to 60 °C; vapour pressure 0 to 12 kPa; short-wave radiation 0 to 60 MJ/m² a day; wind 0 to
//! 60 m/s; altitude -430 to 5,000 m; latitude -90 to 90°. Whatever is out of range or no number gives `None`.

pub mod constants;
mod daily;
mod hourly;
mod radiation;
mod under_cover;

pub use daily::{fao56_daily_mm, reference_mm_d, wind_at_2m_m_s};
pub use hourly::{Form, HourAir, NightSky, reference_mm_h};
pub use radiation::{clear_day_mj_m2, net_long_wave_mj_m2, net_radiation_mj_m2, sun_of_sunshine_mj_m2};
pub use under_cover::{
    By, CoverSky, UnderCover, makkink_mm_d, net_radiation_inside_mj_m2, penman_monteith_inside_mm_d, under_cover_mm_d,
};

use crate::psychrometrics::{dew_point_of_vapour_c, saturation_vapour_pressure_kpa, vapour_pressure_kpa};

const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -60.0..=60.0;
const VAPOUR_KPA: core::ops::RangeInclusive<f64> = 0.0..=12.0;
const SUN_MJ_M2: core::ops::RangeInclusive<f64> = 0.0..=60.0;
const WIND_M_S: core::ops::RangeInclusive<f64> = 0.0..=60.0;

/// The air of a day: its lowest and highest temperature and the vapour in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayAir {
    min_c: f64,
    max_c: f64,
    vapour_kpa: f64,
}

impl DayAir {
    /// A day from `min_c` to `max_c`, °C, whose mean vapour pressure is `vapour_kpa`: best the mean over the day's readings.
    ///
    /// **Errors**: `None` where the lowest is above the highest, or out of range.
    ///
    /// ```
    /// use propstick_agronomy::evapotranspiration::DayAir;
    /// // FAO-56 example 3: saturation at 15.0 and 24.5 °C, mean 2.39 kPa.
    /// let day = DayAir::new(15.0, 24.5, 1.7).unwrap();
    /// assert!((day.saturation_kpa() - 2.39).abs() < 0.005);
    /// ```
    pub fn new(min_c: f64, max_c: f64, vapour_kpa: f64) -> Option<DayAir> {
        let meant =
            TEMPERATURE_C.contains(&min_c) && TEMPERATURE_C.contains(&max_c) && VAPOUR_KPA.contains(&vapour_kpa);
        (meant && min_c <= max_c).then_some(DayAir { min_c, max_c, vapour_kpa })
    }

    /// The same from the highest and lowest relative humidity, %, taken with the lowest and highest temperature.
    ///
    /// **Errors**: as [`DayAir::new`], and for humidity out of 0 to 105. **Source**: FAO-56 eq 17.
    ///
    /// ```
    /// use propstick_agronomy::evapotranspiration::DayAir;
    /// // FAO-56 example 5: 18 to 25 °C, 82 and 54 %: 1.70 kPa.
    /// assert!((DayAir::of_humidities(18.0, 25.0, 54.0, 82.0).unwrap().vapour_kpa() - 1.70).abs() < 0.01);
    /// ```
    pub fn of_humidities(min_c: f64, max_c: f64, rh_min_pct: f64, rh_max_pct: f64) -> Option<DayAir> {
        let (damp, dry) = (vapour_pressure_kpa(min_c, rh_max_pct)?, vapour_pressure_kpa(max_c, rh_min_pct)?);
        DayAir::new(min_c, max_c, 0.5 * (damp + dry))
    }

    /// The same from the day's mean relative humidity, %; second choice.
    ///
    /// **Errors**: as [`DayAir::of_humidities`]. **Source**: FAO-56 eq 19.
    ///
    /// ```
    /// use propstick_agronomy::evapotranspiration::DayAir;
    /// // FAO-56 example 5: 18 to 25 °C, mean 68 %: 1.78 kPa.
    /// assert!((DayAir::of_mean_humidity(18.0, 25.0, 68.0).unwrap().vapour_kpa() - 1.78).abs() < 0.01);
    /// ```
    pub fn of_mean_humidity(min_c: f64, max_c: f64, rh_mean_pct: f64) -> Option<DayAir> {
        let (low, high) = (vapour_pressure_kpa(min_c, rh_mean_pct)?, vapour_pressure_kpa(max_c, rh_mean_pct)?);
        DayAir::new(min_c, max_c, 0.5 * (low + high))
    }

    /// The same from the day's mean dew point over water, °C.
    ///
    /// **Errors**: as [`DayAir::new`]. **Source**: FAO-56 eq 14.
    ///
    /// ```
    /// use propstick_agronomy::evapotranspiration::DayAir;
    /// // FAO-56 Table 2.3: 1.228 kPa at 10 °C.
    /// assert!((DayAir::of_dew_point(10.0, 20.0, 10.0).unwrap().vapour_kpa() - 1.228).abs() < 0.0005);
    /// ```
    pub fn of_dew_point(min_c: f64, max_c: f64, dew_point_c: f64) -> Option<DayAir> {
        DayAir::new(min_c, max_c, saturation_vapour_pressure_kpa(dew_point_c)?)
    }

    /// Mean of the lowest and the highest temperature, °C.
    pub fn mean_c(&self) -> f64 {
        0.5 * (self.min_c + self.max_c)
    }

    /// Vapour pressure, kPa.
    pub fn vapour_kpa(&self) -> f64 {
        self.vapour_kpa
    }

    /// Mean saturation vapour pressure, kPa: of the two extremes, never of the mean temperature. FAO-56 eq 12.
    pub fn saturation_kpa(&self) -> f64 {
        let of = |t_c| saturation_vapour_pressure_kpa(t_c).unwrap_or(0.0);
        0.5 * (of(self.min_c) + of(self.max_c))
    }

    /// Mean dew point over water, °C; `None` for dry air.
    pub fn dew_point_c(&self) -> Option<f64> {
        dew_point_of_vapour_c(self.vapour_kpa)
    }
}

#[cfg(test)]
mod tests;
