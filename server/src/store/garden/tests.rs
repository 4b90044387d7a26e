//! Things told: kept once, taken back once, and the same list by every road.

use propstick_garden::record::{
    Event, EventKind, EventSource, Feel, Forecast, ForecastFor, Observation, Seen, Sky, Wet, Wind, WindowLook,
};
use propstick_wire::Millis;
use proptest::collection::vec;
use proptest::prelude::*;

use super::events::Telling;
use super::told::{Undone, Wanted};
use super::*;

fn store() -> (tempfile::TempDir, GardenDb) {
    let dir = tempfile::tempdir().unwrap();
    let db = GardenDb::open(&dir.path().join("garden.db")).unwrap();
    (dir, db)
}

fn watered(t: i64, target: &str, what: &str) -> Event {
    Event {
        id: 0,
        t: Millis(t),
        kind: EventKind::Water,
        target: target.into(),
        what: Some(what.into()),
        amount: Some(2.5),
        unit: Some("can".into()),
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    }
}

#[test]
fn event_is_kept_once_for_a_client_key_and_taken_back_once() {
    let (_dir, db) = store();
    let events = db.events();
    let first = events.keep(&watered(5, "west", "root"), Millis(10), Some("a")).unwrap();
    assert!(first.is_new && first.one.id == 1);
    let again = events.keep(&watered(6, "west", "root"), Millis(11), Some("a")).unwrap();
    assert_eq!((again.is_new, again.one.t), (false, Millis(5)));
    assert!(
        events.keep(&watered(6, "west", "root"), Millis(11), None).unwrap().is_new,
        "without a key it is another one"
    );
    let Undone::Now(gone) = events.undo(1, Millis(20)).unwrap() else { panic!("it was there") };
    assert_eq!(gone.undone_at, Some(Millis(20)));
    assert_eq!(events.undo(1, Millis(30)).unwrap(), Undone::Before(gone.clone()));
    assert_eq!(events.undo(9, Millis(30)).unwrap(), Undone::Unknown);
    assert_eq!(events.one(1).unwrap(), Some(gone), "nothing is deleted");
    assert_eq!(events.list(&Wanted::all()).unwrap().len(), 1);
    assert_eq!(events.list(&Wanted { undone: true, ..Wanted::all() }).unwrap().len(), 2);
}

#[test]
fn lists_are_by_span_target_and_kind_with_the_newest_first() {
    let (_dir, db) = store();
    let events = db.events();
    for (t, target, what) in [(10, "west", "root"), (30, "tunnel", "overhead"), (20, "west", "overhead")] {
        events.keep(&watered(t, target, what), Millis(40), None).unwrap();
    }
    let times = |wanted: Wanted| events.list(&wanted).unwrap().iter().map(|e| e.t.0).collect::<Vec<_>>();
    assert_eq!(times(Wanted::all()), [30, 20, 10]);
    assert_eq!(times(Wanted { limit: 2, ..Wanted::all() }), [30, 20]);
    assert_eq!(times(Wanted { from: Millis(10), to: Millis(30), ..Wanted::all() }), [20, 10]);
    assert_eq!(times(Wanted { target: Some("west".into()), ..Wanted::all() }), [20, 10]);
    assert_eq!(times(Wanted { kind: Some("vent".into()), ..Wanted::all() }), [0; 0]);
    let overhead =
        |from, to| events.overhead(Millis(from), Millis(to)).unwrap().iter().map(|e| e.t.0).collect::<Vec<_>>();
    assert_eq!(overhead(0, 100), [20, 30]);
    assert_eq!(overhead(0, 30), [20]);
    assert_eq!(events.last("west", EventKind::Water, Millis(19)).unwrap().unwrap().t, Millis(10));
    events.undo(3, Millis(50)).unwrap();
    assert_eq!(overhead(0, 100), [30], "what is taken back wets nothing");
}

#[test]
fn observations_of_every_kind_are_read_back_as_they_were_kept() {
    let (_dir, db) = store();
    let at = Millis(1_000);
    let look = WindowLook { at, sky: Sky::Broken, wind: Wind::Gale, wet: Wet::Fog, wind_from_deg: Some(225.5) };
    let (low_c, gust_m_s) = (Some(-2.5), Some(22.0));
    let of = ForecastFor::Tomorrow;
    let heard =
        Forecast { at, of, low_c, high_c: None, wind: None, gust_m_s, sky: Some(Sky::Clear), wet: Some(Wet::Rain) };
    let finger = Seen::Finger { bed: "west".into(), feel: Feel::Moist };
    let leaves = Seen::Leaves { structure: "tunnel".into(), wet: true };
    for seen in [Seen::Look(look), Seen::Heard(heard), finger, leaves] {
        let told = Observation { id: 0, t: at, teller: "Ann".into(), seen, undone_at: None };
        let kept = db.observations().keep(&told, Millis(2_000), None).unwrap().one;
        assert_eq!(kept, Observation { id: kept.id, ..told });
        assert_eq!(db.observations().one(kept.id).unwrap(), Some(kept));
    }
    assert_eq!(db.observations().list(&Wanted { target: Some("west".into()), ..Wanted::all() }).unwrap().len(), 1);
    assert_eq!(db.observations().list(&Wanted { kind: Some("heard".into()), ..Wanted::all() }).unwrap().len(), 1);
}

#[test]
fn file_of_the_first_schema_is_brought_forward_with_its_garden() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("garden.db");
    let old = sqlite::open(&path, Durability::Full, &STEPS[..1]).unwrap();
    old.execute_batch(
        "INSERT INTO garden VALUES (1, 'Old', 52.0, -8.0, 0.0, 'Europe/Dublin', 3);
         INSERT INTO structure(slug, kind, name, crops) VALUES ('tunnel', 'tunnel', 'Tunnel', 'hardy');
         INSERT INTO bed(slug, name, structure, soil, irrigation) VALUES ('a', 'A', 'tunnel', 'loam', 'by can'), ('b', 'B', 'tunnel', 'best compost', NULL);",
    )
    .unwrap();
    drop(old);
    let garden = GardenDb::open(&path).unwrap().garden().unwrap().unwrap();
    assert_eq!((garden.revision, garden.can_l, garden.presence.len()), (3, None, 0));
    assert_eq!(garden.beds.iter().map(|b| b.soil.as_deref()).collect::<Vec<_>>(), [Some("loam"), None]);
    let version: i64 =
        rusqlite::Connection::open(&path).unwrap().pragma_query_value(None, "user_version", |r| r.get(0)).unwrap();
    assert_eq!(version, STEPS.len() as i64);
}

/// One step: something is told with one of three keys or none, or the so-manieth is taken back.
#[derive(Clone, Copy, Debug)]
enum Step {
    Tell(i64, Option<u8>),
    TakeBack(i64),
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let step = prop_oneof![
        3 => (0..100_i64, proptest::option::of(0..3_u8)).prop_map(|(t, key)| Step::Tell(t, key)),
        2 => (1..8_i64).prop_map(Step::TakeBack),
    ];
    vec(step, 0..25)
}

fn effective(db: &GardenDb) -> Vec<Event> {
    let list = db.events().list(&Wanted::all()).unwrap();
    list.into_iter().map(|event| Event { id: 0, ..event }).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn prop_any_keeps_and_undos_told_again_from_the_recording_give_the_same_list(steps in steps()) {
        let (_dir, db) = store();
        for (n, step) in (0..).zip(&steps) {
            // Two steps in a row may fall on one instant.
            let at = Millis(1_000 + n / 2);
            match step {
                Step::Tell(t, key) => {
                    let key = key.map(|key| key.to_string());
                    db.events().keep(&watered(*t, "west", "root"), at, key.as_deref()).unwrap();
                }
                Step::TakeBack(id) => drop(db.events().undo(*id, at).unwrap()),
            }
        }
        let (_other, again) = store();
        for (at, telling) in db.events().told(Millis(i64::MIN), Millis(i64::MAX)).unwrap() {
            match telling {
                Telling::Told(event) => drop(again.events().keep(&event, at, None).unwrap()),
                Telling::TakenBack(n) => prop_assert!(matches!(again.events().undo(n as i64, at).unwrap(), Undone::Now(_))),
            }
        }
        prop_assert_eq!(effective(&again), effective(&db));
        let all = |db: &GardenDb| db.events().list(&Wanted { undone: true, ..Wanted::all() }).unwrap();
        prop_assert_eq!(all(&again), all(&db));
    }
}
