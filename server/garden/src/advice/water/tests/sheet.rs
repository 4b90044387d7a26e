//! Climate sheet 4.3 to 4.5, through the fold.

use super::*;

#[test]
fn worked_lettuce_bed_of_4_5_is_reproduced() {
    // [arithmetic]: TAW 36.0, RAW 10.8; Dr 8.0, ETc 1.5 -> 9.5 (hold) -> 11.0 > RAW -> water; 11.0 mm on 9.6 m² by drip 117.3 L.
    let bed = lettuce();
    let holds = bed.holds().unwrap();
    near(holds.total_mm(), 36.0, 1e-9);
    near(holds.readily_mm(), 10.8, 1e-9);
    let mut fold = short_of(&bed, 8.0);
    for (day, missing) in [(0, 9.5), (1, 11.0)] {
        fold.take(&bed, SITE, &wanting(&bed, day, 1.5), &[]);
        near(fold.missing_mm.likely, missing, 1e-9);
    }
    assert!(fold.missing_mm.likely > holds.readily_mm());
    near(Given::Drip.litres(fold.missing_mm.likely, 9.6).unwrap(), 117.3, 0.05);
    // At 2 L a minute 58.7 minutes, told as an hour.
    let dose = dose(&bed, fold.missing_mm.likely, false).unwrap();
    assert_eq!((dose.minutes, dose.litres, dose.cans), (Some(60.0), Some(120.0), None));
}

#[test]
fn what_a_day_under_cover_uses_follows_the_choice_of_4_3() {
    // Climate sheet 4.3: T 17, 18 MJ outside under 0.65: 2.009 mm (Makkink); 10 to 24 °C, 95 and 55 %, R_n 7: 2.4986 (150 s/m). Full leaf under cover
    // uses the middle of 1.0 and 0.6 of it, 0.8; ±30 % of the reference and ±25 % of the coefficient make ±39 %.
    let bed = lettuce();
    let by_light = WaterDay { min_max_c: Some((10.0, 24.0)), sun_mj_m2: Some(18.0 * 0.65), ..unknown(120) };
    let used = wanted_mm(&bed, SITE, &by_light).unwrap();
    near(used.likely, 0.8 * 2.009, 0.005);
    near(used.low / used.likely, 1.0 - 0.3905, 1e-3);
    near(used.high / used.likely, 1.3905, 1e-9 + 1e-3);
    // Modelled light by Penman-Monteith: the same air with the sheet's vapour, on the light of a cloudy 15 June.
    let air = propstick_agronomy::evapotranspiration::DayAir::of_humidities(10.0, 24.0, 55.0, 95.0).unwrap();
    let modelled = WaterDay {
        sun_mj_m2: None,
        vapour_kpa: Some(air.vapour_kpa()),
        ..WaterDay { day: unknown(165).day, ..by_light }
    };
    let light = propstick_agronomy::light::cloudy_day_mj_m2(51.0, 166).unwrap() * 0.65;
    let net = 0.77 * light - 1.0;
    let wanted = propstick_agronomy::evapotranspiration::penman_monteith_inside_mm_d(&air, net, 150.0, 50.0).unwrap();
    near(wanted_mm(&bed, SITE, &modelled).unwrap().likely, 0.8 * wanted, 1e-9);
    // A gauge that cannot be believed leaves the light.
    let no_gauge = WaterDay { vapour_kpa: None, ..modelled };
    near(wanted_mm(&bed, SITE, &no_gauge).unwrap().likely, 0.8 * makkink_mm_d(17.0, light, 50.0).unwrap(), 1e-9);
}

#[test]
fn december_and_june_lie_within_the_sheets_sanity_bounds() {
    // Climate sheet 4.3: 0.1 to 0.5 mm a day in December, 2 to 4 in June at 50 to 58° N, of the reference: the band of a full crop meets them.
    let bed = lettuce();
    let december = WaterDay { min_max_c: Some((3.0, 10.0)), vapour_kpa: Some(0.88), ..unknown(350) };
    let june = WaterDay { min_max_c: Some((11.0, 27.0)), vapour_kpa: Some(1.6), ..unknown(166) };
    let reference = |day| wanted_mm(&bed, SITE, &day).unwrap().likely / bed.coefficient().0;
    assert!((0.1..=0.5).contains(&reference(december)), "{}", reference(december));
    assert!((2.0..=4.0).contains(&reference(june)), "{}", reference(june));
}

#[test]
fn outdoors_goes_by_fao_56_with_its_rain() {
    // FAO-56 example 18, Uccle on 6 July: 3.88 mm; lettuce in full leaf 1.00.
    let bed = WaterBed { shelter: Shelter::None, ..lettuce() };
    let site = Site { lat_deg: 50.8, lon_deg: 4.3, altitude_m: 100.0 };
    let air = propstick_agronomy::evapotranspiration::DayAir::of_humidities(12.3, 21.5, 63.0, 84.0).unwrap();
    let day = WaterDay {
        min_max_c: Some((12.3, 21.5)),
        vapour_kpa: Some(air.vapour_kpa()),
        sun_mj_m2: Some(22.07),
        wind_m_s: Some(2.078),
        rain_mm: Some(3.0),
        ..unknown(186)
    };
    near(wanted_mm(&bed, site, &day).unwrap().likely, 3.88, 0.005);
    let mut fold = short_of(&bed, 8.0);
    fold.take(&bed, site, &day, &[]);
    near(fold.missing_mm.likely, 8.0 + 3.88 - 3.0, 0.005);
    // Rain that nobody measured may have filled it; under a film it is no matter.
    let mut unmeasured = short_of(&bed, 8.0);
    unmeasured.take(&bed, site, &WaterDay { rain_mm: None, ..day }, &[]);
    assert_eq!(unmeasured.missing_mm.low, 0.0);
    near(unmeasured.missing_mm.likely, 8.0 + 3.88, 0.005);
    let covered = WaterBed { shelter: Shelter::Film, ..bed };
    let mut dry = short_of(&covered, 8.0);
    dry.take(&covered, site, &day, &[]);
    assert!(dry.missing_mm.low > 8.0);
}

#[test]
fn probes_are_held_against_the_sheets_refill_point_with_their_doubt() {
    // Climate sheet 4.5: refill at FC - p (FC - WP) = 0.30 - 0.30 * 0.12 = 0.264; a cheap probe ±0.05.
    let bed = lettuce();
    let read = |water| Probe { water_m3_m3: Some(water), field_capacity_m3_m3: Some(0.30), tension_kpa: None };
    near(read(0.2).refill_m3_m3(&bed).unwrap(), 0.264, 1e-9);
    let says = |water| read(water).says(&bed);
    assert_eq!(says(0.213), Some(ProbeSays::Dry));
    assert_eq!(says(0.215), Some(ProbeSays::CannotTell));
    assert_eq!(says(0.315), Some(ProbeSays::WetEnough));
    // Leafy salads 20 to 30 kPa.
    let pull = |kpa| Probe { tension_kpa: Some(kpa), ..Probe::default() }.says(&bed);
    assert_eq!(
        [pull(15.0), pull(25.0), pull(31.0)].map(Option::unwrap),
        [ProbeSays::WetEnough, ProbeSays::CannotTell, ProbeSays::Dry]
    );
    assert_eq!((pull(90.0), pull(f64::NAN), Probe::default().says(&bed)), (None, None, None));
}

#[test]
fn field_capacity_is_learned_a_day_to_two_after_a_soaking() {
    // Climate sheet 4.5: the reading 24 to 48 h after a thorough soaking.
    let soaked = at(2027, 4, 1, 9, 0);
    let readings: Vec<(Millis, f64)> =
        (0..60).map(|h| (soaked.plus(h * HOUR), if h < 24 { 0.40 } else { 0.31 })).collect();
    assert_eq!(learned_field_capacity(&readings, soaked, soaked.plus(49 * HOUR)), Some(0.31));
    assert_eq!(learned_field_capacity(&readings, soaked, soaked.plus(40 * HOUR)), None);
    assert_eq!(learned_field_capacity(&readings[..27], soaked, soaked.plus(49 * HOUR)), None);
}

#[test]
fn shelters_and_their_light_go_by_the_kind_of_structure() {
    use crate::model::StructureKind;
    // Climate sheet 3.5: a single-skin walk-in tunnel 0.65, fleece of 17 g/m² 0.85.
    assert_eq!(usual_transmission(StructureKind::Tunnel), 0.65);
    assert_eq!(usual_transmission(StructureKind::Fleece), 0.85);
    assert_eq!(usual_transmission(StructureKind::Outdoors), 1.0);
    let rained_on = StructureKind::ALL.map(|kind| Shelter::of(kind).lets_rain_in());
    assert_eq!(rained_on, [false, false, false, true, true]);
    assert_eq!(WaterBed::of("lettuce", Shelter::Film, 0.65).with_texture("Sandy loam").soil, Soil::new(0.23, 0.11));
    assert_eq!(WaterBed::of("lettuce", Shelter::Film, 0.65).with_texture("good black soil").soil, None);
}
