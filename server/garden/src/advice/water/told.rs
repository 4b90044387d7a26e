//! What people told of a bed: waterings and finger tests, from the records of things done and seen.

use propstick_agronomy::water::balance::Given;
use propstick_agronomy::water::constants as c;
use propstick_wire::Millis;

use super::{Band, WaterBed, limits as l};
use crate::record::{Event, EventKind, Feel, Observation, Seen};

/// One thing told of a bed, at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Told {
    /// When.
    pub at: Millis,
    /// What.
    pub what: BedEvent,
}

/// What was told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BedEvent {
    /// It was watered: what reached the roots, mm; none where nobody said how much, or where the bed's size is not known.
    Watered(Option<Band>),
    /// A finger was pushed in.
    Finger(Feel),
}

/// A bed by its own slug, its structure's, and what all beds of that structure measure together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target<'a> {
    /// The bed.
    pub bed: &'a str,
    /// Its structure.
    pub structure: &'a str,
    /// Area of all beds of the structure, m²; none where one of them is not known.
    pub structure_area_m2: Option<f64>,
}

/// What was told of a bed, in order of time: waterings of the bed itself or of everything in its structure, and finger tests. What was undone, and
/// what is not told of this bed, is left out.
pub fn told_of(bed: &WaterBed, target: Target<'_>, events: &[Event], observations: &[Observation]) -> Vec<Told> {
    let waterings = events.iter().filter(|e| e.counts() && e.kind == EventKind::Water).filter_map(|event| {
        let area_m2 = if event.target == target.bed {
            bed.area_m2
        } else if event.target == target.structure {
            target.structure_area_m2
        } else {
            return None;
        };
        Some(Told { at: event.t, what: BedEvent::Watered(reached_mm(bed, area_m2, event)) })
    });
    let fingers = observations.iter().filter(|o| o.undone_at.is_none()).filter_map(|seen| match &seen.seen {
        Seen::Finger { bed, feel } if bed == target.bed => Some(Told { at: seen.t, what: BedEvent::Finger(*feel) }),
        _ => None,
    });
    let mut all: Vec<Told> = waterings.chain(fingers).collect();
    // At one instant a finger goes in before the can comes.
    all.sort_by_key(|told| (told.at, matches!(told.what, BedEvent::Watered(_))));
    all
}

/// What of a watering reached the roots, mm: less at the least and more at the most by the range of the way it was given (climate sheet 4.5).
fn reached_mm(bed: &WaterBed, area_m2: Option<f64>, event: &Event) -> Option<Band> {
    let amount = event.amount.filter(|a| (0.0..=100_000.0).contains(a))?;
    let unit = event.unit.as_deref()?;
    let over_area = |litres: f64| Some(litres / area_m2.filter(|a| *a > 0.0 && *a <= 10_000.0)?);
    let gross_mm = match unit {
        "mm" => amount,
        "L" => over_area(amount)?,
        "can" => over_area(amount * bed.can_l.unwrap_or(l::CAN_L))?,
        "min" => over_area(amount * bed.drip_l_min?)?,
        _ => return None,
    };
    let overhead = event.what.as_deref() == Some("overhead");
    let given = match (overhead, unit) {
        (true, _) => Given::Sprinkler,
        (false, "min") => Given::Drip,
        (false, "can") => Given::Can,
        (false, _) => bed.at_the_root(),
    };
    let share = match given {
        Given::Drip => c::DRIP,
        Given::Can => c::CAN,
        Given::Sprinkler => c::SPRINKLER,
    };
    let gross_mm = gross_mm.min(500.0);
    Some(Band { low: gross_mm * share.lowest, likely: gross_mm * share.value, high: gross_mm * share.highest })
}
