//! Troubles 13 to 16 of the page of troubles, as given there.

use super::*;

#[test]
fn trouble_13_mark_comma_and_semicolons_are_found_together() {
    let file = "\u{FEFF}Zeit;Temp\r\n05.02.2026 09:00;4,5\r\n";
    let proposal = open(file, &in_zone(Tz::Europe__Berlin));
    assert_eq!((proposal.mapping.separator, proposal.mapping.decimal), (b';', Decimal::Comma));
    assert_eq!(proposal.mapping.time.at, Some(Column::Name("Zeit".to_owned())));
    assert_eq!(proposal.mapping.time.order, Order::Dmy);
    assert_eq!(proposal.zone(), "Europe/Berlin");
    // One number does not tell whether it is °C or °F.
    assert_eq!(proposal.asked(), ["unit:Temp"]);
    assert_eq!(proposal.question("unit:Temp").choices, ["Cel", "degF"]);

    let hints = Hints { units: [("Temp".to_owned(), "°C".to_owned())].into(), ..in_zone(Tz::Europe__Berlin) };
    let proposal = understood(file, &hints);
    assert_eq!(proposal.fields(), ["Temp = air-temperature Cel"]);
    let rows = sample(file.as_bytes(), &proposal);
    assert_eq!(rows[0].at, from_rfc3339("2026-02-05T08:00:00Z").unwrap());
    assert_eq!(rows[0].values, [("air-temperature".to_owned(), 4.5, "Cel".to_owned())]);
}

#[test]
fn trouble_14_title_line_units_and_offset_of_the_header_are_used() {
    let file = "Plot Title: bed 3\n#,Date Time GMT+01:00,Temp degF,RH %\n1,02/03/26 01:00:00 PM,50.0,91\n";
    // One row is read alike as 2 March and 3 February: asked, and nothing else.
    let proposal = open(file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.asked(), ["order"]);
    assert_eq!(proposal.question("order").choices, ["dmy", "mdy", "ymd"]);
    let hints = Hints { order: Some(Order::Mdy), ..in_zone(Tz::Europe__Dublin) };
    let proposal = understood(file, &hints);
    assert_eq!(proposal.mapping.header, 2);
    assert_eq!(proposal.zone(), "+01:00");
    assert_eq!(proposal.fields(), ["Temp degF = air-temperature degF", "RH % = air-humidity %RH"]);
    assert_eq!(proposal.why_left("#"), "it counts the rows");
    let rows = sample(file.as_bytes(), &proposal);
    assert_eq!(rows[0].at, from_rfc3339("2026-02-03T12:00:00Z").unwrap());
    assert_eq!(propstick_wire::Quantity::AirTemperature.to_base(rows[0].values[0].1, "degF"), Some(10.0));
}

#[test]
fn trouble_14_offset_in_the_header_beats_what_was_said_and_is_told() {
    let file = "Date Time GMT+01:00,Temp degF\n2026-03-02 13:00,50.0\n2026-03-02 13:10,50.2\n";
    let hints = Hints { zone: Some(Clock::UTC), ..in_zone(Tz::Europe__Dublin) };
    let proposal = understood(file, &hints);
    assert_eq!(proposal.zone(), "+01:00");
    assert!(proposal.cautions[0].says.starts_with("UTC was said of the times"), "{:?}", proposal.cautions);
    assert!(proposal.why("time.zone").ends_with("an offset there holds all year"));
}

#[test]
fn trouble_14_two_columns_of_one_name_are_kept_apart() {
    let file = "Time (UTC),Water (m³/m³) content, Water (m³/m³)  content\n2026-03-02 13:00,0.25,0.31\n2026-03-02 13:10,0.26,0.3\n";
    let proposal = understood(file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(
        proposal.fields(),
        ["Water (m³/m³) content = soil-moisture-1 /", "Water (m³/m³) content#2 = soil-moisture-2 /"]
    );
    assert_eq!(sample(file.as_bytes(), &proposal)[0].values[1].1, 0.31);
}

#[test]
fn trouble_15_unit_is_asked_for_where_the_numbers_do_not_tell() {
    let mut file = String::from("time_utc,temp\n");
    for (time, value) in wall("2026-02-01 20:00", "2026-02-01 20:40", 10).iter().zip(["8.0", "8.1", "46.6", "46.8"]) {
        file.push_str(&format!("{time},{value}\n"));
    }
    let proposal = open(&file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.asked(), ["unit:temp"]);
    assert!(proposal.question("unit:temp").evidence.contains("numbers from 8 to 46.8"), "{:?}", proposal.questions);
    assert!(proposal.mapping.fields.is_empty());
    assert!(proposal.text.starts_with("# ? unit:temp: "), "{}", proposal.text);
}

#[test]
fn trouble_16_short_rows_blank_rows_and_closing_lines_do_not_hide_the_table() {
    let mut file = String::from("Zeit;Temp (°C)\n");
    for time in ["09:00", "09:30", "10:00"] {
        file.push_str(&format!("2026-02-01 {time};4,5\n"));
    }
    file.push_str(&";;;\n".repeat(3000));
    file.push_str("2026-02-01 10:30;4,5\nEnd of data\n");
    let proposal = understood(&file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.fields(), ["Temp (°C) = air-temperature Cel"]);
    assert_eq!(proposal.mapping.header, 1);
}
