//! What must hold of every outlook, whatever was read, seen and heard.

use proptest::prelude::*;

use super::*;

/// Twelve clear nights of a gauge that hardly cools after dusk.
fn sheltered() -> NightLow {
    let night = |k: i32| Night { dusk_c: f64::from(k), dusk_dew_c: None, low_c: f64::from(k) - 0.3 };
    NightLow::learn(&(-2..10).map(night).collect::<Vec<_>>()).unwrap()
}

prop_compose! {
    /// A question with about everything in it.
    fn any_question()(
        h in -3.0..10.5_f64,
        warm in -2.0..30.0_f64,
        fall in 0.0..15.0_f64,
        rh in 15.0..100.0_f64,
        sky in proptest::option::of(proptest::sample::select(Sky::ALL.to_vec())),
        wind in proptest::sample::select(Wind::ALL.to_vec()),
        low in proptest::option::of(-8.0..12.0_f64),
        learned in proptest::option::of(proptest::sample::select(vec![hollow(), contrary(), sheltered()])),
        under in proptest::option::of(proptest::sample::select(vec![NightCover::Tunnel, NightCover::Fleece30])),
    ) -> FrostQuestion {
        let mut q = question(h, evening(&[(-6.5, warm), (-3.2, warm), (h, warm - fall)], Some(rh)));
        q.look = sky.and_then(|sky| looked(h - 0.5, sky, wind));
        q.forecast = low.and_then(heard);
        q.learned = learned;
        q.place.gauge_under = under;
        q.place.crop_under = under;
        q
    }
}

fn with_humidity(q: &FrostQuestion, rh_pct: Option<f64>) -> FrostQuestion {
    let readings = q.readings.iter().map(|r| FrostReading { rh_pct, ..*r }).collect();
    FrostQuestion { readings, ..q.clone() }
}

/// Both ends are no higher, but for what sums of doubles leave.
fn no_warmer(a: &FrostOutlook, b: &FrostOutlook) -> bool {
    a.leaf_c.0 <= b.leaf_c.0 + 1e-9
        && a.leaf_c.1 <= b.leaf_c.1 + 1e-9
        && a.low_c.0 <= b.low_c.0
        && a.low_c.1 <= b.low_c.1
}

proptest! {
    #[test]
    fn prop_lower_dew_point_never_gives_a_higher_low(q in any_question(), a in 12.0..100.0_f64, b in 12.0..100.0_f64) {
        let (dry, moist) = (with_humidity(&q, Some(a.min(b))), with_humidity(&q, Some(a.max(b))));
        prop_assert!(no_warmer(&outlook(&dry), &outlook(&moist)));
    }

    #[test]
    fn prop_clearer_or_stiller_sky_is_never_warmer(q in any_question()) {
        let seen = |sky, wind| outlook(&FrostQuestion { look: looked(0.0, sky, wind), now: q.now.min(after(2.5)), ..q.clone() });
        for wind in Wind::ALL {
            prop_assert!(no_warmer(&seen(Sky::Clear, wind), &seen(Sky::Broken, wind)));
            prop_assert!(no_warmer(&seen(Sky::Broken, wind), &seen(Sky::Overcast, wind)));
        }
        for sky in Sky::ALL {
            for pair in Wind::ALL.windows(2) {
                prop_assert!(no_warmer(&seen(sky, pair[0]), &seen(sky, pair[1])));
            }
        }
    }

    #[test]
    fn prop_cover_never_lowers(q in any_question(), wet in proptest::bool::ANY) {
        for gauge_under in [None, Some(NightCover::Tunnel)] {
            let under = |crop_under| {
                let place = FrostPlace { gauge_under, crop_under, fleece_wet: wet, ..FrostPlace::default() };
                outlook(&FrostQuestion { place, ..q.clone() })
            };
            let bare = under(gauge_under);
            for cover in [NightCover::Fleece17, NightCover::Fleece30, NightCover::FleeceDouble, NightCover::Tunnel, NightCover::TunnelAndFleece] {
                prop_assert!(no_warmer(&bare, &under(Some(cover))), "{cover:?}");
            }
        }
    }

    #[test]
    fn prop_unknown_dew_point_holds_every_known_one(q in any_question(), rh in 12.0..100.0_f64) {
        let q = FrostQuestion { learned: None, ..q };
        let (known, unknown) = (outlook(&with_humidity(&q, Some(rh))), outlook(&with_humidity(&q, None)));
        prop_assert!(unknown.leaf_c.0 <= known.leaf_c.0 + 1e-9 && unknown.leaf_c.1 >= known.leaf_c.1 - 1e-9);
    }

    #[test]
    fn prop_unknown_sky_is_never_narrower_than_a_seen_one(q in any_question(), sky in proptest::sample::select(Sky::ALL.to_vec())) {
        let before_sunset = |look| {
            let readings = q.readings.iter().filter(|r| r.at < NIGHT.sunset).copied().collect();
            outlook(&FrostQuestion { look, readings, forecast: None, learned: None, now: q.now.min(after(-0.1)), ..q.clone() })
        };
        let width = |o: &FrostOutlook| o.leaf_c.1 - o.leaf_c.0;
        for wind in Wind::ALL {
            prop_assert!(width(&before_sunset(None)) >= width(&before_sunset(looked(-3.0, sky, wind))) - 1e-9);
        }
    }

    #[test]
    fn prop_ends_are_ordered_finite_and_within_reason(q in any_question()) {
        let o = outlook(&q);
        let all = [o.leaf_c.0, o.leaf_c.1, o.gauge_c.0, o.gauge_c.1, o.likely_c];
        prop_assert!(all.iter().all(|t| t.is_finite() && (-60.0..=60.0).contains(t)));
        prop_assert!(o.low_c.0 <= o.low_c.1 && o.gauge_c.0 <= o.likely_c && o.likely_c <= o.gauge_c.1);
    }

    #[test]
    fn prop_no_reading_whatever_makes_a_number_that_is_none(
        t in proptest::collection::vec(proptest::num::f64::ANY, 0..40), rh in proptest::num::f64::ANY, low in proptest::num::f64::ANY,
        wind in proptest::num::f64::ANY, week in proptest::num::f64::ANY,
    ) {
        let readings = t.iter().zip(0..).map(|(t_c, k)| FrostReading::plain(after(f64::from(k) / 6.0 - 4.0), *t_c, Some(rh))).collect();
        let mut q = question(2.5, readings);
        q.forecast = heard(low);
        q.wind_m_s = Some(wind);
        q.place.week_mean_c = Some(week);
        q.place.crops = vec![crop("peas", Hardiness::Spring, false)];
        if let Some(o) = frost(&q).outlook() {
            prop_assert!([o.leaf_c.0, o.leaf_c.1, o.gauge_c.0, o.gauge_c.1, o.likely_c, o.limit_c].iter().all(|t| t.is_finite()));
        }
    }

    #[test]
    fn prop_order_of_readings_does_not_matter(q in any_question(), seed in 0..1_000_usize) {
        let mut turned = q.clone();
        let n = turned.readings.len();
        turned.readings.rotate_left(seed % n);
        prop_assert_eq!(frost(&q), frost(&turned));
    }

    #[test]
    fn prop_heard_low_never_lifts_the_lower_end_over_a_cooling_gauge(q in any_question(), low in -8.0..15.0_f64) {
        // A forecast stands in for sensors that are lacking; the thermometer that is there and falls is believed first.
        prop_assume!(q.now >= after(-1.0));
        let told = |forecast| outlook(&FrostQuestion { forecast, ..q.clone() });
        let (with, without) = (told(heard(low)), told(None));
        if with.figures.cooling_c_h.is_none_or(|pace| pace > 0.0) {
            prop_assert!(with.leaf_c.0 <= without.leaf_c.0 + 1e-9, "{:?} {:?}", with.leaf_c, without.leaf_c);
            prop_assert!(!without.is_warning() || with.is_warning());
        }
    }
}
