//! Layouts of real exports, with invented numbers: how they write their times.

use super::layouts::{airport, uneven};
use super::*;

#[test]
fn month_before_day_uneven_steps_and_stray_blanks_in_the_header() {
    let magnus = |t: f64| 6.112 * (17.62 * t / (243.12 + t)).exp();
    let file = uneven("Date,Tout ,Rhout,Iglob,RadSum,Rain,PARout,Pyrgeo ,AbsHumOut,Windsp", 20, |row| {
        let (t, rh) = (wave(7.0, 4.0, row), wave(75.0, 15.0, row));
        let water = 216.7 * magnus(t) * rh / 100.0 / (273.15 + t);
        let sum = (row % 288) * 3;
        format!(
            "{t:.2},{rh:.1},{:.0},{sum}.00,{}.00,12.00,-60.00,{water:.2},{:.1}",
            wave(340.0, 340.0, row),
            row / 7 % 2,
            wave(6.0, 5.0, row)
        )
    });
    let proposal = open(&file, &in_zone(Tz::Europe__Amsterdam));
    assert_eq!(proposal.asked(), ["unit:Windsp"]);
    assert_eq!(proposal.fields(), ["Tout = air-temperature Cel", "Rhout = air-humidity %RH", "Iglob = light W/m2"]);
    assert_eq!(proposal.mapping.time.order, Order::Mdy);
    assert!(proposal.why("time.order").ends_with("rows have 13 to 31 in the second place, none in the first"));
    assert!(proposal.why("time.zone").contains("winter time"));
    assert!(proposal.why("field Tout").contains("\"AbsHumOut\" follows from it and the humidity in °C"));
    assert!(proposal.why_left("RadSum").contains("a running total"));
    assert!(proposal.why_left("Rain").starts_with("only 0 and 1"));
    assert_eq!(proposal.left(), ["RadSum", "Rain", "PARout", "Pyrgeo", "AbsHumOut"]);
    // Without a garden, the zone is asked for too.
    assert_eq!(open(&file, &Hints::default()).asked(), ["zone", "unit:Windsp"]);
}

#[test]
fn days_that_could_be_months_are_told_by_the_steps() {
    // 1 to 9 February only: nothing above 12 in either place.
    let file = uneven("Date,Temp (°C)", 9, |row| format!("{:.2}", wave(12.0, 5.0, row)));
    let proposal = understood(&file, &in_zone(Tz::Europe__Amsterdam));
    assert_eq!(proposal.mapping.time.order, Order::Mdy);
    assert_eq!(
        proposal.why("time.order"),
        "month before day: so the rows go on steadily (jumps of weeks: 0; in the other order: 8)"
    );
    // One day alone tells nothing.
    let file = uneven("Date,Temp (°C)", 1, |row| format!("{:.2}", wave(12.0, 5.0, row)));
    assert_eq!(open(&file, &in_zone(Tz::Europe__Amsterdam)).asked(), ["order"]);
}

#[test]
fn station_column_date_hour_and_minute_that_never_change_the_clock() {
    let mut file = String::from(
        "station,date,hour,minute,temp_soil_5cm,temp_200cm,rh_200cm,global_rad_wm2,wind_dir_deg,rain_mm,wind_ms,battery_v,leaf_wetness\n",
    );
    for (row, time) in wall("2022-01-01 00:00", "2022-12-01 00:00", 60).iter().enumerate() {
        let station = if time.format("%m").to_string().as_str() < "05" { 1 } else { 14 };
        file.push_str(&format!(
            "{station},{},0,{:.3},{:.3},{:.2},{:.3},,{},2.1,12.{},{}\n",
            time.format("%Y-%m-%d,%-H"),
            wave(12.0, 5.0, row),
            wave(12.0, 9.0, row),
            wave(80.0, 15.0, row),
            wave(300.0, 300.0, row),
            if row % 9 == 0 { 0.4 } else { 0.0 },
            row % 9,
            if row % 3 == 0 { 100 } else { 0 },
        ));
    }
    let proposal = open(&file, &in_zone(Tz::Europe__Berlin));
    assert_eq!(proposal.asked(), ["zone", "stamp"]);
    assert_eq!(proposal.question("zone").choices, ["+01:00", "UTC"]);
    let evidence = &proposal.question("zone").evidence;
    assert!(evidence.contains("stands in the hour that 2022-03-27 does not have"), "{evidence}");
    assert_eq!(proposal.mapping.device, FileDevice::Column(Column::Name("station".to_owned())));
    assert_eq!(
        proposal.fields(),
        [
            "temp_soil_5cm = soil-temperature Cel",
            "temp_200cm = air-temperature Cel",
            "rh_200cm = air-humidity %RH",
            "global_rad_wm2 = light W/m2",
            "rain_mm = rain mm sum 3600 end",
            "wind_ms = wind-speed m/s",
            "battery_v = battery-voltage V",
            "leaf_wetness = leaf-wetness %"
        ]
    );
    // In Ireland a clock that never changes can only be UTC.
    assert_eq!(open(&file, &in_zone(Tz::Europe__Dublin)).asked(), ["stamp"]);
}

/// Rows of a logger every 15 minutes through the autumn of 2021 in Rome, its clock put back at 04:00.
fn autumn() -> Vec<chrono::NaiveDateTime> {
    let mut times = wall("2021-10-20 00:00", "2021-10-31 04:00", 15);
    times.extend(wall("2021-10-31 03:00", "2021-11-20 00:00", 15));
    times
}

#[test]
fn logger_with_two_columns_of_one_name_that_puts_its_clock_back() {
    let mut file = String::from(
        "Read_NO,Timestamp,Soil Temperature (°C),Plant Temperature (°C), PAR (µmol/m²/s), Water Content 1 (m³/m³),  Water Content 1 (m³/m³)\n",
    );
    for (row, time) in autumn().iter().enumerate() {
        file.push_str(&format!("{},{},14.2,NaN,510.2,0.25,0.31\n", row + 1, time.format("%d/%m/%Y %H:%M:%S")));
    }
    let proposal = understood(&file, &in_zone(Tz::Europe__Rome));
    assert_eq!(
        proposal.fields(),
        [
            "Soil Temperature (°C) = soil-temperature Cel",
            "Water Content 1 (m³/m³) = soil-moisture-1 /",
            "Water Content 1 (m³/m³)#2 = soil-moisture-2 /"
        ]
    );
    assert_eq!(proposal.left(), ["Read_NO", "Plant Temperature (°C)", " PAR (µmol/m²/s)".trim()]);
    assert_eq!((proposal.zone().as_str(), proposal.mapping.time.order), ("Europe/Rome", Order::Dmy));
    assert!(
        proposal.why("time.zone").contains("that comes twice is there twice (line 1,074)"),
        "{}",
        proposal.why("time.zone")
    );
    assert_eq!(proposal.mapping.name, "tunnel-probe-1");
}

#[test]
fn day_and_month_that_change_places_are_told_row_by_row() {
    let mut file = String::from("Read_NO,Timestamp,Temperature (°C),Relative Humidity (%)\n");
    for (row, time) in autumn().iter().enumerate() {
        let is_swapped = ("2021-11-01 01:00".to_owned().."2021-11-13 00:00".to_owned())
            .contains(&time.format("%Y-%m-%d %H:%M").to_string());
        let form = if is_swapped { "%m/%d/%Y %H:%M:%S" } else { "%d/%m/%Y %H:%M:%S" };
        file.push_str(&format!("{},{},{:.2},91.5\n", row + 1, time.format(form), wave(9.0, 3.0, row)));
    }
    let proposal = understood(&file, &in_zone(Tz::Europe__Rome));
    assert_eq!((proposal.mapping.time.order, proposal.mapping.time.mixed), (Order::Dmy, true));
    // 1 to 12 November but the 11th, which is the same both ways; line 1,162 is 1 November 01:00.
    let why = proposal.why("time.order");
    assert!(
        why.starts_with("day before month in most rows; in 1,052 rows between line 1,162 and line 2,309 "),
        "{why}"
    );
    assert!(why.ends_with("(jumps of weeks: 0 instead of 13)"), "{why}");
    assert_eq!(proposal.zone(), "Europe/Rome");
}

#[test]
fn value_before_time_and_a_zone_at_the_head_of_the_times() {
    let mut file = String::from("Substrate temperature (°C),Europe/Rome\r\n");
    for (row, time) in wall("2021-06-22 11:15", "2021-06-25 11:15", 15).iter().enumerate() {
        file.push_str(&format!("{:.1},{time}\r\n", wave(28.0, 4.0, row)));
    }
    let proposal = understood(&file, &Hints::default());
    assert_eq!(proposal.fields(), ["Substrate temperature (°C) = soil-temperature Cel"]);
    assert_eq!(proposal.zone(), "Europe/Rome");
    assert_eq!(proposal.mapping.time.at, Some(Column::Name("Europe/Rome".to_owned())));
    assert_eq!(proposal.mapping.name, "file");
}

#[test]
fn rows_of_another_clock_in_between_are_pointed_out_from_their_first_line() {
    let mut file = String::from("Timestamp,Temperature 1 (°C),Temperature 2 (°C)\n");
    let times = wall("2022-01-10 00:00", "2022-02-20 00:00", 15);
    for (row, time) in times.iter().enumerate() {
        file.push_str(&format!("{},12.1,12.4\n", time.format("%d/%m/%Y %H:%M:%S")));
        if row >= 2000 && row % 2 == 1 {
            let between = *time + chrono::TimeDelta::seconds(403);
            file.push_str(&format!("{},11.9,12.0\n", between.format("%d/%m/%Y %H:%M:%S")));
        }
    }
    let proposal = understood(&file, &in_zone(Tz::Europe__Rome));
    assert_eq!(proposal.fields().len(), 2);
    let caution = &proposal.cautions[0];
    // Line 2 is row 0, so row 2001 stands in line 2,003 and the first of the others behind it.
    assert!(
        caution.says.starts_with(
            "from line 2,004 on, rows of another clock stand between those 15 min apart, 6 min 43 s behind them"
        ),
        "{caution:?}"
    );
    assert_eq!((caution.first_line, caution.times), (2004, 967));
}

#[test]
fn instant_with_its_offset_wins_over_the_parts_of_a_local_time() {
    let file = airport();
    let proposal = open(&file, &in_zone(Tz::America__New_York));
    assert_eq!(proposal.mapping.time.at, Some(Column::Name("time_hour".to_owned())));
    assert_eq!((proposal.mapping.time.zone, &proposal.mapping.time.year), (None, &None));
    assert_eq!(proposal.asked(), ["stamp", "unit:wind_speed", "unit:precip"]);
    assert_eq!(proposal.question("unit:precip").choices, ["mm", "in", "m"]);
    assert_eq!(
        proposal.fields(),
        ["temp = air-temperature degF", "humid = air-humidity %RH", "pressure = air-pressure hPa"]
    );
    assert!(proposal.why("field temp").contains("\"dewp\" follows from it and the humidity in °F"));
    assert_eq!(proposal.left(), ["origin", "year", "month", "day", "hour", "dewp", "wind_dir", "wind_gust", "visib"]);
    assert_eq!(proposal.mapping.missing, ["NA"]);
    let hints = Hints {
        units: [("wind_speed".to_owned(), "mph".to_owned())].into(),
        quantities: [("precip".to_owned(), "-".to_owned())].into(),
        ..in_zone(Tz::America__New_York)
    };
    let proposal = understood(&file, &hints);
    assert_eq!(proposal.fields()[2], "wind_speed = wind-speed mph");
    assert_eq!(proposal.why_left("precip"), "you said so");
}

#[test]
fn parts_of_the_time_with_a_clock_of_digits_and_extremes_of_the_hour() {
    let mut file = String::from("month,day,year,doy,hhmm,tmax_c,tmin_c,rs_wm2,wind_ms,dewpoint_c,eto_mm_h\n");
    for (row, time) in wall("2015-01-01 00:00", "2015-01-12 00:00", 60).iter().enumerate() {
        let clock: u32 = time.format("%H%M").to_string().parse().unwrap();
        file.push_str(&format!(
            "{},1,{clock},{:.1},{:.1},{:.0},0.3,-17.6,0.0\n",
            time.format("%-m,%-d,%Y"),
            wave(3.0, 9.0, row) + 1.0,
            wave(3.0, 9.0, row),
            wave(99.0, 99.0, row)
        ));
    }
    let proposal = open(&file, &in_zone(Tz::America__Los_Angeles));
    assert_eq!(proposal.asked(), ["stamp"]);
    assert_eq!(
        proposal.fields(),
        [
            "tmax_c = air-temperature Cel max 3600 end",
            "tmin_c = air-temperature Cel min 3600 end",
            "rs_wm2 = light W/m2",
            "wind_ms = wind-speed m/s"
        ]
    );
    assert_eq!(proposal.mapping.time.clock, Some(Column::Name("hhmm".to_owned())));
    assert_eq!(proposal.left(), ["doy", "dewpoint_c", "eto_mm_h"]);
}

#[test]
fn seconds_and_milliseconds_since_1970_are_told_by_their_size() {
    // Troubles page 11.
    for (times, unit) in
        [([1_772_971_620_i64, 1_772_971_680], TimeForm::S), ([1_772_971_620_000, 1_772_971_680_000], TimeForm::Ms)]
    {
        let file = format!("ts,temp_c\n{},8.1\n{},8.2\n", times[0], times[1]);
        let proposal = understood(&file, &Hints::default());
        assert_eq!((proposal.mapping.time.unit, proposal.mapping.time.zone), (unit, None));
        assert_eq!(sample(file.as_bytes(), &proposal)[0].at, from_rfc3339("2026-03-08T12:07:00Z").unwrap());
    }
}
