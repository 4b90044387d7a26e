//! The wetness gauge at a spot: what it reads beside the air, what its scale is on a noon-day, and what of it is believed.

use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, CadenceWindow, HOUR_MS, Sample};
use propstick_agronomy::wetness::constants as c;
use propstick_agronomy::wetness::gauge::{GaugeMedian, GaugeReading, GaugeRefused, GaugeScale, Rises, learn_scale};
use propstick_agronomy::wetness::samples::AirSample;
use propstick_agronomy::wetness::trust::{
    CONTRADICTED_LOOK_BACK_MS, STUCK_LOOK_BACK_MS, Watched, is_contradicted, is_stuck_wet,
};

use propstick_wire::quantity::Quantity;

use super::tape::{TapeReader, TapeWriter};
use super::{NOON_DAY_MS, SpotAir};
use crate::model::{Garden, Spot};

/// How far before a noon-day a gauge's readings teach it, ms.
pub const GAUGE_LOOK_BACK_MS: i64 = c::GAUGE_DAYS.value as i64 * NOON_DAY_MS;
/// A humidity doubted by more than this teaches nothing, %RH.
const TEACHES_WITHIN_PCT: f64 = 20.0;
/// How far beyond a noon-day a sample may lie that says how far its last one reaches, ms.
const REACH_MS: i64 = 36 * HOUR_MS;

/// What a gauge reads beside a sample of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BesideAir {
    /// Its last reading.
    pub raw: f64,
    /// The median of its last ten minutes.
    pub median: f64,
}

/// The readings of the gauge at a spot, made ready to be laid beside the air.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LeafGauge {
    /// Instants from which on another device, or the same one anew, stood there, ascending.
    pub begins_ms: Vec<i64>,
    readings: Vec<Held>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Held {
    from_ms: i64,
    until_ms: i64,
    beside: BesideAir,
}

/// A gauge beside the air of a spot: `beside` has a place for each of its samples.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeAir {
    /// See [`LeafGauge::begins_ms`].
    pub begins_ms: Vec<i64>,
    /// What it reads; none where it is silent.
    pub beside: Vec<Option<BesideAir>>,
}

/// What a gauge's past has to do with its future. Plain values.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct GaugeMemory {
    /// Since when the same device has stood there, ms; none before the first.
    pub since_ms: Option<i64>,
    /// The scale in use, and the noon at which it was learned; none where it could not be learned: then humidity alone speaks.
    pub scale: Option<(GaugeScale, i64)>,
    /// The first scale that was learned of it: what dirt is measured against.
    pub clean: Option<GaugeScale>,
}

/// The spot whose wetness gauge speaks for the leaves at `spot`: itself; else a spot of its structure that has a gauge and no air of its own, which goes
/// with the air of its bed, or with the structure's lead spot, or with the first that measures air.
pub fn gauge_beside<'g>(garden: &'g Garden, spot: &str) -> Option<&'g str> {
    let placed = |s: &Spot, q| garden.placements.iter().any(|p| p.spot == s.slug && p.quantity == q);
    let has_air = |s: &&Spot| placed(s, Quantity::AirTemperature) && placed(s, Quantity::AirHumidity);
    let own = garden.spot(spot)?;
    if placed(own, Quantity::LeafWetness) {
        return Some(&own.slug);
    }
    let lead = garden.structure(&own.structure).and_then(|s| garden.lead_spot(s)).filter(has_air);
    let airs = || garden.spots_of(&own.structure).filter(has_air);
    let goes_with = |gauge: &Spot| {
        let of_bed = airs().find(|air| air.bed.is_some() && air.bed == gauge.bed);
        of_bed.or(lead).or_else(|| airs().next())
    };
    let mut gauges = garden.spots_of(&own.structure).filter(|s| placed(s, Quantity::LeafWetness) && !has_air(s));
    gauges.find(|gauge| goes_with(gauge).is_some_and(|air| air.slug == spot)).map(|gauge| gauge.slug.as_str())
}

impl LeafGauge {
    /// From its `samples` (0 dry to 1 wet, ascending; in whatever unit), `begins_ms` as the field has it. A reading holds until the next, at most one and
    /// a half of its own cadences.
    pub fn new(samples: &[Sample], begins_ms: Vec<i64>) -> LeafGauge {
        let mut window = CadenceWindow::new(samples);
        let (mut hour_ms, mut reach_ms) = (i64::MIN, 0);
        let mut median = GaugeMedian::default();
        let held = |(k, s): (usize, &Sample)| {
            let ends_ms = (s.t_ms.div_euclid(HOUR_MS) + 1) * HOUR_MS;
            if ends_ms != hour_ms {
                (hour_ms, reach_ms) = (ends_ms, window.before(ends_ms).unwrap_or(CADENCE_UNKNOWN_MS) * 3 / 2);
            }
            let reach = s.t_ms + reach_ms;
            let until_ms = samples.get(k + 1).map_or(reach, |next| next.t_ms.min(reach));
            let beside = BesideAir { raw: s.v, median: median.push(s.t_ms, s.v)? };
            Some(Held { from_ms: s.t_ms, until_ms, beside })
        };
        LeafGauge { begins_ms, readings: samples.iter().enumerate().filter_map(held).collect() }
    }

    /// What it reads at `t_ms`; `at` is where the last asking ended, and instants ascend.
    pub(super) fn at(&self, t_ms: i64, at: &mut usize) -> Option<BesideAir> {
        while self.readings.get(*at + 1).is_some_and(|next| next.from_ms <= t_ms) {
            *at += 1;
        }
        self.readings.get(*at).filter(|h| h.from_ms <= t_ms && t_ms < h.until_ms).map(|h| h.beside)
    }
}

impl GaugeMemory {
    /// Learns the scale for the noon-day that begins at `noon_ms`, from the fortnight before it as far as the same device stood there.
    ///
    /// **Rules** (wetness sheet 1.4): see [`learn_scale`]. Where too few readings are of dry or of wet air, the last scale stands, for at most
    /// [`c::GAUGE_KEPT_D`]; a channel that does not follow water has none.
    pub fn learn(&mut self, air: &SpotAir, noon_ms: i64) {
        let Some(gauge) = &air.gauge else { return };
        let since_ms = gauge.begins_ms.iter().copied().rfind(|begin| *begin <= noon_ms);
        if since_ms != self.since_ms {
            *self = GaugeMemory { since_ms, ..GaugeMemory::default() };
        }
        let Some(since_ms) = since_ms else { return };
        let from_ms = since_ms.max(noon_ms - GAUGE_LOOK_BACK_MS);
        let from = air.samples.partition_point(|s| s.t_ms < from_ms);
        let to = air.samples.partition_point(|s| s.t_ms < noon_ms).max(from);
        let teaches = |(s, beside): (&AirSample, &Option<BesideAir>)| {
            let rh_pct = s.rh_pct.filter(|_| s.error_pct <= TEACHES_WITHIN_PCT)?;
            Some(GaugeReading { t_c: s.t_c, rh_pct, raw: (*beside)?.raw })
        };
        let beside = gauge.beside.get(from..to).unwrap_or_default();
        let readings: Vec<GaugeReading> = air.samples[from..to].iter().zip(beside).filter_map(teaches).collect();
        match learn_scale(&readings, Rises::WhenWet, None) {
            Ok(scale) => {
                self.scale = Some((scale, noon_ms));
                self.clean.get_or_insert(scale);
            }
            Err(GaugeRefused::FewDry(_) | GaugeRefused::FewWet(_)) => {
                let kept_ms = c::GAUGE_KEPT_D.value as i64 * NOON_DAY_MS;
                self.scale = self.scale.filter(|(_, at_ms)| noon_ms - at_ms <= kept_ms);
            }
            Err(GaugeRefused::NoSpan { .. } | GaugeRefused::DoesNotFollow) => self.scale = None,
        }
    }

    /// Whether its dry end has drifted so far that it looks dirty.
    pub fn is_dirty(&self) -> bool {
        self.scale.zip(self.clean).is_some_and(|((now, _), clean)| now.dirty_since(&clean))
    }

    pub(super) fn write(&self, tape: &mut TapeWriter) {
        tape.maybe(self.since_ms);
        tape.maybe(self.scale.map(|(_, at_ms)| at_ms));
        for scale in [self.scale.map(|(scale, _)| scale), self.clean] {
            tape.flag(scale.is_some());
            let GaugeScale { dry, wet } = scale.unwrap_or(GaugeScale { dry: 0.0, wet: 0.0 });
            tape.number(dry);
            tape.number(wet);
        }
    }

    pub(super) fn read(tape: &mut TapeReader<'_>) -> Option<GaugeMemory> {
        let (since_ms, at_ms) = (tape.maybe()?, tape.maybe()?);
        let mut scale = || {
            let is_some = tape.flag()?;
            let scale = GaugeScale { dry: tape.number()?, wet: tape.number()? };
            Some(is_some.then_some(scale))
        };
        let (now, clean) = (scale()?, scale()?);
        Some(GaugeMemory { since_ms, scale: now.zip(at_ms), clean })
    }
}

/// The samples that the noon-day from `noon_ms` rests on, in `into`, with what the gauge says of the leaf by its scale of that day.
pub(super) fn lay_beside(
    memory: &GaugeMemory,
    air: &SpotAir,
    gauge: &GaugeAir,
    noon_ms: i64,
    into: &mut Vec<AirSample>,
) {
    let from = air.samples.partition_point(|s| s.t_ms < noon_ms - REACH_MS);
    let to = air.samples.partition_point(|s| s.t_ms < noon_ms + NOON_DAY_MS + REACH_MS).max(from);
    into.clear();
    into.extend_from_slice(&air.samples[from..to]);
    let (Some((scale, _)), Some(since_ms)) = (memory.scale, memory.since_ms) else { return };
    let watched = |from_ms: i64, to_ms: i64| {
        let (from, to) = (first_at(air, from_ms), first_at(air, to_ms));
        let all = air.samples[from..to.max(from)].iter().zip(gauge.beside.get(from..to).unwrap_or_default());
        all.filter_map(|(s, beside)| {
            Some(Watched { t_ms: s.t_ms, t_c: s.t_c, rh_pct: s.rh_pct, raw: (*beside)?.median })
        })
    };
    // Another device that came meanwhile is not known before the next noon.
    let until_ms = gauge.begins_ms.iter().copied().find(|begin| *begin > since_ms).unwrap_or(i64::MAX);
    let (mut hour_ms, mut believed) = (i64::MIN, true);
    for (s, beside) in into.iter_mut().zip(gauge.beside.get(from..to).unwrap_or_default()) {
        let Some(w) = beside.filter(|_| (since_ms..until_ms).contains(&s.t_ms)).and_then(|b| scale.wetness(b.median))
        else {
            continue;
        };
        let of_hour = s.t_ms.div_euclid(HOUR_MS) * HOUR_MS;
        // Only a word of wet is doubted, hour by hour.
        if w >= c::GAUGE_OFF.value && of_hour != hour_ms {
            hour_ms = of_hour;
            believed = !is_stuck_wet(&scale, watched(of_hour - STUCK_LOOK_BACK_MS, of_hour))
                && !is_contradicted(&scale, watched(of_hour - CONTRADICTED_LOOK_BACK_MS, of_hour));
        }
        if w < c::GAUGE_OFF.value || believed {
            s.leaf = Some(w);
        }
    }
}

fn first_at(air: &SpotAir, t_ms: i64) -> usize {
    air.samples.partition_point(|s| s.t_ms < t_ms)
}

#[cfg(test)]
#[path = "gauge_tests.rs"]
mod tests;
