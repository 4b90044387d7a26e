use super::*;
use crate::season::{DayRoom, NOON_DAY_MS, SpotAir, SpotState};
use propstick_agronomy::coverage::{CadenceWindow, HOUR_MS, Sample};
use propstick_agronomy::wetness::samples::AirSample;
use propstick_agronomy::wetness::state::WetRules;
use proptest::prelude::*;

/// The last of `days` noon-days with steady air.
fn night(t_c: f64, rh: f64, days: i64) -> Night {
    let mut air = SpotAir::default();
    for k in 0..days * 24 {
        air.samples.push(AirSample { t_ms: k * HOUR_MS, t_c, rh_pct: Some(rh), error_pct: 3.0, leaf: None });
        air.plain.push(Sample { t_ms: k * HOUR_MS, v: t_c });
    }
    let mut state = SpotState::starting(Millis(0));
    let mut cadence = CadenceWindow::new(&air.plain);
    let mut room = DayRoom::default();
    let closed = (0..days).map(|_| state.close_day(&WetRules::UNDER_COVER, &air, &mut cadence, &[], &mut room));
    closed.last().unwrap()
}

const NOW: Millis = Millis(30 * NOON_DAY_MS);

#[test]
fn structure_is_as_bad_as_its_worst_spot_and_says_which() {
    let (dry, damp, short) = (night(9.0, 70.0, 7), night(9.0, 95.0, 7), night(9.0, 99.0, 1));
    let spots = [
        SpotNight { spot: "north", night: &dry },
        SpotNight { spot: "south", night: &damp },
        SpotNight { spot: "new", night: &short },
    ];
    let risks = group_risks(&spots, &[CropGroup::Lettuce, CropGroup::Seedling], &[], NOW);
    assert_eq!(risks.len(), 1, "seedlings have flags only");
    assert_eq!(
        (risks[0].spot, risks[0].by, risks[0].shown.level),
        ("south", Disease::LettuceDownyMildew, Some(Level::High))
    );
    assert_eq!(wet_hours_figure(risks[0].spot.eq("south").then_some(&damp).unwrap()).value, Some(24.0));
    assert_eq!(worst_night(&spots).unwrap().spot, "south", "the first hour of a new spot is not known");
}

#[test]
fn disease_found_within_21_days_shows_one_level_higher_and_is_said() {
    let dry = night(9.0, 70.0, 7);
    let spots = [SpotNight { spot: "bench", night: &dry }];
    let with = |disease, days: i64| {
        let found = [Found { disease, at: NOW.plus(-days * NOON_DAY_MS) }];
        let risk = &group_risks(&spots, &[CropGroup::Lettuce], &found, NOW)[0];
        (risk.shown.level.unwrap(), risk.found_lately)
    };
    assert_eq!(with(Some(Disease::GreyMould), 21), (Level::Some, true));
    assert_eq!(with(Some(Disease::GreyMould), 22), (Level::Low, false));
    assert_eq!(with(Some(Disease::OnionDownyMildew), 1), (Level::Low, false));
    assert_eq!(with(None, 1), (Level::Some, true));
    assert_eq!(with(Some(Disease::GreyMould), -1), (Level::Low, false), "found later than what is asked about");
}

#[test]
fn noon_day_that_is_not_known_is_unknown_and_not_low() {
    let mut state = SpotState::starting(Millis(0));
    let nothing = state.fold(&DayRoom::default().hours);
    let spots = [SpotNight { spot: "bench", night: &nothing }];
    let risk = &group_risks(&spots, &[CropGroup::Lettuce], &[], NOW)[0];
    assert_eq!((risk.shown.level, risk.risk_figure().value, risk.severity_figure().value), (None, None, None));
    assert_eq!(wet_hours_figure(&nothing).unknown, Some(Why::NoReading));
    assert_eq!(worst_night(&spots), None);
}

proptest! {
    #[test]
    fn prop_order_of_spots_does_not_matter(rh in prop::collection::vec(60.0..100.0_f64, 2..5), by in 1_usize..4) {
        let nights: Vec<Night> = rh.iter().map(|rh| night(9.0, *rh, 4)).collect();
        let names = ["a", "b", "c", "d"];
        let mut spots: Vec<SpotNight<'_>> = nights.iter().zip(names).map(|(night, spot)| SpotNight { spot, night }).collect();
        let groups = [CropGroup::Lettuce, CropGroup::Onion];
        let before = group_risks(&spots, &groups, &[], NOW);
        let turn = by % spots.len();
        spots.rotate_left(turn);
        prop_assert_eq!(before, group_risks(&spots, &groups, &[], NOW));
    }
}
