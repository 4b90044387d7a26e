//! Spots, which device stands at which, and what is known of its readings.

use propstick_wire::quantity::Quantity;
use serde::Deserialize;

use super::check::{known, slug, stretch, word};
use super::{GardenError, wrong};
use crate::model::{Correction, Exclusion, Garden, Placement, Role, Spot};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SpotText {
    slug: String,
    structure: String,
    bed: Option<String>,
    role: String,
    height_m: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlacementText {
    device: String,
    channels: Vec<String>,
    spot: String,
    from: String,
    to: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CorrectionText {
    device: String,
    channel: String,
    from: String,
    to: Option<String>,
    #[serde(default = "one")]
    scale: f64,
    #[serde(default)]
    offset: f64,
    why: String,
}

fn one() -> f64 {
    1.0
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ExclusionText {
    device: String,
    channel: String,
    from: String,
    to: Option<String>,
    why: String,
}

/// The spot told at `key`.
pub(super) fn spot(key: &str, s: SpotText, garden: &Garden) -> Result<Spot, GardenError> {
    slug(&format!("{key}.slug"), &s.slug, garden.spots.iter().map(|x| x.slug.as_str()))?;
    known(&format!("{key}.structure"), &s.structure, garden.structures.iter().map(|x| x.slug.as_str()))?;
    if let Some(bed) = &s.bed {
        known(&format!("{key}.bed"), bed, garden.beds.iter().map(|x| x.slug.as_str()))?;
    }
    let role = word(&format!("{key}.role"), &s.role, Role::ALL, Role::word)?;
    if role == Role::Outside && garden.outside_spot().is_some() {
        return Err(wrong(format!("{key}.role"), "only one spot may have the role outside"));
    }
    Ok(Spot { slug: s.slug, structure: s.structure, bed: s.bed, role, height_m: s.height_m })
}

/// Adds the placements told at `key`.
pub(super) fn place(key: &str, p: PlacementText, garden: &mut Garden) -> Result<(), GardenError> {
    known(&format!("{key}.spot"), &p.spot, garden.spots.iter().map(|x| x.slug.as_str()))?;
    let (from, to) = stretch(key, &p.from, p.to.as_deref())?;
    for channel in p.channels {
        let (quantity, _) = Quantity::from_channel(&channel).ok_or_else(|| {
            wrong(format!("{key}.channels"), format!("{channel:?} names no quantity, such as \"air-temperature\""))
        })?;
        let placement = Placement { urn: p.device.clone(), channel, quantity, spot: p.spot.clone(), from, to };
        if let Some(other) = garden.placements.iter().find(|o| clash(o, &placement)) {
            return Err(wrong(
                key,
                format!(
                    "{} of {} at {} overlaps in time with the placement of {} of {} at {}; \
                     give the earlier one a `to`",
                    placement.channel, placement.urn, placement.spot, other.channel, other.urn, other.spot
                ),
            ));
        }
        garden.placements.push(placement);
    }
    Ok(())
}

/// Two placements may share neither (device, channel) nor (spot, quantity) at one instant.
fn clash(a: &Placement, b: &Placement) -> bool {
    let same = (a.urn == b.urn && a.channel == b.channel) || (a.spot == b.spot && a.quantity == b.quantity);
    let starts_before_end = |x: &Placement, y: &Placement| y.to.is_none_or(|to| x.from < to);
    same && starts_before_end(a, b) && starts_before_end(b, a)
}

/// The correction told at `key`.
pub(super) fn correction(key: &str, c: CorrectionText) -> Result<Correction, GardenError> {
    let (from, to) = stretch(key, &c.from, c.to.as_deref())?;
    if !(c.scale.is_finite() && c.scale > 0.0 && c.offset.is_finite()) {
        return Err(wrong(key, "scale must be a number above 0 and offset a number"));
    }
    let CorrectionText { device: urn, channel, scale, offset, why, .. } = c;
    Ok(Correction { urn, channel, from, to, scale, offset, why })
}

/// The exclusion told at `key`.
pub(super) fn exclusion(key: &str, x: ExclusionText) -> Result<Exclusion, GardenError> {
    let (from, to) = stretch(key, &x.from, x.to.as_deref())?;
    Ok(Exclusion { urn: x.device, channel: x.channel, from, to, why: x.why })
}
