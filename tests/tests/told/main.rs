//! What people tell: over HTTP, from the terminal, and in recordings.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod http;
mod recorded;
mod terminal;

use std::path::{Path, PathBuf};

use propstick_tests::program::{Running, program, run};
use serde_json::Value;

/// A tunnel with a door, a bed and a fleece. Invented.
const GARDEN: &str = r#"
[garden]
name = "Under the ash"
lat = 52.0
lon = -8.0
zone = "Europe/Dublin"
can_l = 9
[[presence]]
who = "Ann"
days = "every day"
from = "07:00"
to = "20:00"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
groups = ["lettuce"]
[[structure.vent]]
slug = "south-door"
name = "south door"
kind = "door"
faces = "S"
positions = { closed = "shut", crack = "a hand's width", half = "half way" }
[[structure.night_cover]]
slug = "west-fleece"
name = "west fleece"
bed = "west"
kind = "fleece-17"
[[bed]]
slug = "west"
name = "West bed"
structure = "tunnel"
area_m2 = 10
soil = "loam"
watering = "can"
[[spot]]
slug = "tunnel-air"
structure = "tunnel"
role = "air"
[[placement]]
device = "urn:propstick:ash"
channels = ["air-temperature", "air-humidity"]
spot = "tunnel-air"
from = "2020-01-01T00:00:00Z"
"#;

/// A temporary folder with the garden, and the program.
struct Bench {
    dir: tempfile::TempDir,
    program: PathBuf,
}

/// What a command said and how it ended.
struct Said {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Bench {
    fn new() -> Option<Bench> {
        let bench = Bench { program: program()?, dir: tempfile::tempdir().unwrap() };
        std::fs::write(bench.path("garden.toml"), GARDEN).unwrap();
        let roads = "[web]\nlisten = \"127.0.0.1:0\"\n[mqtt]\nlisten = \"127.0.0.1:0\"\n";
        std::fs::write(bench.path("propstick.toml"), roads).unwrap();
        Some(bench)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    fn serve(&self) -> Running {
        let (data, garden, config) = (self.text("data"), self.text("garden.toml"), self.text("propstick.toml"));
        Running::start(&self.program, &["serve", "--data", &data, "--garden", &garden, "--config", &config])
    }

    fn run(&self, args: &[&str]) -> Said {
        let output = run(&self.program, args);
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Said { code: output.status.code(), out: text(&output.stdout), err: text(&output.stderr) }
    }

    /// Runs a command over the data folder.
    fn tell(&self, args: &[&str]) -> Said {
        let data = self.text("data");
        let mut all = vec![args[0], "--data", &data];
        all.extend(&args[1..]);
        self.run(&all)
    }

    /// A recording replayed into a folder of that name; what people told in it.
    fn replay(&self, recording: &Path, into: &str) -> Value {
        let (recording, into, garden) = (recording.to_str().unwrap(), self.text(into), self.text("garden.toml"));
        let said = self.run(&["replay", recording, "--into", &into, "--garden", &garden, "--print", "told"]);
        assert_eq!(said.code, Some(0), "{}", said.err);
        serde_json::from_str(&said.out).unwrap()
    }
}
