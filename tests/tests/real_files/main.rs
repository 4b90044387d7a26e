//! Every measured file with a time axis, read by its mapping in `tests/imports`, against counts that another tool took
//! (`tests/imports/counts.csv`, made by `counts.py` beside it).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod days;

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use propstick_garden::instant::to_rfc3339;
use propstick_garden::table::{self, FileMapping, Piece, Report, Trouble};
use propstick_tests::data::reference_file;
use propstick_tests::sources::workspace_root;
use propstick_wire::Millis;

/// Later than all of the files: 2026-11-25T00:00:00Z.
const NOW: Millis = Millis(1_795_564_800_000);

type Row = BTreeMap<String, String>;

fn imports() -> PathBuf {
    workspace_root().join("tests/imports")
}

/// The rows of a table of the other tool.
fn table_of(name: &str) -> Vec<Row> {
    let text = std::fs::read_to_string(imports().join(name)).unwrap();
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), header.len(), "{line}");
        header.iter().zip(cells).map(|(name, cell)| ((*name).to_owned(), cell.to_owned())).collect()
    };
    lines.map(row).collect()
}

fn mapping(name: &str) -> FileMapping {
    let path = imports().join(format!("{name}.toml"));
    let text = std::fs::read_to_string(&path).unwrap();
    FileMapping::from_toml(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn read(file: &Path, mapping: &FileMapping) -> Report {
    let bytes = std::fs::read(file).unwrap();
    let done: Result<Report, Trouble<Infallible>> =
        table::read(&bytes[..], mapping, NOW, &mut |_| ControlFlow::Continue(()));
    done.unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

/// Compares, noting what differs.
struct Compared {
    what: String,
    differs: Vec<String>,
}

impl Compared {
    fn same(&mut self, name: &str, found: impl ToString, counted: &str) {
        let found = found.to_string();
        if found != counted {
            self.differs.push(format!("{} {name}: read {found}, counted {counted}", self.what));
        }
    }

    fn number(&mut self, name: &str, found: f64, counted: &str) {
        if counted.parse::<f64>().ok() != Some(found) {
            self.differs.push(format!("{} {name}: read {found}, counted {counted}", self.what));
        }
    }

    fn same_lots(&mut self, name: &str, found: &[String], counted: &[String]) {
        let alone = |those: &[String], others: &[String], whose: &str| -> Vec<String> {
            let alone = those.iter().filter(|one| !others.contains(one));
            alone.map(|one| format!("{} {name}: only {whose} {one}", self.what)).collect()
        };
        let mut differs = alone(found, counted, "read");
        differs.extend(alone(counted, found, "counted"));
        self.differs.append(&mut differs);
    }
}

#[test]
fn every_measured_file_reads_as_another_tool_counted_it() {
    let counts = table_of("counts.csv");
    let files: Vec<&Row> = counts.iter().filter(|row| row["what"] == "file").collect();
    assert_eq!(files.len(), 34, "the files that are counted");
    let mut differs = Vec::new();
    for file in &files {
        let Some(path) = reference_file(&file["file"]) else { return };
        let report = read(&path, &mapping(&file["mapping"]));
        let of_file = |what: &str| -> Vec<&Row> {
            let same =
                |row: &&Row| row["what"] == what && row["file"] == file["file"] && row["mapping"] == file["mapping"];
            counts.iter().filter(same).collect()
        };
        let mut c = Compared { what: format!("{} by {}:", file["file"], file["mapping"]), differs: Vec::new() };
        let instant = |t: Option<Millis>| t.map(to_rfc3339).unwrap_or_default();
        c.same("lines", report.lines, &file["lines"]);
        c.same("rows", report.rows, &file["rows"]);
        c.same("rows read", report.rows_read, &file["rows_read"]);
        c.same("no value", report.no_value, &file["no_value"]);
        c.same("readings", report.readings, &file["n"]);
        c.same("first", instant(report.first), &file["first"]);
        c.same("last", instant(report.last), &file["last"]);
        series(&mut c, &report, &of_file("series"));
        asides(&mut c, &report, &of_file("aside"));
        clock_changes(&mut c, &report, &of_file("clock"));
        steps_back(&mut c, &report, &of_file("back"));
        differs.append(&mut c.differs);
    }
    assert!(differs.is_empty(), "{} differ:\n{}", differs.len(), differs.join("\n"));
}

fn series(c: &mut Compared, report: &Report, counted: &[&Row]) {
    c.same("series", report.series.len(), &counted.len().to_string());
    for row in counted {
        let name = format!("{} {} {}", row["device"], row["channel"], row["kind"]);
        let same = |s: &&table::SeriesReport| {
            s.device == row["device"] && s.channel == row["channel"] && s.kind.word() == row["kind"]
        };
        let Some(s) = report.series.iter().find(same) else {
            c.differs.push(format!("{} {name}: not read", c.what));
            continue;
        };
        let instant = |t: Option<Millis>| t.map(to_rfc3339).unwrap_or_default();
        c.same(&format!("{name} unit"), &s.unit, &row["unit"]);
        c.same(&format!("{name} readings"), s.n, &row["n"]);
        c.same(&format!("{name} first"), instant(s.first), &row["first"]);
        c.same(&format!("{name} last"), instant(s.last), &row["last"]);
        c.same(&format!("{name} cadence"), s.cadence_s.map(|s| s.to_string()).unwrap_or_default(), &row["cadence_s"]);
        c.same(&format!("{name} gaps"), s.gaps, &row["gaps"]);
        let longest = s.longest_gap.map(|(a, b)| (to_rfc3339(a), to_rfc3339(b))).unwrap_or_default();
        c.same(&format!("{name} longest gap from"), longest.0, &row["longest_from"]);
        c.same(&format!("{name} longest gap to"), longest.1, &row["longest_to"]);
        c.number(&format!("{name} min"), s.min, &row["min"]);
        c.number(&format!("{name} max"), s.max, &row["max"]);
    }
}

fn asides(c: &mut Compared, report: &Report, counted: &[&Row]) {
    // Of a row that is set aside the other tool names no column.
    let column = |a: &table::Aside| if a.why.is_of_row() { String::new() } else { a.what.clone() };
    let found: Vec<String> = report
        .aside
        .iter()
        .map(|a| format!("{} in {:?}: {} from line {}", a.why.word(), column(a), a.times, a.first_line))
        .collect();
    let wanted: Vec<String> = counted
        .iter()
        .map(|row| format!("{} in {:?}: {} from line {}", row["kind"], row["column"], row["n"], row["first_line"]))
        .collect();
    c.same_lots("set aside", &found, &wanted);
}

fn clock_changes(c: &mut Compared, report: &Report, counted: &[&Row]) {
    let found: Vec<String> =
        report.clock.iter().map(|note| format!("{}: {}", to_rfc3339(note.at), told(&note.what))).collect();
    let wanted: Vec<String> = counted
        .iter()
        .map(|row| match row["kind"].as_str() {
            "back" => format!("{}: line {}", row["first"], row["first_line"]),
            _ => format!("{}: {} rows from line {}", row["first"], row["n"], row["first_line"]),
        })
        .collect();
    c.same_lots("change of the clock", &found, &wanted);
}

/// The lines that a note of a clock change names: `line 7` or `2 rows from line 7`.
fn told(note: &str) -> String {
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).collect::<String>();
    let line = digits(note.split("line ").nth(1).unwrap());
    match note.split(" rows from").next().filter(|before| before.len() < note.len()) {
        Some(before) => format!("{} rows from line {line}", before.rsplit(['(', ' ']).next().unwrap()),
        None => format!("line {line}"),
    }
}

fn steps_back(c: &mut Compared, report: &Report, counted: &[&Row]) {
    let found: Vec<String> = report
        .cautions
        .iter()
        .filter(|caution| caution.says.starts_with("the time goes back"))
        .map(|caution| format!("{} from line {}", caution.times, caution.first_line))
        .collect();
    let wanted: Vec<String> =
        counted.iter().map(|row| format!("{} from line {}", row["n"], row["first_line"])).collect();
    c.same_lots("step back", &found, &wanted);
}

#[test]
fn airport_s_local_columns_and_its_utc_column_give_the_same_instants_through_both_clock_changes() {
    let Some(path) = reference_file("dewpoint-dst-2013/coastal-airport-hourly-2013.csv") else { return };
    let bytes = std::fs::read(&path).unwrap();
    let instants = |name: &str| {
        let mut all: Vec<(u32, i64, f64)> = Vec::new();
        let done: Result<Report, Trouble<Infallible>> = table::read(&bytes[..], &mapping(name), NOW, &mut |piece| {
            if let Piece::Readings(lot) = piece {
                all.extend(lot.iter().map(|r| (r.series, r.t.0, r.v)));
            }
            ControlFlow::Continue(())
        });
        (done.unwrap().rows_read, all)
    };
    let (local, utc) = (instants("airport"), instants("airport-utc"));
    assert_eq!((local.0, utc.0), (8_706, 8_706));
    assert!(local.1 == utc.1, "some instants differ");
    // README of the data: 3 November has the hour 1 twice, 05Z and 06Z; 10 March has no hour 2.
    let has = |at: &str| {
        let at = propstick_tests::recordings::seconds(at) * 1_000;
        local.1.iter().any(|r| r.1 == at)
    };
    assert!(has("2013-11-03T05:00:00Z") && has("2013-11-03T06:00:00Z"));
    assert!(has("2013-03-10T06:00:00Z") && has("2013-03-10T07:00:00Z"));
}
