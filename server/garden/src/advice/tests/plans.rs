//! Plans, presence and covers: what must hold whatever the figures; and single rules at their edges.

use propstick_agronomy::frost::NightCover;
use propstick_agronomy::growth::Speed;
use propstick_agronomy::runs::Runs;
use propstick_wire::millis::HOUR;
use proptest::prelude::*;

use super::properties::any_question;
use super::*;
use crate::record::{Forecast, ForecastFor, Sky, Wet, Wind, WindowLook};
use crate::wording::{cover_words, vent_words};

prop_compose! {
    /// Any question with a day before it, people that come and go, and a look out of the window.
    fn any_day()(
        mut q in any_question(), there in proptest::collection::vec((0_i64..48, 0_i64..14), 0..4), told in any::<bool>(),
        sky in prop_oneof![Just(Sky::Clear), Just(Sky::Broken), Just(Sky::Overcast)],
        wet in prop_oneof![Just(Wet::Dry), Just(Wet::Rain), Just(Wet::Fog)],
        wind in prop_oneof![Just(Wind::Calm), Just(Wind::Light), Just(Wind::Fresh), Just(Wind::Gale)],
        looked in any::<bool>(), low in proptest::option::of(-8.0..16.0_f64), mean in -5.0..20.0_f64, swing in 0.0..10.0_f64,
        rise in 0.0..12.0_f64, lid in any::<bool>(), damp in 0_u32..9, known in any::<bool>(),
    ) -> VentQuestion {
        for half in 0..52_i64 {
            let t = q.now.plus(-26 * HOUR + half * HOUR / 2);
            let c = mean + swing * ((q.clock.minute_of_day(t) - 900) as f64 / 1_440.0 * std::f64::consts::TAU).cos();
            if known {
                q.past_outside.push((t, c));
                q.past_inside.push((t, c + rise));
            }
        }
        q.place = Some(LAT_LON);
        if told {
            let stretch = |(from, long): (i64, i64)| (q.now.plus((from - 12) * HOUR), q.now.plus((from - 12 + long) * HOUR));
            q.presence = Some(Presence(there.into_iter().map(stretch).collect()));
        }
        if looked {
            q.weather.look = Some(WindowLook { at: q.now, sky, wind, wet, wind_from_deg: None });
        }
        q.weather.tonight = low.map(|low_c| Forecast {
            at: q.now, of: ForecastFor::Tonight, low_c: Some(low_c), high_c: None, wind: None, gust_m_s: None, sky: None, wet: None,
        });
        if lid {
            q.structure = frame(q.structure.crops, &[(Notch::Closed, "on"), (Notch::Half, "on the brick"), (Notch::Full, "off")]);
        }
        q.damp.damp_days = Some(Runs::all(damp));
        q.picking = true;
        q
    }
}

fn gale_tonight(q: &VentQuestion) -> Forecast {
    Forecast {
        at: q.now,
        of: ForecastFor::Tonight,
        low_c: None,
        high_c: None,
        wind: Some(Wind::Gale),
        gust_m_s: None,
        sky: None,
        wet: None,
    }
}

fn covers() -> Vec<CoverAt> {
    let one = |slug: &str, lies, trays| CoverAt {
        slug: slug.into(),
        name: format!("fleece over {slug}"),
        kind: NightCover::Fleece17,
        lies,
        trays,
    };
    vec![one("beds", Some(CoverState::On), false), one("trays", Some(CoverState::Off), true), one("ends", None, false)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn prop_no_move_falls_where_nobody_is_there(q in any_day()) {
        let got = decide(&q);
        let cover = decide_cover(&CoverQuestion { of: q.clone(), covers: covers() }).unwrap();
        if let Some(there) = &q.presence {
            for m in &got.moves {
                prop_assert!(there.holds(m.from), "{m:?} of {got:?}");
                // The end of a move is a move, unless another of the same plan begins there.
                let goes_on = |t: Millis| got.moves.iter().any(|other| other.from == t) || got.verdict == VentVerdict::Purge;
                prop_assert!(m.until.is_none_or(|t| there.holds(t) || goes_on(t)), "{m:?} of {got:?}");
            }
            for m in &cover.moves {
                prop_assert!(there.holds(m.from), "{m:?} of {cover:?}");
                prop_assert!(m.until.is_none_or(|t| there.holds(t)), "{m:?} of {cover:?}");
            }
            if let Some(further) = &got.day.further {
                prop_assert!(further.moves.iter().all(|m| there.holds(m.from)), "{further:?}");
            }
        }
    }

    #[test]
    fn prop_every_move_is_a_position_that_its_opening_has(q in any_day()) {
        for m in decide(&q).moves {
            let mut vents = q.structure.vents.iter().filter(|v| m.vent.as_ref().is_none_or(|slug| *slug == v.slug));
            prop_assert!(vents.any(|v| v.positions.iter().any(|p| p.notch == m.notch)), "{m:?}");
            prop_assert!(m.from >= q.now && m.until.is_none_or(|until| until > m.from), "{m:?}");
        }
    }

    #[test]
    fn prop_a_gale_that_blows_sends_nobody_out(mut q in any_day(), heard in any::<bool>()) {
        q.gust_m_s = None;
        if heard {
            q.weather.tonight = Some(gale_tonight(&q));
        }
        q.weather.look =
            Some(WindowLook { at: q.now, sky: Sky::Broken, wind: Wind::Gale, wet: Wet::Dry, wind_from_deg: None });
        let got = decide(&q);
        prop_assert_eq!((got.verdict, got.rule, got.moves.len()), (VentVerdict::Shut, Rule::Gale, 0));
        let cover = decide_cover(&CoverQuestion { of: q.clone(), covers: covers() }).unwrap();
        prop_assert_eq!((cover.rule, cover.moves.len()), (CoverRule::Gale, 0));
    }

    #[test]
    fn prop_a_gale_heard_for_the_night_finds_everything_shut_in_daylight(mut q in any_day()) {
        q.gust_m_s = None;
        q.weather.look = q.weather.look.map(|look| WindowLook { wind: Wind::Light, ..look });
        q.weather.tonight = Some(gale_tonight(&q));
        let got = decide(&q);
        let set = q.sunset.unwrap();
        if let Some(by) = got.day.fasten_by {
            prop_assert!(by > q.now && by < set && q.presence.as_ref().is_none_or(|there| there.holds(by)), "{got:?}");
            let shut_by = |m: &Move| m.from <= by && (m.notch == Notch::Closed || m.until.is_some_and(|until| until <= by));
            prop_assert!(got.moves.iter().all(shut_by), "{got:?}");
        } else {
            prop_assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Gale));
            prop_assert!(got.moves.iter().all(|m| m.notch == Notch::Closed && m.from < set));
        }
        let words = vent_words(&got, &q.structure, q.clock, q.now);
        prop_assert!(words.cautions.iter().any(|c| c.starts_with("Nobody goes out")), "{words:?}");
    }

    // Words of a level are about leaves; how damp it has been opens nothing.
    #[test]
    fn prop_how_damp_it_has_been_never_moves_an_opening(q in any_day(), days in 0_u32..40, wet_h in 0.0..24.0_f64) {
        let mut damper = q.clone();
        damper.damp.damp_days = Some(Runs::all(days));
        damper.damp.wet_h_last_night = Some(Runs::all(wet_h));
        damper.damp.wet_now = Some(wet_h > 3.0);
        prop_assert_eq!(decide(&damper).moves, decide(&q).moves);
    }

    // One point more outside never opens more for the sake of drying. By day: at night a lower dew point means frost.
    #[test]
    fn prop_a_point_more_outside_never_opens_more_to_dry(mut q in any_day(), minute in 600_i64..840, rh in 20.0..98.0_f64) {
        q.now = q.now.plus((minute - q.clock.minute_of_day(q.now)) * MINUTE);
        q.presence = None;
        // What is heard of the night says how long it may stand open, not the dew point.
        q.weather.tonight = q.weather.tonight.or(Some(heard_of_tonight(&q, Some(13.0), None)));
        let rank = |q: &VentQuestion| {
            let got = decide(q);
            let dries = matches!(got.verdict, VentVerdict::Dry | VentVerdict::Purge);
            if dries { got.moves.iter().map(|m| m.notch as u32).sum::<u32>() } else { 0 }
        };
        q.outside = Some(Air { t_c: q.outside.map_or(8.0, |air| air.t_c), rh_pct: Some(rh), at: q.now });
        let mut damper = q.clone();
        damper.outside = Some(Air { rh_pct: Some(rh + 1.0), ..q.outside.unwrap() });
        // The night's own rule is about frost, not drying.
        prop_assume!(decide(&q).rule != Rule::Night && decide(&damper).rule != Rule::Night);
        prop_assert!(rank(&damper) <= rank(&q), "{} became {}", rank(&q), rank(&damper));
    }

    #[test]
    fn prop_everything_said_is_whole_sentences_without_numbers_that_are_none(q in any_day()) {
        let words = vent_words(&decide(&q), &q.structure, q.clock, q.now);
        let question = CoverQuestion { of: q, covers: covers() };
        let cover = cover_words(&decide_cover(&question).unwrap(), &question);
        let mut all = vec![words.say, words.because, cover.say, cover.because];
        all.extend(words.cautions.into_iter().chain(words.also).chain(words.further).chain(cover.cautions));
        for one in all {
            prop_assert!(one.ends_with('.'), "{one:?}");
            for flaw in ["  ", "..", " .", ",,", "NaN", "inf ", "-", " ,", ": .", "  "] {
                prop_assert!(!one.contains(flaw) || one.contains("by-"), "{flaw:?} in {one}");
            }
        }
    }

    #[test]
    fn prop_outlook_holds_no_figure_that_is_none_and_keeps_its_order(
        q in any_day(), mad in proptest::option::of(any::<f64>()), at in 0_usize..52,
    ) {
        let mut q = q;
        if let (Some(mad), Some(one)) = (mad, q.past_outside.get_mut(at)) {
            one.1 = mad;
        }
        let outlook = Outlook::of(&q, q.now.plus(20 * HOUR));
        for hour in outlook.outside.iter().chain(&outlook.shut) {
            prop_assert!(hour.runs().iter().all(|c| c.is_finite()), "{hour:?}");
            prop_assert!(hour.low <= hour.value && hour.value <= hour.high, "{hour:?}");
        }
    }
}

fn sunny_yesterday(q: &mut VentQuestion) {
    for half in 0..52_i64 {
        let t = q.now.plus(-26 * HOUR + half * HOUR / 2);
        let c = 6.0 + 5.0 * ((q.clock.minute_of_day(t) - 900) as f64 / 1_440.0 * std::f64::consts::TAU).cos();
        q.past_outside.push((t, c));
    }
    q.place = Some(LAT_LON);
}

#[test]
fn outlook_is_yesterday_plus_a_difference_that_is_gone_after_six_hours() {
    let mut q = on(3, 15, "09:00").inside(8.0, 80.0).outside(9.0, 80.0);
    sunny_yesterday(&mut q);
    let outlook = Outlook::of(&q, q.now.plus(10 * HOUR));
    let of_yesterday = |t: Millis| q.past_outside.iter().find(|(at, _)| *at == t.plus(-24 * HOUR)).unwrap().1;
    let ahead = 9.0 - of_yesterday(q.now);
    for hours in [2, 3, 6, 8] {
        let t = q.now.plus(hours * HOUR);
        let want = of_yesterday(t) + ahead * (1.0 - hours as f64 / 6.0).max(0.0);
        let got = outlook.outside_at(t).unwrap();
        assert!((got.value - want).abs() < 1e-9, "{hours} h: {got:?} {want}");
        assert!(got.high - got.low > 1.0);
    }
    let doubt = |hours| outlook.outside_at(q.now.plus(hours * HOUR)).map(|hour| hour.high - hour.low).unwrap();
    assert!(doubt(8) > doubt(2));
}

#[test]
fn outlook_is_unknown_where_yesterday_is_and_no_gap_is_bridged() {
    let mut q = on(3, 15, "09:00").inside(8.0, 80.0).outside(9.0, 80.0);
    sunny_yesterday(&mut q);
    let gap = |t: Millis| (3 * HOUR..6 * HOUR).contains(&t.plus(24 * HOUR).since(q.now));
    let mut holed = q.clone();
    holed.past_outside.retain(|(t, _)| !gap(*t));
    let outlook = Outlook::of(&holed, q.now.plus(10 * HOUR));
    assert_eq!(outlook.outside_at(q.now.plus(4 * HOUR + HOUR / 2)), None);
    assert!(outlook.outside_at(q.now.plus(8 * HOUR)).is_some());
    holed.past_outside.clear();
    assert_eq!(Outlook::of(&holed, q.now.plus(10 * HOUR)), Outlook::default());
}

#[test]
fn a_sky_that_was_seen_narrows_the_doubt_and_a_high_that_was_heard_bounds_it() {
    let mut q = on(3, 15, "09:00").inside(8.0, 80.0).outside(9.0, 80.0);
    sunny_yesterday(&mut q);
    let at_two = |q: &VentQuestion| Outlook::of(q, q.now.plus(8 * HOUR)).outside_at(q.now.plus(5 * HOUR)).unwrap();
    let plain = at_two(&q);
    let look = |sky| Some(WindowLook { at: q.now, sky, wind: Wind::Calm, wet: Wet::Dry, wind_from_deg: None });
    let mut seen = q.clone();
    seen.weather.look = look(Sky::Overcast);
    assert!(at_two(&seen).high < plain.high && at_two(&seen).low == plain.low);
    seen.weather.look = look(Sky::Clear);
    assert!(at_two(&seen).low > plain.low && at_two(&seen).high == plain.high);
    let mut heard = q.clone();
    heard.weather.today = Some(Forecast {
        at: q.now,
        of: ForecastFor::Today,
        low_c: None,
        high_c: Some(7.0),
        wind: None,
        gust_m_s: None,
        sky: None,
        wet: None,
    });
    let bounded = at_two(&heard);
    assert!(bounded.value <= 7.0 && bounded.high <= 9.0 && bounded.low <= bounded.value);
}

#[test]
fn clear_sky_rise_is_that_of_climate_6_1() {
    // Climate sheet 6.1 [arithmetic], U w_c 11.16, closed q 0.0008: I 250, tau 0.65, E 0.3 gives 9.38 K; here with E 0.25 and the sun's own light.
    let noon = Millis(1_805_112_000_000);
    let light = propstick_agronomy::sun::clear_sky_w_m2(
        propstick_agronomy::sun::apparent_elevation_deg(noon.0 as f64 / 1_000.0, 51.0, -3.0).unwrap(),
    )
    .unwrap();
    let got = crate::advice::outlook::clear_sky_rise_c(noon, 51.0, -3.0, Some(0.65)).unwrap();
    assert!((got - 9.38 * (0.75 / 0.7) * light / 250.0).abs() < 0.01 * got, "{got}");
}

#[test]
fn whoever_stays_may_set_it_twice_and_whoever_leaves_sets_it_once() {
    let mut q = on(3, 15, "08:30").inside(6.0, 90.0).outside(2.0, 85.0);
    sunny_yesterday(&mut q);
    q.weather.look =
        Some(WindowLook { at: q.now, sky: Sky::Clear, wind: Wind::Calm, wet: Wet::Dry, wind_from_deg: None });
    let home = decide(&q);
    assert!(home.day.peak.is_some_and(|peak| peak.value > 28.0), "{home:?}");
    let mut out = q.clone();
    out.presence =
        Some(Presence(vec![(q.now.plus(-HOUR), q.now.plus(HOUR)), (q.now.plus(9 * HOUR), q.now.plus(20 * HOUR))]));
    let left = decide(&out);
    let starts: std::collections::BTreeSet<_> = left.moves.iter().map(|m| m.from).collect();
    assert_eq!(starts.len(), 1, "{left:?}");
    assert!(left.moves.iter().all(|m| m.notch != Notch::Closed && m.from < q.now.plus(HOUR)));
}

#[test]
fn away_with_nothing_that_cannot_wait_is_nothing_to_do() {
    let mut q = on(1, 15, "09:30").inside(6.0, 97.0).outside(6.5, 98.0);
    q.presence = Some(Presence(vec![(q.now.plus(9 * HOUR), q.now.plus(20 * HOUR))]));
    let got = decide(&q);
    assert_eq!((got.verdict, got.moves.len()), (VentVerdict::Shut, 0));
    let words = vent_words(&got, &q.structure, q.clock, q.now);
    assert_eq!(words.say, "Nothing to do here: nobody is there until 18:30.");
}

#[test]
fn rain_leaves_a_lid_on_a_crack_at_most_and_says_that_it_wets() {
    let ask = |wet, all: &[(Notch, &str)]| {
        let mut q = on(5, 10, "12:00").inside(16.0, 95.0).outside(13.0, 80.0);
        q.structure = frame(Crops::Hardy, all);
        q.weather.look =
            Some(WindowLook { at: q.now, sky: Sky::Overcast, wind: Wind::Light, wet, wind_from_deg: None });
        let got = decide(&q);
        (got.moves.first().map(|m| m.notch), got.cautions.contains(&Caution::RainReaches))
    };
    let propped = [(Notch::Closed, "on"), (Notch::Crack, "on the stick"), (Notch::Full, "off")];
    assert_eq!(ask(Wet::Dry, &propped), (Some(Notch::Full), false));
    assert_eq!(ask(Wet::Rain, &propped), (Some(Notch::Crack), true));
    assert_eq!(ask(Wet::Rain, &[(Notch::Closed, "on"), (Notch::Full, "off")]), (None, true));
}

#[test]
fn picking_hours_follow_the_opening_and_keep_to_who_is_there() {
    let mut q = on(2, 10, "09:00").inside(7.5, 96.0).outside(7.0, 80.0);
    q.picking = true;
    q.damp.wet_now = Some(true);
    assert_eq!(
        decide(&q).also,
        [Also::Pick { from: q.now.plus(3 * HOUR / 2), until: q.now.plus(13 * HOUR / 2), wet: true }]
    );
    let words = |q: &VentQuestion| vent_words(&decide(q), &q.structure, q.clock, q.now).also;
    assert_eq!(words(&q), ["The leaves are wet now: pick once they are dry, likely from 10:30, until 15:30."]);
    // What the season has not worked out yet, 90 % and more of the air tells.
    q.damp.wet_now = None;
    assert_eq!(words(&q), ["The leaves are wet now: pick once they are dry, likely from 10:30, until 15:30."]);
    let drier = q.clone().inside(7.5, 89.0);
    assert_eq!(words(&drier), ["Pick between 10:30 and 15:30, when the leaves should be dry."]);
    let wet = decide(&q);
    q.damp.wet_now = Some(false);
    assert_eq!(words(&q), ["Pick until 15:30, while the leaves are dry."]);
    assert!(is_picking_news(&wet, &decide(&q)) && !is_picking_news(&decide(&q), &wet) && !is_picking_news(&wet, &wet));
    q.damp.wet_now = Some(true);
    q.presence = Some(Presence(vec![(q.now, q.now.plus(5 * HOUR))]));
    assert_eq!(
        decide(&q).also,
        [Also::Pick { from: q.now.plus(3 * HOUR / 2), until: q.now.plus(5 * HOUR), wet: true }]
    );
    q.frost_memory = Some(FrostMemory { lowest_c: -2.0, thawed: false });
    q.inside = q.inside.map(|air| Air { t_c: 2.0, ..air });
    assert!(decide(&q).also.is_empty(), "frozen leaves are not picked");
}

#[test]
fn a_further_move_is_offered_only_with_what_it_gains() {
    // A bitter morning before a hot afternoon: wide open from the start is too cold, a crack all day too little.
    let mut q = on(4, 25, "08:30").inside(4.0, 90.0).outside(-3.0, 85.0);
    sunny_yesterday(&mut q);
    for one in &mut q.past_outside {
        one.1 = 2.0 * one.1 - 5.0;
    }
    q.weather.look =
        Some(WindowLook { at: q.now, sky: Sky::Clear, wind: Wind::Calm, wet: Wet::Dry, wind_from_deg: None });
    let stretch = |from, to| (q.now.plus(from * HOUR / 2), q.now.plus(to * HOUR / 2));
    q.presence = Some(Presence(vec![stretch(-2, 1), stretch(5, 7), stretch(20, 30)]));
    let got = decide(&q);
    let words = vent_words(&got, &q.structure, q.clock, q.now);
    let further = got.day.further.as_ref().unwrap_or_else(|| panic!("lunch at home gains something: {got:?}"));
    assert!(further.moves.len() > 1 && q.presence.as_ref().unwrap().holds(further.moves[1].from));
    let said = words.further.unwrap();
    assert!(said.starts_with("If you can go twice: open ") && said.contains("; that "), "{said}");
    // Without the lunch hour there is none to offer.
    q.presence = Some(Presence(vec![stretch(-2, 1), stretch(20, 30)]));
    assert_eq!(decide(&q).day.further, None);
}

#[test]
fn what_takes_long_to_work_is_set_once() {
    let mut q = on(4, 25, "08:30").inside(4.0, 90.0).outside(-3.0, 85.0);
    sunny_yesterday(&mut q);
    for one in &mut q.past_outside {
        one.1 = 2.0 * one.1 - 5.0;
    }
    q.weather.look =
        Some(WindowLook { at: q.now, sky: Sky::Clear, wind: Wind::Calm, wet: Wet::Dry, wind_from_deg: None });
    let begins =
        |q: &VentQuestion| decide(q).moves.iter().map(|m| m.from).collect::<std::collections::BTreeSet<_>>().len();
    assert_eq!(begins(&q), 2);
    for vent in &mut q.structure.vents {
        vent.minutes = Some(60.0);
    }
    assert_eq!(begins(&q), 1);
}

#[test]
fn while_hardly_anything_grows_picking_goes_lightly() {
    let mut q = on(1, 10, "09:00").inside(7.5, 80.0).outside(7.0, 70.0);
    q.picking = true;
    let speed = |speed| Growth {
        speed,
        mean_c_d: Some(1.4),
        known_d: 7,
        light_modelled: false,
        back: None,
        day_length_h: None,
        ten_hours_on: None,
    };
    for (of, said) in
        [(Some(Speed::Stopped), true), (Some(Speed::Slow), true), (Some(Speed::Growing), false), (None, false)]
    {
        q.growth = Some(speed(of));
        let also = decide(&q).also;
        assert_eq!(also.iter().any(|also| matches!(also, Also::GoLightly(_))), said, "{also:?}");
        assert!(matches!(also[0], Also::Pick { .. }), "{also:?}");
    }
    q.growth = Some(speed(Some(Speed::Stopped)));
    q.picking = false;
    assert!(decide(&q).also.is_empty(), "nothing stands there to be picked");
}
