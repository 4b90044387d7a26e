//! Readings out in each form and into an empty folder again.

use std::collections::BTreeMap;
use std::path::Path;

use propstick_garden::exchange::{Form, RECOGNISED_BY_BYTES, recognise};
use propstick_tests::program::{Running, program};
use propstick_tests::stores::{self, difference};

use super::Bench;

/// The winners with their series. Origin, arrival and facts of a message are aside: what comes out of a file has come with that file.
fn winners(folder: &Path) -> Vec<String> {
    let db = rusqlite::Connection::open(folder.join("readings.db")).unwrap();
    let mut query = db
        .prepare(
            "SELECT d.urn, d.kind, coalesce(d.mapping, '-'), s.channel, s.unit_sent, s.kind, s.span_s, s.stamp, r.t, r.v
             FROM reading r JOIN series s ON s.id = r.series JOIN device d ON d.id = s.device
             WHERE r.origin = (SELECT min(origin) FROM reading o WHERE o.series = r.series AND o.t = r.t)
             ORDER BY d.urn, s.channel, s.unit_sent, s.kind, s.span_s, s.stamp, r.t",
        )
        .unwrap();
    let rows = query.query_map([], |r| {
        let text = |k: usize| r.get::<_, String>(k);
        let series = (text(0)?, text(1)?, text(2)?, text(3)?, text(4)?, text(5)?, r.get::<_, i64>(6)?, text(7)?);
        Ok(format!("{series:?} {} {:?}", r.get::<_, i64>(8)?, r.get::<_, f64>(9)?))
    });
    rows.unwrap().map(Result::unwrap).collect()
}

/// Imports a file into an empty folder, without a mapping or a question, and has the program work out its figures.
fn bring_in(bench: &Bench<'_>, file: &str, form: Form, readings: usize, into: &str) {
    let text = std::fs::read(bench.path(file)).unwrap();
    assert_eq!(recognise(&text[..text.len().min(RECOGNISED_BY_BYTES)]), Some(form));
    bench.run(&["import", &bench.path(file), "--data", &bench.path(into), "--yes"]);
    let store = bench.folder(into).join("readings.db");
    assert_eq!(stores::count(&store, "SELECT count(*) FROM reading WHERE origin <> 0").unwrap(), readings as i64);
    assert_eq!(stores::count(&store, "SELECT count(*) FROM variant").unwrap(), 0);
    let (garden, config) = (bench.path("garden.toml"), bench.path("propstick.toml"));
    let house = Running::start(
        bench.program,
        &["serve", "--data", &bench.path(into), "--garden", &garden, "--config", &config],
    );
    house.until_worked_out();
    house.stop();
}

#[test]
fn readings_taken_out_in_any_form_and_brought_into_an_empty_folder_leave_the_same_store_and_hours() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let (wanted, hours) = (winners(&bench.folder("data")), stores::hours(&bench.folder("data")).unwrap());
    assert!(wanted.len() > 3_000 && hours.len() > 300, "{} {}", wanted.len(), hours.len());
    for (form, word) in [(Form::Csv, "csv"), (Form::Senml, "senml"), (Form::Lines, "lines")] {
        let file = bench.path(word);
        let (out, told) = bench.run(&["export", "readings", "--data", &data, "--form", word, "--out", &file]);
        assert_eq!((out.as_str(), told), ("", format!("{} readings of 10 series\n", wanted.len())));
        let into = format!("from-{word}");
        bring_in(&bench, word, form, wanted.len(), &into);
        let found = winners(&bench.folder(&into));
        assert!(found == wanted, "{word}: {}", difference(&found, &wanted));
        let found = stores::hours(&bench.folder(&into)).unwrap();
        assert!(found == hours, "{word}: {}", difference(&found, &hours));
        // Imports are no traffic.
        let (recording, told) = bench.run(&["export", "recording", "--data", &bench.path(&into)]);
        assert_eq!(recording, "");
        assert!(told.contains("Left out: 1 imported files; they are no traffic."), "{told}");
        // What is taken out of there is the same file again.
        let (again, _) = bench.run(&["export", "readings", "--data", &bench.path(&into), "--form", word]);
        let sorted = |text: &str| {
            text.split(['\n', ',']).fold(BTreeMap::new(), |mut n, cell| {
                *n.entry(cell.to_owned()).or_insert(0) += 1;
                n
            })
        };
        assert_eq!(sorted(&again), sorted(&std::fs::read_to_string(&file).unwrap()), "{word}");
    }
}

#[test]
fn readings_of_one_device_in_a_stretch_are_those_and_no_others() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let stick = "urn:propstick:sticks:3";
    let args = [
        "export",
        "readings",
        "--data",
        &data,
        "--device",
        stick,
        "--from",
        "2026-03-10T12:00:00Z",
        "--to",
        "2026-03-11",
    ];
    let (out, told) = bench.run(&args);
    let mut lines = out.lines();
    assert_eq!(
        lines.next(),
        Some("time_utc,urn:propstick:sticks:3 air-temperature [Cel],urn:propstick:sticks:3 air-humidity [%RH]")
    );
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    let times: Vec<&str> = rows.iter().map(|row| row[0]).collect();
    assert!(times.iter().all(|t| ("2026-03-10T12:00:00Z".."2026-03-11T00:00:00Z").contains(t)), "{times:?}");
    assert!(times.windows(2).all(|w| w[0] < w[1]));
    let cells: Vec<usize> = (1..3).map(|c| rows.iter().filter(|row| !row[c].is_empty()).count()).collect();
    assert_eq!(told, format!("{} readings of 2 series\n", cells[0] + cells[1]));
    assert_eq!(cells, expected_of_the_stick());
}

/// Counted from the messages themselves: temperatures and humidities of the stick whose instant lies in the half day.
fn expected_of_the_stick() -> Vec<usize> {
    use propstick_tests::recordings::seconds;
    let (from, to) = (seconds("2026-03-10T12:00:00Z") as f64, seconds("2026-03-11T00:00:00Z") as f64);
    let mut counts = vec![0, 0];
    for m in super::two_days().iter().filter(|m| m.topic == "site/3/air") {
        let Ok(said) = serde_json::from_str::<serde_json::Value>(&m.payload) else { continue };
        // A time that cannot be, or none: the arrival counts.
        let t = said["ts"].as_f64().filter(|ts| *ts > 1e9).unwrap_or(m.recv.0 as f64 / 1_000.0);
        if (from..to).contains(&t) {
            counts[0] += usize::from(said["t"].is_number());
            counts[1] += usize::from(said["rh"].as_f64().is_some_and(|rh| rh < 105.0));
        }
    }
    counts
}
