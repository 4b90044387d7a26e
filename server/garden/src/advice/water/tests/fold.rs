//! What is told of a bed, and what the sum makes of it.

use super::*;
use crate::record::{Event, EventKind, EventSource, Observation, Seen};

fn event(target: &str, what: &str, amount: Option<f64>, unit: &str) -> Event {
    Event {
        id: 1,
        t: at(2027, 1, 10, 10, 0),
        kind: EventKind::Water,
        target: target.into(),
        what: Some(what.into()),
        amount,
        unit: Some(unit.into()),
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    }
}

const TARGET: Target<'static> = Target { bed: "long-bed", structure: "tunnel", structure_area_m2: Some(19.2) };

#[track_caller]
fn reached(bed: &WaterBed, event: &Event) -> Option<Band> {
    match told_of(bed, TARGET, std::slice::from_ref(event), &[]).as_slice() {
        [Told { what: BedEvent::Watered(reached), .. }] => *reached,
        other => panic!("{other:?}"),
    }
}

#[test]
fn waterings_reach_the_roots_by_the_way_they_were_given() {
    // Climate sheet 4.5: drip 0.90, can 0.75, sprinkler 0.70; 96 L on 9.6 m² are 10 mm.
    let bed = lettuce();
    for (what, amount, unit, likely) in [
        ("root", 96.0, "L", 9.0),
        ("root", 48.0, "min", 9.0),
        ("root", 10.0, "can", 9.375 * 0.75),
        ("root", 10.0, "mm", 9.0),
        ("overhead", 96.0, "L", 7.0),
        ("overhead", 10.0, "mm", 7.0),
    ] {
        let got = reached(&bed, &event("long-bed", what, Some(amount), unit)).unwrap();
        near(got.likely, likely, 1e-9);
        assert!(got.low < got.likely && got.likely < got.high);
    }
    // By can, 0.60 to 0.90 of it; everything in the tunnel is watered over both beds.
    let can = reached(&by_can(), &event("tunnel", "root", Some(192.0), "L")).unwrap();
    assert_eq!((can.low, can.likely, can.high), (6.0, 7.5, 9.0));
}

#[test]
fn a_watering_nobody_measured_may_have_filled_the_bed_or_not() {
    let bed = lettuce();
    for unmeasured in [event("long-bed", "root", None, "L"), event("long-bed", "root", Some(2.0), "bucket")] {
        assert_eq!(reached(&bed, &unmeasured), None);
    }
    let no_size = WaterBed { area_m2: None, ..bed };
    assert_eq!(reached(&no_size, &event("long-bed", "root", Some(2.0), "can")), None);
    let mut fold = short_of(&bed, 10.0);
    fold.take(
        &bed,
        SITE,
        &wanting(&bed, 9, 0.0),
        &[Told { at: at(2027, 1, 10, 10, 0), what: BedEvent::Watered(None) }],
    );
    assert_eq!(fold.missing_mm, Band { low: 0.0, likely: 5.0, high: 10.0 });
}

#[test]
fn what_is_undone_or_told_of_another_bed_counts_for_nothing() {
    let bed = lettuce();
    let mut undone = event("long-bed", "root", Some(20.0), "L");
    undone.undone_at = Some(at(2027, 1, 10, 11, 0));
    let other = event("short-bed", "root", Some(20.0), "L");
    let vent = Event { kind: EventKind::Vent, ..event("long-bed", "half", None, "") };
    let finger = Observation {
        id: 1,
        t: at(2027, 1, 10, 9, 0),
        teller: String::new(),
        seen: Seen::Finger { bed: "long-bed".into(), feel: Feel::Dry },
        undone_at: Some(at(2027, 1, 10, 9, 1)),
    };
    assert_eq!(told_of(&bed, TARGET, &[undone, other, vent], std::slice::from_ref(&finger)), []);
    let kept = Observation { undone_at: None, ..finger };
    assert_eq!(told_of(&bed, TARGET, &[], &[kept]), [felt(at(2027, 1, 10, 9, 0), Feel::Dry)]);
}

#[test]
fn finger_overrules_the_sum_and_is_remembered() {
    // The brief of the advice page: dry at 5 cm is at least what the crop can take (10.8), moist at most that, wet nothing missing.
    let bed = lettuce();
    let day = wanting(&bed, 9, 0.0);
    for (feel, from, to) in [
        (Feel::Dry, 3.0, 10.8),
        (Feel::Dry, 20.0, 20.0),
        (Feel::Moist, 20.0, 10.8),
        (Feel::Moist, 3.0, 3.0),
        (Feel::Wet, 20.0, 0.0),
    ] {
        let mut fold = short_of(&bed, from);
        fold.take(&bed, SITE, &day, &[felt(at(2027, 1, 10, 10, 0), feel)]);
        near(fold.missing_mm.likely, to, 1e-9);
        assert_eq!(fold.finger, Some(Finger { at_ms: at(2027, 1, 10, 10, 0).0, feel }));
    }
}

#[test]
fn a_sum_that_begins_in_the_dark_knows_nothing_until_a_soaking_or_a_finger() {
    let bed = lettuce();
    let start = WaterFold::starting(&bed).unwrap();
    let standing = |told: &[Told]| start.standing(&bed, SITE, &unknown(9), told, at(2027, 1, 10, 12, 0)).unwrap();
    assert_eq!(standing(&[]).days_in_hand(), None);
    let soaked = standing(&[watered(at(2027, 1, 10, 11, 0), 40.0)]);
    assert!(soaked.days_in_hand().unwrap().0 > 5.0, "{soaked:?}");
    assert!(standing(&[felt(at(2027, 1, 10, 11, 0), Feel::Wet)]).days_in_hand().is_some());
    let dry = standing(&[felt(at(2027, 1, 10, 11, 0), Feel::Dry)]);
    assert!(dry.felt_dry() && dry.days_in_hand() == Some((0.0, 0.0)));
    // No soil: no sum at all.
    assert_eq!(WaterFold::starting(&WaterBed { soil: None, ..bed }), None);
}

#[test]
fn dry_finger_holds_until_it_is_watered_and_a_moist_one_until_some_is_used() {
    let bed = lettuce();
    let monday = at(2027, 1, 10, 9, 0);
    let mut fold = short_of(&bed, 5.0);
    fold.take(&bed, SITE, &wanting(&bed, 9, 0.3), &[felt(monday, Feel::Dry)]);
    let on = |fold: &WaterFold, days: i64, told: &[Told]| {
        fold.standing(&bed, SITE, &unknown(days), told, unknown(days).from.plus(10 * HOUR)).unwrap()
    };
    assert!(on(&fold, 10, &[]).felt_dry());
    assert!(!on(&fold, 10, &[watered(at(2027, 1, 11, 9, 0), 2.0)]).felt_dry());
    let mut fold = short_of(&bed, 20.0);
    for day in 9..12 {
        let told = felt(monday, Feel::Moist);
        fold.take(&bed, SITE, &wanting(&bed, day, 1.0), if day == 9 { std::slice::from_ref(&told) } else { &[] });
    }
    // A quarter of 10.8 mm at 1 mm a day: 2.7 days.
    assert!(on(&fold, 11, &[]).felt_moist(monday.plus(60 * HOUR)));
    assert!(!on(&fold, 12, &[]).felt_moist(monday.plus(66 * HOUR)));
}

#[test]
fn unknown_days_widen_until_nothing_is_known() {
    let bed = lettuce();
    let mut fold = short_of(&bed, 0.0);
    let mut spread = 0.0;
    for day in 0..40 {
        fold.take(&bed, SITE, &unknown(day), &[]);
        assert!(fold.missing_mm.spread() >= spread);
        spread = fold.missing_mm.spread();
    }
    assert_eq!((fold.missing_mm.low, fold.unknown_d), (0.0, 40));
    assert!(fold.missing_mm.likely > 4.0 && fold.missing_mm.likely < 25.0, "{:?}", fold.missing_mm);
    let standing = fold.standing(&bed, SITE, &unknown(40), &[], unknown(40).from).unwrap();
    assert_eq!(standing.days_in_hand(), None);
}

#[test]
fn state_kept_at_any_day_and_read_again_goes_on_to_the_same_digits() {
    let bed = by_can();
    let told = [felt(at(2027, 1, 4, 9, 0), Feel::Wet), watered(at(2027, 1, 17, 9, 0), 3.0)];
    let day = |k: i64| if k % 5 == 3 { unknown(k) } else { wanting(&bed, k, 0.37 + 0.01 * k as f64) };
    let run = |mut fold: WaterFold, from: i64| {
        for k in from..25 {
            fold.take(&bed, SITE, &day(k), &told);
        }
        fold
    };
    let whole = run(WaterFold::starting(&bed).unwrap(), 0);
    for cut in [1, 4, 16, 24] {
        let mut kept = WaterFold::starting(&bed).unwrap();
        for k in 0..cut {
            kept.take(&bed, SITE, &day(k), &told);
        }
        let text = serde_json::to_string(&kept).unwrap();
        assert_eq!(run(serde_json::from_str(&text).unwrap(), cut), whole);
    }
    assert!(serde_json::from_str::<Finger>(r#"{"at_ms":1,"feel":"soggy"}"#).is_err());
}

#[test]
fn doses_are_rounded_to_what_thirty_percent_deserves() {
    // By can 0.75: 5 mm on 9.6 m² are 64 L, 7.1 cans of nine; on 1.2 m² 8 L, 0.9 of a can.
    let cans = |mm, area_m2| dose(&WaterBed { area_m2: Some(area_m2), ..by_can() }, mm, false).unwrap().cans;
    assert_eq!((cans(5.0, 9.6), cans(5.0, 1.2), cans(5.0, 0.3)), (Some(7.0), Some(1.0), Some(0.5)));
    // 10.8 mm: 15.4 cans are told as fifteen; 30 mm are given as 20 at the most: 28 cans as thirty.
    assert_eq!((cans(10.8, 9.6), cans(30.0, 9.6)), (Some(15.0), Some(30.0)));
    // In winter down, never over what is missing, and by the square metre where it would be many: 6.75 L reach the roots of a can, 5 mm: 1.35 m².
    let winter = |mm, area_m2| dose(&WaterBed { area_m2, ..by_can() }, mm, true).unwrap();
    assert_eq!(winter(5.0, Some(2.4)).cans, Some(1.5));
    let whole_bed = winter(5.0, Some(9.6));
    assert_eq!((whole_bed.cans, whole_bed.litres, whole_bed.m2_a_can), (None, None, Some(1.0)));
    assert_eq!(winter(3.0, None).m2_a_can, Some(2.0));
    // No size: no cans. No flow: litres for the drip line. No want: no dose.
    let nothing = dose(&WaterBed { area_m2: None, ..by_can() }, 5.0, false).unwrap();
    assert_eq!((nothing.cans, nothing.litres, nothing.m2_a_can), (None, None, None));
    let line = dose(&WaterBed { drip_l_min: None, ..lettuce() }, 9.0, false).unwrap();
    assert_eq!((line.minutes, line.litres), (None, Some(96.0)));
    assert_eq!((dose(&by_can(), 0.0, false), dose(&by_can(), f64::NAN, false)), (None, None));
}

#[test]
fn what_reached_the_roots_at_the_most_counts_in_the_low_run_and_at_the_least_in_the_high_one() {
    let bed = lettuce();
    let mut fold = short_of(&bed, 10.0);
    let reached = BedEvent::Watered(Some(Band { low: 3.0, likely: 4.0, high: 5.0 }));
    fold.take(&bed, SITE, &wanting(&bed, 9, 0.0), &[Told { at: at(2027, 1, 10, 10, 0), what: reached }]);
    assert_eq!(fold.missing_mm, Band { low: 5.0, likely: 6.0, high: 7.0 });
}

#[test]
fn use_to_come_is_that_of_the_last_known_days_and_of_the_season_where_too_few_are() {
    let bed = lettuce();
    let mut fold = short_of(&bed, 0.0);
    let used =
        |fold: &WaterFold, day: i64| fold.standing(&bed, SITE, &unknown(day), &[], unknown(day).from).unwrap().use_mm_d;
    for (day, mm) in [(0, 9.0), (1, 1.0), (2, 2.0), (3, 3.0), (4, 4.0), (5, 5.0), (6, 6.0), (7, 7.0)] {
        fold.take(&bed, SITE, &wanting(&bed, day, 0.5 * mm), &[]);
    }
    // The mean of 0.5 to 3.5, the first day left behind; ±39 %.
    near(used(&fold, 8).likely, 2.0, 1e-9);
    near(used(&fold, 8).high, 2.0 * 1.3905, 1e-3);
    for day in 8..13 {
        fold.take(&bed, SITE, &unknown(day), &[]);
    }
    // Two known days are too few: an average day of the season, by half and double.
    let season = used(&fold, 13);
    near(season.likely, wanted_mm_of_season(&bed, SITE, unknown(13).day).likely, 1e-12);
    assert_eq!((season.low, season.high), (season.likely / 2.0, season.likely * 2.0));
}

#[test]
fn dry_finger_before_a_little_water_is_not_news_when_the_bed_is_dry_again() {
    let bed = lettuce();
    let mut fold = short_of(&bed, 5.0);
    let told = [felt(at(2027, 1, 10, 9, 0), Feel::Dry), watered(at(2027, 1, 10, 10, 0), 1.0)];
    for day in 9..15 {
        fold.take(&bed, SITE, &wanting(&bed, day, 1.0), if day == 9 { &told } else { &[] });
    }
    let standing = fold.standing(&bed, SITE, &unknown(15), &[], unknown(15).from).unwrap();
    assert!(standing.is_short() && !standing.felt_dry(), "{standing:?}");
}

#[test]
fn a_wide_sum_that_is_surely_partly_used_up_still_says_how_long_at_most() {
    // RAW 10.8: from a quarter of it, 2.7 mm, at the least the answer is "at most so many days"; below, a sum this wide says nothing.
    let bed = lettuce();
    let days = |low: f64| {
        let standing = Standing {
            holds: bed.holds().unwrap(),
            missing_mm: Band { low, likely: 9.0, high: 19.0 },
            use_mm_d: Band { low: 0.5, likely: 0.8, high: 1.1 },
            unknown_d: 0,
            finger: None,
            watered: None,
        };
        standing.days_in_hand()
    };
    assert_eq!(days(2.6), None);
    let (least, most) = days(5.8).unwrap();
    assert_eq!(least, 0.0);
    near(most, 10.0, 1e-9);
}
