//! What people tell: the desk looks at once, and hours after water from above are worked out anew.

use std::sync::mpsc::sync_channel;

use propstick_garden::record::{Event, EventKind, EventSource};

use super::*;

const WITH_A_LID: &str = r#"
[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "shut", full = "off" }
[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b3"
channels = ["air-temperature", "air-humidity"]
"#;

fn engine_with_a_lid(folder: &Path) -> Engine {
    let (head, tail) = GARDEN.split_once("[[spot]]").unwrap();
    let tail = tail.split_once("spot = \"frame-air\"").unwrap().1;
    let garden = format!("{head}{WITH_A_LID}spot = \"frame-air\"{tail}");
    Engine::open(folder, Some(parse_garden(&garden).unwrap()), Pace::Live).unwrap()
}

fn water(t: Millis, what: &str) -> Event {
    Event {
        id: 0,
        t,
        kind: EventKind::Water,
        target: "frame".into(),
        what: Some(what.into()),
        amount: None,
        unit: None,
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    }
}

fn tell(engine: &mut Engine, told: Told, at: Millis) -> Vec<Effect> {
    engine.step(Input::Command(Command::Told(Box::new(told), at))).unwrap()
}

#[test]
fn desk_looks_at_once_when_something_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let _ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = engine_with_a_lid(dir.path());
    engine.step(Input::Tick(NOON)).unwrap();
    let waits = engine.next_deadline().unwrap();
    assert!(waits > NOON, "it has looked");
    let (tx, rx) = sync_channel(1);
    let at = NOON.plus(20 * SECOND);
    let effects = tell(&mut engine, Told::Did(water(at, "root"), None, Some(tx)), at);
    assert!(rx.recv().unwrap().is_new);
    assert_eq!(effects.first(), Some(&live("events", Some("frame"))));
    // Looks are counted from the last one: it was now.
    assert_eq!(engine.next_deadline().unwrap().since(waits), at.since(NOON));
}

#[test]
fn water_from_above_and_its_undo_are_news_of_humidity_from_then_on_and_water_at_the_root_is_not() {
    let dir = tempfile::tempdir().unwrap();
    let _ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = engine_with_a_lid(dir.path());
    engine.step(Input::Tick(NOON)).unwrap();
    let (from, now) = (NOON.plus(-3 * HOUR), NOON.plus(MINUTE));
    tell(&mut engine, Told::Did(water(from, "root"), None, None), now);
    assert!(engine.news.is_empty());
    let expected = vec![(("frame-air".to_owned(), Quantity::AirHumidity), vec![(from, from)])];
    tell(&mut engine, Told::Did(water(from, "overhead"), None, None), now);
    assert_eq!(engine.work_due(), Some(now.plus(LIVE_LOT)), "within a second");
    assert_eq!(engine.news.take(), expected);
    engine.told_of_leaves().unwrap();
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    tell(&mut engine, Told::DidNot(2, None), now);
    assert_eq!(engine.news.take(), expected, "the undo of it");
    engine.told_of_leaves().unwrap();
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    tell(&mut engine, Told::DidNot(2, None), now);
    assert!(engine.news.is_empty(), "an undo of what was taken back changes nothing");
}

#[test]
fn what_was_told_of_leaves_and_not_worked_out_is_news_again_after_a_start_and_nothing_else_is() {
    let dir = tempfile::tempdir().unwrap();
    let _ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = engine_with_a_lid(dir.path());
    engine.step(Input::Tick(NOON)).unwrap();
    let old = NOON.plus(-30 * 24 * HOUR);
    tell(&mut engine, Told::Did(water(old, "overhead"), None, None), old);
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    drop(engine);
    let mut engine = engine_with_a_lid(dir.path());
    assert!(engine.news.is_empty(), "it is worked out");
    // Longer ago than any span of days that one would look back over.
    let lid = |t: Millis, what: &str| Event { kind: EventKind::Vent, target: "lid".into(), ..water(t, what) };
    let (open, shut) = (old.plus(-60 * 24 * HOUR), old.plus(-60 * 24 * HOUR + 5 * HOUR));
    tell(&mut engine, Told::Did(lid(open, "full"), None, None), NOON);
    tell(&mut engine, Told::Did(lid(shut, "closed"), None, None), NOON);
    drop(engine);
    let news = engine_with_a_lid(dir.path()).news.take();
    assert_eq!(news, [(("frame-air".to_owned(), Quantity::AirHumidity), vec![(open, shut)])]);
}
