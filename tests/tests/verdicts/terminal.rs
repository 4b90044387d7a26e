//! The terminal says what the API says.

use std::path::Path;

use propstick_tests::program::{Running, program, run, told};
use propstick_tests::publisher::publish;
use propstick_tests::recordings::{GARDEN, MAPPING, OUTDOORS, Reporter, TUNNEL, air};
use serde_json::Value;

/// What of an answer does not change while time passes: everything but times of asking, ages, and shares of a day that goes on.
fn timeless(mut answer: Value) -> Value {
    match &mut answer {
        Value::Object(map) => {
            map.retain(|key, _| !matches!(key.as_str(), "at" | "age_s" | "measured"));
            map.values_mut().for_each(|v| *v = timeless(v.take()));
        }
        Value::Array(all) => all.iter_mut().for_each(|v| *v = timeless(v.take())),
        _ => {}
    }
    answer
}

/// Runs `propstick now` over a folder; its answers as JSON, and as a person reads them.
fn said_now(program: &Path, data: &str) -> (Value, String) {
    let out = run(program, &["now", "--json", "--data", data]);
    assert!(out.status.success(), "{}", told(&out));
    let json: Value = serde_json::from_slice(&out.stdout).unwrap();
    let out = run(program, &["now", "--data", data]);
    (json, unbroken(&String::from_utf8(out.stdout).unwrap()))
}

/// A text without its line breaks and indents.
fn unbroken(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What `propstick now` prints on a terminal of that width.
fn on_terminal(program: &Path, columns: &str, args: &[&str]) -> String {
    let set = format!("COLUMNS={columns}");
    let all: Vec<&str> =
        [set.as_str(), program.to_str().unwrap(), "now"].into_iter().chain(args.iter().copied()).collect();
    let out = run(Path::new("env"), &all);
    assert!(out.status.success(), "{}", told(&out));
    String::from_utf8(out.stdout).unwrap()
}

#[test]
fn command_now_gives_the_figures_of_the_api_while_the_program_runs_and_after() {
    let Some(program) = program() else { return };
    let dir = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let garden = file("garden.toml", GARDEN);
    let config = file(
        "propstick.toml",
        &format!("[mqtt]\nlisten = \"127.0.0.1:0\"\n[web]\nlisten = \"127.0.0.1:0\"\n{MAPPING}"),
    );
    let data = dir.path().join("data").to_str().unwrap().to_owned();
    let serve = || Running::start(&program, &["serve", "--data", &data, "--config", &config, "--garden", &garden]);
    let house = serve();

    // Real boards' clocks: a day and an hour up to a minute ago, every ten minutes.
    let now_s = std::time::UNIX_EPOCH.elapsed().unwrap().as_secs() as i64;
    let mut reports = Vec::new();
    for (board, t, rh) in [(TUNNEL, 12.0, 98.0), (OUTDOORS, 8.0, 85.0)] {
        let mut reporter = Reporter::new(board, 7, 12);
        for k in (0..151).rev() {
            // A fall and a rise, so that the day has a lowest and a highest; the newest is the case of the sheet.
            let swing = if k == 0 { 0.0 } else { f64::from((k * 7) % 20) / 10.0 };
            // Humidity that never moved would be a stuck gauge's.
            reports.extend(reporter.sample(now_s - 60 - 600 * i64::from(k), air(t + swing, rh - 2.0 * swing)));
        }
        reports.extend(reporter.report());
    }
    let mut messages: Vec<_> = reports.into_iter().map(|m| (m.topic, m.payload.into_bytes(), false)).collect();
    let foreign = format!("{{\"ts\":{},\"t\":9.4,\"rh\":101.5}}", now_s - 30);
    messages.push(("site/3/air".to_owned(), foreign.into_bytes(), false));
    publish(house.mqtt.unwrap(), "garden boards", &messages);
    house.stop();
    // Advice follows readings within a minute, but a house that opens looks at once.
    let house = serve();
    house.until_worked_out();
    house.until("advice by readings", "structures/tunnel/advice", |a| {
        let all = a["advice"].as_array().unwrap();
        all.iter().any(|one| one["kind"] == "vent" && one["by_rule"] == false)
    });

    let by_api: Vec<Value> = ["outdoors", "tunnel", "frame"]
        .iter()
        .map(|slug| {
            let of = |what: &str| house.ask(&format!("structures/{slug}/{what}"));
            serde_json::json!({"now": of("now"), "advice": of("advice")})
        })
        .collect();
    let tunnel = &by_api[1]["now"];
    assert_eq!(tunnel["today"]["max_c"]["unknown"], Value::Null, "most of the day was measured: {tunnel}");

    let (asked, text) = said_now(&program, &data);
    house.stop();
    let (read, text_after) = said_now(&program, &data);
    for (by_command, text) in [(asked, text), (read, text_after)] {
        let by_command: Vec<Value> = by_command.as_array().unwrap().clone();
        assert_eq!(by_command.len(), by_api.len());
        for (api, command) in by_api.iter().zip(by_command) {
            let command = serde_json::json!({"now": command["now"], "advice": command["advice"]});
            assert_eq!(timeless(command), timeless(api.clone()));
        }
        // As a person reads it.
        let figure = |f: &Value| format!("{:.1}", f["value"].as_f64().unwrap());
        let words = format!("12.0 °C, 98 %RH, dew point {} °C; ", figure(&tunnel["derived"]["dew_point_c"]));
        assert!(text.contains(&words), "{words}\n{text}");
        // One sentence of advice at least for each structure under cover.
        for structure in &by_api[1..] {
            let says: Vec<&str> = advice_of(structure).filter_map(|one| one["say"].as_str()).collect();
            assert!(says.iter().any(|say| text.contains(say)), "{says:?}\n{text}");
        }
        // Humidity above 100 is kept and used as 100.
        assert!(text.contains("9.4 °C, 100 %RH, dew point 9.4 °C"), "{text}");
        assert_eq!(by_api[2]["now"]["spots"][0]["readings"][1]["marks"], serde_json::json!(["over", "saturated"]));
    }

    // In short: the header, and of each structure its air, one sentence, and the damp where there is news of it; every line fits.
    let short = on_terminal(&program, "80", &["--data", &data]);
    assert!(short.lines().all(|line| line.chars().count() <= 80), "{short}");
    assert!((by_api.len() + 2..=12).contains(&short.lines().count()), "{short}");
    // In full: every advice with its reason, and the damp of every structure.
    let full = unbroken(&on_terminal(&program, "100", &["--full", "--data", &data]));
    let of_day = |f: &str| format!("{:.1}", tunnel["today"][f]["value"].as_f64().unwrap());
    let range = format!("; today {} to {} °C", of_day("min_c"), of_day("max_c"));
    assert!(full.contains(&range), "{range}\n{full}");
    for structure in &by_api {
        let advice = advice_of(structure).flat_map(|one| [&one["say"], &one["because"]]);
        for part in advice.chain([&structure["now"]["damp_says"]["leaves"]]) {
            assert!(full.contains(part.as_str().unwrap()), "{part}\n{full}");
        }
    }
}

fn advice_of(structure: &Value) -> impl Iterator<Item = &Value> {
    structure["advice"]["advice"].as_array().into_iter().flatten()
}
