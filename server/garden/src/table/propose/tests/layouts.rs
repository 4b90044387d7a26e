//! Layouts of real exports, with invented numbers: their columns, names and units.

use super::*;

/// Year-long hourly rows of a station: `time_utc` and the rest.
fn station(days: i64) -> String {
    let mut file = String::from("time_utc,rain,temp,rhum,msl,wdsp,wddir\n");
    let until = format!("2017-{:02}-01 00:00", 1 + days / 30);
    for (row, time) in wall("2017-01-01 00:00", &until, 60).iter().enumerate() {
        let rain = if row % 3 == 0 { 0.6 } else { 0.0 };
        let (temp, rh) = (wave(11.0, 7.0, row), wave(80.0, 15.0, row));
        file.push_str(&format!(
            "{},{rain},{temp:.1},{rh:.1},1019.{},{}.0,230.0\n",
            time.format("%Y-%m-%dT%H:%M:%SZ"),
            row % 10,
            row % 30
        ));
    }
    file
}

#[test]
fn station_with_instants_in_utc_asks_for_the_unit_of_the_wind_and_the_stamp_of_the_rain() {
    let file = station(300);
    let proposal = open(&file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.asked(), ["stamp", "unit:wdsp"]);
    assert_eq!(proposal.question("unit:wdsp").choices, ["m/s", "km/h", "mph", "kn"]);
    assert_eq!(proposal.left(), ["msl", "wddir"]);
    assert!(proposal.why_left("msl").starts_with("pressure reduced to sea level"));
    let hints = Hints {
        units: [("wdsp".to_owned(), "knots".to_owned())].into(),
        stamp: Some(Stamp::End),
        ..in_zone(Tz::Europe__Dublin)
    };
    let proposal = understood(&file, &hints);
    assert_eq!(
        proposal.fields(),
        [
            "rain = rain mm sum 3600 end",
            "temp = air-temperature Cel",
            "rhum = air-humidity %RH",
            "wdsp = wind-speed kn"
        ]
    );
    assert_eq!(proposal.zone(), "");
    assert!(
        proposal.why("field temp").contains("as °F that would be -12 °C all the time"),
        "{}",
        proposal.why("field temp")
    );
    assert!(proposal.why("field rain").contains("more than falls anywhere"), "{}", proposal.why("field rain"));
}

#[test]
fn station_of_two_months_does_not_tell_the_unit_of_its_temperature() {
    let proposal = open(station(60), &in_zone(Tz::Europe__Dublin));
    assert!(proposal.asked().contains(&"unit:temp"), "{:?}", proposal.asked());
}

#[test]
fn quoted_date_and_hour_with_radiation_of_an_unknown_unit() {
    let mut file = String::from("\"short_date\",\"hour\",\"lat\",\"long\",\"temp\",\"rhum\",\"sol_rad\"\n");
    for (row, time) in wall("2016-04-30 00:00", "2016-09-17 00:00", 60).iter().enumerate() {
        let sun = wave(1.2, 1.2, row).max(0.0);
        let (date, hour) = (time.format("%Y-%m-%d"), time.format("%-H"));
        file.push_str(&format!(
            "\"{date}\",{hour},51.2,-8.1,{:.1},{:.0},{sun:.3}\n",
            wave(15.0, 6.0, row),
            wave(80.0, 12.0, row)
        ));
    }
    let proposal = open(&file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.asked(), ["zone", "stamp", "unit:sol_rad"]);
    assert_eq!(proposal.question("zone").choices, ["Europe/Dublin", "UTC"]);
    assert_eq!(proposal.question("unit:sol_rad").choices[0], "MJ/m2/h");
    assert_eq!(proposal.left(), ["lat", "long"]);
    let hints = Hints {
        zone: Some(Clock::UTC),
        units: [("sol_rad".to_owned(), "MJ/m2".to_owned())].into(),
        stamp: Some(Stamp::Start),
        ..in_zone(Tz::Europe__Dublin)
    };
    let proposal = understood(&file, &hints);
    assert_eq!(
        proposal.fields(),
        ["temp = air-temperature Cel", "rhum = air-humidity %RH", "sol_rad = light MJ/m2/h mean 3600 start"]
    );
    let time = &proposal.mapping.time;
    assert_eq!(
        (&time.date, &time.hour),
        (&Some(Column::Name("short_date".to_owned())), &Some(Column::Name("hour".to_owned())))
    );
}

/// Rows 4, 5 and 6 minutes apart, as `2/1/2022 0:04`.
pub(super) fn uneven(columns: &str, days: i64, row_text: impl Fn(usize) -> String) -> String {
    let mut file = format!("{columns}\n");
    let until = format!("2022-02-{:02} 00:00", 1 + days);
    for (row, time) in wall("2022-02-01 00:00", &until, 5).iter().enumerate() {
        let time = *time + chrono::TimeDelta::minutes([0, -1, -1][row % 3]);
        file.push_str(&format!("{},{}\n", time.format("%-m/%-d/%Y %-H:%M"), row_text(row)));
        if row % 100 == 99 {
            file.push_str(",,,,\n");
        }
    }
    file
}

#[test]
fn two_sensors_and_a_deficit_tell_the_units_of_both_temperatures() {
    let magnus = |t: f64| 6.112 * (17.62 * t / (243.12 + t)).exp();
    let file = uneven("Date,Tair,Rhair,HumDef,VentLee,EnScr,Tpipe,PARin,Tair_crop,Rhair_crop", 20, |row| {
        let (t, rh) = (wave(18.0, 4.0, row), wave(75.0, 15.0, row));
        let deficit = 216.7 * magnus(t) * (100.0 - rh) / 100.0 / (273.15 + t);
        format!("{t:.2},{rh:.1},{deficit:.2},0.30,99.80,21.50,0.00,{:.2},{:.2}", t + 3.0, rh + 2.0)
    });
    let proposal = understood(&file, &in_zone(Tz::Europe__Amsterdam));
    assert_eq!(
        proposal.fields(),
        [
            "Tair = air-temperature-1 Cel",
            "Rhair = air-humidity-1 %RH",
            "Tair_crop = air-temperature-2 Cel",
            "Rhair_crop = air-humidity-2 %RH"
        ]
    );
    assert_eq!(proposal.left(), ["HumDef", "VentLee", "EnScr", "Tpipe", "PARin"]);
    assert!(proposal.why("field Tair_crop").contains("lie near each other"));
}

/// Local parts of the time beside an instant with Z; dew point by the Magnus formula, in °F.
pub(super) fn airport() -> String {
    let mut file = String::from(
        "origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed,wind_gust,precip,pressure,visib,time_hour\n",
    );
    for (row, time) in wall("2013-02-01 05:00", "2013-02-20 05:00", 60).iter().enumerate() {
        let local = *time - chrono::TimeDelta::hours(5);
        let (f, rh) = (wave(35.0, 8.0, row), wave(60.0, 20.0, row));
        let c = (f - 32.0) / 1.8;
        let g = (rh / 100.0).ln() + 17.62 * c / (243.12 + c);
        let dew_f = 243.12 * g / (17.62 - g) * 1.8 + 32.0;
        let gust = if row % 5 == 0 { "23.02" } else { "NA" };
        file.push_str(&format!(
            "AAA,{},{f:.2},{dew_f:.2},{rh:.2},260,{:.5},{gust},{},1012.{},10,{}\n",
            local.format("%Y,%-m,%-d,%-H"),
            11.5078 + (row % 4) as f64,
            if row % 11 == 0 { "0.02" } else { "0" },
            row % 10,
            time.format("%Y-%m-%dT%H:%M:%SZ")
        ));
    }
    file
}

#[test]
fn dew_point_does_not_tell_the_unit_where_it_fits_neither() {
    // The dew point of other air.
    let file = airport().replace(",dewp,", ",other,");
    assert!(open(&file, &in_zone(Tz::America__New_York)).asked().contains(&"unit:temp"));
}

#[test]
fn cryptic_names_are_asked_for_and_not_guessed() {
    let mut file = String::from("YEAR,MONTH,DAY,HOUR,OB,TP,WS,SI\r\n");
    for (row, time) in wall("2015-02-27 00:00", "2015-03-08 02:00", 60)
        .iter()
        .chain(&wall("2015-03-08 03:00", "2015-03-20 00:00", 60))
        .enumerate()
    {
        let wind = if row % 50 == 0 { "NO RECORD" } else { "2.11" };
        file.push_str(&format!(
            "{},{:.2},{:.2},{wind},{:.2}\r\n",
            time.format("%Y,%m,%d,%H"),
            wave(45.0, 20.0, row),
            wave(20.0, 9.0, row),
            wave(40.0, 40.0, row)
        ));
    }
    let proposal = open(&file, &in_zone(Tz::America__Los_Angeles));
    assert_eq!(proposal.asked(), ["quantity:OB", "quantity:TP", "quantity:WS", "quantity:SI"]);
    assert!(proposal.mapping.fields.is_empty());
    assert_eq!(proposal.mapping.missing, ["NO RECORD"]);
    assert_eq!(proposal.zone(), "America/Los_Angeles");
    assert!(proposal.why("time.zone").contains("the hour that 2015-03-08 does not have is left out"));
    let said = |pairs: [(&str, &str); 4]| pairs.map(|(column, what)| (column.to_owned(), what.to_owned())).into();
    let hints = Hints {
        quantities: said([("OB", "air-temperature"), ("TP", "-"), ("WS", "wind-speed"), ("SI", "light")]),
        units: said([("OB", "degF"), ("WS", "mph"), ("SI", "ly"), ("nowhere", "mm")]),
        stamp: Some(Stamp::End),
        ..in_zone(Tz::America__Los_Angeles)
    };
    let proposal = understood(&file, &hints);
    assert_eq!(
        proposal.fields(),
        ["OB = air-temperature degF", "WS = wind-speed mph", "SI = light ly/h mean 3600 end"]
    );
    assert_eq!(proposal.cautions[0].says, "there is no column \"nowhere\"; what was said of it is not used");
}

#[test]
fn days_below_a_long_preamble_take_the_unit_that_it_names() {
    let mut file = b"\"Some programme\"\n\" \"\n\"   Lower/upper threshold: 50/70\xB0F\"\n\"Variable   Description   Units\"\n\"   1       Date\"\n\"   2       Temperature, minimum          \xB0F\"\n\" \"\n\"Date\",\"Temp min\",\"Temp max\",\"Daily DD\",\"Accumulated DD\"\n".to_vec();
    let mut sum = 0.0;
    for (row, time) in wall("2020-01-01 00:00", "2020-03-01 00:00", 1440).iter().enumerate() {
        sum += 1.19;
        let low = wave(36.0, 5.0, row);
        file.extend(format!("{}   ,{low:.0},{:.0},1.19,{sum:.2}\n", time.format("%-m/%-d/%Y"), low + 20.0).bytes());
    }
    let proposal = understood(&file, &in_zone(Tz::America__Los_Angeles));
    assert_eq!((proposal.mapping.encoding, proposal.mapping.header), (crate::table::Encoding::Windows1252, 8));
    assert_eq!(
        proposal.fields(),
        ["Temp min = air-temperature degF min 86400 start", "Temp max = air-temperature degF max 86400 start"]
    );
    assert_eq!(proposal.left(), ["Daily DD", "Accumulated DD"]);
    assert_eq!(proposal.mapping.time.order, Order::Mdy);
    assert!(
        proposal.why("field Temp min").ends_with("the lines above the header name °F and no other unit of temperature")
    );
}

#[test]
fn days_of_a_year_tell_fahrenheit_by_their_maxima_and_the_minima_follow() {
    let mut file = String::from("\"station\",\"date\",\"tmin\",\"tmax\"\n");
    for (row, time) in wall("2020-05-01 00:00", "2020-08-01 00:00", 1440).iter().enumerate() {
        let low = wave(52.0, 6.0, row);
        file.push_str(&format!("\"North.A\",{},{low:.0},{:.0}\n", time.format("%Y-%m-%d"), low + 34.0));
    }
    let proposal = understood(&file, &in_zone(Tz::America__Los_Angeles));
    assert_eq!(
        proposal.fields(),
        ["tmin = air-temperature degF min 86400 start", "tmax = air-temperature degF max 86400 start"]
    );
    assert!(proposal.why("field tmin").contains("the other end of the same days"), "{}", proposal.why("field tmin"));
    assert_eq!(proposal.mapping.device, FileDevice::Column(Column::Name("station".to_owned())));
}

#[test]
fn one_number_a_day_without_a_word_is_asked_for() {
    let mut file = String::from("Datum;Temperatur (°C)\n");
    for (row, time) in wall("2026-01-01 00:00", "2026-02-15 00:00", 1440).iter().enumerate() {
        file.push_str(&format!(
            "{};{}\n",
            time.format("%d.%m.%Y"),
            format!("{:.1}", wave(5.0, 3.0, row)).replace('.', ",")
        ));
    }
    let proposal = open(&file, &in_zone(Tz::Europe__Berlin));
    assert_eq!(proposal.asked(), ["quantity:Temperatur (°C)"]);
    assert_eq!(proposal.question("quantity:Temperatur (°C)").choices[0], "air-temperature mean");
    let hints = Hints {
        quantities: [("Temperatur (°C)".to_owned(), "air-temperature min".to_owned())].into(),
        ..in_zone(Tz::Europe__Berlin)
    };
    assert_eq!(understood(&file, &hints).fields(), ["Temperatur (°C) = air-temperature Cel min 86400 start"]);
}

#[test]
fn humidity_from_0_to_1_is_asked_for() {
    let mut file = String::from("time_utc,RH %\n");
    for (row, time) in wall("2026-01-01 00:00", "2026-01-03 00:00", 60).iter().enumerate() {
        file.push_str(&format!("{time},{:.2}\n", wave(0.8, 0.15, row)));
    }
    let proposal = open(&file, &in_zone(Tz::Europe__Dublin));
    assert_eq!(proposal.asked(), ["unit:RH %"]);
    assert!(proposal.question("unit:RH %").evidence.ends_with("a ratio from 0 to 1 is not per cent"));
}

#[test]
fn names_that_tell_rows_of_one_time_apart_are_devices() {
    let mut file = String::from("time;bench;Luftfeuchte [%]\n");
    for (row, time) in wall("2026-01-01 00:00", "2026-01-05 00:00", 10).iter().enumerate() {
        for bench in ["north", "south", "east"] {
            file.push_str(&format!("{time};{bench};{:.1}\n", wave(80.0, 10.0, row)).replace('.', ","));
        }
    }
    let proposal = understood(&file, &in_zone(Tz::Europe__Berlin));
    assert_eq!(proposal.mapping.device, FileDevice::Column(Column::Name("bench".to_owned())));
    assert_eq!(proposal.why("device"), "1,152 rows have the time of the row before and another name in this column");
    assert_eq!(proposal.fields(), ["Luftfeuchte [%] = air-humidity %RH"]);
}

#[test]
fn table_without_a_header_has_numbered_columns() {
    let file = "2026-03-02T13:00:00Z,8.1,91\n2026-03-02T13:10:00Z,8.2,91\n2026-03-02T13:20:00Z,8.2,90\n";
    let proposal = open(file, &Hints::default());
    assert_eq!((proposal.mapping.header, proposal.asked()), (0, vec!["quantity:2", "quantity:3"]));
    let said = |pairs: [(&str, &str); 2]| pairs.map(|(column, what)| (column.to_owned(), what.to_owned())).into();
    let hints = Hints {
        quantities: said([("2", "air-temperature"), ("3", "air-humidity")]),
        units: said([("2", "Cel"), ("3", "%")]),
        ..Hints::default()
    };
    let proposal = understood(file, &hints);
    assert_eq!(proposal.fields(), ["2 = air-temperature Cel", "3 = air-humidity %RH"]);
}
