//! The garden as a TOML file.

use std::collections::BTreeMap;

use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use serde::Deserialize;

use super::{
    Bed, Correction, Crops, Exclusion, Garden, Notch, Placement, Position, Role, Spot, Structure, StructureKind, Vent,
    VentKind,
};

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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StructureText {
    slug: String,
    kind: String,
    name: String,
    area_m2: Option<f64>,
    height_m: Option<f64>,
    cover: Option<String>,
    lead_spot: Option<String>,
    crops: Option<String>,
    #[serde(default)]
    vent: Vec<VentText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VentText {
    slug: String,
    name: String,
    kind: String,
    faces: Option<String>,
    /// Words by notch.
    positions: BTreeMap<String, String>,
    #[serde(default)]
    area_m2_by_notch: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BedText {
    slug: String,
    name: Option<String>,
    structure: String,
    area_m2: Option<f64>,
    soil: Option<String>,
    irrigation: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SpotText {
    slug: String,
    structure: String,
    bed: Option<String>,
    role: String,
    height_m: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlacementText {
    device: String,
    channels: Vec<String>,
    spot: String,
    from: String,
    to: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CorrectionText {
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
struct ExclusionText {
    device: String,
    channel: String,
    from: String,
    to: Option<String>,
    why: String,
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
    let mut garden = Garden {
        name: g.name,
        lat: g.lat,
        lon: g.lon,
        alt_m: g.alt_m,
        zone,
        revision: 0,
        structures: Vec::new(),
        beds: Vec::new(),
        spots: Vec::new(),
        placements: Vec::new(),
        corrections: Vec::new(),
        exclusions: Vec::new(),
    };
    for (i, s) in text.structure.into_iter().enumerate() {
        let structure = structure(&format!("structure[{i}]"), s, &garden)?;
        garden.structures.push(structure);
    }
    for (i, b) in text.bed.into_iter().enumerate() {
        let key = format!("bed[{i}]");
        slug(&format!("{key}.slug"), &b.slug, garden.beds.iter().map(|x| x.slug.as_str()))?;
        known(&format!("{key}.structure"), &b.structure, garden.structures.iter().map(|x| x.slug.as_str()))?;
        let name = b.name.unwrap_or_else(|| b.slug.clone());
        garden.beds.push(Bed {
            slug: b.slug,
            name,
            structure: b.structure,
            area_m2: b.area_m2,
            soil: b.soil,
            irrigation: b.irrigation,
        });
    }
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
        let key = format!("correction[{i}]");
        let (from, to) = stretch(&key, &c.from, c.to.as_deref())?;
        if !(c.scale.is_finite() && c.scale > 0.0 && c.offset.is_finite()) {
            return Err(wrong(key, "scale must be a number above 0 and offset a number"));
        }
        garden.corrections.push(Correction {
            urn: c.device,
            channel: c.channel,
            from,
            to,
            scale: c.scale,
            offset: c.offset,
            why: c.why,
        });
    }
    for (i, x) in text.exclusion.into_iter().enumerate() {
        let (from, to) = stretch(&format!("exclusion[{i}]"), &x.from, x.to.as_deref())?;
        garden.exclusions.push(Exclusion { urn: x.device, channel: x.channel, from, to, why: x.why });
    }
    Ok(garden)
}

fn structure(key: &str, s: StructureText, garden: &Garden) -> Result<Structure, GardenError> {
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
        vents.push(Vent { slug: v.slug, name: v.name, kind, faces: v.faces, positions });
    }
    Ok(Structure {
        slug: s.slug,
        kind,
        name: s.name,
        area_m2: s.area_m2,
        height_m: s.height_m,
        cover: s.cover,
        lead_spot: s.lead_spot,
        crops,
        vents,
    })
}

fn spot(key: &str, s: SpotText, garden: &Garden) -> Result<Spot, GardenError> {
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

fn place(key: &str, p: PlacementText, garden: &mut Garden) -> Result<(), GardenError> {
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

fn in_range(key: &str, v: f64, low: f64, high: f64) -> Result<(), GardenError> {
    if (low..=high).contains(&v) {
        return Ok(());
    }
    Err(wrong(key, format!("{v} is not between {low} and {high}")))
}

fn word<T: Copy, const N: usize>(
    key: &str,
    found: &str,
    all: [T; N],
    name: impl Fn(T) -> &'static str,
) -> Result<T, GardenError> {
    all.into_iter().find(|&t| name(t) == found).ok_or_else(|| {
        let allowed = all.map(&name).join(", ");
        wrong(key, format!("{found:?} is not one of {allowed}"))
    })
}

fn slug<'a>(key: &str, found: &str, mut taken: impl Iterator<Item = &'a str>) -> Result<(), GardenError> {
    let fits = !found.is_empty()
        && found.len() <= 40
        && found.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !fits {
        return Err(wrong(key, format!("{found:?}: use a to z, 0 to 9 and '-', at most 40 of them")));
    }
    if taken.any(|t| t == found) {
        return Err(wrong(key, format!("{found:?} is taken already")));
    }
    Ok(())
}

fn known<'a>(key: &str, found: &str, all: impl Iterator<Item = &'a str> + Clone) -> Result<(), GardenError> {
    if all.clone().any(|a| a == found) {
        return Ok(());
    }
    let list: Vec<&str> = all.collect();
    let list = if list.is_empty() { "there is none yet".to_owned() } else { format!("known: {}", list.join(", ")) };
    Err(wrong(key, format!("{found:?} is not known here; {list}")))
}

fn stretch(key: &str, from: &str, to: Option<&str>) -> Result<(Millis, Option<Millis>), GardenError> {
    let start = instant(&format!("{key}.from"), from)?;
    let end = to.map(|t| instant(&format!("{key}.to"), t)).transpose()?;
    if end.is_some_and(|e| e <= start) {
        return Err(wrong(format!("{key}.to"), "must come after from"));
    }
    Ok((start, end))
}

fn instant(key: &str, text: &str) -> Result<Millis, GardenError> {
    crate::instant::from_rfc3339(text)
        .ok_or_else(|| wrong(key, format!("{text:?} is no instant; expected one like \"2026-03-01T08:00:00Z\"")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const GARDEN: &str = r#"
[garden]
name = "Test garden"
lat = 52.0
lon = -8.0
zone = "Europe/Dublin"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
[[structure.vent]]
slug = "south-door"
name = "south door"
kind = "door"
faces = "S"
positions = { closed = "shut", crack = "a hand's width", full = "hooked back" }
[[spot]]
slug = "tunnel-air"
structure = "tunnel"
role = "air"
"#;

    fn with(more: &str) -> Result<Garden, GardenError> {
        parse_garden(&format!("{GARDEN}{more}"))
    }

    #[test]
    fn small_garden_is_read_with_its_real_positions() {
        let g = with("").unwrap();
        let vent = &g.structures[0].vents[0];
        assert_eq!(
            vent.positions.iter().map(|p| p.notch).collect::<Vec<_>>(),
            [Notch::Closed, Notch::Crack, Notch::Full]
        );
        assert_eq!(g.lead_spot(&g.structures[0]).unwrap().slug, "tunnel-air");
    }

    #[test]
    fn unknown_key_is_named() {
        let e = with("colour = \"green\"").unwrap_err();
        assert!(e.to_string().contains("colour"), "{e}");
    }

    #[test]
    fn wrong_word_names_key_and_what_is_allowed() {
        let e = parse_garden(&GARDEN.replace("kind = \"tunnel\"", "kind = \"palace\"")).unwrap_err();
        assert_eq!(e.key, "structure[0].kind");
        assert!(e.what.contains("low_tunnel"), "{e}");
    }

    #[test]
    fn device_at_two_spots_at_once_is_refused() {
        let p = |from: &str, to: &str| {
            format!(
                "[[placement]]\ndevice = \"urn:dev:mac:02005efffe10a2b3\"\nchannels = [\"air-temperature\"]\nspot = \"tunnel-air\"\nfrom = \"{from}\"\n{to}\n"
            )
        };
        let first = p("2026-01-01T00:00:00Z", "to = \"2026-05-01T00:00:00Z\"");
        with(&format!("{first}{}", p("2026-05-01T00:00:00Z", ""))).unwrap();
        let e = with(&format!("{first}{}", p("2026-04-30T23:59:59Z", ""))).unwrap_err();
        assert_eq!(e.key, "placement[1]");
    }
}
