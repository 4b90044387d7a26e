//! From messages to what the leaves went through: wet hours, risk and levels of a structure, also where a sensor is dead, stuck at the top or late, and
//! after water over the leaves.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use chrono::NaiveDate;
use propstick::config::Config;
use propstick::engine::{Command, Engine, Input, Pace, Told};
use propstick::house::Opened;
use propstick::store::Ledger;
use propstick::web::Views;
use propstick_garden::decode::{self, Book};
use propstick_garden::model::{Garden, parse_garden};
use propstick_garden::record::{Event, EventKind, EventSource, Feel, Observation, Seen};
use propstick_garden::took::{Envelope, Via};
use propstick_tests::program::quick_folder;
use propstick_tests::recordings::{GARDEN, MAPPING, Message, OUTDOORS, Reporter, TUNNEL, air, seconds};
use propstick_tests::stores::{self, difference};
use propstick_wire::Millis;
use serde_json::Value;

/// Twelve November days begin here, at noon of standard time.
const BEGIN: &str = "2025-11-03T12:00:00Z";
const DAYS: i64 = 12;

/// What a board measures at a time: temperature and humidity.
type Weather = dyn Fn(i64) -> (f64, f64);

/// Wetness sheet 3.3: a mean and half a span of temperature, and of humidity.
fn spell(tm: f64, a: f64, rhm: f64, b: f64) -> impl Fn(i64) -> (f64, f64) {
    move |at| {
        let c = (2.0 * std::f64::consts::PI * ((at as f64 / 3_600.0) % 24.0 - 15.0) / 24.0).cos();
        (tm + a * c, (rhm - b * c).clamp(0.0, 100.0))
    }
}

/// Ten-minute readings of the tunnel and of outdoors.
fn messages(tunnel: &Weather, outdoors: &Weather) -> Vec<Message> {
    let from = seconds(BEGIN);
    let (mut inside, mut outside) = (Reporter::new(TUNNEL, 1, 6), Reporter::new(OUTDOORS, 1, 6));
    let mut all = Vec::new();
    for at in (from..from + DAYS * 86_400).step_by(600) {
        let (t_c, rh_pct) = tunnel(at);
        all.extend(inside.sample(at, air(t_c, rh_pct)));
        let (t_c, rh_pct) = outdoors(at);
        all.extend(outside.sample(at, air(t_c, rh_pct)));
    }
    all
}

struct House {
    garden: Garden,
    dir: tempfile::TempDir,
    ledger: Ledger,
    engine: Engine,
    now: Millis,
}

impl House {
    fn heard(messages: &[Message]) -> House {
        House::heard_in(garden(), messages)
    }

    fn heard_in(garden: Garden, messages: &[Message]) -> House {
        let dir = quick_folder().unwrap();
        let Opened { ledger, engine, .. } = Opened::open(dir.path(), Some(garden.clone()), Pace::Live).unwrap();
        let now = Millis((seconds(BEGIN) + DAYS * 86_400) * 1_000);
        let mut house = House { garden, dir, ledger, engine, now };
        house.hear(messages);
        house
    }

    fn hear(&mut self, messages: &[Message]) {
        let book = Book { mappings: Config::from_text("a test", MAPPING).unwrap().mappings };
        let took: Vec<_> = messages.iter().flat_map(|m| decode::read(&envelope(m), &book)).collect();
        self.engine.step(Input::Committed(self.ledger.commit(&took).unwrap())).unwrap();
        self.engine.step(Input::Command(Command::CatchUp)).unwrap();
    }

    fn rows(&self) -> Vec<String> {
        stores::hours(self.dir.path()).unwrap()
    }

    fn now(&self) -> Value {
        let views = Views::open(self.dir.path()).unwrap();
        serde_json::to_value(views.now(&self.garden, "tunnel", self.now).unwrap()).unwrap()
    }

    fn risk(&self) -> Value {
        let views = Views::open(self.dir.path()).unwrap();
        let first = NaiveDate::from_ymd_opt(2025, 11, 3).unwrap();
        serde_json::to_value(views.risk(&self.garden, "tunnel", (first, DAYS as u64 + 1), self.now).unwrap()).unwrap()
    }
}

fn garden() -> Garden {
    parse_garden(GARDEN).unwrap()
}

fn envelope(m: &Message) -> Envelope {
    Envelope {
        arrived: m.recv,
        via: Via::Replay,
        topic: m.topic.clone(),
        payload: m.payload.clone().into_bytes(),
        qos: 1,
        retain: m.retain,
        dup: false,
    }
}

fn group<'a>(of: &'a Value, group: &str) -> &'a Value {
    of.as_array().unwrap().iter().find(|g| g["group"] == group).unwrap_or_else(|| panic!("{group} in {of}"))
}

#[test]
fn mild_damp_closed_week_stands_high_with_what_drives_it_and_a_look_to_come() {
    // Wetness sheet 3.3, spell A: 17 wet hours a noon-day, lettuce at 0.7221 after seven days and high; the vented frame's air outdoors.
    let house = House::heard(&messages(&spell(9.0, 2.0, 92.0, 7.0), &spell(8.0, 2.0, 86.0, 8.0)));
    let (now, risk) = (house.now(), house.risk());
    let nights = risk["nights"].as_array().unwrap();
    assert_eq!(
        (nights.len(), &nights[11]["final"], &nights[12]["final"]),
        (13, &Value::from(true), &Value::from(false))
    );
    let night = &nights[6];
    assert_eq!((&night["noon_day"], &night["measured"]), (&Value::from("2025-11-09"), &Value::from(1.0)));
    let lettuce = group(&night["groups"], "lettuce");
    assert_eq!((&lettuce["level"], &lettuce["by"]), (&Value::from("high"), &Value::from("lettuce-downy-mildew")));
    let risk_then = lettuce["risk"]["value"].as_f64().unwrap();
    // Ten-minute samples instead of the sheet's hours.
    assert!((risk_then - 0.7221).abs() < 0.02, "{lettuce}");
    let wet = &night["wet_hours"];
    assert!((16.0..=18.0).contains(&wet["value"].as_f64().unwrap()), "{wet}");
    assert!(wet["low"].as_f64() < wet["value"].as_f64() && wet["value"].as_f64() < wet["high"].as_f64(), "{wet}");
    assert_eq!(group(&now["risk"], "lettuce")["level"], "high");
    assert!(risk["look_for"].as_array().unwrap().iter().any(|l| l["what"] == "lettuce-downy-mildew"), "{risk}");
    assert_eq!(risk["damp_days"]["value"], 12.0);
    // Hutton, 2017: never 10 °C all day.
    assert!(
        risk["blight_outdoors"].as_array().unwrap().iter().all(|d| d["day"] == "no"),
        "{}",
        risk["blight_outdoors"]
    );
}

#[test]
fn humidity_that_fell_to_one_makes_hours_unknown_and_never_dry() {
    // Troubles page 1.
    let damp = spell(9.0, 2.0, 92.0, 7.0);
    let dies = seconds("2025-11-10T12:00:00Z");
    let dead = move |at: i64| if at < dies { damp(at) } else { (damp(at).0, 1.0) };
    let house = House::heard(&messages(&dead, &spell(8.0, 2.0, 86.0, 8.0)));
    let (now, risk) = (house.now(), house.risk());
    assert_eq!(now["spots"][0]["readings"][1]["marks"], serde_json::json!(["range", "stuck"]));
    assert_eq!((&now["wet"]["now"], &now["wet"]["hours_24"]["unknown"]), (&"unknown".into(), &"no-reading".into()));
    let nights = risk["nights"].as_array().unwrap();
    let level = |k: usize| group(&nights[k]["groups"], "lettuce").clone();
    assert_eq!((&level(6)["level"], &level(6)["state"]), (&"high".into(), &"fresh".into()));
    // The range has grown to three levels: the middle one shows.
    assert_eq!((&level(8)["level"], &level(8)["state"]), (&"raised".into(), &"stale".into()));
    assert_eq!(level(8)["range"], serde_json::json!(["some", "high"]));
    assert_eq!((&level(10)["level"], &level(10)["state"]), (&Value::Null, &"unknown".into()));
    assert_eq!(nights[10]["wet_hours"]["value"], Value::Null);
    assert!(level(8)["risk"]["high"].as_f64() > level(6)["risk"]["high"].as_f64());
}

#[test]
fn humidity_stuck_at_the_top_builds_no_damp_spell_by_itself() {
    let swings = spell(9.0, 4.0, 92.0, 7.0);
    let pinned = move |at: i64| (swings(at).0, 100.0);
    let house = House::heard(&messages(&pinned, &spell(8.0, 2.0, 86.0, 8.0)));
    let (now, risk) = (house.now(), house.risk());
    assert_eq!(now["spots"][0]["readings"][1]["marks"], serde_json::json!(["saturated"]));
    assert_eq!(risk["spell"], Value::Null);
    assert_eq!(risk["damp_days"]["low"], 0.0);
    let last = &risk["nights"][11];
    assert_eq!((&last["wet_hours"]["low"], &last["wet_hours"]["value"]), (&0.0.into(), &24.0.into()));
    let lettuce = group(&last["groups"], "lettuce");
    assert_eq!((&lettuce["level"], &lettuce["uncertain"]), (&"some".into(), &true.into()), "{lettuce}");
}

#[test]
fn readings_of_last_night_that_come_late_leave_what_they_would_have_left_in_time() {
    let all = messages(&spell(9.0, 2.0, 92.0, 7.0), &spell(8.0, 2.0, 86.0, 8.0));
    let wanted = House::heard(&all);
    let night = Millis(seconds("2025-11-14T20:00:00Z") * 1_000)..Millis(seconds("2025-11-15T06:00:00Z") * 1_000);
    let (late, in_time): (Vec<Message>, Vec<Message>) = all.into_iter().partition(|m| night.contains(&m.recv));
    let mut house = House::heard(&in_time);
    assert_ne!(house.risk()["nights"][11], wanted.risk()["nights"][11]);
    let begun = std::time::Instant::now();
    house.hear(&late);
    println!("late readings of last night worked out in {:?}", begun.elapsed());
    let (found, wanted_rows) = (house.rows(), wanted.rows());
    assert!(found == wanted_rows, "{}", difference(&found, &wanted_rows));
    assert_eq!(house.risk(), wanted.risk());
}

#[test]
fn water_over_the_leaves_wets_them_for_hours_until_it_is_taken_back() {
    let mut house = House::heard(&messages(&spell(12.0, 1.0, 78.0, 4.0), &spell(8.0, 2.0, 70.0, 8.0)));
    let dry = (house.rows(), house.now());
    assert_eq!(dry.1["wet"]["hours_24"]["value"], 0.0);
    let event = Event {
        id: 0,
        t: Millis(seconds("2025-11-14T22:00:00Z") * 1_000),
        kind: EventKind::Water,
        target: "tunnel".to_owned(),
        what: Some("overhead".to_owned()),
        amount: None,
        unit: None,
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    };
    let now = house.now;
    let tell = |house: &mut House, told| {
        house.engine.step(Input::Command(Command::Told(Box::new(told), now))).unwrap();
        house.engine.step(Input::Command(Command::CatchUp)).unwrap();
    };
    tell(&mut house, Told::Did(event, None, None));
    // Wetness sheet 1.3: three hours.
    assert_eq!(house.now()["wet"]["hours_24"]["value"], 3.0);
    tell(&mut house, Told::DidNot(1, None));
    let again = house.rows();
    assert!(again == dry.0, "{}", difference(&again, &dry.0));
}

#[test]
fn disease_that_was_found_shows_one_level_higher_and_says_so() {
    let mut house = House::heard(&messages(&spell(12.0, 1.0, 70.0, 4.0), &spell(8.0, 2.0, 70.0, 8.0)));
    assert_eq!(group(&house.now()["risk"], "lettuce")["level"], "low");
    let event = Event {
        id: 0,
        t: house.now.plus(-86_400_000),
        kind: EventKind::Found,
        target: "tunnel".to_owned(),
        what: Some("grey-mould".to_owned()),
        amount: None,
        unit: None,
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    };
    let told = Box::new(Told::Did(event, None, None));
    house.engine.step(Input::Command(Command::Told(told, house.now))).unwrap();
    let lettuce = group(&house.now()["risk"], "lettuce").clone();
    assert_eq!((&lettuce["level"], &lettuce["found_lately"]), (&"some".into(), &true.into()));
    assert_eq!(group(&house.now()["risk"], "onion")["found_lately"], false);
}

#[test]
fn sun_through_the_film_is_marked_by_day_and_a_finger_tells_the_stem_rot_rule_of_the_soil() {
    // Wetness sheet 2.10: 10 to 25 °C and 80 %RH for twelve hours, on three of five days, in soil that was kept moist.
    let bed = "\n[[bed]]\nslug = \"salad\"\nname = \"Salad\"\nstructure = \"tunnel\"\n";
    let weather = messages(&spell(12.0, 1.0, 92.0, 4.0), &spell(8.0, 2.0, 70.0, 8.0));
    let mut house = House::heard_in(parse_garden(&format!("{GARDEN}{bed}")).unwrap(), &weather);
    // Noon of 15 November at 51° N: 20° of elevation, 313 W/m² of a clear sky, more than 150 through the film. Outdoors wind goes through the screen.
    let readings = house.now()["spots"][0]["readings"].clone();
    assert_eq!(
        (&readings[0]["marks"], &readings[1]["marks"]),
        (&serde_json::json!(["sunlit"]), &serde_json::json!([]))
    );
    let stem_rot = |house: &House| house.risk()["nights"][11]["flags"]["stem_rot"].clone();
    assert_eq!(
        (stem_rot(&house), &house.risk()["nights"][11]["flags"]["damping_off"]),
        ("unknown".into(), &Value::Null)
    );
    let seen = Seen::Finger { bed: "salad".to_owned(), feel: Feel::Moist };
    let finger = Observation { id: 0, t: house.now.plus(-86_400_000), teller: String::new(), seen, undone_at: None };
    let told = Box::new(Told::Saw(finger, None, None));
    house.engine.step(Input::Command(Command::Told(told, house.now))).unwrap();
    assert_eq!(stem_rot(&house), "yes");
}
