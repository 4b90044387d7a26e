//! Files in over HTTP, as a page does it: send, proposal, preview, take in, list, the file back, take back; and what is refused.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::path::Path;

use propstick_tests::gardens::UNDER_THE_ASH;
use propstick_tests::program::{Running, program};
use propstick_tests::stores;
use serde_json::{Value, json};

/// Three readings of a logger that says everything but its zone; one row is short, one has no time. Invented.
const FILE: &str = "\u{feff}Zeit;Temperatur (°C);Luftfeuchte (%)\r\n14.01.2026 09:00;4,5;91\r\n14.01.2026 09:10;4,6;90,5\r\n\
    14.01.2026 09:20;4,7\r\nEnde;;\r\n14.01.2026 09:30;4,9;90\r\n";

struct Sent {
    status: u16,
    body: Value,
}

/// One request; `origin` is the page that it comes from.
fn send(run: &Running, method: &str, path: &str, origin: Option<&str>, kind: &str, body: &[u8]) -> Sent {
    let request = ureq::http::Request::builder().method(method).uri(format!("http://{}/api/{path}", run.web));
    let request = request.header("Content-Type", kind);
    let request = match origin {
        Some(origin) => request.header("Origin", origin),
        None => request,
    };
    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let mut answer = agent.run(request.body(body.to_vec()).unwrap()).unwrap();
    let status = answer.status().as_u16();
    let text = answer.body_mut().read_to_string().unwrap_or_default();
    Sent { status, body: serde_json::from_str(&text).unwrap_or(Value::String(text)) }
}

fn page(run: &Running) -> String {
    format!("http://{}", run.web)
}

fn post(run: &Running, path: &str, body: &Value) -> Sent {
    send(run, "POST", path, Some(&page(run)), "application/json", body.to_string().as_bytes())
}

fn upload(run: &Running, name: &str, bytes: &[u8]) -> Sent {
    send(run, "POST", &format!("uploads?name={name}"), Some(&page(run)), "application/octet-stream", bytes)
}

fn start(folder: &Path) -> Option<Running> {
    let program = program()?;
    let garden = folder.join("garden.toml");
    let config = folder.join("propstick.toml");
    std::fs::write(&garden, UNDER_THE_ASH).unwrap();
    std::fs::write(&config, "[web]\nlisten = \"127.0.0.1:0\"\n[mqtt]\nlisten = \"127.0.0.1:0\"\n").unwrap();
    let data = folder.join("data");
    let text = |p: &Path| p.to_str().unwrap().to_owned();
    let args =
        ["serve", "--data", &text(&data), "--garden", &text(&garden), "--config", &text(&config)].map(str::to_owned);
    Some(Running::start(&program, &args.iter().map(String::as_str).collect::<Vec<_>>()))
}

#[test]
fn file_sent_by_a_page_is_understood_taken_in_listed_given_back_and_taken_back() {
    let dir = tempfile::tempdir().unwrap();
    let Some(run) = start(dir.path()) else { return };

    let sent = upload(&run, "ash.csv", FILE.as_bytes());
    assert_eq!(sent.status, 201, "{}", sent.body);
    assert_eq!(sent.body["bytes"], FILE.len());
    assert_eq!(
        (&sent.body["name"], &sent.body["form"], &sent.body["imported_as"]),
        (&json!("ash.csv"), &json!(null), &json!([]))
    );
    let id = sent.body["upload"].as_str().unwrap().to_owned();

    // 14 January: Dublin's clocks and its winter time agree, so that nothing has to be asked.
    let proposal = post(&run, &format!("uploads/{id}/proposal"), &json!({"name": "ash"})).body;
    assert_eq!(proposal["outcome"], "understood", "{proposal:#}");
    let report = &proposal["report"];
    assert_eq!(
        (&report["rows"], &report["rows_read"], &report["readings"]),
        (&json!(5), &json!(4), &json!(7)),
        "{report:#}"
    );
    let mapping = proposal["mapping"].as_str().unwrap().to_owned();
    assert!(mapping.contains("separator = \";\"") && mapping.contains("decimal = \",\""), "{mapping}");

    let preview = post(&run, &format!("uploads/{id}/preview"), &json!({"mapping": mapping}));
    assert_eq!((preview.status, &preview.body["readings"]), (200, &json!(7)));
    assert_eq!(preview.body["sample"][0]["at"], "2026-01-14T09:00:00Z");

    let taken = post(&run, "imports", &json!({"upload": id, "mapping": mapping, "label": "the ash logger"}));
    assert_eq!(taken.status, 201, "{:#}", taken.body);
    assert_eq!(taken.body["stored"]["readings"], 7);
    assert_eq!(taken.body["devices"], json!(["urn:propstick:ash"]));
    let number = taken.body["id"].as_i64().unwrap();
    run.until_worked_out();
    let hour = run.ask("structures/tunnel/readings?quantity=air-temperature&from=2026-01-14T09:00:00Z&to=2026-01-14T10:00:00Z&points=1");
    assert_eq!(hour["series"][0]["n"], json!([4]), "{hour:#}");
    assert_eq!(hour["series"][0]["max"], json!([4.9]));

    let list = run.ask("imports");
    assert_eq!(list["imports"][0]["label"], "the ash logger");
    assert_eq!(run.ask(&format!("imports/{number}"))["report"]["readings"], 7);
    let file = send(&run, "GET", &format!("imports/{number}/file"), None, "text/plain", b"");
    assert_eq!((file.status, file.body.as_str().unwrap_or("")), (200, FILE));

    let again = upload(&run, "ash.csv", FILE.as_bytes());
    assert_eq!(again.body["imported_as"], json!([number]));
    let order = json!({"upload": again.body["upload"], "mapping": mapping});
    assert_eq!(
        (post(&run, "imports", &order).status, &post(&run, "imports", &order).body["code"]),
        (409, &json!("already-imported"))
    );

    let gone = send(&run, "DELETE", &format!("imports/{number}"), Some(&page(&run)), "text/plain", b"");
    assert_eq!((gone.status, &gone.body["readings"]), (200, &json!(7)));
    run.until_worked_out();
    let hour = run.ask("structures/tunnel/readings?quantity=air-temperature&from=2026-01-14T09:00:00Z&to=2026-01-14T10:00:00Z&points=1");
    assert_eq!(hour["series"][0]["n"], json!([0]), "{hour:#}");
    assert_eq!(run.ask("imports")["imports"], json!([]));
    run.stop();
    let readings = stores::readings(&dir.path().join("data")).unwrap();
    assert!(!readings.iter().any(|row| row.starts_with("reading")), "{readings:?}");
}

#[test]
fn strangers_pages_wrong_numbers_and_too_long_bodies_get_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let Some(run) = start(dir.path()) else { return };
    for origin in [None, Some("http://garden.example"), Some("null")] {
        let sent = send(&run, "POST", "uploads?name=a.csv", origin, "application/octet-stream", FILE.as_bytes());
        assert_eq!((sent.status, &sent.body["code"]), (403, &json!("forbidden")), "{origin:?}");
        assert_eq!(send(&run, "DELETE", "imports/1", origin, "text/plain", b"").status, 403, "{origin:?}");
        assert_eq!(send(&run, "POST", "imports", origin, "application/json", b"{}").status, 403, "{origin:?}");
    }
    let stray = std::fs::read_dir(dir.path().join("data/uploads")).map_or(0, Iterator::count);
    assert_eq!(stray, 0, "nothing of a stranger's is written");
    for number in ["..%2f..%2fgarden.toml", "0000000000000000", "%00", "garden.toml"] {
        assert_eq!(post(&run, &format!("uploads/{number}/proposal"), &json!({})).status, 404, "{number}");
        let order = json!({"upload": number, "mapping": "x"});
        assert_eq!(post(&run, "imports", &order).status, 404, "{number}");
    }
    for number in ["7", "0", "-1", "seven", "99999999999999999999"] {
        let gone = send(&run, "DELETE", &format!("imports/{number}"), Some(&page(&run)), "text/plain", b"");
        assert_eq!(gone.status, 404, "{number}: {}", gone.body);
        assert_eq!(run.get(&format!("imports/{number}")).0, 404);
    }
    // A picture is no table: it is lost, with what was tried; and an import of it is refused.
    let picture: Vec<u8> = (0..4_000_u32).map(|k| (k * k % 251) as u8).collect();
    let sent = upload(&run, "a.jpg", &picture);
    assert_eq!(sent.status, 201);
    let id = sent.body["upload"].as_str().unwrap();
    let lost = post(&run, &format!("uploads/{id}/proposal"), &json!({})).body;
    assert_eq!(lost["outcome"], "lost", "{lost:#}");
    assert!(
        !lost["tried"].as_array().unwrap().is_empty() && !lost["missing"].as_array().unwrap().is_empty(),
        "{lost:#}"
    );
    let refused = post(&run, "imports", &json!({"upload": id}));
    assert_eq!((refused.status, &refused.body["where"]), (400, &json!("mapping")), "{}", refused.body);
    let wrong = post(&run, "imports", &json!({"upload": id, "mapping": "name = 5"}));
    assert_eq!((wrong.status, &wrong.body["where"]), (400, &json!("mapping")), "{}", wrong.body);
    let long = json!({"upload": "x".repeat(100_000)}).to_string();
    assert!(matches!(post(&run, "logins", &json!({"name": "x".repeat(100_000)})).status, 413 | 403));
    assert_eq!(post(&run, "imports", &serde_json::from_str(&long).unwrap()).status, 404);
    assert_eq!(run.ask("imports")["imports"], json!([]));
    run.stop();
}
