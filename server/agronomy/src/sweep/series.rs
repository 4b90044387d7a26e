//! Series and their marks.

use super::{Answers, Refuses, Row, Wild};
use crate::coverage::{
    CadenceWindow, HOUR_MS, HourCell, Interval, Sample, cadence_ms, gaps, hour_cells, interval_cells,
};
use crate::quality::{
    Kind, Marks, Place, Scratch, Series, Vapour, beside_each, humidity_for_physics, is_spike, mark_apart,
    mark_drier_than_outside, mark_series, mark_sunlit, needed_from, radiation_error_c,
};
use crate::sourced;
use alloc::format;
use alloc::vec::Vec;

const STEP_MS: i64 = 600_000;

fn wild_series(w: &mut Wild) -> Vec<Sample> {
    let mut t_ms = 0;
    (0..30)
        .map(|_| {
            t_ms += STEP_MS * w.one_of(&[1, 1, 1, 2, 30]);
            Sample { t_ms, v: w.n() }
        })
        .collect()
}

/// The cells that hold something: the ends of an empty one mean nothing, and say so.
fn held(cells: &[HourCell]) -> Vec<(&HourCell, Option<f64>)> {
    cells.iter().filter(|cell| cell.n > 0).map(|cell| (cell, cell.mean())).collect()
}

pub(super) const ROWS: &[Row] = &[
    Row("coverage.rs: mean", Answers, |w| {
        let samples = wild_series(w);
        format!("{:?}", hour_cells(&samples, 0, 12).iter().map(HourCell::mean).collect::<Vec<_>>())
    }),
    Row("coverage.rs: hour_cells", Answers, |w| {
        let samples = wild_series(w);
        format!("{:?}", held(&hour_cells(&samples, 0, 12)))
    }),
    Row("coverage.rs: interval_cells", Answers, |w| {
        let intervals: Vec<Interval> =
            (0..9).map(|k| Interval { start_ms: k * STEP_MS, span_ms: STEP_MS, v: w.n() }).collect();
        format!("{:?}", held(&interval_cells(&intervals, 0, 3)))
    }),
    Row("coverage.rs: cadence_ms", Answers, |w| {
        let samples = wild_series(w);
        format!("{:?}", cadence_ms(&samples, w.one_of(&[0, HOUR_MS, 400 * HOUR_MS])))
    }),
    Row("coverage.rs: new", Answers, |w| format!("{:?}", CadenceWindow::new(&wild_series(w)).before(0))),
    Row("coverage.rs: before", Answers, |w| {
        let samples = wild_series(w);
        let mut window = CadenceWindow::new(&samples);
        format!("{:?}", [400 * HOUR_MS, i64::MIN, HOUR_MS, i64::MAX, 0].map(|until_ms| window.before(until_ms)))
    }),
    Row("coverage.rs: gaps", Answers, |w| format!("{:?}", gaps(&wild_series(w), STEP_MS))),
    Row("quality.rs: humidity_for_physics", Refuses, |w| format!("{:?}", humidity_for_physics(w.n()))),
    Row("quality/beside.rs: mark_apart", Answers, |w| {
        let (ours, theirs) = (wild_series(w), wild_series(w));
        let mut marks = [Marks::NONE; 30];
        let allowed = w.n();
        mark_apart(&ours, &theirs, 900_000, |_| allowed, &mut marks);
        format!("{marks:?}")
    }),
    Row("quality/beside.rs: of", Refuses, |w| format!("{:?}", Vapour::of(w.t_ms(), w.n(), w.n(), w.n()))),
    Row("quality/beside.rs: allowed_kpa", Answers, |w| {
        let vapours = vapours(w);
        format!("{:?}", vapours.first().zip(vapours.last()).map(|(a, b)| a.allowed_kpa(b)))
    }),
    Row("quality/beside.rs: beside_each", Answers, |w| {
        let (own, other) = (vapours(w), vapours(w));
        let mut found = Vec::new();
        beside_each(&own, &other, 900_000, |k, other| found.push((k, other.kpa)));
        format!("{found:?}")
    }),
    Row("quality/beside.rs: mark_drier_than_outside", Answers, |w| {
        let (own, outside) = (vapours(w), vapours(w));
        let mut marks = [Marks::NONE; 30];
        let dry = [w.flag(); 30];
        let n = own.len().min(30);
        mark_drier_than_outside(&own[..n], &dry[..n], &outside, 900_000, &mut marks[..n]);
        format!("{marks:?}")
    }),
    Row("quality/beside.rs: mark_sunlit", Answers, |w| {
        let samples = wild_series(w);
        let (mut marks, sun) = ([Marks::NONE; 30], w.option());
        mark_sunlit(&samples, |_| sun, &mut marks);
        format!("{marks:?}")
    }),
    Row("quality/beside.rs: radiation_error_c", Refuses, |w| format!("{:?}", radiation_error_c(w.n()))),
    Row("quality/series.rs: mark_series", Answers, |w| {
        let (samples, beside) = (wild_series(w), wild_series(w));
        let mut marks = Vec::from([Marks::NONE; 30]);
        let kind = w.one_of(&[Kind::Air, Kind::Soil, Kind::Humidity]);
        let cadence_ms = w.one_of(&[0, -1, STEP_MS, 24 * HOUR_MS]);
        let beside = w.flag().then_some(&beside[..]);
        let series =
            Series { kind, place: w.one_of(&[Place::Inside, Place::Outside]), cadence_ms, samples: &samples, beside };
        mark_series(&series, &mut marks, &mut Scratch::default());
        // What is no number is out of range, whatever stands beside it.
        let lost = samples.iter().zip(&marks).filter(|(s, m)| !s.v.is_finite() && !m.counts_as_missing()).count();
        assert!(cadence_ms <= 0 || lost == 0, "{lost} readings that are no number count as good");
        format!("{marks:?}")
    }),
    Row("quality/stuck.rs: needed_from", Answers, |w| {
        let samples: Vec<_> = (0..20).map(|k| Sample { t_ms: k * 600_000, v: w.n() }).collect();
        format!("{:?}", needed_from(Kind::Humidity, 600_000, &samples, w.t_ms()))
    }),
    Row("quality/series.rs: is_spike", Answers, |w| format!("{:?}", is_spike(w.n(), w.n(), w.n(), w.n()))),
    Row("sourced.rs: holds", Answers, |w| {
        let value = w.n();
        let held = sourced::all().filter(|constant| constant.holds(value)).count();
        assert!(value.is_finite() || held == 0, "{value} is held by {held}");
        format!("{held}")
    }),
];

fn vapours(w: &mut Wild) -> Vec<Vapour> {
    (0..30).filter_map(|k| Vapour::of(k * STEP_MS, w.n(), w.n(), 3.0)).collect()
}
