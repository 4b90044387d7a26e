//! Readings go in at one end of the real program, verdicts and figures come out at the other: by `replay` and the API, by `serve` and
//! the terminal.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod sums;
mod terminal;

use std::path::Path;

use propstick_tests::program::{Running, program};
use propstick_tests::recordings::{GARDEN, MAPPING, Message, OUTDOORS, Reporter, TUNNEL, air, recording, seconds};
use serde_json::Value;

/// Air inside and outside that does not change between two instants, as two boards report it: a sample every five minutes, in packs of
/// three; the board outdoors is heard first.
fn steady(from: &str, to: &str, inside: (f64, f64), outside: (f64, f64)) -> Vec<Message> {
    let mut boards = [Reporter::new(OUTDOORS, 0xa, 3), Reporter::new(TUNNEL, 0xa, 3)];
    let mut all = Vec::new();
    for at in (seconds(from)..=seconds(to)).step_by(300) {
        for (board, (t, rh)) in boards.iter_mut().zip([outside, inside]) {
            all.extend(board.sample(at, air(t, rh)));
        }
    }
    all.extend(boards.iter_mut().filter_map(Reporter::report));
    all
}

/// Runs a recording through the program and leaves its answers up.
fn replayed(program: &Path, folder: &Path, messages: &[Message], zone: &str) -> Running {
    let file = |name: &str, text: &str| {
        let path = folder.join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let recording = file("recording.jsonl", &recording(messages));
    let garden = file("garden.toml", &GARDEN.replace("Europe/Dublin", zone));
    let config = file("propstick.toml", &format!("[web]\nlisten = \"127.0.0.1:0\"\n{MAPPING}"));
    let data = folder.join("data").to_str().unwrap().to_owned();
    Running::start(
        program,
        &["replay", &recording, "--into", &data, "--garden", &garden, "--config", &config, "--serve"],
    )
}

/// The one vent advice of an answer.
#[track_caller]
fn vent(answer: &Value) -> &Value {
    let of_vents: Vec<&Value> = answer["advice"].as_array().unwrap().iter().filter(|a| a["kind"] == "vent").collect();
    assert_eq!(of_vents.len(), 1, "{answer}");
    of_vents[0]
}

#[track_caller]
fn near(what: &str, found: &Value, wanted: f64, within: f64) {
    let value = found["value"].as_f64().unwrap_or_else(|| panic!("{what}: {found}"));
    assert!((value - wanted).abs() <= within, "{what}: {value}, wanted {wanted} within {within}");
}

#[test]
fn cases_a_to_f_of_climate_6_4_get_their_verdicts_through_replay_and_api() {
    let Some(program) = program() else { return };
    // Climate sheet 6.4, table: T_in, RH_in, T_out, RH_out, e_in, e_out, verdict; the rule that decides is the first that
    // applies in the order of safety (advice page). E is asked at dusk, the others at noon in March.
    let noon = ("2026-03-10T10:00:00Z", "2026-03-10T12:00:00Z");
    let dusk = ("2026-12-20T14:00:00Z", "2026-12-20T15:30:00Z");
    let cases = [
        ("A", noon, (12.0, 98.0), (8.0, 85.0), (1.3745, 0.9119), "dry", "drying"),
        ("B fog", noon, (6.0, 97.0), (6.0, 100.0), (0.9071, 0.9351), "shut", "moving_air"),
        ("C warm front", noon, (5.0, 99.0), (8.0, 95.0), (0.8636, 1.0191), "shut", "wetting"),
        ("D sunny cold", noon, (22.0, 60.0), (6.0, 80.0), (1.5864, 0.7481), "purge", "drying"),
        ("E frost dusk", dusk, (3.0, 98.0), (-1.0, 90.0), (0.7426, 0.5110), "shut", "cold"),
        ("F muggy", noon, (18.0, 85.0), (17.0, 95.0), (1.7544, 1.8408), "shut", "drying"),
    ];
    for (name, (from, to), inside, outside, (e_in, e_out), verdict, rule) in cases {
        let dir = tempfile::tempdir().unwrap();
        let house = replayed(&program, dir.path(), &steady(from, to, inside, outside), "Europe/Dublin");
        let answer = house.ask("structures/tunnel/advice");
        let advice = vent(&answer);
        assert_eq!((&advice["verdict"], &advice["rule"]), (&verdict.into(), &rule.into()), "{name}: {advice}");
        assert_eq!(advice["by_rule"], false, "{name}: decided by readings: {advice}");
        // The sheet's e, ±0.0005.
        near(name, &house.ask("structures/tunnel/now")["derived"]["vapour_pressure_kpa"], e_in, 0.0005);
        near(name, &house.ask("structures/outdoors/now")["derived"]["vapour_pressure_kpa"], e_out, 0.0005);
        // Every advice names the readings it rests on (climate sheet 6.5).
        let rests_on: Vec<(&str, &str, f64)> = advice["rests_on"]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| (r["spot"].as_str().unwrap(), r["quantity"].as_str().unwrap(), r["value"].as_f64().unwrap()))
            .collect();
        let wanted = [
            ("tunnel-air", "air-temperature", inside.0),
            ("tunnel-air", "air-humidity", inside.1),
            ("screen", "air-temperature", outside.0),
            ("screen", "air-humidity", outside.1),
        ];
        assert_eq!(rests_on, wanted, "{name}");
        match name {
            // RH_eq 65.0 ±0.1: what the tunnel comes to once all its air is exchanged and it is as warm as now.
            "A" => {
                let low = advice["expect"]["rh_pct"]["low"].as_f64().unwrap();
                assert!((low - 65.0).abs() <= 0.1, "{advice}");
            }
            // T_d,out 7.25 > leaf 5: would condense.
            "C warm front" => near(name, &house.ask("structures/outdoors/now")["derived"]["dew_point_c"], 7.25, 0.005),
            _ => {}
        }
        house.stop();
    }
}

#[test]
fn figures_of_the_air_now_are_those_of_the_sheet() {
    let Some(program) = program() else { return };
    // Climate sheet 1.2 (T_d, eq 11, ±0.02), 1.3 (VPD, ±0.0005), 1.4 (e ±0.002, AH ±0.01).
    let pairs = [
        [((20.0, 50.0), Some((9.270, 1.1694, 8.643)), None), ((10.0, 90.0), Some((8.438, 1.1052, 8.457)), None)],
        [
            ((5.0, 95.0), Some((4.267, 0.8289, 6.457)), Some(0.0436)),
            ((30.0, 40.0), Some((14.926, 1.6984, 12.139)), None),
        ],
        [((20.0, 70.0), None, Some(0.7015)), ((8.0, 95.0), None, Some(0.0536))],
    ];
    for pair in pairs {
        let dir = tempfile::tempdir().unwrap();
        let messages = steady("2026-03-10T11:00:00Z", "2026-03-10T12:00:00Z", pair[0].0, pair[1].0);
        let house = replayed(&program, dir.path(), &messages, "Europe/Dublin");
        for (slug, (air, psychrometrics, vpd)) in ["tunnel", "outdoors"].into_iter().zip(pair) {
            let what = format!("{air:?}");
            let now = house.ask(&format!("structures/{slug}/now"));
            let derived = &now["derived"];
            if let Some((dew_point, e, absolute)) = psychrometrics {
                near(&what, &derived["dew_point_c"], dew_point, 0.02);
                near(&what, &derived["vapour_pressure_kpa"], e, 0.002);
                near(&what, &derived["absolute_humidity_g_m3"], absolute, 0.01);
            }
            if let Some(vpd) = vpd {
                near(&what, &derived["vpd_kpa"], vpd, 0.0005);
            }
            let reading = |k: usize| now["spots"][0]["readings"][k]["value"].as_f64().unwrap();
            assert_eq!((reading(0), reading(1)), air, "{now}");
            assert_eq!(now["spots"][0]["readings"][0]["state"], "fresh", "{now}");
        }
        house.stop();
    }
}

#[test]
fn two_days_that_differ_only_in_outside_dew_point_get_different_windows() {
    let Some(program) = program() else { return };
    // A February day, 7.5 °C and 96 % inside, 7.0 °C outside; sunrise 07:29, sunset 17:19. Below 10 °C a morning is left shut for
    // two hours after sunrise, and an evening for two before sunset, to the nearest half hour (climate sheet 6.5).
    let windows = |outside_rh: f64| -> Vec<(String, String, String, String)> {
        let dir = tempfile::tempdir().unwrap();
        let messages = steady("2026-02-10T08:00:00Z", "2026-02-10T13:00:00Z", (7.5, 96.0), (7.0, outside_rh));
        let house = replayed(&program, dir.path(), &messages, "Europe/Dublin");
        let made = house.ask("structures/tunnel/advice?from=2026-02-10T00:00:00Z");
        let advice: Vec<&Value> = made["advice"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|a| a["kind"] == "vent" && a["by_rule"] == false)
            .collect();
        // Air that does not change changes nothing of the advice.
        assert_eq!(advice.len(), 1, "{made:#}");
        let moves = advice[0]["moves"].as_array().unwrap();
        let text = |v: &Value| v.as_str().unwrap_or("-").to_owned();
        let found = moves.iter().map(|m| (text(&m["vent"]), text(&m["notch"]), text(&m["from"]), text(&m["until"])));
        let found = found.collect();
        house.stop();
        found
    };
    let plan = |notch: &str, until: &str| {
        ["yard-door", "field-door"].map(|vent| (vent.into(), notch.into(), "2026-02-10T09:30:00Z".into(), until.into()))
    };
    // Dew point 3.8 °C against 6.5: 0.21 kPa drier than inside, or within what two gauges can tell (0.06).
    let (dry, damp) = (windows(80.0), windows(97.0));
    assert_eq!(dry, plan("half", "2026-02-10T15:30:00Z"));
    assert_eq!(damp, plan("crack", "-"));
}

#[test]
fn silence_makes_a_reading_stale_and_its_figures_unknown() {
    let Some(program) = program() else { return };
    let dir = tempfile::tempdir().unwrap();
    let mut messages = steady("2026-03-10T10:00:00Z", "2026-03-10T11:00:00Z", (12.0, 98.0), (8.0, 85.0));
    // Outdoors goes on for an hour and three quarters; the tunnel's board says no more.
    let mut outdoors = Reporter::new(OUTDOORS, 0xb, 3);
    for at in (seconds("2026-03-10T11:05:00Z")..=seconds("2026-03-10T12:45:00Z")).step_by(300) {
        messages.extend(outdoors.sample(at, air(8.0, 85.0)));
    }
    let house = replayed(&program, dir.path(), &messages, "Europe/Dublin");
    let now = house.ask("structures/tunnel/now");
    let silent = &now["spots"][0]["readings"][0];
    // 105 minutes of silence at five minutes: over three cadences and 20 minutes, not yet six times that.
    assert_eq!(silent["state"], "stale", "{now}");
    assert_eq!(silent["value"].as_f64(), Some(12.0), "the last word is still shown: {now}");
    assert_eq!(
        (&now["derived"]["dew_point_c"]["value"], &now["derived"]["dew_point_c"]["unknown"]),
        (&Value::Null, &"stale".into())
    );
    assert_eq!(house.ask("structures/outdoors/now")["spots"][0]["readings"][0]["state"], "fresh");
    // Inside humidity of over an hour ago decides nothing any more (climate sheet 6.5).
    let answer = house.ask("structures/tunnel/advice");
    let advice = vent(&answer);
    assert_eq!(advice["by_rule"], true, "{advice}");
    house.stop();
}
