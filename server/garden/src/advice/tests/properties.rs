//! What must hold whatever the figures.

use proptest::prelude::*;

use super::*;

fn crops() -> impl Strategy<Value = Crops> {
    prop_oneof![Just(Crops::Hardy), Just(Crops::Tender), Just(Crops::Both)]
}

prop_compose! {
    /// Any question about a tunnel at any minute of a year.
    pub(crate) fn any_question()(
        month in 1_u32..=12, day in 1_u32..=28, minute in 0_i64..1_440, crops in crops(),
        inside in proptest::option::of((-10.0..45.0, proptest::option::of(1.0..105.0))),
        outside in proptest::option::of((-10.0..35.0, proptest::option::of(1.0..105.0))),
        trends in (proptest::option::of(-6.0..6.0), proptest::option::of(-4.0..4.0)),
        frost in proptest::option::of((-8.0..6.0, any::<bool>())),
        gust in proptest::option::of(0.0..30.0), fog in proptest::option::of(any::<bool>()),
        surface in proptest::option::of(-2.0..25.0), wind in proptest::option::of(0.0..360.0), ages in (0_i64..100, 0_i64..100),
    ) -> VentQuestion {
        let mut q = on(month, day, "00:00").crops(crops);
        q.now = q.now.plus(minute * MINUTE);
        q.inside = inside.map(|(t_c, rh_pct)| Air { t_c, rh_pct, at: q.now.plus(-ages.0 * MINUTE) });
        q.outside = outside.map(|(t_c, rh_pct)| Air { t_c, rh_pct, at: q.now.plus(-ages.1 * MINUTE) });
        (q.trend_inside_c_h, q.trend_outside_c_h) = trends;
        q.frost_memory = frost.map(|(lowest_c, thawed)| FrostMemory { lowest_c, thawed });
        (q.gust_m_s, q.fog, q.surface_c, q.wind_from_deg) = (gust, fog, surface, wind);
        q
    }
}

fn opens(verdict: &Verdict) -> bool {
    verdict.moves.iter().any(|m| m.notch != Notch::Closed)
}

/// Whether it opens anything before frozen leaves should have gone soft.
fn opens_before_thaw(q: &VentQuestion, verdict: &Verdict) -> bool {
    // Two hours after sunrise at the earliest (climate sheet 5.3: wait until the leaf is above 2 °C), to the half hour.
    let soft = q.sunrise.unwrap().plus(105 * MINUTE);
    verdict.moves.iter().any(|m| m.notch != Notch::Closed && (m.from < soft || m.from <= q.now))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn prop_nothing_opens_below_minus_one_outside_but_for_heat(mut q in any_question(), t_out in -10.0..-1.0_f64) {
        q.outside = Some(Air { t_c: t_out, rh_pct: q.outside.and_then(|air| air.rh_pct), at: q.now });
        let got = decide(&q);
        let frozen = got.rule == Rule::Frozen && !opens_before_thaw(&q, &got);
        prop_assert!(!opens(&got) || got.rule == Rule::Heat || frozen, "{got:?}");
    }

    #[test]
    fn prop_a_gale_never_opens_and_frozen_leaves_are_never_aired(q in any_question()) {
        let got = decide(&q);
        if q.gust_m_s.is_some_and(|gust| gust > 15.0) {
            prop_assert!(got.rule == Rule::Gale && !opens(&got));
        } else if q.frost_memory.is_some_and(|m| m.lowest_c <= 0.0 && !m.thawed) && q.inside.is_some_and(|air| air.t_c <= 3.0 && q.now.since(air.at) <= 60 * MINUTE) {
            prop_assert!(got.rule == Rule::Frozen && !opens_before_thaw(&q, &got), "{got:?}");
        }
    }

    #[test]
    fn prop_heat_is_never_met_by_shutting(mut q in any_question(), t_in in 32.1..50.0_f64, rh in 5.0..100.0_f64) {
        q.inside = Some(Air { t_c: t_in, rh_pct: Some(rh), at: q.now });
        q.past_inside = vec![(q.now.plus(-10 * MINUTE), t_in), (q.now, t_in)];
        let got = decide(&q);
        prop_assert!(matches!(got.rule, Rule::Gale | Rule::Frozen) || (got.verdict == VentVerdict::Cool && opens(&got)), "{got:?}");
    }

    // By day. At night a lower dew point outside rightly shuts, as it lets the air fall to frost.
    #[test]
    fn prop_a_higher_dew_point_outside_never_turns_shut_into_dry(
        mut q in any_question(), minute in 600_i64..840, t_in in 0.0..28.0_f64, rh_in in 30.0..100.0_f64,
        t_out in -5.0..28.0_f64, rh_out in 20.0..99.0_f64, more in 0.0..60.0_f64, low_c in -5.0..18.0_f64,
    ) {
        // What is heard of the night says how long it may stand open, not the dew point.
        q.weather.tonight = Some(heard_of_tonight(&q, Some(low_c), None));
        q.now = q.now.plus((minute - q.clock.minute_of_day(q.now)) * MINUTE);
        let rank = |rh_out: f64| {
            let q = q.clone().inside(t_in, rh_in).outside(t_out, rh_out);
            let verdict = decide(&q);
            prop_assume!(verdict.rule != Rule::Night);
            Ok(match verdict.verdict { VentVerdict::Dry => 2, VentVerdict::Purge => 1, _ => 0 })
        };
        let (before, after) = (rank(rh_out)?, rank((rh_out + more).min(100.0))?);
        prop_assert!(after <= before, "{before} became {after}");
    }

    #[test]
    fn prop_every_verdict_is_whole(q in any_question()) {
        let got = decide(&q);
        let shuts = got.moves.iter().all(|m| m.notch == Notch::Closed);
        match got.verdict {
            VentVerdict::Shut => prop_assert!(shuts || (got.rule == Rule::Frozen && !opens_before_thaw(&q, &got))),
            VentVerdict::Unknown => prop_assert!(got.by_rule && q.inside.is_none_or(|air| q.now.since(air.at) > 60 * MINUTE)),
            _ => prop_assert!(!shuts && !got.moves.is_empty()),
        }
        for m in &got.moves {
            prop_assert!(m.from >= q.now, "{m:?}");
            prop_assert!(m.until.is_none_or(|until| until > m.from), "{m:?}");
        }
        prop_assert!(got.look_again.is_none_or(|at| at > q.now), "{got:?}");
        if let Some((low, high)) = got.expect.rh_pct {
            prop_assert!(0.0 <= low && low <= high && high <= 100.0);
        }
        prop_assert!(got.by_rule == (got.rule == Rule::SeasonAndHour));
        let dries = matches!(got.verdict, VentVerdict::Dry | VentVerdict::Purge);
        prop_assert!(!dries || got.figures.difference_kpa > got.figures.band_kpa);
    }

    #[test]
    fn prop_no_figure_however_mad_makes_it_fall_over(
        t: f64, rh: f64, trend: f64, gust: f64, wind: f64, error: f64, surface: f64, now in any::<i32>(), sun in any::<(i32, i32)>(),
    ) {
        let mut q = VentQuestion::new(Millis(i64::from(now) * 1_000), LocalClock::steady(3_600), tunnel(Crops::Both));
        q = q.inside(t, rh).outside(rh, t);
        (q.trend_inside_c_h, q.trend_outside_c_h, q.gust_m_s) = (Some(trend), Some(trend), Some(gust));
        (q.wind_from_deg, q.surface_c, q.rh_error_inside_pct) = (Some(wind), Some(surface), error);
        (q.sunrise, q.sunset) = (Some(Millis(i64::from(sun.0) * 1_000)), Some(Millis(i64::from(sun.1) * 1_000)));
        prop_assert!(decide_vent(&q).is_some());
    }
}
