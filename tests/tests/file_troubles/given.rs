//! What was given is wrong: mappings that do not fit, files that are none, options that do not go together. Exit code 2, in words that
//! name the place, and nothing is stored.

use std::path::Path;

use propstick_tests::program::{run, told};

use super::Place;

const FILE: &str = "time_utc,T (°C)\n2026-02-01 10:00,4.5\n2026-02-01 10:10,4.6\n";

const MAPPING: &str = "name = \"ash\"\n[time]\nat = \"time_utc\"\norder = \"ymd\"\nzone = \"UTC\"\n[[field]]\ncolumn = \"T (°C)\"\n\
    quantity = \"air-temperature\"\nunit = \"Cel\"\n";

#[test]
fn mapping_that_does_not_fit_says_which_key_and_what_is_allowed_or_there() {
    let Some(place) = Place::new() else { return };
    let file = place.write("ash.csv", FILE.as_bytes());
    for (right, wrong, words) in [
        ("\"time_utc\"", "\"Zeit\"", &["time.at", "no column \"Zeit\" in line 1", "\"time_utc\", \"T (°C)\""][..]),
        ("\"T (°C)\"", "\"Temp\"", &["field[0].column", "no column \"Temp\"", "\"T (°C)\""]),
        ("\"time_utc\"", "5", &["time.at: 5", "2 columns"]),
        ("\"ash\"\n", "\"ash\"\nheader = 9\n", &["header: line 9", "3 lines"]),
        ("\"ash\"\n", "\"ash\"\nseparator = \";\"\n", &["time.at", "\"time_utc,T (°C)\""]),
        ("\"ash\"\n", "\"ash\"\nseparator = \"x\"\n", &["separator: 'x'", "\";\""]),
        ("\"ash\"", "\"Ash tree\"", &["name: \"Ash tree\"", "a-z"]),
        ("\"Cel\"", "\"%RH\"", &["field[0].unit: \"%RH\"", "Cel, K, degF"]),
        ("\"Cel\"", "\"K\"", &["not one reading", "2 x out-of-range", "line 2: 4.5"]),
        ("\"ymd\"", "\"dmy\"", &["not one reading", "2 x no-time", "line 2: 2026-02-01 10:00"]),
        ("\"ymd\"", "\"ydm\"", &["line 4", "`ydm`", "`dmy`"]),
        ("\"air-temperature\"", "\"warmth\"", &["line 8", "\"warmth\"", "leaf-wetness"]),
        ("\"UTC\"", "\"Dublin\"", &["\"Dublin\"", "Europe/Dublin"]),
        ("zone", "region", &["line 5", "unknown field `region`", "`zone`"]),
        ("unit =", "einheit =", &["line 9", "unknown field `einheit`", "`unit`"]),
        ("[[field]]", "[[feld]]", &["line 6", "unknown field `feld`", "`field`"]),
        ("\"Cel\"\n", "\"Cel\"\nkind = \"sum\"\n", &["field[0].kind: \"sum\"", "mean"]),
        ("[time]", "[time", &["line 2"]),
    ] {
        assert!(MAPPING.contains(right), "{right}");
        let mapping = place.write("ash.toml", MAPPING.replacen(right, wrong, 1).as_bytes());
        let args = ["import", "--as", mapping.to_str().unwrap(), file.to_str().unwrap()];
        let done = place.run(&args);
        let says = told(&done);
        assert_eq!((done.status.code(), done.stdout.len()), (Some(2), 0), "{wrong}: {says}");
        for word in words {
            assert!(says.contains(word), "{wrong}: {word:?} in {says}");
        }
    }
    let listed = place.run(&["import", "--list", "--json"]);
    assert!(listed.stdout.is_empty(), "nothing was stored");
}

#[test]
fn options_and_paths_that_are_wrong_are_refused_with_their_reason() {
    let Some(place) = Place::new() else { return };
    let file = place.write("ash.csv", FILE.as_bytes());
    let (file, folder) = (file.to_str().unwrap(), place.data());
    let folder = folder.to_str().unwrap();
    let absent = place.path("absent.csv");
    let absent = absent.to_str().unwrap();
    let good = ["import", "--yes", "--name", "ash"];
    for (args, words) in [
        (vec![folder], "it is not a file"),
        (vec![absent], "cannot be read"),
        (vec!["--as", folder, file], "cannot be read"),
        (vec!["--as", file, file], "line 1"),
        (vec!["--zone", "Dublin", file], "Europe/Dublin"),
        (vec!["--order", "ydm", file], "ymd, dmy or mdy"),
        (vec!["--stamp", "middle", file], "start or end"),
        (vec!["--unit", "T (°C)", file], "COLUMN=VALUE"),
        (vec!["--unit", "Temp=Cel", file], "the file has T (°C), time_utc"),
        (vec!["--order", "dmy", file], "a row whose time can be read"),
        (vec!["--quantity", "T (°C)=rain", file], "°C cannot be read as rain"),
        (vec!["--quantity", "T (°C)=warmth", file], "\"warmth\" is no quantity; there are: air-temperature"),
        (vec!["--unit", "time_utc=Cel", file], "--unit \"time_utc=Cel\" cannot be followed: it is read as the time"),
        (vec!["--time", "T (°C)", file], "no whole times stand in that column"),
        (vec!["--time", "Temp", file], "the file has T (°C), time_utc"),
        (vec!["--list", file], "cannot be used with"),
        (vec![], "required"),
    ] {
        let done = place.run(&[&good[..], &args].concat());
        assert_eq!(done.status.code(), Some(2), "{args:?}: {}", told(&done));
        assert!(told(&done).contains(words), "{args:?}: {words:?} in {}", told(&done));
    }
    // No word for a unit that is known: the column is left out, and what was said of it is not passed over.
    let bare = place.write("bare.csv", b"time_utc,Temp,RH (%)\n2026-02-01 10:00,4.5,90\n2026-02-01 10:10,4.6,91\n");
    let done = place.run(&[&good[..], &["--unit", "Temp=banana", bare.to_str().unwrap()]].concat());
    assert!(done.status.code() == Some(2) && told(&done).contains("banana"), "{}", told(&done));
    for number in ["1", "0", "-1", "x", "99999999999999999999"] {
        let done = place.run(&["import", &format!("--take-back={number}")]);
        assert_eq!(done.status.code(), Some(2), "take-back {number}: {}", told(&done));
    }
    let nowhere = place.path("nowhere");
    let done = run(&place.program, &["import", "--list", "--data", nowhere.to_str().unwrap()]);
    assert!(done.status.code() == Some(2) && !nowhere.exists(), "{}", told(&done));
    assert!(place.run(&["import", "--list", "--json"]).stdout.is_empty(), "nothing was stored");
}

#[test]
fn one_bad_file_among_good_ones_stops_none_of_them() {
    let Some(place) = Place::new() else { return };
    let sound = place.write("Südbeet – neu.csv", FILE.as_bytes());
    let other = place.write("other.csv", FILE.replace("02-01", "02-02").as_bytes());
    let bad = place.write("bad.csv", b"Dear diary\nit rained\n");
    let empty = place.write("empty.csv", b"");
    let paths = [&bad, &sound, &empty, &other].map(|path| path.to_str().unwrap());
    let done = place.run(&[&["import", "--yes", "--json", "--name", "ash"], &paths[..]].concat());
    let says = told(&done);
    assert_eq!(done.status.code(), Some(2), "{says}");
    assert!(says.contains("2 of 4 files were not taken in") && says.contains("it is empty"), "{says}");
    let lines = String::from_utf8(done.stdout).unwrap();
    let files: Vec<String> = lines
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap()["file"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(files, ["Südbeet – neu.csv", "other.csv"]);
    // A look alone stores nothing, and a mapping written down is never written over.
    let mapping = place.path("written.toml");
    let asked = ["import", "--write-mapping", mapping.to_str().unwrap(), paths[1]];
    let written = place.run(&asked);
    assert_eq!(written.status.code(), Some(0), "{}", told(&written));
    let before = std::fs::read(&mapping).unwrap();
    let again = place.run(&asked);
    assert_eq!((again.status.code(), std::fs::read(&mapping).unwrap()), (Some(2), before), "{}", told(&again));
    place.looked_at(FILE.replace("02-01", "02-03").as_bytes(), &[]);
    let listed = place.run(&["import", "--list", "--json"]);
    assert_eq!(String::from_utf8(listed.stdout).unwrap().lines().count(), 2);
}

#[test]
fn file_that_may_not_be_read_is_named() {
    let Some(place) = Place::new() else { return };
    let file = place.write("locked.csv", FILE.as_bytes());
    let locked = run(Path::new("chmod"), &["000", file.to_str().unwrap()]);
    assert!(locked.status.success());
    if std::fs::File::open(&file).is_ok() {
        propstick_tests::data::skipped("who runs this test may read every file");
        return;
    }
    let (code, says) = place.take_in(&file, &[]).unwrap_err();
    assert!(code == Some(2) && says.contains(&format!("{}: cannot be read", file.display())), "{says}");
}
