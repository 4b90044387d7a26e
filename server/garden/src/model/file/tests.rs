//! Whole garden files: what is read, and what is refused with which words.

use propstick_agronomy::risk::groups::CropGroup;

use super::*;
use crate::model::{Crops, Notch};

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
    assert_eq!(vent.positions.iter().map(|p| p.notch).collect::<Vec<_>>(), [Notch::Closed, Notch::Crack, Notch::Full]);
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
        ("roots_m = 0.25", "area_m2 = -12", "bed[0].area_m2", "-12 is not between 0.01 and 10000"),
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
