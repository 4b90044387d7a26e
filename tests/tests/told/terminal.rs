//! From the terminal: with a running program, and on a folder that nobody has.

use super::Bench;

fn tells_lists_and_takes_back(bench: &Bench) {
    let said = bench.tell(&["did", "--at", "2026-03-01T10:40:00Z", "vent", "south-door", "crack"]);
    assert_eq!(
        (said.code, said.out.as_str()),
        (Some(0), "Noted: south door open a hand's width at 10:40 on 1 March 2026.\n"),
        "{}",
        said.err
    );
    let said = bench.tell(&["did", "water", "west", "2", "cans", "--at", "2026-03-01T11:00:00Z"]);
    assert_eq!(
        said.out, "Noted: west bed watered at the roots, 2 cans (18 L), at 11:00 on 1 March 2026.\n",
        "{}",
        said.err
    );
    let said = bench.tell(&[
        "seen",
        "--by",
        "Ann",
        "--at",
        "2026-03-01T12:00:00Z",
        "look",
        "clear",
        "light",
        "dry",
        "--from",
        "sw",
    ]);
    assert_eq!(
        said.out, "Noted: sky clear, wind light from the south-west, dry at 12:00 on 1 March 2026, told by Ann.\n",
        "{}",
        said.err
    );
    let said = bench.tell(&["heard", "tonight", "--low", "-2", "--at", "2026-03-01T17:00:00Z"]);
    assert_eq!(said.out, "Noted: heard for tonight: low \u{2212}2.0 °C; at 17:00 on 1 March 2026.\n", "{}", said.err);

    let said = bench.tell(&["did", "--undo", "1"]);
    assert_eq!(said.out, "Taken back: south door open a hand's width at 10:40 on 1 March 2026.\n", "{}", said.err);
    let said = bench.tell(&["did", "--undo", "1"]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("tell it again"), "{}", said.err);
    assert_eq!(bench.tell(&["seen", "--undo", "9"]).code, Some(2));
    let list = bench.tell(&["did", "--list"]).out;
    let lines: Vec<&str> = list.lines().collect();
    assert!(
        lines.len() == 2 && lines[0].ends_with("(taken back)") && lines[1].trim_start().starts_with("2  West bed"),
        "{list}"
    );
    assert_eq!(bench.tell(&["heard", "--list"]).out.lines().count(), 2);

    for (args, says) in [
        (&["did", "vent", "north-door", "crack"][..], "south-door"),
        (&["did", "vent", "south-door", "wide"], "closed, crack, half"),
        (&["did", "water", "west", "2", "pints"], "L, can, min, mm"),
        (&["did", "fleece", "west-fleece", "up"], "on, folded, off"),
        (&["did", "done", "7"], "the number of an advice"),
        (&["did"], "vent, water, fleece"),
        (&["seen", "finger", "west", "soggy"], "dry, moist, wet"),
        (&["seen", "leaves", "tunnel", "damp"], "wet, dry"),
        (&["seen", "look", "clear", "calm", "dry", "--from", "up"], "NE"),
        (&["heard", "tonight"], "at least one of"),
        (&["heard", "tonight", "--at", "2999-01-01T00:00:00Z", "--low", "1"], "in the future"),
        (&["did", "--at", "noonish", "vent", "south-door", "crack"], "10:40"),
    ] {
        let said = bench.tell(args);
        assert_eq!(said.code, Some(2), "{args:?}: {}", said.err);
        assert!(said.err.contains(says), "{args:?}: {}", said.err);
    }
}

#[test]
fn running_program_is_told_over_loopback() {
    let Some(bench) = Bench::new() else { return };
    let run = bench.serve();
    tells_lists_and_takes_back(&bench);
    assert_eq!(run.ask("events?undone=true")["events"].as_array().unwrap().len(), 2);
}

#[test]
fn folder_that_nobody_has_is_told_at_once() {
    let Some(bench) = Bench::new() else { return };
    let nothing = bench.tell(&["did", "vent", "south-door", "crack"]);
    assert_eq!(nothing.code, Some(2), "{}", nothing.err);
    assert!(nothing.err.contains("no garden is set up"), "{}", nothing.err);
    bench.serve().stop();
    tells_lists_and_takes_back(&bench);
}

#[test]
fn data_folder_may_be_named_before_and_after_what_is_told_and_goes_before_the_one_of_the_environment() {
    let Some(bench) = Bench::new() else { return };
    let (here, there) = (bench.text("data"), bench.text("elsewhere"));
    for folder in [&here, &there] {
        let (garden, config) = (bench.text("garden.toml"), bench.text("propstick.toml"));
        let args = ["serve", "--data", folder, "--garden", &garden, "--config", &config];
        propstick_tests::program::Running::start(&bench.program, &args).stop();
    }
    let told = |folder: &str| bench.run(&["did", "--data", folder, "--list"]).out.matches("South door").count();
    for (n, args) in [
        &["did", "--data", &here, "vent", "south-door", "crack"][..],
        &["did", "vent", "--data", &here, "south-door", "half"],
        &["did", "vent", "south-door", "closed", "--data", &here],
    ]
    .into_iter()
    .enumerate()
    {
        let said = bench.run(args);
        assert_eq!(said.code, Some(0), "{args:?}: {}", said.err);
        assert_eq!((told(&here), told(&there)), (n + 1, 0), "{args:?}");
    }
    // A word of a board's own command has the folder behind it, too.
    for args in [&["board", "--data", &here, "list"][..], &["board", "list", "--data", &here]] {
        let said = bench.run(args);
        assert_eq!(said.code, Some(0), "{args:?}: {}", said.err);
    }
    // Named by the environment, and named once more by the line, which wins.
    let run = |args: &[&str]| {
        let mut command = std::process::Command::new(&bench.program);
        command.args(args).env("PROPSTICK_DATA_FOLDER", &there).output().unwrap()
    };
    assert!(run(&["did", "vent", "south-door", "crack"]).status.success());
    assert_eq!((told(&here), told(&there)), (3, 1));
    assert!(run(&["did", "vent", "south-door", "half", "--data", &here]).status.success());
    assert_eq!((told(&here), told(&there)), (4, 1));
    // Named twice in one line, the nearest to what is told counts.
    let said = bench.run(&["did", "--data", &there, "vent", "south-door", "crack", "--data", &here]);
    assert_eq!((said.code, told(&here), told(&there)), (Some(0), 5, 1), "{}", said.err);
}
