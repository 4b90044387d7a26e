//! The troubles that growers have with files (troubles page 13 to 20, and kin), through the real program. Expected is what the page calls right.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod again;
mod clocks;
mod given;
mod kin;
mod kinds;
mod odd;
mod overlap;
mod page;

use std::path::{Path, PathBuf};
use std::process::Output;

use propstick_tests::gardens::UNDER_THE_ASH;
use propstick_tests::program::{Running, program, run, told};
use serde_json::Value;

/// A folder with a garden, and files in it.
pub struct Place {
    program: PathBuf,
    dir: tempfile::TempDir,
}

impl Place {
    /// None where the program is not built.
    pub fn new() -> Option<Place> {
        let place = Place { program: program()?, dir: tempfile::tempdir().unwrap() };
        place.write("garden.toml", UNDER_THE_ASH.as_bytes());
        place.write("propstick.toml", b"[web]\nlisten = \"127.0.0.1:0\"\n[mqtt]\nlisten = \"127.0.0.1:0\"\n");
        place.serve().stop();
        Some(place)
    }

    /// The program with this garden.
    pub fn serve(&self) -> Running {
        let path = |name: &str| self.path(name).to_str().unwrap().to_owned();
        let (data, garden, config) = (path("data"), path("garden.toml"), path("propstick.toml"));
        Running::start(&self.program, &["serve", "--data", &data, "--garden", &garden, "--config", &config])
    }

    /// Has everything worked out.
    pub fn settle(&self) {
        let house = self.serve();
        house.until_worked_out();
        house.stop();
    }

    /// A path in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// The data folder.
    pub fn data(&self) -> PathBuf {
        self.path("data")
    }

    /// Writes a file.
    pub fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        std::fs::write(self.path(name), bytes).unwrap();
        self.path(name)
    }

    /// Runs a command of the program on this folder.
    pub fn run(&self, args: &[&str]) -> Output {
        let data = self.data();
        let (first, rest) = args.split_first().unwrap();
        let at = if *first == "export" { 2 } else { 1 };
        let mut all: Vec<&str> = vec![first];
        all.extend_from_slice(&rest[..at - 1]);
        all.extend_from_slice(&["--data", data.to_str().unwrap()]);
        all.extend_from_slice(&rest[at - 1..]);
        run(&self.program, &all)
    }

    /// What `import` makes of a file of that content, without storing anything.
    pub fn looked_at(&self, bytes: &[u8], more: &[&str]) -> Value {
        let file = self.write("ash.csv", bytes);
        let mut args = vec!["import", "--dry-run", "--json", "--name", "ash"];
        args.extend_from_slice(more);
        args.push(file.to_str().unwrap());
        let done = self.run(&args);
        assert!(done.status.success(), "{}\n{}", told(&done), String::from_utf8_lossy(bytes));
        serde_json::from_slice(&done.stdout)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&done.stdout)))
    }

    /// Takes a file in; the answer as JSON, or what it was refused with and the exit code.
    pub fn take_in(&self, file: &Path, more: &[&str]) -> Result<Value, (Option<i32>, String)> {
        let mut args = vec!["import", "--json", "--yes", "--name", "ash"];
        args.extend_from_slice(more);
        args.push(file.to_str().unwrap());
        let done = self.run(&args);
        if !done.status.success() {
            return Err((done.status.code(), told(&done)));
        }
        Ok(serde_json::from_slice(&done.stdout).unwrap())
    }
}

/// The rows that a look at a file read out: instant and values.
pub fn sample(looked: &Value) -> Vec<(String, Vec<f64>)> {
    let row = |row: &Value| {
        let values = row["values"].as_array().unwrap().iter().map(|v| v[1].as_f64().unwrap()).collect();
        (row["at"].as_str().unwrap().to_owned(), values)
    };
    looked["report"]["sample"].as_array().unwrap().iter().map(row).collect()
}

/// What was set aside: reason, times, first line.
pub fn aside(looked: &Value) -> Vec<(String, u64, u64)> {
    let one = |a: &Value| {
        (a["why"].as_str().unwrap().to_owned(), a["times"].as_u64().unwrap(), a["first_line"].as_u64().unwrap())
    };
    looked["report"]["aside"].as_array().unwrap().iter().map(one).collect()
}

fn rows(all: &[(&str, &[f64])]) -> Vec<(String, Vec<f64>)> {
    all.iter().map(|(at, values)| ((*at).to_owned(), values.to_vec())).collect()
}

#[test]
fn trouble_13_mark_semicolons_and_decimal_commas() {
    let Some(place) = Place::new() else { return };
    let file = "\u{feff}Zeit;Temp\r\n05.02.2026 09:00;4,5\r\n05.02.2026 09:10;4,75\r\n";
    let looked = place.looked_at(file.as_bytes(), &["--unit", "Temp=Cel"]);
    assert_eq!(sample(&looked), rows(&[("2026-02-05T09:00:00Z", &[4.5]), ("2026-02-05T09:10:00Z", &[4.75])]));
    let mapping = looked["mapping"].as_str().unwrap();
    assert!(mapping.contains("separator = \";\"") && mapping.contains("decimal = \",\""), "{mapping}");
}

#[test]
fn trouble_14_titles_units_and_the_zone_in_the_header() {
    let Some(place) = Place::new() else { return };
    let file = "Plot Title: bed 3\n#,Date Time GMT+01:00,Temp degF,RH %\n1,02/03/26 01:00:00 PM,50.0,91\n2,02/13/26 01:00:00 PM,50.0,91\n";
    let looked = place.looked_at(file.as_bytes(), &[]);
    // The page's own row is 2 March; with a 13 in the second place it is 3 February. Either way 12:00 UTC, and 10.0 °C as 50.0 °F.
    assert_eq!(sample(&looked)[0], ("2026-02-03T12:00:00Z".to_owned(), vec![50.0, 91.0]));
    assert_eq!(looked["report"]["series"][0]["unit"], "degF");
    // A fortnight of it: read month first the rows would jump by weeks, read year first by years.
    let titles = file.split("1,02/03").next().unwrap();
    let fortnight: String = (2..16).map(|day| format!("{day},{day:02}/03/26 01:00:00 PM,50.0,91\n")).collect();
    let looked = place.looked_at(format!("{titles}{fortnight}").as_bytes(), &[]);
    assert_eq!(sample(&looked)[0].0, "2026-03-02T12:00:00Z");
    let mapping = looked["mapping"].as_str().unwrap();
    assert!(mapping.contains("zone = \"+01:00\""), "an offset in the header is fixed: {mapping}");
}

#[test]
fn trouble_14_columns_of_one_name_are_kept_apart() {
    let Some(place) = Place::new() else { return };
    let file = "time_utc,Soil water (m3/m3),Soil water (m3/m3)\n2026-02-01T10:00:00Z,0.21,0.31\n2026-02-01T10:15:00Z,0.22,0.32\n";
    let looked = place.looked_at(file.as_bytes(), &[]);
    let channels: Vec<&str> =
        looked["report"]["series"].as_array().unwrap().iter().map(|s| s["channel"].as_str().unwrap()).collect();
    assert_eq!(channels, ["soil-moisture-1", "soil-moisture-2"]);
    assert_eq!(sample(&looked)[1].1, [0.22, 0.32]);
}

#[test]
fn trouble_15_step_from_celsius_to_fahrenheit_is_pointed_out() {
    let Some(place) = Place::new() else { return };
    let file = "time_utc,Temp (°C)\n2026-02-01T01:00:00Z,8.0\n2026-02-01T01:10:00Z,8.1\n2026-02-01T01:20:00Z,46.6\n2026-02-01T01:30:00Z,46.8\n";
    let looked = place.looked_at(file.as_bytes(), &[]);
    let cautions = looked["report"]["cautions"].as_array().unwrap();
    let pointed_out = cautions.iter().any(|c| c["first_line"] == 4 && c["says"].as_str().unwrap().contains("unit"));
    assert!(pointed_out, "{cautions:?}");
    // A column without a unit whose numbers could be either is asked for.
    let bare = place.write("bare.csv", b"time_utc,Temp\n2026-02-01T01:00:00Z,48.0\n2026-02-01T01:10:00Z,48.1\n");
    let (code, says) = place.take_in(&bare, &[]).unwrap_err();
    assert!(code == Some(2) && says.contains("--unit \"Temp=...\""), "{says}");
}

#[test]
fn trouble_16_uneven_rows_are_counted_by_kind_and_stop_nothing() {
    let Some(place) = Place::new() else { return };
    let mut file = "time_utc;T (°C);RH (%)\n".to_owned();
    for k in 0..3 {
        file += &format!("2026-02-01 09:{}0;4,{k};9{k},5\n", k);
    }
    file += &";;\n".repeat(3_000);
    file += "2026-02-01 10:00;4,5\nEnd of data\n";
    let looked = place.looked_at(file.as_bytes(), &[]);
    assert_eq!(looked["report"]["readings"], 7, "{looked:#}");
    let mut found = aside(&looked);
    found.sort();
    let expected = [("blank", 3_000, 5), ("no-time", 1, 3_006), ("short", 1, 3_005)];
    assert_eq!(found, expected.map(|(why, n, line)| (why.to_owned(), n, line)));
}
