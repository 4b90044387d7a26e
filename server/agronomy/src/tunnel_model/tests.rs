use super::*;
use proptest::prelude::*;

/// Weather of the sheet's cases, without any water.
fn weather(outside_c: f64, sun: f64, deep_soil_c: f64, sky_loss: f64, flow: f64) -> TunnelWeather {
    TunnelWeather {
        outside_c,
        outside_g_m3: 0.0,
        sun_w_m2: sun,
        deep_soil_c,
        sky_loss_w_m2: sky_loss,
        sky_c: outside_c,
        wind_m_s: 1.0,
        flow_m_s: flow,
    }
}

fn start(air_c: f64, mass_c: f64) -> TunnelState {
    TunnelState { air_c, mass_c, vapour_g_m3: 0.0 }
}

#[track_caller]
fn temperatures(from: TunnelState, weather: TunnelWeather, hours: f64, air_c: f64, mass_c: f64) {
    let got = TunnelModel::default().advance(from, &weather, hours * 3_600.0).unwrap();
    assert!((got.air_c - air_c).abs() <= 0.001, "air {} after {hours} h, want {air_c}", got.air_c);
    assert!((got.mass_c - mass_c).abs() <= 0.001, "mass {} after {hours} h, want {mass_c}", got.mass_c);
}

#[test]
fn cases_of_6_6_are_reproduced() {
    // Climate sheet 6.6 [arithmetic, scipy expm] ±0.001, T_a / T_m.
    let night = weather(2.0, 0.0, 9.0, 25.0, 0.0005);
    for (hours, air_c, mass_c) in
        [(1.0, 5.6435, 10.7828), (2.0, 5.1511, 9.6101), (6.0, 3.6788, 6.0341), (12.0, 2.4024, 2.9338)]
    {
        temperatures(start(10.0, 12.0), night, hours, air_c, mass_c);
    }
    // Steady state: colder than outside.
    temperatures(start(10.0, 12.0), night, 240.0, 1.0655, -0.3132);

    let closed = weather(8.0, 150.0, 9.0, 10.0, 0.0005);
    let open = TunnelWeather { flow_m_s: 0.01, ..closed };
    for (hours, air_c, mass_c) in [(1.0, 10.1874, 8.9141), (2.0, 10.5676, 9.8147), (4.0, 11.1960, 11.3407)] {
        temperatures(start(6.0, 8.0), closed, hours, air_c, mass_c);
    }
    for (hours, air_c, mass_c) in [(1.0, 9.3947, 8.8564), (2.0, 9.6005, 9.6487), (4.0, 9.9379, 10.9484)] {
        temperatures(start(6.0, 8.0), open, hours, air_c, mass_c);
    }
}

#[test]
fn a_long_step_is_the_same_as_many_short_ones() {
    let night = weather(2.0, 0.0, 9.0, 25.0, 0.0005);
    let model = planted();
    let from = TunnelState { air_c: 10.0, mass_c: 12.0, vapour_g_m3: 8.0 };
    let once = model.advance(from, &night, 3_600.0).unwrap();
    let many = (0..60).fold(from, |state, _| model.advance(state, &night, 60.0).unwrap());
    assert!((once.air_c - many.air_c).abs() < 1e-6 && (once.vapour_g_m3 - many.vapour_g_m3).abs() < 1e-4);
}

#[test]
fn strong_ventilation_settles_instead_of_running_away() {
    // Climate sheet 6.6: explicit Euler fails here; with q 0.4 the air answers within 25 s.
    let gale = TunnelWeather { flow_m_s: 0.4, outside_g_m3: 6.0, ..weather(8.0, 150.0, 9.0, 10.0, 0.4) };
    let state = planted().advance(TunnelState { vapour_g_m3: 9.0, ..start(20.0, 8.0) }, &gale, 3_600.0).unwrap();
    assert!((state.air_c - 8.1).abs() < 0.2, "{state:?}");
    assert!((state.vapour_g_m3 - 6.0).abs() < 0.2, "{state:?}");
}

#[test]
fn flushing_follows_the_equation_of_6_4_where_nothing_condenses() {
    // Climate sheet 6.4: h 2, q 0.002, M 0.003 g/(m² s), w_out 7, w0 10 -> 9.3232 g/m³ after 600 s. The source is sun
    // evaporated from the crop: 0.003 g/(m² s) is 7.35 W/m². Air and mass stay at 30 °C, far above any dew point.
    let model = TunnelModel { sun_to_air: 1.0, sun_to_mass: 0.0, sun_to_vapour: 1.0, ..TunnelModel::default() };
    let mild =
        TunnelWeather { outside_g_m3: 7.0, sky_c: 30.0, ..weather(30.0, 0.003 * EVAPORATION_J_G, 30.0, 0.0, 0.002) };
    let state = model.advance(TunnelState { vapour_g_m3: 10.0, ..start(30.0, 30.0) }, &mild, 600.0).unwrap();
    assert!((state.vapour_g_m3 - 9.3232).abs() <= 1e-3, "{state:?}");
}

#[test]
fn wet_soil_saturates_closed_air_and_the_film_takes_water_out_at_night() {
    let still = TunnelWeather { outside_g_m3: 4.0, ..weather(2.0, 0.0, 9.0, 25.0, 0.0002) };
    let from = TunnelState { air_c: 8.0, mass_c: 10.0, vapour_g_m3: 6.0 };
    let after = |sky_c: f64| {
        let weather = TunnelWeather { sky_c, ..still };
        planted().advance(from, &weather, 6.0 * 3_600.0).unwrap().vapour_g_m3
    };
    // Under a colder sky the film is colder and leaves less water in the air.
    assert!(after(-20.0) < after(0.0) - 0.05, "{} {}", after(-20.0), after(0.0));
    let damp = planted().advance(from, &still, 6.0 * 3_600.0).unwrap().humidity_pct().unwrap();
    assert!((80.0..105.0).contains(&damp), "{damp}");
}

#[test]
fn crop_in_dry_air_gives_off_water_by_the_deficit() {
    // Climate sheet 6.6, `B_t D`: 20 °C at 50 % lack 1.169 kPa; 0.004 g/(m² s kPa) over 2 m for 60 s is 0.140 g/m³.
    let model = TunnelModel { crop_vapour_g_m2_s_kpa: 0.004, ..TunnelModel::default() };
    let warm = weather(20.0, 0.0, 20.0, 0.0, 0.0);
    let from = TunnelState { vapour_g_m3: 8.641, ..start(20.0, 20.0) };
    let gained = model.advance(from, &warm, 60.0).unwrap().vapour_g_m3 - 8.641;
    assert!((gained - 0.140).abs() < 0.002, "{gained}");
}

#[test]
fn humidity_is_that_of_the_vapour_held() {
    // Climate sheet 1.4: saturated air of 20 °C holds 17.282 g/m³.
    let state = TunnelState { vapour_g_m3: 0.5 * 17.282, ..start(20.0, 5.0) };
    assert!((state.humidity_pct().unwrap() - 50.0).abs() < 0.02);
    assert_eq!(start(500.0, 5.0).humidity_pct(), None);
}

#[test]
fn nonsense_gives_none() {
    let fair = weather(8.0, 150.0, 9.0, 10.0, 0.0005);
    let model = TunnelModel::default();
    for bad in [f64::NAN, f64::INFINITY, -1e9] {
        assert_eq!(model.advance(start(bad, 8.0), &fair, 60.0), None);
        assert_eq!(model.advance(start(8.0, bad), &fair, 60.0), None);
        assert_eq!(model.advance(start(8.0, 8.0), &fair, bad), None);
        assert_eq!(model.advance(start(8.0, 8.0), &TunnelWeather { outside_c: bad, ..fair }, 60.0), None);
        assert_eq!(model.advance(start(8.0, 8.0), &TunnelWeather { wind_m_s: bad, ..fair }, 60.0), None);
        assert_eq!(model.advance(start(8.0, 8.0), &TunnelWeather { flow_m_s: bad, ..fair }, 60.0), None);
        assert_eq!(TunnelModel { air_j_m2_k: bad, ..model }.advance(start(8.0, 8.0), &fair, 60.0), None);
    }
    assert_eq!(TunnelModel { height_m: 0.0, ..model }.advance(start(8.0, 8.0), &fair, 60.0), None);
}

proptest! {
    #[test]
    fn prop_air_stays_between_what_surrounds_it(
        air in -10.0..40.0, mass in -10.0..40.0, out in -10.0..40.0, flow in 0.0..0.5, hours in 0.1..12.0,
    ) {
        let calm = TunnelWeather { outside_g_m3: 2.0, ..weather(out, 0.0, out, 0.0, flow) };
        let state = TunnelModel::default().advance(TunnelState { vapour_g_m3: 5.0, ..start(air, mass) }, &calm, hours * 3_600.0).unwrap();
        let (low, high) = (air.min(mass).min(out), air.max(mass).max(out));
        prop_assert!((low - 1e-6..=high + 1e-6).contains(&state.air_c), "{state:?}");
        prop_assert!(state.vapour_g_m3 > 0.0);
    }
}

fn planted() -> TunnelModel {
    TunnelModel { sun_to_vapour: 0.10, soil_vapour_m_s: 0.001, crop_vapour_g_m2_s_kpa: 0.004, ..TunnelModel::default() }
}
