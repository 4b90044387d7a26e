//! Tables for people: by spot, days, advice; and how files are written.

use std::io::Read;
use std::process::{Command, Stdio};

use propstick_tests::program::{PATIENCE, Running, program};
use propstick_tests::recordings::GARDEN;
use serde_json::Value;

use super::Bench;

/// The cells of a table, quotes taken off.
fn table(text: &str) -> Vec<Vec<String>> {
    let mut rows = vec![vec![String::new()]];
    let mut chars = text.chars().peekable();
    let mut is_quoted = false;
    while let Some(c) = chars.next() {
        let row = rows.last_mut().unwrap();
        match c {
            '"' if is_quoted && chars.peek() == Some(&'"') => row.last_mut().unwrap().push(chars.next().unwrap()),
            '"' => is_quoted = !is_quoted,
            ',' if !is_quoted => row.push(String::new()),
            '\n' if !is_quoted => rows.push(vec![String::new()]),
            c => row.last_mut().unwrap().push(c),
        }
    }
    rows.pop();
    assert!(rows.iter().all(|row| row.len() == rows[0].len()), "{text}");
    rows
}

#[test]
fn readings_by_spot_are_corrected_in_the_houses_units_and_guarded_against_formulas() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    // A correction of the tunnel's thermometer, the hour after six left out, and a name that a spreadsheet would work out.
    let garden = format!(
        "{}\n[[correction]]\ndevice = \"urn:dev:mac:02005efffe000001\"\nchannel = \"air-temperature\"\nfrom = \"2026-03-10T12:00:00Z\"\nscale = 2.0\n\
         offset = -1.0\nwhy = \"ice bath\"\n[[exclusion]]\ndevice = \"urn:dev:mac:02005efffe000001\"\nchannel = \"air-humidity\"\n\
         from = \"2026-03-10T06:00:00Z\"\nto = \"2026-03-10T07:00:00Z\"\nwhy = \"washed\"\n",
        GARDEN.replace("\"Long tunnel\"", "\"=1+1 tunnel\"")
    );
    bench.file("garden.toml", &garden);
    let data = bench.two_days();
    let (raw, _) = bench.run(&["export", "readings", "--data", &data, "--device", "urn:dev:mac:02005efffe000001"]);
    let (out, told) = bench.run(&["export", "readings", "--data", &data, "--by", "spot"]);
    let (raw, out) = (table(&raw), table(&out));
    let column = |rows: &[Vec<String>], head: &str| {
        rows[0].iter().position(|h| h == head).unwrap_or_else(|| panic!("{head}: {:?}", rows[0]))
    };
    let sent = (
        column(&raw, "urn:dev:mac:02005efffe000001 air-temperature [Cel]"),
        column(&raw, "urn:dev:mac:02005efffe000001 air-temperature [degF]"),
    );
    let (air, rh) = (
        column(&out, "'=1+1 tunnel / tunnel-air / air-temperature [°C]"),
        column(&out, "'=1+1 tunnel / tunnel-air / air-humidity [%RH]"),
    );
    let mut seen = (0, 0);
    for row in &out[1..] {
        let as_sent = raw.iter().find(|r| r[0] == row[0]);
        let is_late = row[0].as_str() >= "2026-03-10T12:00:00Z";
        let wanted = as_sent.and_then(|r| {
            let celsius =
                r[sent.0].parse::<f64>().or_else(|_| r[sent.1].parse::<f64>().map(|f| (f - 32.0) * 5.0 / 9.0)).ok()?;
            Some(if is_late { celsius * 2.0 - 1.0 } else { celsius })
        });
        assert_eq!(row[air].parse::<f64>().ok(), wanted, "{row:?}");
        seen.0 += usize::from(wanted.is_some() && is_late);
        let is_excluded = ("2026-03-10T06:00:00Z".."2026-03-10T07:00:00Z").contains(&row[0].as_str());
        assert!(!is_excluded || row[rh].is_empty(), "{row:?}");
        seen.1 += usize::from(is_excluded);
    }
    assert!(seen.0 > 300 && seen.1 >= 12, "{seen:?}");
    let cells = out[1..].iter().flat_map(|row| &row[1..]).filter(|cell| !cell.is_empty()).count();
    assert_eq!(told, format!("{cells} readings of {} series\n", out[0].len() - 1));
    let (code, told) = bench.fails(&["export", "readings", "--data", &data, "--by", "spot", "--form", "lines"]);
    assert_eq!((code, told.as_str()), (Some(2), "propstick: --by spot: only as --form csv\n"));
}

#[test]
fn days_and_advice_are_those_of_the_answers() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let (again, config, garden) = (bench.path("again"), bench.path("propstick.toml"), bench.path("garden.toml"));
    let file = bench.path("recording.jsonl");
    let (printed, _) = bench.run(&[
        "replay",
        &file,
        "--into",
        &again,
        "--garden",
        &garden,
        "--config",
        &config,
        "--print",
        "days,advice",
    ]);
    let printed: Value = serde_json::from_str(&printed).unwrap();
    let (days, told) = bench.run(&["export", "days", "--data", &data]);
    let days = table(&days);
    assert_eq!(told, format!("{} days\n", days.len() - 1));
    let head: Vec<&str> = days[0].iter().map(String::as_str).collect();
    assert_eq!(
        head[..16],
        [
            "date",
            "structure",
            "kind",
            "hours",
            "final",
            "measured [share]",
            "sensor error [±°C]",
            "min [°C]",
            "mean [°C]",
            "max [°C]",
            "wet hours [h]",
            "wet hours low [h]",
            "wet hours high [h]",
            "frost hours [h]",
            "light [mol/m²]",
            "degree-days average-1 above 0 °C [°C d]",
        ]
    );
    // Seven methods, three bases.
    assert_eq!((head.len(), head[35]), (15 + 21, "degree-days integrated above 10 °C [°C d]"));
    let mut compared = 0;
    for row in &days[1..] {
        let answer = printed["days"][&row[1]]["days"].as_array().unwrap().iter().find(|d| d["date"] == row[0].as_str());
        let Some(answer) = answer.filter(|d| d["final"] == true) else { continue };
        let cell = |k: usize| row[k].parse::<f64>().ok();
        assert_eq!(
            (row[2].as_str(), cell(3), cell(5)),
            ("civil", answer["hours"].as_f64(), answer["measured"].as_f64())
        );
        for (k, figure) in [(7, "min_c"), (8, "mean_c"), (9, "max_c")] {
            assert_eq!(cell(k), answer[figure]["value"].as_f64(), "{figure} {row:?}");
        }
        for (k, dd) in answer["degree_days"].as_array().unwrap().iter().enumerate() {
            // The recording ends within the next day, whose lowest the double methods wait for.
            let waits = dd["method"].as_str().unwrap().starts_with("double") && dd["figure"]["value"].is_null();
            assert!(waits || cell(15 + k) == dd["figure"]["value"].as_f64(), "{dd}");
        }
        for (k, figure, end) in [
            (10, "wet_hours", "value"),
            (11, "wet_hours", "low"),
            (12, "wet_hours", "high"),
            (13, "frost_hours", "value"),
            (14, "light_mol_m2", "value"),
        ] {
            assert_eq!(cell(k), answer[figure][end].as_f64(), "{figure} {row:?}");
        }
        compared += 1;
    }
    assert!(compared >= 3, "{days:?}");
    let (limited, _) = bench.run(&[
        "export",
        "days",
        "--data",
        &data,
        "--from",
        "2026-03-11",
        "--to",
        "2026-03-12",
        "--base",
        "4",
        "--upper",
        "24",
        "--kind",
        "utc",
    ]);
    let limited = table(&limited);
    assert_eq!(limited[0][15], "degree-days average-1 above 4 below 24 horizontal °C [°C d]");
    assert_eq!(limited.len(), 4, "three structures, one day each: {limited:?}");

    let (advice, told) = bench.run(&["export", "advice", "--data", &data]);
    let advice = table(&advice);
    let printed = printed["advice"].as_array().unwrap();
    assert_eq!(told, format!("{} pieces of advice\n", printed.len()));
    assert!(printed.len() > 3);
    let at = |head: &str| advice[0].iter().position(|h| h == head).unwrap();
    for (row, piece) in advice[1..].iter().zip(printed) {
        for (head, key) in [
            ("structure", "structure"),
            ("say", "say"),
            ("because", "because"),
            ("verdict", "verdict"),
            ("made_at_utc", "made_at"),
        ] {
            assert_eq!(Some(row[at(head)].as_str()), piece[key].as_str());
        }
        assert_eq!(row[at("moves")].is_empty(), piece["moves"].as_array().unwrap().is_empty());
        for m in piece["moves"].as_array().unwrap() {
            let what = ["notch", "position", "bed"].iter().find_map(|key| m[key].as_str()).unwrap();
            assert!(row[at("moves")].contains(what), "{row:?}");
        }
    }
}

#[test]
fn export_works_while_the_folder_is_served() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let (before, _) = bench.run(&["export", "readings", "--data", &data]);
    let config = bench.path("propstick.toml");
    let house = Running::start(&program, &["serve", "--data", &data, "--config", &config]);
    let (meanwhile, _) = bench.run(&["export", "readings", "--data", &data]);
    assert_eq!(before, meanwhile);
    house.stop();
}

#[test]
fn reader_that_goes_away_ends_the_export_quietly() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let mut child = Command::new(&program)
        .args(["export", "readings", "--data", &data, "--form", "lines"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 40];
    child.stdout.as_mut().unwrap().read_exact(&mut first).unwrap();
    drop(child.stdout.take());
    let until = std::time::Instant::now() + PATIENCE;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        assert!(std::time::Instant::now() < until, "it does not end");
        std::thread::sleep(std::time::Duration::from_millis(15));
    };
    let mut told = String::new();
    child.stderr.take().unwrap().read_to_string(&mut told).unwrap();
    assert!(status.success() && !told.contains("panicked") && !told.contains("ipe"), "{status} {told}");
}

#[test]
fn file_is_not_written_over_and_never_left_half() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let file = bench.file("out.csv", "mine");
    let (code, told) = bench.fails(&["export", "readings", "--data", &data, "--out", &file]);
    assert_eq!(code, Some(2));
    assert!(told.contains("out.csv: is there already; --force writes over it"), "{told}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    bench.run(&["export", "readings", "--data", &data, "--out", &file, "--force"]);
    assert!(std::fs::read_to_string(&file).unwrap().starts_with("time_utc,urn:"));
    let wrong = [
        (
            vec!["export", "readings", "--device", "urn:dev:mac:0000000000000000"],
            "nothing was heard of it; known: urn:",
        ),
        (
            vec!["export", "readings", "--from", "noon"],
            "--from noon: expected a time like 2026-03-01T08:00:00Z or a date",
        ),
        (vec!["export", "days", "--from", "2026-03-11", "--to", "2026-03-11"], "--to: must come after --from"),
        (vec!["export", "days", "--base", "99"], "--base 99: expected temperatures from -20 to 40"),
    ];
    for (args, says) in wrong {
        let out = bench.path("nothing.csv");
        let (code, told) = bench.fails(&[args.as_slice(), &["--data", &data, "--out", &out]].concat());
        assert!(code == Some(2) && told.contains(says), "{args:?}: {code:?} {told}");
    }
    let (code, told) = bench.fails(&["export", "readings", "--data", &bench.path("nowhere")]);
    assert!(code == Some(2) && told.contains("there are no readings in it"), "{told}");
    let left: Vec<String> = std::fs::read_dir(bench.dir.path())
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.contains("part") || name.contains("nothing"))
        .collect();
    assert_eq!(left, [""; 0]);
}
