//! The air of a spot, joined from what counts of its series.

use propstick_agronomy::coverage::{HOUR_MS, Sample};
use propstick_agronomy::quality::{Mark, Marks, Vapour, beside_each, constants as q, mark_drier_than_outside};
use propstick_agronomy::wetness::constants::HUMIDITY_ERROR_PCT;
use propstick_agronomy::wetness::samples::AirSample;

use super::gauge::{GaugeAir, LeafGauge};

/// What a humidity may be off by that a neighbour contradicts, %RH: anything. It is dry in the low run and wet in the high one.
const DOUBTED_PCT: f64 = 100.0;
/// How far apart in time readings of two spots may lie to be compared, ms.
const COMPARED_WITHIN_MS: i64 = HOUR_MS / 4;

/// What counts of a spot's air: usable samples, and their instants as a series, for its cadence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpotAir {
    /// Temperature with humidity.
    pub samples: Vec<AirSample>,
    /// Instant and temperature of each of them.
    pub plain: Vec<Sample>,
    /// A wetness gauge beside them, where there is one.
    pub gauge: Option<GaugeAir>,
}

/// Joins temperature and humidity of the same instants, leaving out what its marks count as missing. A temperature without a humidity that counts is
/// left out: nothing is known of leaves then. `doubted` are humidities whose place, or the air outside, has another opinion (see [`Doubts`]).
pub fn join_air(
    temperature: (&[Sample], &[Marks]),
    humidity: (&[Sample], &[Marks]),
    doubted: &[Marks],
    into: &mut SpotAir,
) {
    join_air_with(None, temperature, humidity, doubted, into);
}

/// The same with a wetness gauge beside it: a temperature without a humidity that counts stays where the gauge reads something, because it will do alone.
pub fn join_air_with(
    gauge: Option<&LeafGauge>,
    (temperature, t_marks): (&[Sample], &[Marks]),
    (humidity, rh_marks): (&[Sample], &[Marks]),
    doubted: &[Marks],
    into: &mut SpotAir,
) {
    into.samples.clear();
    into.plain.clear();
    let mut beside_all = gauge.map(|_| Vec::with_capacity(temperature.len()));
    let (mut j, mut at) = (0, 0);
    for (t, t_mark) in temperature.iter().zip(t_marks) {
        while humidity.get(j).is_some_and(|h| h.t_ms < t.t_ms) {
            j += 1;
        }
        if t_mark.counts_as_missing() {
            continue;
        }
        let of_instant = humidity.get(j).zip(rh_marks.get(j)).filter(|(h, _)| h.t_ms == t.t_ms);
        let doubt = of_instant.and_then(|_| doubted.get(j)).copied().unwrap_or_default();
        let rh_pct = of_instant.filter(|(_, mark)| !mark.and(doubt).counts_as_missing()).map(|(h, _)| h.v);
        let beside = gauge.and_then(|gauge| gauge.at(t.t_ms, &mut at));
        if rh_pct.is_none() && beside.is_none() {
            continue;
        }
        let error_pct = if doubt.has(Mark::Neighbour) { DOUBTED_PCT } else { HUMIDITY_ERROR_PCT.value };
        into.samples.push(AirSample { t_ms: t.t_ms, t_c: t.v, rh_pct, error_pct, leaf: None });
        into.plain.push(*t);
        if let Some(all) = &mut beside_all {
            all.push(beside);
        }
    }
    into.gauge = gauge.zip(beside_all).map(|(gauge, beside)| GaugeAir { begins_ms: gauge.begins_ms.clone(), beside });
}

/// Gives the readings of the same instants that do not count as missing, with the index of the humidity.
fn joined(
    (temperature, t_marks): (&[Sample], &[Marks]),
    (humidity, rh_marks): (&[Sample], &[Marks]),
    mut each: impl FnMut(usize, &Sample, &Sample),
) {
    let mut j = 0;
    for (t, t_mark) in temperature.iter().zip(t_marks) {
        while humidity.get(j).is_some_and(|h| h.t_ms < t.t_ms) {
            j += 1;
        }
        let (Some(h), Some(h_mark)) = (humidity.get(j), rh_marks.get(j)) else { break };
        if h.t_ms == t.t_ms && !t_mark.counts_as_missing() && !h_mark.counts_as_missing() {
            each(j, t, h);
        }
    }
}

/// Which humidities of a spot the air elsewhere contradicts, by vapour pressure: that tells a wrong humidity from air that the sun or the sensor's own
/// warmth has warmed (troubles page 7). Of two spots that disagree both are doubted, because nobody can tell which is wrong.
#[derive(Default)]
pub struct Doubts {
    spots: Vec<Known>,
    outside: Vec<Vapour>,
}

/// What is known of a spot's content of water.
#[derive(Default)]
struct Known {
    vapours: Vec<Vapour>,
    /// Which humidity each of them comes from.
    humidity: Vec<usize>,
    /// Whether each reads too dry for dew.
    dry: Vec<bool>,
}

impl Doubts {
    /// Takes the humidity of the next spot of the structure with its temperature; what counts as missing contradicts nothing.
    pub fn take(&mut self, temperature: (&[Sample], &[Marks]), humidity: (&[Sample], &[Marks])) {
        let mut known = Known::default();
        joined(temperature, humidity, |j, t, h| {
            if let Some(vapour) = Vapour::of(t.t_ms, t.v, h.v, HUMIDITY_ERROR_PCT.value) {
                known.vapours.push(vapour);
                known.humidity.push(j);
                known.dry.push(h.v < q::DRIER_BELOW_PCT.value);
            }
        });
        self.spots.push(known);
    }

    /// Takes the air outside the structure, in the same way; a humidity at the top says nothing against anybody, since it may be stuck there.
    pub fn take_outside(&mut self, temperature: (&[Sample], &[Marks]), humidity: (&[Sample], &[Marks])) {
        joined(temperature, humidity, |_, t, h| {
            let vapour = Vapour::of(t.t_ms, t.v, h.v, HUMIDITY_ERROR_PCT.value);
            self.outside.extend(vapour.filter(|_| h.v < q::SATURATED_PCT.value));
        });
    }

    /// Marks of the humidities of the `spot`-th spot taken: [`Mark::Neighbour`] where most of the structure's other spots contradict it, [`Mark::Range`], which
    /// counts as missing, where it holds far less water than the air outside and no dew can have taken it.
    pub fn of(&self, spot: usize, humidity: &[Sample]) -> Vec<Marks> {
        let mut doubted = vec![Marks::NONE; humidity.len()];
        let Some(own) = self.spots.get(spot) else { return doubted };
        let mut marks = vec![Marks::NONE; own.vapours.len()];
        mark_drier_than_outside(&own.vapours, &own.dry, &self.outside, COMPARED_WITHIN_MS, &mut marks);
        // How many of the other spots contradict each reading, less half of those that it could be held against.
        let mut against = vec![0_i16; own.vapours.len()];
        for (_, other) in self.spots.iter().enumerate().filter(|(k, _)| *k != spot) {
            beside_each(&own.vapours, &other.vapours, COMPARED_WITHIN_MS, |k, other| {
                if let (Some(own), Some(count)) = (own.vapours.get(k), against.get_mut(k)) {
                    *count += if (own.kpa - other.kpa).abs() > own.allowed_kpa(other) { 1 } else { -1 };
                }
            });
        }
        for ((j, mark), count) in own.humidity.iter().zip(marks).zip(against) {
            let mark = if count > 0 { mark.with(Mark::Neighbour) } else { mark };
            if let Some(of) = doubted.get_mut(*j) {
                *of = of.and(mark);
            }
        }
        doubted
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(values: &[f64]) -> Vec<Sample> {
        (0..).zip(values).map(|(k, v)| Sample { t_ms: k * 600_000, v: *v }).collect()
    }

    fn clean(n: usize) -> Vec<Marks> {
        vec![Marks::NONE; n]
    }

    #[test]
    fn what_counts_as_missing_or_has_no_humidity_is_left_out() {
        let (t, rh) = (at(&[5.0, 5.1, 5.2, 5.3]), at(&[90.0, 1.0, 91.0]));
        let rh_marks = [Marks::NONE, Marks::NONE.with(Mark::Range), Marks::NONE];
        let mut air = SpotAir::default();
        join_air((&t, &clean(4)), (&rh, &rh_marks), &[], &mut air);
        assert_eq!(air.samples.iter().map(|s| s.rh_pct).collect::<Vec<_>>(), [Some(90.0), Some(91.0)]);
        assert_eq!(air.plain.len(), 2);
    }

    #[test]
    fn sensor_that_the_sun_warms_is_not_doubted_and_one_that_reads_too_wet_is() {
        // Troubles page 7: 24.0 °C and 48 % beside 15.5 °C and 80 %: 1.43 and 1.41 kPa.
        let mut doubts = Doubts::default();
        let (t, rh) = ([at(&[24.0]), at(&[15.5])], [at(&[48.0]), at(&[80.0])]);
        for k in 0..2 {
            doubts.take((&t[k], &clean(1)), (&rh[k], &clean(1)));
        }
        assert!(!doubts.of(0, &rh[0])[0].has(Mark::Neighbour));
        // Two of three agree; the third stands 0.47 kPa above them.
        let mut doubts = Doubts::default();
        let (t, rh) = (at(&[15.0]), [at(&[70.0]), at(&[71.0]), at(&[98.0])]);
        for of in &rh {
            doubts.take((&t, &clean(1)), (of, &clean(1)));
        }
        let doubted: Vec<bool> = (0..3).map(|k| doubts.of(k, &rh[k])[0].has(Mark::Neighbour)).collect();
        assert_eq!(doubted, [false, false, true]);
    }
    #[test]
    fn sound_sensors_of_a_dry_july_are_not_doubted_and_a_stuck_one_of_a_cold_january_is() {
        let doubted = |t_c: f64, a: f64, b: f64| {
            let mut doubts = Doubts::default();
            let t = at(&[t_c]);
            for rh in [a, b] {
                doubts.take((&t, &clean(1)), (&at(&[rh]), &clean(1)));
            }
            [a, b].map(|rh| doubts.of(if rh == a { 0 } else { 1 }, &at(&[rh]))[0].has(Mark::Neighbour))
        };
        // 0.212 kPa at 30 °C are 5 %RH; 0.192 kPa at 5 °C are 22.
        assert_eq!((doubted(30.0, 50.0, 55.0), doubted(5.0, 100.0, 78.0)), ([false; 2], [true; 2]));
    }

    #[test]
    fn only_spot_far_drier_than_outside_is_left_out_and_not_dry() {
        // 10 °C and 25 % under a cover over moist soil, 8 °C and 92 % outside: 0.31 against 0.99 kPa. Troubles page 1.
        let (t, rh) = (at(&[10.0; 30]), at(&[25.0; 30]));
        let mut doubts = Doubts::default();
        doubts.take((&t, &clean(30)), (&rh, &clean(30)));
        let none = doubts.of(0, &rh);
        assert!(none.iter().all(|m| m.is_empty()), "without an outside nobody can tell");
        doubts.take_outside((&at(&[8.0; 30]), &clean(30)), (&at(&[92.0; 30]), &clean(30)));
        let doubted = doubts.of(0, &rh);
        let mut air = SpotAir::default();
        join_air((&t, &clean(30)), (&rh, &clean(30)), &doubted, &mut air);
        assert!(air.samples.is_empty());
        // An outside that stands at the top may be stuck there.
        let mut doubts = Doubts::default();
        doubts.take((&t, &clean(30)), (&rh, &clean(30)));
        doubts.take_outside((&at(&[8.0; 30]), &clean(30)), (&at(&[100.0; 30]), &clean(30)));
        assert!(doubts.of(0, &rh).iter().all(|m| m.is_empty()));
    }
}
