use std::convert::Infallible;

use proptest::prelude::*;

use super::*;
use crate::instant::from_rfc3339;
use crate::table::report::{Aside, AsideWhy, MAX_ENTRIES};
use crate::table::text::tests::Cut;
use crate::took::{DeviceKind, SeriesKind};

const NOW: Millis = Millis(1_790_000_000_000);

/// All that a reading gave.
#[derive(Clone, Debug, PartialEq)]
struct Given {
    series: Vec<SeriesKey>,
    readings: Vec<Reading>,
    report: Report,
}

impl Given {
    /// Channel, instant and number of every reading.
    fn values(&self) -> Vec<(&str, Millis, f64)> {
        self.readings.iter().map(|r| (self.series[r.series as usize].channel.as_str(), r.t, r.v)).collect()
    }

    /// Reason, column, times and first line of all that was set aside.
    fn aside(&self) -> Vec<(AsideWhy, &str, u64, u64)> {
        let part = |aside: &'_ Aside| (aside.why, aside.times, aside.first_line);
        self.report.aside.iter().map(|a| (part(a).0, a.what.as_str(), part(a).1, part(a).2)).collect()
    }
}

fn try_read<S: Source<Error = Infallible> + ?Sized>(
    source: &S,
    mapping: &FileMapping,
) -> Result<Given, Trouble<Infallible>> {
    let (mut series, mut readings) = (Vec::new(), Vec::new());
    let report = read(source, mapping, NOW, &mut |piece| {
        match piece {
            Piece::Series(key) => series.push(key.clone()),
            Piece::Readings(all) => readings.extend_from_slice(all),
        }
        ControlFlow::Continue(())
    })?;
    Ok(Given { series, readings, report })
}

fn mapping(text: &str) -> FileMapping {
    FileMapping::from_toml(text).unwrap_or_else(|error| panic!("{error}"))
}

fn read_text(text: &str, by: &str) -> Given {
    try_read(text.as_bytes(), &mapping(by)).unwrap()
}

fn at(text: &str) -> Millis {
    from_rfc3339(text).unwrap()
}

const TEMP: &str = "[[field]]\ncolumn = 'Temp'\nquantity = 'air-temperature'\nunit = 'Cel'\n";

fn semicolons(more: &str, fields: &str) -> String {
    format!(
        "name = 'probe'\nseparator = ';'\ndecimal = ','\n{more}\n[time]\nat = 'Zeit'\norder = 'dmy'\nzone = 'UTC'\n{fields}"
    )
}

#[test]
fn decimal_comma_byte_order_mark_and_semicolons() {
    // Troubles page 13.
    let given = read_text("\u{FEFF}Zeit;Temp\r\n05.02.2026 09:00;4,5\r\n", &semicolons("", TEMP));
    assert_eq!(given.values(), [("air-temperature", at("2026-02-05T09:00:00Z"), 4.5)]);
    let key = SeriesKey {
        device: "urn:propstick:probe".to_owned(),
        device_kind: DeviceKind::File,
        mapping: Some("probe".to_owned()),
        channel: "air-temperature".to_owned(),
        unit_sent: "Cel".to_owned(),
        kind: SeriesKind::Instant,
        span_s: 0,
        stamp_end: false,
    };
    assert_eq!(given.series, [key]);
    assert_eq!((given.report.lines, given.report.rows, given.report.rows_read, given.report.readings), (2, 1, 1, 1));
    assert_eq!(given.report.sample[0].values, [("air-temperature".to_owned(), 4.5, "Cel".to_owned())]);
    assert_eq!((given.report.sample[0].line, given.report.sample[0].at), (2, at("2026-02-05T09:00:00Z")));
}

#[test]
fn title_lines_units_and_offset_in_the_header() {
    // Troubles page 14: 12:00 UTC, 50.0 degF is 10.0 degC; kept as written.
    let text = "Plot Title: bed 3\n#,Date Time GMT+01:00,Temp degF,RH %\n1,02/03/26 01:00:00 PM,50.0,91\n";
    let by = "name = 'bed-3'\nheader = 2\n[time]\nat = 'Date Time GMT+01:00'\norder = 'dmy'\nzone = '+01:00'\n[[field]]\ncolumn = 'Temp degF'\nquantity = 'air-temperature'\nunit = 'degF'\n[[field]]\ncolumn = 4\nquantity = 'air-humidity'\nunit = '%RH'";
    let given = read_text(text, by);
    let noon = at("2026-03-02T12:00:00Z");
    assert_eq!(given.values(), [("air-temperature", noon, 50.0), ("air-humidity", noon, 91.0)]);
    assert_eq!((given.series[0].unit_sent.as_str(), given.report.rows), ("degF", 1));
}

#[test]
fn step_from_celsius_to_fahrenheit_is_pointed_out() {
    // Troubles page 15.
    let text = "Zeit;Temp\n01.02.2026 01:00;8,0\n01.02.2026 01:10;8,1\n01.02.2026 01:20;46,6\n01.02.2026 01:30;46,8\n";
    let given = read_text(text, &semicolons("", TEMP));
    assert_eq!(given.report.readings, 4);
    let [caution] = &given.report.cautions[..] else { panic!("{:?}", given.report.cautions) };
    assert_eq!((caution.times, caution.first_line), (1, 4));
    assert!(
        caution.says.contains("Temp: from 8.1 to 46.6") && caution.says.contains("a change of unit?"),
        "{}",
        caution.says
    );
}

#[test]
fn uneven_rows_are_counted_by_kind_and_the_good_ones_are_in() {
    // Troubles page 16.
    let mut text = "Zeit;Temp;RH\n".to_owned();
    for minute in 0..3 {
        text.push_str(&format!("2026-02-01 09:{minute:02};4,{minute};90\n"));
    }
    text.push_str(&";;;\n".repeat(3000));
    text.push_str("2026-02-01 10:00;4,5\nEnd of data\n2026-02-01 10:01;4,5;90;7\n2026-02-01 10:02;4,5;90;;\n");
    let rh = "[[field]]\ncolumn = 'RH'\nquantity = 'air-humidity'\nunit = '%RH'\n";
    let by = semicolons("", &format!("{TEMP}{rh}")).replace("dmy", "ymd");
    let given = read_text(&text, &by);
    let expected = [
        (AsideWhy::Blank, "", 3000, 5),
        (AsideWhy::Short, "RH", 1, 3005),
        (AsideWhy::NoTime, "Zeit", 1, 3006),
        (AsideWhy::Long, "", 1, 3007),
    ];
    assert_eq!(given.aside(), expected);
    assert_eq!(given.report.aside[2].example, "End of data");
    assert_eq!((given.report.readings, given.report.rows, given.report.rows_read), (3 * 2 + 1 + 2, 3007, 5));
    assert_eq!(given.report.no_value, 0);
}

#[test]
fn bad_cell_sets_aside_itself_alone() {
    // Troubles pages 3, 4 and 13.
    let rh = "[[field]]\ncolumn = 'RH'\nquantity = 'air-humidity'\nunit = '%RH'\n";
    let by = format!("name = 'a'\nmissing = ['NO RECORD', '---']\n[time]\nat = 'Zeit'\nzone = 'UTC'\n{TEMP}{rh}");
    let text = "Zeit,Temp,RH\n2026-02-01 09:00,nan,91\n2026-02-01 09:01,-127,92\n2026-02-01 09:02,\"25,3\",no record\n2026-02-01 09:03, ,---\n2026-02-01 09:04,\"7,90\n2026-02-01 09:05, +7.5 ,340\n2100-01-01 00:00,5,90\n1899-12-31 23:59,5,90\n";
    let given = read_text(text, &by);
    let minute = |minute: i64| at("2026-02-01T09:00:00Z").plus(minute * 60_000);
    assert_eq!(
        given.values(),
        [("air-humidity", minute(0), 91.0), ("air-humidity", minute(1), 92.0), ("air-temperature", minute(5), 7.5)]
    );
    let expected = [
        (AsideWhy::NotANumber, "Temp", 2, 2),
        (AsideWhy::OutOfRange, "Temp", 1, 3),
        (AsideWhy::Unbalanced, "", 1, 6),
        (AsideWhy::OutOfRange, "RH", 1, 7),
        (AsideWhy::Future, "Zeit", 1, 8),
        (AsideWhy::NoTime, "Zeit", 1, 9),
    ];
    assert_eq!(given.aside(), expected);
    assert_eq!((given.report.no_value, given.report.rows, given.report.rows_read), (3, 8, 5));
    // Five minutes ahead counts, later does not.
    let edge = |ms: i64| format!("Zeit,Temp,RH\n{},5,90\n", crate::instant::to_rfc3339(NOW.plus(ms)));
    assert_eq!(read_text(&edge(300_000), &by).report.readings, 2);
    assert_eq!(read_text(&edge(301_000), &by).aside(), [(AsideWhy::Future, "Zeit", 1, 2)]);
}

#[test]
fn times_in_several_columns_and_as_numbers() {
    let field = "[[field]]\ncolumn = 'v'\nquantity = 'light'\nunit = 'W/m2'\n";
    for (time, header, row) in [
        ("date = 'd'\nclock = 'c'\nzone = '+01:00'", "d,c", "2026-02-01,10:30"),
        ("date = 'd'\nclock = 'c'\nzone = 'UTC'", "d,c", "2026-02-01,930"),
        ("date = 'd'\nclock = 'c'", "d,c", "2026-02-01 00:00:00,10:30+01:00"),
        ("date = 'd'\nhour = 'h'\nminute = 'm'\nzone = 'UTC'", "d,h,m", "2026-02-01,9.0,30"),
        ("year = 'Y'\nmonth = 'M'\nday = 'D'\nhour = 'h'\nminute = 'm'\nzone = 'UTC'", "Y,M,D,h,m", "2026,02,1,09,30"),
        ("at = 't'\nunit = 's'", "t", "1769938200"),
        ("at = 't'\nunit = 'ms'", "t", "1769938200000"),
        ("at = 't'", "t", "2026-02-01T10:30:00+01:00"),
        ("at = 't'\nzone = 'Europe/Rome'", "t", "2026-02-01T09:30:00Z"),
    ] {
        let given = read_text(&format!("{header},v\n{row},7\n"), &format!("name = 'a'\n[time]\n{time}\n{field}"));
        assert_eq!(given.values(), [("light", at("2026-02-01T09:30:00Z"), 7.0)], "{row}");
    }
    for (time, header, row) in [
        ("at = 't'", "t", "2026-02-01 09:30"),
        ("date = 'd'\nhour = 'h'\nzone = 'UTC'", "d,h", "2026-02-01,25"),
        ("date = 'd'\nhour = 'h'\nzone = 'UTC'", "d,h", "2026-02-01,9.5"),
        ("date = 'd'\nclock = 'h'\nzone = 'UTC'", "d,h", "2026-02-01 08:00,9:30"),
        ("at = 't'\nunit = 's'", "t", "soon"),
    ] {
        let given = read_text(&format!("{header},v\n{row},7\n"), &format!("name = 'a'\n[time]\n{time}\n{field}"));
        assert_eq!(
            (given.aside()[0].0, given.report.aside[0].example.as_str()),
            (AsideWhy::NoTime, &*row.replace(',', " "))
        );
    }
}

#[test]
fn intervals_keep_their_meaning() {
    let by = |stamp: &str| {
        format!(
            "name = 'a'\n[time]\nat = 't'\nzone = 'UTC'\n[[field]]\ncolumn = 'r'\nquantity = 'rain'\nunit = 'mm'\nspan_s = 3600\n{stamp}\n[[field]]\ncolumn = 'x'\nquantity = 'air-temperature'\nunit = 'degF'\nkind = 'max'\nspan_s = 86400"
        )
    };
    let meaning = |text: &str, stamp: &str| {
        let given = read_text(text, &by(stamp));
        given.series.iter().map(|key| (key.kind, key.span_s, key.stamp_end)).collect::<Vec<_>>()
    };
    let hourly = "t,r,x\n2026-02-01 10:00,0.5,40\n";
    assert_eq!(meaning(hourly, ""), [(SeriesKind::Sum, 3600, true), (SeriesKind::Max, 86_400, true)]);
    assert_eq!(meaning(hourly, "stamp = 'start'"), [(SeriesKind::Sum, 3600, false), (SeriesKind::Max, 86_400, true)]);
    // Dates alone begin their day.
    assert_eq!(
        meaning("t,r,x\n2026-02-01,0.5,40\n", "stamp = 'end'"),
        [(SeriesKind::Sum, 3600, true), (SeriesKind::Max, 86_400, false)]
    );
}

#[test]
fn devices_by_column_by_name_and_of_a_board() {
    let by = |device: &str| format!("name = 'a'\n{device}\n[time]\nat = 't'\nzone = 'UTC'\n{TEMP}");
    let text = "t,s,Temp\n2026-02-01 10:00,north 1,5\n2026-02-01 10:00,2,6\n2026-02-01 11:00, ,6\n2026-02-01 12:00,north 1,7\n";
    let given = read_text(text, &by("device = 'column:s'"));
    let devices: Vec<(&str, DeviceKind)> =
        given.series.iter().map(|key| (key.device.as_str(), key.device_kind)).collect();
    assert_eq!(devices, [("urn:propstick:a:north%201", DeviceKind::File), ("urn:propstick:a:2", DeviceKind::File)]);
    assert_eq!(given.readings.iter().map(|reading| reading.series).collect::<Vec<_>>(), [0, 1, 0]);
    assert_eq!(given.aside(), [(AsideWhy::NoDevice, "s", 1, 4)]);
    let board = read_text(text, &by("device = 'urn:dev:mac:02005efffe10a2b3'"));
    let key = &board.series[0];
    assert_eq!(
        (key.device.as_str(), key.device_kind, &key.mapping),
        ("urn:dev:mac:02005efffe10a2b3", DeviceKind::Board, &None)
    );
}

#[test]
fn time_that_goes_back_and_instants_that_repeat_are_cautions() {
    let text = "Zeit;Temp\n01.09.2021 10:15;20\n01.09.2021 10:30;20\n01.09.2021 09:33;20\n01.09.2021 09:33;20\n01.09.2021 09:33;21\n01.09.2021 09:48;21\n";
    let given = read_text(text, &semicolons("", TEMP));
    let cautions: Vec<(u64, u64)> = given.report.cautions.iter().map(|c| (c.times, c.first_line)).collect();
    assert_eq!((given.report.readings, cautions), (6, vec![(1, 4), (1, 5), (1, 6)]));
    assert!(given.report.cautions[0].says.starts_with("the time goes back, the first time by 57 min"));
}

#[test]
fn header_that_stands_again_and_says_otherwise_ends_the_reading() {
    let again = |header: &str| {
        let text = format!("Zeit;Temp;RH\n01.02.2026 09:00;4,1;90\n{header}\n01.02.2026 09:10;4,2;91\n");
        try_read(text.as_bytes(), &mapping(&semicolons("", TEMP)))
    };
    // The same again, blanks aside, and other names for columns that nobody reads: one row without a time.
    for harmless in ["Zeit;Temp;RH", " Zeit ; Temp;RH", "Zeit;Temp;humidity"] {
        let given = again(harmless).unwrap();
        assert_eq!((given.report.readings, given.aside()), (2, vec![(AsideWhy::NoTime, "Zeit", 1, 3)]), "{harmless}");
    }
    for (other, why) in [
        ("Zeit;RH;Temp", "\"Temp\" is column 3 there, not 2"),
        ("Temp;RH;Zeit", "\"Zeit\" is column 3 there, not 1"),
        ("Zeit;Temp (°F);RH", "\"Temp\" is not among them; there are: \"Zeit\", \"Temp (°F)\", \"RH\""),
        ("Zeit;Temp;RH;CO2", "there are 4 columns, not 3"),
    ] {
        let Err(Trouble::Misfit(misfit)) = again(other) else { panic!("{other}") };
        let expected = format!("header: the names of the columns stand again in line 3, and {why}: cut the file there");
        assert!(misfit.to_string().starts_with(&expected), "{misfit}");
    }
}

#[test]
fn mapping_that_does_not_fit_says_what_is_there() {
    let misfit = |text: &str, by: &str| match try_read(text.as_bytes(), &mapping(by)) {
        Err(Trouble::Misfit(misfit)) => misfit.to_string(),
        other => panic!("{other:?}"),
    };
    let by = semicolons("", TEMP);
    assert_eq!(
        misfit("Zeit;Wärme\n", &by),
        "field[0].column: no column \"Temp\" in line 1; there are: \"Zeit\", \"Wärme\""
    );
    assert_eq!(misfit("", &by), "header: line 1; the file has 0 lines");
    assert_eq!(misfit("a\nb\n", &semicolons("header = 3", TEMP)), "header: line 3; the file has 2 lines");
    assert_eq!(misfit("Zeit;Temp\n", &by.replace("'Temp'", "3")), "field[0].column: 3; line 1 has 2 columns");
    let mut wrong = mapping(&by);
    wrong.fields.clear();
    assert!(matches!(try_read(b"".as_slice(), &wrong), Err(Trouble::Misfit(misfit)) if misfit.key == "field"));
}

#[test]
fn taker_that_breaks_off_stops_the_reading() {
    let text = format!("Zeit;Temp\n{}", "01.09.2021 10:15;20\n".repeat(10_000));
    let mut readings = 0;
    let by = mapping(&semicolons("", TEMP));
    let outcome = read(text.as_bytes(), &by, NOW, &mut |piece| match piece {
        Piece::Series(_) => ControlFlow::Continue(()),
        Piece::Readings(all) => {
            readings += all.len();
            ControlFlow::Break(())
        }
    });
    assert_eq!((outcome, readings), (Err(Trouble::Stopped), 4096));
}

#[test]
fn source_that_fails_is_no_report() {
    struct Failing;
    impl Source for Failing {
        type Error = String;
        fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), String> {
            let _ = take(b"Zeit;Temp\n01.09.2021 10:15;20\n");
            Err("the stick was pulled".to_owned())
        }
    }
    let outcome = read(&Failing, &mapping(&semicolons("", TEMP)), NOW, &mut |_| ControlFlow::Continue(()));
    assert_eq!(outcome, Err(Trouble::Source("the stick was pulled".to_owned())));
}

#[test]
fn lists_of_a_report_end_somewhere() {
    let mut by = "name = 'a'\nheader = 0\n[time]\nat = 1\nzone = 'UTC'\n".to_owned();
    for number in 1..=60 {
        by.push_str(&format!("[[field]]\ncolumn = {}\nquantity = 'air-temperature'\nunit = 'Cel'\nchannel = 'air-temperature-{number}'\n", number + 1));
    }
    let row = |cell: &str| format!("2026-02-01 10:00{}\n", format!(",{cell}").repeat(60));
    let given = read_text(&format!("{}{}{}", row("x"), row("999"), row("999")), &by);
    assert_eq!(given.report.aside.len(), MAX_ENTRIES + 1);
    let others = &given.report.aside[MAX_ENTRIES];
    assert_eq!((others.why, others.times), (AsideWhy::Others, 180 - 60 - 2 * 4));
}

proptest! {
    #[test]
    fn prop_any_cut_of_a_file_gives_the_same(
        rows in proptest::collection::vec(prop_oneof![
            "[0-3][0-9]\\.(03|10)\\.2024 [0-2][0-9]:[0-5]0;-?[0-9]{1,2},[0-9];[a-c]?",
            Just("\"27.10.2024 02:30\";\"4,5\";°".to_owned()), Just(";;;".to_owned()), "[ -~]{0,30}",
        ], 0..60),
        lengths in proptest::collection::vec(1_usize..40, 1..6),
        mixed in any::<bool>(),
    ) {
        let device = if mixed { "" } else { "device = 'column:s'" };
        let mut by = mapping(&semicolons(device, TEMP).replace("UTC", "Europe/Rome"));
        by.time.mixed = mixed;
        let text = format!("\u{FEFF}Zeit;Temp;s\r\n{}", rows.join("\r\n"));
        let whole = try_read(text.as_bytes(), &by).unwrap();
        let cut = try_read(&Cut { bytes: text.as_bytes(), lengths: &lengths }, &by).unwrap();
        prop_assert_eq!(cut, whole.clone());
        // Every row is read or set aside as a whole, and every cell is a reading, without a value or set aside.
        let aside = |of_row: bool| -> u64 {
            whole.report.aside.iter().filter(|aside| aside.why.is_of_row() == of_row).map(|aside| aside.times).sum()
        };
        prop_assert_eq!(whole.report.rows, whole.report.rows_read + aside(true));
        prop_assert_eq!(whole.report.rows_read, whole.report.readings + whole.report.no_value + aside(false));
        prop_assert_eq!(whole.report.readings, whole.readings.len() as u64);
        prop_assert_eq!(whole.report.readings, whole.report.series.iter().map(|series| series.n).sum::<u64>());
    }

    #[test]
    fn prop_any_bytes_are_read_without_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400), header in 0_u32..3) {
        let by = format!("name = 'a'\nheader = {header}\n[time]\nat = 1\nzone = 'Europe/Dublin'\n[[field]]\ncolumn = 1\nquantity = 'light'\nunit = 'W/m2'");
        let _ = try_read(&bytes, &mapping(&by));
    }
}
