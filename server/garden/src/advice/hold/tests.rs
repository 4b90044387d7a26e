use super::*;
use crate::advice::{Aim, DayNote, Expect, Figures};
use crate::model::{Position, VentKind};

fn verdict(verdict: VentVerdict, rule: Rule) -> Verdict {
    Verdict {
        verdict,
        aim: Aim::MoveAir,
        rule,
        moves: Vec::new(),
        look_again: None,
        expect: Expect::default(),
        figures: Figures::default(),
        by_rule: false,
        doubts: Vec::new(),
        cautions: Vec::new(),
        day: DayNote::default(),
        also: Vec::new(),
    }
}

const MADE: Millis = Millis(1_000_000_000);
const OPEN: Held = Held { verdict: VentVerdict::Dry, made_at: MADE };

#[test]
fn verdict_holds_half_an_hour_to_the_millisecond() {
    let shut = verdict(VentVerdict::Shut, Rule::Drying);
    assert!(!may_flip(&OPEN, &shut, MADE));
    assert!(!may_flip(&OPEN, &shut, MADE.plus(30 * MINUTE - 1)));
    assert!(may_flip(&OPEN, &shut, MADE.plus(30 * MINUTE)));
}

#[test]
fn shut_is_said_again_by_day_once_the_word_that_stands_has_run_out() {
    let look = |rule, at: Option<i64>| Verdict {
        look_again: at.map(|min| MADE.plus(min * MINUTE)),
        ..verdict(VentVerdict::Shut, rule)
    };
    let wetting = look(Rule::Wetting, Some(180));
    let now = MADE.plus(60 * MINUTE);
    assert!(is_news(&look(Rule::Cold, None), &wetting, now, false));
    assert!(is_news(&look(Rule::Cold, Some(60)), &wetting, now, false));
    assert!(is_news(&look(Rule::Wetting, Some(60)), &wetting, now, false));
    assert!(!is_news(&look(Rule::Cold, Some(120)), &wetting, now, false), "not yet looked at again");
    assert!(!is_news(&look(Rule::Cold, None), &wetting, now, true), "nobody looks in the dark");
    assert!(!is_news(&look(Rule::Cold, None), &look(Rule::Cold, None), now, false), "no hour to look again");
}

#[test]
fn opening_to_dry_does_not_stand_for_days_of_air_that_dries_nothing() {
    let (dry, moves) = (verdict(VentVerdict::Dry, Rule::Night), verdict(VentVerdict::MoveAir, Rule::Night));
    assert!(!is_outlived(&dry, MADE, &moves, MADE.plus(EDGE_HOLD_H * HOUR - 1)));
    assert!(is_outlived(&dry, MADE, &moves, MADE.plus(EDGE_HOLD_H * HOUR)));
    assert!(!is_outlived(&dry, MADE, &dry, MADE.plus(48 * HOUR)));
}

#[test]
fn gale_frost_heat_and_cold_break_the_hold_and_drying_does_not() {
    let soon = MADE.plus(MINUTE);
    for rule in [Rule::Gale, Rule::Frozen, Rule::Cold] {
        assert!(may_flip(&OPEN, &verdict(VentVerdict::Shut, rule), soon), "{rule:?}");
    }
    let closed = Held { verdict: VentVerdict::Shut, made_at: MADE };
    assert!(may_flip(&closed, &verdict(VentVerdict::Cool, Rule::Heat), soon));
    for rule in [Rule::Wetting, Rule::Night, Rule::Drying, Rule::MovingAir, Rule::SeasonAndHour] {
        assert!(!may_flip(&OPEN, &verdict(VentVerdict::Shut, rule), soon), "{rule:?}");
    }
}

#[test]
fn the_same_verdict_is_no_flip_and_not_knowing_is_said_at_once() {
    let soon = MADE.plus(MINUTE);
    assert!(may_flip(&OPEN, &verdict(VentVerdict::Dry, Rule::Night), soon));
    assert!(may_flip(&OPEN, &verdict(VentVerdict::Unknown, Rule::SeasonAndHour), soon));
    let unknown = Held { verdict: VentVerdict::Unknown, made_at: MADE };
    assert!(may_flip(&unknown, &verdict(VentVerdict::Shut, Rule::Drying), soon));
}

fn opened(from_min: i64, until_min: Option<i64>, notch: Notch) -> Verdict {
    let until = until_min.map(|m| MADE.plus(m * MINUTE));
    let moves = vec![Move { vent: None, notch, from: MADE.plus(from_min * MINUTE), until }];
    Verdict { moves, ..verdict(VentVerdict::Dry, Rule::Drying) }
}

#[test]
fn a_plan_that_only_begins_later_because_it_has_begun_is_no_news() {
    let now = MADE.plus(10 * MINUTE);
    let standing = opened(0, Some(240), Notch::Half);
    assert!(!is_news(&standing, &opened(10, Some(240), Notch::Half), now, false));
    assert!(is_news(&standing, &opened(10, Some(210), Notch::Half), now, false));
    assert!(is_news(&standing, &opened(10, None, Notch::Half), now, false));
    assert!(is_news(&standing, &opened(10, Some(240), Notch::Crack), now, false));
    assert!(is_news(&standing, &opened(40, Some(240), Notch::Half), now, false));
    assert!(is_news(&standing, &verdict(VentVerdict::Shut, Rule::Drying), now, false));
    let doubted = Verdict { doubts: vec![crate::advice::Doubt::NoSun], ..opened(10, Some(240), Notch::Half) };
    assert!(!is_news(&standing, &doubted, now, false));
}

#[test]
fn in_the_dark_the_word_for_the_night_stands_unless_harm_is_near() {
    let crack = verdict(VentVerdict::MoveAir, Rule::Night);
    let shut = verdict(VentVerdict::Shut, Rule::Night);
    assert!(is_news(&crack, &shut, MADE, false), "at dusk it can still be done");
    assert!(!is_news(&crack, &shut, MADE, true));
    assert!(is_news(&crack, &verdict(VentVerdict::Shut, Rule::Gale), MADE, true));
}

#[test]
fn shut_after_open_names_what_to_shut_by_day_only_and_by_what_was_told_of_it() {
    let vents = [Vent {
        slug: "lid".into(),
        name: "lid".into(),
        kind: VentKind::Lid,
        faces: None,
        minutes: None,
        mesh: false,
        positions: vec![Position { notch: Notch::Closed, words: "shut".into(), area_m2: None }],
    }];
    let open = Move { vent: Some("lid".into()), notch: Notch::Half, from: MADE, until: Some(MADE.plus(90 * MINUTE)) };
    let closed = Move { notch: Notch::Closed, until: None, ..open.clone() };
    let standing = Verdict { moves: vec![open], ..verdict(VentVerdict::Dry, Rule::Drying) };
    let closing = |rule, later, dark| {
        let mut candidate = verdict(VentVerdict::Shut, rule);
        close_what_stands_open(&mut candidate, Some(&standing), &[], &vents, (MADE.plus(later * MINUTE), dark));
        candidate.moves.len()
    };
    let told = |open, at: i64, standing: Option<&Verdict>, now: i64| {
        let mut candidate = verdict(VentVerdict::Shut, Rule::Cold);
        let known = [VentStands { vent: "lid".into(), open, at: MADE.plus(at * MINUTE) }];
        close_what_stands_open(&mut candidate, standing, &known, &vents, (MADE.plus(now * MINUTE), false));
        candidate.moves.len()
    };
    // Opened and told after "keep it shut"; shut and told while the plan has it open; told before the plan began.
    let keep = verdict(VentVerdict::Shut, Rule::Cold);
    assert_eq!([told(true, 10, Some(&keep), 60), told(true, 10, None, 60)], [1, 1]);
    assert_eq!([told(false, 40, Some(&standing), 60), told(false, -10, Some(&standing), 60)], [0, 1]);
    assert_eq!(told(true, 92, Some(&standing), 95), 1, "opened again after the plan had it shut");
    // What the evening asks to shut is not asked where all of it was told to be shut.
    let evening = |open| {
        let mut candidate = Verdict { moves: vec![closed.clone()], ..verdict(VentVerdict::Shut, Rule::Night) };
        let known = [VentStands { vent: "lid".into(), open, at: MADE }];
        close_what_stands_open(&mut candidate, None, &known, &vents, (MADE, false));
        candidate.moves.len()
    };
    assert_eq!([evening(false), evening(true)], [0, 1]);
    let asked = Verdict { moves: vec![closed.clone()], ..verdict(VentVerdict::Shut, Rule::Night) };
    let done = |open, at: i64| {
        let known = [VentStands { vent: "lid".into(), open, at: MADE.plus(at * MINUTE) }];
        is_told_done(&asked, MADE, &known, MADE.plus(60 * MINUTE))
    };
    assert!(done(false, 5) && !done(true, 5) && !done(false, -5) && !done(false, 61));
    assert_eq!(closing(Rule::Cold, 60, false), 1);
    assert_eq!(closing(Rule::Cold, 60, true), 0);
    assert_eq!(closing(Rule::Frozen, 60, false), 0);
    assert_eq!(closing(Rule::Gale, 60, false), 0, "nobody goes out for it while it blows");
    assert_eq!(closing(Rule::Cold, 95, false), 0, "the plan had it shut by then");
}

#[test]
fn shut_is_said_again_for_the_evening_and_for_the_morning_only() {
    let lid = Move { vent: Some("lid".into()), notch: Notch::Closed, from: MADE, until: None };
    let asked = |rule| Verdict { moves: vec![lid.clone()], ..verdict(VentVerdict::Shut, rule) };
    let plain = |rule| verdict(VentVerdict::Shut, rule);
    assert!(!is_news(&asked(Rule::Drying), &plain(Rule::MovingAir), MADE, false));
    assert!(is_news(&plain(Rule::Drying), &asked(Rule::Night), MADE, false));
    assert!(is_news(&asked(Rule::Night), &plain(Rule::Drying), MADE, false));
    assert!(!is_news(&asked(Rule::Night), &plain(Rule::Night), MADE, false));
}

#[test]
fn same_opening_is_not_said_again_for_another_hope() {
    let standing = verdict(VentVerdict::Dry, Rule::Drying);
    assert!(!is_news(&standing, &verdict(VentVerdict::MoveAir, Rule::MovingAir), MADE, false));
    assert!(is_news(&standing, &verdict(VentVerdict::Purge, Rule::Drying), MADE, false));
    let open = Verdict { rule: Rule::Drying, ..opened(0, Some(240), Notch::Half) };
    let purge = verdict(VentVerdict::Purge, Rule::Drying);
    assert!(!is_news(&open, &purge, MADE.plus(60 * MINUTE), false), "it stands open to dry already");
    assert!(is_news(&open, &purge, MADE.plus(241 * MINUTE), false));
}

#[test]
fn the_rounds_of_a_purge_are_one_plan() {
    let purge = |from_min: i64| Verdict {
        verdict: VentVerdict::Purge,
        look_again: Some(MADE.plus(300 * MINUTE)),
        ..opened(from_min, Some(from_min + 20), Notch::Half)
    };
    assert!(!is_news(&purge(0), &purge(15), MADE.plus(15 * MINUTE), false));
    assert!(!is_news(&purge(0), &purge(79), MADE.plus(79 * MINUTE), false));
    assert!(!is_news(&purge(0), &purge(80), MADE.plus(80 * MINUTE), false));
    assert!(is_news(&purge(0), &purge(200), MADE.plus(120 * MINUTE), false), "another beginning");
}

#[test]
fn steps_of_an_opening_that_has_begun_are_no_news() {
    let steps = |from_min: i64| {
        let mut all = opened(from_min, Some(from_min + 10), Notch::Crack);
        all.moves.extend(opened(from_min + 10, Some(240), Notch::Half).moves);
        all
    };
    assert!(!is_news(&steps(0), &steps(11), MADE.plus(11 * MINUTE), false));
}

#[test]
fn other_moves_under_the_same_word_hold_as_long_as_another_word_would() {
    for (word, rule) in [(VentVerdict::Dry, Rule::Drying), (VentVerdict::Unknown, Rule::SeasonAndHour)] {
        let current = Held { verdict: word, made_at: MADE };
        assert!(!may_move(&current, &verdict(word, rule), MADE.plus(30 * MINUTE - 1)), "{word:?}");
        assert!(may_move(&current, &verdict(word, rule), MADE.plus(30 * MINUTE)), "{word:?}");
    }
    let current = Held { verdict: VentVerdict::Cool, made_at: MADE };
    assert!(may_move(&current, &verdict(VentVerdict::Cool, Rule::Heat), MADE.plus(MINUTE)));
}

#[test]
fn what_was_set_on_leaving_stands_while_nobody_is_there() {
    let standing = Verdict { rule: Rule::HeatAhead, verdict: VentVerdict::Cool, ..opened(0, Some(600), Notch::Crack) };
    let mut idle = verdict(VentVerdict::Shut, Rule::Cold);
    let now = MADE.plus(60 * MINUTE);
    assert!(is_news(&standing, &idle, now, false), "somebody is there to shut it");
    idle.day.away = true;
    assert!(!is_news(&standing, &idle, now, false));
    idle.day.anyone = true;
    assert!(is_news(&standing, &idle, now, false));
    idle.day.anyone = false;
    assert!(is_news(&standing, &idle, MADE.plus(601 * MINUTE), false), "the plan is over");
}

#[test]
fn heat_ahead_is_not_said_again_for_half_an_hour_more_or_less() {
    let ahead =
        |from| Verdict { rule: Rule::HeatAhead, verdict: VentVerdict::Cool, ..opened(from, Some(600), Notch::Half) };
    assert!(!is_news(&ahead(120), &ahead(150), MADE, false));
    assert!(is_news(&ahead(120), &ahead(180), MADE, false));
}

#[test]
fn cover_is_said_again_for_another_state_or_hour_only_and_not_in_the_dark() {
    use crate::advice::{CoverMove, CoverState};
    let of = |rule, moves: &[(CoverState, i64)]| CoverVerdict {
        rule,
        moves: moves
            .iter()
            .map(|(state, min)| CoverMove {
                cover: "f".into(),
                state: *state,
                from: MADE.plus(min * MINUTE),
                until: None,
            })
            .collect(),
        look_again: None,
        low_c: None,
        dew_c: None,
        trays_in: false,
        doubts: Vec::new(),
        cautions: Vec::new(),
    };
    let standing = of(CoverRule::Frost, &[(CoverState::On, 120)]);
    let later = MADE.plus(40 * MINUTE);
    let news = |candidate: &CoverVerdict, now, dark| is_cover_news(&standing, MADE, candidate, now, dark);
    assert!(!news(&of(CoverRule::Frost, &[(CoverState::On, 150)]), later, false));
    assert!(news(&of(CoverRule::Frost, &[(CoverState::On, 180)]), later, false));
    assert!(news(&of(CoverRule::Leave, &[]), later, false), "it is not to be laid after all");
    assert!(!news(&of(CoverRule::Leave, &[]), MADE.plus(20 * MINUTE), false), "held");
    assert!(news(&of(CoverRule::Gale, &[(CoverState::Off, 20)]), MADE.plus(20 * MINUTE), false));
    assert!(!news(&of(CoverRule::Air, &[(CoverState::Folded, 40)]), later, true));
    // Laid as it was told to be: nothing new.
    assert!(!news(&of(CoverRule::Leave, &[]), MADE.plus(130 * MINUTE), false));
    // An hour after, what is true now is said, in the dark too; what still has to be done is to be done now, and said so once.
    let past = MADE.plus(180 * MINUTE);
    assert!(news(&of(CoverRule::Leave, &[]), past, false) && news(&of(CoverRule::Frost, &[]), past, true));
    assert!(news(&of(CoverRule::Frost, &[(CoverState::On, 180)]), past, false));
    assert!(!news(&of(CoverRule::Frost, &[(CoverState::On, 180)]), past, true), "nobody is sent out in the dark");
    let (now_said, later) = (of(CoverRule::Frost, &[(CoverState::On, 0)]), MADE.plus(180 * MINUTE));
    assert!(!is_cover_news(&now_said, MADE, &of(CoverRule::Frost, &[(CoverState::On, 180)]), later, false));
    // What asked for nothing last night does not stand for days.
    let (frost, leave) = (of(CoverRule::Frost, &[]), of(CoverRule::Leave, &[]));
    let over = |h: i64, dark| is_cover_news(&frost, MADE, &leave, MADE.plus(h * HOUR), dark);
    assert!(!over(11, false) && over(12, false) && !over(12, true));
    // A night that turns out colder is said in daylight.
    let low = |low_c, from| CoverVerdict { low_c: Some((low_c, 9)), ..of(CoverRule::Frost, &[(CoverState::On, from)]) };
    let colder = |low_c, dark| is_cover_news(&low(3, 0), MADE, &low(low_c, 10), MADE.plus(10 * MINUTE), dark);
    assert!(colder(1, false) && !colder(2, false) && !colder(1, true));
}

#[test]
fn a_verdict_from_the_future_holds_nothing() {
    assert!(may_flip(&OPEN, &verdict(VentVerdict::Shut, Rule::Drying), MADE.plus(-1)));
}
