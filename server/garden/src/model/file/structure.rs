//! Structures, what can be opened on them, and what can be laid over their beds.

use std::collections::BTreeMap;

use propstick_agronomy::risk::groups::CropGroup;
use serde::Deserialize;

use super::check::{maybe_in_range, slug, word};
use super::cover::{self, CoverText, FilmText};
use super::{GardenError, wrong};
use crate::model::{Cover, Crops, Garden, Notch, Position, Structure, StructureKind, Vent, VentKind};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StructureText {
    slug: String,
    kind: String,
    name: String,
    area_m2: Option<f64>,
    height_m: Option<f64>,
    cover: Option<String>,
    lead_spot: Option<String>,
    crops: Option<String>,
    #[serde(default)]
    groups: Vec<String>,
    film: Option<FilmText>,
    #[serde(default)]
    vent: Vec<VentText>,
    #[serde(default)]
    night_cover: Vec<CoverText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VentText {
    slug: String,
    name: String,
    kind: String,
    faces: Option<String>,
    minutes: Option<f64>,
    #[serde(default)]
    mesh: bool,
    /// Words by notch.
    positions: BTreeMap<String, String>,
    #[serde(default)]
    area_m2_by_notch: BTreeMap<String, f64>,
}

/// The structure that a garden file tells at `key`.
pub(super) fn structure(key: &str, s: StructureText, garden: &Garden) -> Result<Structure, GardenError> {
    slug(&format!("{key}.slug"), &s.slug, garden.structures.iter().map(|x| x.slug.as_str()))?;
    let kind = word(&format!("{key}.kind"), &s.kind, StructureKind::ALL, StructureKind::word)?;
    let crops = match &s.crops {
        None => Crops::default(),
        Some(w) => word(&format!("{key}.crops"), w, [Crops::Hardy, Crops::Tender, Crops::Both], Crops::word)?,
    };
    let mut vents: Vec<Vent> = Vec::new();
    for (j, v) in s.vent.into_iter().enumerate() {
        let key = format!("{key}.vent[{j}]");
        let taken = garden.structures.iter().flat_map(|x| &x.vents).chain(&vents).map(|x| x.slug.as_str());
        slug(&format!("{key}.slug"), &v.slug, taken)?;
        let kind = word(&format!("{key}.kind"), &v.kind, VentKind::ALL, VentKind::word)?;
        let mut positions = Vec::new();
        for (notch, words) in v.positions {
            let notch = word(&format!("{key}.positions"), &notch, Notch::ALL, Notch::word)?;
            let area_m2 = v.area_m2_by_notch.get(notch.word()).copied();
            positions.push(Position { notch, words, area_m2 });
        }
        positions.sort_by_key(|p| p.notch);
        if positions.first().is_none_or(|p| p.notch != Notch::Closed) || positions.len() < 2 {
            return Err(wrong(
                format!("{key}.positions"),
                "needs words for closed and for at least one of crack, half, full",
            ));
        }
        maybe_in_range(&format!("{key}.minutes"), v.minutes, 0.0, 120.0)?;
        let (minutes, mesh) = (v.minutes, v.mesh);
        vents.push(Vent { slug: v.slug, name: v.name, kind, faces: v.faces, minutes, mesh, positions });
    }
    let mut covers: Vec<Cover> = Vec::new();
    for (j, c) in s.night_cover.into_iter().enumerate() {
        let taken = garden.structures.iter().flat_map(|x| &x.covers).chain(&covers);
        let cover = cover::cover(&format!("{key}.night_cover[{j}]"), c, taken)?;
        covers.push(cover);
    }
    let mut groups: Vec<CropGroup> = Vec::new();
    for found in &s.groups {
        let group = word(&format!("{key}.groups"), found, CropGroup::ALL, CropGroup::word)?;
        if groups.contains(&group) {
            return Err(wrong(format!("{key}.groups"), format!("{found:?} stands there twice")));
        }
        groups.push(group);
    }
    let film = s.film.map(|f| cover::film(&format!("{key}.film"), &f)).transpose()?;
    Ok(Structure {
        slug: s.slug,
        kind,
        name: s.name,
        area_m2: s.area_m2,
        height_m: s.height_m,
        cover: s.cover,
        lead_spot: s.lead_spot,
        crops,
        groups,
        vents,
        covers,
        film,
    })
}
