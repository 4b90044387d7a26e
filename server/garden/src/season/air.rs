//! The air of a spot, joined from what counts of its series.

use propstick_agronomy::coverage::{HOUR_MS, Sample};
use propstick_agronomy::psychrometrics::vapour_pressure_kpa;
use propstick_agronomy::quality::{Mark, Marks, constants as q, mark_apart};
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
/// left out: nothing is known of leaves then. `doubted` are humidities whose place has another opinion (see [`Doubts`]).
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
        let rh_pct = of_instant.filter(|(_, mark)| !mark.counts_as_missing()).map(|(h, _)| h.v);
        let beside = gauge.and_then(|gauge| gauge.at(t.t_ms, &mut at));
        if rh_pct.is_none() && beside.is_none() {
            continue;
        }
        let is_doubted = doubted.get(j).is_some_and(|m| m.has(Mark::Neighbour));
        let error_pct = if is_doubted { DOUBTED_PCT } else { HUMIDITY_ERROR_PCT.value };
        into.samples.push(AirSample { t_ms: t.t_ms, t_c: t.v, rh_pct, error_pct, leaf: None });
        into.plain.push(*t);
        if let Some(all) = &mut beside_all {
            all.push(beside);
        }
    }
    into.gauge = gauge.zip(beside_all).map(|(gauge, beside)| GaugeAir { begins_ms: gauge.begins_ms.clone(), beside });
}

/// Which humidities of a spot most of its structure's other spots contradict, by vapour pressure: that tells a wrong humidity from air that the sun or
/// the sensor's own warmth has warmed (troubles page 7). Of two spots that disagree both are doubted, because nobody can tell which is wrong.
#[derive(Default)]
pub struct Doubts {
    vapours: Vec<Vec<Sample>>,
}

impl Doubts {
    /// Takes the humidity of the next spot of the structure with its temperature; what counts as missing contradicts nothing.
    pub fn take(&mut self, (temperature, t_marks): (&[Sample], &[Marks]), (humidity, rh_marks): (&[Sample], &[Marks])) {
        let mut j = 0;
        let mut vapour = Vec::with_capacity(humidity.len().min(temperature.len()));
        for (t, t_mark) in temperature.iter().zip(t_marks) {
            while humidity.get(j).is_some_and(|h| h.t_ms < t.t_ms) {
                j += 1;
            }
            let (Some(h), Some(h_mark)) = (humidity.get(j), rh_marks.get(j)) else { break };
            if h.t_ms == t.t_ms
                && !t_mark.counts_as_missing()
                && !h_mark.counts_as_missing()
                && let Some(kpa) = vapour_pressure_kpa(t.v, h.v.min(100.0))
            {
                vapour.push(Sample { t_ms: h.t_ms, v: kpa });
            }
        }
        self.vapours.push(vapour);
    }

    /// Marks of the humidities of the `spot`-th spot taken.
    pub fn of(&self, spot: usize, humidity: &[Sample]) -> Vec<Marks> {
        let mut doubted = vec![Marks::NONE; humidity.len()];
        let Some(own) = self.vapours.get(spot).filter(|_| self.vapours.len() > 1) else { return doubted };
        let mut against = vec![0_u16; own.len()];
        let mut compared = vec![0_u16; own.len()];
        let mut marks = vec![Marks::NONE; own.len()];
        for other in self.vapours.iter().enumerate().filter(|(k, _)| *k != spot).map(|(_, other)| other) {
            marks.fill(Marks::NONE);
            mark_apart(own, other, COMPARED_WITHIN_MS, |_| q::APART_KPA.value, &mut marks);
            // A limit below nought marks whatever could be compared at all.
            for (n, m) in against.iter_mut().zip(&marks) {
                *n += u16::from(m.has(Mark::Neighbour));
            }
            marks.fill(Marks::NONE);
            mark_apart(own, other, COMPARED_WITHIN_MS, |_| -1.0, &mut marks);
            for (n, m) in compared.iter_mut().zip(&marks) {
                *n += u16::from(m.has(Mark::Neighbour));
            }
        }
        let mut j = 0;
        for ((s, against), compared) in own.iter().zip(against).zip(compared) {
            if against > 0 && 2 * against > compared {
                while humidity.get(j).is_some_and(|h| h.t_ms < s.t_ms) {
                    j += 1;
                }
                if let Some(mark) = doubted.get_mut(j) {
                    *mark = mark.with(Mark::Neighbour);
                }
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
}
