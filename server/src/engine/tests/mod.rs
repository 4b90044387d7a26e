//! What must hold when a store fails for a while, the clock is set back, or an older ledger is put in place.

mod intervals;
mod late;
mod leaves;
mod soil;
mod told;

use std::path::Path;

use propstick_garden::model::parse_garden;
use propstick_garden::took::{DeviceKind, Facts, RawReading, SeriesKey, SeriesKind, Took};
use propstick_wire::millis::{MINUTE, SECOND};

use super::*;
use crate::store::Ledger;
use crate::store::derived::Hours;
use crate::store::readings::Span;
use propstick_garden::model::Measure;

const BOARD: &str = "urn:dev:mac:02005efffe10a2b3";
/// 2026-03-08T12:00:00Z.
const NOON: Millis = Millis(1_772_971_200_000);
const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b3"
channels = ["air-temperature"]
spot = "frame-air"
from = "2026-01-01T00:00:00Z"
"#;

fn reading(t: Millis, v: f64, unit_sent: &str) -> Took {
    Took::Reading(RawReading {
        series: SeriesKey {
            device: BOARD.to_owned(),
            device_kind: DeviceKind::Board,
            mapping: None,
            channel: "air-temperature".to_owned(),
            unit_sent: unit_sent.to_owned(),
            kind: SeriesKind::Instant,
            span_s: 0,
            stamp_end: false,
        },
        t,
        v,
        arrived: t,
        facts: Facts::TIME_OWN,
        sample: None,
    })
}

fn engine(folder: &Path) -> Engine {
    Engine::open(folder, Some(parse_garden(GARDEN).unwrap()), Pace::Live).unwrap()
}

/// The means of the hours worked out.
fn hours(folder: &Path) -> Vec<f64> {
    let all = Span { from: Millis(0), to: Millis(i64::MAX) };
    let rows = Hours::of_folder(folder).unwrap().hours("frame-air", Measure::Direct(Quantity::AirTemperature), all);
    rows.unwrap().iter().filter(|r| r.n > 0).map(|r| r.sum / f64::from(r.n)).collect()
}

#[test]
fn hours_that_could_not_be_written_are_not_called_done_by_whatever_comes_next() {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = engine(dir.path());
    engine.step(Input::Committed(ledger.commit(&[reading(NOON, 6.0, "Cel")]).unwrap())).unwrap();
    let vandal = rusqlite::Connection::open(folder::derived_path(dir.path())).unwrap();
    vandal.execute_batch("ALTER TABLE hour RENAME TO hidden").unwrap();
    assert!(engine.step(Input::Tick(NOON.plus(2 * SECOND))).is_err());
    vandal.execute_batch("ALTER TABLE hidden RENAME TO hour").unwrap();
    // The end of the program asks for this, before anybody has looked in the ledger again.
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    assert_eq!(hours(dir.path()), [6.0]);
    assert_eq!(engine.done().unwrap(), ledger.generation());
}

#[test]
fn clock_set_back_with_news_waiting_does_not_keep_it_waiting() {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = engine(dir.path());
    engine.step(Input::Committed(ledger.commit(&[reading(NOON, 6.0, "Cel")]).unwrap())).unwrap();
    let back = NOON.plus(-60 * MINUTE);
    engine.step(Input::Tick(back)).unwrap();
    engine.step(Input::Tick(back.plus(2 * SECOND))).unwrap();
    assert_eq!(hours(dir.path()), [6.0]);
}

#[test]
fn older_ledger_put_back_in_its_place_takes_the_figures_back_with_it() {
    let dir = tempfile::tempdir().unwrap();
    let path = folder::readings_path(dir.path());
    drop({
        let mut ledger = Ledger::open(&path).unwrap();
        ledger.commit(&[reading(NOON, 6.0, "Cel")]).unwrap();
        ledger
    });
    let backup = std::fs::read(&path).unwrap();
    drop({
        let mut ledger = Ledger::open(&path).unwrap();
        ledger.commit(&[reading(NOON.plus(-120 * MINUTE), 5.0, "Cel")]).unwrap();
        let mut engine = engine(dir.path());
        engine.step(Input::Command(Command::CatchUp)).unwrap();
        (ledger, engine)
    });
    assert_eq!(hours(dir.path()), [5.0, 6.0]);
    std::fs::write(&path, backup).unwrap();
    engine(dir.path()).step(Input::Command(Command::CatchUp)).unwrap();
    assert_eq!(hours(dir.path()), [6.0]);
}

#[test]
fn another_ledger_put_in_its_place_is_noticed_even_where_it_is_as_far() {
    let dir = tempfile::tempdir().unwrap();
    let path = folder::readings_path(dir.path());
    for (v, means) in [(6.0, [6.0]), (9.0, [9.0])] {
        let mut ledger = Ledger::open(&path).unwrap();
        ledger.commit(&[reading(NOON, v, "Cel")]).unwrap();
        let mut engine = engine(dir.path());
        engine.step(Input::Command(Command::CatchUp)).unwrap();
        assert_eq!((hours(dir.path()).as_slice(), engine.done().unwrap()), (means.as_slice(), 1));
        drop((ledger, engine));
        std::fs::remove_file(&path).unwrap();
    }
}

#[test]
fn two_units_of_one_channel_at_one_instant_give_the_same_hour_in_any_order() {
    let found = [["Cel", "K"], ["K", "Cel"]].map(|order| {
        let dir = tempfile::tempdir().unwrap();
        let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
        for unit in order {
            ledger.commit(&[reading(NOON, if unit == "K" { 300.0 } else { 6.0 }, unit)]).unwrap();
        }
        engine(dir.path()).step(Input::Command(Command::CatchUp)).unwrap();
        hours(dir.path())
    });
    assert_eq!(found, [[6.0], [6.0]]);
}

#[test]
fn first_reading_ends_not_known_at_once() {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let lid = "\n[[structure.vent]]\nslug = \"lid\"\nname = \"lid\"\nkind = \"lid\"\npositions = { closed = \"on\", full = \"off\" }\n[[spot]]";
    let garden = parse_garden(&GARDEN.replacen("\n[[spot]]", lid, 1)).unwrap();
    let mut engine = Engine::open(dir.path(), Some(garden), Pace::Live).unwrap();
    let verdict = || {
        let db = GardenDb::open_reader(&folder::garden_path(dir.path())).unwrap();
        let body = db.advice().standing("frame").unwrap().into_iter().find(|kept| kept.kind == "vent").unwrap().body;
        serde_json::from_str::<serde_json::Value>(&body).unwrap()["verdict"].as_str().unwrap().to_owned()
    };
    engine.step(Input::Tick(NOON)).unwrap();
    assert_eq!(verdict(), "unknown");
    let soon = NOON.plus(2 * SECOND);
    engine.step(Input::Committed(ledger.commit(&[reading(soon, 6.0, "Cel")]).unwrap())).unwrap();
    assert_ne!(verdict(), "unknown");
}

#[test]
fn recipe_is_another_with_whatever_of_the_settings_the_season_reads() {
    let garden = parse_garden(GARDEN).unwrap();
    let recipe = recipe_of(&garden);
    let changes: [fn(&mut Garden); 8] = [
        |g| g.lat += 0.1,
        |g| g.structures[0].groups = vec![propstick_agronomy::risk::groups::CropGroup::Onion],
        |g| g.structures[0].crops = propstick_garden::model::Crops::Tender,
        |g| {
            let film = propstick_garden::model::Film { transmission: Some(0.5), sheds_drips: false, layers: 1 };
            g.structures[0].film = Some(film);
        },
        |g| g.structures[0].kind = propstick_garden::model::StructureKind::Fleece,
        |g| g.structures[0].lead_spot = Some("frame-air".to_owned()),
        |g| g.spots[0].bed = Some("bed".to_owned()),
        |g| {
            g.structures[0].vents.push(propstick_garden::model::Vent {
                slug: "lid".to_owned(),
                name: "lid".to_owned(),
                kind: propstick_garden::model::VentKind::Lid,
                faces: None,
                minutes: None,
                mesh: false,
                positions: Vec::new(),
            });
        },
    ];
    for (k, change) in changes.iter().enumerate() {
        let mut other = garden.clone();
        change(&mut other);
        assert_ne!(recipe_of(&other), recipe, "change {k}");
    }
    // A name is only a name.
    let mut other = garden.clone();
    other.structures[0].name = "Old frame".to_owned();
    other.can_l = Some(10.0);
    assert_eq!(recipe_of(&other), recipe);
}
