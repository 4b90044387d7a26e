//! How much light reaches a crop under its covers in a day, measured or modelled.

pub mod constants;

use crate::coverage::{CADENCE_UNKNOWN_MS, Sample, cadence_ms};
use crate::sun::{constants as sun, fao56};
use constants as c;
use core::f64::consts::PI;
use libm::cos;

/// A layer between sky and crop. Layers nest: fleece over a bed in a tunnel is two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// A single-skin tunnel with its frame, as it usually is.
    Tunnel,
    /// A single-skin tunnel, new and clean.
    TunnelNew,
    /// A single-skin tunnel, old or dirty.
    TunnelOld,
    /// Two films with air between, and a frame.
    TunnelDouble,
    /// A film over hoops or laid loose: one film, hardly a frame.
    Film,
    /// Glass.
    Glass,
    /// Fleece of about 17 g/m².
    Fleece17,
    /// Fleece of about 30 g/m².
    Fleece30,
}

impl Layer {
    /// Share of the sun it lets through, 0 to 1.
    ///
    /// **Source**: climate sheet 3.5; most of it from memory there, see [`constants`]. **Accuracy**: ±0.1; learn it from two light sensors where they
    /// are.
    ///
    /// ```
    /// use propstick_agronomy::light::Layer;
    /// // Climate sheet 3.5: 0.65 for a single-skin walk-in tunnel.
    /// assert_eq!(Layer::Tunnel.transmission(), 0.65);
    /// ```
    pub fn transmission(self) -> f64 {
        match self {
            Layer::Tunnel => c::TUNNEL.value,
            Layer::TunnelNew => c::TUNNEL_NEW.value,
            Layer::TunnelOld => c::TUNNEL_OLD.value,
            Layer::TunnelDouble => c::FILM_DOUBLE.value * c::FRAME.value,
            Layer::Film => c::FILM.value,
            Layer::Glass => c::GLASS.value,
            Layer::Fleece17 => c::FLEECE_17.value,
            Layer::Fleece30 => c::FLEECE_30.value,
        }
    }
}

/// Share of the sun that reaches the crop under all of `layers`, 0 to 1; 1 under none.
///
/// **Source**: climate sheet 3.5, product of the layers. **Accuracy**: ±0.1.
///
/// ```
/// use propstick_agronomy::light::{Layer, transmission};
/// // Fleece of 17 g/m² in a tunnel: 0.65 times 0.85.
/// assert!((transmission(&[Layer::Tunnel, Layer::Fleece17]) - 0.5525).abs() < 1e-12);
/// ```
pub fn transmission(layers: &[Layer]) -> f64 {
    layers.iter().map(|layer| layer.transmission()).product()
}

/// Light that plants use, mol/m² in the day, from short-wave radiation `mj_m2` in the day at the same place, MJ/m², 0 to 50.
///
/// **Errors**: `None` out of range. **Source**: climate sheet 3.5, McCree 1972. **Accuracy**: ±5 % with sky and season.
///
/// ```
/// use propstick_agronomy::light::daily_light_mol_m2;
/// // Climate sheet 3.5: a clear 21 December at 52° N gives 3.57 MJ, under 0.65 4.78 mol.
/// assert!((daily_light_mol_m2(3.57 * 0.65).unwrap() - 4.78).abs() <= 0.02);
/// ```
pub fn daily_light_mol_m2(mj_m2: f64) -> Option<f64> {
    (0.0..=50.0).contains(&mj_m2).then_some(c::MOL_PER_MJ.value * mj_m2)
}

/// Short-wave radiation outside in a day of average cloud, MJ/m², where nothing measures it: at `lat_deg` (-90 to 90), day of year `day_of_year` (1
/// to 366), for a mild maritime climate north of the equator.
///
/// **Errors**: `None` out of range. **Source**: wetness sheet 4.1, `R_a (0.36 - 0.07 cos(2 pi (J - 5)/365))`, from memory there. **Accuracy**: a
/// single day lies between a third and three times of it; a month within some 20 %.
///
/// ```
/// use propstick_agronomy::light::cloudy_day_mj_m2;
/// // Wetness sheet 4.2: R_a 6.86 at 51° N on 21 December, of which 0.29.
/// assert!((cloudy_day_mj_m2(51.0, 355).unwrap() - 6.86 * 0.2925).abs() < 0.01);
/// ```
pub fn cloudy_day_mj_m2(lat_deg: f64, day_of_year: u32) -> Option<f64> {
    let season = cos(2.0 * PI * (f64::from(day_of_year) - 5.0) / 365.0);
    let share = sun::CLOUDY_MEAN.value - sun::CLOUDY_SWING.value * season;
    fao56::extraterrestrial_day_mj_m2(lat_deg, day_of_year).map(|mj| mj * share)
}

/// A day's radiation as far as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredLight {
    /// The mean of the measured time over the whole, MJ/m².
    pub mj_m2: f64,
    /// The least it can be, MJ/m²: dark in the time that was not measured.
    pub low_mj_m2: f64,
    /// The most, MJ/m²: the brightest reading all through that time.
    pub high_mj_m2: f64,
    /// Share of the time that was measured, 0 to 1.
    pub covered: f64,
}

/// Short-wave radiation from `from_ms` to `to_ms`, which are to be civil dawn and dusk: outside them there is nothing to miss.
///
/// **Shape**: `samples` in W/m² ascend in time and hold all in between and the neighbours just outside; a reading stands until the next, at most 1.5
/// cadences (median step of the 24 h before `to_ms`). Readings below 0, a sensor's offset at night, are used as 0. **Errors**: `None` below 60 %
/// covered, for a time without length or a reading that is no number or above 1,600 W/m². **Source**: the coverage rule of this project's design.
/// **Accuracy**: that of the sensor.
///
/// ```
/// use propstick_agronomy::{coverage::Sample, light::measured};
/// // 100 W/m² for eight hours, every ten minutes: 2.88 MJ/m².
/// let samples: Vec<Sample> = (0..48).map(|k| Sample { t_ms: k * 600_000, v: 100.0 }).collect();
/// let day = measured(&samples, 0, 8 * 3_600_000).unwrap();
/// assert!((day.mj_m2 - 2.88).abs() < 1e-9 && day.covered == 1.0);
/// ```
pub fn measured(samples: &[Sample], from_ms: i64, to_ms: i64) -> Option<MeasuredLight> {
    let reach_ms = cadence_ms(samples, to_ms).unwrap_or(CADENCE_UNKNOWN_MS) * 3 / 2;
    let first = samples.partition_point(|s| s.t_ms < from_ms).saturating_sub(1);
    let (mut sum, mut covered_ms, mut brightest) = (0.0, 0_i64, 0.0_f64);
    for (i, s) in samples.iter().enumerate().skip(first) {
        if s.t_ms >= to_ms {
            break;
        }
        let next_ms = samples.get(i + 1).map_or(i64::MAX, |next| next.t_ms);
        let end_ms = next_ms.min(s.t_ms + reach_ms).min(to_ms);
        let length_ms = end_ms - s.t_ms.max(from_ms);
        if length_ms <= 0 {
            continue;
        }
        let w_m2 = (-100.0..=1_600.0).contains(&s.v).then_some(s.v.max(0.0))?;
        sum += w_m2 * length_ms as f64 / 1e9;
        covered_ms += length_ms;
        brightest = brightest.max(w_m2);
    }
    let covered = covered_ms as f64 / (to_ms - from_ms) as f64;
    let unknown = (to_ms - from_ms - covered_ms) as f64 / 1e9;
    (to_ms > from_ms && covered >= 0.6).then(|| MeasuredLight {
        mj_m2: sum / covered,
        low_mj_m2: sum,
        high_mj_m2: sum + brightest * unknown,
        covered,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec::Vec;
    use proptest::prelude::*;

    #[test]
    fn light_of_3_5_is_reproduced() {
        // Climate sheet 3.5 [arithmetic] ±0.02: 1 MJ -> 2.06 mol; 10 MJ outside -> 20.6, and 13.39 inside at 0.65.
        for (mj, mol) in [(1.0, 2.06), (10.0, 20.6), (10.0 * 0.65, 13.39), (3.57 * 0.65, 4.78)] {
            assert!((daily_light_mol_m2(mj).unwrap() - mol).abs() <= 0.02);
        }
        // "A typical overcast December day (0.7-1.0 MJ) gives about 1 mol inside."
        let overcast = daily_light_mol_m2(0.85 * Layer::Tunnel.transmission()).unwrap();
        assert!((0.9..1.3).contains(&overcast), "{overcast}");
        for bad in [f64::NAN, -0.1, 51.0] {
            assert_eq!(daily_light_mol_m2(bad), None);
        }
    }

    #[test]
    fn every_layer_takes_something_and_another_layer_takes_more() {
        let layers = [
            Layer::Tunnel,
            Layer::TunnelNew,
            Layer::TunnelOld,
            Layer::TunnelDouble,
            Layer::Film,
            Layer::Glass,
            Layer::Fleece17,
            Layer::Fleece30,
        ];
        for layer in layers {
            assert!((0.3..1.0).contains(&layer.transmission()), "{layer:?}");
            assert!(transmission(&[layer, Layer::Fleece17]) < layer.transmission());
        }
        assert!(Layer::TunnelOld.transmission() < Layer::Tunnel.transmission());
        assert!(Layer::Tunnel.transmission() < Layer::TunnelNew.transmission());
        assert_eq!(transmission(&[]), 1.0);
    }

    #[test]
    fn cloudy_days_have_the_share_of_the_wetness_sheet() {
        // Wetness sheet 4.1: about 0.29 in December and January, 0.36 in the mean, 0.43 in summer.
        let share = |day| cloudy_day_mj_m2(51.0, day).unwrap() / fao56::extraterrestrial_day_mj_m2(51.0, day).unwrap();
        assert!((share(5) - 0.29).abs() < 1e-9 && (share(187) - 0.43).abs() < 1e-4 && (share(96) - 0.36).abs() < 0.002);
        assert_eq!(cloudy_day_mj_m2(91.0, 5), None);
        assert_eq!(cloudy_day_mj_m2(51.0, 0), None);
    }

    fn every_ten_minutes(value: impl Fn(i64) -> f64) -> Vec<Sample> {
        (0..48).map(|k| Sample { t_ms: k * 600_000, v: value(k) }).collect()
    }

    #[test]
    fn a_gap_widens_what_the_day_can_have_been() {
        let whole = every_ten_minutes(|_| 100.0);
        let holed: Vec<Sample> = whole.iter().copied().filter(|s| !(12..24).contains(&(s.t_ms / 600_000))).collect();
        let day = measured(&holed, 0, 8 * 3_600_000).unwrap();
        // Two hours lost, less the half cadence that the last reading before them reaches: 115 of 480 minutes.
        assert!((day.covered - 365.0 / 480.0).abs() < 1e-9, "{day:?}");
        assert!((day.mj_m2 - 2.88).abs() < 1e-9 && (day.high_mj_m2 - 2.88).abs() < 1e-9);
        assert!((day.low_mj_m2 - 2.88 * 365.0 / 480.0).abs() < 1e-9);
        assert_eq!(measured(&holed[..24], 0, 8 * 3_600_000), None);
    }

    #[test]
    fn offsets_below_nought_are_dark_and_nonsense_gives_none() {
        let day = measured(&every_ten_minutes(|k| if k < 24 { -5.0 } else { 200.0 }), 0, 8 * 3_600_000).unwrap();
        assert!((day.mj_m2 - 2.88).abs() < 1e-9);
        for bad in [f64::NAN, f64::INFINITY, 2_000.0, -500.0] {
            let samples = every_ten_minutes(|k| if k == 7 { bad } else { 100.0 });
            assert_eq!(measured(&samples, 0, 8 * 3_600_000), None);
        }
        assert_eq!(measured(&every_ten_minutes(|_| 1.0), 5, 5), None);
        assert_eq!(measured(&[], 0, 3_600_000), None);
    }

    proptest! {
        #[test]
        fn prop_range_holds_the_figure(values in proptest::collection::vec(-5.0..1000.0_f64, 48), keep in proptest::collection::vec(any::<bool>(), 48)) {
            let all = every_ten_minutes(|k| values[k as usize]);
            let some: Vec<Sample> = all.iter().copied().zip(&keep).filter(|(_, k)| **k).map(|(s, _)| s).collect();
            if let Some(day) = measured(&some, 0, 8 * 3_600_000) {
                prop_assert!(day.low_mj_m2 <= day.mj_m2 + 1e-12 && day.mj_m2 <= day.high_mj_m2 + 1e-12);
                prop_assert!((0.6..=1.0).contains(&day.covered));
            }
        }
    }
}
