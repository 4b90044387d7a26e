//! More kin: cells, times and lines that are odd, each alone in a file that is otherwise sound.

use propstick_tests::program::told;
use serde_json::Value;

use super::{Place, aside, sample};

const HEAD: &str = "time_utc,T (°C)\n";

/// `n` sound rows, ten minutes apart from midnight of a day in February 2026 on.
fn sound(day: u32, n: u32) -> String {
    (0..n).map(|k| format!("2026-02-{day:02} {:02}:{}0,4.{}\n", k / 6, k % 6, k % 10)).collect()
}

fn values(place: &Place, cells: &[&str]) -> (Vec<f64>, Vec<(String, u64, u64)>) {
    let mut text = HEAD.to_owned();
    for (k, cell) in cells.iter().enumerate() {
        text += &format!("2026-02-01 {:02}:{}0,{cell}\n", k / 6, k % 6);
    }
    let looked = place.looked_at(text.as_bytes(), &[]);
    (sample(&looked).into_iter().map(|row| row.1[0]).collect(), aside(&looked))
}

fn bad(why: &str, times: u64, line: u64) -> Vec<(String, u64, u64)> {
    vec![(why.to_owned(), times, line)]
}

#[test]
fn number_however_written_is_that_number_or_none() {
    let Some(place) = Place::new() else { return };
    let (read, set_aside) = values(&place, &["-0", "4.5e0", "45E-1", " +4.5 ", ".5"]);
    assert_eq!((read, set_aside), (vec![0.0, 4.5, 4.5, 4.5, 0.5], vec![]), "negative zero is nought degrees");
    // A spreadsheet has made a date of 9.10; a value without end; two values in one cell.
    for cell in ["09. Okt", "1e400", "4.5 4.6", "0x10", "1'000", "4.5°"] {
        let (read, set_aside) = values(&place, &["4.5", cell, "4.6"]);
        assert_eq!((read, set_aside), (vec![4.5, 4.6], bad("not-a-number", 1, 3)), "{cell}");
    }
    // Never a number that is no air temperature on earth, and never 253 for 25,3.
    let (read, set_aside) = values(&place, &["21.4", "-127", "85.0", "21.5"]);
    assert_eq!((read, set_aside), (vec![21.4, 21.5], bad("out-of-range", 2, 3)));
    let commas =
        "time_utc;T (°C)\n2026-02-01 10:00;25,3\n2026-02-01 10:10;25.4\n2026-02-01 10:20;25,5\n2026-02-01 10:30;25,6\n";
    let looked = place.looked_at(commas.as_bytes(), &[]);
    let read: Vec<f64> = sample(&looked).into_iter().map(|row| row.1[0]).collect();
    assert_eq!(
        (read, aside(&looked)),
        (vec![25.3, 25.5, 25.6], bad("not-a-number", 1, 3)),
        "one sign for decimals in a file"
    );
    // What stands for no value is told from what should be one.
    let looked = place.looked_at(
        (HEAD.to_owned() + "2026-02-01 10:00,4\n2026-02-01 10:10,nan\n2026-02-01 10:20,\n2026-02-01 10:30,5\n")
            .as_bytes(),
        &[],
    );
    assert_eq!((&looked["report"]["no_value"], &looked["report"]["readings"]), (&2.into(), &2.into()), "{looked:#}");
}

#[test]
fn time_that_is_none_costs_its_row_and_never_becomes_another() {
    let Some(place) = Place::new() else { return };
    for (odd, why) in [
        ("2026-02-30 00:20", "no-time"),
        ("2026-02-01 24:10", "no-time"),
        ("2026-02-01 00:60", "no-time"),
        ("2026-02-01 13:20 PM", "no-time"),
        ("1899-12-31 23:50", "no-time"),
        ("2199-02-01 00:20", "future"),
        ("", "no-time"),
    ] {
        let text = format!("{HEAD}2026-02-01 00:00,1\n2026-02-01 00:10,2\n{odd},3\n2026-02-01 00:30,4\n");
        let looked = place.looked_at(text.as_bytes(), &[]);
        let read: Vec<f64> = sample(&looked).into_iter().map(|row| row.1[0]).collect();
        assert_eq!((read, aside(&looked)), (vec![1.0, 2.0, 4.0], bad(why, 1, 4)), "{odd:?}");
    }
    // The leap second is counted as a row whose time cannot be kept; its neighbours are what they are.
    let leap = format!("{HEAD}2016-12-31 23:59:50,1\n2016-12-31 23:59:60,2\n2017-01-01 00:00:10,3\n");
    let looked = place.looked_at(leap.as_bytes(), &[]);
    let instants: Vec<String> = sample(&looked).into_iter().map(|row| row.0).collect();
    assert_eq!(instants, ["2016-12-31T23:59:50Z", "2017-01-01T00:00:10Z"]);
    assert_eq!(aside(&looked), bad("no-time", 1, 3));
}

#[test]
fn twelve_hour_clock_runs_through_midnight_and_noon() {
    let Some(place) = Place::new() else { return };
    let times = ["11:50 PM", "12:00 AM", "12:10 AM", "11:50 am", "12:00 p.m.", "12:10 PM", "01:00 PM"];
    let dates = [13, 14, 14, 14, 14, 14, 14];
    let mut text = "time,T (°C)\n".to_owned();
    for (time, date) in times.iter().zip(dates) {
        text += &format!("02/{date}/26 {time},4\n");
    }
    let file = place.write("clock.csv", text.as_bytes());
    place.take_in(&file, &["--zone", "UTC"]).unwrap();
    let out = String::from_utf8(place.run(&["export", "readings"]).stdout).unwrap();
    let read: Vec<&str> = out.lines().skip(1).map(|line| &line[8..16]).collect();
    assert_eq!(read, ["13T23:50", "14T00:00", "14T00:10", "14T11:50", "14T12:00", "14T12:10", "14T13:00"]);
    // Two-digit years are of this century: one that would be to come is refused, not put into the last.
    let last_century = place.write("old.csv", b"time,T (C)\n31.12.99 09:00,4.1\n31.12.99 09:10,4.2\n");
    let (code, says) = place.take_in(&last_century, &["--zone", "UTC", "--unit", "T (C)=Cel"]).unwrap_err();
    assert!(code == Some(2) && says.contains("lies between 1900 and now"), "{says}");
}

#[test]
fn unbalanced_quote_costs_one_row_wherever_it_stands() {
    let Some(place) = Place::new() else { return };
    for (what, before, quoted, after) in [
        ("in the first row", 0, "2026-02-02 00:00,\"4.1", 60),
        ("in the middle", 60, "2026-02-02 00:00,\"4.1", 60),
        ("in the last row", 60, "2026-02-02 00:00,\"4.1", 0),
        ("before the time", 60, "\"2026-02-02 00:00,4.1", 60),
        ("with another in the same row", 60, "\"2026-02-02\" 00:00,\"4.1", 60),
    ] {
        let text = format!("{HEAD}{}{quoted}\n{}", sound(1, before), sound(3, after));
        let looked = place.looked_at(text.as_bytes(), &[]);
        assert_eq!(looked["report"]["readings"], before + after, "{what}: {looked:#}");
        assert_eq!(aside(&looked), bad("unbalanced", 1, u64::from(before) + 2), "{what}");
    }
    // A note that has quotes, separators and doubled quotes is a note.
    let notes = "time_utc,note,T (°C)\n2026-02-01 10:00,\"a \"\"x\"\", b\",1\n2026-02-01 10:10,\"c\",2\n2026-02-01 10:20,bed 12\",3\n";
    let looked = place.looked_at(notes.as_bytes(), &[]);
    assert_eq!((&looked["report"]["readings"], aside(&looked)), (&3.into(), vec![]));
}

#[test]
fn line_that_is_no_row_is_one_line_of_the_report() {
    let Some(place) = Place::new() else { return };
    let zeros = "\0".repeat(100);
    let long = "x".repeat(2_000_000);
    let cut = "2026-02-02 00:0";
    for (what, odd, why, at_end) in [
        ("a remark", "# battery changed", "no-time", false),
        ("the header again", HEAD.trim_end(), "no-time", false),
        ("NUL bytes of a power cut", &zeros, "no-time", false),
        ("a line of two million letters", &long, "long", false),
        ("white space", "  \t ", "blank", false),
        ("a row cut off", cut, "no-time", true),
    ] {
        let after = if at_end { String::new() } else { format!("\n{}", sound(3, 100)) };
        let text = format!("{HEAD}{}{odd}{after}", sound(1, 144) + &sound(2, 144) + &sound(4, 144));
        let looked = place.looked_at(text.as_bytes(), &[]);
        assert_eq!(looked["report"]["readings"], if at_end { 432 } else { 532 }, "{what}");
        let found = aside(&looked);
        assert!(found.len() == 1 && found[0].1 == 1 && found[0].2 == 434, "{what}: {found:?}");
        assert_eq!(found[0].0, why, "{what}");
        assert!(looked.to_string().len() < 20_000, "{what}: the report quotes a little of it");
    }
}

#[test]
fn mixed_line_ends_units_below_the_names_and_a_word_on_the_separator() {
    let Some(place) = Place::new() else { return };
    let mixed = format!("{HEAD}2026-02-01 10:00,1\r\n2026-02-01 10:10,2\n2026-02-01 10:20,3\r2026-02-01 10:30,4\n");
    assert_eq!(place.looked_at(mixed.as_bytes(), &[])["report"]["readings"], 4);
    let units = "time_utc,T,RH\n,°C,%\n2026-02-01 10:00,4.5,91\n2026-02-01 10:10,4.6,92\n";
    assert_eq!(sample(&place.looked_at(units.as_bytes(), &[]))[1].1, [4.6, 92.0]);
    let told = "sep=;\ntime_utc;T (°C)\n2026-02-01 10:00;1,5\n2026-02-01 10:10;2\n";
    assert_eq!(sample(&place.looked_at(told.as_bytes(), &[]))[0].1, [1.5]);
    // Without a mark at its head, and cut in the middle of a letter of two bytes.
    let wide: Vec<u8> = (HEAD.to_owned() + &sound(1, 20)).encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert_eq!(place.looked_at(&wide, &[])["report"]["readings"], 20);
    let cut = place.looked_at(&wide[..wide.len() - 3], &[]);
    assert_eq!((&cut["report"]["readings"], aside(&cut)), (&19.into(), bad("not-a-number", 1, 21)), "{cut:#}");
}

#[test]
fn header_that_changes_its_mind_ends_the_reading_and_nothing_is_stored() {
    let Some(place) = Place::new() else { return };
    let row = |k: u32, first: f64, second: f64| format!("2026-02-01 {:02}:{}0,{first:.1},{second:.1}\n", k / 6, k % 6);
    let half =
        |from: u32, first: f64, second: f64| (from..from + 30).map(|k| row(k, first, second)).collect::<String>();
    // Two exports joined, and the second has its columns the other way round: by the first header the air would have the soil's warmth.
    let joined = format!(
        "time_utc,T (°C),Soil T (°C)\n{}time_utc,Soil T (°C),T (°C)\n{}",
        half(0, 4.5, 7.0),
        half(30, 7.0, 4.5)
    );
    let file = place.write("joined.csv", joined.as_bytes());
    let (code, says) = place.take_in(&file, &[]).unwrap_err();
    let words = "header: the names of the columns stand again in line 32, and \"T (°C)\" is column 3 there, not 2";
    assert!(code == Some(2) && says.contains(words), "{says}");
    // Joined from one logger, it is read on.
    let same = joined.replace("time_utc,Soil T (°C),T (°C)", "time_utc,T (°C),Soil T (°C)");
    let looked = place.looked_at(same.as_bytes(), &[]);
    assert_eq!((&looked["report"]["readings"], aside(&looked)), (&120.into(), bad("no-time", 1, 32)));
    assert!(place.run(&["import", "--list", "--json"]).stdout.is_empty(), "nothing was stored");
}

#[test]
fn two_times_in_a_row_are_asked_about_and_either_can_be_chosen() {
    let Some(place) = Place::new() else { return };
    let rows =
        |k: u32| format!("2026-02-01 {:02}:{}0,4.5,2026-02-01 {:02}:{}7,9{}\n", k / 6, k % 6, k / 6 + 6, k % 6, k % 5);
    let text = format!("time_utc,T (°C),read at,RH (%)\n{}", (0..60).map(rows).collect::<String>());
    let file = place.write("two.csv", text.as_bytes());
    let done = place.run(&["import", "--json", "--yes", "--name", "ash", file.to_str().unwrap()]);
    let asked: Value = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!((done.status.code(), &asked["questions"][0]["key"]), (Some(2), &"time".into()), "{asked:#}");
    let says = told(&done);
    assert!(says.contains("--time ...") && says.contains("they differ in 60 of 60 rows, first in line 2"), "{says}");
    for (column, first) in [("time_utc", "2026-02-01T00:00:00Z"), ("read at", "2026-02-01T06:07:00Z")] {
        let looked = place.looked_at(text.as_bytes(), &["--time", column, "--zone", "UTC"]);
        assert_eq!(sample(&looked)[0].0, first, "{column}");
    }
}
