//! Kin of the page's troubles: other encodings, line ends, separators, times and damage; and files that are none.

use propstick_tests::program::told;

use super::{Place, aside, sample};

const TEXT: &str = "time_utc,T (°C)\n2026-02-01 10:00,4.5\n2026-02-01 10:10,-0.5\n2026-02-01 10:20,5.25\n";

fn expected() -> Vec<(String, Vec<f64>)> {
    super::rows(&[
        ("2026-02-01T10:00:00Z", &[4.5]),
        ("2026-02-01T10:10:00Z", &[-0.5]),
        ("2026-02-01T10:20:00Z", &[5.25]),
    ])
}

#[test]
fn encodings_line_ends_and_separators_lead_to_the_same_rows() {
    let Some(place) = Place::new() else { return };
    let utf16 = |big: bool| {
        let mark = std::iter::once(0xfeff_u16);
        let units = mark.chain(TEXT.encode_utf16());
        units.flat_map(|u| if big { u.to_be_bytes() } else { u.to_le_bytes() }).collect::<Vec<u8>>()
    };
    let latin: Vec<u8> = TEXT.chars().map(|c| c as u32 as u8).collect();
    let quoted = "\"time_utc\";\"T (°C)\"\n\"2026-02-01 10:00\";\"4,5\"\n\"2026-02-01 10:10\";\"-0,5\"\n\"2026-02-01 10:20\";\"5,25\"\n";
    let commas = "time_utc,T (°C)\n2026-02-01 10:00,\"4,5\"\n2026-02-01 10:10,\"-0,5\"\n2026-02-01 10:20,\"5,25\"\n";
    for (what, bytes) in [
        ("as it is", TEXT.as_bytes().to_vec()),
        ("UTF-16, little end first", utf16(false)),
        ("UTF-16, big end first", utf16(true)),
        ("windows-1252", latin),
        ("CRLF", TEXT.replace('\n', "\r\n").into_bytes()),
        ("CR alone", TEXT.replace('\n', "\r").into_bytes()),
        ("tabs", TEXT.replace(',', "\t").into_bytes()),
        ("bars", TEXT.replace(',', "|").into_bytes()),
        ("trailing separators", TEXT.replace('\n', ",\n").into_bytes()),
        ("quotes, semicolons and decimal commas", quoted.as_bytes().to_vec()),
        ("decimal commas in quotes between commas", commas.as_bytes().to_vec()),
        ("no end of the last line", TEXT.trim_end().as_bytes().to_vec()),
        ("exponents and plus signs", TEXT.replace("4.5", "+45e-1").into_bytes()),
        (
            "value before time",
            "T (°C),time_utc\n4.5,2026-02-01 10:00\n-0.5,2026-02-01 10:10\n5.25,2026-02-01 10:20\n".into(),
        ),
    ] {
        assert_eq!(sample(&place.looked_at(&bytes, &[])), expected(), "{what}");
    }
}

#[test]
fn times_of_every_kind_are_the_instants_they_name() {
    let Some(place) = Place::new() else { return };
    let first = |rows: &[&str], more: &[&str]| {
        let file = format!("time;T (°C)\n{};1\n{};2\n", rows[0], rows[1]);
        sample(&place.looked_at(file.as_bytes(), more)).into_iter().map(|row| row.0).collect::<Vec<_>>()
    };
    for (rows, more, instants) in [
        (
            ["31/01/26 12:00:00 AM", "31/01/26 12:30:00 PM"],
            ["--zone", "UTC"],
            ["2026-01-31T00:00:00Z", "2026-01-31T12:30:00Z"],
        ),
        (["13.2.2026 7:05", "13.2.2026 7:15"], ["--zone", "+02:00"], ["2026-02-13T05:05:00Z", "2026-02-13T05:15:00Z"]),
        (["2026-02-13 23:50", "2026-02-13 24:00"], ["--zone", "UTC"], ["2026-02-13T23:50:00Z", "2026-02-14T00:00:00Z"]),
        (
            ["2026-02-13T10:00:00+01:00", "2026-02-13T10:10:00+01:00"],
            ["--label", "x"],
            ["2026-02-13T09:00:00Z", "2026-02-13T09:10:00Z"],
        ),
        (["1771000000", "1771000600"], ["--label", "x"], ["2026-02-13T16:26:40Z", "2026-02-13T16:36:40Z"]),
        (["1771000000000", "1771000600000"], ["--label", "x"], ["2026-02-13T16:26:40Z", "2026-02-13T16:36:40Z"]),
        (
            ["2026-07-13 10:00", "2026-07-13 10:10"],
            ["--zone", "Europe/Dublin"],
            ["2026-07-13T09:00:00Z", "2026-07-13T09:10:00Z"],
        ),
    ] {
        assert_eq!(first(&rows, &more), instants, "{rows:?}");
    }
}

#[test]
fn damage_in_one_place_costs_that_place_alone() {
    let Some(place) = Place::new() else { return };
    let file = b"time_utc,T (\xc2\xb0C),RH (%)\n2026-02-01 10:00,4.5,91\n\"2026-02-01 10:10,4.6,92\n2026-02-01 10:20,4.7,nan\ntime_utc,T (\xc2\xb0C),RH (%)\n\
        2026-02-01 10:30,-127,93\n0102/2026 10:40,4.9,94\n2026-02-01 10:50,4.9,94\n2026-02-01 11:00,5.0,9\0\x004\n2026-02-01 11:10,5.1,95\n2026-02-01 11:2";
    let looked = place.looked_at(file, &[]);
    let report = &looked["report"];
    let n = |k: usize| report["series"][k]["n"].as_u64().unwrap();
    assert_eq!((n(0), n(1)), (5, 4), "{report:#}");
    let found = aside(&looked);
    for wanted in [("unbalanced", 1, 3), ("out-of-range", 1, 6)] {
        assert!(found.contains(&(wanted.0.to_owned(), wanted.1, wanted.2)), "{wanted:?} in {found:?}");
    }
    let no_time = found.iter().find(|(why, _, _)| why == "no-time").unwrap();
    assert_eq!((no_time.1, no_time.2), (3, 5), "the header again, a slash missing, a row cut off: {found:?}");
}

#[test]
fn file_that_is_none_says_what_was_tried_and_what_is_missing() {
    let Some(place) = Place::new() else { return };
    let picture: Vec<u8> = (0..5_000_u32).map(|k| (k * k % 253) as u8).collect();
    for (what, bytes) in [
        ("empty", Vec::new()),
        ("a header alone", b"time_utc,T (C)\n".to_vec()),
        ("prose", b"Dear diary, the tunnel was wet today.\nI opened the door.\n".to_vec()),
        ("a picture", picture),
    ] {
        let file = place.write("none.csv", &bytes);
        let (code, says) = place.take_in(&file, &[]).unwrap_err();
        assert_eq!(code, Some(2), "{what}: {says}");
        assert!(says.contains("missing:") || says.contains("not one reading"), "{what}: {says}");
    }
    let good = place.write("good.csv", TEXT.as_bytes());
    for (what, args) in [
        ("a folder", vec!["import", place.data().to_str().unwrap()]),
        ("an absent file", vec!["import", "/nowhere/at/all.csv"]),
        ("no file", vec!["import"]),
        ("a column that is not there", vec!["import", "--dry-run", "--unit", "Tmp=Cel", good.to_str().unwrap()]),
        ("a wrong zone", vec!["import", "--zone", "Dublin", "x.csv"]),
    ] {
        let done = place.run(&args);
        assert_eq!(done.status.code(), Some(2), "{what}: {}", told(&done));
        assert!(!told(&done).is_empty(), "{what}");
    }
}

#[test]
fn mapping_that_does_not_fit_names_the_column_and_what_there_is() {
    let Some(place) = Place::new() else { return };
    let file = place.write("söuth bed.csv", TEXT.as_bytes());
    let mapping = "name = \"ash\"\n[time]\nat = \"Zeit\"\norder = \"ymd\"\nzone = \"UTC\"\n[[field]]\ncolumn = \"T (°C)\"\nquantity = \"air-temperature\"\nunit = \"Cel\"\n";
    let toml = place.write("ash.toml", mapping.as_bytes());
    let with = |toml: &std::path::Path| {
        let done = place.run(&["import", "--as", toml.to_str().unwrap(), file.to_str().unwrap()]);
        (done.status.code(), told(&done), String::from_utf8(done.stdout).unwrap())
    };
    let (code, says, _) = with(&toml);
    assert!(code == Some(2) && says.contains("Zeit") && says.contains("time_utc"), "{says}");
    let unknown = place.write("wrong.toml", mapping.replace("zone", "region").as_bytes());
    let (code, says, _) = with(&unknown);
    assert!(code == Some(2) && says.contains("region"), "{says}");
    let right = place.write("right.toml", mapping.replace("Zeit", "time_utc").as_bytes());
    let (code, says, out) = with(&right);
    assert!(code == Some(0) && out.contains("Taken in as import 1"), "{says}{out}");
    // Twice in one command: the second time it is known.
    let done = place.run(&["import", "--as", right.to_str().unwrap(), file.to_str().unwrap(), file.to_str().unwrap()]);
    assert_eq!(done.status.code(), Some(2));
    assert!(told(&done).contains("2 of 2 files were not taken in"), "{}", told(&done));
}
