//! Errands to the ledger's thread while messages come.

use std::sync::mpsc;
use std::time::{Duration, Instant};

use propstick_garden::model::{Measure, parse_garden};
use propstick_garden::took::{DeviceKind, Envelope, SeriesKey, SeriesKind, Via};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::*;
use crate::store::derived::Hours;
use crate::store::imports::{ImportPiece, NewOrigin};
use crate::store::readings::Span;
use crate::transport::{Ack, Stored};

/// 2026-03-08T12:00:00Z.
const NOON_S: i64 = 1_772_971_200;
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
from = "2026-03-08T00:00:00Z"
[[placement]]
device = "urn:propstick:old-logger"
channels = ["air-temperature"]
spot = "frame-air"
from = "2020-01-01T00:00:00Z"
to = "2026-03-08T00:00:00Z"
"#;

fn house(folder: &Path) -> House {
    let opened = Opened::open(folder, Some(parse_garden(GARDEN).unwrap()), Pace::Live).unwrap();
    let clock = Clock::Stopped(Millis((NOON_S + 3_600) * 1_000));
    let windows = opened.windows(clock, Arc::new(Health::new(clock.now())));
    opened.start(&Config::from_text("a test", "").unwrap(), windows).unwrap()
}

/// Puts one sample of a board into the inbox, and gives the end where its acknowledgement comes.
fn send(house: &House, n: i64) -> tokio::sync::oneshot::Receiver<Stored> {
    let at = NOON_S + n * 60;
    // One that stood still all the time would be taken for stuck.
    let t_c = 6.0 + (n % 7) as f64 / 10.0;
    let payload = format!(
        "[{{\"bn\":\"urn:dev:mac:02005efffe10a2b3_\",\"bt\":{at},\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":{t_c}}}]"
    );
    let envelope = Envelope {
        arrived: Millis(at * 1_000),
        via: Via::Replay,
        topic: format!("propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/{n}-{n}"),
        payload: payload.into_bytes(),
        qos: 1,
        retain: false,
        dup: false,
    };
    let (ack, acked) = Ack::pair();
    house.inbox.blocking_send((envelope, ack)).unwrap();
    acked
}

fn old_logger() -> ImportPiece {
    ImportPiece::Series(SeriesKey {
        device: "urn:propstick:old-logger".to_owned(),
        device_kind: DeviceKind::File,
        mapping: Some("old-logger".to_owned()),
        channel: "air-temperature".to_owned(),
        unit_sent: "Cel".to_owned(),
        kind: SeriesKind::Instant,
        span_s: 0,
        stamp_end: false,
    })
}

fn origin() -> NewOrigin {
    NewOrigin {
        label: "old logger".to_owned(),
        made_at: Millis(NOON_S * 1_000),
        file: None,
        sha256: String::new(),
        mapping: String::new(),
        zone: None,
        source: None,
    }
}

/// Numbers of readings by hour of the spot, oldest first.
fn hours(folder: &Path) -> Vec<u32> {
    let all = Span { from: Millis(0), to: Millis(i64::MAX) };
    let hours = Hours::of_folder(folder).unwrap();
    let rows = hours.hours("frame-air", Measure::Direct(Quantity::AirTemperature), all).unwrap();
    rows.iter().map(|r| r.n).filter(|n| *n > 0).collect()
}

fn until(what: &str, mut done: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < Duration::from_secs(60), "{what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn messages_that_come_during_a_long_import_wait_and_none_is_lost() {
    let dir = tempfile::tempdir().unwrap();
    let house = house(dir.path());
    send(&house, 1).blocking_recv().unwrap();
    let (give, pieces) = mpsc::sync_channel(0);
    let door = house.doors().ledger;
    let import =
        std::thread::spawn(move || door.run(move |ledger| ledger.import(&origin(), &mut || pieces.recv().ok())));
    give.send(Ok(old_logger())).unwrap();
    let old = (0..600).map(|k| (0, Millis((NOON_S - 86_400 * 9 + k * 60) * 1_000), 3.0)).collect();
    give.send(Ok(ImportPiece::Readings(old))).unwrap();
    // More than one lot holds.
    let mut acked: Vec<_> = (2..=900).map(|n| send(&house, n)).collect();
    give.send(Ok(ImportPiece::Report("{}".to_owned()))).unwrap();
    // The import has taken a piece after the messages came, and not one of them went before it was over.
    assert!(acked.iter_mut().all(|a| a.try_recv().is_err()));
    drop(give);
    let imported = import.join().unwrap().unwrap().unwrap();
    assert_eq!(imported.readings, 600);
    assert!(acked.into_iter().all(|a| a.blocking_recv() == Ok(Stored::Yes)));
    // A message is acknowledged before the engine is told of it, so that one answer of the engine's may come too early.
    let engine = house.doors().engine;
    let worked_out = || engine.wait_settled() && house.windows.health.report().not_worked_out == 0;
    until("everything is worked out", worked_out);
    assert_eq!(hours(dir.path()), [[60; 10].as_slice(), &[59], &[60; 14], &[1]].concat());
    let origin = imported.origin;
    assert_eq!(house.doors().ledger.run(move |ledger| ledger.take_back(origin)).unwrap().unwrap().readings, 600);
    assert!(house.doors().engine.wait_settled());
    assert_eq!(hours(dir.path()), [[59].as_slice(), &[60; 14], &[1]].concat());
    until("everything is said to be worked out again", worked_out);
    house.close();
}

#[test]
fn errand_that_breaks_off_leaves_nothing_and_the_ledger_goes_on() {
    let dir = tempfile::tempdir().unwrap();
    let house = house(dir.path());
    let door = house.doors().ledger;
    let mut pieces = vec![Ok(ImportPiece::Readings(vec![(0, Millis(0), 1.0)])), Ok(old_logger())];
    let broken = door.run(move |ledger| {
        ledger.import(&origin(), &mut || Some(pieces.pop().unwrap_or_else(|| panic!("an error in a reader"))))
    });
    assert!(broken.is_none());
    assert_eq!(send(&house, 1).blocking_recv(), Ok(Stored::Yes));
    let readings = Readings::open(&dir.path().join("readings.db")).unwrap();
    assert_eq!((readings.origins().unwrap().len(), readings.series().unwrap().len()), (0, 1));
    assert_eq!(door.run(|ledger| ledger.generation()), Some(1));
    house.close();
    assert!(door.run(|ledger| ledger.generation()).is_none());
}
