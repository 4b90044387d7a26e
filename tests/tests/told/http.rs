//! Over HTTP, as a page on a phone does it.

use propstick_tests::program::Running;
use serde_json::{Value, json};

use super::Bench;

struct Answer {
    status: u16,
    body: Value,
}

fn send(run: &Running, path: &str, origin: Option<&str>, key: Option<&str>, body: &str) -> Answer {
    let mut request = ureq::http::Request::builder().method("POST").uri(format!("http://{}/api/{path}", run.web));
    request = request.header("Content-Type", "application/json");
    for (name, value) in [("Origin", origin), ("Idempotency-Key", key)] {
        if let Some(value) = value {
            request = request.header(name, value);
        }
    }
    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let mut answer = agent.run(request.body(body.to_owned()).unwrap()).unwrap();
    let text = answer.body_mut().read_to_string().unwrap_or_default();
    Answer { status: answer.status().as_u16(), body: serde_json::from_str(&text).unwrap_or(Value::String(text)) }
}

fn post(run: &Running, path: &str, key: Option<&str>, body: &Value) -> Answer {
    send(run, path, Some(&format!("http://{}", run.web)), key, &body.to_string())
}

#[test]
fn thing_done_is_kept_once_listed_and_taken_back_once() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    let crack = json!({"kind": "vent", "target": "south-door", "what": "crack", "t": "2026-03-01T10:40:00Z"});
    let first = post(&run, "events", Some("phone 1"), &crack);
    assert_eq!(first.status, 201, "{:#}", first.body);
    assert_eq!(first.body["say"], "South door open a hand's width at 10:40 on 1 March 2026");
    assert_eq!((&first.body["source"], &first.body["undone_at"]), (&json!("tap"), &json!(null)));
    let again = post(&run, "events", Some("phone 1"), &crack);
    assert_eq!((again.status, &again.body["id"]), (200, &first.body["id"]), "a phone that asks twice");
    let other = json!({"kind": "vent", "target": "south-door", "what": "half"});
    let taken = post(&run, "events", Some("phone 1"), &other);
    assert_eq!((taken.status, &taken.body["code"]), (409, &json!("key-taken")));
    let water = json!({"kind": "water", "target": "west", "amount": 2, "unit": "can", "t": "2026-03-02T08:00:00Z"});
    assert_eq!(post(&run, "events", None, &water).status, 201);

    let list = run.ask("events");
    let ids =
        |list: &Value| list["events"].as_array().unwrap().iter().map(|e| e["id"].as_i64().unwrap()).collect::<Vec<_>>();
    assert_eq!(ids(&list), [2, 1], "the newest first");
    assert_eq!(ids(&run.ask("events?kind=vent")), [1]);
    assert_eq!(ids(&run.ask("events?target=west&limit=1")), [2]);
    assert_eq!(ids(&run.ask("events?from=2026-03-01T00:00:00Z&to=2026-03-02T00:00:00Z")), [1]);

    let back = post(&run, "events/1/undo", None, &json!(null));
    assert_eq!((back.status, back.body["undone_at"].is_string()), (200, true), "{:#}", back.body);
    let twice = post(&run, "events/1/undo", None, &json!(null));
    assert_eq!((twice.status, &twice.body["code"], &twice.body["value"]), (409, &json!("already-undone"), &json!("1")));
    assert!(twice.body["title"].as_str().unwrap().contains("tell it again"), "{:#}", twice.body);
    assert_eq!(post(&run, "events/77/undo", None, &json!(null)).status, 404);
    assert_eq!(ids(&run.ask("events")), [2]);
    assert_eq!(ids(&run.ask("events?undone=true")), [2, 1], "nothing is deleted");
    run.stop();
    // What was told is there after a restart.
    assert_eq!(ids(&bench.serve().ask("events?undone=true")), [2, 1]);
}

#[test]
fn answer_to_advice_stands_beside_it_until_it_is_taken_back_and_survives_a_restart() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    let place = "structures/tunnel/advice";
    let advice = |answer: &Value| answer["advice"].as_array().unwrap().clone();
    let first = advice(&run.until("some advice", place, |answer| !advice(answer).is_empty())).remove(0);
    assert_eq!(first["answered"], json!(null), "{first:#}");
    let of = |run: &Running| {
        let all = advice(&run.ask(&format!("{place}?from=2020-01-01T00:00:00Z")));
        all.into_iter().find(|one| one["id"] == first["id"]).unwrap()["answered"].clone()
    };
    let tell = |kind: &str| post(&run, "events", None, &json!({"kind": kind, "what": first["id"].to_string()}));
    assert_eq!(tell("not_done").status, 201);
    let done = tell("done");
    assert_eq!((&of(&run)["kind"], &of(&run)["id"]), (&json!("done"), &done.body["id"]), "the newest answer counts");
    assert_eq!(of(&run)["say"], done.body["say"]);
    let back = |id: &Value| post(&run, &format!("events/{id}/undo"), None, &json!(null)).status;
    assert_eq!(back(&done.body["id"]), 200);
    assert_eq!(of(&run)["kind"], "not_done", "what was answered before counts again");
    run.stop();
    let run = bench.serve();
    assert_eq!(of(&run)["kind"], "not_done", "it is there after a restart");
    let id = of(&run)["id"].clone();
    assert_eq!(post(&run, &format!("events/{id}/undo"), None, &json!(null)).status, 200);
    assert_eq!(of(&run), json!(null));
}

#[test]
fn structures_tell_the_names_of_beds_and_covers() {
    let Some(bench) = Bench::new() else { return };
    let tunnel = bench.serve().ask("structures")["structures"][0].clone();
    assert_eq!(tunnel["beds"], json!([{"slug": "west", "name": "West bed"}]));
    let fleece =
        json!([{"slug": "west-fleece", "name": "west fleece", "kind": "fleece-17", "bed": "west", "positions": []}]);
    assert_eq!(tunnel["covers"], fleece);
}

#[test]
fn thing_seen_is_kept_listed_and_taken_back() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    let look = json!({"teller": "Ann", "look": {"sky": "clear", "wind": "calm", "wet": "dry"}});
    let kept = post(&run, "observations", Some("a"), &look);
    assert_eq!((kept.status, &kept.body["kind"], &kept.body["look"]["sky"]), (201, &json!("look"), &json!("clear")));
    assert_eq!(post(&run, "observations", Some("a"), &look).status, 200);
    let heard = json!({"heard": {"of": "tonight", "low_c": -2, "wind": "gale"}, "t": "2026-03-01T17:00:00Z"});
    assert_eq!(post(&run, "observations", None, &heard).status, 201);
    let list = run.ask("observations?kind=heard");
    let said = "Heard for tonight: low \u{2212}2.0 °C, gale; at 17:00 on 1 March 2026";
    assert_eq!(list["observations"][0]["say"], said, "{list:#}");
    assert_eq!(post(&run, "observations/2/undo", None, &json!(null)).status, 200);
    assert_eq!(post(&run, "observations/2/undo", None, &json!(null)).status, 409);
    assert_eq!(run.ask("observations")["observations"].as_array().unwrap().len(), 1);
}

#[test]
fn what_cannot_be_meant_is_refused_with_code_value_allowed_and_where_and_nothing_is_kept() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    for (path, body, status, place, value, allowed) in [
        (
            "events",
            json!({"kind": "vent", "target": "north-door", "what": "crack"}),
            422,
            "target",
            "north-door",
            "south-door",
        ),
        (
            "events",
            json!({"kind": "vent", "target": "south-door", "what": "full"}),
            422,
            "what",
            "full",
            "closed, crack, half",
        ),
        (
            "events",
            json!({"kind": "water", "target": "west", "amount": 1e9, "unit": "L"}),
            422,
            "amount",
            "1000000000",
            "0.1 to 20000 L",
        ),
        (
            "events",
            json!({"kind": "water", "target": "west", "amount": 2, "unit": "pint"}),
            422,
            "unit",
            "pint",
            "L, can, min, mm",
        ),
        ("events", json!({"kind": "done", "what": "5"}), 422, "what", "5", "the number of an advice"),
        ("events", json!({"kind": "found", "target": "west", "what": "rot"}), 422, "what", "rot", "grey-mould"),
        (
            "events",
            json!({"kind": "vent", "target": "south-door", "what": "crack", "t": "2999-01-01T00:00:00Z"}),
            422,
            "t",
            "2999-01-01T00:00:00Z",
            "not after",
        ),
        ("observations", json!({"finger": {"bed": "east", "feel": "dry"}}), 422, "finger.bed", "east", "west"),
        (
            "observations",
            json!({"look": {"sky": "blue", "wind": "calm", "wet": "dry"}}),
            422,
            "look.sky",
            "blue",
            "clear, broken, overcast",
        ),
        ("observations", json!({}), 422, "observation", "0", "exactly one of"),
        ("events", json!({"kind": "vent", "colour": "green"}), 422, "body", "", "unknown field `colour`"),
    ] {
        let answer = post(&run, path, None, &body);
        assert_eq!((answer.status, answer.body["where"].as_str()), (status, Some(place)), "{body}: {:#}", answer.body);
        assert_eq!(answer.body["value"].as_str(), Some(value), "{body}");
        assert!(answer.body["allowed"].as_str().unwrap().contains(allowed), "{body}: {:#}", answer.body);
        assert!(answer.body["code"].is_string() && answer.body["title"].is_string());
    }
    let broken = send(&run, "events", Some(&format!("http://{}", run.web)), None, "{\"kind\":");
    assert_eq!(broken.status, 400, "{:#}", broken.body);
    assert_eq!(post(&run, "events", Some(&"k".repeat(129)), &json!({"kind": "vent"})).status, 400, "too long a key");
    for query in ["limit=0", "limit=1001", "kind=dance", "from=noon", "colour=green"] {
        assert_eq!(run.get(&format!("events?{query}")).0, 400, "{query}");
    }
    assert_eq!(run.ask("events?undone=true")["events"], json!([]));
    assert_eq!(run.ask("observations?undone=true")["observations"], json!([]));
}

#[test]
fn strangers_tell_nothing_and_take_nothing_back() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    let body = json!({"kind": "vent", "target": "south-door", "what": "crack"}).to_string();
    for origin in [None, Some("http://garden.example"), Some("null")] {
        for path in ["events", "events/1/undo", "observations", "observations/1/undo"] {
            let answer = send(&run, path, origin, None, &body);
            assert_eq!((answer.status, &answer.body["code"]), (403, &json!("forbidden")), "{path} {origin:?}");
        }
    }
    assert_eq!(run.ask("events?undone=true")["events"], json!([]));
}
