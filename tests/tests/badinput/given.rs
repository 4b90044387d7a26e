//! Configuration, garden, recording and command line that are wrong: file, key and what was expected, and exit code 2.

use propstick_tests::program::told;

use super::Bench;

/// A file's text, and what the message must name beside the file.
type Wrong = (&'static str, &'static [&'static str]);

const CONFIGURATIONS: &[Wrong] = &[
    ("[web]\nport = 8080\n", &["line 2", "port", "listen"]),
    ("[wibble]\nx = 1\n", &["wibble", "mqtt", "web", "mapping"]),
    ("[mqtt]\nlisten = 1883\n", &["listen", "expected a string"]),
    ("[mqtt]\nlisten = \"everywhere\"\n", &["mqtt.listen", "\"everywhere\"", "expected"]),
    ("[web]\nlisten = \"0.0.0.0:8737\"\n", &["web.listen", "0.0.0.0:8737", "loopback"]),
    ("[web]\nlisten = \"192.0.2.7:80\"\n", &["web.listen", "192.0.2.7:80", "loopback"]),
    ("[mqtt]\nlisten = \"127.0.0.1:1\"\n[mqtt.outside]\nhost = \"localhost\"\n", &["mqtt", "not both"]),
    ("[mqtt.outside]\nhost = \"localhost\"\nport = 70000\n", &["port", "70000"]),
    ("[mqtt.outside]\nport = 1883\n", &["host", "missing"]),
    ("this is no TOML\n", &["line 1", "expected"]),
    ("[[mapping]]\nname = \"a\"\n", &["topic", "missing"]),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/+/air\"\n[[mapping.field]]\nat = \"/t\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n",
        &["mapping[0]", "device", "topic:1"],
    ),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/1\"\nzone = \"Ireland/Dublin\"\n[[mapping.field]]\nat = \"/t\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n",
        &["zone", "Ireland/Dublin", "Europe/Dublin"],
    ),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/1\"\n[[mapping.field]]\nat = \"/t\"\nquantity = \"air-warmth\"\nunit = \"Cel\"\n",
        &["quantity", "air-warmth", "air-temperature"],
    ),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/1\"\n[[mapping.field]]\nat = \"/t\"\nquantity = \"air-temperature\"\nunit = \"lx\"\n",
        &["mapping[0]", "field[0].unit", "\"lx\"", "Cel"],
    ),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/1\"\n[[mapping.field]]\nat = \"t\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n",
        &["mapping[0]", "field[0].at", "\"t\"", "/"],
    ),
    (
        "[[mapping]]\nname = \"a\"\ntopic = \"site/#/air\"\n[[mapping.field]]\nat = \"/t\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n",
        &["mapping[0]", "topic", "site/#/air", "'#'"],
    ),
];

const GARDENS: &[Wrong] = &[
    ("zone = \"Europe/Dublin\"|zone = \"Dublin\"", &["garden.zone", "\"Dublin\"", "Europe/Dublin"]),
    ("lat = 51.0|lat = 95.0", &["garden.lat", "95", "-90", "90"]),
    ("lat = 51.0|lat = \"north\"", &["lat", "expected"]),
    ("kind = \"tunnel\"|kind = \"tent\"", &["structure[1].kind", "\"tent\"", "tunnel, low_tunnel"]),
    ("kind = \"lid\"|kind = \"hatch\"", &["structure[2].vent[0].kind", "\"hatch\"", "lid"]),
    ("role = \"outside\"|role = \"inside\"", &["spot[3].role", "\"inside\"", "outside"]),
    ("spot = \"screen\"|spot = \"scream\"", &["placement[2].spot", "\"scream\"", "screen"]),
    ("channels = [\"soil-temperature-2\"]|channels = [\"soil-warmth\"]", &["placement[1].channels", "soil-warmth"]),
    ("slug = \"frame-air\"|slug = \"tunnel-air\"", &["spot[2].slug", "tunnel-air", "taken"]),
    ("name = \"Hazel bank\"|name = \"Hazel bank\"\ncolour = \"green\"", &["colour", "expected"]),
    (
        "from = \"2020-01-01T00:00:00Z\"|from = \"long ago\"",
        &["placement[0].from", "\"long ago\"", "2026-03-01T08:00:00Z"],
    ),
];

#[test]
fn wrong_configuration_is_named_by_file_key_and_what_was_expected() {
    let Some(bench) = Bench::new() else { return };
    for (text, wanted) in CONFIGURATIONS {
        let file = bench.file("wrong.toml", text);
        for command in
            [vec!["check", "--config", &file], vec!["serve", "--data", &bench.text("never"), "--config", &file]]
        {
            let out = bench.run(&command);
            let said = told(&out);
            assert_eq!(out.status.code(), Some(2), "{text}\n{said}");
            for part in ["wrong.toml"].iter().chain(*wanted) {
                assert!(said.contains(part), "{part} is missing for\n{text}\n{said}");
            }
        }
        assert!(!bench.path("never").exists(), "nothing is begun with a wrong configuration");
    }
    let out = bench.run(&["serve", "--config", &bench.text("absent.toml")]);
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("absent.toml"), "{}", told(&out));
}

#[test]
fn wrong_garden_is_named_by_file_key_and_what_is_allowed() {
    let Some(bench) = Bench::new() else { return };
    let right = std::fs::read_to_string(bench.path("garden.toml")).unwrap();
    for (change, wanted) in GARDENS {
        let (from, to) = change.split_once('|').unwrap();
        assert!(right.contains(from), "{from}");
        let file = bench.file("odd-garden.toml", &right.replacen(from, to, 1));
        for command in
            [vec!["check", "--garden", &file], vec!["serve", "--data", &bench.text("never"), "--garden", &file]]
        {
            let out = bench.run(&command);
            let said = told(&out);
            assert_eq!(out.status.code(), Some(2), "{to}\n{said}");
            for part in ["odd-garden.toml"].iter().chain(*wanted) {
                assert!(said.contains(part), "{part} is missing for {to}\n{said}");
            }
        }
        assert!(!bench.path("never").exists(), "nothing is begun with a wrong garden");
    }
}

#[test]
fn wrong_recording_is_named_by_file_and_line_and_a_used_folder_is_left_alone() {
    let Some(bench) = Bench::new() else { return };
    let garden = bench.text("garden.toml");
    let right = "{\"recv\": 1773101410, \"topic\": \"site/3/air\", \"payload\": {\"t\": 5}}\n";
    let cases = [
        ("{\"recv\": 1773101410, \"topic\"\n", "line 2"),
        ("{\"recv\": \"yesterday\", \"topic\": \"a\", \"payload\": 1}\n", "2026-03-01T08:00:00Z"),
        ("{\"topic\": \"a\", \"payload\": 1}\n", "recv is missing"),
        ("{\"recv\": 1773101410}\n", "topic and payload"),
        ("{\"recv\": 1773101410, \"tropic\": 1}\n", "tropic"),
        ("{\"recv\": 1e300, \"topic\": \"a\", \"payload\": 1}\n", "line 2"),
    ];
    for (k, (line, wanted)) in cases.into_iter().enumerate() {
        let recording = bench.file("odd.jsonl", &format!("{right}{line}"));
        let into = bench.text(&format!("into-{k}"));
        let out = bench.run(&["replay", &recording, "--into", &into, "--garden", &garden]);
        let said = told(&out);
        assert_eq!(out.status.code(), Some(2), "{line}\n{said}");
        assert!(said.contains("odd.jsonl, line 2") && said.contains(wanted), "{line}\n{said}");
    }

    let recording = bench.file("right.jsonl", right);
    std::fs::create_dir(bench.path("used")).unwrap();
    bench.file("used/diary.txt", "do not touch");
    let out = bench.run(&["replay", &recording, "--into", &bench.text("used"), "--garden", &garden]);
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("is not empty"), "{}", told(&out));
    assert_eq!(std::fs::read_dir(bench.path("used")).unwrap().count(), 1);

    let out = bench.run(&["replay", &bench.text("absent.jsonl"), "--into", &bench.text("new"), "--garden", &garden]);
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("absent.jsonl"), "{}", told(&out));
}

#[test]
fn answer_that_nobody_reads_to_its_end_is_no_panic() {
    let Some(bench) = Bench::new() else { return };
    // Standard output is closed before the command says anything.
    let mut child = std::process::Command::new(&bench.program)
        .args(["check", "--garden", &bench.text("garden.toml")])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let out = child.wait_with_output().unwrap();
    assert_eq!((out.status.code(), told(&out).as_str()), (Some(0), ""));
}
