//! An import is whole or absent: killed at any moment, or with the disk full in its middle, and the folder goes on afterwards.
//!
//! `PROPSTICK_LONG=1` kills five times as often.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use propstick_tests::program::{PATIENCE, program, run, told};
use propstick_tests::stores;

const ROWS: usize = 60_000;
const MAPPING: &str = "name = \"long\"\n[time]\nat = \"time\"\norder = \"ymd\"\n[[field]]\ncolumn = \"t\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n\
    [[field]]\ncolumn = \"rh\"\nquantity = \"air-humidity\"\nunit = \"%RH\"\n";

struct Place {
    program: PathBuf,
    dir: tempfile::TempDir,
}

impl Place {
    fn new(program: PathBuf) -> Place {
        let dir = tempfile::tempdir().unwrap();
        let mut text = "time,t,rh\n".to_owned();
        for k in 0..ROWS {
            let at = chrono::DateTime::from_timestamp(1_735_689_600 + 60 * k as i64, 0).unwrap();
            let _ = writeln!(text, "{},{}.{},8{}.5", at.format("%Y-%m-%dT%H:%M:%SZ"), k % 23, k % 10, k % 7);
        }
        std::fs::write(dir.path().join("long.csv"), text).unwrap();
        std::fs::write(dir.path().join("short.csv"), "time,t,rh\n2024-05-01T00:00:00Z,7.5,91\n").unwrap();
        std::fs::write(dir.path().join("long.toml"), MAPPING).unwrap();
        Place { program, dir }
    }

    fn path(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    fn args(&self, file: &str) -> [String; 6] {
        [
            "import".to_owned(),
            "--data".to_owned(),
            self.path("data"),
            "--as".to_owned(),
            self.path("long.toml"),
            self.path(file),
        ]
    }

    fn import(&self, file: &str) -> std::process::Output {
        let args = self.args(file);
        run(&self.program, &args.iter().map(String::as_str).collect::<Vec<_>>())
    }

    /// How many readings of imports stand in the folder, by origin; every one of them is whole.
    fn assert_whole(&self, when: &str) -> i64 {
        let file = Path::new(&self.path("data")).join("readings.db");
        let count = |query: &str| stores::count(&file, query).unwrap();
        let (origins, readings) =
            (count("SELECT count(*) FROM origin WHERE id > 0"), count("SELECT count(*) FROM reading"));
        let noted = count("SELECT coalesce(sum(n), 0) FROM origin_series");
        assert_eq!(readings, noted, "{when}: readings without an origin that knows of them");
        let long = count("SELECT count(*) FROM origin WHERE file = 'long.csv'");
        assert_eq!(readings, long * 2 * ROWS as i64 + (origins - long) * 2, "{when}: an import is half there");
        let check = run(&self.program, &["check", "--data", &self.path("data")]);
        assert!(check.status.success(), "{when}: {}", told(&check));
        long
    }
}

#[test]
fn import_killed_at_any_moment_is_whole_or_absent_and_can_be_made_again() {
    let Some(program) = program() else { return };
    let place = Place::new(program);
    // The folder is there, and has something that must stay.
    assert!(place.import("short.csv").status.success());
    let began = Instant::now();
    assert!(place.import("long.csv").status.success());
    let whole_s = began.elapsed().as_secs_f64();
    let taken_back = run(&place.program, &["import", "--data", &place.path("data"), "--take-back", "2"]);
    assert!(taken_back.status.success(), "{}", told(&taken_back));
    assert_eq!(place.assert_whole("after the take-back"), 0);

    let kills: usize = if std::env::var_os("PROPSTICK_LONG").is_some() { 60 } else { 12 };
    let mut finished = 0;
    for kill in 0..kills {
        let args = place.args("long.csv");
        let mut child =
            Command::new(&place.program).args(&args).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(Duration::from_secs_f64(1.3 * whole_s * (kill as f64 + 0.5) / kills as f64));
        let _ = child.kill();
        let _ = child.wait();
        let when = format!("kill {kill} of {kills}");
        if place.assert_whole(&when) == 1 {
            finished += 1;
            let number =
                stores::count(&Path::new(&place.path("data")).join("readings.db"), "SELECT max(id) FROM origin");
            let number = number.unwrap().to_string();
            let back = run(&place.program, &["import", "--data", &place.path("data"), "--take-back", &number]);
            assert!(back.status.success(), "{when}: {}", told(&back));
            assert_eq!(place.assert_whole(&when), 0);
        }
    }
    assert!(finished < kills, "no kill came in the middle: this shows nothing");
    assert!(place.import("long.csv").status.success());
    assert_eq!(place.assert_whole("at the end"), 1);
    eprintln!("{kills} kills within {whole_s:.2} s: {finished} after the commit, the others left nothing");
}

#[test]
fn disk_full_in_mid_import_leaves_nothing_half_says_so_and_the_folder_goes_on() {
    let Some(program) = program() else { return };
    let place = Place::new(program);
    assert!(place.import("short.csv").status.success());
    let mut refused = 0;
    // A limit on the length of files stands for the disk's end; in blocks of 512 bytes.
    for blocks in [200, 400, 900, 1_800, 3_000] {
        let quoted: Vec<String> = place.args("long.csv").iter().map(|a| format!("'{a}'")).collect();
        let line = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{}' {}", place.program.display(), quoted.join(" "));
        let mut child = Command::new("sh")
            .args(["-c", &line])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let until = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < until, "it did not end");
            std::thread::sleep(Duration::from_millis(20));
        };
        let mut says = String::new();
        std::io::Read::read_to_string(&mut child.stderr.take().unwrap(), &mut says).unwrap();
        let there = place.assert_whole(&format!("limit {blocks}"));
        assert!(!says.contains("panicked"), "{says}");
        if there == 1 {
            let back = run(&place.program, &["import", "--data", &place.path("data"), "--take-back", "2"]);
            assert!(back.status.success(), "{}", told(&back));
        } else {
            refused += 1;
            assert_eq!(status.code(), Some(1), "limit {blocks}: {says}");
            assert!(says.contains("long.csv: it could not be stored, and nothing of it is"), "{says}");
        }
        let left = std::fs::read_dir(Path::new(&place.path("data")).join("uploads")).map_or(0, Iterator::count);
        assert_eq!(left, 0, "limit {blocks}: something was left behind");
    }
    assert!(refused >= 3, "the limit was met {refused} times only: this shows little");
    assert!(place.import("long.csv").status.success());
    assert_eq!(place.assert_whole("with room again"), 1);
}
