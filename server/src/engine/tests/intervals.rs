//! Hours of sums and means, and of the lowest and highest values, which have none.

use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::psychrometrics::dew_point_c;

use super::*;
use crate::store::imports::{ImportPiece, NewOrigin};

const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "outdoors"
kind = "outdoors"
name = "Outdoors"
[[spot]]
slug = "screen"
structure = "outdoors"
role = "outside"
[[placement]]
device = "urn:propstick:mast"
channels = ["air-temperature", "air-humidity", "rain"]
spot = "screen"
from = "2026-03-08T12:00:00Z"
"#;

/// Numbers of one series: channel, unit, kind, length and stamp of the interval; each with its stamp in minutes after noon.
struct Part(&'static str, &'static str, SeriesKind, i64, bool, Vec<(i64, f64)>);

/// Imports the parts, works everything out, and gives the hours of a measure: hour after noon, n, minutes covered, smallest and greatest value, sum.
fn hours_of(parts: &[Part], measure: Measure) -> Vec<(i64, u32, i64, f64, f64, f64)> {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut pieces = Vec::new();
    for (k, Part(channel, unit, kind, span_s, stamp_end, values)) in parts.iter().enumerate() {
        pieces.push(ImportPiece::Series(SeriesKey {
            device: "urn:propstick:mast".to_owned(),
            device_kind: DeviceKind::File,
            mapping: Some("mast".to_owned()),
            channel: (*channel).to_owned(),
            unit_sent: (*unit).to_owned(),
            kind: *kind,
            span_s: *span_s,
            stamp_end: *stamp_end,
        }));
        let lot = values.iter().map(|&(minute, v)| (k as u32, NOON.plus(minute * MINUTE), v)).collect();
        pieces.push(ImportPiece::Readings(lot));
    }
    let mut pieces = pieces.into_iter().map(Ok);
    let origin = NewOrigin {
        label: String::new(),
        made_at: NOON,
        file: None,
        sha256: String::new(),
        mapping: String::new(),
        zone: None,
        source: None,
    };
    ledger.import(&origin, &mut || pieces.next()).unwrap();
    let mut engine = Engine::open(dir.path(), Some(parse_garden(GARDEN).unwrap()), Pace::Live).unwrap();
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    let all = Span { from: Millis(0), to: Millis(i64::MAX) };
    let rows = Hours::of_folder(dir.path()).unwrap().hours("screen", measure, all).unwrap();
    let row = |r: &propstick_garden::fold::HourRow| {
        (r.from.since(NOON) / HOUR_MS, r.n, r.covered_ms / MINUTE, r.min, r.max, r.sum)
    };
    rows.iter().map(row).collect()
}

const RAIN: Measure = Measure::Direct(Quantity::Rain);
const AIR: Measure = Measure::Direct(Quantity::AirTemperature);

#[test]
fn sum_stamped_at_its_end_belongs_to_the_hour_before_its_stamp() {
    let sums = |stamp_end| vec![Part("rain", "mm", SeriesKind::Sum, 3_600, stamp_end, vec![(60, 0.25), (120, 1.5)])];
    assert_eq!(hours_of(&sums(true), RAIN), [(0, 1, 60, 0.25, 0.25, 0.25), (1, 1, 60, 1.5, 1.5, 1.5)]);
    assert_eq!(hours_of(&sums(false), RAIN), [(1, 1, 60, 0.25, 0.25, 0.25), (2, 1, 60, 1.5, 1.5, 1.5)]);
}

#[test]
fn sum_whose_interval_began_before_the_device_stood_there_does_not_count() {
    let sums = vec![Part("rain", "mm", SeriesKind::Sum, 3_600, true, vec![(30, 9.0), (90, 0.5)])];
    assert_eq!(hours_of(&sums, RAIN), [(0, 1, 60, 0.5, 0.5, 0.5)]);
}

#[test]
fn shorter_intervals_of_an_hour_are_added_up_and_cover_what_they_are_long() {
    let sums = vec![Part("rain", "mm", SeriesKind::Sum, 900, true, vec![(15, 0.25), (30, 0.5), (60, 1.0), (75, 2.0)])];
    assert_eq!(hours_of(&sums, RAIN), [(0, 3, 45, 0.25, 1.0, 1.75), (1, 1, 15, 2.0, 2.0, 2.0)]);
}

#[test]
fn sums_of_more_than_an_hour_and_lowest_and_highest_values_make_no_hours() {
    let day = 86_400;
    let parts = vec![
        Part("rain", "mm", SeriesKind::Sum, day, false, vec![(0, 12.0)]),
        Part("rain", "mm", SeriesKind::Sum, 3_601, false, vec![(0, 12.0)]),
        Part("air-temperature", "Cel", SeriesKind::Min, 3_600, false, vec![(0, -4.0)]),
        Part("air-temperature", "Cel", SeriesKind::Max, 3_600, false, vec![(0, 14.0)]),
        Part("air-temperature", "Cel", SeriesKind::Mean, day, false, vec![(0, 5.0)]),
    ];
    assert_eq!(hours_of(&parts, RAIN), []);
    assert_eq!(hours_of(&parts, AIR), []);
}

#[test]
fn hour_with_values_at_an_instant_is_made_of_them_alone() {
    let parts = vec![
        Part("air-temperature", "Cel", SeriesKind::Mean, 3_600, false, vec![(0, 50.0), (60, 7.0)]),
        Part("air-temperature", "Cel", SeriesKind::Instant, 0, false, vec![(0, 4.0), (20, 6.0), (40, 5.0)]),
    ];
    let found = hours_of(&parts, AIR);
    assert_eq!(found[0], (0, 3, 60, 4.0, 6.0, 15.0));
    // The last instant reaches ten minutes into the second hour; no value was taken there, and the mean tells of all of it.
    assert_eq!(found[1], (1, 1, 60, 7.0, 7.0, 7.0));
}

#[test]
fn dew_point_comes_of_means_over_the_same_interval_and_of_no_others() {
    let means = |humidity_span_s, humidity_at| {
        vec![
            Part("air-temperature", "Cel", SeriesKind::Mean, 1_800, true, vec![(30, 10.0), (90, 12.0)]),
            Part("air-humidity", "%RH", SeriesKind::Mean, humidity_span_s, true, vec![(humidity_at, 80.0)]),
        ]
    };
    let dew = dew_point_c(10.0, 80.0).unwrap();
    assert_eq!(hours_of(&means(1_800, 30), Measure::DewPoint), [(0, 1, 30, dew, dew, dew)]);
    // Longer, shorter, or beginning at another instant.
    for (span_s, at) in [(3_600, 60), (900, 15), (1_800, 31)] {
        assert_eq!(hours_of(&means(span_s, at), Measure::DewPoint), [], "{span_s} {at}");
    }
}
