//! What an import leaves behind, what it leaves when it fails, and what is left when it is taken back.

use std::collections::VecDeque;
use std::path::Path;

use propstick_garden::took::{DeviceKind, RawReading, SeriesKind, Took};

use super::*;
use crate::store::Readings;
use crate::store::readings::{Device, Span};

const ALL: Span = Span { from: Millis(i64::MIN), to: Millis(i64::MAX) };

fn key(device: &str, channel: &str) -> SeriesKey {
    SeriesKey {
        device: format!("urn:propstick:{device}"),
        device_kind: DeviceKind::File,
        mapping: Some(device.to_owned()),
        channel: channel.to_owned(),
        unit_sent: "Cel".to_owned(),
        kind: SeriesKind::Instant,
        span_s: 0,
        stamp_end: false,
    }
}

fn named(label: &str) -> NewOrigin {
    NewOrigin {
        label: label.to_owned(),
        made_at: Millis(9_000_000_000),
        file: Some(format!("{label}.csv")),
        sha256: "ab".repeat(32),
        mapping: "name = \"ash\"".to_owned(),
        zone: Some("Europe/Dublin".to_owned()),
        source: None,
    }
}

fn bring(ledger: &mut Ledger, origin: &NewOrigin, pieces: Vec<ImportPiece>) -> Result<Imported, ImportError> {
    let mut pieces = VecDeque::from(pieces);
    ledger.import(origin, &mut || pieces.pop_front().map(Ok))
}

/// An import of one series.
fn one(ledger: &mut Ledger, label: &str, points: &[(i64, f64)]) -> Imported {
    let lot = points.iter().map(|&(t, v)| (0, Millis(t), v)).collect();
    bring(ledger, &named(label), vec![ImportPiece::Series(key("ash", "air-temperature")), ImportPiece::Readings(lot)])
        .unwrap()
}

fn heard(key: SeriesKey, t: i64, v: f64, arrived: i64) -> Took {
    let series = SeriesKey { device_kind: DeviceKind::Foreign, ..key };
    Took::Reading(RawReading {
        series,
        t: Millis(t),
        v,
        arrived: Millis(arrived),
        facts: Facts::TIME_OWN,
        sample: None,
    })
}

fn points(path: &Path) -> Vec<(i64, f64)> {
    let readings = Readings::open(path).unwrap();
    let series = readings.series().unwrap();
    series.iter().flat_map(|s| readings.points(s.id, ALL).unwrap()).map(|p| (p.t.0, p.v)).collect()
}

fn devices(path: &Path) -> Vec<Device> {
    Readings::open(path).unwrap().devices(Millis(i64::MAX)).unwrap()
}

/// How many rows stand in each table.
fn rows(ledger: &Ledger) -> Vec<(String, i64)> {
    let mut query = ledger.db.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY 1").unwrap();
    let names: Vec<String> = query.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect();
    let count = |name: &String| ledger.db.query_row(&format!("SELECT count(*) FROM {name}"), [], |r| r.get(0)).unwrap();
    names.iter().filter(|n| *n != "sqlite_sequence").map(|n| (n.clone(), count(n))).collect()
}

fn folder() -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("readings.db");
    (dir, path)
}

#[test]
fn import_stands_in_the_store_with_its_file_and_its_report() {
    let (dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    // Longer than three pieces, and no whole number of them.
    let file: Vec<u8> = (0..200_001_u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let source = dir.path().join("kept.gz");
    std::fs::write(&source, &file).unwrap();
    let origin = NewOrigin { source: Some(source), ..named("spring") };
    let lot = vec![(1, Millis(60_000), 4.5), (0, Millis(120_000), 5.5), (1, Millis(180_000), 6.5)];
    let pieces = vec![
        ImportPiece::Series(key("elm", "air-temperature")),
        ImportPiece::Series(key("ash", "soil-temperature")),
        ImportPiece::Series(key("fir", "air-temperature")),
        ImportPiece::Readings(lot),
        ImportPiece::Report("{\"rows\":3}".to_owned()),
    ];
    let done = bring(&mut ledger, &origin, pieces).unwrap();
    assert_eq!(done, Imported { origin: 1, generation: 1, readings: 3, ..Imported::default() });
    let readings = Readings::open(&path).unwrap();
    let expected = Origin {
        id: 1,
        label: "spring".to_owned(),
        made_at: Millis(9_000_000_000),
        file: Some("spring.csv".to_owned()),
        sha256: Some("ab".repeat(32)),
        mapping: Some("name = \"ash\"".to_owned()),
        zone: Some("Europe/Dublin".to_owned()),
        report: Some("{\"rows\":3}".to_owned()),
        readings: 3,
        first: Some(Millis(60_000)),
        last: Some(Millis(180_000)),
        // A series that was named and gave no reading leaves nothing, and neither does its device.
        devices: vec!["urn:propstick:ash".to_owned(), "urn:propstick:elm".to_owned()],
    };
    assert_eq!(readings.origins().unwrap(), [expected]);
    let mut kept = Vec::new();
    readings.origin_source(1, &mut kept).unwrap();
    assert!(kept == file);
    assert_eq!(devices(&path).len(), 2);
}

#[test]
fn what_was_heard_live_counts_before_imports_and_an_earlier_import_before_a_later() {
    let (_dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    let live = |t, v| heard(key("ash", "air-temperature"), t, v, 500);
    ledger.commit(&[live(1, 10.0)]).unwrap();
    let a = one(&mut ledger, "a", &[(1, 21.0), (2, 22.0), (3, 23.0)]);
    assert_eq!((a.known_same, a.known_other), (0, 1));
    let b = one(&mut ledger, "b", &[(1, 10.0), (2, 32.0), (3, 23.0), (4, 34.0)]);
    // Instant 1 is held against what counts there, the live value, and not against the other import.
    assert_eq!((b.known_same, b.known_other), (2, 1));
    assert_eq!(points(&path), [(1, 10.0), (2, 22.0), (3, 23.0), (4, 34.0)]);
    // A live value that comes after an import wins its instant, and is told.
    let told = ledger.commit(&[live(4, 14.0)]).unwrap();
    assert_eq!(told.fresh.iter().map(|f| (f.t.0, f.v)).collect::<Vec<_>>(), [(4, 14.0)]);
    let readings = Readings::open(&path).unwrap();
    let series = readings.series().unwrap()[0].id;
    assert_eq!(readings.newest(series, Millis(9)).unwrap().map(|p| (p.t.0, p.v)), Some((4, 14.0)));
    assert_eq!(readings.newest(series, Millis(3)).unwrap().map(|p| (p.t.0, p.v)), Some((3, 23.0)));
    // Without the earlier import the later one counts.
    assert_eq!(ledger.take_back(a.origin).unwrap(), TakenBack { readings: 3 });
    assert_eq!(points(&path), [(1, 10.0), (2, 32.0), (3, 23.0), (4, 14.0)]);
    assert_eq!(ledger.take_back(b.origin).unwrap(), TakenBack { readings: 4 });
    assert_eq!(points(&path), [(1, 10.0), (4, 14.0)]);
}

#[test]
fn two_values_of_one_instant_in_one_import_leave_the_smaller_and_keep_the_other() {
    let (_dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    let done = one(&mut ledger, "a", &[(5, 7.0), (5, 7.0), (5, 6.0), (5, 8.0), (5, 8.0), (6, 1.0)]);
    assert_eq!((done.readings, done.twice_same, done.twice_other), (2, 2, 2));
    assert_eq!(points(&path), [(5, 6.0), (6, 1.0)]);
    let losers: Vec<f64> = {
        let mut query = ledger.db.prepare("SELECT v FROM variant ORDER BY v").unwrap();
        query.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect()
    };
    assert_eq!(losers, [7.0, 8.0]);
    assert_eq!(ledger.take_back(done.origin).unwrap(), TakenBack { readings: 4 });
    assert_eq!(points(&path), []);
}

#[test]
fn import_that_breaks_off_half_way_leaves_nothing_at_all() {
    let (dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    one(&mut ledger, "before", &[(1, 1.0)]);
    let (before, generation) = (rows(&ledger), ledger.generation());
    let source = dir.path().join("kept.gz");
    std::fs::write(&source, [7; 100]).unwrap();
    let good = || {
        vec![
            Ok(ImportPiece::Series(key("elm", "air-temperature"))),
            Ok(ImportPiece::Readings(vec![(0, Millis(9), 3.0)])),
            Ok(ImportPiece::Report("{}".to_owned())),
        ]
    };
    let ends = [
        Err("the stick was pulled out".to_owned()),
        Ok(ImportPiece::Readings(vec![(1, Millis(9), 3.0)])),
        Ok(ImportPiece::Readings(vec![(0, Millis(9), f64::NAN)])),
    ];
    for end in ends {
        let mut pieces = VecDeque::from(good());
        pieces.push_back(end);
        let origin = NewOrigin { source: Some(source.clone()), ..named("broken") };
        let broken = ledger.import(&origin, &mut || pieces.pop_front());
        assert!(matches!(broken, Err(ImportError::Broken(_))), "{broken:?}");
        assert_eq!((rows(&ledger), ledger.generation()), (before.clone(), generation));
    }
    let missing = NewOrigin { source: Some(dir.path().join("nowhere")), ..named("no file") };
    assert!(matches!(bring(&mut ledger, &missing, Vec::new()), Err(ImportError::Store(StoreError::Io { .. }))));
    assert_eq!((rows(&ledger), ledger.generation()), (before, generation));
}

#[test]
fn disk_full_half_way_leaves_nothing_and_with_room_again_the_same_import_goes() {
    let (_dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    one(&mut ledger, "before", &[(1, 1.0)]);
    let before = rows(&ledger);
    let many: Vec<(i64, f64)> = (0..200_000).map(|k| (k * 60_000, k as f64)).collect();
    let lots = || {
        let mut lots: VecDeque<ImportPiece> = many
            .chunks(1_000)
            .map(|c| ImportPiece::Readings(c.iter().map(|&(t, v)| (0, Millis(t), v)).collect()))
            .collect();
        lots.push_front(ImportPiece::Series(key("elm", "air-temperature")));
        lots
    };
    let limit = |ledger: &Ledger, pages: i64| {
        let _: i64 = ledger.db.query_row(&format!("PRAGMA max_page_count = {pages}"), [], |r| r.get(0)).unwrap();
    };
    limit(&ledger, 1_000);
    let mut pieces = lots();
    let full = ledger.import(&named("big"), &mut || pieces.pop_front().map(Ok)).unwrap_err();
    let ImportError::Store(StoreError::Sqlite(error)) = &full else { panic!("{full:?}") };
    assert_eq!(error.sqlite_error_code(), Some(rusqlite::ErrorCode::DiskFull));
    // It was really half-way: most of it had been taken, and much of that is more than the cache holds.
    assert!(pieces.len() < 150 && !pieces.is_empty(), "{}", pieces.len());
    assert_eq!(rows(&ledger), before);
    limit(&ledger, 1 << 30);
    let mut pieces = lots();
    let done = ledger.import(&named("big"), &mut || pieces.pop_front().map(Ok)).unwrap();
    assert_eq!(done.readings, 200_000);
    ledger.take_back(done.origin).unwrap();
    assert_eq!(points(&path), [(1, 1.0)]);
}

#[test]
fn import_of_nothing_and_taking_back_what_is_not_there_touch_no_hour() {
    let (_dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    one(&mut ledger, "a", &[(1, 1.0)]);
    let generation = ledger.generation();
    let empty = bring(&mut ledger, &named("empty"), vec![ImportPiece::Series(key("elm", "rain"))]).unwrap();
    assert_eq!((empty.readings, empty.generation), (0, generation));
    for origin in [0, empty.origin, 77] {
        assert_eq!(ledger.take_back(origin).unwrap(), TakenBack { readings: 0 });
    }
    let readings = Readings::open(&path).unwrap();
    // Were it otherwise, figures would for ever be said to be behind.
    assert_eq!((ledger.generation(), readings.newest_generation().unwrap()), (generation, generation));
    assert_eq!(readings.origins().unwrap().len(), 1);
    // A number is never given twice: somebody may still have it on a page.
    assert!(one(&mut ledger, "b", &[(2, 1.0)]).origin > empty.origin);
}

#[test]
fn series_left_without_anything_go_at_the_next_start_and_their_numbers_with_them() {
    let (_dir, path) = folder();
    let mut ledger = Ledger::open(&path).unwrap();
    ledger.commit(&[heard(key("oak", "air-temperature"), 1, 1.0, 1)]).unwrap();
    let a = one(&mut ledger, "a", &[(1, 1.0)]);
    let series =
        |path: &Path| Readings::open(path).unwrap().series().unwrap().iter().map(|s| s.id.0).collect::<Vec<_>>();
    assert_eq!(series(&path), [1, 2]);
    ledger.take_back(a.origin).unwrap();
    // Nobody sees the device any more, but its hours are still to be worked out again.
    assert_eq!(devices(&path).iter().map(|d| d.urn.as_str()).collect::<Vec<_>>(), ["urn:propstick:oak"]);
    drop(ledger);
    let mut ledger = Ledger::open(&path).unwrap();
    assert_eq!(series(&path), [1, 2]);
    let later = ledger.commit(&[heard(key("oak", "air-temperature"), 9, 1.0, 9)]).unwrap();
    ledger.forget_dirty(later.generation).unwrap();
    drop(ledger);
    let mut ledger = Ledger::open(&path).unwrap();
    assert_eq!(series(&path), [1]);
    one(&mut ledger, "b", &[(1, 1.0)]);
    assert_eq!(series(&path), [1, 3]);
}

#[test]
fn what_a_device_is_called_does_not_depend_on_what_told_of_it_first() {
    let called = |path: &Path| {
        let d = devices(path).remove(0);
        (d.kind, d.mapping, d.first_heard.map(|t| t.0))
    };
    let told_as = |ledger: &mut Ledger, kind: DeviceKind, mapping: &str| {
        let series =
            SeriesKey { device_kind: kind, mapping: Some(mapping.to_owned()), ..key("ash", "air-temperature") };
        let pieces = vec![ImportPiece::Series(series), ImportPiece::Readings(vec![(0, Millis(1), 1.0)])];
        bring(ledger, &named(mapping), pieces).unwrap().origin
    };
    let word = |kind: &str, mapping: &str| (kind.to_owned(), Some(mapping.to_owned()), None);
    for order in [[0, 1, 2], [2, 1, 0], [1, 2, 0]] {
        let (_dir, path) = folder();
        let mut ledger = Ledger::open(&path).unwrap();
        let files = [(DeviceKind::File, "a"), (DeviceKind::Foreign, "c"), (DeviceKind::Foreign, "b")];
        let mut origins = [0; 3];
        for k in order {
            origins[k] = told_as(&mut ledger, files[k].0, files[k].1);
        }
        assert_eq!(called(&path), word("foreign", "b"), "{order:?}");
        ledger.take_back(origins[2]).unwrap();
        assert_eq!(called(&path), word("foreign", "c"), "{order:?}");
        ledger.take_back(origins[1]).unwrap();
        assert_eq!(called(&path), word("file", "a"), "{order:?}");
        // Once heard, its own word counts, and the earliest of its messages whichever was stored first.
        let live = |arrived| heard(key("ash", "air-temperature"), arrived, 1.0, arrived);
        ledger.commit(&[live(50)]).unwrap();
        told_as(&mut ledger, DeviceKind::Foreign, "a");
        ledger.commit(&[live(40), live(60)]).unwrap();
        assert_eq!(called(&path), ("foreign".to_owned(), Some("ash".to_owned()), Some(40)));
        drop(ledger);
        Ledger::open(&path).unwrap().commit(&[live(30)]).unwrap();
        assert_eq!(called(&path).2, Some(30));
    }
}
