//! One rule at a time, at its edges. Limits from climate sheet 6.5 and wetness sheet 4.6, judgement all.

use super::*;

#[test]
fn what_cannot_be_opened_gets_no_vent_verdict() {
    let mut q = on(3, 10, "12:00").inside(12.0, 98.0).outside(8.0, 85.0);
    q.structure.vents.clear();
    assert_eq!(decide_vent(&q), None);
}

#[test]
fn hot_is_above_28_for_hardy_and_above_32_for_tender_crops() {
    let rule = |crops, t_in| decide(&on(6, 10, "12:00").crops(crops).inside(t_in, 40.0).outside(18.0, 60.0)).rule;
    assert_ne!(rule(Crops::Hardy, 28.0), Rule::Heat);
    assert_eq!(rule(Crops::Hardy, 28.1), Rule::Heat);
    assert_eq!(rule(Crops::Both, 28.1), Rule::Heat);
    assert_ne!(rule(Crops::Tender, 32.0), Rule::Heat);
    assert_eq!(rule(Crops::Tender, 32.1), Rule::Heat);
}

#[test]
fn cold_limits_hold_at_their_edges() {
    let rule = |crops, t_in, t_out| {
        let mut q = on(3, 10, "12:00").crops(crops).inside(t_in, 95.0).outside(t_out, 60.0);
        q.trend_inside_c_h = Some(0.5);
        decide(&q).rule
    };
    // Hardy: 3 °C inside and rising, -1 °C outside.
    assert_eq!(rule(Crops::Hardy, 2.9, 2.0), Rule::Cold);
    assert_ne!(rule(Crops::Hardy, 3.0, 2.0), Rule::Cold);
    assert_eq!(rule(Crops::Hardy, 6.0, -1.1), Rule::Cold);
    assert_ne!(rule(Crops::Hardy, 6.0, -1.0), Rule::Cold);
    // Tender: 12 °C inside, 2 °C outside, and air that settles at 8 or above.
    assert_eq!(rule(Crops::Tender, 11.9, 9.0), Rule::Cold);
    assert_ne!(rule(Crops::Tender, 12.0, 9.0), Rule::Cold);
    assert_eq!(rule(Crops::Tender, 20.0, 1.9), Rule::Cold);
    assert_ne!(rule(Crops::Tender, 20.0, 2.0), Rule::Cold);
    assert_eq!(rule(Crops::Tender, 12.5, 3.4), Rule::Cold);
    assert_ne!(rule(Crops::Tender, 12.5, 3.6), Rule::Cold);
    // Mixed: the beds decide, the trays are moved.
    assert_ne!(rule(Crops::Both, 6.0, 1.0), Rule::Cold);
    let q = on(3, 10, "12:00").crops(Crops::Both).inside(9.0, 95.0).outside(1.0, 60.0);
    assert!(decide(&q).cautions.contains(&Caution::MoveTrays));
}

#[test]
fn at_the_lowest_temperature_for_venting_air_must_be_known_to_rise() {
    let rule = |trend| {
        let mut q = on(3, 10, "12:00").inside(3.0, 95.0).outside(2.0, 60.0);
        q.trend_inside_c_h = trend;
        decide(&q).rule
    };
    assert_eq!(rule(None), Rule::Cold);
    assert_eq!(rule(Some(0.0)), Rule::Cold);
    assert_ne!(rule(Some(0.3)), Rule::Cold);
}

#[test]
fn a_falling_trend_is_carried_two_hours_ahead_and_a_rising_one_is_not() {
    let rule = |t_out, trend| {
        let mut q = on(3, 10, "12:00").inside(8.0, 95.0).outside(t_out, 60.0);
        q.trend_outside_c_h = Some(trend);
        decide(&q).rule
    };
    // 1 °C falling 1.1 °C an hour is -1.2 °C in two hours.
    assert_eq!(rule(1.0, -1.1), Rule::Cold);
    assert_ne!(rule(1.0, -0.9), Rule::Cold);
    assert_eq!(rule(-1.5, 3.0), Rule::Cold);
}

#[test]
fn air_that_cools_because_it_is_aired_is_not_carried_below_the_air_outside() {
    let rule = |t_out| {
        let mut q = on(3, 10, "12:00").inside(8.0, 95.0).outside(t_out, 60.0);
        q.trend_inside_c_h = Some(-4.0);
        decide(&q).rule
    };
    assert_eq!(rule(6.0), Rule::Drying);
    assert_eq!(rule(2.9), Rule::Cold);
}

#[test]
fn night_begins_an_hour_before_a_mild_sunset() {
    // 10 July at 51° N, 3° W: sunset 21:29, so from half past eight.
    let rule = |time| decide(&on(7, 10, time).inside(17.0, 94.0).outside(16.0, 96.0)).rule;
    assert_eq!(rule("20:29"), Rule::MovingAir);
    assert_eq!(rule("20:30"), Rule::Night);
}

#[test]
fn leaves_count_as_frozen_until_the_air_has_been_above_three_degrees() {
    let rule_at = |t_in, lowest_c, thawed| {
        let mut q = on(3, 10, "11:00").inside(t_in, 95.0).outside(2.5, 70.0);
        q.trend_inside_c_h = Some(1.0);
        q.frost_memory = Some(FrostMemory { lowest_c, thawed });
        decide(&q).rule
    };
    assert_eq!(rule_at(3.0, -0.1, false), Rule::Frozen);
    assert_ne!(rule_at(3.0, -0.1, true), Rule::Frozen);
    assert_ne!(rule_at(3.0, 0.1, false), Rule::Frozen);
    // Above three degrees now is above three degrees since.
    assert_ne!(rule_at(3.1, -0.1, false), Rule::Frozen);
    assert_eq!(rule_at(0.0, 0.1, true), Rule::Frozen);
}

#[test]
fn hour_of_the_thaw_does_not_run_away_from_whoever_waits_for_it() {
    // 15 January at 51° N, 3° W: sunrise 08:14, so that it is looked for at 11:00, then at 13:00; two hours before sunset at 16:26 nothing opens any more.
    let at = |time| {
        let mut q = on(1, 15, time).inside(0.5, 95.0).outside(0.0, 90.0);
        q.frost_memory = Some(FrostMemory { lowest_c: -1.0, thawed: false });
        let (got, clock) = (decide(&q), q.clock);
        assert_eq!(got.rule, Rule::Frozen);
        got.look_again.map(|at| (clock.day_number(at) - clock.day_number(q.now), clock.hour_minute(at)))
    };
    let looks = ["09:00", "10:55", "11:05", "11:35", "12:50", "13:05", "15:00"].map(at);
    let (eleven, one, tomorrow) = (Some((0, (11, 0))), Some((0, (13, 0))), Some((1, (11, 0))));
    assert_eq!(looks, [eleven, eleven, one, one, one, tomorrow, tomorrow]);
}

#[test]
fn gusts_up_to_15_are_no_gale() {
    let rule = |gust| {
        let mut q = on(3, 10, "12:00").inside(12.0, 98.0).outside(8.0, 85.0);
        q.gust_m_s = Some(gust);
        decide(&q).rule
    };
    assert_eq!(rule(15.0), Rule::Drying);
    assert_eq!(rule(15.1), Rule::Gale);
    assert_eq!(rule(f64::NAN), Rule::Drying);
}

#[test]
fn outside_older_than_an_hour_falls_back_to_season_and_hour() {
    let mut q = on(1, 15, "12:00").inside(6.0, 97.0).outside(5.0, 70.0);
    q.outside = q.outside.map(|air| Air { at: q.now.plus(-60 * MINUTE), ..air });
    assert!(!decide(&q).by_rule);
    let at = q.now.plus(-60 * MINUTE - 1);
    q.outside = q.outside.map(|air| Air { at, ..air });
    let got = decide(&q);
    assert_eq!((got.verdict, got.by_rule, got.figures.outside), (VentVerdict::MoveAir, true, None));
    assert_eq!(got.doubts, [Doubt::OldOutside { at }]);
    assert!(got.cautions.contains(&Caution::LookOutFirst));
    assert_eq!(plan(&q, &got), ["yard-door crack 12:00-14:30", "field-door crack 12:00-14:30"]);
}

#[test]
fn nothing_read_inside_is_unknown_and_still_says_the_rule() {
    let mut q = on(7, 10, "10:00").outside(18.0, 60.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.by_rule), (VentVerdict::Unknown, true));
    assert_eq!(got.doubts, [Doubt::NoInside]);
    assert_eq!(plan(&q, &got), ["yard-door full 10:00-", "field-door full 10:00-"]);
    // Gusts need no reading inside.
    q.gust_m_s = Some(20.0);
    assert_eq!(decide(&q).rule, Rule::Gale);
}

#[test]
fn season_and_hour_stays_shut_in_fog_and_in_what_is_known_to_be_cold() {
    let mut q = on(1, 15, "12:00");
    q.outside = Some(Air { t_c: -1.5, rh_pct: Some(80.0), at: q.now });
    assert!(decide(&q).moves.is_empty());
    q.outside = Some(Air { t_c: 0.0, rh_pct: Some(80.0), at: q.now });
    assert_eq!(plan(&q, &decide(&q)), ["lee crack 12:00-14:30"]);
    q.fog = Some(true);
    assert!(decide(&q).moves.is_empty());
}

#[test]
fn season_and_hour_shuts_winter_nights_and_opens_summer_ones() {
    let verdict = |month, time| decide(&on(month, 15, time).inside(15.0, 90.0)).verdict;
    assert_eq!(verdict(1, "20:00"), VentVerdict::Shut);
    assert_eq!(verdict(4, "22:00"), VentVerdict::Shut);
    assert_eq!(verdict(7, "19:45"), VentVerdict::MoveAir);
    // In the dark nobody is sent out for a rule.
    let night = decide(&on(7, 15, "23:00").inside(15.0, 90.0));
    assert!(night.moves.is_empty() && night.cautions.contains(&Caution::NotForThisInTheDark), "{night:?}");
    assert_eq!(verdict(4, "12:00"), VentVerdict::MoveAir);
}

#[test]
fn winter_window_opens_two_hours_after_sunrise_and_shuts_two_before_sunset() {
    // 51° N, 3° W: 21 December 08:16 to 16:03.
    let q = on(12, 21, "08:30").inside(8.0, 96.0).outside(5.0, 75.0);
    assert_eq!(plan(&q, &decide(&q)), ["yard-door half 10:00-14:00", "field-door half 10:00-14:00"]);
    // Past the window it is night by rule, and everything is shut while there is light.
    let late = on(12, 21, "14:10").inside(8.0, 96.0).outside(5.0, 75.0);
    let got = decide(&late);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Night));
    assert_eq!(plan(&late, &got), ["yard-door closed 14:10-", "field-door closed 14:10-"]);
}

#[test]
fn night_is_shut_cracked_or_open_by_frost_mildness_and_summer() {
    let verdict = |month, crops, inside: (f64, f64), outside: (f64, f64)| {
        let got = decide(&on(month, 10, "22:30").crops(crops).inside(inside.0, inside.1).outside(outside.0, outside.1));
        (got.verdict, got.moves.first().map(|m| m.notch))
    };
    // Mild and damp over hardy crops, inside the gauges' error: a crack to move air.
    assert_eq!(verdict(11, Crops::Hardy, (9.0, 97.0), (8.0, 97.0)), (VentVerdict::MoveAir, Some(Notch::Crack)));
    // The same, clearly drier outside: the crack dries.
    assert_eq!(verdict(11, Crops::Hardy, (9.0, 98.0), (8.0, 85.0)), (VentVerdict::Dry, Some(Notch::Crack)));
    // Not damp: warmth is kept.
    assert_eq!(verdict(11, Crops::Hardy, (10.0, 80.0), (8.0, 84.0)), (VentVerdict::Shut, None));
    // Below 4 °C, and in dry air that can fall to it.
    assert_eq!(verdict(11, Crops::Hardy, (7.0, 97.0), (4.0, 90.0)), (VentVerdict::Shut, None));
    assert_eq!(verdict(4, Crops::Hardy, (10.0, 95.0), (8.5, 60.0)), (VentVerdict::Shut, None));
    // Tender crops below 10.
    assert_eq!(verdict(6, Crops::Tender, (14.0, 97.0), (9.9, 97.0)), (VentVerdict::Shut, None));
    let limit = |t_out| {
        let q = on(6, 10, "22:30").crops(Crops::Tender).inside(14.0, 97.0).outside(t_out, 97.0);
        decide(&q).figures.limit_c
    };
    assert_eq!((limit(9.9), limit(10.1)), (Some(10.0), None));
    // Summer above 12.
    assert_eq!(verdict(7, Crops::Tender, (14.0, 97.0), (12.5, 90.0)), (VentVerdict::Dry, Some(Notch::Full)));
    // Wetter outside.
    assert_eq!(verdict(7, Crops::Tender, (16.0, 80.0), (16.0, 96.0)), (VentVerdict::Shut, None));
}

#[test]
fn in_warm_summer_air_nothing_is_purged_but_left_open() {
    // 24 °C and 60 % against 15 °C and 70 %: 0.60 kPa drier, 9 °C colder.
    let q = on(7, 10, "12:00").inside(24.0, 60.0).outside(15.0, 70.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.moves[0].notch, got.moves[0].until), (VentVerdict::Dry, Notch::Full, None));
    // The same air in March, when the evening is cold, or in June when it will be: a purge.
    assert_eq!(decide(&on(3, 10, "12:00").inside(24.0, 60.0).outside(15.0, 70.0)).verdict, VentVerdict::Purge);
    let mut cooling = q;
    cooling.trend_outside_c_h = Some(-2.0);
    assert_eq!(decide(&cooling).verdict, VentVerdict::Purge);
}

#[test]
fn purge_is_short_and_comes_again_until_closing_time() {
    // Climate sheet 6.4, case D.
    let q = on(3, 10, "12:00").inside(22.0, 60.0).outside(6.0, 80.0);
    let got = decide(&q);
    assert_eq!(plan(&q, &got), ["yard-door half 12:00-12:20", "field-door half 12:00-12:20"]);
    // Sunset about 18:15 here: two hours before it, to the half hour.
    assert_eq!(got.look_again, Some(q.now.plus(4 * 60 * MINUTE)));
}

#[test]
fn a_lid_that_is_only_on_or_off_stays_on_where_a_crack_is_wanted_in_the_cold() {
    let ask = |all: &[(Notch, &str)], t_in, t_out| {
        let mut q = on(1, 15, "12:00").inside(t_in, 97.0).outside(t_out, 97.0);
        q.structure = frame(Crops::Hardy, all);
        let got = decide(&q);
        (got.verdict, got.moves.first().map(|m| m.notch), got.cautions.contains(&Caution::AllOrNothing))
    };
    let on_or_off = [(Notch::Closed, "on"), (Notch::Full, "off")];
    assert_eq!(ask(&on_or_off, 6.0, 6.0), (VentVerdict::Shut, None, true));
    assert_eq!(ask(&on_or_off, 11.0, 11.0), (VentVerdict::MoveAir, Some(Notch::Full), false));
    let propped = [(Notch::Closed, "on"), (Notch::Half, "on the brick"), (Notch::Full, "off")];
    assert_eq!(ask(&propped, 6.0, 6.0), (VentVerdict::MoveAir, Some(Notch::Half), false));
}

#[test]
fn a_hot_frame_with_only_on_and_off_is_taken_off_even_in_the_cold() {
    let mut q = on(3, 10, "12:00").inside(31.0, 40.0).outside(5.0, 60.0);
    q.structure = frame(Crops::Hardy, &[(Notch::Closed, "on"), (Notch::Full, "off")]);
    let got = decide(&q);
    assert_eq!((got.verdict, got.moves.len(), got.moves[0].notch), (VentVerdict::Cool, 1, Notch::Full));
}

#[test]
fn without_sun_times_eight_to_five_stands_in_and_is_said() {
    let mut q = on(12, 21, "12:00").inside(8.0, 96.0).outside(5.0, 75.0);
    (q.sunrise, q.sunset) = (None, None);
    let got = decide(&q);
    assert!(got.doubts.contains(&Doubt::NoSun));
    assert_eq!(plan(&q, &got)[0], "yard-door half 12:00-15:00");
}

#[test]
fn a_side_wind_leaves_no_end_more_sheltered() {
    let vent = |deg| {
        let mut q = on(12, 15, "12:00").inside(5.0, 96.0).outside(2.0, 70.0);
        q.wind_from_deg = Some(deg);
        decide(&q).moves[0].vent.clone()
    };
    assert_eq!(vent(10.0).as_deref(), Some("yard-door"));
    assert_eq!(vent(190.0).as_deref(), Some("field-door"));
    assert_eq!(vent(92.0), None);
}

#[test]
fn heat_over_an_opening_without_a_crack_is_one_move_and_not_the_same_one_twice() {
    let mut q = on(5, 1, "12:00").inside(28.5, 50.0).outside(8.0, 60.0);
    q.structure = frame(Crops::Hardy, &[(Notch::Closed, "shut"), (Notch::Half, "on the stick"), (Notch::Full, "off")]);
    let got = decide(&q);
    assert_eq!(plan(&q, &got), ["lid half 12:00-18:30"]);
    assert!(!got.cautions.contains(&Caution::InSteps));
}

#[test]
fn nobody_is_asked_to_look_again_before_it_is_light() {
    let q = on(1, 13, "04:25").inside(7.5, 97.0).outside(9.5, 98.0);
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Wetting));
    assert!(got.look_again >= q.sunrise, "{:?}", got.look_again);
}
