//! Marks of a series as it stands at a spot, always the same whichever stretch of it is asked about.

use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, CadenceWindow, HOUR_MS, Sample};
use propstick_agronomy::quality::{self, Kind, Marks, Place, Scratch, Series, mark_series, needed_from};
use propstick_wire::quantity::Quantity;

/// How far before a stretch readings must be given for its marks to be exact, ms.
pub const MARKED_BACK_MS: i64 = quality::LOOK_BACK_MS;
/// How far after it.
pub const MARKED_AHEAD_MS: i64 = quality::LOOK_AHEAD_MS;

/// A UTC day, whose cadence holds for the marks of its readings.
const DAY_MS: i64 = 24 * HOUR_MS;

/// What stands beside a reading lies at most half of the longest cadence off, ms.
const BESIDE_MS: i64 = DAY_MS / 2;

/// Room that marking works in, kept from call to call.
#[derive(Default)]
pub struct Marker {
    scratch: Scratch,
    padded: Vec<Marks>,
}

/// Which rules of marks hold for a quantity; none for one that has none.
pub const fn kind_of(quantity: Quantity) -> Option<Kind> {
    match quantity {
        Quantity::AirTemperature | Quantity::LeafTemperature => Some(Kind::Air),
        Quantity::SoilTemperature => Some(Kind::Soil),
        Quantity::AirHumidity => Some(Kind::Humidity),
        _ => None,
    }
}

/// What an air sensor measures beside a quantity: humidity beside temperature, and the other way round.
pub const fn twin_of(quantity: Quantity) -> Option<Quantity> {
    match quantity {
        Quantity::AirTemperature => Some(Quantity::AirHumidity),
        Quantity::AirHumidity => Some(Quantity::AirTemperature),
        _ => None,
    }
}

/// Marks of the readings of a `quantity` at a spot, with those of its twin there (see [`twin_of`]); no mark for a quantity that has none. Exact within the
/// reach of [`MARKED_BACK_MS`] and [`MARKED_AHEAD_MS`].
pub fn marks_at(
    quantity: Quantity,
    place: Place,
    samples: &[Sample],
    twin: Option<&[Sample]>,
    marker: &mut Marker,
) -> Vec<Marks> {
    marks_since(quantity, place, (samples, twin), i64::MIN, marker)
}

/// Those of [`marks_at`] from the first reading at or after `from_ms` on, the same and for less work.
pub fn marks_since(
    quantity: Quantity,
    place: Place,
    (samples, twin): (&[Sample], Option<&[Sample]>),
    from_ms: i64,
    marker: &mut Marker,
) -> Vec<Marks> {
    match kind_of(quantity) {
        Some(kind) => marks_of(kind, place, (samples, twin), from_ms, marker),
        None => vec![Marks::NONE; samples.len() - samples.partition_point(|s| s.t_ms < from_ms)],
    }
}

/// Marks of the readings of `samples` from `from_ms` on, from the series itself and what its sensor measures `beside` it.
///
/// The cadence is that of each UTC day (median step of its readings), so that the marks of a reading do not depend on where the asking starts: they are
/// exact for readings at least [`MARKED_BACK_MS`] after the first given and [`MARKED_AHEAD_MS`] before the last.
fn marks_of(
    kind: Kind,
    place: Place,
    (samples, beside): (&[Sample], Option<&[Sample]>),
    from_ms: i64,
    marker: &mut Marker,
) -> Vec<Marks> {
    let begin = samples.partition_point(|s| s.t_ms < from_ms);
    let mut marks = vec![Marks::NONE; samples.len() - begin];
    let day_of = |t_ms: i64| t_ms.div_euclid(DAY_MS);
    let mut window = CadenceWindow::new(samples);
    let mut from = begin;
    while from < samples.len() {
        // Days of one cadence are gone through in one go.
        let mut to = from;
        let mut cadence = None;
        while let Some(next) = samples.get(to) {
            let ends_ms = (day_of(next.t_ms) + 1) * DAY_MS;
            let of_day = window.before(ends_ms).unwrap_or(CADENCE_UNKNOWN_MS).max(1);
            if cadence.is_some_and(|c| c != of_day) {
                break;
            }
            cadence = Some(of_day);
            to = samples.partition_point(|s| s.t_ms < ends_ms);
        }
        let (first_ms, last_ms) = (samples[from].t_ms, samples[to - 1].t_ms);
        let cadence_ms = cadence.unwrap_or(CADENCE_UNKNOWN_MS);
        let wide_from = needed_from(kind, cadence_ms, samples, first_ms);
        let wide_to = samples.partition_point(|s| s.t_ms <= last_ms + MARKED_AHEAD_MS);
        let beside = beside.map(|b| &b[b.partition_point(|s| s.t_ms < samples[wide_from].t_ms - BESIDE_MS)..]);
        let series = Series { kind, place, cadence_ms, samples: &samples[wide_from..wide_to], beside };
        marker.padded.clear();
        marker.padded.resize(wide_to - wide_from, Marks::NONE);
        mark_series(&series, &mut marker.padded, &mut marker.scratch);
        marks[from - begin..to - begin].copy_from_slice(&marker.padded[from - wide_from..to - wide_from]);
        from = to;
    }
    marks
}

/// The readings whose marks do not count as missing.
pub fn unmarked(samples: &[Sample], marks: &[Marks]) -> Vec<Sample> {
    samples.iter().zip(marks).filter(|(_, m)| !m.counts_as_missing()).map(|(s, _)| *s).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_agronomy::quality::Mark;
    use proptest::prelude::*;

    fn series(values: impl IntoIterator<Item = f64>) -> Vec<Sample> {
        (0..).zip(values).map(|(k, v)| Sample { t_ms: k * 600_000, v }).collect()
    }

    fn humidity_marks(rh: &[Sample], t: &[Sample]) -> Vec<Marks> {
        marks_at(Quantity::AirHumidity, Place::Inside, rh, Some(t), &mut Marker::default())
    }

    #[test]
    fn humidity_that_falls_to_one_and_stays_counts_as_missing() {
        // Troubles page 1: 96 %, then twelve readings of 1.0 while the temperature goes on.
        let rh = series(std::iter::once(96.0).chain([1.0; 12]));
        let t = series(std::iter::once(6.1).chain([6.0; 12]));
        let marks = humidity_marks(&rh, &t);
        assert!(!marks[0].counts_as_missing() && marks[1..].iter().all(|m| m.counts_as_missing()), "{marks:?}");
        assert_eq!(unmarked(&rh, &marks).len(), 1);
    }

    #[test]
    fn one_reading_that_goes_and_comes_back_is_a_spike_and_a_fall_that_stays_is_not() {
        // Troubles page 5.
        let t = series([5.1, 5.0, 5.0, 5.0]);
        let back = humidity_marks(&series([95.0, 51.0, 95.0, 95.0]), &t);
        assert_eq!(back.iter().map(|m| m.has(Mark::Spike)).collect::<Vec<_>>(), [false, true, false, false]);
        let stays = humidity_marks(&series([95.0, 51.0, 50.0, 52.0]), &t);
        assert!(stays.iter().all(|m| !m.counts_as_missing()), "{stays:?}");
    }

    #[test]
    fn temperature_that_stands_still_while_its_humidity_moves_is_not_stuck() {
        let t = series([11.0; 100]);
        let of = |rh: &[Sample]| {
            let marks = marks_at(Quantity::AirTemperature, Place::Outside, &t, Some(rh), &mut Marker::default());
            marks.iter().filter(|m| m.has(Mark::Stuck)).count()
        };
        assert_eq!(of(&series((0..100).map(|k| 90.0 + f64::from(k % 50) / 5.0))), 0);
        assert_eq!((of(&series([93.0; 100])), of(&[])), (100, 100));
        // Fog: neither moves, and nobody is wrong.
        assert_eq!(of(&series([100.0; 100])), 0);
    }

    #[test]
    fn temperature_of_a_bus_that_died_counts_as_missing_from_its_first_reading_on() {
        // 2.5 °C and 90 %, then 0.0 and 0 from 17:00 on: the fall of the humidity shows no life.
        let t = series([2.5; 6].into_iter().chain([0.0; 30]));
        let rh = series((0..6).map(|k| 90.0 + f64::from(k) / 10.0).chain([0.0; 30]));
        let marks = marks_at(Quantity::AirTemperature, Place::Inside, &t, Some(&rh), &mut Marker::default());
        assert_eq!(unmarked(&t, &marks).len(), 6);
    }

    proptest! {
        /// The marks of a stretch are those of the whole, given as much before and after it as is asked for; also where the cadence changes.
        #[test]
        fn prop_marks_do_not_depend_on_where_the_asking_starts(
            steps in prop::collection::vec((prop_oneof![6 => Just(10_i64), 2 => Just(60), 1 => 1_i64..2_000], 0_u8..40), 50..400),
            cut in 0.0..1.0_f64,
        ) {
            let mut at = 0;
            let rh: Vec<Sample> = steps.iter().map(|(step, v)| { at += step * 60_000; Sample { t_ms: at, v: 62.0 + f64::from(v / 8) * 9.0 } }).collect();
            let t: Vec<Sample> = rh.iter().zip(&steps).map(|(s, (_, v))| Sample { t_ms: s.t_ms, v: f64::from(v % 7) }).collect();
            let whole = humidity_marks(&rh, &t);
            let k = ((rh.len() - 1) as f64 * cut) as usize;
            // A whole day further, because a day has one cadence.
            let from = rh.partition_point(|s| s.t_ms < rh[k].t_ms - MARKED_BACK_MS - DAY_MS);
            let to = rh.partition_point(|s| s.t_ms <= rh[k].t_ms + MARKED_AHEAD_MS + DAY_MS);
            let near = humidity_marks(&rh[from..to], &t[from..to]);
            prop_assert_eq!(near[k - from], whole[k]);
            let asked = (rh.as_slice(), Some(t.as_slice()));
            let since = marks_since(Quantity::AirHumidity, Place::Inside, asked, rh[k].t_ms, &mut Marker::default());
            prop_assert_eq!(&since[..], &whole[k..]);
            let asked = (t.as_slice(), Some(rh.as_slice()));
            let whole = marks_at(Quantity::AirTemperature, Place::Inside, &t, Some(&rh), &mut Marker::default());
            let since = marks_since(Quantity::AirTemperature, Place::Inside, asked, t[k].t_ms, &mut Marker::default());
            prop_assert_eq!(&since[..], &whole[k..]);
        }
    }
}
