//! The garden as a TOML file.

mod bed;
mod check;
mod cover;
mod place;
mod presence;
mod structure;

use chrono_tz::Tz;
use serde::Deserialize;

use bed::BedText;
use check::{in_range, known, maybe_in_range};
use place::{CorrectionText, ExclusionText, PlacementText, SpotText, correction, exclusion, place, spot};
use presence::PresenceText;
use structure::{StructureText, structure};

use super::Garden;

/// What is wrong with a garden file: where, what stands there, and what may.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{key}: {what}")]
pub struct GardenError {
    /// The key, such as `structure[2].kind`.
    pub key: String,
    /// What is wrong and what is allowed.
    pub what: String,
}

fn wrong(key: impl Into<String>, what: impl Into<String>) -> GardenError {
    GardenError { key: key.into(), what: what.into() }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Text {
    garden: GardenText,
    #[serde(default)]
    presence: Vec<PresenceText>,
    #[serde(default)]
    structure: Vec<StructureText>,
    #[serde(default)]
    bed: Vec<BedText>,
    #[serde(default)]
    spot: Vec<SpotText>,
    #[serde(default)]
    placement: Vec<PlacementText>,
    #[serde(default)]
    correction: Vec<CorrectionText>,
    #[serde(default)]
    exclusion: Vec<ExclusionText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GardenText {
    name: String,
    lat: f64,
    lon: f64,
    #[serde(default)]
    alt_m: f64,
    zone: String,
    can_l: Option<f64>,
}

/// Reads a garden file and checks that it hangs together.
///
/// # Errors
/// The first thing wrong, with its key, what stands there and what is allowed.
pub fn parse_garden(text: &str) -> Result<Garden, GardenError> {
    let text: Text = toml::from_str(text).map_err(|e| wrong("file", e.to_string().trim().to_owned()))?;
    let g = text.garden;
    let zone: Tz = g.zone.parse().map_err(|_| {
        wrong("garden.zone", format!("{:?} is no zone; expected a name like \"Europe/Dublin\"", g.zone))
    })?;
    in_range("garden.lat", g.lat, -90.0, 90.0)?;
    in_range("garden.lon", g.lon, -180.0, 180.0)?;
    in_range("garden.alt_m", g.alt_m, -430.0, 9_000.0)?;
    maybe_in_range("garden.can_l", g.can_l, 0.5, 50.0)?;
    let mut garden =
        Garden { name: g.name, lat: g.lat, lon: g.lon, alt_m: g.alt_m, zone, can_l: g.can_l, ..Garden::empty() };
    for (i, p) in text.presence.iter().enumerate() {
        garden.presence.push(presence::presence(&format!("presence[{i}]"), p)?);
    }
    for (i, s) in text.structure.into_iter().enumerate() {
        let structure = structure(&format!("structure[{i}]"), s, &garden)?;
        garden.structures.push(structure);
    }
    for (i, b) in text.bed.into_iter().enumerate() {
        let bed = bed::bed(&format!("bed[{i}]"), b, &garden)?;
        garden.beds.push(bed);
    }
    cover::beds_of_covers(&garden)?;
    for (i, s) in text.spot.into_iter().enumerate() {
        let spot = spot(&format!("spot[{i}]"), s, &garden)?;
        garden.spots.push(spot);
    }
    for (i, s) in garden.structures.iter().enumerate() {
        if let Some(lead) = &s.lead_spot {
            known(&format!("structure[{i}].lead_spot"), lead, garden.spots_of(&s.slug).map(|x| x.slug.as_str()))?;
        }
    }
    for (i, p) in text.placement.into_iter().enumerate() {
        place(&format!("placement[{i}]"), p, &mut garden)?;
    }
    for (i, c) in text.correction.into_iter().enumerate() {
        garden.corrections.push(correction(&format!("correction[{i}]"), c)?);
    }
    for (i, x) in text.exclusion.into_iter().enumerate() {
        garden.exclusions.push(exclusion(&format!("exclusion[{i}]"), x)?);
    }
    Ok(garden)
}

#[cfg(test)]
mod tests;
