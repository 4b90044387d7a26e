//! How long a verdict holds before it may flip.

use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::{Also, CoverMove, CoverRule, CoverVerdict, Move, Rule, VentVerdict, Verdict};
use crate::model::{Notch, Vent};

/// How long a verdict must have stood before another may take its place, minutes (the design's page).
pub const HOLD_MIN: i64 = 30;

/// A verdict that has been given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Held {
    /// The verdict.
    pub verdict: VentVerdict,
    /// When it was given.
    pub made_at: Millis,
}

/// Whether `candidate` may take the place of the verdict that stands at `now`.
///
/// A verdict holds for 30 minutes, so that nobody is sent out twice for a cloud. Rules 1 to 4 break the hold: gale,
/// frozen leaves, heat and cold do their harm within the half hour, and what they ask for is never the riskier side. So
/// does the loss of all readings inside, and their return: not knowing is said at once. The same verdict again is no flip.
/// A verdict from the future (a clock was set back) holds nothing.
pub fn may_flip(current: &Held, candidate: &Verdict, now: Millis) -> bool {
    let to_or_from_unknown = [current.verdict, candidate.verdict].contains(&VentVerdict::Unknown);
    candidate.verdict == current.verdict || to_or_from_unknown || may_move(current, candidate, now)
}

/// Whether other moves may take the place of those that stand: the same hold, also where the verdict stays in its word.
pub fn may_move(current: &Held, candidate: &Verdict, now: Millis) -> bool {
    candidate.rule.is_urgent() || !(0..HOLD_MIN * MINUTE).contains(&now.since(current.made_at))
}

/// Whether `candidate` says anything that the verdict that stands does not: another verdict, other openings or notches, or
/// other times. Only then is it given and stored.
///
/// Moves that begin now begin a little later each time they are worked out anew; that is no news, nor are the steps of an
/// opening already begun, nor the rounds of a purge; nor a purge while something stands open to dry: whoever has opened for
/// the day is not sent back to open and shut in turn. Doubts, cautions and figures alone are none either. In the
/// dark what was said for the night stands till morning, as nobody goes out for another word; and the same opening is not
/// said again because the difference outside has crept over or under what the gauges can tell.
pub fn is_news(standing: &Verdict, candidate: &Verdict, now: Millis, dark: bool) -> bool {
    if dark && standing.rule == Rule::Night && candidate.rule == Rule::Night {
        return false;
    }
    let blind = |v: &Verdict| v.verdict == VentVerdict::Unknown;
    if dark && standing.by_rule && candidate.by_rule && blind(standing) == blind(candidate) {
        return false;
    }
    // A gale that is heard of, or of no more, is news whatever else stands; so is one that blows already, when nobody is sent any more.
    let of_gale =
        |v: &Verdict| (v.rule == Rule::Gale, v.day.fasten_by.is_some(), v.rule == Rule::Gale && v.moves.is_empty());
    let (stands, comes) = (of_gale(standing), of_gale(candidate));
    if (stands.0, stands.1) != (comes.0, comes.1) || (comes.2 && !stands.2) {
        return true;
    }
    // While nobody is there and nothing is asked of anybody, what was set on leaving stands.
    let idle = candidate.day.away && candidate.moves.is_empty() && !candidate.day.anyone;
    if idle && standing.moves.iter().any(|m| m.until.is_none_or(|until| now < until)) {
        return false;
    }
    let in_force = |m: &Move| m.notch != Notch::Closed && m.from <= now && m.until.is_some_and(|until| now < until);
    let drying =
        standing.verdict == VentVerdict::Dry && standing.rule == Rule::Drying && candidate.rule == Rule::Drying;
    if drying && candidate.verdict == VentVerdict::Purge && standing.moves.iter().any(in_force) {
        return false;
    }
    let of_the_edge = |v: &Verdict| {
        v.rule == Rule::HeatAhead
            || (matches!(v.verdict, VentVerdict::Dry | VentVerdict::MoveAir) && !v.rule.is_urgent())
    };
    let same_word = standing.verdict == candidate.verdict || (of_the_edge(standing) && of_the_edge(candidate));
    if !same_word || standing.by_rule != candidate.by_rule {
        return true;
    }
    // The evening asks once, and the morning has its own word.
    let of_the_night = |v: &Verdict| v.rule == Rule::Night;
    if standing.verdict == VentVerdict::Shut && candidate.verdict == VentVerdict::Shut {
        // Shut is shut.
        // What opens later, after a thaw, has its places and hours; whether it does is news either way.
        let later = |v: &Verdict| {
            let opens = v.moves.iter().filter(|m| m.notch != Notch::Closed);
            opens.map(|m| (m.vent.clone(), m.notch, m.from, m.until)).collect::<Vec<_>>()
        };
        if later(standing) != later(candidate) {
            return true;
        }
        // A word that has run out gives way to the next: cold of the evening before is no reason for the morning, nor "at noon" for the afternoon.
        let ran_out = standing.look_again.is_none_or(|at| at <= now) && candidate.look_again.is_some_and(|at| at > now);
        return of_the_night(standing) != of_the_night(candidate)
            || (!dark && ran_out)
            || (standing.moves.is_empty() && !candidate.moves.is_empty());
    }
    let places = |v: &Verdict| v.moves.iter().map(|m| (m.vent.clone(), m.notch)).collect::<Vec<_>>();
    if places(standing) != places(candidate) || (!dark && of_the_night(standing) != of_the_night(candidate)) {
        return true;
    }
    let begins = |v: &Verdict| v.moves.first().map(|m| m.from.max(now));
    if standing.verdict == VentVerdict::Purge {
        return begins(standing) != begins(candidate);
    }
    if standing.rule == Rule::HeatAhead && candidate.rule == Rule::HeatAhead {
        // The hour of the heat to come moves a little with every reading: less than an hour is no news.
        let apart = begins(standing).zip(begins(candidate)).map_or(0, |(a, b)| a.since(b).abs());
        return apart >= HOUR;
    }
    let ends = |v: &Verdict| v.moves.last().map(|m| m.until);
    begins(standing) != begins(candidate) || ends(standing) != ends(candidate)
}

/// How long an opening said for drying stands for one that only moves air, or the other way round, h; judgement.
pub const EDGE_HOLD_H: i64 = 6;

/// Whether what was said at `made_at` of the same opening has outlived its aim: "to dry" does not stand for days of air that dries nothing.
pub fn is_outlived(standing: &Verdict, made_at: Millis, candidate: &Verdict, now: Millis) -> bool {
    standing.verdict != candidate.verdict && now.since(made_at) >= EDGE_HOLD_H * HOUR
}

/// How long an order for a cover stands after its hour, h: by then it is done, or what is true now is said; judgement.
pub const ORDER_HOLDS_H: i64 = 1;
/// How long a word that asks for nothing stands for another one of the kind, h: a night; judgement.
const WORD_HOLDS_H: i64 = 12;
/// By how much the lower end of the night must have fallen for an order to be said again with it, °C; judgement.
const COLDER_BY_C: i32 = 2;

/// Whether all that a cover verdict asks for lies an hour and more behind, or its end is past.
fn has_run_out(standing: &CoverVerdict, now: Millis) -> bool {
    let past =
        |one: &CoverMove| now.since(one.from) >= ORDER_HOLDS_H * HOUR || one.until.is_some_and(|until| until <= now);
    !standing.moves.is_empty() && standing.moves.iter().all(past)
}

/// Whether leaves that were wet when a verdict was given have dried, so that there is another word for picking.
pub fn is_picking_news(standing: &Verdict, candidate: &Verdict) -> bool {
    let pick =
        |v: &Verdict| v.also.iter().find_map(|also| if let Also::Pick { wet, .. } = also { Some(*wet) } else { None });
    pick(standing) == Some(true) && pick(candidate) == Some(false)
}

/// Whether a cover verdict says anything that the one that stands, given at `made_at`, does not, and may be said now: another state of a cover, or
/// another hour by an hour and more. It holds as long as one of openings does; gale, frozen leaves and frost break the hold. In the dark only the gale
/// and the morning's frozen leaves are news: nobody is sent out for a cover.
pub fn is_cover_news(
    standing: &CoverVerdict,
    made_at: Millis,
    candidate: &CoverVerdict,
    now: Millis,
    dark: bool,
) -> bool {
    // A word of last night that asked for nothing is no word of today.
    let asked_nothing = standing.moves.is_empty() && candidate.moves.is_empty();
    if asked_nothing && !dark && standing.rule != candidate.rule && now.since(made_at) >= WORD_HOLDS_H * HOUR {
        return true;
    }
    // What asks for nothing more may take the place of an order that has run out at any hour: nobody is sent out by it.
    if has_run_out(standing, now)
        && candidate.moves.iter().all(|one| one.from > now)
        && candidate.moves != standing.moves
    {
        return true;
    }
    if dark && !matches!(candidate.rule, CoverRule::Gale | CoverRule::Frozen) {
        return false;
    }
    // An hour that was named and is past is not named any more: what is still to be done is to be done now.
    let named = |one: &CoverMove| one.from > made_at && now.since(one.from) >= ORDER_HOLDS_H * HOUR;
    let still = |one: &CoverMove| {
        candidate.moves.iter().any(|m| (&m.cover, m.state) == (&one.cover, one.state) && m.from <= now)
    };
    if standing.moves.iter().any(|one| named(one) && still(one)) {
        return true;
    }
    // A colder night is said before it is dark.
    let colder = standing.low_c.zip(candidate.low_c).is_some_and(|(before, now)| before.0 - now.0 >= COLDER_BY_C);
    if candidate.rule == CoverRule::Frost && colder {
        return true;
    }
    let held = (0..HOLD_MIN * MINUTE).contains(&now.since(made_at));
    if held && !candidate.rule.is_urgent() {
        return false;
    }
    let ahead = |v: &CoverVerdict| {
        // What has begun is as good as done: the same order for now is not given twice.
        v.moves.iter().map(|one| (one.cover.clone(), one.state, one.from.max(now))).collect::<Vec<_>>()
    };
    let (stands, comes) = (ahead(standing), ahead(candidate));
    let told = |one: &(String, super::CoverState, Millis)| {
        stands.iter().any(|other| (&other.0, other.1) == (&one.0, one.1) && other.2.since(one.2).abs() < HOUR)
    };
    let taken_back = |one: &(String, super::CoverState, Millis)| {
        one.2 > now && !comes.iter().any(|other| (&other.0, other.1) == (&one.0, one.1))
    };
    let stay_in = (standing.rule == CoverRule::Gale) != (candidate.rule == CoverRule::Gale);
    stay_in || comes.iter().any(|one| !told(one)) || stands.iter().any(taken_back)
}

/// How an opening stands, as it was last told or as its contact has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VentStands {
    /// Slug of the opening.
    pub vent: String,
    /// Whether it stands open.
    pub open: bool,
    /// Since when, or the last time, that is known.
    pub at: Millis,
}

/// Lets a verdict that says shut name what has to be shut for it: openings that were told to stand open, and those that the advice that stands has opened
/// and nobody has told of since. Nobody who was told to open reads "keep it shut" as "go and shut it"; nobody who has told that it is shut is asked again.
/// In the dark, over frozen leaves and in a gale, nobody is sent.
pub fn close_what_stands_open(
    verdict: &mut Verdict,
    standing: Option<&Verdict>,
    known: &[VentStands],
    vents: &[Vent],
    (now, dark): (Millis, bool),
) {
    let kept = matches!(verdict.rule, Rule::Frozen | Rule::Gale) || verdict.day.fasten_by.is_some();
    if kept || verdict.verdict != VentVerdict::Shut {
        return;
    }
    let told = |slug: &str| known.iter().filter(|one| one.vent == slug && one.at <= now).max_by_key(|one| one.at);
    if verdict.moves.is_empty() {
        let open = |vent: &&Vent| {
            let (told, planned) = (told(&vent.slug), standing.and_then(|v| planned(v, &vent.slug, now)));
            match (told, planned) {
                (Some(told), Some((_, at))) if told.at >= at => told.open,
                (_, Some((open, _))) => open,
                (told, None) => told.is_some_and(|told| told.open),
            }
        };
        let shut = |v: &Vent| Move { vent: Some(v.slug.clone()), notch: Notch::Closed, from: now, until: None };
        if !dark {
            verdict.moves = vents.iter().filter(open).map(shut).collect();
        }
    } else if vents.iter().all(|vent| told(&vent.slug).is_some_and(|told| !told.open)) {
        // All of it is shut already, as it was told.
        verdict.moves.retain(|m| m.notch != Notch::Closed || m.from > now);
    }
}

/// Whether the advice that stands has an opening open at `now`, and since when that is so; none where it says nothing of it up to now.
fn planned(standing: &Verdict, slug: &str, now: Millis) -> Option<(bool, Millis)> {
    let of = |m: &&Move| m.vent.as_deref().is_none_or(|vent| vent == slug) && m.from <= now;
    let last = standing.moves.iter().filter(of).max_by_key(|m| m.from)?;
    match last.until.filter(|until| *until <= now) {
        Some(until) => Some((false, until)),
        None => Some((last.notch != Notch::Closed, last.from)),
    }
}

/// Whether the standing order was to shut, now or before, and all of it was told to be done since it was given at `made_at`.
pub fn is_told_done(standing: &Verdict, made_at: Millis, known: &[VentStands], now: Millis) -> bool {
    let done = |m: &Move| {
        let told = known.iter().filter(|one| m.vent.as_deref() == Some(one.vent.as_str()) && one.at <= now);
        m.notch == Notch::Closed
            && m.from <= now
            && told.max_by_key(|one| one.at).is_some_and(|one| !one.open && one.at >= made_at)
    };
    !standing.moves.is_empty() && standing.moves.iter().all(done)
}

#[cfg(test)]
mod tests {
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
        let open =
            Move { vent: Some("lid".into()), notch: Notch::Half, from: MADE, until: Some(MADE.plus(90 * MINUTE)) };
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
        let standing =
            Verdict { rule: Rule::HeatAhead, verdict: VentVerdict::Cool, ..opened(0, Some(600), Notch::Crack) };
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
        let ahead = |from| Verdict {
            rule: Rule::HeatAhead,
            verdict: VentVerdict::Cool,
            ..opened(from, Some(600), Notch::Half)
        };
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
        let low =
            |low_c, from| CoverVerdict { low_c: Some((low_c, 9)), ..of(CoverRule::Frost, &[(CoverState::On, from)]) };
        let colder = |low_c, dark| is_cover_news(&low(3, 0), MADE, &low(low_c, 10), MADE.plus(10 * MINUTE), dark);
        assert!(colder(1, false) && !colder(2, false) && !colder(1, true));
    }

    #[test]
    fn a_verdict_from_the_future_holds_nothing() {
        assert!(may_flip(&OPEN, &verdict(VentVerdict::Shut, Rule::Drying), MADE.plus(-1)));
    }
}
