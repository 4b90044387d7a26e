//! What else the hour asks for: when to pick, what to look for, when not to sow.

use propstick_agronomy::growth::Speed;
use propstick_wire::millis::HOUR;

use super::case::Case;
use super::limits as l;
use super::{Also, Doubt, Rule, VentVerdict, Verdict};
use crate::model::{Crops, Notch};

/// The extra lines of a verdict. Over frozen leaves and before a gale there are none: there the verdict itself says what to leave.
pub fn also(case: &Case, verdict: &Verdict) -> Vec<Also> {
    let mut all = Vec::new();
    if let Some(soil_c) = case.q.sown_soil_c.filter(|soil_c| soil_c.is_finite() && *soil_c > l::LETTUCE_SOIL_C) {
        all.push(Also::SowLater { soil_c });
    }
    if matches!(verdict.rule, Rule::Frozen | Rule::Gale) || case.may_be_frozen() {
        return all;
    }
    let night = case.day.is_night();
    // Nobody picks at 38 °C, nor what is too cold to be aired.
    if case.q.picking && !night && !matches!(verdict.rule, Rule::Heat | Rule::Cold) {
        let pick = picking(case, verdict);
        let lightly = case.q.growth.filter(|growth| matches!(growth.speed, Some(Speed::Stopped | Speed::Slow)));
        let may_pick = matches!(pick, Some(Also::Pick { .. } | Also::PickIfNeeded));
        all.extend(pick);
        all.extend(lightly.filter(|_| may_pick).map(Also::GoLightly));
    }
    let damp_days = case.q.damp.damp_days.map_or(0, |days| days.read);
    if damp_days >= l::DAMP_DAYS {
        let warm = case.outside_c().is_some_and(|t| t >= l::WARM_NIGHT_C);
        if warm && case.q.structure.crops != Crops::Hardy {
            all.push(Also::Scout { tomorrow: night || verdict.verdict != VentVerdict::Dry });
        } else if !case.seen.fog(case.q).0 && !night {
            all.push(Also::BadLeaves);
        }
    }
    all
}

/// When to pick: an hour after it is opened to dry, to closing time; now where leaves are dry already. Where they are wet however long it has been
/// open, an hour from now at the earliest.
fn picking(case: &Case, verdict: &Verdict) -> Option<Also> {
    if case.seen.fog(case.q).0 {
        return Some(Also::PickLater);
    }
    // Nobody picks leaves in the heat of the day; on coming back in the evening it is over.
    let hot = verdict.rule == Rule::Heat && case.q.presence.as_ref().is_none_or(|there| there.holds(case.q.now));
    if hot {
        return None;
    }
    let until = case.day.closing();
    let opened = verdict.moves.iter().filter(|m| m.notch != Notch::Closed).map(|m| m.from).min();
    // What the season has not worked out yet the air tells: leaves count as wet from that humidity on.
    let damp = case.seen.inside.and_then(|air| air.rh_pct).map(|rh| rh >= l::WET_LEAF_PCT);
    let wet_now = case.q.damp.wet_now.or(damp.filter(|damp| *damp));
    let wet = wet_now == Some(true);
    let from = match (wet_now, verdict.verdict) {
        (Some(false), _) => case.q.now,
        (_, VentVerdict::Dry | VentVerdict::Cool) => {
            let dry = opened?.plus(HOUR);
            let sun = case.q.sunrise.map_or(dry, |rise| rise.plus(l::DRY_AFTER_SUNRISE_H * HOUR));
            if wet { dry.max(case.q.now.plus(HOUR)).max(sun) } else { dry }
        }
        (Some(true), _) => return Some(Also::PickIfNeeded),
        _ if verdict.doubts.contains(&Doubt::WithinBand) => return Some(Also::PickIfNeeded),
        _ => return None,
    };
    let mut from = if from > case.q.now { case.q.clock.nearest_half_hour(from) } else { from };
    let mut until = until;
    if let Some(there) = &case.q.presence {
        from = there.first_from(from)?;
        until = until.min(there.leaves_after(from)?);
    }
    (from < until).then_some(Also::Pick { from, until, wet })
}
