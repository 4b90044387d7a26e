//! The vent decision: the rules in their order of safety, the first that applies decides.

use propstick_wire::millis::{HOUR, MINUTE};

use super::case::{Case, lowest_ahead, ordered};
use super::limits::{AFTER_THAW_H, FROZEN_C, MOVING_AIR_C, PURGE_MIN, STEP_MIN, STEPS_C, WARM_NIGHT_C, WARM_UP_MIN};
use super::openings::Which;
use super::seen::{Side, wets_surfaces};
use super::{
    Aim, AirFigures, Caution, Doubt, GaleWhen, Move, Outlook, Rule, VentQuestion, VentVerdict, Verdict, by_rule,
    day_plan, night, picking,
};
use crate::model::{Crops, Notch};

/// What to do with the vents of a structure now. None where nothing can be opened.
///
/// Rules 1 to 7 of the advice page, in that order; the night has its own in place of 6 and 7; season and hour stand in
/// where readings are missing. Drying is decided by climate sheet 6.4 with the dead band of both gauges.
pub fn decide_vent(q: &VentQuestion) -> Option<Verdict> {
    if q.structure.vents.is_empty() {
        return None;
    }
    let case = Case::of(q);
    let verdict = gale(&case)
        .or_else(|| frozen(&case))
        .or_else(|| heat(&case))
        .or_else(|| cold(&case))
        .or_else(|| wetting(&case))
        .or_else(|| night::night(&case))
        .or_else(|| day(&case))
        .unwrap_or_else(|| by_rule::season_and_hour(&case));
    let mut verdict = before_gale(&case, day_plan::fitted(&case, verdict));
    verdict.also = picking::also(&case, &verdict);
    Some(verdict)
}

/// 1. People, and gale: before one everything is shut and fastened in daylight; in the dark, and once it blows, nobody goes out for it.
///
/// One that is heard for the night leaves the day to the other rules until it is time to fasten.
fn gale(case: &Case) -> Option<Verdict> {
    let gale = case.gale().filter(|_| case.fasten_by().is_none())?;
    let heard = gale.when != GaleWhen::Blows;
    let mut verdict = case.shut(Aim::KeepWarmth, Rule::Gale);
    verdict.figures.gust_m_s = gale.gust_m_s;
    verdict.figures.gale_heard = heard;
    verdict.cautions.push(Caution::StayIn);
    if heard && !case.day.is_dark() {
        verdict.moves = case.shutting();
        verdict.cautions.push(Caution::Fasten);
    }
    Some(verdict)
}

/// A verdict of a day whose night is heard to bring a gale: nothing stands open beyond the hour at which all is fastened.
fn before_gale(case: &Case, verdict: Verdict) -> Verdict {
    let Some(by) = case.fasten_by() else { return verdict };
    let mut verdict = verdict;
    verdict.day.fasten_by = Some(by);
    let opens = |v: &Verdict| v.moves.iter().any(|m| m.notch != Notch::Closed);
    let wanted = opens(&verdict);
    verdict.moves.retain(|m| m.from < by);
    for m in &mut verdict.moves {
        m.until = Some(m.until.map_or(by, |until| until.min(by)));
    }
    let gale = case.gale();
    verdict.figures.gust_m_s = gale.and_then(|gale| gale.gust_m_s);
    verdict.figures.gale_heard = true;
    if wanted && !opens(&verdict) {
        // What was to be opened falls after that: only the fastening is left.
        let mut gale = case.shut(Aim::KeepWarmth, Rule::Gale);
        (gale.figures, gale.day) = (verdict.figures, verdict.day);
        (gale.figures.limit_c, gale.figures.against_c) = (None, None);
        gale.day.on_leaving = false;
        gale.day.further = None;
        gale.moves = case.shutting_at(by);
        gale.cautions = vec![Caution::Fasten, Caution::StayIn];
        return gale;
    }
    let to_mind = |caution: &Caution| {
        !matches!(caution, Caution::KeepOpenNights | Caution::KeepTonight | Caution::ShutIfFrostOrGaleHeard)
    };
    verdict.cautions.retain(to_mind);
    verdict.cautions.extend([Caution::Fasten, Caution::StayIn]);
    verdict
}

/// 2. Frozen leaves are left alone until they have gone soft.
fn frozen(case: &Case) -> Option<Verdict> {
    case.is_frozen().then(|| {
        let mut verdict = case.shut(Aim::KeepWarmth, Rule::Frozen);
        verdict.figures.limit_c = Some(FROZEN_C);
        verdict.figures.against_c =
            case.q.frost_memory.map(|m| m.lowest_c).or_else(|| case.seen.inside.map(|air| air.t_c));
        verdict.look_again = Some(case.day.thaw());
        verdict.cautions.push(Caution::LeaveFrozenAlone);
        if case.day.is_dark() {
            verdict.cautions.push(Caution::StayIn);
        }
        verdict.moves = after_thaw(case);
        verdict
    })
}

/// Once the leaves are soft: the sheltered end at a crack for two hours, shut again in time; nothing where it is not light yet, the day is over by
/// then, fog hangs outside, or what opens has no crack.
fn after_thaw(case: &Case) -> Vec<Move> {
    let soft = case.day.thaw();
    let until = soft.plus(AFTER_THAW_H * HOUR).min(case.day.closing());
    let expected = Outlook::of(case.q, soft).outside_at(soft);
    let bitter = expected.is_some_and(|outside| outside.high < case.limits.outside_c);
    let today = !case.day.is_dark() && soft < until && !case.seen.fog(case.q).0 && !bitter;
    let mut moves = if today { case.moves(Which::Sheltered, Notch::Crack, soft, Some(until)) } else { Vec::new() };
    moves.retain(|m| m.notch == Notch::Crack);
    moves
}

/// 3. Heat: opened whatever the outside says.
///
/// In cold air the sheltered end comes first, in steps; in mild air everything
/// at once, because the time spent hot does the harm.
fn heat(case: &Case) -> Option<Verdict> {
    let inside = case.seen.inside.filter(|air| air.t_c > case.limits.hot_c)?;
    if case.day.is_dark() && !case.is_hot_twice() {
        return None;
    }
    let mut verdict = case.verdict(VentVerdict::Cool, Aim::MoveAir, Rule::Heat);
    verdict.figures.limit_c = Some(case.limits.hot_c);
    verdict.figures.against_c = Some(inside.t_c);
    let now = case.q.now;
    let half = now.plus(STEP_MIN * MINUTE);
    let until = case.until_evening().filter(|until| *until > half);
    if case.outside_c().is_some_and(|t| t >= STEPS_C) {
        verdict.moves = case.moves(Which::All, Notch::Full, now, until);
    } else {
        let opened = |notch, from, until| case.moves(Which::Sheltered, notch, from, until);
        verdict.moves = opened(Notch::Crack, now, Some(half));
        // What has no crack stands at its first position at once: there is no second step.
        if opened(Notch::Half, now, Some(half)) == verdict.moves {
            verdict.moves = opened(Notch::Half, now, until);
        } else {
            verdict.moves.extend(opened(Notch::Half, half, until));
            verdict.cautions.push(Caution::InSteps);
        }
        verdict.look_again = Some(now.plus(2 * STEP_MIN * MINUTE));
        if case.has_soft() {
            verdict.cautions.push(Caution::NoThroughDraught);
        }
    }
    if verdict.moves.is_empty() {
        // Heat kills where cold only checks: what can only be wide open is opened wide.
        verdict.moves = case.wide_open(now, until);
    }
    verdict.expect.air_c = case.outside_c().map(|out| ordered(out, case.limits.hot_c));
    Some(verdict)
}

/// 4. Cold: the crop's limits, now and as far ahead as the trend is carried.
fn cold(case: &Case) -> Option<Verdict> {
    let limits = case.limits;
    let inside = case.seen.inside?;
    let outside_c = case.outside_ahead_c();
    // Air inside does not fall below that outside by airing.
    let floor_c = outside_c.unwrap_or(f64::MIN).min(inside.t_c);
    let inside_ahead_c = lowest_ahead(inside.t_c, case.q.trend_inside_c_h).max(floor_c);
    let rising = case.q.trend_inside_c_h.is_some_and(|trend| trend > 0.0);
    let settled_c = case.settled_c();
    let (limit_c, against_c) = if let Some(outside_c) = outside_c.filter(|t| *t < limits.outside_c) {
        (limits.outside_c, outside_c)
    } else if inside_ahead_c < limits.venting_c || (inside.t_c <= limits.venting_c && !rising) {
        (limits.venting_c, inside_ahead_c)
    } else if let Some(settled_c) = settled_c.filter(|t| *t < limits.chill_c) {
        (limits.chill_c, settled_c)
    } else {
        return None;
    };
    let mut verdict = case.shut(Aim::KeepWarmth, Rule::Cold);
    verdict.figures.limit_c = Some(limit_c);
    verdict.figures.against_c = Some(against_c);
    verdict.look_again = case.day.later_today(2 * HOUR).filter(|_| !case.day.is_night());
    Some(verdict)
}

/// 5. Wetting of surfaces.
fn wetting(case: &Case) -> Option<Verdict> {
    wets_surfaces(&case.seen, case.q).then(|| {
        let mut verdict = case.shut(Aim::Dry, Rule::Wetting);
        verdict.figures.limit_c = case.seen.inside.map(|air| air.t_c.max(case.q.surface_c.unwrap_or(air.t_c)));
        verdict.figures.against_c = case.seen.outside.and_then(|air| air.dew_c);
        verdict.look_again = case.day.noon_or_later();
        verdict
    })
}

/// 6. Drying, by climate sheet 6.4 outside the dead band. 7. Moving air, inside it.
fn day(case: &Case) -> Option<Verdict> {
    let comparison = case.comparison()?;
    let outside = case.seen.outside?;
    if comparison.side == Side::Wetter {
        return Some(wetter(case));
    }
    if comparison.side == Side::Within {
        return Some(moving_air(case, outside));
    }
    if !case.day.has_window() {
        return Some(case.shut(Aim::KeepWarmth, Rule::Drying));
    }
    let from = case.day.opening();
    let (which, notch) = drying_position(case, outside.t_c);
    // A purge saves warmth. Where openings may stand open all night there is none to save, and surfaces dry as water goes
    // out even where the humidity of the cooler air does not fall (climate sheet 6.4, third way).
    if comparison.humidity_falls || case.stays_open() {
        let mut verdict = case.verdict(VentVerdict::Dry, Aim::Dry, Rule::Drying);
        verdict.expect = case.exchanged();
        if case.stays_open() {
            verdict.cautions.push(Caution::KeepOpenNights);
        }
        Some(case.open(verdict, which, notch, from, case.until_evening()))
    } else {
        let mut verdict = case.verdict(VentVerdict::Purge, Aim::Dry, Rule::Drying);
        verdict.expect = case.exchanged();
        let until = from.plus(PURGE_MIN * MINUTE).min(case.day.closing());
        // One plan for the day: open and shut in turn until closing time, where there is time for another round.
        let again = until.plus(WARM_UP_MIN * MINUTE);
        verdict.look_again = (again < case.day.closing()).then_some(case.day.closing());
        Some(case.open(verdict, which, notch.min(Notch::Half), from, Some(until)))
    }
}

/// Outside holds more water: opening adds to it.
pub fn wetter(case: &Case) -> Verdict {
    let mut verdict = case.shut(Aim::Dry, Rule::Drying);
    verdict.look_again = case.day.noon_or_later();
    verdict
}

/// How far to open for drying: the colder or the softer, the less.
fn drying_position(case: &Case, outside_c: f64) -> (Which, Notch) {
    if outside_c >= WARM_NIGHT_C {
        (Which::All, Notch::Full)
    } else if outside_c < 5.0 || case.has_soft() {
        (Which::Sheltered, Notch::Half)
    } else {
        (Which::All, Notch::Half)
    }
}

/// The gauges cannot tell inside from outside: air is moved where that costs nothing, and it is said that it will not dry.
fn moving_air(case: &Case, outside: AirFigures) -> Verdict {
    let (fog, guessed) = case.seen.fog(case.q);
    let warm_enough = outside.t_c > MOVING_AIR_C
        && (case.q.structure.crops != Crops::Tender || outside.t_c >= WARM_NIGHT_C)
        && case.day.has_window();
    if fog || !warm_enough {
        let mut verdict = case.shut(if fog { Aim::Dry } else { Aim::KeepWarmth }, Rule::MovingAir);
        verdict.doubts.push(Doubt::WithinBand);
        if guessed {
            verdict.doubts.push(Doubt::FogGuessed);
        }
        return verdict;
    }
    let mut verdict = case.verdict(VentVerdict::MoveAir, Aim::MoveAir, Rule::MovingAir);
    verdict.doubts.push(Doubt::WithinBand);
    // A night heard to stay above 4 °C, or a dew point above that, which keeps it so: then the crack may stay.
    let mild_night = case.mild_night();
    if mild_night {
        let heard = case.q.weather.low_tonight_c().is_some();
        verdict.cautions.push(if heard { Caution::KeepTonight } else { Caution::ShutIfFrostOrGaleHeard });
    }
    let until = case.until_evening().filter(|_| !mild_night);
    // Warm enough to stand open all night is warm enough to stand open.
    let notch = if until.is_none() && case.stays_open() { Notch::Full } else { Notch::Crack };
    case.open(verdict, Which::All, notch, case.day.opening(), until)
}
