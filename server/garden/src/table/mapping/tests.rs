use super::*;
use crate::decode::mapping::Stamp;
use crate::took::SeriesKind;
use chrono_tz::Tz;
use propstick_wire::Quantity;

const GOOD: &str = r#"
    name = "tunnel-probe"
    device = "column:station"
    encoding = "windows-1252"
    separator = ";"
    decimal = ","
    header = 3
    missing = ["NA", "NO RECORD"]
    [time]
    date = "Datum"
    clock = "Zeit"
    order = "dmy"
    zone = "Europe/Rome"
    [[field]]
    column = "Temp \"oben\""
    quantity = "air-temperature"
    unit = "Cel"
    [[field]]
    column = 5
    quantity = "rain"
    unit = "mm"
    channel = "rain-1"
    kind = "sum"
    span_s = 3600
    stamp = "start"
"#;

/// The good mapping with one text in the place of another.
fn changed(from: &str, to: &str) -> Result<FileMapping, String> {
    assert!(GOOD.contains(from), "{from}");
    FileMapping::from_toml(&GOOD.replacen(from, to, 1)).map_err(|error| error.to_string())
}

#[test]
fn mapping_file_with_every_key_is_read() {
    let mapping = changed("tunnel", "tunnel").unwrap();
    assert_eq!(mapping.device, FileDevice::Column(Column::Name("station".to_owned())));
    assert_eq!((mapping.encoding, mapping.separator, mapping.decimal), (Encoding::Windows1252, b';', Decimal::Comma));
    assert_eq!((mapping.header, mapping.missing.len()), (3, 2));
    assert_eq!((mapping.time.order, mapping.time.zone), (Order::Dmy, Some(Clock::Zone(Tz::Europe__Rome))));
    assert_eq!((mapping.fields[0].kind(), mapping.fields[0].interval_s()), (SeriesKind::Instant, 0));
    let rain = &mapping.fields[1];
    assert_eq!((rain.kind(), rain.interval_s(), rain.stamp), (SeriesKind::Sum, 3600, Some(Stamp::Start)));
    assert_eq!((&rain.column, rain.channel()), (&Some(Column::Number(5)), "rain-1"));
}

#[test]
fn mapping_file_with_few_keys_has_the_stated_defaults() {
    let text = "name = 'a'\n[time]\nat = 't'\n[[field]]\ncolumn = 'x'\nquantity = 'light'\nunit = 'MJ/m2/h'\nkind = 'mean'\nspan_s = 3600";
    let mapping = FileMapping::from_toml(text).unwrap();
    let expected = FileMapping {
        name: "a".to_owned(),
        device: FileDevice::Mapping,
        encoding: Encoding::Utf8,
        separator: b',',
        decimal: Decimal::Point,
        header: 1,
        missing: Vec::new(),
        time: TimeColumns { at: Some(Column::Name("t".to_owned())), ..TimeColumns::default() },
        fields: vec![MappingField {
            kind: Some(SeriesKind::Mean),
            span_s: Some(3600),
            ..MappingField::of_column(Column::Name("x".to_owned()), Quantity::Light, "MJ/m2/h")
        }],
    };
    assert_eq!(mapping, expected);
}

#[test]
fn mapping_file_written_is_read_back_the_same() {
    let full = changed("tunnel", "tunnel").unwrap();
    let epoch = "name = 'b'\ndevice = 'urn:dev:mac:02005efffe10a2b3'\nseparator = \"\\t\"\nheader = 0\n[time]\nat = 1\nunit = 'ms'\n[[field]]\ncolumn = 2\nquantity = 'light'\nunit = 'W/m2'";
    let numbers = "name = 'c'\n[time]\nyear = 'Y'\nmonth = 'M'\nday = 'D'\nhour = 'h'\nminute = 'm'\nzone = '-03:30'\n[[field]]\ncolumn = 't'\nquantity = 'light'\nunit = 'W/m2'";
    let mixed = "name = 'd'\n[time]\nat = 'µ\"t'\norder = 'mdy'\nmixed = true\nzone = 'UTC'\n[[field]]\ncolumn = 't#2'\nquantity = 'air-temperature'\nunit = 'degF'\nkind = 'max'\nspan_s = 86400\nstamp = 'end'";
    for mapping in
        [Ok(full), FileMapping::from_toml(epoch), FileMapping::from_toml(numbers), FileMapping::from_toml(mixed)]
    {
        let mapping = mapping.unwrap();
        let text = mapping.to_toml();
        assert_eq!(FileMapping::from_toml(&text).as_ref(), Ok(&mapping), "{text}");
    }
}

#[test]
fn mapping_file_that_is_wrong_says_the_key_and_what_is_allowed() {
    for (from, to, expected) in [
        ("tunnel-probe", "Tunnel", "name: \"Tunnel\"; allowed 1 to 32 of a-z, 0-9 and '-'"),
        ("column:station", "column: ", "device: \"\"; allowed a name"),
        ("column:station", "station", "device: \"station\"; allowed \"column:NAME\", or a full name"),
        ("column:station", "urn:dev:mac:a b", "device: \"urn:dev:mac:a b\"; allowed"),
        ("windows-1252", "ansi", "line 4: unknown variant `ansi`, expected one of `utf-8`, `windows-1252`"),
        ("\";\"", "\"::\"", "line 5: \"::\"; expected one of"),
        ("\";\"", "\":\"", "separator: ':'; allowed \",\", \";\", \"\\t\" and \"|\""),
        ("header = 3", "header = 10001", "header: 10001; allowed 0 to 10000"),
        ("header = 3", "header = 0", "device: \"station\"; where `header` is 0, columns are numbers"),
        ("header = 3", "heading = 3", "line 7: unknown field `heading`"),
        ("date = \"Datum\"", "", "time: allowed one of: `at`; `date`; `year` with `month` and `day`"),
        ("date = \"Datum\"", "date = \"Datum\"\nat = \"t\"", "time: allowed one of"),
        ("date = \"Datum\"", "year = \"Y\"\nday = \"D\"", "time: allowed one of"),
        ("date = \"Datum\"", "at = \"t\"", "time.clock: `at` holds the time of day"),
        ("clock = \"Zeit\"", "clock = \"Zeit\"\nhour = \"h\"", "time.hour: `clock` is there already"),
        ("clock = \"Zeit\"", "minute = \"m\"", "time.minute: allowed with `hour`"),
        ("clock = \"Zeit\"", "unit = \"s\"", "time.unit: seconds and milliseconds stand in one column"),
        ("clock = \"Zeit\"", "mixed = true", "time.mixed: the steps are those of one device"),
        ("\"dmy\"", "\"myd\"", "line 12: unknown variant `myd`"),
        ("Europe/Rome", "Rome", "line 13: \"Rome\"; allowed a zone such as"),
        ("Europe/Rome", "+1", "line 13: \"+1\"; allowed a zone such as"),
        ("column = 5", "column = 0", "field[1].column: 0; columns are counted from 1"),
        ("column = 5", "column = -1", "line 19: -1; columns are counted from 1"),
        ("column = 5", "at = \"/r\"", "field[1].at: belongs to messages; in files `column` says where"),
        ("column = 5", "", "field[1].column: missing"),
        ("unit = \"mm\"", "unit = \"ft\"", "field[1].unit: \"ft\"; allowed for rain: mm, kg/m2, m"),
        ("kind = \"sum\"", "kind = \"mean\"", "field[1].kind: \"mean\"; allowed for rain: sum"),
        ("kind = \"sum\"", "kind = \"median\"", "line 23: \"median\"; expected one of instant, sum, mean, min, max"),
        ("span_s = 3600", "", "field[1].span_s: needed for rain: 1 to 86400"),
        ("unit = \"Cel\"", "unit = \"Cel\"\nspan_s = 60", "field[0].span_s: allowed for rain only"),
        ("unit = \"Cel\"", "unit = \"Cel\"\nstamp = \"end\"", "field[0].stamp: an instant has no interval"),
        ("unit = \"Cel\"", "unit = \"Cel\"\nkind = \"min\"", "field[0].span_s: needed for min: 1 to 86400"),
        (
            "unit = \"Cel\"",
            "unit = \"Cel\"\nkind = \"sum\"\nspan_s = 60",
            "field[0].kind: \"sum\"; allowed for rain only",
        ),
    ] {
        let error = changed(from, to).unwrap_err();
        assert!(error.starts_with(expected), "{to}: {error}");
    }
}

#[test]
fn time_without_a_zone_needs_texts_that_say_theirs() {
    let text =
        |time: &str| format!("name = 'a'\n[time]\n{time}\n[[field]]\ncolumn = 'x'\nquantity = 'light'\nunit = 'W/m2'");
    let error = |time: &str| FileMapping::from_toml(&text(time)).unwrap_err().to_string();
    assert!(error("year = 'Y'\nmonth = 'M'\nday = 'D'").starts_with("time.zone: missing"));
    assert!(error("at = 't'\nunit = 's'\nzone = 'UTC'").starts_with("time.zone: seconds and milliseconds have none"));
    assert!(error("at = 't'\nmixed = true\nzone = 'UTC'").starts_with("time.mixed: allowed for texts in the order"));
    assert_eq!(FileMapping::from_toml(&text("at = 't'")).map(|mapping| mapping.time.zone), Ok(None));
}

#[test]
fn minimum_and_maximum_of_one_channel_are_two_fields_but_not_the_same_twice() {
    let field = |kind: &str| {
        format!(
            "[[field]]\ncolumn = 'x'\nquantity = 'air-temperature'\nunit = 'degF'\nkind = '{kind}'\nspan_s = 86400\n"
        )
    };
    let text = |one: &str, other: &str| format!("name = 'a'\n[time]\nat = 't'\n{}{}", field(one), field(other));
    assert!(FileMapping::from_toml(&text("min", "max")).is_ok());
    let error = FileMapping::from_toml(&text("min", "min")).unwrap_err();
    assert_eq!(error.key, "field[1].channel");
}
