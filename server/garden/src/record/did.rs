//! Things done as somebody tells them, read into events.

use propstick_agronomy::disease::rows::Disease;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};

use super::telling::{in_range, instant, known, word};
use super::{Event, EventKind, EventSource, Untold};
use crate::instant::to_rfc3339;
use crate::model::{CoverState, Garden};

/// Nothing was found.
pub const NOTHING: &str = "nothing";
/// Something was found that nobody could name.
pub const SOMETHING: &str = "something";
/// What can be found that has no place on the scale of the risk, in answers and in words: it raises no level.
pub const UNSCORED: [(&str, &str); 3] =
    [("dry-mildew", "dry mildew"), ("stem-rot", "stem rot"), ("damping-off", "damping off")];
/// Water given at the roots.
pub const AT_ROOT: &str = "root";
/// Water given over the leaves.
pub const OVERHEAD: &str = "overhead";

/// The units of water, with the least and the most that can be meant.
const WATER_UNITS: [(&str, f64, f64); 4] =
    [("L", 0.1, 20_000.0), ("can", 0.25, 1_000.0), ("min", 0.5, 1_440.0), ("mm", 0.1, 150.0)];

/// A thing done, in words: the body of a request, and of a recording's line.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Did {
    /// When, RFC 3339; now if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub t: Option<String>,
    /// The word of an [`EventKind`].
    pub kind: String,
    /// Slug of what it was done to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target: Option<String>,
    /// What exactly, in a word of the kind's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
    /// How much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<f64>,
    /// In which unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
}

impl Did {
    /// An event in words.
    pub fn of(event: &Event) -> Did {
        Did {
            t: Some(to_rfc3339(event.t)),
            kind: event.kind.word().to_owned(),
            target: Some(event.target.clone()),
            what: event.what.clone(),
            amount: event.amount,
            unit: event.unit.clone(),
        }
    }

    /// The event that the words tell, checked against the garden. `advised` gives the structure of an advice by its number.
    ///
    /// # Errors
    /// The first thing wrong, with its key, what stands there and what is allowed.
    pub fn event(
        &self,
        garden: &Garden,
        now: Millis,
        advised: &dyn Fn(i64) -> Option<String>,
    ) -> Result<Event, Untold> {
        let kind = word("kind", &self.kind, &EventKind::ALL, EventKind::word)?;
        let t = instant(self.t.as_deref(), now)?;
        let (target, what) = match kind {
            EventKind::Vent => self.vent(garden)?,
            EventKind::Water => self.water(garden)?,
            EventKind::Fleece => self.fleece(garden)?,
            EventKind::Found => self.found(garden)?,
            EventKind::Done | EventKind::NotDone => self.advice(advised)?,
        };
        let (amount, unit) = self.amount(kind)?;
        let (id, origin, undone_at) = (0, 0, None);
        Ok(Event { id, t, kind, target, what: Some(what), amount, unit, source: EventSource::Tap, origin, undone_at })
    }

    fn vent(&self, garden: &Garden) -> Result<(String, String), Untold> {
        let target = self.target()?;
        known("target", target, garden.structures.iter().flat_map(|s| &s.vents).map(|v| v.slug.as_str()))?;
        let positions = garden.vent(target).map_or(&[][..], |(_, vent)| &vent.positions);
        let notches: Vec<_> = positions.iter().map(|p| p.notch).collect();
        let notch = word("what", self.what()?, &notches, |notch| notch.word())?;
        Ok((target.to_owned(), notch.word().to_owned()))
    }

    fn water(&self, garden: &Garden) -> Result<(String, String), Untold> {
        let target = self.bed_or_structure(garden)?;
        let how = word("what", self.what.as_deref().unwrap_or(AT_ROOT), &[AT_ROOT, OVERHEAD], |how| how)?;
        Ok((target, how.to_owned()))
    }

    fn fleece(&self, garden: &Garden) -> Result<(String, String), Untold> {
        let target = self.target()?;
        known("target", target, garden.structures.iter().flat_map(|s| &s.covers).map(|c| c.slug.as_str()))?;
        let state = word("what", self.what()?, &CoverState::ALL, CoverState::word)?;
        Ok((target.to_owned(), state.word().to_owned()))
    }

    fn found(&self, garden: &Garden) -> Result<(String, String), Untold> {
        let target = self.bed_or_structure(garden)?;
        let mut words = vec![NOTHING, SOMETHING];
        words.extend(Disease::ALL.iter().map(|disease| disease.row().id));
        words.extend(UNSCORED.map(|(word, _)| word));
        let what = word("what", self.what()?, &words, |what| what)?;
        Ok((target, what.to_owned()))
    }

    fn advice(&self, advised: &dyn Fn(i64) -> Option<String>) -> Result<(String, String), Untold> {
        let number = self.what()?;
        let none = || Untold::new("what", number, "is no advice that was given", "the number of an advice");
        let structure = number.parse().ok().and_then(advised).ok_or_else(none)?;
        if let Some(other) = self.target.as_deref().filter(|target| *target != structure) {
            return Err(Untold::new("target", other, "is not what that advice was for", structure));
        }
        Ok((structure, number.to_owned()))
    }

    fn amount(&self, kind: EventKind) -> Result<(Option<f64>, Option<String>), Untold> {
        let (amount, unit) = match (self.amount, self.unit.as_deref()) {
            (None, None) => return Ok((None, None)),
            (Some(amount), None) => {
                return Err(Untold::new("unit", "", "is missing beside the amount", format!("a unit of {amount}")));
            }
            (None, Some(unit)) => {
                return Err(Untold::new("amount", "", "is missing beside the unit", format!("how many {unit}")));
            }
            (Some(amount), Some(unit)) => (amount, unit),
        };
        let units: &[(&'static str, f64, f64)] = match kind {
            EventKind::Water => &WATER_UNITS,
            EventKind::Found => &[("count", 1.0, 100_000.0)],
            EventKind::Vent | EventKind::Fleece | EventKind::Done | EventKind::NotDone => &[],
        };
        if units.is_empty() {
            let says = format!("goes with no {} event", kind.word());
            return Err(Untold::new("amount", amount.to_string(), says, "no amount"));
        }
        let (unit, low, high) = word("unit", unit, units, |(unit, ..)| unit)?;
        Ok((Some(in_range("amount", amount, low, high, unit)?), Some(unit.to_owned())))
    }

    fn bed_or_structure(&self, garden: &Garden) -> Result<String, Untold> {
        let target = self.target()?;
        let beds = garden.beds.iter().map(|b| b.slug.as_str());
        known("target", target, beds.chain(garden.structures.iter().map(|s| s.slug.as_str())))?;
        Ok(target.to_owned())
    }

    fn target(&self) -> Result<&str, Untold> {
        self.target
            .as_deref()
            .ok_or_else(|| Untold::new("target", "", "is missing", "the short name of what it was done to"))
    }

    fn what(&self) -> Result<&str, Untold> {
        self.what
            .as_deref()
            .ok_or_else(|| Untold::new("what", "", "is missing", "a word that says what was done or found"))
    }
}

impl Event {
    /// Whether it was water over the leaves.
    pub fn is_overhead(&self) -> bool {
        self.kind == EventKind::Water && self.what.as_deref() == Some(OVERHEAD)
    }

    /// The structure that it was done in, if that still stands in the garden.
    pub fn structure<'g>(&self, garden: &'g Garden) -> Option<&'g str> {
        structure_of(garden, &self.target)
    }
}

/// The structure of an opening, a cover, a bed, or of that name itself.
pub(super) fn structure_of<'g>(garden: &'g Garden, slug: &str) -> Option<&'g str> {
    let of_bed = || garden.bed(slug).map(|bed| bed.structure.as_str());
    let of_part = || garden.vent(slug).map(|(s, _)| s).or_else(|| garden.cover(slug).map(|(s, _)| s));
    garden.structure(slug).map(|s| s.slug.as_str()).or_else(of_bed).or_else(|| of_part().map(|s| s.slug.as_str()))
}

#[cfg(test)]
mod tests;
