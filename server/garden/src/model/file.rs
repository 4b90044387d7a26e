//! The garden as a TOML file.

mod bed;
mod cover;
mod presence;

use std::collections::BTreeMap;

use chrono_tz::Tz;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use serde::Deserialize;

use bed::BedText;
use cover::{CoverText, FilmText};
use presence::PresenceText;

use super::{
    Correction, Cover, Crops, Exclusion, Garden, Notch, Placement, Position, Role, Spot, Structure, StructureKind,
    Vent, VentKind,
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

fn maybe_in_range(key: &str, v: Option<f64>, low: f64, high: f64) -> Result<(), GardenError> {
    v.map_or(Ok(()), |v| in_range(key, v, low, high))
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

    const MORE: &str = r#"
[[presence]]
who = "Ann"
days = ["wed", "mon"]
from = "07:30"
to = "24:00"
[[bed]]
slug = "west"
structure = "tunnel"
soil = "sandy loam"
crop = "spinach"
roots_m = 0.25
watering = "drip"
drip_l_min = 0.6
[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
groups = ["spinach", "lettuce"]
[structure.film]
transmission = 0.7
sheds_drips = true
[[structure.night_cover]]
slug = "west-fleece"
name = "west fleece"
kind = "fleece-30"
positions = { off = "on its hook", on = "pegged down" }
"#;

    #[test]
    fn keys_of_presence_groups_covers_film_and_watering_are_read() {
        let g = with(MORE).unwrap();
        assert_eq!(g.presence[0].days, [chrono::Weekday::Mon, chrono::Weekday::Wed]);
        assert_eq!((g.presence[0].from_min, g.presence[0].to_min), (450, 1_440));
        let frame = g.structure("frame").unwrap();
        assert_eq!(frame.crop_groups(), [CropGroup::Spinach, CropGroup::Lettuce]);
        assert_eq!(frame.film, Some(crate::model::Film { transmission: Some(0.7), sheds_drips: true, layers: 1 }));
        assert_eq!(frame.covers[0].words(crate::model::CoverState::On), Some("pegged down"));
        assert_eq!(frame.covers[0].words(crate::model::CoverState::Folded), None);
        let bed = g.bed("west").unwrap();
        assert_eq!((bed.texture().unwrap().name, bed.drip_l_min), ("sandy-loam", Some(0.6)));
        assert_eq!(g.structure("tunnel").unwrap().crop_groups(), Crops::Hardy.usual_groups());
    }

    #[test]
    fn every_contradiction_names_its_key_what_stands_there_and_what_may() {
        for (from, to, key, says) in [
            ("to = \"24:00\"", "to = \"07:30\"", "presence[0].to", "must come after from = \"07:30\""),
            ("from = \"07:30\"", "from = \"7:30\"", "presence[0].from", "\"7:30\" is no time of day"),
            ("to = \"24:00\"", "to = \"24:01\"", "presence[0].to", "between \"00:00\" and \"24:00\""),
            ("\"wed\"", "\"wednesday\"", "presence[0].days", "mon, tue, wed"),
            ("days = [\"wed\", \"mon\"]", "days = \"weekdays\"", "presence[0].days", "\"every day\""),
            ("days = [\"wed\", \"mon\"]", "days = []", "presence[0].days", "at least one"),
            ("who = \"Ann\"", "who = \" \"", "presence[0].who", "a name"),
            ("\"sandy loam\"", "\"best compost\"", "bed[0].soil", "sand, loamy-sand, sandy-loam"),
            ("\"drip\"", "\"hose\"", "bed[0].watering", "can, drip, sprinkler"),
            ("\"drip\"", "\"can\"", "bed[0].drip_l_min", "needs watering = \"drip\""),
            ("roots_m = 0.25", "roots_m = 25", "bed[0].roots_m", "25 is not between 0.05 and 3"),
            ("crop = \"spinach\"", "trays = true", "bed[0].soil", "trays"),
            ("\"lettuce\"]", "\"cabbages\"]", "structure[1].groups", "\"cabbages\" is not one of lettuce"),
            ("\"lettuce\"]", "\"spinach\"]", "structure[1].groups", "twice"),
            ("transmission = 0.7", "transmission = 70", "structure[1].film.transmission", "between 0.1 and 1"),
            ("transmission = 0.7", "layers = 0", "structure[1].film.layers", "0 is not between 1 and 3"),
            ("\"fleece-30\"", "\"blanket\"", "structure[1].night_cover[0].kind", "fleece-17, fleece-30, fleece-double"),
            ("{ off =", "{ half =", "structure[1].night_cover[0].positions", "on, folded, off"),
            (
                "kind = \"fleece-30\"",
                "kind = \"fleece-30\"\nbed = \"east\"",
                "structure[1].night_cover[0].bed",
                "known: west",
            ),
            (
                "kind = \"fleece-30\"",
                "kind = \"fleece-30\"\nbed = \"west\"",
                "structure[1].night_cover[0].bed",
                "another structure",
            ),
        ] {
            assert!(MORE.contains(from), "{from}");
            let e = with(&MORE.replace(from, to)).unwrap_err();
            assert_eq!(e.key, key, "{e}");
            assert!(e.what.contains(says), "{key}: {e}");
        }
        let e = parse_garden(&GARDEN.replace("zone =", "can_l = 200\nzone =")).unwrap_err();
        assert_eq!((e.key.as_str(), e.what.as_str()), ("garden.can_l", "200 is not between 0.5 and 50"));
        let e = parse_garden(&GARDEN.replace("faces = \"S\"", "minutes = -1")).unwrap_err();
        assert_eq!((e.key.as_str(), e.what.as_str()), ("structure[0].vent[0].minutes", "-1 is not between 0 and 120"));
    }
}
