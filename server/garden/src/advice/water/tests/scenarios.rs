//! The water column of the advice page's scenarios 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 13, 14 and 15, and what must not be said. All are common practice,
//! from judgement.

use super::*;
use crate::advice::FrostMemory;
use crate::model::Crops;
use crate::record::{Sky, Wet};
use crate::wording::{WaterWords, water_words};

/// A question on a date of the winter 2026-27 by the garden's clock: GMT from November to March, an hour ahead otherwise.
fn on(month: u32, day: u32, hour: i64, minute: i64) -> WaterQuestion {
    let year = if month >= 11 { 2026 } else { 2027 };
    let offset_s = if (4..=10).contains(&month) { 3_600 } else { 0 };
    let utc = |hour: i64, minute: i64| at(year, month, day, hour, minute).plus(-i64::from(offset_s) * 1_000);
    let mut q = WaterQuestion::new(utc(hour, minute), LocalClock::steady(offset_s), Plot::Bed, by_can());
    q.sunrise = Some(if (4..=10).contains(&month) { utc(6, 0) } else { utc(7, 45) });
    q
}

fn with(mut q: WaterQuestion, t_c: f64, rh_pct: Option<f64>) -> WaterQuestion {
    q.inside = Some(Air { t_c, rh_pct, at: q.now });
    q
}

/// `low` to `high` mm missing, `used` going each day, the last finger `finger` days ago.
fn standing(q: &mut WaterQuestion, (low, high): (f64, f64), used: f64, finger: Option<(Feel, i64)>) {
    let finger = finger.map(|(feel, days)| Finger { at_ms: q.now.plus(-days * 24 * HOUR).0, feel });
    q.standing = Some(Standing {
        holds: q.bed.holds().unwrap(),
        missing_mm: Band { low, likely: 0.5 * (low + high), high },
        use_mm_d: Band::about(used, 0.39),
        unknown_d: 0,
        finger,
        watered: None,
    });
}

fn words(q: &WaterQuestion) -> WaterWords {
    water_words(&decide_water(q), "Bed 2", q.clock, q.now)
}

fn whole(words: &WaterWords) -> String {
    [&words.say, &words.because, words.doubt.as_ref().unwrap_or(&String::new()), &words.cautions.join(" ")]
        .map(String::as_str)
        .join(" ")
}

/// Hours and minutes on the garden's clock, and how many days ahead.
fn when(q: &WaterQuestion, at: Millis) -> (i64, i64, i64) {
    let (hour, minute) = q.clock.hour_minute(at);
    (q.clock.day_number(at) - q.clock.day_number(q.now), hour, minute)
}

#[track_caller]
fn no_water_now(q: &WaterQuestion) {
    let got = decide_water(q);
    assert!(!matches!(got.verdict, WaterVerdict::Water | WaterVerdict::Feel | WaterVerdict::Lift), "{got:?}");
    assert!(got.when.is_none(), "{got:?}");
}

#[test]
fn scenarios_1_2_and_4_water_nothing_into_damp_air() {
    for (hour, t_c, rh, wet) in [(9, 6.0, 97.0, Wet::Rain), (9, 4.0, 97.0, Wet::Dry), (14, 7.0, 99.0, Wet::Fog)] {
        let mut q = with(on(1, 20, hour, 30), t_c, Some(rh));
        (q.wet, q.drying_follows) = (Some(wet), Some(false));
        for (missing, finger) in
            [((4.0, 8.0), None), ((9.0, 16.0), Some((Feel::Moist, 20))), ((0.0, 1.0), Some((Feel::Wet, 3)))]
        {
            standing(&mut q, missing, 0.3, finger);
            no_water_now(&q);
        }
        standing(&mut q, (9.0, 16.0), 0.3, None);
        let said = words(&q);
        assert_eq!(decide_water(&q).rule, WaterRule::Damp);
        assert_eq!(
            said.say,
            "No water for Bed 2 today: nothing would dry off. Push a finger in on the next day that dries; dry soil is watered all the same."
        );
        assert!(!whole(&said).contains("litre"), "{}", whole(&said));
    }
}

#[test]
fn scenario_3_and_10_leave_frozen_leaves_alone() {
    let mut q = with(on(1, 15, 9, 0), -2.0, Some(97.0));
    q.frost_memory = Some(FrostMemory { lowest_c: -4.0, thawed: false });
    standing(&mut q, (11.0, 14.0), 0.2, Some((Feel::Dry, 1)));
    no_water_now(&q);
    assert_eq!(decide_water(&q).rule, WaterRule::Frozen);
    // April, half past seven, half a degree above: it was frozen and has not thawed. Must not say: hose it off.
    let mut q = with(on(4, 12, 7, 30), 0.5, Some(98.0));
    q.frost_memory = Some(FrostMemory { lowest_c: -2.0, thawed: false });
    standing(&mut q, (11.0, 14.0), 1.0, Some((Feel::Dry, 1)));
    no_water_now(&q);
    assert_eq!(words(&q).say, "Leave Bed 2 alone till the leaves have gone soft: no water.");
    q.plot = Plot::Trays;
    no_water_now(&q);
}

#[test]
fn scenario_5_gale_sends_nobody_out() {
    let mut q = with(on(1, 15, 10, 0), 9.0, Some(85.0));
    q.gust_m_s = Some(22.0);
    standing(&mut q, (11.0, 14.0), 0.3, Some((Feel::Dry, 1)));
    no_water_now(&q);
    assert_eq!(words(&q).cautions, ["Nobody goes out in the dark, on ice or in a wind."]);
}

#[test]
fn scenario_6_trays_are_lifted_this_morning_only_and_no_litres_are_named() {
    let mut q = with(on(2, 12, 10, 0), 12.0, Some(85.0));
    (q.plot, q.sky, q.crops) = (Plot::Trays, Some(Sky::Clear), Crops::Both);
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.dose, got.again), (WaterVerdict::Lift, None, None));
    assert_eq!(when(&q, got.when.unwrap().1), (0, 12, 0));
    let said = words(&q);
    assert_eq!(
        said.say,
        "Lift and look, trays in Bed 2: water the light ones from below, this morning only; leave the heavy ones."
    );
    assert!(!whole(&said).contains("litre") && !whole(&said).contains("mm"), "{}", whole(&said));
}

#[test]
fn scenario_8_trays_in_the_first_heat_get_water_that_has_stood() {
    let mut q = with(on(3, 10, 11, 30), 29.0, Some(45.0));
    (q.plot, q.sky, q.is_shut) = (Plot::Trays, Some(Sky::Clear), true);
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.dose), (WaterVerdict::Lift, None));
    assert_eq!(when(&q, got.when.unwrap().0), (0, 11, 30));
    assert!(got.cautions.contains(&WaterCaution::StoodWater));
    // In May a bright day brings a second lift.
    let mut q = with(on(5, 10, 9, 0), 20.0, Some(60.0));
    (q.plot, q.sky) = (Plot::Trays, Some(Sky::Clear));
    assert_eq!(when(&q, decide_water(&q).again.unwrap()), (0, 13, 0));
    assert!(words(&q).say.ends_with("Lift them again about 13:00."), "{}", words(&q).say);
    q.sky = Some(Sky::Overcast);
    assert_eq!(decide_water(&q).again, None);
}

#[test]
fn scenario_9_frost_in_april_is_not_met_with_water_tonight() {
    let mut q = with(on(4, 12, 18, 30), 12.0, Some(70.0));
    q.lowest_heard_c = Some(0.0);
    standing(&mut q, (11.5, 16.0), 1.5, Some((Feel::Moist, 12)));
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.rule), (WaterVerdict::Feel, WaterRule::DrySoilOnly));
    assert_eq!(when(&q, got.when.unwrap().0).0, 1);
    let said = words(&q);
    assert!(said.say.starts_with("Push a finger into Bed 2. Only if it is dry at 5 cm:"), "{}", said.say);
    assert!(said.say.ends_with("at the base, tomorrow before noon."), "{}", said.say);
    assert!(said.cautions.contains(&"Water keeps no frost off here.".to_string()));
    assert!(!whole(&said).contains("tonight"), "{}", whole(&said));
    // April without frost is dry soil only, too.
    q.lowest_heard_c = None;
    assert_eq!(decide_water(&q).rule, WaterRule::DrySoilOnly);
}

#[test]
fn scenario_11_hot_and_shut_is_watered_at_the_root_only_if_dry() {
    let mut q = with(on(5, 20, 12, 0), 38.0, Some(35.0));
    (q.is_shut, q.crops) = (true, Crops::Both);
    standing(&mut q, (5.0, 11.0), 3.0, None);
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.rule), (WaterVerdict::Feel, WaterRule::HotShut));
    assert_eq!(when(&q, got.when.unwrap().0), (0, 12, 0));
    let said = words(&q).say;
    assert!(
        said.starts_with("Push a finger into Bed 2. Dry at 5 cm? Then ") && said.contains("at the roots only, now"),
        "{said}"
    );
    // Nobody home till six: on return the same.
    q.there = Some(vec![(q.now.plus(6 * HOUR), q.now.plus(9 * HOUR))]);
    assert_eq!(when(&q, decide_water(&q).when.unwrap().0), (0, 18, 0));
    // A wilted plant in wet soil is not watered.
    q.wilted = true;
    for finger in [Some((Feel::Wet, 0)), Some((Feel::Moist, 0))] {
        standing(&mut q, (0.0, 6.0), 3.0, finger);
        no_water_now(&q);
        assert_eq!(words(&q).say, "Do not water Bed 2, wilted as it is: the soil is wet. Give it air and shade.");
    }
    standing(&mut q, (12.0, 14.0), 3.0, None);
    assert_eq!(decide_water(&q).rule, WaterRule::Wilted);
}

#[test]
fn scenarios_13_and_14_water_nothing_till_the_next_morning() {
    let mut hot = with(on(7, 10, 13, 0), 34.0, Some(40.0));
    standing(&mut hot, (11.0, 15.0), 3.5, None);
    let mut evening = with(on(7, 10, 21, 0), 17.0, Some(94.0));
    standing(&mut evening, (11.0, 15.0), 3.5, None);
    for q in [hot, evening] {
        let got = decide_water(&q);
        assert_eq!((got.verdict, got.rule), (WaterVerdict::Water, WaterRule::Sum));
        assert_eq!(when(&q, got.when.unwrap().0), (1, 7, 0));
        let said = words(&q).say;
        assert!(said.contains("at the roots, tomorrow before noon."), "{said}");
        assert!(said.contains("Push a finger in first; moist at 5 cm, leave it."), "{said}");
        assert!(!said.contains("tonight") && !said.contains("now"), "{said}");
    }
}

#[test]
fn scenario_15_winter_sum_asks_for_a_finger_and_orders_no_105_litres() {
    // The gauge is stuck: its humidity is not given, and so vetoes nothing.
    let mut q = with(on(12, 10, 12, 0), 5.0, None);
    q.sky = Some(Sky::Clear);
    standing(&mut q, (9.0, 9.0), 0.3, None);
    let got = decide_water(&q);
    assert_eq!(
        (got.verdict, got.rule, got.edges, got.asks_finger),
        (WaterVerdict::Feel, WaterRule::Winter, true, true)
    );
    assert_eq!((when(&q, got.when.unwrap().0), when(&q, got.when.unwrap().1)), ((0, 12, 0), (0, 13, 0)));
    let said = words(&q);
    assert_eq!(
        said.say,
        "Push a finger into Bed 2, in the middle and along the edges. Dry at 5 cm? Then a can to every square metre, only where it is \
         dry, at the base, now, by 13:00. Moist? Nothing to do."
    );
    for never in ["105", "litre", "unknown"] {
        assert!(!whole(&said).contains(never), "{}", whole(&said));
    }
    // Hard frost heard for one of two nights: not even dry edges.
    q.lowest_heard_c = Some(-4.0);
    standing(&mut q, (11.0, 12.0), 0.3, Some((Feel::Dry, 0)));
    no_water_now(&q);
    assert_eq!(decide_water(&q).rule, WaterRule::HardFrost);
}

#[test]
fn dry_in_winter_is_watered_on_the_next_bright_morning_whatever_the_humidity() {
    let mut q = with(on(1, 20, 9, 30), 6.0, Some(97.0));
    standing(&mut q, (10.8, 14.0), 0.3, Some((Feel::Dry, 1)));
    q.sky = Some(Sky::Clear);
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.rule), (WaterVerdict::Water, WaterRule::FeltDry));
    assert_eq!(when(&q, got.when.unwrap().0), (0, 9, 30));
    // Under drizzle it waits for tomorrow, and never for long.
    (q.sky, q.wet) = (Some(Sky::Overcast), Some(Wet::Rain));
    assert_eq!(when(&q, decide_water(&q).when.unwrap().0), (1, 9, 0));
    assert!(decide_water(&q).cautions.contains(&WaterCaution::BrightMorning));
}

#[test]
fn winter_gives_no_more_than_is_missing_at_the_least() {
    // Climate sheet 4.5: from November to February never over Dr. Roots of 10 cm: 3.6 mm within easy reach, 4 to 5.5 missing.
    let mut q = with(on(1, 20, 9, 30), 6.0, Some(80.0));
    q.bed.roots_m = Some(0.10);
    standing(&mut q, (4.0, 5.5), 0.3, Some((Feel::Dry, 1)));
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.dose.unwrap().mm), (WaterVerdict::Water, 4.0));
    // In June it is what most likely is missing.
    let mut june = with(on(6, 20, 9, 30), 16.0, Some(80.0));
    june.bed.roots_m = Some(0.10);
    standing(&mut june, (4.0, 5.5), 1.0, Some((Feel::Dry, 1)));
    assert_eq!(decide_water(&june).dose.unwrap().mm, 4.75);
}

#[test]
fn winter_asks_for_a_finger_fortnightly() {
    let mut q = with(on(1, 20, 9, 30), 6.0, Some(80.0));
    for (finger, wanted) in [(13, WaterVerdict::Wait), (14, WaterVerdict::Feel), (30, WaterVerdict::Feel)] {
        // Moist, but too long ago to hold by itself: at 2 mm a day a quarter of 10.8 mm is gone in a day and a third.
        standing(&mut q, (2.0, 5.0), 2.0, Some((Feel::Moist, finger)));
        assert_eq!(decide_water(&q).verdict, wanted, "{finger} days");
    }
}

#[test]
fn sentence_six_of_the_advice_page() {
    // RAW 10.8: 5 mm at the most missing and 0.95 a day at the most leave six days; 4 at the least and 0.57, twelve.
    let mut q = with(on(3, 10, 9, 0), 12.0, Some(70.0));
    q.bed.area_m2 = Some(1.25);
    standing(&mut q, (4.0, 5.0), 0.76, Some((Feel::Moist, 10)));
    q.standing.as_mut().unwrap().use_mm_d = Band { low: 0.58, likely: 0.76, high: 0.95 };
    assert_eq!(decide_water(&q).days, Some((6, 12)));
    assert_eq!(
        words(&q).say,
        "Bed 2 can wait another six to twelve days. Dry when you push a finger in? Then two cans, at the roots, before noon."
    );
    assert_eq!(
        words(&q).because,
        "Some 4 to 5 mm are gone from the soil, and the crop can spare 11 mm; 0.6 to 0.9 mm go each day. A finger found it moist ten days ago."
    );
}

#[test]
fn a_bed_without_soil_or_size_says_what_to_enter_and_invents_no_litres() {
    let mut q = with(on(6, 10, 9, 0), 20.0, Some(60.0));
    q.bed = WaterBed::of("lettuce", Shelter::Film, 0.65);
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.rule, got.dose), (WaterVerdict::Feel, WaterRule::NoSoil, None));
    assert_eq!(got.missing, [Missing::Soil, Missing::Area]);
    let said = words(&q);
    assert_eq!(
        said.say,
        "Push a finger into Bed 2. Dry at 5 cm? Then water it well, at the base, before noon. Moist? Nothing to do."
    );
    let doubt = said.doubt.unwrap();
    assert!(
        doubt.contains("enter its texture, such as sandy loam") && doubt.contains("enter its area in square metres"),
        "{doubt}"
    );
    // With a soil but no size: days in hand, no cans.
    q.bed = WaterBed { area_m2: None, ..by_can() };
    standing(&mut q, (4.0, 5.0), 0.76, None);
    let got = decide_water(&q);
    assert!(got.days.is_some() && got.missing == [Missing::Area]);
    assert!(words(&q).say.contains("Then water it well"), "{}", words(&q).say);
    // A finger that found it moist keeps its word for three days even so.
    q.standing = None;
    q.finger = Some(Finger { at_ms: q.now.plus(-24 * HOUR).0, feel: Feel::Moist });
    assert_eq!(decide_water(&q).rule, WaterRule::FeltMoist);
}

#[test]
fn probe_sends_a_finger_in_and_orders_nothing() {
    let mut q = with(on(6, 10, 9, 0), 20.0, Some(60.0));
    standing(&mut q, (12.0, 14.0), 2.0, None);
    assert_eq!(decide_water(&q).verdict, WaterVerdict::Water);
    q.probe = Some(Probe { tension_kpa: Some(12.0), ..Probe::default() });
    let got = decide_water(&q);
    assert_eq!((got.verdict, got.probe), (WaterVerdict::Feel, Some(ProbeSays::WetEnough)));
    assert!(words(&q).doubt.unwrap().contains("a finger decides"));
    standing(&mut q, (1.0, 2.0), 1.0, None);
    q.probe = Some(Probe { tension_kpa: Some(40.0), ..Probe::default() });
    assert_eq!(decide_water(&q).verdict, WaterVerdict::Feel);
}

#[test]
fn advice_stands_until_days_in_hand_are_over_or_the_time_to_act_is() {
    // Sunrise at six by the garden's clock: mornings begin at seven.
    let mut q = with(on(6, 10, 9, 0), 20.0, Some(60.0));
    standing(&mut q, (4.0, 5.0), 0.76, None);
    q.standing.as_mut().unwrap().use_mm_d = Band { low: 0.58, likely: 0.76, high: 0.95 };
    assert_eq!(when(&q, decide_water(&q).look_again), (6, 7, 0));
    standing(&mut q, (11.0, 12.0), 2.0, None);
    assert_eq!(when(&q, decide_water(&q).look_again), (0, 12, 0));
    // In January the finger of four days ago is asked for again after ten more.
    let mut winter = with(on(1, 20, 9, 30), 6.0, Some(80.0));
    standing(&mut winter, (2.0, 5.0), 2.0, Some((Feel::Moist, 4)));
    assert_eq!(when(&winter, decide_water(&winter).look_again).0, 10);
    winter.frost_memory = Some(FrostMemory { lowest_c: -2.0, thawed: false });
    winter.inside = Some(Air { t_c: 1.0, rh_pct: None, at: winter.now });
    assert_eq!(when(&winter, decide_water(&winter).look_again), (0, 11, 30));
}

#[test]
fn sum_that_hardly_knows_anything_orders_a_first_share_and_a_second_finger() {
    // July, sum 1 to 36 mm of some 11: what has surely gone is little, so a third of what the crop can take, and the finger again.
    let mut q = with(on(7, 10, 8, 0), 20.0, Some(70.0));
    standing(&mut q, (1.0, 36.0), 2.5, None);
    let readily_mm = q.standing.unwrap().holds.readily_mm();
    let dose = decide_water(&q).dose.unwrap();
    assert!(dose.first && (dose.mm - readily_mm / 3.0).abs() < 1e-9, "{dose:?}");
    let said = words(&q).say;
    assert!(said.contains("Dry at 5 cm? Then start with ") && said.ends_with("Feel again the day after."), "{said}");
    // What has surely gone is given at once where it is more than that.
    standing(&mut q, (0.5 * readily_mm, 36.0), 2.5, None);
    let dose = decide_water(&q).dose.unwrap();
    assert!(dose.first && (dose.mm - 0.5 * readily_mm).abs() < 1e-9, "{dose:?}");
    // A finger that has told makes the sum good for the whole of it.
    standing(&mut q, (readily_mm, readily_mm + 3.0), 2.5, Some((Feel::Dry, 0)));
    let (dose, said) = (decide_water(&q).dose.unwrap(), words(&q).say);
    assert!(!dose.first && dose.mm >= readily_mm && !said.contains("start with"), "{dose:?} {said}");
}

#[test]
fn no_bed_is_watered_in_the_heat_of_noon_from_may_to_september() {
    // The hour of grace after noon is for cool months; scenario 13 waters next morning.
    for (month, today) in [(3, true), (5, false), (7, false), (9, false), (10, true)] {
        let mut q = with(on(month, 10, 12, 15), 20.0, Some(60.0));
        standing(&mut q, (11.0, 12.0), 2.0, Some((Feel::Dry, 0)));
        assert_eq!(when(&q, decide_water(&q).when.unwrap().0).0 == 0, today, "{month}");
    }
}
