//! Natural ventilation through the openings of a cover, climate sheet 6.2.

use crate::cover::constants as c;
use libm::sqrt;

/// Discharge and wind coefficients of openings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Openings {
    /// Discharge coefficient Cd, 0.6 to 0.75.
    pub discharge: f64,
    /// Wind coefficient Cw, 0.07 to 0.10 in open country, 0.02 to 0.05 where sheltered.
    pub wind: f64,
}

impl Default for Openings {
    /// Cd 0.65, Cw 0.09: typical (climate sheet 6.2, from memory there).
    fn default() -> Self {
        Openings { discharge: c::DISCHARGE.value, wind: c::WIND.value }
    }
}

impl Openings {
    /// Flow, m³/s, through openings of one level: Boulard & Baille 1995.
    ///
    /// `area_m2` of all openings together, `height_m` vertical height of one, `rise_k` inside minus outside temperature
    /// (its sign does not matter: the flow turns round), `mean_k` mean temperature in kelvin, `wind_m_s` outside.
    /// **Errors**: `None` for an area beyond 0 to 10,000 m², a height beyond 0 to 30 m, a rise beyond 100 K either way, a mean beyond 200 to 400 K or
    /// wind beyond 0 to 60 m/s.
    pub fn one_level_m3_s(&self, area_m2: f64, height_m: f64, rise_k: f64, mean_k: f64, wind_m_s: f64) -> Option<f64> {
        let buoyancy = 2.0 * c::GRAVITY_M_S2.value * rise_k.abs() / mean_k * height_m / 4.0;
        let flow = 0.5 * area_m2 * self.discharge * sqrt(buoyancy + self.wind * wind_m_s * wind_m_s);
        let meant = AREA_M2.contains(&area_m2) && HEIGHT_M.contains(&height_m) && is_air(rise_k, mean_k, wind_m_s);
        meant.then_some(flow).filter(|flow| flow.is_finite())
    }

    /// Flow, m³/s, through low and high openings `apart_m` apart in height: Kittas, Boulard & Papadakis 1997. Other
    /// arguments, and what gives `None`, as [`Openings::one_level_m3_s`].
    pub fn two_levels_m3_s(
        &self,
        low_m2: f64,
        high_m2: f64,
        apart_m: f64,
        rise_k: f64,
        mean_k: f64,
        wind_m_s: f64,
    ) -> Option<f64> {
        let both = low_m2 * low_m2 + high_m2 * high_m2;
        let effective2 = if both > 0.0 { (low_m2 * high_m2) * (low_m2 * high_m2) / both } else { 0.0 };
        let mean_m2 = 0.5 * (low_m2 + high_m2);
        let buoyancy = effective2 * 2.0 * c::GRAVITY_M_S2.value * rise_k.abs() / mean_k * apart_m;
        let flow = self.discharge * sqrt(buoyancy + mean_m2 * mean_m2 * self.wind * wind_m_s * wind_m_s);
        let areas = AREA_M2.contains(&low_m2) && AREA_M2.contains(&high_m2);
        let meant = areas && HEIGHT_M.contains(&apart_m) && is_air(rise_k, mean_k, wind_m_s);
        meant.then_some(flow).filter(|flow| flow.is_finite())
    }
}

const AREA_M2: core::ops::RangeInclusive<f64> = 0.0..=10_000.0;
const HEIGHT_M: core::ops::RangeInclusive<f64> = 0.0..=30.0;

fn is_air(rise_k: f64, mean_k: f64, wind_m_s: f64) -> bool {
    rise_k.abs() <= 100.0 && (200.0..=400.0).contains(&mean_k) && (0.0..=60.0).contains(&wind_m_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    const OPENINGS: Openings = Openings { discharge: 0.65, wind: 0.10 };

    #[track_caller]
    fn close(got: Option<f64>, want: f64, within: f64) {
        let got = got.expect("a value");
        assert!((got - want).abs() <= within, "got {got}, want {want} within {within}");
    }

    #[test]
    fn one_level_of_6_2_is_reproduced() {
        // Climate sheet 6.2 [arithmetic] ±0.005, A 6, Cd 0.65, H 0.6, T 293.15, Cw 0.10; per hour of 220 m³ ±0.05.
        for (rise_k, wind, flow, per_hour) in
            [(5.0, 2.0, 1.308, 21.4), (5.0, 0.0, 0.437, 7.1), (0.0, 2.0, 1.233, 20.2), (5.0, 0.5, 0.535, 8.8)]
        {
            let got = OPENINGS.one_level_m3_s(6.0, 0.6, rise_k, 293.15, wind);
            close(got, flow, 0.005);
            close(got.map(|q| q * 3_600.0 / 220.0), per_hour, 0.055);
            assert_eq!(OPENINGS.one_level_m3_s(6.0, 0.6, -rise_k, 293.15, wind), got);
        }
    }

    #[test]
    fn two_levels_of_6_2_are_reproduced() {
        // Climate sheet 6.2 [arithmetic] ±0.005: A_l 6, A_h 2, z 1.8, dT 5.
        for (wind, flow) in [(0.5, 1.042), (3.0, 2.646), (0.0, 0.957)] {
            close(OPENINGS.two_levels_m3_s(6.0, 2.0, 1.8, 5.0, 293.15, wind), flow, 0.005);
        }
    }

    #[test]
    fn nothing_open_lets_nothing_through_and_nonsense_gives_none() {
        assert_eq!(OPENINGS.one_level_m3_s(0.0, 0.6, 5.0, 293.15, 2.0), Some(0.0));
        assert_eq!(OPENINGS.two_levels_m3_s(0.0, 0.0, 1.8, 5.0, 293.15, 2.0), Some(0.0));
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(OPENINGS.one_level_m3_s(bad, 0.6, 5.0, 293.15, 2.0), None);
            assert_eq!(OPENINGS.one_level_m3_s(6.0, 0.6, 5.0, 293.15, bad), None);
            assert_eq!(OPENINGS.two_levels_m3_s(6.0, 2.0, bad, 5.0, 293.15, 2.0), None);
        }
        assert_eq!(OPENINGS.one_level_m3_s(6.0, 0.6, 5.0, 0.0, 2.0), None);
    }
}
