//! The figure on the page is the figure that was sent: a recording through the real program, Today in a real Chromium.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::path::Path;
use std::process::Command;

use propstick_tests::data::skipped;
use propstick_tests::program::{Running, program};
use propstick_tests::recordings::{GARDEN, MAPPING, OUTDOORS, Reporter, TUNNEL, air, recording, seconds};
use propstick_tests::sources::workspace_root;

/// The tools of the page's tests, which `npm ci` puts there.
fn tools_missing(browser: &Path) -> Option<&'static str> {
    if !browser.join("node_modules/playwright-core").is_dir() {
        return Some("the page's test tools are not installed (npm ci in tests/browser)");
    }
    let node = Command::new("node").arg("--version").output().is_ok_and(|o| o.status.success());
    (!node).then_some("node is not installed")
}

#[test]
fn figures_replayed_stand_on_the_page_in_chromium_at_a_phones_and_a_desks_width() {
    let Some(program) = program() else { return };
    let browser = workspace_root().join("tests/browser");
    if let Some(why) = tools_missing(&browser) {
        assert!(std::env::var("CI").map_or(true, |v| v != "true"), "{why}, and CI=true allows no skipping");
        return skipped(why);
    }
    let dir = tempfile::tempdir().unwrap();
    let mut boards = [Reporter::new(OUTDOORS, 0xa, 3), Reporter::new(TUNNEL, 0xa, 3)];
    let mut messages = Vec::new();
    let silent = seconds("2026-03-10T03:00:00Z")..seconds("2026-03-10T06:30:00Z");
    for at in (seconds("2026-03-09T12:00:00Z")..=seconds("2026-03-10T12:10:00Z")).step_by(300) {
        messages.extend(boards[0].sample(at, air(4.02, 71.3)));
        if !silent.contains(&at) {
            messages.extend(boards[1].sample(at, air(6.13, 95.41)));
        }
    }
    messages.extend(boards.iter_mut().filter_map(Reporter::report));
    let file = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let recording = file("recording.jsonl", &recording(&messages));
    let garden = file("garden.toml", GARDEN);
    let config = file("propstick.toml", &format!("[web]\nlisten = \"127.0.0.1:0\"\n{MAPPING}"));
    let data = dir.path().join("data").to_str().unwrap().to_owned();
    let house = Running::start(
        &program,
        &["replay", &recording, "--into", &data, "--garden", &garden, "--config", &config, "--serve"],
    );
    // What was sent, rounded as the page says it. Dew point and deficit by FAO-56 eq 11 and its inverse (climate sheet 1.1 and 1.2),
    // worked out beside this test: 5.4525 °C and 0.0433 kPa.
    let expected = file(
        "expected.json",
        r#"{"structures": {
            "tunnel": {"air-temperature": "6.1 °C", "air-humidity": "95 %", "dew-point": "5.5 °C", "vpd": "0.04 kPa", "state": "fresh"},
            "outdoors": {"air-temperature": "4.0 °C", "air-humidity": "71 %"}},
            "zone_note": true, "gap": ["tunnel"]}"#,
    );
    let pictures =
        std::env::var("PROPSTICK_PICTURES").unwrap_or_else(|_| dir.path().join("pictures").display().to_string());
    let said = Command::new("node")
        .args(["today.test.mjs", &format!("http://{}", house.web), &expected, &pictures])
        .current_dir(&browser)
        .output()
        .unwrap();
    assert!(
        said.status.success(),
        "{}\n{}",
        String::from_utf8_lossy(&said.stdout),
        String::from_utf8_lossy(&said.stderr)
    );
    drop(house);
}
