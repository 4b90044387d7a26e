use super::Psychrometer::Aspirated;
use super::saturation::saturation_kpa;
use super::*;
use proptest::prelude::*;

#[track_caller]
fn close(got: Option<f64>, want: f64, within: f64) {
    let got = got.expect("a value");
    assert!((got - want).abs() <= within, "got {got}, want {want} within {within}");
}

// Climate sheet 1.1, table: T, FAO-56 eq 11 [arithmetic], ASHRAE over water [library: psychrolib 2.5.0].
const SATURATION: [(f64, f64, Option<f64>); 10] = [
    (-20.0, 0.12462, None),
    (-10.0, 0.28571, None),
    (-5.0, 0.42118, None),
    (0.0, 0.61080, Some(0.61115)),
    (5.0, 0.87231, Some(0.87249)),
    (10.0, 1.22796, Some(1.22800)),
    (15.0, 1.70535, Some(1.70545)),
    (20.0, 2.33828, Some(2.33880)),
    (25.0, 3.16778, Some(3.16922)),
    (30.0, 4.24307, Some(4.24603)),
];

#[test]
fn saturation_of_the_table_of_1_1_is_reproduced() {
    for (t_c, fao, ashrae) in SATURATION {
        close(saturation_vapour_pressure_kpa(t_c), fao, 0.5e-5 + 1e-9);
        if let Some(ashrae) = ashrae {
            close(saturation_vapour_pressure_kpa(t_c), ashrae, 7e-4 * ashrae);
        }
    }
}

#[test]
fn saturation_agrees_with_iapws_and_stays_within_what_wmo_differs() {
    // Climate sheet 1.1: IAPWS-97 over water and IAPWS ice [library: iapws 1.5.5]; eq 11 is within 0.06 % of ASHRAE, which is within 0.02 % of it.
    for (t_c, iapws) in [
        (0.0, 0.61121),
        (5.0, 0.87257),
        (10.0, 1.22818),
        (15.0, 1.70574),
        (20.0, 2.33921),
        (25.0, 3.16975),
        (30.0, 4.24669),
    ] {
        close(saturation_vapour_pressure_kpa(t_c), iapws, 9e-4 * iapws);
    }
    for (t_c, ice) in [(-20.0, 0.10324), (-10.0, 0.25987), (-5.0, 0.40174)] {
        close(saturation_over_ice_kpa(t_c), ice, 3e-4 * ice);
    }
    // WMO-8's water form stands above eq 11 in the cold and below it in the warm: do not mix them.
    for (t_c, wmo) in [(-20.0, 0.12597), (-10.0, 0.28703), (-5.0, 0.42218)] {
        assert!((0.002..0.012).contains(&(wmo / saturation_kpa(t_c) - 1.0)), "{t_c}");
    }
    for (t_c, wmo) in
        [(5.0, 0.87174), (10.0, 1.22603), (15.0, 1.70167), (20.0, 2.33260), (25.0, 3.16006), (30.0, 4.23372)]
    {
        assert!((-0.003..-0.0005).contains(&(wmo / saturation_kpa(t_c) - 1.0)), "{t_c}");
    }
    // Dew points by WMO-8, sheet 1.2: within 0.02 °C of ours all the same, but for the first, whose humidity is low.
    for (t_c, rh_pct, wmo_c, within) in [
        (20.0, 50.0, 9.255, 0.02),
        (10.0, 90.0, 8.434, 0.01),
        (5.0, 95.0, 4.265, 0.01),
        (30.0, 40.0, 14.925, 0.01),
        (0.0, 80.0, -3.040, 0.02),
    ] {
        close(dew_point_c(t_c, rh_pct), wmo_c, within);
    }
}

#[test]
fn saturation_of_fao_56_examples_is_reproduced() {
    // [published: FAO-56 ex 3, ex 4]
    close(saturation_vapour_pressure_kpa(15.0), 1.705, 0.0005);
    close(saturation_vapour_pressure_kpa(24.5), 3.075, 0.0005);
    let mean = 0.5 * (saturation_kpa(15.0) + saturation_kpa(24.5));
    close(Some(mean), 2.39, 0.005);
    close(saturation_vapour_pressure_kpa(19.5), 2.267, 0.001);
    // [published: FAO-56 ex 17]
    close(saturation_slope_kpa_per_c(30.2), 0.246, 0.0005);
    // [published: ASHRAE 2017 ch 1 Table 3], at the 7e-4 that an eq-11 implementation meets.
    close(saturation_vapour_pressure_kpa(5.0), 0.8726, 7e-4 * 0.8726);
    close(saturation_vapour_pressure_kpa(25.0), 3.1697, 7e-4 * 3.1697);
}

#[test]
fn saturation_over_ice_agrees_with_the_table_of_1_1() {
    // Climate sheet 1.1: WMO-8 ice column; ASHRAE over ice [library: psychrolib 2.5.0] within 3e-4.
    for (t_c, wmo, ashrae) in [(-20.0, 0.10326, 0.10326), (-10.0, 0.25987, 0.25990), (-5.0, 0.40174, 0.40176)] {
        close(saturation_over_ice_kpa(t_c), wmo, 1e-5);
        close(saturation_over_ice_kpa(t_c), ashrae, 3e-4 * ashrae);
    }
    close(saturation_over_ice_kpa(0.0), 0.61120, 1e-9);
    assert_eq!(saturation_over_ice_kpa(0.1), None);
    // Climate sheet 1.5 [arithmetic, WMO-8]: humidity over water of air in equilibrium with ice. The sheet took WMO's
    // water form; eq 11 differs from it by up to 0.46 % of 90 at -10 °C.
    for (t_c, rh_pct) in [(-2.0, 98.0), (-5.0, 95.2), (-10.0, 90.5)] {
        close(saturation_over_ice_kpa(t_c).map(|e| 100.0 * e / saturation_kpa(t_c)), rh_pct, 0.5);
    }
}

#[test]
fn dew_and_frost_points_of_the_table_of_1_2_are_reproduced() {
    // T, RH, T_d eq 11, T_d [library: psychrolib 2.5.0] above 0 °C, T_f WMO-8.
    let rows = [
        (20.0, 50.0, 9.270, Some(9.272), None),
        (10.0, 90.0, 8.438, Some(8.437), None),
        (5.0, 95.0, 4.267, Some(4.267), None),
        (30.0, 40.0, 14.926, Some(14.936), None),
        (0.0, 80.0, -3.027, None, Some(-2.682)),
        (-3.0, 90.0, -4.403, None, Some(-3.894)),
    ];
    for (t_c, rh_pct, eq11, psychrolib, frost) in rows {
        close(dew_point_c(t_c, rh_pct), eq11, 0.0006);
        if let Some(psychrolib) = psychrolib {
            close(dew_point_c(t_c, rh_pct), psychrolib, 0.02);
        }
        match frost {
            // The sheet took WMO's water form for the vapour pressure, eq 11 lies 0.2 to 0.3 % lower there.
            Some(frost) => close(frost_point_c(t_c, rh_pct), frost, 0.02),
            None => assert_eq!(frost_point_c(t_c, rh_pct), None),
        }
    }
    // Climate sheet 1.2 [arithmetic]: e 0.300 kPa has T_d -9.383 and T_f -8.373, ±0.01.
    close(dew_point_of_vapour_c(0.300), -9.383, 0.01);
    let rh_pct = 100.0 * 0.300 / saturation_kpa(0.0);
    close(frost_point_c(0.0, rh_pct), -8.373, 0.01);
}

#[test]
fn dew_points_of_the_wetness_sheet_are_reproduced() {
    // Wetness sheet 0.1 [derived].
    for (t_c, e_kpa) in [(0.0, 0.6108), (5.0, 0.8723), (10.0, 1.2280), (15.0, 1.7053), (20.0, 2.3383), (25.0, 3.1678)] {
        close(saturation_vapour_pressure_kpa(t_c), e_kpa, 0.000_051);
    }
    // Wetness sheet 1.3 and 3.4 [derived].
    close(dew_point_c(8.0, 85.0), 5.64, 0.005);
    close(vapour_pressure_kpa(10.0, 95.0), 1.1666, 0.000_051);
    close(vapour_pressure_kpa(6.0, 92.0), 0.8603, 0.000_051);
    // Climate sheet 4.1: gamma of 2 m and 100 m, Delta at 16.9 °C (FAO-56 ex 17 and 18), to a unit of the last digit.
    for (altitude_m, gamma) in [(2.0, 0.0674), (100.0, 0.0666)] {
        close(pressure_at_altitude_kpa(altitude_m).and_then(psychrometric_constant_kpa_per_c), gamma, 0.000_1);
    }
    close(saturation_slope_kpa_per_c(16.9), 0.122, 0.0005);
    close(dew_point_c(10.0, 90.0), 8.4376, 1e-4);
    close(dew_point_c(20.0, 80.0), 16.4451, 1e-4);
    close(dew_point_c(8.0, 92.0), 6.7818, 1e-4);
    close(dew_point_c(8.0, 80.0), 4.7668, 1e-4);
    close(vpd_kpa(10.0, 90.0), 0.1228, 1e-4);
    close(vpd_kpa(15.0, 80.0), 0.3411, 1e-4);
}

#[test]
fn dew_point_near_saturation_moves_as_the_error_budget_of_1_3_says() {
    // Climate sheet 1.3 [arithmetic], 5 °C.
    for (rh_pct, t_d, vpd) in [(93.0, 3.965, 0.0611), (95.0, 4.267, 0.0436), (97.0, 4.564, 0.0262)] {
        close(dew_point_c(5.0, rh_pct), t_d, 0.001);
        close(vpd_kpa(5.0, rh_pct), vpd, 1e-4);
    }
}

#[test]
fn deficits_of_the_table_of_1_3_are_reproduced() {
    // T_a, RH, T_leaf, VPD_air, VPD_leaf [arithmetic] ±0.0005.
    let rows = [
        (20.0, 70.0, 20.0, 0.7015, 0.7015),
        (20.0, 70.0, 18.0, 0.7015, 0.4272),
        (20.0, 70.0, 22.0, 0.7015, 1.0071),
        (8.0, 95.0, 6.5, 0.0536, -0.0512),
        (28.0, 50.0, 31.0, 1.8900, 2.6026),
    ];
    for (t_c, rh_pct, leaf_c, air, leaf) in rows {
        close(vpd_kpa(t_c, rh_pct), air, 0.0005);
        close(leaf_vpd_kpa(leaf_c, t_c, rh_pct), leaf, 0.0005);
    }
}

#[test]
fn absolute_humidity_mixing_ratio_and_wet_bulb_of_the_table_of_1_4_are_reproduced() {
    // T, RH, e, AH, w, thermodynamic T_w [library: psychrolib 2.5.0], T_w FAO aspirated [arithmetic].
    let rows = [
        (20.0, 50.0, 1.1694, 8.643, 0.007262, 13.783, 13.841),
        (10.0, 90.0, 1.1052, 8.457, 0.006859, 9.157, 9.167),
        (30.0, 40.0, 1.6984, 12.139, 0.010603, 20.064, 20.140),
        (5.0, 95.0, 0.8289, 6.457, 0.005130, 4.652, 4.657),
    ];
    for (t_c, rh_pct, e, ah, w, thermodynamic, fao) in rows {
        close(vapour_pressure_kpa(t_c, rh_pct), e, 0.002);
        close(absolute_humidity_g_m3(t_c, rh_pct), ah, 0.01);
        close(mixing_ratio_kg_kg(t_c, rh_pct, 101.325), w, 1e-5);
        // The sheet solved with 101.325 kPa; the last digit depends on it.
        close(wet_bulb_c(t_c, rh_pct, 101.325, Aspirated), fao, 0.02);
        // Another quantity, which is not built: what an adiabatic wet bulb would show. A psychrometer stands above it, by less than 0.08 °C.
        let above = wet_bulb_c(t_c, rh_pct, 101.325, Aspirated).unwrap() - thermodynamic;
        assert!((0.0..0.08).contains(&above), "{t_c} {rh_pct}: {above}");
    }
    // [library: psychrolib 2.5.0, own test] is that quantity as well, 3.9267.
    let above = wet_bulb_c(7.0, 61.0, 100.0, Aspirated).unwrap() - 3.9267;
    assert!((0.0..0.08).contains(&above), "{above}");
}

#[test]
fn saturated_absolute_humidity_of_1_4_is_reproduced() {
    // [arithmetic] ±0.005 g/m³.
    for (t_c, ah) in
        [(0.0, 4.845), (5.0, 6.795), (10.0, 9.397), (15.0, 12.823), (20.0, 17.282), (25.0, 23.021), (30.0, 30.326)]
    {
        close(absolute_humidity_g_m3(t_c, 100.0), ah, 0.005);
    }
}

#[test]
fn pressure_and_wet_bulb_of_fao_56_examples_are_reproduced() {
    // [published: FAO-56 ex 2, 4].
    close(pressure_at_altitude_kpa(1800.0), 81.8, 0.05);
    close(psychrometric_constant_kpa_per_c(81.8), 0.054, 0.0005);
    close(pressure_at_altitude_kpa(1200.0), 87.9, 0.05);
    close(vapour_pressure_from_wet_bulb_kpa(25.6, 19.5, 87.9, Aspirated), 1.91, 0.005);
    // [published: ASHRAE 2017 Table 1]: another standard atmosphere, 0.07 % lower at 500 m.
    close(pressure_at_altitude_kpa(500.0), 95.461, 0.001 * 95.461);
    close(pressure_at_altitude_kpa(1000.0), 89.875, 0.0025 * 89.875);
}

#[test]
fn slower_air_over_the_bulb_has_the_larger_coefficient_of_fao_56_eq_16() {
    // FAO-56 eq 16 by hand at 100 kPa, dry 20, wet 15: 1.70535 less 5 K of 0.0662, 0.080 and 0.120 kPa/K.
    for (by, e) in [(Aspirated, 1.37435), (Psychrometer::Natural, 1.30535), (Psychrometer::Indoor, 1.10535)] {
        close(vapour_pressure_from_wet_bulb_kpa(20.0, 15.0, 100.0, by), e, 1e-4);
    }
}

#[test]
fn humidity_over_ice_of_1_5_is_one_hundred_where_hoar_is_in_equilibrium() {
    // Climate sheet 1.5 [arithmetic, WMO-8 on both sides]: 98.0 % over water at -2 °C, 95.2 at -5, 90.5 at -10. Eq 11 lies 0.13, 0.24 and 0.46 %
    // below WMO's water form there (table of 1.1); by that and the 0.05 of rounding the humidity over ice may come out lower.
    for (t_c, rh_pct, lower_pct) in [(-2.0, 98.0, 0.19), (-5.0, 95.2, 0.3), (-10.0, 90.5, 0.52)] {
        let over_ice = humidity_over_ice_pct(t_c, rh_pct).unwrap();
        assert!((100.0 - lower_pct..100.1).contains(&over_ice), "{t_c}: {over_ice}");
    }
    assert_eq!(humidity_over_ice_pct(0.1, 90.0), None);
    assert_eq!(humidity_over_ice_pct(-5.0, 106.0), None);
}

#[test]
fn iced_bulb_reads_higher_in_damp_air_and_lower_in_dry_or_mild_air() {
    // T, RH, then the bulb under ice (e_i, 0.882 of A) less the same bulb under water, both solved with scipy's brentq at 101.325 kPa [arithmetic].
    // The sign is the physics: with a depression D below the air, the iced bulb is the warmer one while e_w - e_i > 0.118 A P D.
    for (t_c, rh_pct, difference_c) in [
        (-10.0, 90.0, 0.2860),
        (-5.0, 90.0, 0.1837),
        (-2.0, 80.0, 0.0568),
        (0.0, 80.0, -0.0302),
        (0.0, 20.0, -0.1925),
        (5.0, 20.0, -0.4001),
    ] {
        let by = Aspirated;
        let iced_c = iced_bulb_c(t_c, rh_pct, 101.325, by).unwrap();
        let difference = iced_c - wet_bulb_c(t_c, rh_pct, 101.325, by).unwrap();
        assert!((difference - difference_c).abs() < 1e-4, "{t_c} {rh_pct}: {difference}");
    }
    // Air saturated over water lets hoar grow: the bulb is warmed above the air.
    assert!(iced_bulb_c(-5.0, 100.0, 101.325, Aspirated).is_some_and(|t| t > -5.0 && t < 0.0));
    // A bulb that would not freeze is not iced.
    assert_eq!(iced_bulb_c(10.0, 90.0, 101.325, Aspirated), None);
    assert_eq!(iced_bulb_c(0.5, 100.0, 101.325, Aspirated), None);
    assert_eq!(vapour_pressure_from_iced_bulb_kpa(5.0, 1.0, 101.3, Aspirated), None);
}

#[test]
fn iced_bulb_lies_between_frost_point_and_air_and_gives_the_vapour_back() {
    for half in -60..=20 {
        let t_c = f64::from(half) * 0.5;
        let mut last_c = f64::NEG_INFINITY;
        for rh in (1..=100).step_by(3) {
            let rh_pct = f64::from(rh);
            let Some(iced_c) = iced_bulb_c(t_c, rh_pct, 95.0, Aspirated) else { continue };
            let e_kpa = vapour_pressure_kpa(t_c, rh_pct).unwrap();
            close(vapour_pressure_from_iced_bulb_kpa(t_c, iced_c, 95.0, Aspirated), e_kpa, 1e-9);
            let frost_c = frost_point_c(t_c, rh_pct).unwrap_or(0.0);
            let (low, high) = if frost_c < t_c { (frost_c, t_c) } else { (t_c, frost_c) };
            assert!(low - 1e-9 <= iced_c && iced_c <= high + 1e-9, "{t_c} {rh_pct}: {iced_c} of {low}..{high}");
            assert!(iced_c > last_c);
            last_c = iced_c;
        }
    }
}

#[test]
fn slope_over_ice_is_the_numeric_derivative() {
    for half in -120..0 {
        let t_c = f64::from(half) * 0.5;
        let numeric =
            (saturation_over_ice_kpa(t_c + 1e-4).unwrap() - saturation_over_ice_kpa(t_c - 1e-4).unwrap()) / 2e-4;
        close(saturation_over_ice_slope_kpa_per_c(t_c), numeric, 1e-7 * numeric);
    }
    assert_eq!(saturation_over_ice_slope_kpa_per_c(0.1), None);
}

#[test]
fn frost_point_stands_above_dew_point_by_as_much_as_is_said() {
    for (frost_c, apart_c) in [(-9.0, 1.0), (-20.0, 2.1)] {
        let e_kpa = saturation_over_ice_kpa(frost_c).unwrap();
        close(frost_point_of_vapour_c(e_kpa), frost_c, 1e-9);
        close(dew_point_of_vapour_c(e_kpa).map(|dew_c| frost_c - dew_c), apart_c, 0.1);
    }
}

#[test]
fn humidity_above_100_is_used_as_100_and_above_105_is_refused() {
    assert_eq!(vapour_pressure_kpa(6.0, 103.1), vapour_pressure_kpa(6.0, 100.0));
    assert_eq!(vpd_kpa(6.0, 104.9), Some(0.0));
    assert_eq!(dew_point_c(6.0, 105.0), dew_point_c(6.0, 100.0));
    assert_eq!(vapour_pressure_kpa(6.0, 105.1), None);
    assert_eq!(vapour_pressure_kpa(6.0, 340.0), None);
}

#[test]
fn humidity_of_zero_is_dry_air_with_the_dew_point_of_one_percent() {
    assert_eq!(vapour_pressure_kpa(20.0, 0.0), Some(0.0));
    assert_eq!(dew_point_c(20.0, 0.0), dew_point_c(20.0, 1.0));
    assert_eq!(frost_point_c(20.0, 0.0), frost_point_c(20.0, 1.0));
    assert_eq!(dew_point_of_vapour_c(0.0), None);
    assert!(wet_bulb_c(20.0, 0.0, 101.3, Aspirated).is_some_and(|t| t > 0.0 && t < 10.0));
}

#[test]
fn what_is_no_number_or_out_of_range_gives_none_everywhere() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -300.0, 1e300] {
        assert_eq!(saturation_vapour_pressure_kpa(bad), None);
        assert_eq!(saturation_slope_kpa_per_c(bad), None);
        assert_eq!(saturation_over_ice_kpa(bad), None);
        for (t_c, rh_pct) in [(bad, 50.0), (10.0, bad)] {
            assert_eq!(vapour_pressure_kpa(t_c, rh_pct), None);
            assert_eq!(dew_point_c(t_c, rh_pct), None);
            assert_eq!(frost_point_c(t_c, rh_pct), None);
            assert_eq!(vpd_kpa(t_c, rh_pct), None);
            assert_eq!(leaf_vpd_kpa(10.0, t_c, rh_pct), None);
            assert_eq!(absolute_humidity_g_m3(t_c, rh_pct), None);
            assert_eq!(mixing_ratio_kg_kg(t_c, rh_pct, 101.3), None);
            assert_eq!(wet_bulb_c(t_c, rh_pct, 101.3, Aspirated), None);
        }
        assert_eq!(mixing_ratio_kg_kg(10.0, 50.0, bad), None);
        assert_eq!(wet_bulb_c(10.0, 50.0, bad, Aspirated), None);
        assert_eq!(dew_point_of_vapour_c(bad), None);
        assert_eq!(vapour_pressure_from_wet_bulb_kpa(bad, 10.0, 101.3, Aspirated), None);
        assert_eq!(vapour_pressure_from_wet_bulb_kpa(10.0, bad, 101.3, Aspirated), None);
        assert_eq!(vapour_pressure_from_iced_bulb_kpa(bad, -1.0, 101.3, Aspirated), None);
        assert_eq!(vapour_pressure_from_iced_bulb_kpa(0.0, bad, 101.3, Aspirated), None);
        assert_eq!(saturation_over_ice_slope_kpa_per_c(bad), None);
        assert_eq!(frost_point_of_vapour_c(bad), None);
        for (t_c, rh_pct) in [(bad, 50.0), (-5.0, bad)] {
            assert_eq!(humidity_over_ice_pct(t_c, rh_pct), None);
            assert_eq!(iced_bulb_c(t_c, rh_pct, 101.3, Aspirated), None);
        }
        assert_eq!(iced_bulb_c(-5.0, 50.0, bad, Aspirated), None);
    }
    assert_eq!(vapour_pressure_from_wet_bulb_kpa(10.0, 11.0, 101.3, Aspirated), None);
    for bad in [f64::NAN, f64::INFINITY, -431.0, 5_001.0] {
        assert_eq!(pressure_at_altitude_kpa(bad), None);
    }
}

#[test]
fn the_whole_range_is_inverted_and_monotone() {
    // -20 to 45 °C by half degrees, 1 to 100 % by whole ones: 13,100 pairs.
    for half in -40..=90 {
        let t_c = f64::from(half) * 0.5;
        assert!(saturation_kpa(t_c + 0.5) > saturation_kpa(t_c));
        let numeric = (saturation_kpa(t_c + 1e-4) - saturation_kpa(t_c - 1e-4)) / 2e-4;
        close(saturation_slope_kpa_per_c(t_c), numeric, 1e-4 * numeric);
        for rh in 1..=100 {
            let rh_pct = f64::from(rh);
            let e_kpa = vapour_pressure_kpa(t_c, rh_pct).unwrap();
            let dew_c = dew_point_c(t_c, rh_pct).unwrap();
            close(saturation_vapour_pressure_kpa(dew_c), e_kpa, 1e-12 + 1e-11 * e_kpa);
            close(dew_point_of_vapour_c(e_kpa), dew_c, 1e-9);
            assert!(dew_c <= t_c);
            close(vpd_kpa(t_c, rh_pct).map(|d| d + e_kpa), saturation_kpa(t_c), 1e-12);
            let wet_c = wet_bulb_c(t_c, rh_pct, 101.3, Aspirated).unwrap();
            assert!(dew_c - 1e-9 <= wet_c && wet_c <= t_c, "{t_c} {rh_pct}: {dew_c} {wet_c}");
            close(vapour_pressure_from_wet_bulb_kpa(t_c, wet_c, 101.3, Aspirated), e_kpa, 1e-9);
            if let Some(frost_c) = frost_point_c(t_c, rh_pct) {
                assert!(dew_c < frost_c + 0.02 && frost_c - dew_c < 6.0, "{t_c} {rh_pct}: {dew_c} {frost_c}");
                close(saturation_over_ice_kpa(frost_c.max(-65.0)), e_kpa, if frost_c < -65.0 { 1.0 } else { 1e-9 });
            }
            if rh > 1 {
                assert!(e_kpa > vapour_pressure_kpa(t_c, rh_pct - 1.0).unwrap());
                assert!(dew_c > dew_point_c(t_c, rh_pct - 1.0).unwrap());
                assert!(vpd_kpa(t_c, rh_pct).unwrap() < vpd_kpa(t_c, rh_pct - 1.0).unwrap());
            }
        }
    }
}

proptest! {
    #[test]
    fn prop_no_input_gives_nan_or_infinity(t_c: f64, rh_pct: f64, p_kpa: f64) {
        for value in [
            saturation_vapour_pressure_kpa(t_c), saturation_slope_kpa_per_c(t_c), saturation_over_ice_kpa(t_c),
            vapour_pressure_kpa(t_c, rh_pct), dew_point_c(t_c, rh_pct), dew_point_of_vapour_c(rh_pct),
            frost_point_c(t_c, rh_pct), vpd_kpa(t_c, rh_pct), absolute_humidity_g_m3(t_c, rh_pct),
            mixing_ratio_kg_kg(t_c, rh_pct, p_kpa), wet_bulb_c(t_c, rh_pct, p_kpa, Aspirated),
            humidity_over_ice_pct(t_c, rh_pct), iced_bulb_c(t_c, rh_pct, p_kpa, Aspirated), frost_point_of_vapour_c(p_kpa),
            saturation_over_ice_slope_kpa_per_c(t_c), vapour_pressure_from_iced_bulb_kpa(rh_pct, t_c, p_kpa, Aspirated),
        ].into_iter().flatten() {
            prop_assert!(value.is_finite());
        }
    }

    #[test]
    fn prop_valid_air_always_has_every_figure(t_c in -100.0..=100.0, rh_pct in 0.0..=105.0) {
        prop_assert!(dew_point_c(t_c, rh_pct).is_some_and(f64::is_finite));
        prop_assert!(vpd_kpa(t_c, rh_pct).is_some_and(|v| v >= 0.0 && v.is_finite()));
        prop_assert!(absolute_humidity_g_m3(t_c, rh_pct).is_some_and(f64::is_finite));
        prop_assert!(wet_bulb_c(t_c, rh_pct, 101.3, Aspirated).is_some_and(f64::is_finite));
    }

    #[test]
    fn prop_points_and_bulbs_keep_their_order_and_rise_with_humidity_and_warmth(
        t_c in -30.0..45.0, rh_pct in 1.0..99.0, warmer in 0.01..5.0, damper in 0.01..1.0, p_kpa in 80.0..105.0,
    ) {
        for by in [Aspirated, Psychrometer::Natural, Psychrometer::Indoor] {
            let wet = |t_c, rh_pct| wet_bulb_c(t_c, rh_pct, p_kpa, by).unwrap();
            let (dew_c, wet_c) = (dew_point_c(t_c, rh_pct).unwrap(), wet(t_c, rh_pct));
            prop_assert!(dew_c <= wet_c && wet_c <= t_c, "{dew_c} {wet_c} {t_c}");
            prop_assert!(wet(t_c, rh_pct + damper) > wet_c && wet(t_c + warmer, rh_pct) > wet_c);
        }
        for rises in [dew_point_c, vapour_pressure_kpa, absolute_humidity_g_m3] {
            let value = rises(t_c, rh_pct).unwrap();
            prop_assert!(rises(t_c, rh_pct + damper).unwrap() > value && rises(t_c + warmer, rh_pct).unwrap() > value);
        }
        let frost = frost_point_c(t_c, rh_pct).zip(frost_point_c(t_c, rh_pct + damper));
        prop_assert!(frost.is_none_or(|(drier, damper)| damper > drier));
        prop_assert!(vpd_kpa(t_c, rh_pct + damper).unwrap() < vpd_kpa(t_c, rh_pct).unwrap());
        prop_assert!(vpd_kpa(t_c + warmer, rh_pct).unwrap() > vpd_kpa(t_c, rh_pct).unwrap());
        // The same water in the air, warmed: the dew point stays.
        let e_kpa = vapour_pressure_kpa(t_c, rh_pct).unwrap();
        prop_assert!((dew_point_of_vapour_c(e_kpa).unwrap() - dew_point_c(t_c, rh_pct).unwrap()).abs() < 1e-9);
    }
}
