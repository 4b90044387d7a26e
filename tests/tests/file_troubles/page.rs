//! The page's own smallest inputs of troubles 13 to 16, word for word, and how much is said of a very bad file.

use propstick_tests::program::told;

use super::{Place, aside, rows, sample};

#[test]
fn trouble_13_the_single_row_of_the_page() {
    let Some(place) = Place::new() else { return };
    let page = "\u{feff}Zeit;Temp\r\n05.02.2026 09:00;4,5\r\n".as_bytes();
    // Nothing says whether 4.5 is in Celsius or in Fahrenheit, and nobody is there to be asked.
    let file = place.write("page.csv", page);
    let (code, says) = place.take_in(&file, &[]).unwrap_err();
    assert!(code == Some(2) && says.contains("In which unit is column \"Temp\""), "{says}");
    let looked = place.looked_at(page, &["--unit", "Temp=Cel"]);
    assert_eq!(sample(&looked), rows(&[("2026-02-05T09:00:00Z", &[4.5])]), "4.5, not 4 and 5, not 45");
    // The preview that a grower sees: the row read out, with its unit.
    let shown = place.run(&["import", "--dry-run", "--name", "ash", "--unit", "Temp=Cel", file.to_str().unwrap()]);
    let out = String::from_utf8(shown.stdout).unwrap();
    assert!(shown.status.success() && out.contains("4.5 °C"), "{out}");
}

#[test]
fn trouble_14_the_single_row_of_the_page() {
    let Some(place) = Place::new() else { return };
    let page = "Plot Title: bed 3\n#,Date Time GMT+01:00,Temp degF,RH %\n1,02/03/26 01:00:00 PM,50.0,91\n";
    let file = place.write("page.csv", page.as_bytes());
    let (code, says) = place.take_in(&file, &[]).unwrap_err();
    assert!(code == Some(2) && says.contains("dmy") && says.contains("mdy"), "one row may be read either way: {says}");
    for (order, at) in [("mdy", "2026-02-03T12:00:00Z"), ("dmy", "2026-03-02T12:00:00Z")] {
        // The offset in the header counts, whatever the garden's zone is and whatever is said beside it.
        for zone in [vec![], vec!["--zone", "America/New_York"]] {
            let more = [vec!["--order", order], zone].concat();
            let looked = place.looked_at(page.as_bytes(), &more);
            assert_eq!(sample(&looked), rows(&[(at, &[50.0, 91.0])]), "{more:?}");
        }
    }
    // An offset is fixed: in July as well.
    let july = page.replace("02/03/26", "07/31/26").replace("/26", "/25");
    assert_eq!(sample(&place.looked_at(july.as_bytes(), &[]))[0].0, "2025-07-31T12:00:00Z");
    // 50.0 °F is stored as written and shown in the garden's unit: 10.0 °C, as the page says.
    place.take_in(&file, &["--order", "mdy"]).unwrap();
    let out = place.run(&["export", "readings", "--by", "spot"]);
    let out = String::from_utf8(out.stdout).unwrap();
    assert_eq!(out.lines().nth(1).unwrap(), "2026-02-03T12:00:00Z,10,91", "{out}");
}

#[test]
fn trouble_15_page_numbers_in_a_column_of_each_unit() {
    let Some(place) = Place::new() else { return };
    let rows_of = |head: &str, values: [f64; 4]| {
        let mut text = format!("time_utc,{head}\n");
        for (k, v) in values.iter().enumerate() {
            text += &format!("2026-02-01T01:{k}0:00Z,{v}\n");
        }
        text
    };
    let said = |text: &str, more: &[&str]| -> Vec<u64> {
        let looked = place.looked_at(text.as_bytes(), more);
        let cautions = looked["report"]["cautions"].as_array().unwrap().clone();
        let of_unit = cautions.iter().filter(|c| c["says"].as_str().unwrap().contains("unit"));
        of_unit.map(|c| c["first_line"].as_u64().unwrap()).collect()
    };
    assert_eq!(said(&rows_of("Temp", [8.0, 8.1, 46.6, 46.8]), &["--unit", "Temp=Cel"]), [4]);
    assert_eq!(said(&rows_of("T (°C)", [46.6, 46.8, 8.0, 8.1]), &[]), [4], "and back again");
    assert!(said(&rows_of("T (°C)", [8.0, 8.1, 26.6, 26.8]), &[]).is_empty(), "a warm step that no unit explains");
    assert!(said(&rows_of("T (°F)", [46.4, 46.6, 46.6, 46.8]), &[]).is_empty(), "Fahrenheit throughout");
}

#[test]
fn trouble_16_the_six_rows_of_the_page() {
    let Some(place) = Place::new() else { return };
    let page = "time;T (°C);RH (%);x\n2026-02-01 09:30;4,1;91;\n2026-02-01 09:40;4,2;92;\n2026-02-01 09:50;4,3;93;\n;;;\n2026-02-01 10:00;4,5\nEnd of data\n";
    let looked = place.looked_at(page.as_bytes(), &[]);
    let good: &[(&str, &[f64])] = &[
        ("2026-02-01T09:30:00Z", &[4.1, 91.0]),
        ("2026-02-01T09:40:00Z", &[4.2, 92.0]),
        ("2026-02-01T09:50:00Z", &[4.3, 93.0]),
        ("2026-02-01T10:00:00Z", &[4.5]),
    ];
    assert_eq!(sample(&looked), rows(good), "the short row gives what it has");
    let found = [("blank", 1, 5), ("short", 1, 6), ("no-time", 1, 7)];
    assert_eq!(aside(&looked), found.map(|(why, n, line)| (why.to_owned(), n, line)));
}

#[test]
fn what_is_said_of_a_bad_file_does_not_grow_with_it() {
    let Some(place) = Place::new() else { return };
    // A minute's readings of a week in two columns, each third cell broken in its own way, and 3,000 blank rows in the middle.
    let mut text = "time_utc;T (°C);RH (%)\n".to_owned();
    let n = 7 * 1_440;
    for k in 0..n {
        let t = if k % 3 == 1 { format!("oops{k}") } else { format!("{}", 4 + k % 5) };
        text += &format!("2026-02-{:02} {:02}:{:02};{t};9{}\n", 1 + k / 1_440, k / 60 % 24, k % 60, k % 10);
        if k == n / 2 {
            text += &";;\n".repeat(3_000);
        }
    }
    let looked = place.looked_at(text.as_bytes(), &[]);
    assert_eq!(looked["report"]["readings"], n + n - n / 3, "no limit on rows");
    let blank_from = n as u64 / 2 + 3;
    assert_eq!(
        aside(&looked),
        [("not-a-number".to_owned(), n as u64 / 3, 3), ("blank".to_owned(), 3_000, blank_from)],
        "one line a kind"
    );
    let file = place.write("bad.csv", text.as_bytes());
    let shown = place.run(&["import", "--yes", "--name", "ash", file.to_str().unwrap()]);
    let (out, err) = (String::from_utf8(shown.stdout.clone()).unwrap(), told(&shown));
    assert!(shown.status.success() && out.lines().count() + err.lines().count() < 60, "{out}{err}");
    assert!(out.contains("3,000"), "{out}");
}
