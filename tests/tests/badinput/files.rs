//! Data files that are newer than the program, in use, or damaged: said plainly, and never written over.

use std::path::Path;

use propstick_tests::program::{Running, told};
use propstick_tests::recordings::{OUTDOORS, Reporter, TUNNEL, air, recording, seconds};
use propstick_tests::stores;

use super::{Bench, bytes, plain};

const PAGE: usize = 4_096;

/// Lays two days of two boards into the folder `data`.
fn laid_down(bench: &Bench) {
    let (mut tunnel, mut outdoors) = (Reporter::new(TUNNEL, 1, 12), Reporter::new(OUTDOORS, 1, 12));
    let mut all = Vec::new();
    for at in (seconds("2026-03-10T00:00:00Z")..seconds("2026-03-12T00:00:00Z")).step_by(300) {
        let t = 8.0 + (at % 40_000) as f64 / 10_000.0;
        all.extend(tunnel.sample(at, air(t, 90.0)));
        all.extend(outdoors.sample(at, air(t - 3.0, 80.0)));
    }
    let recording = bench.file("recording.jsonl", &recording(&all));
    let out = bench.run(&["replay", &recording, "--into", &bench.text("data"), "--garden", &bench.text("garden.toml")]);
    assert!(out.status.success(), "{}", told(&out));
}

/// Copies the folder `data` to one of another name.
fn copied(bench: &Bench, name: &str) -> std::path::PathBuf {
    let to = bench.path(name);
    std::fs::create_dir(&to).unwrap();
    for entry in std::fs::read_dir(bench.path("data")).unwrap() {
        let entry = entry.unwrap();
        std::fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
    to
}

#[test]
fn end_leaves_everything_in_the_one_file() {
    let Some(bench) = Bench::new() else { return };
    laid_down(&bench);
    // Whoever copies readings.db alone has all of it.
    let readings = |file: &Path| stores::count(file, "SELECT count(*) FROM reading").unwrap();
    std::fs::create_dir(bench.path("alone")).unwrap();
    let alone = bench.path("alone/readings.db");
    std::fs::copy(bench.path("data/readings.db"), &alone).unwrap();
    assert_eq!(readings(&alone), 2 * 2 * 576);

    let house = Running::start(&bench.program, &plain(&bench.serve("data")));
    let message = ("site/3/air".to_owned(), b"{\"t\": 7.5, \"rh\": 81}".to_vec(), false);
    propstick_tests::publisher::publish(house.mqtt.unwrap(), "stick", &[message]);
    house.ask("boards");
    house.stop();
    std::fs::copy(bench.path("data/readings.db"), &alone).unwrap();
    assert_eq!(readings(&alone), 2 * 2 * 576 + 2);
}

#[test]
fn newer_file_than_the_program_is_refused_by_every_command_and_left_as_it_is() {
    let Some(bench) = Bench::new() else { return };
    laid_down(&bench);
    for name in ["readings.db", "garden.db"] {
        let folder = copied(&bench, &format!("newer-{name}"));
        let file = folder.join(name);
        rusqlite::Connection::open(&file).unwrap().pragma_update(None, "user_version", 99).unwrap();
        let before = bytes(&file);
        let data = folder.to_str().unwrap().to_owned();
        let serve = bench.serve(&format!("newer-{name}"));
        let mut commands = vec![plain(&serve), vec!["now", "--data", &data], vec!["check", "--data", &data]];
        if name == "garden.db" {
            commands.push(vec!["board", "--data", &data, "list"]);
        }
        for command in commands {
            let out = bench.run(&command);
            let said = told(&out);
            assert_eq!(out.status.code(), Some(2), "{command:?}: {said}");
            for part in [name, "99", "newer Propstick", "knows up to"] {
                assert!(said.contains(part), "{part} is missing: {command:?}: {said}");
            }
            assert!(bytes(&file) == before, "{command:?} changed {name}");
        }
    }
}

#[test]
fn folder_in_use_is_said_to_be_in_use_and_goes_on_undisturbed() {
    let Some(bench) = Bench::new() else { return };
    laid_down(&bench);
    let house = Running::start(&bench.program, &plain(&bench.serve("data")));
    let out = bench.run(&plain(&bench.serve("data")));
    let said = told(&out);
    assert_eq!(out.status.code(), Some(1), "{said}");
    assert!(said.contains("data") && said.contains("another Propstick is using this data folder"), "{said}");
    assert_eq!(house.ask("health")["status"], "green");
    assert!(bench.path("data/owner.address").is_file(), "the owner's note is still there");
    house.stop();
}

#[test]
fn damaged_file_is_named_in_plain_words_and_never_written_over_or_deleted() {
    let Some(bench) = Bench::new() else { return };
    laid_down(&bench);
    for name in ["readings.db", "garden.db"] {
        let whole = bytes(&bench.path("data").join(name)).unwrap();
        let zeroed = |page: usize| {
            let mut damaged = whole.clone();
            damaged[page * PAGE..(page + 1) * PAGE].fill(0);
            damaged
        };
        let cut = |to: usize| whole[..to].to_vec();
        let damages = [
            ("first page of zeros", zeroed(0)),
            ("cut in half", cut(whole.len() / PAGE / 2 * PAGE)),
            ("rubbish", vec![b'x'; 3 * PAGE]),
        ];
        for (k, (what, damaged)) in damages.into_iter().enumerate() {
            let folder_name = format!("damaged-{name}-{k}");
            let folder = copied(&bench, &folder_name);
            let file = folder.join(name);
            std::fs::write(&file, &damaged).unwrap();
            let data = folder.to_str().unwrap().to_owned();
            for command in
                [plain(&bench.serve(&folder_name)), vec!["now", "--data", &data], vec!["check", "--data", &data]]
            {
                let out = bench.run(&command);
                let said = told(&out);
                assert_eq!(out.status.code(), Some(1), "{what}, {command:?}: {said}");
                for part in [name, "damaged", "Nothing was changed", "backup"] {
                    assert!(said.contains(part), "{part} is missing: {what}, {command:?}: {said}");
                }
                assert!(bytes(&file).as_ref() == Some(&damaged), "{what}: {command:?} changed {name}");
            }
        }
    }
}

#[test]
fn page_lost_in_the_midst_of_the_readings_is_found_by_check_and_what_is_left_stays() {
    let Some(bench) = Bench::new() else { return };
    laid_down(&bench);
    let whole = bytes(&bench.path("data/readings.db")).unwrap();
    for page in 1..whole.len() / PAGE {
        let mut damaged = whole.clone();
        if damaged[page * PAGE..(page + 1) * PAGE].iter().all(|b| *b == 0) {
            continue;
        }
        damaged[page * PAGE..(page + 1) * PAGE].fill(0);
        let name = format!("lost-{page}");
        let folder = copied(&bench, &name);
        let file = folder.join("readings.db");
        std::fs::write(&file, &damaged).unwrap();
        let out = bench.run(&["check", "--data", folder.to_str().unwrap()]);
        let said = told(&out);
        assert_eq!(out.status.code(), Some(1), "page {page}: {said}");
        assert!(said.contains("readings.db") && said.contains("damaged"), "page {page}: {said}");

        // The program may run on what is left, or say that it cannot; it never begins the file anew.
        match Running::try_start(&bench.program, &plain(&bench.serve(&name))) {
            Ok(house) => {
                house.get("structures/tunnel/readings?quantity=air-temperature&from=2026-03-10T00:00:00Z&to=2026-03-12T00:00:00Z");
                house.get("structures/tunnel/days?from=2026-03-10&to=2026-03-11");
                house.get("boards");
                house.kill();
            }
            Err((code, said)) => {
                assert_eq!(code, Some(1), "page {page}: {said}");
                assert!(said.contains("readings.db") && said.contains("damaged"), "page {page}: {said}");
                assert!(!said.contains("panicked"), "{said}");
            }
        }
        let after = bytes(&file).unwrap();
        let kept = (0..whole.len() / PAGE)
            .filter(|k| after[k * PAGE..(k + 1) * PAGE] == damaged[k * PAGE..(k + 1) * PAGE])
            .count();
        assert!(
            after.len() >= damaged.len() && kept + 6 > whole.len() / PAGE,
            "page {page}: {kept} pages are left as they were"
        );
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
