//! Messages that cannot be meant: what, value, allowed and where in the list of what was refused, counted, and everything else kept.

use std::collections::BTreeMap;

use propstick_garden::took::Facts;
use propstick_tests::program::Running;
use propstick_tests::publisher::publish;
use propstick_tests::recordings::{Message, Part, TUNNEL, pack, recording, report_topic};
use propstick_wire::Millis;
use serde_json::Value;

use super::{Bench, plain};

const BOARD_TOPIC: &str = "mac-02005efffe000001";
const STICK: &str = "urn:propstick:sticks:3";
/// How many refusals [`odd_messages`] come to, by device. What of other makers' messages cannot be read at all names no device.
const TUNNEL_REFUSED: u64 = 15;
const STICK_REFUSED: u64 = 4;

/// A message, and the refusals it gets: their reason, and what their words must name.
struct Odd {
    topic: String,
    payload: Vec<u8>,
    retain: bool,
    refused: Vec<(&'static str, Vec<&'static str>)>,
}

fn odd(topic: impl Into<String>, payload: impl Into<Vec<u8>>, refused: &[(&'static str, &[&'static str])]) -> Odd {
    let refused = refused.iter().map(|(reason, words)| (*reason, words.to_vec())).collect();
    Odd { topic: topic.into(), payload: payload.into(), retain: false, refused }
}

/// Every kind of message that is wrong somewhere; `now_s` is when they are sent.
fn odd_messages(now_s: i64) -> Vec<Odd> {
    let own = Some(now_s - 3_600);
    let one =
        |n: u64, parts: Vec<Part<'static>>| (report_topic(TUNNEL, 7, n, n), pack(TUNNEL, own, &[(n as i64, parts)]));
    let air = |t: &str, rh: &str| -> Vec<Part<'static>> {
        vec![("air-temperature", "Cel", t.to_owned()), ("air-humidity", "%RH", rh.to_owned())]
    };
    let mut all = Vec::new();
    let mut report = |(topic, payload): (String, String), refused: &[(&'static str, &[&'static str])]| {
        all.push(odd(topic, payload, refused))
    };

    // One bad field refuses that field alone: the other of each pair is kept.
    report(
        one(1, air("nan", "81")),
        &[("not-a-number", &["air-temperature: nan", "allowed -", "Cel", BOARD_TOPIC, "sample 1"])],
    );
    report(
        one(2, air("2", "340")),
        &[("out-of-range", &["air-humidity: 340 %RH", "allowed 0 to", BOARD_TOPIC, "sample 2"])],
    );
    report(
        one(3, air("-127", "83")),
        &[("out-of-range", &["air-temperature: -127 Cel", "allowed -", BOARD_TOPIC, "sample 3"])],
    );
    report(
        one(4, air("\"4\"", "84")),
        &[("not-a-number", &["air-temperature: \"4\"", "allowed -", BOARD_TOPIC, "sample 4"])],
    );
    let mut wrong_unit = air("5", "85");
    wrong_unit[0].1 = "lx";
    report(
        one(5, wrong_unit),
        &[("wrong-unit", &["air-temperature: 5 lx", "allowed Cel, K", BOARD_TOPIC, "sample 5"])],
    );
    let mut unknown = air("6", "86");
    unknown[0].0 = "air-flavour";
    report(
        one(6, unknown),
        &[("unknown-quantity", &["air-flavour", "allowed air-temperature", BOARD_TOPIC, "sample 6"])],
    );
    report(
        one(7, air("inf", "NaN")),
        &[
            ("not-a-number", &["air-temperature: inf", "allowed -", "sample 7"]),
            ("not-a-number", &["air-humidity: NaN", "allowed 0 to", "sample 7"]),
        ],
    );
    // A humidity a little above 100 can be meant: it is kept as sent.
    report(one(8, air("8", "101.5")), &[]);

    // Packs that cannot be taken apart are refused whole, and settled.
    let (_, payload) = one(9, air("9", "89"));
    report(
        (report_topic(TUNNEL, 7, 9, 10), payload),
        &[("wrong-count", &["samples: 1 in the message", "allowed 2 (9 to 10)", BOARD_TOPIC])],
    );
    let foreign_name = pack("urn:dev:mac:02005efffe0000ff", own, &[(11, air("11", "81"))]);
    report(
        (report_topic(TUNNEL, 7, 11, 11), foreign_name),
        &[(
            "wrong-board",
            &["board: urn:dev:mac:02005efffe0000ff", "allowed urn:dev:mac:02005efffe000001", BOARD_TOPIC],
        )],
    );
    report(
        (report_topic(TUNNEL, 7, 12, 12), "[{\"bn\":".to_owned()),
        &[("malformed", &["message: ", "allowed SenML as JSON", BOARD_TOPIC])],
    );
    report(
        (report_topic(TUNNEL, 7, 13, 13), String::new()),
        &[("malformed", &["message: ", "allowed SenML as JSON", BOARD_TOPIC])],
    );
    let long = format!("{}{}", one(14, air("14", "84")).1, " ".repeat(5_000));
    report(
        (report_topic(TUNNEL, 7, 14, 14), long),
        &[("oversized", &["message: ", "bytes", "allowed 4096", BOARD_TOPIC])],
    );
    let descending = pack(TUNNEL, own, &[(20, air("15", "85")), (10, air("16", "86"))]);
    report(
        (report_topic(TUNNEL, 7, 15, 16), descending),
        &[("malformed", &["times: ", "allowed ascending", BOARD_TOPIC])],
    );

    // Times that cannot be (a quarter past midnight in 1970, the year 58000, in two hours, 1979): the numbers are kept, arrival takes the
    // place of the time.
    for (n, base_s) in [(17, 900), (18, 1_768_132_800_000), (19, now_s + 7_200), (20, 300_000_000)] {
        let payload = pack(TUNNEL, Some(base_s), &[(0, air(&n.to_string(), "87"))]);
        report((report_topic(TUNNEL, 7, n, n), payload), &[]);
    }
    report(
        (format!("propstick/v1/{BOARD_TOPIC}/state"), "{\"v\":2,\"online\":true}".to_owned()),
        &[("malformed", &["message: ", "allowed a state as JSON", "state of", BOARD_TOPIC])],
    );

    // Other makers' devices.
    let stick = |text: &str| ("site/3/air".to_owned(), text.replace("NOW", &(now_s - 60).to_string()));
    let place = "in site/3/air, mapping sticks";
    report(
        stick("{\"ts\":NOW,\"t\":nan,\"rh\":71}"),
        &[("not-a-number", &["air-temperature: nan", "allowed -", place])],
    );
    report(
        stick("{\"ts\":NOW,\"t\":\"warm\",\"rh\":71}"),
        &[("not-a-number", &["air-temperature: warm", "allowed -", place])],
    );
    report(
        stick("{\"ts\":NOW,\"t\":21,\"rh\":340}"),
        &[("out-of-range", &["air-humidity: 340 %RH", "allowed 0 to", place])],
    );
    report(
        stick("{\"ts\":NOW,\"hello\":1}"),
        &[("malformed", &["fields: none is there", "allowed \"/t\", \"/rh\"", place])],
    );
    report(stick("{\"ts\":NOW,\"t\":"), &[("malformed", &["message: ", "allowed JSON", place])]);
    let long = format!("{{\"t\":21,\"padding\":\"{}\"}}", "x".repeat(17_000));
    report(stick(&long), &[("oversized", &["message: ", "bytes", "allowed 16384", place])]);
    all
}

/// What the API shows as refused, oldest first: reason, device, topic, detail.
fn refused(house: &Running) -> Vec<[String; 4]> {
    let answer = house.ask("rejects?most=1000");
    let text = |v: &Value| v.as_str().unwrap_or("").to_owned();
    let mut all: Vec<_> = answer["rejects"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| [text(&r["reason"]), text(&r["device"]), text(&r["topic"]), text(&r["detail"])])
        .collect();
    all.reverse();
    let mut totals: BTreeMap<String, u64> = BTreeMap::new();
    all.iter().for_each(|r| *totals.entry(r[0].clone()).or_default() += 1);
    let counted = answer["totals"].as_array().unwrap().iter().map(|t| (text(&t["reason"]), t["n"].as_u64().unwrap()));
    assert_eq!(counted.collect::<BTreeMap<_, _>>(), totals, "counted by reason");
    all
}

#[track_caller]
fn check_refused(found: &[[String; 4]], sent: &[Odd]) {
    let mut found = found.iter();
    for message in sent {
        let text = String::from_utf8_lossy(&message.payload[..message.payload.len().min(120)]);
        for (reason, words) in &message.refused {
            let Some([found_reason, device, topic, detail]) = found.next() else {
                panic!("{reason} is missing for {text}")
            };
            assert_eq!((found_reason.as_str(), topic), (*reason, &message.topic), "{text}: {detail}");
            for word in words {
                assert!(detail.contains(word), "{word} is missing: {detail}");
            }
            let wanted = if topic.starts_with("propstick/") { TUNNEL } else { STICK };
            // A message that cannot be read at all may name no device.
            assert!(device == wanted || topic.starts_with("site/") && device.is_empty(), "{device}: {detail}");
        }
    }
    assert_eq!(found.next(), None, "refused besides");
}

/// What is kept of a channel, by value; each with whether arrival took the place of its time.
fn kept(bench: &Bench, device: &str, channel: &str) -> Vec<(f64, bool)> {
    let db = rusqlite::Connection::open(bench.path("data/readings.db")).unwrap();
    let mut query = db
        .prepare(
            "SELECT r.v, r.t, r.arrived, r.facts FROM reading r JOIN series s ON s.id = r.series JOIN device d ON d.id = s.device
             WHERE d.urn = ?1 AND s.channel = ?2 ORDER BY r.v",
        )
        .unwrap();
    let rows = query.query_map([device, channel], |r| {
        let (v, t, arrived, facts): (f64, i64, i64, u8) = (r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?);
        let is_replaced = Facts(facts).time_kind() == Facts::TIME_REPLACED;
        assert_eq!(t == arrived, is_replaced, "{v}: {t} {arrived} {facts}");
        Ok((v, is_replaced))
    });
    rows.unwrap().collect::<Result<_, _>>().unwrap()
}

fn check_kept(bench: &Bench, house: &Running, stick_refused: u64) {
    let all = |own: &[f64], replaced: &[f64]| -> Vec<(f64, bool)> {
        let mut all: Vec<(f64, bool)> =
            own.iter().map(|v| (*v, false)).chain(replaced.iter().map(|v| (*v, true))).collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    };
    // Of samples 1 to 8 what could be meant, and 17 to 20, which were only dated wrongly.
    assert_eq!(kept(bench, TUNNEL, "air-temperature"), all(&[2.0, 8.0], &[17.0, 18.0, 19.0, 20.0]));
    assert_eq!(
        kept(bench, TUNNEL, "air-humidity"),
        all(&[81.0, 83.0, 84.0, 85.0, 86.0, 101.5], &[87.0, 87.0, 87.0, 87.0])
    );
    assert_eq!(kept(bench, STICK, "air-temperature"), all(&[21.0], &[]));
    assert_eq!(kept(bench, STICK, "air-humidity"), all(&[71.0], &[]));
    let boards = house.ask("boards");
    let board = |urn: &str| boards["boards"].as_array().unwrap().iter().find(|b| b["urn"] == urn).unwrap();
    assert_eq!(
        (&board(TUNNEL)["refused"], &board(STICK)["refused"]),
        (&TUNNEL_REFUSED.into(), &stick_refused.into()),
        "{boards}"
    );
    assert_eq!(board(TUNNEL)["missing"], 0, "what was refused is settled, not missing: {boards}");
}

fn now_s() -> i64 {
    std::time::UNIX_EPOCH.elapsed().unwrap().as_secs() as i64
}

#[test]
fn messages_that_cannot_be_meant_are_refused_plainly_through_the_broker() {
    let Some(bench) = Bench::new() else { return };
    let house = Running::start(&bench.program, &plain(&bench.serve("data")));
    let sent = odd_messages(now_s());
    for message in &sent {
        // Each by itself: samples that arrival dates are then not dated alike.
        publish(house.mqtt.unwrap(), "odd", &[(message.topic.clone(), message.payload.clone(), message.retain)]);
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    house.until_worked_out();
    check_refused(&refused(&house), &sent);
    check_kept(&bench, &house, STICK_REFUSED);
    // Only of one device, and no more than asked for.
    let some = house.ask(&format!("rejects?device={STICK}&most=2"));
    assert_eq!(some["rejects"].as_array().unwrap().len(), 2);
    assert_eq!(house.get("rejects?most=0").0, 400);

    // What is no text is refused, too, and what does not fit through the door at all ends its connection only.
    publish(house.mqtt.unwrap(), "odd", &[(report_topic(TUNNEL, 7, 21, 21), vec![0xff, 0xfe, b'['], false)]);
    let all = refused(&house);
    let last = all.last().unwrap();
    assert!(last[0] == "malformed" && last[3].contains("no text") && last[3].contains("UTF-8"), "{last:?}");
    let health = house.ask("health");
    assert_eq!(health["status"], "green", "{health}");
    house.stop();
}

#[test]
fn messages_that_cannot_be_meant_are_refused_in_the_same_words_through_replay() {
    let Some(bench) = Bench::new() else { return };
    let now_s = now_s();
    let sent = odd_messages(now_s);
    let mut messages: Vec<Message> = sent
        .iter()
        .zip(0..)
        .map(|(m, k)| {
            Message::new(Millis(now_s * 1_000 + k * 2), m.topic.clone(), String::from_utf8(m.payload.clone()).unwrap())
        })
        .collect();
    let end = Millis(now_s * 1_000 + 1_000);
    messages.push(Message::new(end, "elsewhere/entirely", "1"));
    let old_news = Message { retain: true, ..Message::new(end, "site/3/air", "{\"t\": 4, \"rh\": 70}") };
    messages.push(old_news);
    let recording = bench.file("recording.jsonl", &recording(&messages));
    let (into, garden, config) = (bench.text("data"), bench.text("garden.toml"), bench.text("propstick.toml"));
    let house = Running::start(
        &bench.program,
        &[
            "replay",
            &recording,
            "--into",
            &into,
            "--garden",
            &garden,
            "--config",
            &config,
            "--print",
            "rejects,days,advice,alerts",
            "--serve",
        ],
    );
    let mut found = refused(&house);
    let old_news = found.pop().unwrap();
    assert!(
        old_news[0] == "no-time"
            && old_news[3].contains("retained")
            && old_news[3].contains("allowed a time from 2020"),
        "{old_news:?}"
    );
    let elsewhere = found.pop().unwrap();
    assert_eq!((elsewhere[0].as_str(), elsewhere[2].as_str()), ("unknown-topic", "elsewhere/entirely"));
    assert!(elsewhere[3].contains("allowed the topics"), "{elsewhere:?}");
    check_refused(&found, &sent);
    // The old news was of the same device.
    check_kept(&bench, &house, STICK_REFUSED + 1);
    house.stop();
}
