//! What `/api/openapi.json` says against what the program answers: every answer of a demo has the shape described, every example fits, and every refusal is a
//! problem in words.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::collections::BTreeMap;
use std::io::{Read, Write};

use propstick_tests::program::{Running, program};
use serde_json::{Value, json};

/// A garden with a fortnight of history, its clock stopped.
fn demo() -> Option<Running> {
    let args =
        ["demo", "--days", "14", "--until", "2026-03-10T12:00:00Z", "--web", "127.0.0.1:0", "--mqtt", "127.0.0.1:0"];
    let run = Running::start(&program()?, &args);
    run.until("the history", "health", |health| health["build_progress"].is_null() && health["not_worked_out"] == 0);
    Some(run)
}

/// What does not fit between a value and a schema, each with its place.
fn misfits(api: &Value, schema: &Value, value: &Value, at: &str) -> Vec<String> {
    if let Some(name) = schema["$ref"].as_str() {
        let found = &api["components"]["schemas"][name.rsplit('/').next().unwrap()];
        assert!(found.is_object(), "{name} is described nowhere");
        return misfits(api, found, value, at);
    }
    if let Some(any) = schema["oneOf"].as_array().or(schema["anyOf"].as_array()) {
        let all: Vec<Vec<String>> = any.iter().map(|one| misfits(api, one, value, at)).collect();
        return all.into_iter().min_by_key(Vec::len).unwrap();
    }
    if schema["allOf"].is_array() || schema["properties"].is_object() {
        return object(api, schema, value, at);
    }
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(all) => all.iter().map(|kind| kind.as_str().unwrap()).collect(),
        _ => return Vec::new(),
    };
    let fits = kinds.iter().any(|kind| match *kind {
        "null" => value.is_null(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "object" => value.is_object(),
        "array" => value.is_array(),
        other => panic!("{at}: a type {other}"),
    });
    if !fits {
        return vec![format!("{at}: {value} is none of {kinds:?}")];
    }
    let items = value.as_array().into_iter().flatten().enumerate();
    items.flat_map(|(k, item)| misfits(api, &schema["items"], item, &format!("{at}[{k}]"))).collect()
}

fn object(api: &Value, schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let Some(found) = value.as_object() else { return vec![format!("{at}: {value} is no object")] };
    let mut parts = Parts::default();
    parts.gather(api, schema);
    let mut all = Vec::new();
    for (name, of) in &parts.properties {
        match found.get(name) {
            Some(value) => all.extend(misfits(api, of, value, &format!("{at}.{name}"))),
            None if parts.required.contains(name) => all.push(format!("{at}.{name} is missing")),
            None => {}
        }
    }
    if !parts.open {
        all.extend(
            found
                .keys()
                .filter(|name| !parts.properties.contains_key(*name))
                .map(|name| format!("{at}.{name} is described nowhere")),
        );
    }
    all
}

/// The properties of an object whose description may stand in several parts.
#[derive(Default)]
struct Parts {
    properties: BTreeMap<String, Value>,
    required: Vec<String>,
    /// Whether one part may hold anything.
    open: bool,
}

impl Parts {
    fn gather(&mut self, api: &Value, schema: &Value) {
        if let Some(name) = schema["$ref"].as_str() {
            return self.gather(api, &api["components"]["schemas"][name.rsplit('/').next().unwrap()]);
        }
        for part in schema["allOf"].as_array().into_iter().flatten() {
            self.gather(api, part);
        }
        let properties = schema["properties"].as_object();
        self.properties.extend(properties.into_iter().flatten().map(|(name, of)| (name.clone(), of.clone())));
        self.required
            .extend(schema["required"].as_array().into_iter().flatten().map(|name| name.as_str().unwrap().to_owned()));
        self.open |= properties.is_none() && !schema["allOf"].is_array();
    }
}

#[test]
fn every_answer_of_a_demo_has_the_shape_that_is_described() {
    let Some(run) = demo() else { return };
    let api = run.ask("openapi.json");
    let mut asked = vec![
        ("/api/structures", "structures".to_owned()),
        ("/api/health", "health".to_owned()),
        ("/api/sun", "sun".to_owned()),
        ("/api/boards", "boards".to_owned()),
        ("/api/events", "events?undone=true".to_owned()),
        ("/api/observations", "observations?undone=true".to_owned()),
        ("/api/sources", "sources".to_owned()),
    ];
    for slug in ["open-ground", "tunnel", "low-tunnel", "frame"] {
        for (what, query) in [
            ("now", ""),
            ("wet", ""),
            ("risk", ""),
            ("advice", ""),
            ("advice", "?from=2026-01-01T00:00:00Z"),
            ("days", ""),
            ("readings", "?quantity=air-temperature&points=50&from=2026-03-09T00:00:00Z&to=2026-03-10T00:00:00Z"),
        ] {
            let path = match what {
                "now" => "/api/structures/{slug}/now",
                "wet" => "/api/structures/{slug}/wet",
                "risk" => "/api/structures/{slug}/risk",
                "advice" => "/api/structures/{slug}/advice",
                "days" => "/api/structures/{slug}/days",
                _ => "/api/structures/{slug}/readings",
            };
            asked.push((path, format!("structures/{slug}/{what}{query}")));
        }
    }
    let mut kinds = Vec::new();
    for (path, asked) in asked {
        let schema = &api["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"];
        assert!(!schema.is_null(), "{path} is not described");
        let answer = run.ask(&asked);
        let misfits = misfits(&api, schema, &answer, &asked);
        assert!(misfits.is_empty(), "{misfits:#?}");
        kinds.extend(
            answer["advice"].as_array().into_iter().flatten().map(|one| one["kind"].as_str().unwrap().to_owned()),
        );
    }
    for kind in ["frost", "vent", "water", "cover"] {
        assert!(kinds.iter().any(|one| one == kind), "no advice of the kind {kind} was looked at");
    }
}

#[test]
fn description_has_words_for_every_answer_and_examples_that_fit() {
    let Some(program) = program() else { return };
    let args =
        ["demo", "--days", "1", "--until", "2026-03-10T12:00:00Z", "--web", "127.0.0.1:0", "--mqtt", "127.0.0.1:0"];
    let api = Running::start(&program, &args).ask("openapi.json");
    let is_method = |name: &str| ["get", "post", "put", "delete"].contains(&name);
    for (path, item) in api["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap().iter().filter(|(name, _)| is_method(name)) {
            for (status, response) in operation["responses"].as_object().unwrap() {
                assert!(!response["description"].as_str().unwrap_or_default().is_empty(), "{method} {path} {status}");
                let problem = &response["content"]["application/problem+json"];
                assert!(!status.starts_with('4') || problem.is_object(), "{method} {path} {status}: {response}");
            }
            for one in operation["parameters"].as_array().into_iter().flatten() {
                assert!(one["description"].is_string(), "{method} {path}: {one}");
            }
        }
    }
    let mut examples = 0;
    for (name, schema) in api["components"]["schemas"].as_object().unwrap() {
        let parts = schema["allOf"].as_array().into_iter().flatten().chain([schema]);
        for example in parts.map(|part| &part["example"]).filter(|example| !example.is_null()) {
            examples += 1;
            let misfits = misfits(&api, schema, example, name);
            assert!(misfits.is_empty(), "{misfits:#?}");
        }
    }
    assert!(examples >= 9, "only {examples} examples");
    // The looker itself sees what does not fit.
    let wrong = json!({"id": 1, "kind": "done", "t": 5, "colour": "green"});
    let found = misfits(&api, &json!({"$ref": "#/components/schemas/AnsweredPart"}), &wrong, "answered");
    assert_eq!(found.len(), 3, "{found:#?}");
}

#[test]
fn whatever_is_refused_is_a_problem_that_names_what_was_given_and_what_is_wanted() {
    let Some(run) = demo() else { return };
    let api = run.ask("openapi.json");
    let problem = json!({"$ref": "#/components/schemas/Problem"});
    let tunnel = "structures/tunnel";
    for (asked, status, place, says) in [
        ("structures/shed/now".to_owned(), 404, "structure", "\"shed\""),
        ("structures/shed/wet".to_owned(), 404, "structure", "\"shed\""),
        (format!("{tunnel}/risk?from=yesterday"), 400, "from", "a date like"),
        (format!("{tunnel}/risk?from=2026-03-02&to=2026-03-01"), 400, "from, to", "1 to 400 noon-days"),
        (format!("{tunnel}/risk?form=2026-03-02"), 400, "query", "form"),
        (format!("{tunnel}/advice?from=12:00"), 400, "from", "an instant like"),
        (format!("{tunnel}/advice?from=2026-03-02T00:00:00Z&to=2026-03-01T00:00:00Z"), 400, "from, to", "after"),
        (format!("{tunnel}/advice?kind=vent"), 400, "query", "kind"),
        (format!("{tunnel}/wet?from=2026-01-01T00:00:00Z&to=2026-03-01T00:00:00Z"), 400, "from, to", "32 days"),
        (format!("{tunnel}/days?base_c=99"), 400, "base_c", "-20 to 40"),
        ("events?limit=-1".to_owned(), 400, "limit", "1 to 1000"),
        ("events?from=2026-03-02T00:00:00Z&to=2026-03-01T00:00:00Z".to_owned(), 400, "from, to", "after"),
        ("observations?kind=smell".to_owned(), 400, "kind", "look, heard"),
        ("sources?mark=sure".to_owned(), 400, "mark", "published"),
        ("nothing/here".to_owned(), 404, "answer", "/api/nothing/here"),
    ] {
        let (found, answer) = run.get(&asked);
        assert_eq!((found, answer["where"].as_str()), (status, Some(place)), "{asked}: {answer:#}");
        assert!(answer["title"].as_str().unwrap().contains(says), "{asked}: {answer:#}");
        let misfits = misfits(&api, &problem, &answer, &asked);
        assert!(misfits.is_empty(), "{misfits:#?}");
    }
    let long = run.get(&format!("{tunnel}/advice?from={}", "x".repeat(5_000))).1;
    assert!(long.to_string().len() < 1_000, "what was given is said back shortened");
}

#[test]
fn refusals_from_around_the_answers_are_problems_too() {
    let Some(run) = demo() else { return };
    let send = |method: &str, path: &str, body: String| {
        let request = ureq::http::Request::builder().method(method).uri(format!("http://{}/api/{path}", run.web));
        let request =
            request.header("Origin", format!("http://{}", run.web)).header("Content-Type", "application/json");
        let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
        let mut answer = agent.run(request.body(body).unwrap()).unwrap();
        let text = answer.body_mut().read_to_string().unwrap();
        let head = |name: &str| answer.headers().get(name).map(|h| h.to_str().unwrap().to_owned()).unwrap_or_default();
        (answer.status().as_u16(), head("content-type"), head("allow"), text)
    };
    // Only the head of a long body is sent: it is refused before anything of it is read.
    let mut road = std::net::TcpStream::connect(run.web).unwrap();
    road.set_read_timeout(Some(propstick_tests::program::PATIENCE)).unwrap();
    let host = run.web;
    let head = format!(
        "POST /api/events HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\nContent-Length: 200000\r\n\
         Connection: close\r\n\r\n"
    );
    road.write_all(head.as_bytes()).unwrap();
    let mut text = String::new();
    let _ = road.read_to_string(&mut text);
    assert!(text.starts_with("HTTP/1.1 413 ") && text.contains("application/problem+json"), "{text}");
    assert!(text.contains("64 KiB"), "{text}");
    let (status, kind, allow, text) = send("PUT", "structures/tunnel/now", String::new());
    assert_eq!((status, kind.as_str(), allow.as_str()), (405, "application/problem+json", "GET,HEAD"), "{text}");
    let (status, kind, _, text) = send("POST", "events", json!({"kind": "water", "amount": "lots"}).to_string());
    assert_eq!((status, kind.as_str()), (422, "application/problem+json"), "{text}");
    assert!(
        text.contains("amount") && text.contains("lots") && text.contains("a number") && !text.contains("f64"),
        "{text}"
    );
}
