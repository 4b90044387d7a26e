//! A wetness gauge, and rain through an open lid: what they do to the figures that are kept, in whatever order it is heard.

use propstick_agronomy::wetness::hours::Leaf;
use propstick_garden::record::{Event, EventKind, EventSource};

use super::*;
use crate::store::derived::Seasons;

const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "outdoors"
kind = "outdoors"
name = "Outdoors"
[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "shut", full = "off" }
[[spot]]
slug = "mast"
structure = "outdoors"
role = "outside"
[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
[[spot]]
slug = "frame-leaf"
structure = "frame"
role = "leaf"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b3"
channels = ["air-temperature", "air-humidity"]
spot = "frame-air"
from = "2026-01-01T00:00:00Z"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b4"
channels = ["leaf-wetness"]
spot = "frame-leaf"
from = "2026-01-01T00:00:00Z"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b5"
channels = ["rain"]
spot = "mast"
from = "2026-01-01T00:00:00Z"
"#;

const STEP: i64 = 10 * MINUTE;
const DAY: i64 = 24 * HOUR;

fn took(device: char, channel: &str, t: Millis, v: f64) -> Took {
    let (unit, kind, span_s) = match channel {
        "air-temperature" => ("Cel", SeriesKind::Instant, 0),
        "air-humidity" => ("%RH", SeriesKind::Instant, 0),
        "leaf-wetness" => ("/", SeriesKind::Instant, 0),
        _ => ("mm", SeriesKind::Sum, 3_600),
    };
    Took::Reading(RawReading {
        series: SeriesKey {
            device: format!("urn:dev:mac:02005efffe10a2b{device}"),
            device_kind: DeviceKind::Board,
            mapping: None,
            channel: channel.to_owned(),
            unit_sent: unit.to_owned(),
            kind,
            span_s,
            stamp_end: false,
        },
        t,
        v,
        arrived: t,
        facts: Facts::TIME_OWN,
        sample: None,
    })
}

/// Days of ten-minute readings from a noon on: dry by day at 60 %RH, 98 % from the eighth to the twentieth hour of the noon-day; the gauge says wet
/// from the tenth to the sixteenth. After `dry_days` no hour is dry. The air is `warmer_c` above a
/// little over freezing. Temperature, humidity, gauge.
fn dewy(days: i64, dry_days: i64, warmer_c: f64) -> Vec<Took> {
    let mut all = Vec::new();
    for k in 0..days * DAY / STEP {
        let (t, hour) = (NOON.plus(k * STEP), k / 6 % 24);
        let (night, wet) = ((8..20).contains(&hour), (10..16).contains(&hour));
        all.push(took('3', "air-temperature", t, warmer_c + 0.2 + 0.1 * (k % 7) as f64));
        all.push(took(
            '3',
            "air-humidity",
            t,
            if night || t >= NOON.plus(dry_days * DAY) { 98.0 } else { 60.0 } + 0.1 * (k % 5) as f64,
        ));
        all.push(took('4', "leaf-wetness", t, if wet { 0.7 } else { 0.1 } + 0.01 * (k % 3) as f64));
    }
    all
}

struct House {
    dir: tempfile::TempDir,
    ledger: Ledger,
    engine: Engine,
}

impl House {
    fn new() -> House {
        let dir = tempfile::tempdir().unwrap();
        let ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
        let engine = Engine::open(dir.path(), Some(parse_garden(GARDEN).unwrap()), Pace::Live).unwrap();
        House { dir, ledger, engine }
    }

    fn heard(lots: &[&[Took]]) -> House {
        let mut house = House::new();
        lots.iter().for_each(|lot| house.hear(lot));
        house
    }

    fn hear(&mut self, took: &[Took]) {
        self.engine.step(Input::Committed(self.ledger.commit(took).unwrap())).unwrap();
        self.engine.step(Input::Command(Command::CatchUp)).unwrap();
    }

    /// The program ends and starts again.
    fn started_again(self) -> House {
        let House { dir, ledger, engine } = self;
        drop(engine);
        let mut engine = Engine::open(dir.path(), None, Pace::Live).unwrap();
        engine.step(Input::Command(Command::CatchUp)).unwrap();
        House { dir, ledger, engine }
    }

    fn tell(&mut self, told: Told) {
        let at = NOON.plus(30 * DAY);
        self.engine.step(Input::Command(Command::Told(Box::new(told), at))).unwrap();
        self.engine.step(Input::Command(Command::CatchUp)).unwrap();
    }

    /// Wet hours of a noon-day as read: of those from noon on.
    fn wet(&self, day: i64) -> Vec<i64> {
        let from = NOON.plus(day * DAY);
        let hours = Hours::of_folder(self.dir.path()).unwrap();
        let hours = hours.wet_hours("frame-air", Span { from, to: from.plus(DAY) }).unwrap();
        hours.iter().filter(|h| h.leaf().read == Leaf::Wet).map(|h| (h.from_ms - from.0) / HOUR).collect()
    }

    /// Everything that is kept of the leaves, to the last bit.
    fn kept(&self) -> Vec<String> {
        let db = rusqlite::Connection::open(folder::derived_path(self.dir.path())).unwrap();
        let mut all = Vec::new();
        for query in [
            "SELECT noon || hex(night) || hex(state) FROM night ORDER BY noon",
            "SELECT hour || ' ' || covered_ms || ' ' || wet_ms_lo || ' ' || wet_ms || ' ' || wet_ms_hi || ' ' || suspect FROM wet ORDER BY hour",
            "SELECT structure || at || ' ' || what FROM told ORDER BY structure, at, what",
        ] {
            let mut query = db.prepare(query).unwrap();
            all.extend(query.query_map([], |r| r.get::<_, String>(0)).unwrap().map(Result::unwrap));
        }
        all
    }
}

fn lid(at: Millis, what: &str) -> Told {
    let event = Event {
        id: 0,
        t: at,
        kind: EventKind::Vent,
        target: "lid".to_owned(),
        what: Some(what.to_owned()),
        amount: None,
        unit: None,
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    };
    Told::Did(event, None, None)
}

#[test]
fn gauge_that_has_been_learned_says_how_long_the_leaves_are_wet() {
    let all = dewy(4, 4, 8.0);
    let house = House::heard(&[&all]);
    // The first night nothing is known of the gauge; then its six hours, of the twelve that humidity would say.
    assert_eq!(house.wet(0), (8..20).collect::<Vec<_>>());
    assert_eq!(house.wet(1), (10..16).collect::<Vec<_>>());
    assert_eq!(house.wet(2), (10..16).collect::<Vec<_>>());
}

#[test]
fn gauge_heard_late_or_in_pieces_with_starts_between_leaves_what_a_run_from_nothing_leaves() {
    // Dry for three days alone: the scale is learned until the fortnight that ends with the third is over, and then stands.
    // It is too cold for any disease, so that no score carries the difference on.
    let all = dewy(20, 3, 0.0);
    let wanted = House::heard(&[&all]).kept();
    assert!(wanted.len() > 400, "{}", wanted.len());
    // A day of the gauge heard last of all; it teaches the fortnight after it.
    let late = |took: &Took| matches!(took, Took::Reading(r) if r.series.channel == "leaf-wetness" && (NOON.plus(2 * DAY)..NOON.plus(3 * DAY)).contains(&r.t));
    let (of_day, rest): (Vec<Took>, Vec<Took>) = all.iter().cloned().partition(late);
    let mut house = House::heard(&[&rest]);
    assert_ne!(house.kept(), wanted);
    house.hear(&of_day);
    assert!(house.kept() == wanted, "a late day");
    let mut house = House::new();
    for lot in all.chunks(all.len() / 5 + 7) {
        house.hear(lot);
        house = house.started_again();
    }
    assert!(house.kept() == wanted, "in pieces, with starts between");
}

#[test]
fn rain_through_a_lid_told_to_be_open_wets_the_leaves_in_whatever_order_it_is_heard() {
    // Air of 60 to 80 %RH and no gauge: humidity never says wet.
    let mut air = Vec::new();
    for k in 0..3 * DAY / STEP {
        let t = NOON.plus(k * STEP);
        air.push(took('3', "air-temperature", t, 12.0 + 0.1 * (k % 7) as f64));
        air.push(took('3', "air-humidity", t, 78.0 + 0.1 * (k % 50) as f64));
    }
    let rain = |hour: i64| took('5', "rain", NOON.plus(DAY + hour * HOUR), if hour == 5 { 1.5 } else { 0.0 });
    let rain: Vec<Took> = (0..24).map(rain).collect();
    let (open, shut) = (NOON.plus(DAY + 2 * HOUR), NOON.plus(DAY + 8 * HOUR));
    let mut house = House::heard(&[&air, &rain]);
    assert_eq!(house.wet(1), [] as [i64; 0], "nobody told that the lid was off");
    let dry = house.kept();
    house.tell(lid(open, "full"));
    // Wetness sheet 1.3: three hours.
    assert_eq!(house.wet(1), [5, 6, 7]);
    house.tell(lid(shut, "closed"));
    assert_eq!(house.wet(1), [5, 6, 7]);
    let wanted = house.kept();
    // The rain last.
    let mut other = House::heard(&[&air]);
    other.tell(lid(open, "full"));
    other.tell(lid(shut, "closed"));
    assert_eq!(other.wet(1), [] as [i64; 0]);
    other.hear(&rain);
    assert!(other.kept() == wanted, "the rain last");
    // It was shut before the rain after all; and then nobody had opened it.
    house.tell(lid(NOON.plus(DAY + 4 * HOUR), "closed"));
    assert_eq!(house.wet(1), [] as [i64; 0]);
    [3, 2, 1].into_iter().for_each(|id| house.tell(Told::DidNot(id, None)));
    assert!(house.kept() == dry, "taken back");
}
