//! Gales of the night to come, cold summer nights, rules without readings: what is said of them at which hour. All common practice, from judgement.

use propstick_wire::millis::HOUR;

use super::*;
use crate::advice::frost::{FrostBy, FrostFigures, FrostOutlook, NightSpan, Speak};

fn outlook(q: &VentQuestion, gauge_c: (f64, f64)) -> FrostOutlook {
    FrostOutlook {
        night: NightSpan { sunset: q.sunset.unwrap(), sunrise: q.sunrise.unwrap().plus(24 * HOUR) },
        low_c: (gauge_c.0 as i32 - 2, gauge_c.1 as i32 - 1),
        leaf_c: (gauge_c.0 - 2.0, gauge_c.1 - 1.0),
        gauge_c,
        likely_c: (gauge_c.0 + gauge_c.1) / 2.0,
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
fn gale_heard_at_breakfast_does_not_cook_what_grows_by_noon() {
    // 12 May, a gale heard for the night: 38 °C inside at eleven, 20 °C outside.
    let mut q = on(5, 12, "11:00").inside(38.0, 35.0).outside(20.0, 45.0);
    q.weather.tonight = Some(heard_of_tonight(&q, Some(8.0), Some(22.0)));
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule), (VentVerdict::Cool, Rule::Heat));
    let by = got.day.fasten_by.expect("an hour to fasten");
    assert!(got.moves.iter().all(|m| m.notch > Notch::Closed && m.until == Some(by)), "{got:?}");
    assert!(by <= q.sunset.unwrap().plus(-HOUR) && by > q.now.plus(6 * HOUR));
    // At that hour everything is shut, whatever else.
    q.now = by;
    let evening = decide(&q.inside(30.0, 40.0).outside(16.0, 50.0));
    assert_eq!((evening.verdict, evening.rule, evening.day.fasten_by), (VentVerdict::Shut, Rule::Gale, None));
    assert!(evening.moves.iter().all(|m| m.notch == Notch::Closed) && evening.moves.len() == 2);
}

#[test]
fn gale_tonight_is_fastened_on_leaving_by_who_is_back_after_dark() {
    let mut q = on(1, 15, "08:30").inside(6.0, 97.0).outside(6.5, 98.0);
    q.presence =
        Some(Presence(vec![(q.now.plus(-HOUR), q.now.plus(HOUR)), (q.now.plus(10 * HOUR), q.now.plus(20 * HOUR))]));
    q.weather.tonight = Some(heard_of_tonight(&q, None, Some(22.0)));
    let got = decide(&q);
    let leave = q.now.plus(45 * MINUTE);
    assert_eq!(got.day.fasten_by, Some(leave));
    assert!(got.moves.iter().all(|m| m.notch == Notch::Closed || m.until.is_some_and(|t| t <= leave)), "{got:?}");
    // Nobody comes before dark: whoever can is asked, at once.
    q.presence = Some(Presence(vec![(q.now.plus(10 * HOUR), q.now.plus(20 * HOUR))]));
    let got = decide(&q);
    assert_eq!((got.rule, got.day.anyone, got.moves.len()), (Rule::Gale, true, 0));
}

#[test]
fn gale_heard_for_today_is_met_at_once_and_calm_again_nothing_is_left_of_it() {
    let mut q = on(5, 12, "09:00").inside(14.0, 85.0).outside(12.0, 70.0);
    q.weather.today = Some(heard_of_tonight(&q, None, Some(22.0)));
    let got = decide(&q);
    assert_eq!((got.rule, got.moves.len(), got.moves[0].from), (Rule::Gale, 2, q.now));
    q.weather.today = None;
    assert_ne!(decide(&q).rule, Rule::Gale);
}

#[test]
fn cold_may_night_shuts_tomatoes_in_the_evening_and_nothing_is_left_open_for_it_at_noon() {
    // 18 May, a quarter past eight: 15 °C outside and falling a degree an hour.
    let ask = |month, time, low_c, out_c: f64| {
        let mut q = on(month, 18, time).crops(Crops::Tender).inside(18.0, 90.0).outside(out_c, 80.0);
        q.trend_outside_c_h = Some(-1.0);
        q.weather.tonight = low_c;
        q.weather.tonight =
            q.weather.tonight.map(|f: crate::record::Forecast| crate::record::Forecast { at: q.now, ..f });
        decide(&q)
    };
    let low = |c| Some(heard_of_tonight(&on(5, 18, "12:00"), Some(c), None));
    let cold = ask(5, "20:15", low(6.0), 15.0);
    assert_eq!((cold.verdict, cold.rule), (VentVerdict::Shut, Rule::Night), "{cold:?}");
    assert_eq!((cold.figures.limit_c, cold.figures.heard_low_c), (Some(10.0), Some(6.0)));
    assert!(cold.moves.iter().all(|m| m.notch == Notch::Closed) && cold.moves.len() == 2);
    let mild = ask(5, "20:15", low(13.0), 15.0);
    assert!(mild.moves.iter().all(|m| m.notch == Notch::Full && m.until.is_none()) && mild.moves.len() == 2);
    assert!(mild.cautions.contains(&Caution::KeepTonight));
    // Nobody heard a low: what is only known by the dew point is not "heard".
    let mut unheard = heard_of_tonight(&on(5, 18, "12:00"), None, None);
    unheard.sky = Some(crate::record::Sky::Overcast);
    assert!(!ask(5, "20:15", Some(unheard), 15.0).cautions.contains(&Caution::KeepTonight));
    // At one o'clock with a frost heard it is open until the evening, and nothing is said of open nights.
    let noon = ask(5, "13:00", low(-1.0), 20.0);
    let open: Vec<_> = noon.moves.iter().filter(|m| m.notch != Notch::Closed).collect();
    assert!(!open.is_empty() && open.iter().all(|m| m.until.is_some()), "{noon:?}");
    assert!(!noon.cautions.contains(&Caution::KeepOpenNights));
}

#[test]
fn summer_night_is_held_against_the_frost_outlook_and_else_the_dew_point() {
    let mut q = on(6, 10, "20:45").crops(Crops::Tender).inside(18.0, 85.0).outside(14.5, 80.0);
    // Dew point 11.1: it cannot fall below 10.
    assert_eq!(decide(&q).moves.first().map(|m| m.notch), Some(Notch::Full));
    q.frost = Some(outlook(&q, (7.0, 9.0)));
    assert_eq!((decide(&q).verdict, decide(&q).figures.limit_c), (VentVerdict::Shut, Some(10.0)));
    // Dew point 5.3: it may come to 4.3.
    let dry = on(6, 10, "20:45").crops(Crops::Tender).inside(18.0, 85.0).outside(14.5, 54.0);
    assert_eq!((decide(&dry).verdict, decide(&dry).rule), (VentVerdict::Shut, Rule::Night));
}

#[test]
fn by_rule_a_may_frost_that_is_heard_shuts_and_a_july_midnight_sends_nobody() {
    let mut q = on(5, 12, "20:15").inside(14.0, 90.0);
    q.weather.tonight = Some(heard_of_tonight(&q, Some(0.0), None));
    let got = decide(&q);
    assert_eq!((got.verdict, got.rule, got.by_rule), (VentVerdict::Shut, Rule::SeasonAndHour, true));
    assert!(got.moves.iter().all(|m| m.notch == Notch::Closed) && got.moves.len() == 2);
    q.weather.tonight = None;
    assert_eq!(decide(&q).moves.first().map(|m| m.notch), Some(Notch::Full), "nothing heard");
    q.frost = Some(FrostOutlook { low_c: (-2, 1), ..outlook(&q, (0.0, 3.0)) });
    assert_eq!(decide(&q).verdict, VentVerdict::Shut);
    let midnight = on(7, 10, "23:30").inside(15.0, 90.0);
    let got = decide(&midnight);
    assert!(got.moves.is_empty());
    let words = crate::wording::vent_words(&got, &midnight.structure, midnight.clock, midnight.now);
    assert_eq!(words.say, "By rule, not by reading: leave it as it stands till it is light.");
    // By day it is open until the evening of a night that is heard cold.
    let mut noon = on(5, 12, "12:00").inside(14.0, 90.0);
    noon.weather.tonight = Some(heard_of_tonight(&noon, Some(1.0), None));
    assert!(decide(&noon).moves.iter().all(|m| m.until.is_some()) && !decide(&noon).moves.is_empty());
}

#[test]
fn frozen_leaves_that_nobody_reads_of_any_more_are_a_matter_of_looking_after_the_thaw() {
    // 20 April: -1 °C, and the board silent since ten to six.
    let ask = |time| {
        let mut q = on(4, 20, time);
        q.frost_memory = Some(FrostMemory { lowest_c: -1.0, thawed: false });
        q.inside = Some(Air { t_c: -1.0, rh_pct: Some(95.0), at: on(4, 20, "05:50").now });
        q.picking = true;
        (decide(&q), q)
    };
    assert_eq!(ask("07:30").0.rule, Rule::Frozen);
    let (got, q) = ask("09:30");
    assert_eq!((got.verdict, got.rule, got.by_rule), (VentVerdict::Unknown, Rule::SeasonAndHour, true));
    assert_eq!(got.moves.iter().map(|m| m.notch).collect::<Vec<_>>(), [Notch::Crack]);
    assert!(got.cautions.contains(&Caution::OnlyIfSoft) && got.also.is_empty());
    let words = crate::wording::vent_words(&got, &q.structure, q.clock, q.now);
    assert!(words.doubt.is_some_and(|doubt| doubt.contains("No reading inside since 05:50")));
    // While it is read, it stays frozen until it has warmed.
    let mut read = q.inside(2.0, 95.0);
    read.outside = None;
    assert_eq!(decide(&read).rule, Rule::Frozen);
}

#[test]
fn one_hot_reading_in_the_dark_opens_nothing_and_two_do() {
    let mut q = on(11, 20, "04:10").inside(44.0, 60.0).outside(6.0, 90.0);
    q.past_inside = vec![(q.now.plus(-20 * MINUTE), 8.0), (q.now.plus(-5 * MINUTE), 44.0)];
    assert_ne!(decide(&q).rule, Rule::Heat);
    q.past_inside = vec![(q.now.plus(-20 * MINUTE), 43.0), (q.now.plus(-5 * MINUTE), 44.0)];
    assert_eq!(decide(&q).rule, Rule::Heat);
    // By day one is enough here: the desk leaves a lone jump out.
    let day = on(5, 20, "12:00").inside(38.0, 40.0).outside(18.0, 50.0);
    assert_eq!(decide(&day).rule, Rule::Heat);
}

#[test]
fn nobody_picks_in_the_heat_or_the_cold() {
    let also = |t_in, t_out| {
        let mut q = on(5, 20, "12:00").inside(t_in, 60.0).outside(t_out, 50.0);
        (q.picking, q.damp.wet_now) = (true, Some(false));
        (decide(&q).rule, decide(&q).also)
    };
    assert_eq!(also(38.0, 22.0), (Rule::Heat, Vec::new()));
    assert_eq!(also(1.0, -3.0), (Rule::Cold, Vec::new()));
    assert!(matches!(also(20.0, 14.0).1.as_slice(), [Also::Pick { .. }]));
}

#[test]
fn only_door_in_a_fresh_wind_that_it_faces_is_no_more_than_cracked() {
    let ask = |from_deg, wind| {
        let mut q = on(3, 10, "12:00").inside(12.0, 98.0).outside(4.5, 80.0);
        q.structure.vents.truncate(1);
        q.weather.look = Some(crate::record::WindowLook {
            at: q.now,
            sky: crate::record::Sky::Clear,
            wind,
            wet: crate::record::Wet::Dry,
            wind_from_deg: Some(from_deg),
        });
        decide(&q).moves.first().map(|m| m.notch)
    };
    use crate::record::Wind;
    // The yard door faces south.
    assert_eq!(ask(180.0, Wind::Fresh), Some(Notch::Crack));
    assert_eq!(ask(180.0, Wind::Light), Some(Notch::Half));
    assert_eq!(ask(0.0, Wind::Fresh), Some(Notch::Half));
}

#[test]
fn nobody_shuts_a_door_long_after_dark_before_a_frost() {
    // Out from nine till six in January, when the sun sets at twenty past four: a door that only they could shut in the dark is not opened.
    let mut q = on(1, 15, "08:50").inside(8.0, 96.0).outside(6.0, 78.0);
    q.presence = Some(Presence(vec![
        (q.now.plus(-2 * HOUR), q.now.plus(10 * MINUTE)),
        (q.now.plus(550 * MINUTE), q.now.plus(900 * MINUTE)),
    ]));
    q.weather.tonight = Some(heard_of_tonight(&q, Some(-2.0), None));
    let got = decide(&q);
    assert!(got.moves.iter().all(|m| m.notch == Notch::Closed), "{got:?}");
    let latest = q.sunset.unwrap().plus(HOUR);
    q.weather.tonight = Some(heard_of_tonight(&q, Some(6.0), None));
    assert!(decide(&q).moves.iter().all(|m| m.until.is_none_or(|until| until < latest)));
}

#[test]
fn fleece_in_the_tunnel_is_laid_for_the_frost_of_a_gale_night_and_over_a_low_tunnel_it_comes_in() {
    let covers = vec![CoverAt {
        slug: "f".into(),
        name: "fleece over the salads".into(),
        kind: propstick_agronomy::frost::NightCover::Fleece17,
        lies: Some(CoverState::Folded),
        trays: false,
    }];
    let ask = |kind, time, blows: bool| {
        let mut q = on(1, 15, time).inside(5.0, 85.0).outside(3.0, 80.0);
        q.structure.kind = kind;
        q.weather.tonight = Some(heard_of_tonight(&q, Some(-4.0), Some(22.0)));
        q.gust_m_s = blows.then_some(22.0);
        decide_cover(&CoverQuestion { of: q, covers: covers.clone() }).unwrap()
    };
    use crate::model::StructureKind as Kind;
    let tunnel = ask(Kind::Tunnel, "15:00", false);
    assert_eq!((tunnel.rule, tunnel.moves.len()), (CoverRule::Frost, 1), "{tunnel:?}");
    assert_eq!(tunnel.moves[0].state, CoverState::On);
    let low = ask(Kind::LowTunnel, "15:00", false);
    assert_eq!((low.rule, low.moves[0].state), (CoverRule::Gale, CoverState::Off));
    for kind in [Kind::Tunnel, Kind::LowTunnel] {
        let blown = ask(kind, "15:00", true);
        assert_eq!((blown.rule, blown.moves.len()), (CoverRule::Gale, 0), "nobody goes out for fleece while it blows");
        assert!(ask(kind, "19:00", false).moves.is_empty(), "nor in the dark");
    }
}
