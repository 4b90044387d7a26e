//! Soil probes: a check on the sum, never its master.

use propstick_agronomy::water::constants as c;
use propstick_agronomy::water::tension::tension_of;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::WaterBed;

/// What a probe in a bed reads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Probe {
    /// Water content, m³/m³, 0 to 1.
    pub water_m3_m3: Option<f64>,
    /// What the same probe read a day or two after a thorough soaking, m³/m³: see [`learned_field_capacity`].
    pub field_capacity_m3_m3: Option<f64>,
    /// Tension, kPa, 0 to 80: beyond that the water column breaks.
    pub tension_kpa: Option<f64>,
}

/// What a probe says of a bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProbeSays {
    /// Dry beyond its doubt.
    Dry,
    /// It cannot tell.
    CannotTell,
    /// Wet enough beyond its doubt.
    WetEnough,
}

impl ProbeSays {
    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            ProbeSays::Dry => "dry",
            ProbeSays::CannotTell => "cannot-tell",
            ProbeSays::WetEnough => "wet-enough",
        }
    }
}

impl Probe {
    /// What it says of a bed: by tension where it has one, else by water content against the refill point `FC - p (FC - WP)` with ±0.05 of doubt.
    /// None where it reads nothing that can be meant. **Source**: climate sheet 4.5, from memory there.
    pub fn says(&self, bed: &WaterBed) -> Option<ProbeSays> {
        if let Some(kpa) = self.tension_kpa.filter(|kpa| (0.0..=80.0).contains(kpa)) {
            let wants = tension_of(bed.crop.name);
            return Some(if kpa > wants.to_kpa {
                ProbeSays::Dry
            } else if kpa < wants.from_kpa {
                ProbeSays::WetEnough
            } else {
                ProbeSays::CannotTell
            });
        }
        let (read, refill) = (self.water_m3_m3.filter(|v| (0.0..=1.0).contains(v))?, self.refill_m3_m3(bed)?);
        let doubt = c::PROBE_DOUBT.value;
        Some(if read + doubt < refill {
            ProbeSays::Dry
        } else if read - doubt > refill {
            ProbeSays::WetEnough
        } else {
            ProbeSays::CannotTell
        })
    }

    /// The water content at which the bed wants water, m³/m³; none without a soil or a learned field capacity.
    pub fn refill_m3_m3(&self, bed: &WaterBed) -> Option<f64> {
        let full = self.field_capacity_m3_m3.filter(|v| (0.0..=1.0).contains(v))?;
        let held_mm = bed.soil?.available_mm(1.0)?;
        Some(full - bed.crop.share * held_mm / 1_000.0)
    }
}

/// The field capacity that a probe's readings (instant and m³/m³, in order of time) show after a thorough soaking at `soaked`: the median of those
/// from 24 to 48 h after. None before 48 h are over, or with fewer than six readings that can be meant.
///
/// **Source**: climate sheet 4.5, from memory there.
pub fn learned_field_capacity(readings: &[(Millis, f64)], soaked: Millis, now: Millis) -> Option<f64> {
    let hours = |h: f64| soaked.plus((h * HOUR as f64) as i64);
    let (from, until) = (hours(c::DRAINED_FROM_H.value), hours(c::DRAINED_UNTIL_H.value));
    let drained = readings.iter().filter(|(t, v)| from <= *t && *t <= until && (0.0..=1.0).contains(v));
    let mut values: Vec<f64> = drained.map(|(_, v)| *v).collect();
    values.sort_by(f64::total_cmp);
    (now >= until && values.len() >= 6).then(|| values.get(values.len() / 2).copied())?
}
