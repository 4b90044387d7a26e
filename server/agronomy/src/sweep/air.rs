//! Moist air, ventilation, covers, evaporation, soil water.

use super::{Answers, Refuses, Row, Wild};
use crate::airflow::Openings;
use crate::cover::{self, CoverExchange};
use crate::evapotranspiration::{self as et, CoverSky, DayAir, Form, HourAir, NightSky};
use crate::psychrometrics::{self as air, Psychrometer};
use crate::tunnel_model::{TunnelModel, TunnelState, TunnelWeather};
use crate::ventilation as vent;
use crate::water::balance::{Bed, DayWater, Given, share_at};
use crate::water::crops::CROPS;
use crate::water::soils::Soil;
use alloc::format;

const BULBS: [Psychrometer; 3] = [Psychrometer::Aspirated, Psychrometer::Natural, Psychrometer::Indoor];
const SKIES: [CoverSky; 2] = [CoverSky::DryFilm, CoverSky::WetOrFleece];

fn day_air(w: &mut Wild) -> DayAir {
    let min_c = w.between(-20.0, 20.0);
    let (max_c, rh) = (min_c + w.between(0.0, 20.0), w.between(10.0, 100.0));
    DayAir::of_mean_humidity(min_c, max_c, rh).unwrap()
}

fn hour_air(w: &mut Wild) -> HourAir {
    HourAir::new(w.between(-20.0, 40.0), w.between(0.1, 2.0)).unwrap()
}

fn bed(w: &mut Wild) -> Bed {
    Bed::new(Soil::new(0.23, 0.11).unwrap(), w.between(0.1, 1.0), w.between(0.1, 0.8)).unwrap()
}

pub(super) const ROWS: &[Row] = &[
    Row("psychrometrics/pressure.rs: pressure_at_altitude_kpa", Refuses, |w| {
        format!("{:?}", air::pressure_at_altitude_kpa(w.n()))
    }),
    Row("psychrometrics/pressure.rs: psychrometric_constant_kpa_per_c", Refuses, |w| {
        format!("{:?}", air::psychrometric_constant_kpa_per_c(w.n()))
    }),
    Row("psychrometrics/saturation.rs: saturation_vapour_pressure_kpa", Refuses, |w| {
        format!("{:?}", air::saturation_vapour_pressure_kpa(w.n()))
    }),
    Row("psychrometrics/saturation.rs: saturation_slope_kpa_per_c", Refuses, |w| {
        format!("{:?}", air::saturation_slope_kpa_per_c(w.n()))
    }),
    Row("psychrometrics/saturation.rs: saturation_over_ice_kpa", Refuses, |w| {
        format!("{:?}", air::saturation_over_ice_kpa(w.n()))
    }),
    Row("psychrometrics/saturation.rs: saturation_over_ice_slope_kpa_per_c", Refuses, |w| {
        format!("{:?}", air::saturation_over_ice_slope_kpa_per_c(w.n()))
    }),
    Row("psychrometrics/saturation.rs: humidity_over_ice_pct", Refuses, |w| {
        format!("{:?}", air::humidity_over_ice_pct(w.n(), w.n()))
    }),
    Row("psychrometrics/vapour.rs: vapour_pressure_kpa", Refuses, |w| {
        format!("{:?}", air::vapour_pressure_kpa(w.n(), w.n()))
    }),
    Row("psychrometrics/vapour.rs: dew_point_c", Refuses, |w| format!("{:?}", air::dew_point_c(w.n(), w.n()))),
    Row("psychrometrics/vapour.rs: dew_point_of_vapour_c", Refuses, |w| {
        format!("{:?}", air::dew_point_of_vapour_c(w.n()))
    }),
    Row("psychrometrics/vapour.rs: frost_point_c", Refuses, |w| format!("{:?}", air::frost_point_c(w.n(), w.n()))),
    Row("psychrometrics/vapour.rs: frost_point_of_vapour_c", Refuses, |w| {
        format!("{:?}", air::frost_point_of_vapour_c(w.n()))
    }),
    Row("psychrometrics/vapour.rs: vpd_kpa", Refuses, |w| format!("{:?}", air::vpd_kpa(w.n(), w.n()))),
    Row("psychrometrics/vapour.rs: leaf_vpd_kpa", Refuses, |w| format!("{:?}", air::leaf_vpd_kpa(w.n(), w.n(), w.n()))),
    Row("psychrometrics/vapour.rs: absolute_humidity_g_m3", Refuses, |w| {
        format!("{:?}", air::absolute_humidity_g_m3(w.n(), w.n()))
    }),
    Row("psychrometrics/vapour.rs: mixing_ratio_kg_kg", Refuses, |w| {
        let p = if w.flag() { w.n() } else { 101.3 };
        format!("{:?}", air::mixing_ratio_kg_kg(w.n(), w.n(), p))
    }),
    Row("psychrometrics/wet_bulb.rs: vapour_pressure_from_wet_bulb_kpa", Refuses, |w| {
        let p = if w.flag() { w.n() } else { 101.3 };
        format!("{:?}", air::vapour_pressure_from_wet_bulb_kpa(w.n(), w.n(), p, w.one_of(&BULBS)))
    }),
    Row("psychrometrics/wet_bulb.rs: vapour_pressure_from_iced_bulb_kpa", Refuses, |w| {
        let (t_c, p) = if w.flag() { (w.n(), w.n()) } else { (w.between(-20.0, 5.0), 101.3) };
        format!("{:?}", air::vapour_pressure_from_iced_bulb_kpa(t_c, -w.n(), p, w.one_of(&BULBS)))
    }),
    Row("psychrometrics/wet_bulb.rs: wet_bulb_c", Refuses, |w| {
        let p = if w.flag() { w.n() } else { 101.3 };
        format!("{:?}", air::wet_bulb_c(w.n(), w.n(), p, w.one_of(&BULBS)))
    }),
    Row("psychrometrics/wet_bulb.rs: iced_bulb_c", Refuses, |w| {
        let p = if w.flag() { w.n() } else { 101.3 };
        format!("{:?}", air::iced_bulb_c(w.n(), w.n(), p, w.one_of(&BULBS)))
    }),
    Row("airflow.rs: one_level_m3_s", Refuses, |w| {
        format!("{:?}", Openings::default().one_level_m3_s(w.n(), w.n(), w.n(), w.n(), w.n()))
    }),
    Row("airflow.rs: two_levels_m3_s", Refuses, |w| {
        format!("{:?}", Openings::default().two_levels_m3_s(w.n(), w.n(), w.n(), w.n(), w.n(), w.n()))
    }),
    Row("cover.rs: polythene", Refuses, |w| format!("{:?}", CoverExchange::polythene(w.flag(), w.n()))),
    Row("cover.rs: temperature_c", Refuses, |w| {
        let (cover, inside, outside) = (CoverExchange::polythene(true, 2.0).unwrap(), w.n(), w.n());
        format!("{:?}", cover.temperature_c(inside, w.n(), outside, w.n()))
    }),
    Row("cover.rs: clear_sky_swinbank_c", Refuses, |w| format!("{:?}", cover::clear_sky_swinbank_c(w.n()))),
    Row("cover.rs: clear_sky_brutsaert_c", Refuses, |w| format!("{:?}", cover::clear_sky_brutsaert_c(w.n(), w.n()))),
    Row("cover.rs: black_loss_w_m2", Refuses, |w| format!("{:?}", cover::black_loss_w_m2(w.n(), w.n()))),
    Row("cover.rs: condensation_g_m2_s", Refuses, |w| format!("{:?}", cover::condensation_g_m2_s(w.n(), w.n(), w.n()))),
    Row("ventilation.rs: beta_per_c", Refuses, |w| format!("{:?}", vent::beta_per_c(w.n()))),
    Row("ventilation.rs: drying_threshold", Refuses, |w| format!("{:?}", vent::drying_threshold(w.n(), w.n(), w.n()))),
    Row("ventilation.rs: humidity_falls_with_ventilation", Refuses, |w| {
        format!("{:?}", vent::humidity_falls_with_ventilation(w.n(), w.n(), w.n(), w.n(), w.n()))
    }),
    Row("ventilation.rs: dryness_outside", Refuses, |w| format!("{:?}", vent::dryness_outside(w.n(), w.n()))),
    Row("ventilation.rs: flushed_humidity_pct", Refuses, |w| format!("{:?}", vent::flushed_humidity_pct(w.n(), w.n()))),
    Row("ventilation.rs: dead_band_kpa", Refuses, |w| format!("{:?}", vent::dead_band_kpa(w.n(), w.n(), w.n(), w.n()))),
    Row("ventilation.rs: ventilation_share", Refuses, |w| format!("{:?}", vent::ventilation_share(w.n(), w.n()))),
    Row("ventilation.rs: flushed_g_m3", Refuses, |w| {
        format!("{:?}", vent::flushed_g_m3(w.n(), w.n(), w.n(), w.n(), w.n(), w.n()))
    }),
    Row("tunnel_model.rs: humidity_pct", Refuses, |w| {
        format!("{:?}", TunnelState { air_c: w.n(), mass_c: 8.0, vapour_g_m3: w.n() }.humidity_pct())
    }),
    Row("tunnel_model.rs: advance", Refuses, |w| {
        let from = TunnelState { air_c: w.n(), mass_c: w.n(), vapour_g_m3: w.n() };
        let mut weather = TunnelWeather {
            outside_c: 5.0,
            outside_g_m3: 6.0,
            sun_w_m2: 100.0,
            deep_soil_c: 9.0,
            sky_loss_w_m2: 20.0,
            sky_c: -5.0,
            wind_m_s: 2.0,
            flow_m_s: 0.002,
        };
        match w.below(4) {
            0 => weather.outside_c = w.n(),
            1 => weather.sun_w_m2 = w.n(),
            2 => weather.flow_m_s = w.n(),
            _ => weather.sky_c = w.n(),
        }
        // Ten minutes: a long simulation is no better test.
        let seconds = match w.below(4) {
            0 => w.one_of(&[-1.0, 864_001.0, 0.0, 60.0]),
            1 => {
                w.absurd = true;
                w.one_of(&[f64::NAN, f64::INFINITY, 1e300])
            }
            _ => 600.0,
        };
        format!("{:?}", TunnelModel::default().advance(from, &weather, seconds))
    }),
    Row("evapotranspiration.rs: new", Refuses, |w| format!("{:?}", DayAir::new(w.n(), w.n(), w.n()))),
    Row("evapotranspiration.rs: of_humidities", Refuses, |w| {
        format!("{:?}", DayAir::of_humidities(w.n(), w.n(), w.n(), w.n()))
    }),
    Row("evapotranspiration.rs: of_mean_humidity", Refuses, |w| {
        format!("{:?}", DayAir::of_mean_humidity(w.n(), w.n(), w.n()))
    }),
    Row("evapotranspiration.rs: of_dew_point", Refuses, |w| format!("{:?}", DayAir::of_dew_point(w.n(), w.n(), w.n()))),
    Row("evapotranspiration.rs: mean_c", Answers, |w| {
        format!("{:?}", DayAir::new(w.n(), w.n(), w.n()).map(|a| a.mean_c()))
    }),
    Row("evapotranspiration.rs: vapour_kpa", Answers, |w| {
        format!("{:?}", DayAir::new(w.n(), w.n(), w.n()).map(|a| a.vapour_kpa()))
    }),
    Row("evapotranspiration.rs: saturation_kpa", Answers, |w| {
        format!("{:?}", DayAir::new(w.n(), w.n(), w.n()).map(|a| a.saturation_kpa()))
    }),
    Row("evapotranspiration.rs: dew_point_c", Answers, |w| {
        format!("{:?}", DayAir::new(w.n(), w.n(), w.n()).and_then(|a| a.dew_point_c()))
    }),
    Row("evapotranspiration/daily.rs: wind_at_2m_m_s", Refuses, |w| format!("{:?}", et::wind_at_2m_m_s(w.n(), w.n()))),
    Row("evapotranspiration/daily.rs: reference_mm_d", Refuses, |w| {
        let air = day_air(w);
        format!("{:?}", et::reference_mm_d(&air, w.n(), w.n(), w.n(), w.n()))
    }),
    Row("evapotranspiration/daily.rs: fao56_daily_mm", Refuses, |w| {
        let (air, day) = (day_air(w), w.day_of_year());
        format!("{:?}", et::fao56_daily_mm(&air, w.n(), w.n(), day, w.n(), w.n()))
    }),
    Row("evapotranspiration/hourly.rs: new", Refuses, |w| format!("{:?}", HourAir::new(w.n(), w.n()))),
    Row("evapotranspiration/hourly.rs: net_radiation_mj_m2", Refuses, |w| {
        let air = hour_air(w);
        format!("{:?}", air.net_radiation_mj_m2(w.n(), w.n()))
    }),
    Row("evapotranspiration/hourly.rs: reference_mm_h", Refuses, |w| {
        let (air, form) = (hour_air(w), w.one_of(&[Form::Fao56, Form::Asce2005]));
        format!("{:?}", et::reference_mm_h(&air, w.n(), w.n(), w.n(), form))
    }),
    Row("evapotranspiration/hourly.rs: after", Refuses, |w| {
        let (hour, day) = (w.n(), w.day_of_year());
        format!("{:?}", NightSky::default().after(hour, day, w.n(), w.n(), w.n(), w.n()))
    }),
    Row("evapotranspiration/hourly.rs: clearness", Answers, |w| {
        let sky = NightSky::default().after(12.0, 172, 51.0, 0.0, w.n(), w.n());
        format!("{:?}", sky.and_then(|sky| sky.clearness()))
    }),
    Row("evapotranspiration/radiation.rs: sun_of_sunshine_mj_m2", Refuses, |w| {
        let day = w.day_of_year();
        format!("{:?}", et::sun_of_sunshine_mj_m2(w.n(), day, w.n()))
    }),
    Row("evapotranspiration/radiation.rs: clear_day_mj_m2", Refuses, |w| {
        format!("{:?}", et::clear_day_mj_m2(w.n(), w.n()))
    }),
    Row("evapotranspiration/radiation.rs: net_long_wave_mj_m2", Refuses, |w| {
        let air = day_air(w);
        format!("{:?}", et::net_long_wave_mj_m2(&air, w.n(), w.n()))
    }),
    Row("evapotranspiration/radiation.rs: net_radiation_mj_m2", Refuses, |w| {
        let air = day_air(w);
        format!("{:?}", et::net_radiation_mj_m2(&air, w.n(), w.n()))
    }),
    Row("evapotranspiration/under_cover.rs: net_radiation_inside_mj_m2", Refuses, |w| {
        format!("{:?}", et::net_radiation_inside_mj_m2(w.n(), w.one_of(&SKIES)))
    }),
    Row("evapotranspiration/under_cover.rs: penman_monteith_inside_mm_d", Refuses, |w| {
        let (air, net) = (day_air(w), w.n());
        let resistance = if w.flag() { w.n() } else { 150.0 };
        format!("{:?}", et::penman_monteith_inside_mm_d(&air, net, resistance, w.n()))
    }),
    Row("evapotranspiration/under_cover.rs: makkink_mm_d", Refuses, |w| {
        format!("{:?}", et::makkink_mm_d(w.n(), w.n(), w.n()))
    }),
    Row("evapotranspiration/under_cover.rs: under_cover_mm_d", Refuses, |w| {
        let (air, measured) = (day_air(w), w.flag());
        let sun = w.n();
        let (inside, modelled) = if measured { (Some(sun), 3.0) } else { (None, sun) };
        format!("{:?}", et::under_cover_mm_d(&air, inside, modelled, w.one_of(&SKIES), w.n()))
    }),
    Row("water/soils.rs: new", Refuses, |w| format!("{:?}", Soil::new(w.even(), w.n()))),
    Row("water/soils.rs: available_mm", Refuses, |w| {
        format!("{:?}", Soil::new(0.3, 0.1).and_then(|s| s.available_mm(w.n())))
    }),
    Row("water/crops.rs: coefficient", Refuses, |w| format!("{:?}", CROPS[w.below(CROPS.len())].coefficient(w.n()))),
    Row("water/balance.rs: new", Refuses, |w| format!("{:?}", Bed::new(Soil::new(0.3, 0.1).unwrap(), w.n(), w.n()))),
    Row("water/balance.rs: of_crop", Refuses, |w| {
        let crop = &CROPS[w.below(CROPS.len())];
        format!("{:?}", Bed::of_crop(Soil::new(0.3, 0.1).unwrap(), w.n(), crop, w.n()))
    }),
    Row("water/balance.rs: total_mm", Answers, |w| format!("{:?}", bed(w).total_mm())),
    Row("water/balance.rs: readily_mm", Answers, |w| format!("{:?}", bed(w).readily_mm())),
    Row("water/balance.rs: stress", Refuses, |w| {
        let bed = bed(w);
        format!("{:?}", bed.stress(w.n()))
    }),
    Row("water/balance.rs: after", Refuses, |w| {
        let bed = bed(w);
        let day = DayWater { rain_mm: w.n(), watered_mm: w.n(), risen_mm: w.n(), wanted_mm: w.n() };
        format!("{:?}", bed.after(w.n(), day))
    }),
    Row("water/balance.rs: days_in_hand", Refuses, |w| {
        let bed = bed(w);
        format!("{:?}", bed.days_in_hand(w.n(), w.n()))
    }),
    Row("water/balance.rs: share_at", Refuses, |w| format!("{:?}", share_at(w.n(), w.n()))),
    Row("water/balance.rs: litres", Refuses, |w| {
        format!("{:?}", w.one_of(&[Given::Drip, Given::Can, Given::Sprinkler]).litres(w.n(), w.n()))
    }),
];
