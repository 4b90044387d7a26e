//! What must hold whatever comes in.

use proptest::prelude::*;

use super::*;
use crate::advice::FrostMemory;
use crate::model::Crops;
use crate::record::{Sky, Wet};

prop_compose! {
    /// A day as it can be under a tunnel in the months of a year: warmth and light that go with the season.
    fn known_day()(
        days in 0_i64..365, warmer in -4.0..4.0_f64, swing in 2.0..16.0_f64, rh in 0.45..1.0_f64, clear in 0.1..1.0_f64, measured in any::<bool>(),
    ) -> WaterDay {
        let day = unknown(days);
        let season = propstick_agronomy::sun::day_of_year(day.day).unwrap();
        let mean = propstick_agronomy::growth::season_mean_c(season).unwrap() + warmer;
        let saturated = propstick_agronomy::psychrometrics::saturation_vapour_pressure_kpa(mean).unwrap();
        let sun = propstick_agronomy::sun::clear_sky_day_mj_m2(day.day, 51.0, -3.0).unwrap() * 0.65 * clear;
        WaterDay {
            min_max_c: Some((mean - 0.5 * swing, mean + 0.5 * swing)),
            vapour_kpa: Some(rh * saturated),
            sun_mj_m2: measured.then_some(sun),
            ..day
        }
    }
}

fn feel() -> impl Strategy<Value = Feel> {
    prop_oneof![Just(Feel::Dry), Just(Feel::Moist), Just(Feel::Wet)]
}

/// The days one after another from 1 January 2027, each with the climate of the one given.
fn in_a_row(days: &[WaterDay]) -> Vec<WaterDay> {
    days.iter()
        .enumerate()
        .map(|(k, day)| WaterDay { from: unknown(k as i64).from, to: unknown(k as i64).to, ..*day })
        .collect()
}

fn run(bed: &WaterBed, mut fold: WaterFold, days: &[WaterDay], told: &[Told]) -> WaterFold {
    for day in days {
        fold.take(bed, SITE, day, told);
    }
    fold
}

fn in_order(band: Band) -> bool {
    0.0 <= band.low && band.low <= band.likely && band.likely <= band.high && band.high <= 36.0 + 1e-9
}

proptest! {
    #[test]
    fn prop_more_water_never_leaves_fewer_days_in_hand(
        days in proptest::collection::vec(known_day(), 1..12), start in 0.0..20.0_f64, litres in 0.0..15.0_f64, more in 0.0..10.0_f64,
    ) {
        let bed = lettuce();
        let days = in_a_row(&days);
        let with = |mm: f64| {
            let fold = run(&bed, short_of(&bed, start), &days, &[watered(at(2027, 1, 1, 10, 0), mm)]);
            let today = unknown(days.len() as i64);
            (fold.missing_mm, fold.standing(&bed, SITE, &today, &[], today.from).unwrap())
        };
        let ((less_missing, less), (more_missing, most)) = (with(litres), with(litres + more));
        prop_assert!(more_missing.low <= less_missing.low + 1e-9 && more_missing.likely <= less_missing.likely + 1e-9);
        prop_assert!(more_missing.high <= less_missing.high + 1e-9);
        if let (Some(a), Some(b)) = (less.days_in_hand(), most.days_in_hand()) {
            prop_assert!(b.0 >= a.0 - 1e-9 && b.1 >= a.1 - 1e-9, "{a:?} {b:?}");
        }
    }

    #[test]
    fn prop_days_that_become_unknown_only_widen(
        days in proptest::collection::vec(known_day(), 1..15), lost in proptest::collection::vec(any::<bool>(), 15), start in 0.0..20.0_f64,
        given in 0.0..12.0_f64,
    ) {
        let bed = lettuce();
        let days = in_a_row(&days);
        let holed: Vec<WaterDay> = days.iter().zip(&lost).map(|(day, lost)| {
            if *lost { WaterDay { min_max_c: None, vapour_kpa: None, sun_mj_m2: None, ..*day } } else { *day }
        }).collect();
        let told = [watered(at(2027, 1, 3, 10, 0), given)];
        let whole = run(&bed, short_of(&bed, start), &days, &told).missing_mm;
        let wide = run(&bed, short_of(&bed, start), &holed, &told).missing_mm;
        prop_assert!(in_order(whole) && in_order(wide), "{whole:?} {wide:?}");
        prop_assert!(wide.low <= whole.low + 1e-9 && wide.high >= whole.high - 1e-9, "{whole:?} {wide:?}");
    }

    #[test]
    fn prop_any_split_of_a_watering_equals_its_sum(
        day in known_day(), start in 0.0..30.0_f64, parts in proptest::collection::vec(0.0..5.0_f64, 1..6), minute in 0_i64..1_439,
    ) {
        let bed = lettuce();
        let day = in_a_row(&[day]);
        let when = at(2027, 1, 1, 0, minute);
        let split: Vec<Told> = parts.iter().map(|mm| watered(when, *mm)).collect();
        let one = run(&bed, short_of(&bed, start), &day, &[watered(when, parts.iter().sum())]).missing_mm;
        let many = run(&bed, short_of(&bed, start), &day, &split).missing_mm;
        for (a, b) in [(one.low, many.low), (one.likely, many.likely), (one.high, many.high)] {
            prop_assert!((a - b).abs() < 1e-9, "{one:?} {many:?}");
        }
    }

    #[test]
    fn prop_a_watering_taken_back_leaves_what_was_before(
        days in proptest::collection::vec(known_day(), 2..10), start in 0.0..30.0_f64, mm in 0.1..12.0_f64, feel in feel(),
    ) {
        use crate::record::{Event, EventKind, EventSource};
        let bed = lettuce();
        let days = in_a_row(&days);
        let mut event = Event {
            id: 7, t: at(2027, 1, 2, 9, 0), kind: EventKind::Water, target: "bed".into(), what: Some("root".into()), amount: Some(mm),
            unit: Some("mm".into()), source: EventSource::Tap, origin: 0, undone_at: None,
        };
        let target = Target { bed: "bed", structure: "tunnel", structure_area_m2: None };
        let finger = felt(at(2027, 1, 1, 9, 0), feel);
        let with = |event: &Event| {
            let mut told = vec![finger];
            told.extend(told_of(&bed, target, std::slice::from_ref(event), &[]));
            run(&bed, short_of(&bed, start), &days, &told)
        };
        let never = run(&bed, short_of(&bed, start), &days, &[finger]);
        prop_assert_ne!(with(&event), never);
        event.undone_at = Some(event.t.plus(HOUR));
        prop_assert_eq!(with(&event), never);
    }

    #[test]
    fn prop_no_nan_leaves_the_sum_whatever_comes_in(
        wild in proptest::collection::vec(proptest::num::f64::ANY, 14), day in 0_i64..60_000, sheltered in 0..3_u8,
    ) {
        let shelter = [Shelter::Film, Shelter::Fleece, Shelter::None][sheltered as usize];
        let bed = WaterBed {
            cover: Some(wild[0]), roots_m: Some(wild[1]), area_m2: Some(wild[2]), drip_l_min: Some(wild[3]), can_l: Some(wild[4]), transmission: wild[5],
            shelter, ..lettuce()
        };
        let climate = WaterDay {
            day, min_max_c: Some((wild[6], wild[7])), vapour_kpa: Some(wild[8]), sun_mj_m2: Some(wild[9]), rain_mm: Some(wild[10]),
            wind_m_s: Some(wild[11]), ..unknown(0)
        };
        let site = Site { lat_deg: wild[12], lon_deg: wild[13], altitude_m: wild[0] };
        if let Some(mut fold) = WaterFold::starting(&bed) {
            for _ in 0..3 {
                fold.take(&bed, site, &climate, &[]);
            }
            let standing = fold.standing(&bed, site, &climate, &[], at(2027, 1, 1, 12, 0)).unwrap();
            for band in [fold.missing_mm, standing.missing_mm, standing.use_mm_d] {
                prop_assert!([band.low, band.likely, band.high].iter().all(|v| v.is_finite()), "{band:?}");
            }
            prop_assert!(standing.days_in_hand().is_none_or(|(a, b)| a.is_finite() && b.is_finite() && a <= b));
            let all = dose(&bed, wild[8], false);
            let finite = |v: Option<f64>| v.is_none_or(f64::is_finite);
            prop_assert!(all.is_none_or(|d| finite(d.litres) && finite(d.cans) && finite(d.minutes) && finite(d.m2_a_can)), "{all:?}");
        }
    }
}

prop_compose! {
    fn any_question()(
        month in 1_u32..=12, day in 1_u32..=28, minute in 0_i64..1_440, missing in (0.0..20.0_f64, 0.0..20.0_f64), used in 0.1..5.0_f64,
        inside in proptest::option::of((-8.0..42.0_f64, proptest::option::of(20.0..100.0_f64))),
        finger in proptest::option::of((feel(), 0_i64..40)), watered_d in proptest::option::of(0_i64..40),
        flags in (any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>()),
        gust in proptest::option::of(0.0..25.0_f64), low in proptest::option::of(-8.0..12.0_f64),
        sky in proptest::option::of(prop_oneof![Just(Sky::Clear), Just(Sky::Overcast)]),
        there in proptest::option::of(proptest::collection::vec((0_i64..48, 1_i64..6), 0..4)), frozen in proptest::option::of((-6.0..3.0_f64, any::<bool>())),
    ) -> WaterQuestion {
        let year = if month >= 10 { 2026 } else { 2027 };
        let now = at(year, month, day, 0, minute);
        let bed = by_can();
        let ago = |days: i64| now.plus(-days * 24 * HOUR - HOUR);
        let mut q = WaterQuestion::new(now, LocalClock::default(), if flags.0 && flags.1 { Plot::Trays } else { Plot::Bed }, bed);
        let (low_mm, high_mm) = (missing.0.min(missing.1), missing.0.max(missing.1));
        q.standing = (!flags.2 || q.plot == Plot::Bed).then(|| Standing {
            holds: bed.holds().unwrap(),
            missing_mm: Band { low: low_mm, likely: 0.5 * (low_mm + high_mm), high: high_mm },
            use_mm_d: Band::about(used, 0.39),
            unknown_d: 0,
            finger: finger.map(|(feel, days)| Finger { at_ms: ago(days).0, feel }),
            watered: watered_d.map(ago),
        });
        q.sunrise = Some(at(year, month, day, 7, 0));
        q.inside = inside.map(|(t_c, rh_pct)| Air { t_c, rh_pct, at: now });
        q.crops = if flags.0 { Crops::Tender } else { Crops::Hardy };
        (q.is_shut, q.wilted) = (flags.1, flags.3);
        (q.gust_m_s, q.lowest_heard_c, q.sky) = (gust, low, sky);
        q.frost_memory = frozen.map(|(lowest_c, thawed)| FrostMemory { lowest_c, thawed });
        q.wet = flags.2.then_some(Wet::Rain);
        q.there = there.map(|all| all.into_iter().map(|(from, hours)| (now.plus(from * HOUR), now.plus((from + hours) * HOUR))).collect());
        q
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn prop_winter_waters_nothing_that_no_finger_found_dry(q in any_question()) {
        let got = decide_water(&q);
        let month = q.clock.month(q.now);
        if matches!(month, 11 | 12 | 1 | 2) && got.verdict == WaterVerdict::Water {
            prop_assert!(got.rule == WaterRule::FeltDry && got.finger.unwrap().feel == Feel::Dry);
            // Never more than is missing, at the least.
            prop_assert!(got.dose.unwrap().mm <= got.missing_mm.unwrap().low + 1e-9);
        }
    }

    #[test]
    fn prop_nobody_waters_in_the_evening_of_the_cold_half_or_when_nobody_is_there(q in any_question()) {
        let got = decide_water(&q);
        let Some((from, until)) = got.when else { return Ok(()) };
        prop_assert!(q.now <= from && from < until && until.since(q.now) <= 48 * HOUR);
        if let Some(there) = &q.there {
            prop_assert!(there.iter().any(|(a, b)| *a <= from && until <= *b));
        }
        prop_assert!(got.look_again > q.now);
        let at_once = got.rule == WaterRule::HotShut;
        if matches!(q.clock.month(q.now), 10..=12 | 1..=3) && !at_once {
            prop_assert!(q.clock.minute_of_day(from) < 13 * 60 && q.clock.minute_of_day(until) <= 13 * 60);
        }
    }

    #[test]
    fn prop_frozen_leaves_gales_and_wet_soil_get_no_water(q in any_question()) {
        let got = decide_water(&q);
        let gale = q.gust_m_s.is_some_and(|gust| gust > 15.0);
        let frozen = q.inside.is_some_and(|air| air.t_c <= 0.0);
        let wilted_wet = q.wilted && q.plot == Plot::Bed && q.standing.is_some_and(|s| s.felt_moist(q.now));
        if gale || frozen || wilted_wet {
            prop_assert!(got.verdict == WaterVerdict::Leave && got.dose.is_none() && got.when.is_none(), "{got:?}");
        }
        if q.plot == Plot::Trays {
            prop_assert!(got.dose.is_none() && got.days.is_none() && got.missing.is_empty());
        }
        prop_assert!(got.days.is_none_or(|(least, most)| least <= most && most <= 28));
    }

    #[test]
    fn prop_words_end_their_sentences_and_show_no_figure_that_cannot_be(q in any_question()) {
        let got = decide_water(&q);
        let words = crate::wording::water_words(&got, "Bed 2", q.clock, q.now);
        let all: Vec<&String> = [&words.say, &words.because].into_iter().chain(words.doubt.iter()).chain(&words.cautions).collect();
        for text in all {
            prop_assert!(text.is_empty() || text.ends_with('.') , "{text}");
            prop_assert!(!text.contains("NaN") && !text.contains("inf") && !text.contains("  ") && !text.contains('%') || text.contains("90 %"), "{text}");
        }
        prop_assert!(!words.say.is_empty());
        if q.plot == Plot::Trays {
            prop_assert!(!words.say.contains("litre") && !words.say.contains(" can"), "{}", words.say);
        }
    }
}
