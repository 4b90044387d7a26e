//! How a bed stands for water at one instant, and how much it would want.

use propstick_agronomy::water::balance::{self, Given};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::limits as l;
use super::{Band, Finger, WaterBed};
use crate::record::Feel;

/// How a bed stands for water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// What its soil holds and the crop can take.
    pub holds: balance::Bed,
    /// What is missing to a full soil, mm.
    pub missing_mm: Band,
    /// What the crop uses a day, mm.
    pub use_mm_d: Band,
    /// Days in a row up to yesterday whose climate was not known.
    pub unknown_d: u32,
    /// The last finger test.
    pub finger: Option<Finger>,
    /// The last watering.
    pub watered: Option<Millis>,
}

impl Standing {
    /// Days in hand before the crop suffers, least and most; none where the sum knows too little: its ends lie further apart than
    /// [`l::UNKNOWN_SPREAD`] of what the crop can take, and the low end has not used up [`l::PARTLY_USED`] of it.
    pub fn days_in_hand(&self) -> Option<(f64, f64)> {
        let readily_mm = self.holds.readily_mm();
        let narrow = self.missing_mm.spread() <= l::UNKNOWN_SPREAD * readily_mm;
        let sure = narrow || self.missing_mm.low >= l::PARTLY_USED * readily_mm;
        let days = |missing_mm: f64, use_mm_d: f64| ((readily_mm - missing_mm) / use_mm_d.max(0.01)).max(0.0);
        sure.then(|| (days(self.missing_mm.high, self.use_mm_d.high), days(self.missing_mm.low, self.use_mm_d.low)))
    }

    /// Whether even the low end of the sum has used up what the crop can take.
    pub fn is_short(&self) -> bool {
        self.missing_mm.low >= self.holds.readily_mm() - 1e-9
    }

    /// Whether a finger found it dry and no water worth the name has come since.
    pub fn felt_dry(&self) -> bool {
        self.finger.is_some_and(|finger| {
            finger.feel == Feel::Dry && self.is_short() && self.watered.is_none_or(|at| at.0 < finger.at_ms)
        })
    }

    /// Whether a finger found it moist or wet so lately that it still holds: until [`l::MOIST_SHARE`] of what the crop can take is used, at least a
    /// day, at most a fortnight.
    pub fn felt_moist(&self, now: Millis) -> bool {
        let Some(finger) = self.finger.filter(|finger| finger.feel != Feel::Dry) else { return false };
        let holds_d = (l::MOIST_SHARE * self.holds.readily_mm() / self.use_mm_d.likely.max(0.01)).clamp(1.0, 14.0);
        let age_ms = now.0 - finger.at_ms;
        (0..=(holds_d * 24.0 * HOUR as f64) as i64).contains(&age_ms)
    }
}

/// How much to give, rounded to what ±30 % deserves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// What is to reach the roots, mm.
    pub mm: f64,
    /// Whether it is a first share, after which the soil is felt again.
    pub first: bool,
    /// By what it is given.
    pub given: Given,
    /// Litres for the whole bed; none where its size is not known.
    pub litres: Option<f64>,
    /// Cans for the whole bed, halves up to two; none for drip or an unknown size.
    pub cans: Option<f64>,
    /// Minutes of drip; none for cans, or where the line's flow is not known.
    pub minutes: Option<f64>,
    /// How many square metres one can is for, where the bed is told by the square metre.
    pub m2_a_can: Option<f64>,
    /// Litres in the can that it is told in.
    pub can_l: f64,
}

/// How much to give to bring `mm` to the roots. `in_winter`: never more than `mm`, so rounded down.
///
/// The litres are those of the rounded cans or minutes.
pub fn dose(bed: &WaterBed, mm: f64, in_winter: bool) -> Option<Dose> {
    let mm = (mm > 0.0).then(|| mm.min(if in_winter { l::WINTER_MOST_MM } else { l::ONCE_MOST_MM }))?;
    let can_l = bed.can_l.filter(|litres| (1.0..=50.0).contains(litres)).unwrap_or(l::CAN_L);
    let given = bed.at_the_root();
    let gross_l = bed.area_m2.and_then(|m2| given.litres(mm, m2));
    let mut dose = Dose { mm, first: false, given, litres: None, cans: None, minutes: None, m2_a_can: None, can_l };
    let flow = bed.drip_l_min.filter(|flow| (0.01..=1_000.0).contains(flow));
    match (given, gross_l, flow) {
        (Given::Drip, Some(gross_l), Some(flow)) => {
            let minutes = to_minutes(gross_l / flow, in_winter);
            (dose.minutes, dose.litres) = (Some(minutes), Some(minutes * flow));
        }
        // A drip line whose flow nobody knows: litres stand for it.
        (Given::Drip, Some(gross_l), None) => dose.litres = Some(gross_l.round()),
        (_, Some(gross_l), _) => {
            let cans = to_cans(gross_l / can_l, in_winter);
            if in_winter && cans > l::WINTER_CANS {
                dose.m2_a_can = Some(m2_a_can(mm, can_l, given));
            } else {
                (dose.cans, dose.litres) = (Some(cans), Some(cans * can_l));
            }
        }
        (Given::Drip, None, _) => {}
        (_, None, _) if in_winter => dose.m2_a_can = Some(m2_a_can(mm, can_l, given)),
        (_, None, _) => {}
    }
    Some(dose)
}

fn m2_a_can(mm: f64, can_l: f64, given: Given) -> f64 {
    (can_l * given.efficiency() / mm).round().max(1.0)
}

/// Halves up to two, whole ones up to twelve, then fives; at least half a one. ±30 % has no use for more.
fn to_cans(cans: f64, down: bool) -> f64 {
    let step = if cans < 2.0 {
        0.5
    } else if cans <= 12.0 {
        1.0
    } else {
        5.0
    };
    stepped(cans, step, down).max(0.5)
}

/// Fives up to an hour, then quarters of an hour; at least five.
fn to_minutes(minutes: f64, down: bool) -> f64 {
    stepped(minutes, if minutes <= 60.0 { 5.0 } else { 15.0 }, down).max(5.0)
}

fn stepped(value: f64, step: f64, down: bool) -> f64 {
    let steps = value / step;
    (if down { (steps + 1e-9).floor() } else { steps.round() }) * step
}
