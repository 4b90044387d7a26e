//! A garden written and read again is the same garden.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;

use super::super::{
    COVER_KINDS, Correction, CoverPosition, CoverState, Crops, Exclusion, Notch, Placement, Position, Role, Spot,
    StructureKind, VentKind, WATERINGS, parse_garden,
};
use super::*;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::water::balance::Given;
use propstick_agronomy::water::soils::TEXTURES;
use propstick_wire::quantity::Quantity;

/// The garden of the README.
fn readme_garden() -> &'static str {
    let readme = include_str!("../../../../../README.md");
    let (_, from) = readme.split_once("```toml\n[garden]").unwrap();
    let end = from.find("```").unwrap();
    // The split took the head away; it stands in the garden read below.
    &from[..end]
}

#[test]
fn garden_of_the_readme_comes_back_the_same_and_the_text_of_the_text_too() {
    let garden = parse_garden(&format!("[garden]{}", readme_garden())).unwrap();
    assert_eq!((garden.structures.len(), garden.placements.len()), (2, 2));
    let text = garden_text(&garden);
    assert_eq!(parse_garden(&text).unwrap(), garden);
    assert!(text.contains("channels = [\"air-temperature\", \"air-humidity\"]"), "{text}");
    assert_eq!(garden_text(&parse_garden(&text).unwrap()), text);
}

#[test]
fn garden_of_the_demo_comes_back_the_same() {
    let demo = include_str!("../../../../src/demo/garden.toml");
    let text = demo.replace("@placed@", "2025-10-02T00:00:00Z").replace("@replaced@", "2026-05-20T12:00:00Z");
    let garden = parse_garden(&text).unwrap();
    assert!(garden.structures.len() >= 4 && garden.placements.iter().any(|p| p.to.is_some()));
    assert_eq!(parse_garden(&garden_text(&garden)).unwrap(), garden);
}

#[test]
fn small_garden_is_written_as_one_would_write_it() {
    let garden = parse_garden(
        r#"
        garden = { name = "A \"small\" one", lat = 52, lon = -8.25, zone = "Europe/Dublin" }
        structure = [{ slug = "frame", kind = "cold_frame", name = "Frame", vent = [{ slug = "lid", name = "lid", kind = "lid",
            positions = { full = "off", closed = "on" }, area_m2_by_notch = { full = 1 } }] }]
        spot = [{ slug = "frame-air", structure = "frame", role = "air", height_m = 0.1 }]
        placement = [{ device = "urn:propstick:stick", channels = ["air-temperature"], spot = "frame-air",
            from = "2026-03-01T09:00:00+01:00", to = "2026-04-01T00:00:00.5Z" }]"#,
    )
    .unwrap();
    assert_eq!(
        garden_text(&garden),
        r#"[garden]
name = "A \"small\" one"
lat = 52.0
lon = -8.25
alt_m = 0.0
zone = "Europe/Dublin"

[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
crops = "hardy"

[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "on", full = "off" }
area_m2_by_notch = { full = 1.0 }

[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
height_m = 0.1

[[placement]]
device = "urn:propstick:stick"
channels = ["air-temperature"]
spot = "frame-air"
from = "2026-03-01T08:00:00Z"
to = "2026-04-01T00:00:00.500Z"
"#
    );
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![any::<String>(), Just("\"\\ \n\t\u{7f}\u{85} = ' \u{1F331}".to_owned()), "[ -~]{0,12}"]
}

fn size() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>().prop_filter("a number", |v| !v.is_nan()), 0.0..100.0]
}

/// From 1970 to 2100, and one end later or none.
fn stretch() -> impl Strategy<Value = (Millis, Option<Millis>)> {
    (0..4_102_444_800_000_i64, option::of(1..100_000_000_000_i64))
        .prop_map(|(from, more)| (Millis(from), more.map(|m| Millis(from + m))))
}

fn pick<T: Copy + std::fmt::Debug + 'static, const N: usize>(all: [T; N]) -> impl Strategy<Value = T> {
    (0..N).prop_map(move |k| all[k])
}

fn position(notch: Notch) -> impl Strategy<Value = Position> {
    (words(), option::of(size())).prop_map(move |(words, area_m2)| Position { notch, words, area_m2 })
}

fn vent() -> impl Strategy<Value = Vent> {
    let opened = vec(pick([Notch::Crack, Notch::Half, Notch::Full]), 1..3).prop_flat_map(|mut notches| {
        notches.sort();
        notches.dedup();
        notches.insert(0, Notch::Closed);
        notches.into_iter().map(position).collect::<Vec<_>>()
    });
    let working = (option::of(0.0..=120.0), any::<bool>());
    (words(), pick(VentKind::ALL), option::of(words()), working, opened).prop_map(
        |(name, kind, faces, (minutes, mesh), positions)| Vent {
            slug: String::new(),
            name,
            kind,
            faces,
            minutes,
            mesh,
            positions,
        },
    )
}

/// A cover; one with an empty bed is to get one, if its structure has any.
fn cover() -> impl Strategy<Value = Cover> {
    let positions = (option::of(words()), option::of(words()), option::of(words()));
    (words(), pick(COVER_KINDS), positions, any::<bool>()).prop_map(|(name, kind, (on, folded, off), over_bed)| {
        let all = CoverState::ALL.into_iter().zip([on, folded, off]);
        let positions = all.filter_map(|(state, words)| Some(CoverPosition { state, words: words? })).collect();
        Cover { slug: String::new(), name, bed: over_bed.then(String::new), kind, positions }
    })
}

fn film() -> impl Strategy<Value = Film> {
    (option::of(0.1..=1.0), any::<bool>(), 1..=3_u8).prop_map(|(transmission, sheds_drips, layers)| Film {
        transmission,
        sheds_drips,
        layers,
    })
}

fn presence() -> impl Strategy<Value = Presence> {
    let who = words().prop_filter("somebody", |w| !w.trim().is_empty());
    (who, 1..128_u8, 0..1_440_u32, 1..=1_440_u32).prop_map(|(who, days, from_min, more)| {
        let days = WEEKDAYS.iter().enumerate().filter(|(k, _)| days >> k & 1 == 1).map(|(_, (day, _))| *day).collect();
        Presence { who, days, from_min, to_min: (from_min + more).min(1_440) }
    })
}

/// A bed without a slug, in no structure yet.
fn bed() -> impl Strategy<Value = Bed> {
    let ground =
        (option::of(0.01..=10_000.0), option::of(0..TEXTURES.len()), option::of(words()), option::of(0.05..=3.0));
    (words(), ground, option::of(pick(WATERINGS)), 0.01..1_000.0, any::<bool>()).prop_map(
        |(name, (area_m2, soil, crop, roots_m), watering, rate, odd)| Bed {
            name,
            area_m2,
            soil: soil.map(|k| TEXTURES[k].name.to_owned()),
            crop,
            roots_m,
            watering,
            drip_l_min: (odd && watering == Some(Given::Drip)).then_some(rate),
            trays: odd && soil.is_none(),
            ..Bed::default()
        },
    )
}

fn structure() -> impl Strategy<Value = Structure> {
    let sizes = (option::of(size()), option::of(size()));
    let crops = pick([Crops::Hardy, Crops::Tender, Crops::Both]);
    let groups = proptest::sample::subsequence(CropGroup::ALL.to_vec(), 0..=CropGroup::ALL.len()).prop_shuffle();
    let skin = (option::of(words()), option::of(film()), vec(cover(), 0..3));
    (pick(StructureKind::ALL), words(), sizes, skin, (crops, groups), vec(vent(), 0..3)).prop_map(
        |(kind, name, (area_m2, height_m), (cover, film, covers), (crops, groups), vents)| Structure {
            slug: String::new(),
            kind,
            name,
            area_m2,
            height_m,
            cover,
            lead_spot: None,
            crops,
            groups,
            vents,
            covers,
            film,
        },
    )
}

prop_compose! {
    /// Any garden that can be set up. Slugs are numbered, and what names another thing names one that is there.
    fn any_garden()(
        name in words(), (lat, lon, alt_m) in (-90.0..=90.0, -180.0..=180.0, -430.0..=9000.0_f64),
        zone in pick([chrono_tz::Tz::UTC, chrono_tz::Tz::Europe__Dublin, chrono_tz::Tz::Asia__Kolkata]),
        mut structures in vec(structure(), 1..4),
        (can_l, presence) in (option::of(0.5..=50.0), vec(presence(), 0..3)),
        beds in vec(bed(), 0..3),
        spots in vec((pick(Role::ALL), option::of(size()), any::<bool>(), any::<bool>()), 0..5),
        placements in vec((words(), 0..3_usize, stretch()), 0..6),
        corrections in vec((words(), words(), stretch(), 1e-9..1e9, -1e9..1e9, words()), 0..3),
        exclusions in vec((words(), words(), stretch(), words()), 0..3),
    ) -> Garden {
        let mut vents = 0;
        for (k, s) in structures.iter_mut().enumerate() {
            s.slug = format!("structure-{k}");
            for v in &mut s.vents {
                vents += 1;
                v.slug = format!("vent-{vents}");
            }
        }
        let count = structures.len();
        let at = |k: usize| format!("structure-{}", k % count);
        let beds: Vec<Bed> = beds.into_iter().enumerate().map(|(k, bed)| {
            Bed { slug: format!("bed-{k}"), structure: at(k), ..bed }
        }).collect();
        let mut covers = 0;
        for s in &mut structures {
            for c in &mut s.covers {
                covers += 1;
                c.slug = format!("cover-{covers}");
                c.bed = c.bed.take().and_then(|_| Some(beds.iter().find(|b| b.structure == s.slug)?.slug.clone()));
            }
        }
        let mut has_outside = false;
        let spots: Vec<Spot> = spots.into_iter().enumerate().map(|(k, (role, height_m, in_bed, leads))| {
            let role = if role == Role::Outside && std::mem::replace(&mut has_outside, true) { Role::Air } else { role };
            let bed = beds.get(k).filter(|_| in_bed).map(|b| b.slug.clone());
            let spot = Spot { slug: format!("spot-{k}"), structure: at(k), bed, role, height_m };
            if leads {
                structures[k % count].lead_spot = Some(spot.slug.clone());
            }
            spot
        }).collect();
        // Two placements may share neither a channel of a device nor a quantity of a spot: each has a device of its own, and no spot has two.
        let all = [Quantity::AirTemperature, Quantity::AirHumidity, Quantity::SoilTemperature];
        let placements = placements.into_iter().enumerate().zip(&spots).flat_map(|((k, (urn, channels, (from, to))), spot)| {
            // What was taken away comes back to the same spot at once.
            let stands = [Some((from, to)), to.map(|to| (to, None))];
            stands.into_iter().flatten().flat_map(|(from, to)| all[..=channels].iter().map(move |q| (from, to, q))).map(|(from, to, q)| {
                let channel = format!("{}-{}", q.name(), k + 1);
                Placement { urn: format!("{urn}{k}"), channel, quantity: *q, spot: spot.slug.clone(), from, to }
            }).collect::<Vec<_>>()
        }).collect();
        let corrections = corrections.into_iter().map(|(urn, channel, (from, to), scale, offset, why)| {
            Correction { urn, channel, from, to, scale, offset, why }
        }).collect();
        let exclusions = exclusions.into_iter().map(|(urn, channel, (from, to), why)| Exclusion { urn, channel, from, to, why }).collect();
        Garden { name, lat, lon, alt_m, zone, can_l, presence, revision: 0, structures, beds, spots, placements, corrections, exclusions }
    }
}

proptest! {
    #[test]
    fn prop_any_garden_written_and_read_is_the_same(garden in any_garden()) {
        let text = garden_text(&garden);
        let again = parse_garden(&text).map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(&again, &garden, "{}", text);
    }
}
