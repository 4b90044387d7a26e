//! Water on the film: when it gathers there, and when it drips on what stands under it.
//!
//! On nearly every clear night the film is below the inside dew point; it is the tunnel's dehumidifier and its water store (climate sheet 6.3).
//! Drip wets plants under ridges and hoops first, often in the first sun of morning when the film warms (wetness sheet 1.3, common practice).

use super::constants as c;
use crate::cover::{condensation_g_m2_s, transfer_m_s};
use crate::psychrometrics::{absolute_humidity_g_m3, dew_point_c};

/// Temperature of a single film, °C: the mean of the air on both sides, each -60 to 60 °C. Wetness sheet 1.3, our proposal; with a sky temperature
/// [`crate::cover::CoverExchange::temperature_c`] is better.
///
/// ```
/// // Wetness sheet 1.3: 8 °C inside, 3 °C outside.
/// assert_eq!(propstick_agronomy::wetness::drip::single_film_c(8.0, 3.0), Some(5.5));
/// ```
pub fn single_film_c(inside_c: f64, outside_c: f64) -> Option<f64> {
    let meant = |t_c: f64| (-60.0..=60.0).contains(&t_c);
    (meant(inside_c) && meant(outside_c)).then_some(0.5 * (inside_c + outside_c))
}

/// Whether air of `inside_c` (°C) and `rh_pct` (%RH) condenses on a cover of `cover_c` (-100 to 100 °C): at or below its dew point. Wetness sheet 1.3.
///
/// ```
/// use propstick_agronomy::wetness::drip::condenses;
/// // Wetness sheet 1.3: 8 °C and 92 % under a film of 5.5 °C do, 85 % do (dew point 5.64), 80 % do not.
/// assert_eq!([92.0, 85.0, 80.0].map(|rh| condenses(8.0, rh, 5.5).unwrap()), [true, true, false]);
/// ```
pub fn condenses(inside_c: f64, rh_pct: f64, cover_c: f64) -> Option<bool> {
    let dew_c = dew_point_c(inside_c, rh_pct)?;
    (-100.0..=100.0).contains(&cover_c).then_some(cover_c <= dew_c)
}

/// Whether drops fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Drip {
    /// Too little water on the film.
    None,
    /// Enough of it to drip when the film next warms, or a gust shakes it.
    Hanging,
    /// It falls: the film warms, or holds no more.
    Falling,
}

/// The water on a film. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Film {
    /// Water on it, g per m² of film, since it was last dry.
    pub water_g_m2: f64,
    /// Its temperature at the end of the last stretch, °C.
    pub cover_c: Option<f64>,
}

impl Film {
    /// Goes through `span_s` seconds (0 to 86,400) of air of `inside_c` (°C) and `rh_pct` (%RH) under a film of `cover_c` (°C).
    ///
    /// `sheds`: a steep film, or an anti-drip one in its first years, from which water runs off: then drops never fall.
    /// **Source**: climate sheet 6.3. Water gathers by the transfer of [`condensation_g_m2_s`] and dries by the same transfer with at least 1 K of
    /// difference; from 75 g/m² drops hang, and fall when the film warms; above 150 g/m² they fall at once. All but the transfer is our proposal or memory.
    /// **Accuracy**: 15 % on the flux (two published rules differ by that much); unmeasured for the drip.
    /// **Errors**: `None` for what cannot be meant; then nothing has changed.
    ///
    /// ```
    /// use propstick_agronomy::wetness::drip::{Drip, Film};
    /// let mut film = Film::default();
    /// // Climate sheet 6.3: 8 °C and 97 % under a film of 2.21 °C gather 25.3 g/m² in an hour.
    /// assert_eq!(film.step(3_600.0, 8.0, 97.0, 2.21, false), Some(Drip::None));
    /// assert!((film.water_g_m2 - 25.3).abs() < 0.05);
    /// ```
    pub fn step(&mut self, span_s: f64, inside_c: f64, rh_pct: f64, cover_c: f64, sheds: bool) -> Option<Drip> {
        if !(0.0..=86_400.0).contains(&span_s) {
            return None;
        }
        let inside_g_m3 = absolute_humidity_g_m3(inside_c, rh_pct)?;
        let gathers_g_m2_s = condensation_g_m2_s(inside_c, inside_g_m3, cover_c)?;
        let lacks_g_m3 = (absolute_humidity_g_m3(cover_c, 100.0)? - inside_g_m3).max(0.0);
        let dries_g_m2_s = transfer_m_s((inside_c - cover_c).max(c::FILM_DRYING_K.value)) * lacks_g_m3;
        let water_g_m2 = (self.water_g_m2 + (gathers_g_m2_s - dries_g_m2_s) * span_s).max(0.0);
        let full = water_g_m2 > c::FILM_HOLDS_G_M2.value;
        let warms = self.cover_c.is_some_and(|before_c| cover_c > before_c);
        *self = Film { water_g_m2: water_g_m2.min(c::FILM_HOLDS_G_M2.value), cover_c: Some(cover_c) };
        Some(if sheds || self.water_g_m2 < c::DRIP_FROM_G_M2.value {
            Drip::None
        } else if warms || full {
            Drip::Falling
        } else {
            Drip::Hanging
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR_S: f64 = 3_600.0;

    #[test]
    fn drops_hang_from_the_fourth_cold_hour_and_fall_when_the_film_warms() {
        // Climate sheet 6.3: 25.3 g/(m² h); three hours gather 75.9.
        let mut film = Film::default();
        let night = [(); 3].map(|()| film.step(HOUR_S, 8.0, 97.0, 2.21, false).unwrap());
        assert_eq!(night, [Drip::None, Drip::None, Drip::Hanging]);
        assert_eq!(film.step(600.0, 8.0, 97.0, 3.0, false), Some(Drip::Falling));
        assert_eq!(film.step(600.0, 8.0, 97.0, 3.0, true), Some(Drip::None));
    }

    #[test]
    fn a_warm_film_in_dry_air_dries_out() {
        let mut film = Film { water_g_m2: 100.0, cover_c: Some(2.0) };
        let mut hours = 0;
        while film.water_g_m2 > 0.0 {
            film.step(HOUR_S, 16.0, 55.0, 15.0, false).unwrap();
            hours += 1;
            assert!(hours < 24, "{film:?}");
        }
        // 5.2 g/m³ short at 1.64e-3 m/s: 31 g/(m² h).
        assert_eq!(hours, 4);
    }

    #[test]
    fn a_film_holds_no_more_than_it_holds() {
        let mut film = Film::default();
        let last = (0..20).map(|_| film.step(HOUR_S, 8.0, 97.0, 2.21, false)).last().unwrap();
        assert_eq!((last, film.water_g_m2), (Some(Drip::Falling), 150.0));
    }

    #[test]
    fn what_cannot_be_meant_changes_nothing() {
        let before = Film { water_g_m2: 10.0, cover_c: Some(1.0) };
        for (span_s, inside_c, rh, cover_c) in [
            (-1.0, 8.0, 90.0, 2.0),
            (f64::NAN, 8.0, 90.0, 2.0),
            (60.0, 8.0, 120.0, 2.0),
            (60.0, f64::NAN, 90.0, 2.0),
            (60.0, 8.0, 90.0, f64::NAN),
        ] {
            let mut film = before;
            assert_eq!((film.step(span_s, inside_c, rh, cover_c, false), film), (None, before));
        }
        assert_eq!((single_film_c(f64::NAN, 1.0), condenses(8.0, 90.0, f64::NAN)), (None, None));
    }
}
