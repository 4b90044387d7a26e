//! Everything that can be taken out of the real program, and what comes of it when it goes in again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod back_in;
#[allow(dead_code)] // written for another test; not all of it is needed here
#[path = "../order/recorded.rs"]
mod recorded;
mod tables;
mod traffic;

use std::path::Path;

use propstick_tests::program::{run, told};
use propstick_tests::recordings::{
    GARDEN, MAPPING, Message, OUTDOORS, Part, Reporter, TUNNEL, air, pack, recording, report_topic, seconds,
};
use propstick_wire::Millis;

/// Mappings of other makers' devices: the sticks of the garden, and a roof with rain by the hour.
fn config() -> String {
    format!(
        "[web]\nlisten = \"127.0.0.1:0\"\n[mqtt]\nlisten = \"127.0.0.1:0\"\n{MAPPING}
[[mapping]]
name = \"roof\"
topic = \"roof/#\"
device = \"topic:1\"
time = \"/at\"
time_unit = \"rfc3339\"
[[mapping.field]]
at = \"/rain/mm\"
quantity = \"rain\"
unit = \"mm\"
span_s = 3600
"
    )
}

/// Two days of two boards, a stick and a roof in March 2026, with what goes wrong: a thermometer off the bus, a hole of five hours, a board that lost its
/// clock, two values for one instant, a message of nobody's, something that is no JSON, a sample in Fahrenheit, and states.
fn two_days() -> Vec<Message> {
    let from = seconds("2026-03-10T00:00:00Z");
    let mut boards = [Reporter::new(OUTDOORS, 0xa, 6), Reporter::new(TUNNEL, 0xb, 6)];
    let mut all = Vec::new();
    for k in 0..576_i64 {
        let at = from + k * 300;
        let warmth = (k as f64 / 45.8).sin();
        for (place, board) in boards.iter_mut().enumerate() {
            if place == 1 && (300..360).contains(&k) {
                continue;
            }
            let mut parts: Vec<Part<'static>> =
                air(round(6.0 + 5.0 * warmth + place as f64), round(85.0 - 12.0 * warmth));
            if place == 1 {
                parts.push((
                    "soil-temperature-2",
                    "Cel",
                    if k % 97 == 5 { "-127".to_owned() } else { round(8.0 + warmth).to_string() },
                ));
            }
            if k % 131 == 7 {
                parts[0] = ("air-temperature", "degF", "46.4".to_owned());
            }
            all.extend(board.sample(at, parts));
        }
        let (recv, ts) = (Millis((at + 20) * 1_000 + 250), at + 17);
        let stick = match k % 53 {
            4 => format!("{{\"t\":{}}}", round(7.0 + warmth)),
            9 => format!("{{\"ts\":12,\"t\":{}}}", round(7.0 + warmth)),
            14 => "{\"t\":".to_owned(),
            _ => format!(
                "{{\"ts\":{ts},\"t\":{},\"rh\":{}}}",
                round(7.0 + 4.0 * warmth),
                if k % 71 == 3 { 340.0 } else { 90.0 }
            ),
        };
        all.push(Message::new(recv, "site/3/air", stick));
        if k % 12 == 0 {
            let text = format!("{{\"at\":\"{}\",\"rain\":{{\"mm\":{}}}}}", instant(at), round(0.1 * (k % 5) as f64));
            all.push(Message::new(recv.plus(5), "roof/north", text));
        }
    }
    let clockless = pack(TUNNEL, None, &[(-600, air(5.5, 91.0)), (-300, air(5.25, 91.5))]);
    let lost = Millis((from + 320 * 300) * 1_000);
    all.push(Message::new(lost, report_topic(TUNNEL, 0xc, 1, 2), clockless));
    let wrong = pack(TUNNEL, Some(0), &[(600, air(5.0, 92.0)), (900, air(4.75, 92.5))]);
    all.push(Message::new(lost.plus(700_000), report_topic(TUNNEL, 0xc, 3, 4), wrong));
    let other = pack(OUTDOORS, Some(from + 3_000), &[(0, air(1.25, 60.0))]);
    all.push(Message::new(Millis((from + 9_000) * 1_000), report_topic(OUTDOORS, 0xd, 1, 1), other));
    all.push(Message::new(Millis((from + 9_001) * 1_000), "kitchen/oven", "{\"t\":200}"));
    let state = "{\"v\":1,\"online\":true,\"queue\":\"0000000b\",\"queued\":0,\"battery_v\":3.91}";
    all.push(Message::new(Millis((from + 9_002) * 1_000), "propstick/v1/mac-02005efffe000001/state", state));
    all.sort_by_key(|m| m.recv);
    all
}

fn round(v: f64) -> f64 {
    (v * 100.0).round() / 100.0
}

fn instant(seconds: i64) -> String {
    propstick_garden::instant::to_rfc3339(Millis(seconds * 1_000))
}

/// A folder with files and data folders in it.
struct Bench<'p> {
    program: &'p Path,
    dir: tempfile::TempDir,
}

impl<'p> Bench<'p> {
    fn new(program: &'p Path) -> Bench<'p> {
        let bench = Bench { program, dir: propstick_tests::program::quick_folder().unwrap() };
        bench.file("garden.toml", GARDEN);
        bench.file("propstick.toml", &config());
        bench
    }

    fn path(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    fn file(&self, name: &str, text: &str) -> String {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name)
    }

    fn folder(&self, name: &str) -> std::path::PathBuf {
        self.dir.path().join(name)
    }

    /// Runs a command that must succeed; what it wrote to standard output and to standard error.
    #[track_caller]
    fn run(&self, args: &[&str]) -> (String, String) {
        let output = run(self.program, args);
        assert!(output.status.success(), "propstick {args:?}: {}", told(&output));
        let aside = told(&output);
        (String::from_utf8(output.stdout).unwrap(), aside)
    }

    /// Runs a command that must fail; its exit code and what it said.
    #[track_caller]
    fn fails(&self, args: &[&str]) -> (Option<i32>, String) {
        let output = run(self.program, args);
        assert!(!output.status.success(), "propstick {args:?} succeeded");
        assert_eq!(output.stdout.len(), 0, "propstick {args:?}");
        let aside = told(&output);
        (output.status.code(), aside)
    }

    /// Replays a recording into a folder of that name.
    fn replay(&self, recording: &str, garden: &str, into: &str) {
        let (config, into) = (self.path("propstick.toml"), self.path(into));
        self.run(&["replay", recording, "--into", &into, "--garden", garden, "--config", &config]);
    }

    /// The two days, replayed into the folder `data`.
    fn two_days(&self) -> String {
        let file = self.file("recording.jsonl", &recording(&two_days()));
        self.replay(&file, &self.path("garden.toml"), "data");
        self.path("data")
    }
}
