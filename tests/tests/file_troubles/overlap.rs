//! Trouble 17: the same months again. Files that overlap, contradict each other, or were read by the wrong clock; and one of our own again.

use propstick_tests::program::told;
use propstick_tests::stores;
use serde_json::{Value, json};

use super::Place;

/// A reading each hour of the days from `from` to `to`, counted from the first of January 2026, without a word of a zone.
fn months(from: u32, to: u32, of: impl Fn(u32) -> f64) -> String {
    let mut text = "time,T (°C)\n".to_owned();
    for day in from..to {
        let (month, date) = if day < 31 { (1, day + 1) } else { (2, day - 30) };
        for hour in 0..24 {
            text += &format!("2026-{month:02}-{date:02} {hour:02}:00,{}\n", of(day * 24 + hour));
        }
    }
    text
}

fn warm(k: u32) -> f64 {
    f64::from(k % 97) / 8.0
}

/// What stands in both stores once everything is worked out.
fn settled(place: &Place) -> (Vec<String>, Vec<String>) {
    place.settle();
    let data = place.data();
    let readings = stores::readings(&data).unwrap();
    // When a file was taken in is no figure; nor is the mere name of a series of which nothing is left: it stays a while.
    let readings = readings.into_iter().filter(|row| !row.starts_with("series "));
    let made_at = |row: String| -> String {
        let mut cells: Vec<&str> = row.split(' ').collect();
        if ["reading", "variant"].contains(&cells[0]) {
            cells.remove(cells.len() - 2);
        }
        cells.join(" ")
    };
    (readings.map(made_at).collect(), stores::hours(&data).unwrap())
}

fn days(place: &Place) -> String {
    let done = place.run(&["export", "days", "--base", "5"]);
    assert!(done.status.success(), "{}", told(&done));
    String::from_utf8(done.stdout).unwrap()
}

fn exported(place: &Place) -> String {
    let done = place.run(&["export", "readings"]);
    assert!(done.status.success(), "{}", told(&done));
    String::from_utf8(done.stdout).unwrap()
}

fn listed(place: &Place) -> Vec<Value> {
    let done = place.run(&["import", "--list", "--json"]);
    assert!(done.status.success(), "{}", told(&done));
    String::from_utf8(done.stdout).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn take_back(place: &Place, number: u64) {
    let done = place.run(&["import", "--take-back", &number.to_string()]);
    assert_eq!((done.status.code(), told(&done).as_str()), (Some(0), ""));
}

#[test]
fn trouble_17_january_then_half_of_it_again_with_february() {
    let Some(place) = Place::new() else { return };
    let nothing = (settled(&place), days(&place), exported(&place));
    // Dublin keeps Greenwich time all through the winter, so that nothing has to be asked.
    let first = place.write("january.csv", months(0, 31, warm).as_bytes());
    let second = place.write("february.csv", months(14, 59, warm).as_bytes());
    let stored = place.take_in(&first, &[]).unwrap()["stored"].clone();
    assert_eq!((&stored["readings"], &stored["known_same"]), (&json!(31 * 24), &json!(0)));
    let january = (settled(&place), days(&place));
    let stored = place.take_in(&second, &[]).unwrap()["stored"].clone();
    assert_eq!((&stored["known_same"], &stored["known_other"]), (&json!(17 * 24), &json!(0)), "{stored}");
    let both = days(&place);
    // The double methods take the next day's lowest: those of 31 January wait for February.
    let before: Vec<&str> = january.1.lines().collect();
    let after: Vec<&str> = both.lines().collect();
    assert_eq!(after[..31], before[..31], "the days of January count once");
    let known = |line: &str| line.split(',').take(18).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(known(after[31]), known(before[31]));
    assert_eq!(both.lines().count(), 1 + 31 + 28);
    let readings = exported(&place);
    assert_eq!(readings.lines().count(), 1 + 59 * 24, "one row an hour, not two");

    // January by another clock: refused while the first reading of it stands, and for its reason.
    let (code, says) = place.take_in(&first, &["--zone", "Europe/Rome"]).unwrap_err();
    assert_eq!(code, Some(2), "{says}");
    assert!(says.contains("already as import 1 (january.csv, times in Europe/Dublin)"), "{says}");
    assert!(says.contains("propstick import --take-back 1"), "{says}");
    assert_eq!(listed(&place).len(), 2, "a refused file leaves nothing behind");

    // Each taken back, the figures are those of what is left.
    take_back(&place, 2);
    assert_eq!((settled(&place), days(&place)), january);
    take_back(&place, 1);
    assert_eq!((settled(&place), days(&place), exported(&place)), nothing);
    assert!(listed(&place).is_empty());
    let taken = place.take_in(&first, &["--zone", "Europe/Rome"]).unwrap();
    assert_eq!((&taken["first"], &taken["zone"]), (&json!("2025-12-31T23:00:00Z"), &json!("Europe/Rome")));
    assert!(taken["id"].as_u64().unwrap() > 2, "a number is never used again: {taken}");
}

#[test]
fn trouble_17_contradiction_is_reported_and_the_earlier_import_counts() {
    let Some(place) = Place::new() else { return };
    let first = place.write("first.csv", months(0, 3, warm).as_bytes());
    // The second day again, two degrees warmer in the afternoon.
    let other = months(1, 2, |k| if k % 24 >= 12 { warm(k) + 2.0 } else { warm(k) });
    let other = place.write("other.csv", other.as_bytes());
    place.take_in(&first, &[]).unwrap();
    let before = days(&place);
    let done = place.run(&["import", "--yes", "--name", "ash", other.to_str().unwrap()]);
    let out = String::from_utf8(done.stdout.clone()).unwrap();
    assert!(done.status.success(), "{}", told(&done));
    assert!(out.contains("12 readings were known already: they add nothing"), "{out}");
    assert!(out.contains("12 readings contradict what was known: what came first counts"), "{out}");
    assert_eq!(days(&place), before, "the earlier one counts");
    // Without the first, the second counts for the hours that it has.
    take_back(&place, 1);
    let readings = exported(&place);
    assert_eq!(readings.lines().count(), 1 + 24, "{readings}");
    assert_eq!(readings.lines().last().unwrap(), format!("2026-01-02T23:00:00Z,{}", warm(47) + 2.0));
}

#[test]
fn same_file_twice_in_one_command_is_taken_in_once() {
    let Some(place) = Place::new() else { return };
    let file = place.write("Nordbeet Übersicht 3.csv", months(0, 2, warm).as_bytes());
    // The same bytes under another name are the same file.
    let copy = place.write("copy.csv", months(0, 2, warm).as_bytes());
    let [file, copy] = [&file, &copy].map(|path| path.to_str().unwrap());
    let done = place.run(&["import", "--json", "--yes", "--name", "ash", file, file, copy]);
    assert_eq!(done.status.code(), Some(2), "{}", told(&done));
    assert_eq!(told(&done).matches("the very same file is in already as import 1").count(), 2, "{}", told(&done));
    assert!(told(&done).contains("2 of 3 files were not taken in"), "{}", told(&done));
    assert_eq!(String::from_utf8_lossy(&done.stdout).lines().count(), 1, "one was");
    let imports = listed(&place);
    assert_eq!(imports.len(), 1, "{imports:?}");
    assert_eq!(
        (&imports[0]["file"], &imports[0]["readings"]),
        (&json!("Nordbeet Übersicht 3.csv"), &json!(48)),
        "{imports:?}"
    );
    assert_eq!(imports[0]["devices"], json!(["urn:propstick:ash"]));
}
