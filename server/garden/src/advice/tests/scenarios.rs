//! The fifteen scenarios of the advice page with readings alone, in the vent column: neither a look out of the window nor a forecast, nobody's hours and no
//! day before. With all of these they are asserted whole in `fifteen.rs`. All are common practice, from judgement; times within an hour.

use super::*;

/// Hours and minutes from now until the first move or a look.
fn clock_of(q: &VentQuestion, at: Millis) -> i64 {
    q.clock.minute_of_day(at)
}

fn within_an_hour(q: &VentQuestion, at: Option<Millis>, hour: i64, minute: i64) {
    let off = clock_of(q, at.expect("a time")) - (hour * 60 + minute);
    assert!(off.abs() <= 60, "off by {off} min");
}

fn all(verdict: &Verdict, notch: Notch) -> bool {
    verdict.moves.len() == 2 && verdict.moves.iter().all(|m| m.notch == notch && m.vent.is_some())
}

fn lee_only(verdict: &Verdict, notch: Notch) -> bool {
    verdict.moves.len() == 1 && verdict.moves[0].notch == notch && verdict.moves[0].vent.is_none()
}

#[test]
fn scenario_1_damp_and_mild_cracks_both_ends_and_does_not_promise_drying() {
    let q = on(1, 15, "09:30").inside(6.0, 97.0).outside(6.5, 98.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.aim), (VentVerdict::MoveAir, Aim::MoveAir));
    assert!(all(&got, Notch::Crack));
    within_an_hour(&q, Some(got.moves[0].from), 10, 30);
    assert!(got.cautions.contains(&Caution::ShutIfFrostOrGaleHeard));
    assert_eq!(got.expect, Expect::default());
}

#[test]
fn scenario_2_first_mild_air_over_cold_soil_is_kept_out_till_noon() {
    let mut q = on(1, 15, "09:00").inside(4.0, 97.0).outside(9.0, 98.0);
    q.surface_c = Some(3.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule, got.aim), (VentVerdict::Shut, Rule::Wetting, Aim::Dry));
    assert!(got.moves.is_empty());
    within_an_hour(&q, got.look_again, 12, 0);
}

#[test]
fn scenario_3_hard_frost_leaves_everything_alone_though_outside_is_drier() {
    let mut q = on(1, 15, "09:00").inside(-2.0, 97.0).outside(-4.0, 95.0);
    q.frost_memory = Some(FrostMemory { lowest_c: -4.0, thawed: false });
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Frozen));
    assert!(got.cautions.contains(&Caution::LeaveFrozenAlone));
    assert_eq!(plan(&q, &got), ["lee crack 11:00-13:00"]);
    within_an_hour(&q, got.look_again, 11, 0);
}

#[test]
fn scenario_4_fog_keeps_everything_shut_and_nobody_busy() {
    let q = on(1, 15, "14:30").inside(7.0, 99.0).outside(7.0, 100.0);
    let got = decide(&q);
    assert_eq!(got.verdict, VentVerdict::Shut);
    assert!(got.doubts.contains(&Doubt::FogGuessed) && got.doubts.contains(&Doubt::WithinBand));
    // The same at noon, and when somebody has seen the fog through a gauge that reads low.
    assert_eq!(decide(&on(1, 15, "12:00").inside(7.0, 99.0).outside(7.0, 100.0)).verdict, VentVerdict::Shut);
    let mut seen = on(1, 15, "12:00").inside(7.0, 99.0).outside(7.0, 98.0);
    assert_eq!(decide(&seen).verdict, VentVerdict::MoveAir);
    seen.fog = Some(true);
    let got = decide(&seen);
    assert_eq!(got.verdict, VentVerdict::Shut);
    assert!(!got.doubts.contains(&Doubt::FogGuessed));
}

#[test]
fn scenario_5_gale_heard_shuts_and_fastens_both_ends_by_daylight() {
    let gale = |time| {
        let mut q = on(1, 15, time).inside(9.0, 95.0).outside(10.0, 90.0);
        q.weather.tonight = Some(heard_of_tonight(&q, None, Some(22.0)));
        decide(&q)
    };
    let got = gale("15:00");
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Gale));
    assert!(all(&got, Notch::Closed));
    assert!(got.cautions.contains(&Caution::Fasten) && got.cautions.contains(&Caution::StayIn));
    // In the dark nobody is sent out for it.
    let got = gale("19:00");
    assert!(got.moves.is_empty() && !got.cautions.contains(&Caution::Fasten));
    assert!(got.cautions.contains(&Caution::StayIn));
}

#[test]
fn scenario_5_gale_that_blows_already_sends_nobody_out_at_any_hour() {
    for time in ["11:00", "15:00", "19:00"] {
        let mut q = on(1, 15, time).inside(9.0, 95.0).outside(10.0, 90.0);
        q.gust_m_s = Some(22.0);
        let measured = decide(&q);
        q.gust_m_s = Some(0.0);
        q.weather.look = Some(crate::record::WindowLook {
            at: q.now,
            sky: crate::record::Sky::Overcast,
            wind: crate::record::Wind::Gale,
            wet: crate::record::Wet::Rain,
            wind_from_deg: None,
        });
        // Whoever looks out is believed beside a cup that does not turn.
        for got in [measured, decide(&q)] {
            assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Gale), "{time}");
            assert!(got.moves.is_empty() && !got.cautions.contains(&Caution::Fasten), "{time} {got:?}");
            assert!(got.cautions.contains(&Caution::StayIn));
        }
    }
}

#[test]
fn scenario_6_dry_cold_wind_opens_the_sheltered_end_half() {
    let q = on(2, 15, "10:00").crops(Crops::Both).inside(12.0, 85.0).outside(6.0, 60.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.aim), (VentVerdict::Dry, Aim::Dry));
    assert!(lee_only(&got, Notch::Half));
    within_an_hour(&q, got.moves[0].until, 15, 0);
    assert!(got.cautions.contains(&Caution::NoThroughDraught));
    // The wind told, the sheltered end has a name: an east-north-east wind leaves the south door.
    let mut told = q;
    told.wind_from_deg = Some(60.0);
    assert_eq!(decide(&told).moves[0].vent.as_deref(), Some("yard-door"));
}

#[test]
fn scenario_7_a_frosty_bright_morning_is_not_refused_for_two_degrees_outside() {
    // What decides it, a day away from home under a full sun, is not told yet. It must not be the tender trays' limit.
    let mut q = on(3, 15, "08:00").crops(Crops::Both).inside(3.0, 98.0).outside(-1.0, 92.0);
    q.trend_inside_c_h = Some(2.0);
    q.trend_outside_c_h = Some(1.0);
    let got = decide(&q);
    assert_ne!(got.rule, Rule::Cold);
    assert_ne!(got.figures.limit_c, Some(2.0));
}

#[test]
fn scenario_8_a_hot_cover_in_cold_air_is_opened_in_steps_at_the_sheltered_end() {
    let q = on(3, 15, "11:30").crops(Crops::Both).inside(29.0, 45.0).outside(5.0, 70.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Cool, Rule::Heat));
    assert_eq!(plan(&q, &got), ["lee crack 11:30-11:40", "lee half 11:40-16:30"]);
    assert!(got.cautions.contains(&Caution::InSteps) && got.cautions.contains(&Caution::NoThroughDraught));
}

#[test]
fn scenario_9_a_clear_april_evening_is_shut_before_dusk() {
    let mut q = on(4, 20, "18:30").crops(Crops::Both).inside(12.0, 70.0).outside(8.0, 55.0);
    q.trend_outside_c_h = Some(-1.5);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule, got.aim), (VentVerdict::Shut, Rule::Night, Aim::KeepWarmth));
    assert!(all(&got, Notch::Closed));
    assert_eq!(got.moves[0].from, q.now);
}

#[test]
fn scenario_10_rime_at_sunrise_is_left_till_thaw_and_not_till_noon() {
    let mut q = on(4, 20, "07:00").inside(0.5, 98.0).outside(-2.0, 90.0);
    q.frost_memory = Some(FrostMemory { lowest_c: -2.5, thawed: false });
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Frozen));
    within_an_hour(&q, got.look_again, 8, 45);
    // Thawed and hot two hours later, it opens.
    let mut later = on(4, 20, "09:30").inside(24.0, 60.0).outside(6.0, 75.0);
    later.frost_memory = Some(FrostMemory { lowest_c: -2.5, thawed: true });
    later.trend_inside_c_h = Some(8.0);
    assert_ne!(decide(&later).verdict, VentVerdict::Shut);
}

#[test]
fn scenario_11_at_38_degrees_both_doors_go_fully_open_at_once() {
    let q = on(5, 15, "12:00").crops(Crops::Both).inside(38.0, 35.0).outside(22.0, 45.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Cool, Rule::Heat));
    assert!(all(&got, Notch::Full));
    assert!(!got.cautions.contains(&Caution::InSteps));
}

#[test]
fn scenario_12_a_dripping_july_morning_is_opened_wide_before_the_sun() {
    let q = on(7, 10, "06:30").crops(Crops::Tender).inside(14.0, 99.0).outside(13.0, 95.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.aim), (VentVerdict::Dry, Aim::Dry));
    assert!(all(&got, Notch::Full));
    assert_eq!((got.moves[0].from, got.moves[0].until), (q.now, None));
}

#[test]
fn scenario_13_july_heat_opens_everything() {
    let q = on(7, 10, "13:00").crops(Crops::Tender).inside(34.0, 40.0).outside(23.0, 50.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Cool, Rule::Heat));
    assert!(all(&got, Notch::Full));
}

#[test]
fn scenario_14_a_muggy_july_night_is_aired_without_a_promise_to_dry() {
    let q = on(7, 10, "21:00").crops(Crops::Tender).inside(17.0, 94.0).outside(16.0, 96.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.aim), (VentVerdict::MoveAir, Aim::MoveAir));
    assert!(all(&got, Notch::Full));
    assert_eq!(got.moves[0].until, None);
    assert!(got.doubts.contains(&Doubt::WithinBand));
}

#[test]
fn scenario_15_a_stuck_gauge_does_not_veto_a_drying_day() {
    let mut q = on(12, 15, "12:00").inside(5.0, 96.0).outside(2.0, 70.0);
    q.inside = q.inside.map(|air| Air { rh_pct: None, ..air });
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule, got.by_rule), (VentVerdict::MoveAir, Rule::SeasonAndHour, true));
    assert!(lee_only(&got, Notch::Half));
    within_an_hour(&q, got.moves[0].until, 14, 0);
    assert!(got.doubts.contains(&Doubt::NoInsideHumidity));
    // Were the gauge sound, the reading would say the same.
    let sound = decide(&on(12, 15, "12:00").inside(5.0, 96.0).outside(2.0, 70.0));
    assert_eq!(sound.verdict, VentVerdict::Dry);
    assert!(lee_only(&sound, Notch::Half));
}
