use super::*;
use crate::disease::rows::Disease::{self, *};
use crate::sourced::Provenance;
use proptest::prelude::*;

/// Wetness sheet 2.1, CHECK [derived]: T, then f (four digits) and W capped and uncapped (two digits, 0 for none) of four pathogens.
#[rustfmt::skip]
const SHEET: [(f64, [(f64, f64); 4]); 9] = [
    (2.0,  [(0.0572, 10.0), (0.1166, 12.0), (0.0, 0.0), (0.0030, 12.0)]),
    (5.0,  [(0.3462, 10.0), (0.4591, 12.0), (0.0, 0.0), (0.0710, 12.0)]),
    (8.0,  [(0.6442, 6.21), (0.7293, 8.23), (0.0607, 18.0), (0.2334, 8.57)]),
    (10.0, [(0.8081, 4.95), (0.8604, 6.97), (0.1562, 18.0), (0.3815, 5.24)]),
    (12.0, [(0.9275, 4.31), (0.9493, 6.32), (0.2817, 18.0), (0.5461, 3.66)]),
    (15.0, [(1.0000, 4.00), (1.0000, 6.00), (0.5000, 16.00), (0.7868, 2.54)]),
    (18.0, [(0.9186, 4.35), (0.9481, 6.33), (0.7183, 11.14), (0.9598, 2.08)]),
    (20.0, [(0.7667, 5.22), (0.8550, 7.02), (0.8438, 9.48), (1.0000, 2.00)]),
    (25.0, [(0.0, 0.0), (0.4124, 12.0), (1.0000, 8.00), (0.6531, 3.06)]),
];

#[test]
fn responses_and_hours_of_2_1_are_reproduced() {
    for (t_c, expected) in SHEET {
        let diseases = [LettuceDownyMildew, LateBlight, GreyMould, CucurbitDownyMildew];
        for (disease, (f, hours)) in diseases.into_iter().zip(expected) {
            let row = disease.row();
            assert!((row.response(t_c).unwrap() - f).abs() <= 0.000_051, "{disease:?} f at {t_c}");
            let needed = row.wet_hours_needed(t_c).unwrap_or(0.0);
            assert!((needed - hours).abs() <= 0.005_1, "{disease:?} at {t_c}: {needed}");
        }
    }
}

#[test]
fn hours_without_the_cap_of_2_1_are_reproduced() {
    // Wetness sheet 2.1, the values in brackets.
    let uncapped =
        |d: Disease, t_c: f64| InfectionRow { wet_max_h: 1e9, ..d.row().clone() }.wet_hours_needed(t_c).unwrap();
    for (disease, t_c, hours, digits) in [
        (LettuceDownyMildew, 2.0, 69.97, 0.005),
        (LettuceDownyMildew, 5.0, 11.55, 0.005),
        (LateBlight, 2.0, 51.45, 0.005),
        (LateBlight, 5.0, 13.07, 0.005),
        (LateBlight, 25.0, 14.55, 0.005),
        (GreyMould, 8.0, 131.7, 0.05),
        (GreyMould, 10.0, 51.2, 0.05),
        (GreyMould, 12.0, 28.39, 0.005),
        (CucurbitDownyMildew, 5.0, 28.15, 0.005),
        (OnionLeafBlight, 5.0, 76.3, 0.05),
    ] {
        let got = uncapped(disease, t_c);
        assert!((got - hours).abs() <= digits + 1e-9, "{disease:?} at {t_c}: {got}");
    }
}

#[test]
fn further_hours_of_2_1_are_reproduced() {
    for (disease, t_c, hours) in [
        (DarkLeafSpot, 5.0, 18.31),
        (DarkLeafSpot, 10.0, 7.92),
        (DarkLeafSpot, 20.0, 6.09),
        (SpinachWhiteRust, 8.0, 6.88),
        (SpinachWhiteRust, 10.0, 4.29),
        (SpinachWhiteRust, 15.0, 3.02),
        (OnionLeafBlight, 12.0, 19.65),
        (OnionLeafBlight, 15.0, 16.05),
        (OnionLeafBlight, 5.0, 24.0),
        (BeanRust, 5.0, 12.70),
        (BeanRust, 10.0, 5.44),
    ] {
        let got = disease.row().wet_hours_needed(t_c).unwrap();
        assert!((got - hours).abs() <= 0.005_1, "{disease:?} at {t_c}: {got}");
    }
    // Bean Sclerotinia is no row of ours, but the model's.
    let sclerotinia = InfectionRow {
        t_min_c: 1.0,
        t_opt_c: 25.0,
        t_max_c: 30.0,
        wet_min_h: 48.0,
        wet_max_h: 144.0,
        provenance: Provenance::Secondary,
        ..GreyMould.row().clone()
    };
    assert_eq!(sclerotinia.wet_hours_needed(15.0), Some(144.0));
    assert!((sclerotinia.wet_hours_needed(20.0).unwrap() - 73.66).abs() <= 0.005);
    assert!((48.0 / sclerotinia.response(15.0).unwrap() - 212.7).abs() <= 0.05);
}

#[test]
fn progress_of_an_hour_of_3_3_is_reproduced() {
    for (disease, t_c, progress) in [
        (LettuceDownyMildew, 1.0, 0.0),
        (LettuceDownyMildew, 2.0, 0.0333),
        (LettuceDownyMildew, 3.0, 0.0667),
        (LettuceDownyMildew, 5.0, 0.1000),
        (LettuceDownyMildew, 8.0, 0.1610),
        (LettuceDownyMildew, 10.0, 0.2020),
        (LettuceDownyMildew, 15.0, 0.2500),
        (LettuceDownyMildew, 20.0, 0.1917),
        (GreyMould, 5.0, 0.0),
        (GreyMould, 8.0, 0.0556),
        (GreyMould, 10.0, 0.0556),
        (GreyMould, 15.0, 0.0625),
        (GreyMould, 20.0, 0.1055),
        (LateBlight, 2.0, 0.0278),
        (LateBlight, 5.0, 0.0833),
        (LateBlight, 10.0, 0.1434),
        (LateBlight, 15.0, 0.1667),
    ] {
        let got = disease.row().hourly_progress(t_c);
        assert!((got - progress).abs() <= 0.000_051, "{disease:?} at {t_c}: {got}");
    }
}

#[test]
fn from_three_degrees_above_its_minimum_on_progress_is_the_published_model() {
    for disease in Disease::ALL {
        let row = disease.row();
        for t_c in [row.t_min_c + 3.0, row.t_opt_c, row.t_max_c - 0.5] {
            let published = 1.0 / row.wet_hours_needed(t_c).unwrap();
            // 2.6 + 3.0 - 2.6 is not 3.0 in binary.
            assert!((row.hourly_progress(t_c) - published).abs() <= 1e-12, "{disease:?}");
        }
    }
}

#[test]
fn what_is_no_temperature_infects_nothing() {
    for bad in [f64::NAN, f64::INFINITY, -400.0] {
        let row = LettuceDownyMildew.row();
        assert_eq!((row.response(bad), row.wet_hours_needed(bad), row.hourly_progress(bad)), (None, None, 0.0));
    }
}

proptest! {
    #[test]
    fn prop_response_rises_to_the_optimum_and_falls_beyond(row in 0..Disease::ALL.len(), a in -10.0..40.0_f64, b in -10.0..40.0_f64) {
        let row = Disease::ALL[row].row();
        let (cooler, warmer) = (a.min(b), a.max(b));
        let (f_cooler, f_warmer) = (row.response(cooler).unwrap(), row.response(warmer).unwrap());
        prop_assert!((0.0..=1.0 + 1e-12).contains(&f_cooler));
        if warmer <= row.t_opt_c {
            prop_assert!(f_cooler <= f_warmer + 1e-12);
            prop_assert!(row.hourly_progress(cooler) <= row.hourly_progress(warmer) + 1e-12);
        } else if cooler >= row.t_opt_c {
            prop_assert!(f_warmer <= f_cooler + 1e-12);
        }
    }

    #[test]
    fn prop_progress_is_never_more_than_one_over_the_least_hours(row in 0..Disease::ALL.len(), t_c in -60.0..80.0_f64) {
        let row = Disease::ALL[row].row();
        prop_assert!((0.0..=1.0 / row.wet_min_h + 1e-12).contains(&row.hourly_progress(t_c)));
    }
}
