//! Beds as they stand in a garden file.

use propstick_agronomy::water::balance::Given;
use propstick_agronomy::water::soils::TEXTURES;
use serde::Deserialize;

use super::check::{known, maybe_in_range, slug, word};
use super::{GardenError, wrong};
use crate::model::{Bed, Garden, WATERINGS, texture_of_words, watering_word};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BedText {
    slug: String,
    name: Option<String>,
    structure: String,
    area_m2: Option<f64>,
    soil: Option<String>,
    crop: Option<String>,
    roots_m: Option<f64>,
    watering: Option<String>,
    drip_l_min: Option<f64>,
    #[serde(default)]
    trays: bool,
}

/// Checks a bed against what stands in the garden already.
pub(super) fn bed(key: &str, b: BedText, garden: &Garden) -> Result<Bed, GardenError> {
    slug(&format!("{key}.slug"), &b.slug, garden.beds.iter().map(|x| x.slug.as_str()))?;
    known(&format!("{key}.structure"), &b.structure, garden.structures.iter().map(|x| x.slug.as_str()))?;
    let soil = b.soil.as_deref().map(|words| soil(&format!("{key}.soil"), words)).transpose()?;
    maybe_in_range(&format!("{key}.area_m2"), b.area_m2, 0.01, 10_000.0)?;
    maybe_in_range(&format!("{key}.roots_m"), b.roots_m, 0.05, 3.0)?;
    maybe_in_range(&format!("{key}.drip_l_min"), b.drip_l_min, 0.01, 1_000.0)?;
    let watering = b.watering.as_deref().map(|w| word(&format!("{key}.watering"), w, WATERINGS, watering_word));
    let watering = watering.transpose()?;
    if let Some(rate) = b.drip_l_min.filter(|_| watering != Some(Given::Drip)) {
        return Err(wrong(format!("{key}.drip_l_min"), format!("{rate} needs watering = \"drip\" beside it")));
    }
    if b.trays && soil.is_some() {
        let says = "goes with a bed of soil, not with trays = true: leave one of the two out";
        return Err(wrong(format!("{key}.soil"), says));
    }
    Ok(Bed {
        name: b.name.unwrap_or_else(|| b.slug.clone()),
        slug: b.slug,
        structure: b.structure,
        area_m2: b.area_m2,
        soil,
        crop: b.crop,
        roots_m: b.roots_m,
        watering,
        drip_l_min: b.drip_l_min,
        trays: b.trays,
    })
}

fn soil(key: &str, words: &str) -> Result<String, GardenError> {
    texture_of_words(words).map(|texture| texture.name.to_owned()).ok_or_else(|| {
        let all: Vec<&str> = TEXTURES.iter().map(|texture| texture.name).collect();
        wrong(key, format!("{words:?} is not one of {}", all.join(", ")))
    })
}
