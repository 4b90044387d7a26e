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
mod tests;
