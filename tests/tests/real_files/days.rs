//! From a file to its days: the coastal airport's reports imported, worked out, and compared with days of another tool (`tests/imports/days.csv`, made
//! by `days.py` beside it), by UTC and by the place's own clock.

use std::convert::Infallible;
use std::ops::ControlFlow;
use std::path::Path;

use chrono::NaiveDate;
use propstick::engine::{Command, Engine, Input, Pace};
use propstick::store::derived::Hours;
use propstick::store::folder;
use propstick::store::imports::{ImportPiece, NewOrigin};
use propstick::store::ledger::Ledger;
use propstick::store::readings::Span;
use propstick::web::Views;
use propstick_agronomy::degree_days::Method;
use propstick_garden::fold::{DayKind, HourRow, WantedDegreeDays, day_figures};
use propstick_garden::instant::from_rfc3339;
use propstick_garden::model::{Garden, Measure, parse_garden};
use propstick_garden::table::{self, Piece, Report, Trouble};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::program::quick_folder;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::{NOW, Row, mapping, table_of};

const AIRPORT: &str = "dewpoint-dst-2013/coastal-airport-hourly-2013.csv";

/// A garden with nothing but a screen, at which the airport's instruments hang.
fn garden(zone: &str) -> Garden {
    let text = format!(
        r#"
[garden]
name = "Runway end"
lat = 40.6
lon = -73.8
zone = "{zone}"
[[structure]]
slug = "outdoors"
kind = "outdoors"
name = "Outdoors"
[[spot]]
slug = "screen"
structure = "outdoors"
role = "outside"
[[placement]]
device = "urn:propstick:airport:JFK"
channels = ["air-temperature", "air-humidity"]
spot = "screen"
from = "2012-01-01T00:00:00Z"
"#
    );
    parse_garden(&text).unwrap()
}

/// A folder in which the file is imported by its local columns and worked out for a garden in this zone.
fn worked_out(file: &Path, zone: &str) -> tempfile::TempDir {
    let dir = quick_folder().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = Engine::open(dir.path(), Some(garden(zone)), Pace::Live).unwrap();
    let origin = NewOrigin {
        label: "airport".to_owned(),
        made_at: NOW,
        file: None,
        sha256: "0".repeat(64),
        mapping: "airport".to_owned(),
        zone: None,
        source: None,
    };
    let mut pieces = pieces(file).into_iter();
    let imported = ledger.import(&origin, &mut || pieces.next().map(Ok)).unwrap();
    // 8,706 rows of temperature, humidity and wind, three without wind.
    assert_eq!((imported.readings, imported.twice_same, imported.twice_other), (26_115, 0, 0));
    engine.step(Input::Command(Command::LookInLedger)).unwrap();
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    dir
}

fn pieces(file: &Path) -> Vec<ImportPiece> {
    let bytes = std::fs::read(file).unwrap();
    let mut pieces = Vec::new();
    let done: Result<Report, Trouble<Infallible>> = table::read(&bytes[..], &mapping("airport"), NOW, &mut |piece| {
        pieces.push(match piece {
            Piece::Series(key) => ImportPiece::Series(key.clone()),
            Piece::Readings(lot) => ImportPiece::Readings(lot.iter().map(|r| (r.series, r.t, r.v)).collect()),
        });
        ControlFlow::Continue(())
    });
    done.unwrap();
    pieces
}

#[test]
fn airport_s_days_by_utc_and_by_its_own_clock_are_those_of_another_tool() {
    let Some(file) = reference_file(AIRPORT) else { return };
    let counted = table_of("days.csv");
    for (zone, dates) in [("UTC", 364), ("America/New_York", 364)] {
        let days: Vec<&Row> = counted.iter().filter(|row| row["zone"] == zone).collect();
        assert_eq!(days.len(), dates, "{zone}");
        let dir = worked_out(&file, zone);
        let differs = differences(dir.path(), zone, &days);
        assert!(differs.is_empty(), "{} differ:\n{}", differs.len(), differs.join("\n"));
    }
}

/// What the days of temperature (as asked of the program) and of humidity (from its hours) have other than the table.
fn differences(dir: &Path, zone: &str, days: &[&Row]) -> Vec<String> {
    let (garden, views) = (garden(zone), Views::open(dir).unwrap());
    let hours = Hours::open(&folder::derived_path(dir)).unwrap();
    let first: NaiveDate = days[0]["date"].parse().unwrap();
    let asked = (first, days.len() as u64);
    let answer = views
        .days(&garden, "outdoors", DayKind::Civil, asked, &WantedDegreeDays::horizontal(&[5.0], None), NOW)
        .unwrap();
    assert_eq!(answer.days.len(), days.len());
    let mut differs = Vec::new();
    for (found, row) in answer.days.iter().zip(days) {
        let mut same = |name: &str, found: Option<f64>, within: f64| {
            let counted = row[name].parse::<f64>().ok();
            let is_same = match (found, counted) {
                (Some(a), Some(b)) => (a - b).abs() <= within,
                (None, None) => true,
                _ => false,
            };
            if !is_same {
                differs.push(format!(
                    "{zone} {} {name}: worked out {found:?}, by the other tool {counted:?}",
                    row["date"]
                ));
            }
        };
        assert_eq!(found.date, row["date"]);
        // A figure of the program is rounded to four decimals, one of the table to five.
        const ROUNDED: f64 = 0.000_056;
        same("hours", Some(found.hours as f64), 0.0);
        same("min_c", found.min_c.value, ROUNDED);
        same("mean_c", found.mean_c.value, ROUNDED);
        same("max_c", found.max_c.value, ROUNDED);
        let average = found.degree_days.iter().find(|d| d.method == Method::Average1.name()).unwrap();
        same("degree_days_5", average.figure.value, ROUNDED);
        let span = DayKind::Civil.span(garden.zone, row["date"].parse().unwrap());
        for (measure, unit) in [(Measure::Direct(Quantity::AirHumidity), "rh"), (Measure::DewPoint, "dew_c")] {
            let rows = hours.hours("screen", measure, Span { from: span.from, to: span.to }).unwrap();
            let day = day_figures(&rows, span.from, span.to, 0.0);
            same(&format!("min_{unit}"), day.min.value, ROUNDED);
            same(&format!("mean_{unit}"), day.mean.value, ROUNDED);
            same(&format!("max_{unit}"), day.max.value, ROUNDED);
            same("covered_h", Some(day.measured * span.hours() as f64), 0.005);
        }
    }
    differs
}

#[test]
fn airport_s_dew_points_are_as_near_to_its_own_column_as_another_tool_and_the_readme_say() {
    let Some(file) = reference_file(AIRPORT) else { return };
    let dir = worked_out(&file, "America/New_York");
    let hours = Hours::open(&folder::derived_path(dir.path())).unwrap();
    let of = |measure: Measure| -> Vec<HourRow> {
        let rows = hours.hours("screen", measure, Span { from: Millis(0), to: NOW }).unwrap();
        rows.into_iter().filter(|hour| hour.n > 0).collect()
    };
    let (dew, t, rh) = (
        of(Measure::DewPoint),
        of(Measure::Direct(Quantity::AirTemperature)),
        of(Measure::Direct(Quantity::AirHumidity)),
    );
    let rows = csv_rows(&file, &["time_hour", "dewp"]).unwrap();
    assert_eq!([dew.len(), t.len(), rh.len(), rows.len()], [8_706; 4]);
    let (mut ours, mut by_wmo) = (Vec::new(), Vec::new());
    for (k, row) in rows.iter().enumerate() {
        for hour in [&dew[k], &t[k], &rh[k]] {
            assert_eq!((Some(hour.from), hour.n), (from_rfc3339(&row[0]), 1), "{row:?}");
        }
        let told = (row[1].parse::<f64>().unwrap() - 32.0) * 5.0 / 9.0;
        ours.push(dew[k].sum - told);
        by_wmo.push(dew_point_by_wmo_8_c(t[k].sum, rh[k].sum) - told);
    }
    // `days.py --readme`, by the formula of the climate sheet: 0.0383, 0.1428, 7,323 within 0.04, farthest 2.377.
    let Off { mean, sd, near, farthest } = Off::of(&ours);
    assert!((mean - 0.0383).abs() < 6e-5 && (sd - 0.1428).abs() < 6e-5, "mean {mean}, sd {sd}");
    assert_eq!((near, (farthest * 1_000.0).round()), (7_323, 2_377.0));
    // README of dewpoint-dst-2013, by WMO-8's: mean difference +0.02 °C, sd 0.14; most within 0.04; a handful off by up to 2.4 °C.
    let Off { mean, sd, near, farthest } = Off::of(&by_wmo);
    assert!((mean - 0.02).abs() < 0.005 && (sd - 0.14).abs() < 0.005, "mean {mean}, sd {sd}");
    assert!(2 * near > by_wmo.len() && (farthest - 2.4).abs() < 0.05, "{near} within 0.04, farthest {farthest}");
}

/// How far numbers are off.
struct Off {
    mean: f64,
    sd: f64,
    /// How many are off by at most 0.04.
    near: usize,
    farthest: f64,
}

impl Off {
    fn of(off: &[f64]) -> Off {
        let n = off.len() as f64;
        let mean = off.iter().sum::<f64>() / n;
        Off {
            mean,
            sd: (off.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / n).sqrt(),
            near: off.iter().filter(|d| d.abs() <= 0.04).count(),
            farthest: off.iter().fold(0.0_f64, |far, d| far.max(d.abs())),
        }
    }
}

/// Dew point over water by the saturation pressure of WMO-No. 8 (climate sheet 1.1), °C.
fn dew_point_by_wmo_8_c(t_c: f64, rh_pct: f64) -> f64 {
    let x = (rh_pct / 100.0).ln() + 17.62 * t_c / (243.12 + t_c);
    243.12 * x / (17.62 - x)
}
