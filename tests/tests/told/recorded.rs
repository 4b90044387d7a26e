//! In recordings: what people told is replayed, exported, and replayed again as the same.

use serde_json::{Value, json};

use super::Bench;

/// Lines of a recording, with a message among them.
const LINES: [&str; 7] = [
    r#"{"recv":"2026-03-01T08:00:00Z","topic":"propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/1-1","payload":[{"bn":"urn:dev:mac:02005efffe10a2b3_","bt":1772351990,"n":"air-temperature","u":"Cel","v":6.1}]}"#,
    r#"{"recv":"2026-03-01T10:41:00Z","did":{"t":"2026-03-01T10:40:00Z","kind":"vent","target":"south-door","what":"crack"}}"#,
    r#"{"recv":"2026-03-01T10:42:00Z","did":{"kind":"vent","target":"south-door","what":"half"}}"#,
    r#"{"recv":"2026-03-01T10:42:00Z","undo":{"did":1}}"#,
    r#"{"recv":"2026-03-01T11:00:00Z","seen":{"teller":"Ann","heard":{"of":"tonight","low_c":-2.0,"wind":"gale"}}}"#,
    r#"{"recv":"2026-03-01T12:00:00Z","did":{"kind":"water","target":"tunnel","what":"overhead","amount":20.5,"unit":"L"}}"#,
    r#"{"recv":"2026-03-01T12:30:00Z","seen":{"finger":{"bed":"west","feel":"dry"}}}"#,
];

/// All that was told, without the words, which say whether it is today.
fn facts(told: &Value) -> Vec<Value> {
    let all = ["events", "observations"].iter().flat_map(|book| told[book].as_array().unwrap());
    all.map(|one| {
        let mut one = one.as_object().unwrap().clone();
        one.remove("say");
        one.into()
    })
    .collect()
}

#[test]
fn recording_with_what_people_told_exported_and_replayed_gives_the_same() {
    let Some(bench) = Bench::new() else { return };
    let recording = bench.path("first.jsonl");
    std::fs::write(&recording, LINES.join("\n")).unwrap();
    let first = facts(&bench.replay(&recording, "first"));
    assert_eq!(first.len(), 5, "{first:#?}");
    assert_eq!((&first[0]["what"], &first[0]["t"]), (&json!("overhead"), &json!("2026-03-01T12:00:00Z")));
    assert_eq!((&first[2]["what"], &first[2]["undone_at"]), (&json!("crack"), &json!("2026-03-01T10:42:00Z")));
    assert_eq!(first[1]["undone_at"], json!(null));
    let (again, folder) = (bench.path("again.jsonl"), bench.text("first"));
    let said = bench.run(&["export", "recording", "--data", &folder, "--out", again.to_str().unwrap()]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let lines = std::fs::read_to_string(&again).unwrap();
    assert_eq!(lines.lines().count(), LINES.len(), "{lines}");
    let order: Vec<bool> = lines.lines().map(|line| line.contains("\"topic\"")).collect();
    assert_eq!(order, [true, false, false, false, false, false, false], "in the order of their instants: {lines}");
    assert_eq!(facts(&bench.replay(&again, "again")), first);
}

#[test]
fn line_that_tells_what_cannot_be_meant_ends_the_replay_with_its_number() {
    let Some(bench) = Bench::new() else { return };
    for (n, (line, says)) in [
        (r#"{"recv":"2026-03-01T10:00:00Z","did":{"kind":"vent","target":"north-door","what":"half"}}"#, "south-door"),
        (
            r#"{"recv":"2026-03-01T10:00:00Z","did":{"t":"2026-03-01T10:00:01Z","kind":"water","target":"west"}}"#,
            "in the future",
        ),
        (r#"{"recv":"2026-03-01T10:00:00Z","undo":{"did":1}}"#, "told before it"),
        (r#"{"recv":"2026-03-01T10:00:00Z","seen":{}}"#, "exactly one of"),
        (r#"{"recv":"2026-03-01T10:00:00Z","did":{"kind":"vent"},"seen":{}}"#, "only one of"),
        (r#"{"recv":"2026-03-01T10:00:00Z","did":{"kind":"vent"},"event":"x"}"#, "either topic and payload"),
    ]
    .into_iter()
    .enumerate()
    {
        let recording = bench.path("bad.jsonl");
        std::fs::write(&recording, format!("{}\n{line}\n", LINES[0])).unwrap();
        let (recording, into, garden) =
            (bench.text("bad.jsonl"), bench.text(&format!("bad-{n}")), bench.text("garden.toml"));
        let said = bench.run(&["replay", &recording, "--into", &into, "--garden", &garden]);
        assert_eq!(said.code, Some(2), "{line}: {}", said.err);
        assert!(said.err.contains("line 2") && said.err.contains(says), "{line}: {}", said.err);
    }
}
