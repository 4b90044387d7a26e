//! Covers and films as they stand in a garden file.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::check::{known, maybe_in_range, slug, word};
use super::{GardenError, wrong};
use crate::model::{COVER_KINDS, Cover, CoverPosition, CoverState, Film, Garden, cover_word};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CoverText {
    slug: String,
    name: String,
    bed: Option<String>,
    kind: String,
    /// Words by state.
    #[serde(default)]
    positions: BTreeMap<String, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FilmText {
    transmission: Option<f64>,
    #[serde(default)]
    sheds_drips: bool,
    #[serde(default = "one")]
    layers: u8,
}

fn one() -> u8 {
    1
}

/// Checks a cover against those that have a place already; its bed comes later, see [`beds_of_covers`].
pub(super) fn cover<'a>(key: &str, c: CoverText, taken: impl Iterator<Item = &'a Cover>) -> Result<Cover, GardenError> {
    slug(&format!("{key}.slug"), &c.slug, taken.map(|x| x.slug.as_str()))?;
    let kind = word(&format!("{key}.kind"), &c.kind, COVER_KINDS, cover_word)?;
    let mut positions = Vec::new();
    for (state, words) in c.positions {
        let state = word(&format!("{key}.positions"), &state, CoverState::ALL, CoverState::word)?;
        positions.push(CoverPosition { state, words });
    }
    positions.sort_by_key(|p| p.state);
    Ok(Cover { slug: c.slug, name: c.name, bed: c.bed, kind, positions })
}

/// Whether every cover lies over a bed of its own structure.
pub(super) fn beds_of_covers(garden: &Garden) -> Result<(), GardenError> {
    for (i, s) in garden.structures.iter().enumerate() {
        for (j, c) in s.covers.iter().enumerate() {
            let Some(bed) = &c.bed else { continue };
            let key = format!("structure[{i}].night_cover[{j}].bed");
            known(&key, bed, garden.beds.iter().map(|x| x.slug.as_str()))?;
            let own = garden.beds.iter().filter(|x| x.structure == s.slug).map(|x| x.slug.as_str());
            if !own.clone().any(|slug| slug == bed) {
                let own = own.collect::<Vec<_>>().join(", ");
                let own = if own.is_empty() { "it has none".to_owned() } else { format!("its beds: {own}") };
                return Err(wrong(key, format!("{bed:?} lies in another structure than {:?}; {own}", s.slug)));
            }
        }
    }
    Ok(())
}

pub(super) fn film(key: &str, f: &FilmText) -> Result<Film, GardenError> {
    maybe_in_range(&format!("{key}.transmission"), f.transmission, 0.1, 1.0)?;
    if !(1..=3).contains(&f.layers) {
        return Err(wrong(format!("{key}.layers"), format!("{} is not between 1 and 3", f.layers)));
    }
    Ok(Film { transmission: f.transmission, sheds_drips: f.sheds_drips, layers: f.layers })
}
