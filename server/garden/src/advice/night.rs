//! The night's own rule, from closing time to sunrise: shut for frost and tender crops, a crack for mild damp nights over
//! hardy ones, open in summer.

use super::case::Case;
use super::limits::{DAMP_PCT, MOVING_AIR_C, TENDER_NIGHT_C};
use super::openings::Which;
use super::seen::{Comparison, Side};
use super::vent::wetter;
use super::{Aim, Caution, Doubt, Rule, VentVerdict, Verdict};
use crate::model::{Crops, Notch};

/// Outside air below this with a dew point at or below [`FROST_DEW_C`] can be frost by morning, °C (advice page, frost: the
/// crude rule that caught 45 of 46).
const FROST_AIR_C: f64 = 9.0;
/// See [`FROST_AIR_C`], °C. The crude rule asks for dew point - 2 <= 2; half of that margin is kept here, as shutting is only
/// one of the covers against frost.
const FROST_DEW_C: f64 = 3.0;

/// What to do for the night; none by day, or where inside and outside cannot be compared.
pub fn night(case: &Case) -> Option<Verdict> {
    let outside = case.seen.outside.filter(|_| case.day.is_night())?;
    let comparison = case.comparison()?;
    let ahead_c = case.outside_ahead_c()?;
    let heard_c = case.q.weather.low_tonight_c();
    // What was heard for this night says more of it than the dew point.
    let frost_c = match heard_c {
        Some(low_c) => (low_c <= MOVING_AIR_C).then_some(low_c),
        None => outside.dew_c.filter(|dew_c| may_freeze(outside.t_c, *dew_c)),
    };
    let frost_c = frost_c.or_else(|| {
        let frost = case.q.frost.as_ref().filter(|frost| frost.may_freeze())?;
        Some(f64::from(frost.low_c.0))
    });
    let tender = case.q.structure.crops == Crops::Tender;
    let (fog, guessed) = case.seen.fog(case.q);

    let frost_c = frost_c.or_else(|| case.night_low_c().filter(|low_c| *low_c <= MOVING_AIR_C));

    let mut verdict = if ahead_c <= MOVING_AIR_C || frost_c.is_some() {
        let mut verdict = limited(case, MOVING_AIR_C, frost_c.unwrap_or(ahead_c));
        verdict.figures.heard_low_c = heard_c.filter(|low_c| frost_c == Some(*low_c));
        verdict
    } else if tender && (ahead_c < TENDER_NIGHT_C || case.night_below(TENDER_NIGHT_C)) {
        let low_c = case.night_low_c().or(case.night_floor_c()).unwrap_or(ahead_c).min(ahead_c);
        let mut verdict = limited(case, TENDER_NIGHT_C, low_c);
        verdict.figures.heard_low_c = heard_c.filter(|heard_c| *heard_c < TENDER_NIGHT_C);
        verdict
    } else if comparison.side == Side::Wetter {
        wetter(case)
    } else if fog && comparison.side == Side::Within {
        case.shut(Aim::Dry, Rule::Night)
    } else if case.stays_open() {
        opened(case, &comparison, Notch::Full)
    } else if !tender && case.seen.inside?.rh_pct? >= DAMP_PCT {
        opened(case, &comparison, Notch::Crack)
    } else {
        case.shut(Aim::KeepWarmth, Rule::Night)
    };
    if comparison.side == Side::Within {
        verdict.doubts.push(Doubt::WithinBand);
    }
    if fog && guessed {
        verdict.doubts.push(Doubt::FogGuessed);
    }
    if verdict.verdict == VentVerdict::Shut {
        verdict.look_again = Some(case.day.next_opening());
        if !case.day.is_dark() {
            verdict.moves = case.shutting();
        }
    }
    Some(verdict)
}

/// Whether outside air of this temperature and dew point, °C, can be frost by morning.
pub fn may_freeze(air_c: f64, dew_c: f64) -> bool {
    dew_c <= FROST_DEW_C && air_c < FROST_AIR_C
}

fn limited(case: &Case, limit_c: f64, against_c: f64) -> Verdict {
    let mut verdict = case.shut(Aim::KeepWarmth, Rule::Night);
    verdict.figures.limit_c = Some(limit_c);
    verdict.figures.against_c = Some(against_c);
    verdict
}

fn opened(case: &Case, comparison: &Comparison, notch: Notch) -> Verdict {
    // The night's limits were held against it, so what was heard keeps above them.
    let heard = case.q.weather.low_tonight_c().is_some();
    let dries = comparison.side == Side::Drier && (comparison.humidity_falls || case.stays_open());
    let (kind, aim) = if dries { (VentVerdict::Dry, Aim::Dry) } else { (VentVerdict::MoveAir, Aim::MoveAir) };
    let mut verdict = case.verdict(kind, aim, Rule::Night);
    if dries {
        verdict.expect = case.exchanged();
    }
    verdict.cautions.push(if case.day.is_dark() {
        Caution::NotForThisInTheDark
    } else if heard {
        Caution::KeepTonight
    } else {
        Caution::ShutIfFrostOrGaleHeard
    });
    if case.q.weather.rain(case.q.now) && case.q.structure.vents.len() > 1 {
        verdict.cautions.push(Caution::WindwardIfRainIn);
    }
    case.open(verdict, Which::All, notch, case.day.now(), None)
}
