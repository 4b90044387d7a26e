//! Season and hour, where readings are missing: a rule one applies by looking out.

use propstick_wire::Millis;

use super::case::Case;
use super::limits::{DRY_DAY_PCT, MOVING_AIR_C, TENDER_NIGHT_C, WARM_NIGHT_C};
use super::openings::Which;
use super::{Aim, Caution, Rule, VentVerdict, Verdict};
use crate::model::{Crops, Notch};

/// What one does at this season and hour, marked as by rule and not by reading. Where nothing is read inside the verdict is
/// unknown, and the rule is given all the same.
pub fn season_and_hour(case: &Case) -> Verdict {
    let mut verdict = rule(case);
    verdict.by_rule = true;
    verdict.cautions.push(Caution::LookOutFirst);
    if case.seen.inside.is_none() {
        verdict.verdict = VentVerdict::Unknown;
    }
    verdict
}

fn rule(case: &Case) -> Verdict {
    let day = &case.day;
    let tender = case.q.structure.crops == Crops::Tender;
    // What was heard of the night, or is worked out of it, stands in for what is not read outside.
    let low_c = case.night_low_c();
    let freezes = case.q.frost.as_ref().is_some_and(|frost| frost.may_freeze());
    let cold = freezes || low_c.is_some_and(|c| if tender { c < TENDER_NIGHT_C } else { c <= MOVING_AIR_C });
    let stays = day.is_summer() && !cold && low_c.is_none_or(|c| c >= WARM_NIGHT_C);
    let until: Option<Millis> = (!stays).then(|| day.closing());
    let open = |which, notch| {
        let verdict = case.verdict(VentVerdict::MoveAir, Aim::MoveAir, Rule::SeasonAndHour);
        case.open(verdict, which, notch, day.opening(), until)
    };
    if day.is_night() {
        let mild_out = day.is_summer() && !cold && !case.outside_c().is_some_and(|t| t < TENDER_NIGHT_C);
        if mild_out && !day.is_dark() {
            let verdict = case.verdict(VentVerdict::MoveAir, Aim::MoveAir, Rule::SeasonAndHour);
            let notch = if stays { Notch::Full } else { Notch::Crack };
            return case.open(verdict, Which::All, notch, day.now(), None);
        }
        let mut verdict = case.shut(Aim::KeepWarmth, Rule::SeasonAndHour);
        verdict.look_again = Some(day.next_opening());
        if day.is_dark() {
            // Nobody is sent out for a rule.
            verdict.cautions.push(Caution::NotForThisInTheDark);
        } else {
            verdict.moves = case.shutting();
        }
        return verdict;
    }
    let outside_c = case.outside_ahead_c();
    let too_cold = outside_c.is_some_and(|t| t < case.limits.outside_c);
    if !day.has_window() || too_cold || case.seen.fog(case.q).0 {
        return case.shut(Aim::KeepWarmth, Rule::SeasonAndHour);
    }
    if case.may_be_frozen() {
        let mut verdict = open(Which::Sheltered, Notch::Crack);
        verdict.cautions.push(Caution::OnlyIfSoft);
        return verdict;
    }
    if day.is_summer() {
        open(Which::All, Notch::Full)
    } else if case.seen.outside.and_then(|air| air.rh_pct).is_some_and(|rh| rh < DRY_DAY_PCT) {
        // Outside is seen to be dry: under cover from autumn to spring it is hardly ever drier.
        open(Which::Sheltered, Notch::Half)
    } else if tender || outside_c.is_some_and(|t| t <= MOVING_AIR_C) {
        open(Which::Sheltered, Notch::Crack)
    } else if day.is_winter() {
        open(Which::All, Notch::Crack)
    } else {
        open(Which::All, Notch::Half)
    }
}
