//! The fifteen scenarios of the advice page, whole: what the window and the forecast said, who is there, what lies over the beds. The coarse column
//! is asserted, times within an hour; and of everything that is said nothing is what "must not say" names. All of it is common practice, from
//! judgement, no source. Litres and cans belong to the water advice, whose own tests ask the same scenarios.

use propstick_agronomy::frost::NightCover;
use propstick_agronomy::runs::Runs;
use propstick_wire::millis::HOUR;

use super::*;
use crate::advice::frost::{FrostBy, FrostFigures, FrostOutlook, Speak};
use crate::record::{Forecast, ForecastFor, Sky, Wet, Wind, WindowLook};
use crate::wording::{cover_words, vent_words};

/// Everything that is said of a scenario, in small letters.
fn said(q: &VentQuestion, covers: &[CoverAt]) -> String {
    let mut all = Vec::new();
    let words = vent_words(&decide(q), &q.structure, q.clock, q.now);
    all.extend([words.say, words.because]);
    all.extend(words.doubt);
    all.extend(words.cautions);
    all.extend(words.also);
    all.extend(words.further);
    if let Some((verdict, question)) = covered(q, covers) {
        let words = cover_words(&verdict, &question);
        all.extend([words.say, words.because]);
        all.extend(words.cautions);
    }
    all.join(" ").to_lowercase()
}

fn covered(q: &VentQuestion, covers: &[CoverAt]) -> Option<(CoverVerdict, CoverQuestion)> {
    let question = CoverQuestion { of: q.clone(), covers: covers.to_vec() };
    Some((decide_cover(&question)?, question))
}

#[track_caller]
fn must_not_say(q: &VentQuestion, covers: &[CoverAt], phrases: &[&str]) {
    let all = said(q, covers);
    for phrase in phrases {
        assert!(!all.contains(phrase), "{phrase:?} in: {all}");
    }
    for (at, _) in all.match_indices('%') {
        assert!(all[at..].starts_with("% humidity"), "a share of nothing in: {all}");
    }
}

#[track_caller]
fn must_say(q: &VentQuestion, covers: &[CoverAt], phrases: &[&str]) {
    let all = said(q, covers);
    for phrase in phrases {
        assert!(all.contains(phrase), "no {phrase:?} in: {all}");
    }
}

fn seen(mut q: VentQuestion, sky: Sky, wind: Wind, wet: Wet, from_deg: Option<f64>) -> VentQuestion {
    q.weather.look = Some(WindowLook { at: q.now, sky, wind, wet, wind_from_deg: from_deg });
    q
}

fn heard(q: &VentQuestion, low_c: f64, wind: Wind) -> Forecast {
    Forecast {
        at: q.now.plus(-HOUR),
        of: ForecastFor::Tonight,
        low_c: Some(low_c),
        high_c: None,
        wind: Some(wind),
        gust_m_s: None,
        sky: None,
        wet: None,
    }
}

fn damp(mut q: VentQuestion, days: u32, wet_h: f64) -> VentQuestion {
    q.damp.damp_days = Some(Runs::all(days));
    q.damp.wet_h_last_night = Some(Runs::all(wet_h));
    q.damp.wet_now = Some(true);
    q.picking = true;
    q
}

fn fleece(slug: &str, name: &str, lies: CoverState, trays: bool) -> CoverAt {
    CoverAt { slug: slug.into(), name: name.into(), kind: NightCover::Fleece17, lies: Some(lies), trays }
}

/// Local time of today.
fn at(q: &VentQuestion, time: &str) -> Millis {
    let (h, m) = time.split_once(':').unwrap();
    let minutes: i64 = h.parse::<i64>().unwrap() * 60 + m.parse::<i64>().unwrap();
    q.now.plus((minutes - q.clock.minute_of_day(q.now)) * MINUTE)
}

#[track_caller]
fn about(q: &VentQuestion, got: Option<Millis>, time: &str) {
    let off = got.expect("a time").since(at(q, time));
    assert!(off.abs() <= HOUR, "off by {} min from {time}", off / MINUTE);
}

/// Yesterday's air outside by the hour, from pairs of hour and °C, straight between them: made up for the scenario, not measured.
fn yesterday(q: &VentQuestion, points: &[(i64, f64)]) -> Vec<(Millis, f64)> {
    let mut all = Vec::new();
    for pair in points.windows(2) {
        let ((from, from_c), (to, to_c)) = (pair[0], pair[1]);
        for half in 0..(to - from) * 2 {
            let share = half as f64 / ((to - from) * 2) as f64;
            let t = at(q, "00:00").plus(-24 * HOUR + from * HOUR + half * HOUR / 2);
            all.push((t, from_c + share * (to_c - from_c)));
        }
    }
    all
}

fn notches(verdict: &Verdict) -> Vec<(Option<&str>, Notch)> {
    verdict.moves.iter().map(|m| (m.vent.as_deref(), m.notch)).collect()
}

const BOTH_CRACKED: [(Option<&str>, Notch); 2] =
    [(Some("yard-door"), Notch::Crack), (Some("field-door"), Notch::Crack)];
const BOTH_FULL: [(Option<&str>, Notch); 2] = [(Some("yard-door"), Notch::Full), (Some("field-door"), Notch::Full)];
const BOTH_SHUT: [(Option<&str>, Notch); 2] = [(Some("yard-door"), Notch::Closed), (Some("field-door"), Notch::Closed)];

fn doors_east_and_west(q: &mut VentQuestion) {
    q.structure.vents[0].faces = Some("E".into());
    q.structure.vents[1].faces = Some("W".into());
}

#[test]
fn scenario_1_sixth_damp_day_both_ends_cracked_and_kept_on_a_mild_night() {
    let base = damp(on(1, 15, "09:30").inside(6.0, 97.0).outside(6.5, 98.0), 6, 14.0);
    let base = seen(base, Sky::Overcast, Wind::Light, Wet::Rain, Some(180.0));
    let covers = [fleece("f", "fleece over the salads", CoverState::On, false)];
    let ask = |low_c, wind| {
        let mut q = base.clone();
        q.weather.tonight = Some(heard(&q, low_c, wind));
        q
    };
    let mild = ask(5.0, Wind::Light);
    let got = decide(&mild);
    assert_eq!((got.verdict, notches(&got)), (VentVerdict::MoveAir, BOTH_CRACKED.to_vec()));
    about(&mild, Some(got.moves[0].from), "10:30");
    assert!(got.moves.iter().all(|m| m.until.is_none()), "the crack is kept tonight");
    assert!(got.also.contains(&Also::PickIfNeeded) && got.also.contains(&Also::BadLeaves), "{:?}", got.also);
    must_say(&mild, &covers, &["will not dry", "keep it so tonight", "yellow leaves"]);
    must_not_say(&mild, &covers, &["shut", "to dry", "it dries", "vent", "water the", "litre"]);
    // Heard colder, it is shut by half past two; heard to blow, it is not opened.
    let cold = ask(3.0, Wind::Light);
    let got = decide(&cold);
    assert_eq!(notches(&got), BOTH_CRACKED);
    about(&cold, got.moves[0].until, "14:30");
    // With a gale heard for the night only the lee end is cracked, and all is shut and fastened by then.
    let windy = ask(6.0, Wind::Gale);
    let gale = decide(&windy);
    assert_eq!((gale.rule, notches(&gale)), (Rule::MovingAir, vec![(Some("field-door"), Notch::Crack)]));
    about(&windy, gale.moves[0].until, "14:30");
    must_say(&windy, &covers, &["gale tonight", "shut and fasten both doors about 14:30, while it is light"]);
    must_not_say(&windy, &covers, &["keep it so tonight"]);
    // The fleece holds no wet on the leaves by day.
    let (cover, _) = covered(&mild, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves[0].state), (CoverRule::Air, CoverState::Folded));
}

#[test]
fn scenario_2_first_mild_air_is_kept_out_and_looked_at_again_at_noon() {
    let mut q = on(1, 15, "09:00").inside(4.0, 97.0).outside(9.0, 98.0);
    q.surface_c = Some(3.0);
    let q = seen(q, Sky::Overcast, Wind::Fresh, Wet::Dry, Some(180.0));
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule, got.moves.len()), (VentVerdict::Shut, Rule::Wetting, 0));
    about(&q, got.look_again, "12:00");
    must_not_say(&q, &[], &["open both", "open the", "have the", "mild", "to dry"]);
}

#[test]
fn scenario_3_hard_frost_is_left_alone_then_one_end_cracked_and_the_fleece_folded() {
    let mut q = on(1, 15, "09:00").inside(-2.0, 97.0).outside(-4.0, 95.0);
    q.frost_memory = Some(FrostMemory { lowest_c: -4.0, thawed: false });
    q.picking = true;
    q.weather.tonight = Some(heard(&q, -3.0, Wind::Calm));
    let q = seen(q, Sky::Clear, Wind::Calm, Wet::Dry, None);
    let covers = [fleece("f", "fleece over the salads", CoverState::On, false)];
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Frozen));
    assert_eq!(notches(&got), [(None, Notch::Crack)]);
    about(&q, Some(got.moves[0].from), "11:00");
    assert!(got.moves[0].until.unwrap() <= at(&q, "14:30"));
    assert!(got.cautions.contains(&Caution::LeaveFrozenAlone) && got.also.is_empty());
    let (cover, _) = covered(&q, &covers).unwrap();
    let states: Vec<_> = cover.moves.iter().map(|m| m.state).collect();
    assert_eq!((cover.rule, states), (CoverRule::Frozen, vec![CoverState::Folded, CoverState::On]));
    about(&q, Some(cover.moves[0].from), "11:00");
    assert!(cover.moves[1].from <= q.sunset.unwrap());
    must_say(&q, &covers, &["touch nothing", "no picking, watering", "until the leaves have gone soft"]);
    must_not_say(
        &q,
        &covers,
        &["drier", "to dry", "dries", "pick for", "pick between", "pick until", "open both", "now"],
    );
    // The night is shut.
    let mut evening = q.clone();
    evening.now = at(&q, "15:30");
    evening.frost_memory = None;
    let got = decide(&evening.inside(5.0, 90.0).outside(2.0, 85.0));
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Night));
}

#[test]
fn scenario_4_thick_fog_leaves_nothing_to_do() {
    let q = damp(on(1, 15, "14:30").inside(7.0, 99.0).outside(7.0, 100.0), 4, 14.0);
    let q = seen(q, Sky::Overcast, Wind::Calm, Wet::Fog, None);
    let got = decide(&q);
    assert_eq!((got.verdict, got.moves.iter().filter(|m| m.notch != Notch::Closed).count()), (VentVerdict::Shut, 0));
    must_not_say(&q, &[], &["open both", "open the", "hand's width", "to dry", "vent"]);
    // At noon, when it is not yet evening, the same; picking waits.
    let mut noon = q.clone().inside(7.0, 99.0).outside(7.0, 100.0);
    noon.now = at(&q, "12:00");
    noon.weather.look = noon.weather.look.map(|look| WindowLook { at: noon.now, ..look });
    let noon = noon.inside(7.0, 99.0).outside(7.0, 100.0);
    assert_eq!((decide(&noon).verdict, decide(&noon).also), (VentVerdict::Shut, vec![Also::PickLater]));
    must_say(&noon, &[], &["nothing to do here", "till the fog lifts"]);
}

#[test]
fn scenario_5_gale_heard_is_met_in_daylight_and_nobody_goes_out_at_night() {
    let gale = |time| {
        let mut q = damp(on(1, 15, time).inside(9.0, 95.0).outside(10.0, 90.0), 5, 12.0);
        q.weather.tonight = Some(Forecast { gust_m_s: Some(22.0), ..heard(&q, 6.0, Wind::Gale) });
        q
    };
    let covers = [fleece("f", "fleece over the carrots", CoverState::On, false)];
    let q = gale("15:00");
    let got = decide(&q);
    assert_eq!((got.rule, notches(&got)), (Rule::Gale, BOTH_SHUT.to_vec()));
    assert!(got.cautions.contains(&Caution::Fasten) && got.cautions.contains(&Caution::StayIn) && got.also.is_empty());
    let forbidden = ["open", "hand's width", "half way", "one side", "go out", "up a ladder to", "to dry"];
    must_not_say(&q, &covers, &forbidden);
    assert!(covered(&q, &covers).unwrap().0.moves.is_empty());
    // Loose fleece in the open or over a low tunnel comes in; in the walk-in tunnel it lies out of the wind.
    let mut low = q.clone();
    low.structure.kind = StructureKind::LowTunnel;
    let (cover, _) = covered(&low, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves[0].state, cover.moves[0].from), (CoverRule::Gale, CoverState::Off, q.now));
    must_not_say(&low, &covers, &forbidden);
    let night = gale("19:00");
    let mut low = night.clone();
    low.structure.kind = StructureKind::LowTunnel;
    assert!(decide(&night).moves.is_empty() && covered(&low, &covers).unwrap().0.moves.is_empty());
    must_say(&low, &covers, &["nothing to do here", "stay in"]);
    must_not_say(&low, &covers, &forbidden);
}

#[test]
fn scenario_6_cold_bright_east_wind_opens_the_lee_end_half_and_fleeces_the_trays() {
    let mut q = on(2, 15, "10:00").crops(Crops::Both).inside(12.0, 85.0).outside(6.0, 60.0);
    doors_east_and_west(&mut q);
    let q = seen(q, Sky::Clear, Wind::Fresh, Wet::Dry, Some(90.0));
    let covers = [fleece("t", "fleece over the trays", CoverState::Off, true)];
    let got = decide(&q);
    assert_eq!((got.verdict, notches(&got)), (VentVerdict::Dry, vec![(Some("field-door"), Notch::Half)]));
    about(&q, Some(got.moves[0].from), "10:00");
    about(&q, got.moves[0].until, "15:00");
    let (cover, _) = covered(&q, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves.len(), cover.moves[0].state), (CoverRule::Frost, 1, CoverState::On));
    assert!(cover.moves[0].from <= at(&q, "16:00"));
    must_say(&q, &covers, &["no draught through soft seedlings"]);
    must_not_say(&q, &covers, &["both", "litre", " cans", " l "]);
    let mut evening = q.clone();
    evening.now = at(&q, "16:30");
    assert_eq!(decide(&evening.inside(9.0, 80.0).outside(3.0, 70.0)).verdict, VentVerdict::Shut);
}

/// Scenario 7's day: -1 °C at eight, 9 °C at three.
fn scenario_7() -> VentQuestion {
    let mut q = on(3, 25, "08:00").crops(Crops::Both).inside(3.0, 98.0).outside(-1.0, 92.0);
    q.past_outside =
        yesterday(&q, &[(7, -1.5), (8, -1.0), (9, 1.5), (10, 4.0), (12, 7.0), (15, 9.0), (18, 5.0), (20, 2.0)]);
    q.place = Some(LAT_LON);
    q.presence =
        Some(Presence(vec![(at(&q, "00:00"), at(&q, "08:30")), (at(&q, "18:00"), at(&q, "00:00").plus(24 * HOUR))]));
    q.trend_inside_c_h = Some(2.0);
    seen(q, Sky::Clear, Wind::Calm, Wet::Dry, None)
}

#[test]
fn scenario_7_out_all_day_under_a_full_sun_is_one_setting_on_leaving() {
    let covers = [fleece("f", "fleece over the salads", CoverState::On, false)];
    for frozen in [None, Some(FrostMemory { lowest_c: -0.5, thawed: false })] {
        let mut q = scenario_7();
        q.frost_memory = frozen;
        // Shut it would pass 30 by eleven.
        let outlook = Outlook::of(&q, at(&q, "16:00"));
        assert!(outlook.passes(30.0).is_some_and(|t| t <= at(&q, "11:00")), "{:?}", outlook.shut);
        let got = decide(&q);
        assert_eq!(notches(&got), [(None, Notch::Crack)], "one move: {got:?}");
        assert_eq!((got.verdict, got.rule), (VentVerdict::Cool, Rule::HeatAhead));
        assert!(got.moves[0].from < at(&q, "08:30") && got.moves[0].until.is_none_or(|t| t >= at(&q, "18:00")));
        assert!(got.cautions.contains(&Caution::MoveTrays));
        let (cover, _) = covered(&q, &covers).unwrap();
        for m in &cover.moves {
            assert!(q.presence.as_ref().unwrap().holds(m.from), "{m:?}");
        }
        if frozen.is_some() {
            assert_eq!((cover.moves[0].state, cover.moves[0].until), (CoverState::Folded, None));
            must_say(&q, &covers, &["if the leaves are soft, fold", "leave it on"]);
        }
        must_say(&q, &covers, &["hand's width"]);
        must_not_say(
            &q,
            &covers,
            &["never", "nothing is opened", "below", "from about", "at 10:30", "too cold to open"],
        );
    }
}

#[test]
fn scenario_8_heat_in_cold_air_comes_down_in_steps_with_shade_over_the_trays() {
    let q = on(3, 15, "11:30").crops(Crops::Both).inside(29.0, 45.0).outside(5.0, 70.0);
    let q = seen(q, Sky::Clear, Wind::Light, Wet::Dry, Some(0.0));
    let covers = [fleece("t", "fleece over the trays", CoverState::Off, true)];
    let got = decide(&q);
    assert_eq!(notches(&got), [(Some("yard-door"), Notch::Crack), (Some("yard-door"), Notch::Half)]);
    assert_eq!(got.moves[1].from, q.now.plus(10 * MINUTE));
    let (cover, _) = covered(&q, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves[0].state, cover.moves[0].from), (CoverRule::Heat, CoverState::On, q.now));
    must_say(&q, &covers, &["as shade"]);
    must_not_say(&q, &covers, &["both", "wide", "keep it shut", "too cold to open"]);
}

fn frosty(q: &VentQuestion, low_c: (i32, i32)) -> FrostOutlook {
    FrostOutlook {
        night: crate::advice::frost::NightSpan {
            sunset: q.sunset.unwrap(),
            sunrise: q.sunrise.unwrap().plus(24 * HOUR),
        },
        low_c,
        leaf_c: (f64::from(low_c.0), f64::from(low_c.1)),
        gauge_c: (f64::from(low_c.0) + 2.0, f64::from(low_c.1) + 2.0),
        likely_c: f64::from(low_c.0 + low_c.1) / 2.0 + 2.0,
        by: FrostBy::Rule,
        when: q.sunrise.unwrap().plus(24 * HOUR),
        zero_at: None,
        speak: Speak::LayNow,
        limit_c: 0.0,
        danger: Vec::new(),
        ice: None,
        clear: true,
        figures: FrostFigures::default(),
        doubts: Vec::new(),
    }
}

#[test]
fn scenario_9_clear_april_evening_is_shut_and_covered_before_dark() {
    let q = on(4, 20, "18:30").crops(Crops::Both).inside(12.0, 70.0).outside(8.0, 55.0);
    let mut q = seen(q, Sky::Clear, Wind::Calm, Wet::Dry, None);
    q.frost = Some(frosty(&q, (-3, 0)));
    let covers = [
        fleece("p", "fleece over the potatoes", CoverState::Off, false),
        fleece("l", "fleece over the lettuce", CoverState::Folded, false),
    ];
    let got = decide(&q);
    assert_eq!((got.verdict, notches(&got), got.moves[0].from), (VentVerdict::Shut, BOTH_SHUT.to_vec(), q.now));
    let (cover, _) = covered(&q, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves.len()), (CoverRule::Frost, 2));
    assert!(cover.moves.iter().all(|m| m.state == CoverState::On && m.from <= q.sunset.unwrap()));
    assert!(cover.trays_in);
    about(&q, cover.look_again, "22:00");
    must_say(
        &q,
        &covers,
        &["lay the fleece over the potatoes", "before dark", "0, perhaps \u{2212}3 °c", "second layer"],
    );
    must_say(&q, &covers, &["no watering tonight"]);
    must_not_say(
        &q,
        &covers,
        &["hours after sunset", "wait", "water them", "water the", "water now", "open the", "open both"],
    );
    // Without an outlook the dew point of the dusk decides the same, in daylight.
    q.frost = None;
    assert_eq!(covered(&q, &covers).unwrap().0.rule, CoverRule::Frost);
}

#[test]
fn scenario_10_rime_at_sunrise_has_both_halves_in_one_plan() {
    let mut q = on(4, 20, "07:00").inside(0.5, 98.0).outside(-2.0, 90.0);
    q.frost_memory = Some(FrostMemory { lowest_c: -2.5, thawed: false });
    q.past_outside =
        yesterday(&q, &[(5, -2.5), (7, -2.0), (8, 2.0), (10, 8.0), (12, 12.0), (15, 14.0), (18, 11.0), (22, 3.0)]);
    q.place = Some(LAT_LON);
    q.picking = true;
    let q = seen(q, Sky::Clear, Wind::Calm, Wet::Dry, None);
    let covers = [fleece("f", "fleece over the lettuce and potatoes", CoverState::On, false)];
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Shut, Rule::Frozen));
    assert!(got.moves.len() >= 2, "{:?}", plan(&q, &got));
    assert_eq!(got.moves[0].notch, Notch::Crack, "{:?}", plan(&q, &got));
    about(&q, Some(got.moves[0].from), "08:45");
    let wider = got.moves.iter().find(|m| m.notch >= Notch::Half).expect("half by ten");
    assert!(wider.from <= at(&q, "10:00"), "{:?}", plan(&q, &got));
    let (cover, _) = covered(&q, &covers).unwrap();
    assert_eq!((cover.rule, cover.moves[0].state), (CoverRule::Frozen, CoverState::Folded));
    about(&q, Some(cover.moves[0].from), "08:45");
    assert!(got.also.is_empty());
    must_say(&q, &covers, &["down to \u{2212}2.5 °c", "then open both doors half way from"]);
    must_not_say(&q, &covers, &["hose", "till noon", "until noon", "at noon", "12:00", "pick between", "wash"]);
}

#[test]
fn scenario_11_38_degrees_and_nobody_home_is_said_once() {
    let ask = |time, inside_c| {
        let mut q = on(5, 15, time).crops(Crops::Both).inside(inside_c, 35.0).outside(22.0, 45.0);
        q.presence = Some(Presence(vec![(at(&q, "18:00"), at(&q, "00:00").plus(24 * HOUR))]));
        seen(q, Sky::Clear, Wind::Light, Wet::Dry, None)
    };
    let covers = [fleece("f", "fleece over the lettuce", CoverState::Folded, false)];
    let q = ask("12:00", 38.0);
    let got = decide(&q);
    assert_eq!((got.rule, notches(&got)), (Rule::Heat, BOTH_FULL.to_vec()));
    assert!(got.day.anyone && got.moves.iter().all(|m| m.from == at(&q, "18:00") && m.until.is_none()));
    assert!(covered(&q, &covers).unwrap().0.moves.is_empty());
    must_say(
        &q,
        &covers,
        &["if anyone can go, open both doors wide at once", "nothing to do from where you are", "tomorrow"],
    );
    must_not_say(&q, &covers, &["hand's width", "a crack", "water", "half way"]);
    for (time, inside_c) in [("12:10", 38.4), ("13:00", 39.5), ("15:00", 38.5)] {
        let later = ask(time, inside_c);
        assert!(!is_news(&got, &decide(&later), later.now, false), "rings again at {time}");
    }
    // Somebody at home opens at once.
    let mut home = q;
    home.presence = None;
    assert!(decide(&home).moves.iter().all(|m| m.from == home.now && m.notch == Notch::Full));
}

#[test]
fn scenario_12_dripping_july_morning_is_opened_wide_now_and_stays_so() {
    let q = damp(on(7, 10, "06:30").crops(Crops::Tender).inside(14.0, 99.0).outside(13.0, 95.0), 0, 10.0);
    let q = seen(q, Sky::Clear, Wind::Calm, Wet::Dry, None);
    let got = decide(&q);
    assert_eq!((got.verdict, notches(&got)), (VentVerdict::Dry, BOTH_FULL.to_vec()));
    assert!(got.moves.iter().all(|m| m.from == q.now && m.until.is_none()));
    must_say(&q, &[], &["now", "open tonight", "above about 12"]);
    must_not_say(&q, &[], &["25 °c", "wait", "from about"]);
}

#[test]
fn scenario_13_july_heat_has_everything_open_shade_and_no_sowing_till_evening() {
    let mut q = on(7, 10, "13:00").crops(Crops::Tender).inside(34.0, 40.0).outside(23.0, 50.0);
    q.sown_soil_c = Some(27.0);
    let q = seen(q, Sky::Clear, Wind::Light, Wet::Dry, Some(225.0));
    let covers = [fleece("s", "fleece over the seed bed", CoverState::Off, false)];
    let got = decide(&q);
    assert_eq!((got.verdict, notches(&got)), (VentVerdict::Cool, BOTH_FULL.to_vec()));
    assert_eq!(got.also, [Also::SowLater { soil_c: 27.0 }]);
    assert_eq!(covered(&q, &covers).unwrap().0.rule, CoverRule::Heat);
    must_say(&q, &covers, &["sow lettuce this evening, in shade", "as shade"]);
    must_not_say(&q, &covers, &["further", "at noon", "sow now", "more open"]);
}

#[test]
fn scenario_14_muggy_july_night_stays_open_and_leaves_are_looked_at_tomorrow() {
    let q = damp(on(7, 10, "21:00").crops(Crops::Tender).inside(17.0, 94.0).outside(16.0, 96.0), 3, 12.0);
    let q = seen(q, Sky::Overcast, Wind::Light, Wet::Rain, Some(180.0));
    let got = decide(&q);
    assert_eq!((got.verdict, notches(&got)), (VentVerdict::MoveAir, BOTH_FULL.to_vec()));
    assert!(got.moves.iter().all(|m| m.until.is_none()));
    assert!(got.cautions.contains(&Caution::WindwardIfRainIn));
    assert_eq!(got.also, [Also::Scout { tomorrow: true }]);
    must_say(&q, &[], &["towards the wind if rain blows in", "brown blotches tomorrow", "in a bag", "will not dry"]);
    must_not_say(&q, &[], &["to dry", "vent", "blight", "infect", "spray", "water"]);
}

#[test]
fn scenario_15_stuck_gauge_gives_way_to_the_window() {
    let mut q = on(12, 15, "12:00").inside(5.0, 100.0).outside(2.0, 70.0);
    q.damp.gauge_stuck_since = Some(q.now.plus(-5 * 24 * HOUR));
    let q = seen(q, Sky::Clear, Wind::Fresh, Wet::Dry, Some(45.0));
    let got = decide(&q);
    assert_eq!(notches(&got), [(Some("yard-door"), Notch::Half)]);
    about(&q, got.moves[0].until, "14:00");
    assert!(got.moves[0].until.unwrap() <= at(&q, "14:00") && got.by_rule);
    assert!(matches!(got.doubts.as_slice(), [Doubt::GaugeStuck { .. }, ..]));
    must_say(&q, &[], &["by rule, not by reading", "stuck for 5 days"]);
    must_not_say(&q, &[], &["105", "litre", "unknown", "not known"]);
}
