//! How fast files come in and go out, and how much memory that takes.
//!
//!     cargo build --release
//!     cargo bench -p propstick-tests --bench files -- --program target/release/propstick
//!
//! In: rows of a temperature and a humidity, a minute apart, taken in by a mapping into a folder whose garden places them, until every hour is worked
//! out; then twice as many. Out: a year of fifteen series at five minutes, in each form, and as `days`. It is a measurement to be written down with
//! its date, not a test.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const USAGE: &str = "usage: files --program PROPSTICK [--rows 500000]";
const BEGIN_S: i64 = 1_704_067_200; // 2024-01-01T00:00:00Z

fn main() {
    let (mut program, mut rows) = (None, 500_000_usize);
    let mut args = std::env::args().skip(1);
    while let Some(name) = args.next() {
        match name.as_str() {
            "--bench" => {}
            "--program" => program = args.next().map(PathBuf::from),
            "--rows" => rows = args.next().and_then(|n| n.parse().ok()).unwrap_or(rows).clamp(1_000, 5_000_000),
            _ => program = None,
        }
    }
    let Some(program) = program.and_then(|p| p.canonicalize().ok()) else {
        eprintln!("{USAGE}");
        std::process::exit(2);
    };
    for rows in [rows, 2 * rows] {
        files_in(&program, rows);
    }
    files_out(&program);
}

fn files_in(program: &Path, rows: usize) {
    let dir = tempfile::tempdir().expect("a folder");
    let mut text = "time,t,rh\n".to_owned();
    for k in 0..rows {
        let (t, rh) = (60 + (k * 7) % 113, 700 + (k * 13) % 211);
        let _ = writeln!(text, "{},{}.{},{}.{}", stamp(BEGIN_S + 60 * k as i64), t / 10, t % 10, rh / 10, rh % 10);
    }
    let bytes = text.len();
    write(&dir, "in.csv", &text);
    drop(text);
    write(&dir, "in.toml", &mapping(&[("t", "air-temperature", "Cel"), ("rh", "air-humidity", "%RH")]));
    write(&dir, "garden.toml", &garden("\"air-temperature\", \"air-humidity\""));
    keep_garden(program, &dir);
    let args = ["import", "--data", "data", "--as", "in.toml", "in.csv"];
    let (took, memory) = timed(program, &dir, &args, None);
    println!(
        "in:  {} readings, {:.1} MB of CSV, until every hour is worked out: {:.2} s, {:.0} readings/s, VmHWM {memory} MB",
        2 * rows,
        bytes as f64 / 1e6,
        took.as_secs_f64(),
        2.0 * rows as f64 / took.as_secs_f64()
    );
}

fn files_out(program: &Path) {
    const SERIES: usize = 15;
    let rows = 365 * 288;
    let dir = tempfile::tempdir().expect("a folder");
    let heads: Vec<String> = (1..=SERIES).map(|n| format!("s{n}")).collect();
    let mut text = format!("time,{}\n", heads.join(","));
    for k in 0..rows {
        text += &stamp(BEGIN_S + 300 * k as i64);
        for n in 0..SERIES {
            let v = 60 + (k * 7 + n * 31) % 113;
            let _ = write!(text, ",{}.{}", v / 10, v % 10);
        }
        text.push('\n');
    }
    write(&dir, "in.csv", &text);
    drop(text);
    let channels: Vec<String> = (1..=SERIES).map(|n| format!("soil-temperature-{n}")).collect();
    let mut by = mapping(&[]);
    for (head, channel) in heads.iter().zip(&channels) {
        let _ = write!(
            by,
            "[[field]]\ncolumn = \"{head}\"\nquantity = \"soil-temperature\"\nunit = \"Cel\"\nchannel = \"{channel}\"\n"
        );
    }
    write(&dir, "in.toml", &by);
    write(&dir, "garden.toml", &garden("\"soil-temperature-1\""));
    keep_garden(program, &dir);
    let (took, _) = timed(program, &dir, &["import", "--data", "data", "--as", "in.toml", "in.csv"], None);
    println!("in:  the same year of {SERIES} series ({} readings): {:.2} s", rows * SERIES, took.as_secs_f64());
    for form in ["csv", "senml", "lines"] {
        let args = ["export", "readings", "--data", "data", "--form", form, "--out", &format!("out.{form}")];
        let (took, memory) = timed(program, &dir, &args, None);
        let bytes = std::fs::metadata(dir.path().join(format!("out.{form}"))).map_or(0, |m| m.len());
        println!(
            "out: readings as {form}, {} readings, {:.0} MB: {:.2} s, VmHWM {memory} MB",
            rows * SERIES,
            bytes as f64 / 1e6,
            took.as_secs_f64()
        );
    }
    let (took, memory) = timed(program, &dir, &["export", "days", "--data", "data", "--out", "days.csv"], None);
    println!("out: days: {:.2} s, VmHWM {memory} MB", took.as_secs_f64());
}

fn stamp(at_s: i64) -> String {
    chrono::DateTime::from_timestamp(at_s, 0).expect("an instant").format("%Y-%m-%dT%H:%M:%SZ").to_string()
}

fn mapping(fields: &[(&str, &str, &str)]) -> String {
    let mut text = "name = \"bench\"\n[time]\nat = \"time\"\norder = \"ymd\"\n".to_owned();
    for (column, quantity, unit) in fields {
        let _ = write!(text, "[[field]]\ncolumn = \"{column}\"\nquantity = \"{quantity}\"\nunit = \"{unit}\"\n");
    }
    text
}

fn garden(channels: &str) -> String {
    format!(
        "[garden]\nname = \"Bench\"\nlat = 52.0\nlon = -8.0\nzone = \"Europe/Dublin\"\n[[structure]]\nslug = \"tunnel\"\nkind = \"tunnel\"\nname = \"Tunnel\"\n\
         [[spot]]\nslug = \"place\"\nstructure = \"tunnel\"\nrole = \"air\"\n[[placement]]\ndevice = \"urn:propstick:bench\"\nchannels = [{channels}]\n\
         spot = \"place\"\nfrom = \"2020-01-01T00:00:00Z\"\n"
    )
}

fn write(dir: &tempfile::TempDir, name: &str, text: &str) {
    std::fs::write(dir.path().join(name), text).expect("room on the disk");
}

/// Lets the program keep the garden: it is started with it and ended again.
fn keep_garden(program: &Path, dir: &tempfile::TempDir) {
    write(dir, "propstick.toml", "[web]\nlisten = \"127.0.0.1:0\"\n[mqtt]\nlisten = \"127.0.0.1:0\"\n");
    let args = ["serve", "--data", "data", "--garden", "garden.toml", "--config", "propstick.toml"];
    timed(program, dir, &args, Some("owner.address"));
}

/// Runs a command to its end, or until a file is in the data folder; how long it took and its greatest memory in MB.
fn timed(program: &Path, dir: &tempfile::TempDir, args: &[&str], until: Option<&str>) -> (Duration, u64) {
    let began = Instant::now();
    let mut child = Command::new(program)
        .args(args)
        .current_dir(dir.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program");
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    loop {
        let memory = std::fs::read_to_string(&status).unwrap_or_default();
        let line = memory.lines().find_map(|l| l.strip_prefix("VmHWM:"));
        most = most.max(line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<u64>().ok()).unwrap_or(0));
        if let Some(file) = until
            && dir.path().join("data").join(file).exists()
        {
            let _ = Command::new("kill").args(["-TERM", &child.id().to_string()]).status();
            let _ = child.wait();
            break;
        }
        if let Ok(Some(status)) = child.try_wait() {
            assert!(status.success(), "{args:?} ended with {status}");
            break;
        }
        assert!(began.elapsed() < Duration::from_secs(300), "{args:?} did not end");
        std::thread::sleep(Duration::from_millis(5));
    }
    (began.elapsed(), most / 1_024)
}
