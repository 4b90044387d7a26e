//! Broken sensors from readings to damp spells: in weather that is dry throughout, none of them builds one by itself.

use super::*;
use crate::coverage::HOUR_MS;
use crate::runs::Runs;
use crate::wetness::hours::{Leaf, WetFold, WetHour};
use crate::wetness::samples::{AirSample, wet_hours};
use crate::wetness::spell::{DampDays, DampSpell, SpellFold, SpellHour};
use crate::wetness::state::WetRules;
use alloc::vec;
use alloc::vec::Vec;
use proptest::prelude::*;

const STEP_MS: i64 = 600_000;
const DAYS: i64 = 12;
const DAY: usize = 144;

/// Dry days: `swing` °C about 10 °C, humidity between 45 and 84 %, a little noise.
fn dry_weather(swing: f64, seed: u64) -> (Vec<Sample>, Vec<Sample>) {
    let mut seed = seed;
    let mut noise = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 40) as f64 / f64::from(1 << 24) - 0.5
    };
    (0..DAYS * DAY as i64)
        .map(|k| {
            let wave = libm::cos((k as f64 / DAY as f64 - 0.6) * core::f64::consts::TAU);
            let at = |v| Sample { t_ms: k * STEP_MS, v };
            (at(10.0 + swing * wave + 0.2 * noise()), at((65.0 - 15.0 * wave + 4.0 * noise()).clamp(45.0, 84.0)))
        })
        .unzip()
}

#[derive(Clone, Copy, Debug)]
enum Fault {
    /// Humidity at the top.
    Saturated,
    /// Humidity at a value.
    Stuck(f64),
    /// Humidity at a value that flickers in its last digit.
    StuckFlickering(f64),
    /// Temperature at a value; humidity goes on.
    StuckAir(f64),
    /// Temperature at what a hung bus repeats; humidity goes on.
    Hung,
    /// A bus that sends nought for everything.
    Dead,
    /// A probe that is not there, with a humidity that is at the top.
    Lost,
    /// What a probe says before its first conversion, each time.
    PowerOn,
    /// Sun on the shield by day: too warm, and so too dry.
    Sunlit,
    /// Numbers that are none.
    NoNumber,
    /// Nothing is sent.
    Silent,
}

fn broken(fault: Fault, within: core::ops::Range<usize>, t: &mut Vec<Sample>, rh: &mut Vec<Sample>) {
    for k in within.clone() {
        let flicker = if k % 2 == 0 { 0.05 } else { -0.05 };
        match fault {
            Fault::Saturated => rh[k].v = 100.0,
            Fault::Stuck(pct) => rh[k].v = pct,
            Fault::StuckFlickering(pct) => rh[k].v = pct + flicker,
            Fault::StuckAir(t_c) => t[k].v = t_c,
            Fault::Hung => t[k].v = -0.0625,
            Fault::Dead => (t[k].v, rh[k].v) = (0.0, 0.0),
            Fault::Lost => (t[k].v, rh[k].v) = (-127.0, 100.0),
            Fault::PowerOn => (t[k].v, rh[k].v) = (85.0, 100.0),
            Fault::Sunlit if (DAY / 3..2 * DAY / 3).contains(&(k % DAY)) => {
                (t[k].v, rh[k].v) = (t[k].v + 6.0, rh[k].v * 0.7);
            }
            Fault::Sunlit | Fault::Silent => {}
            Fault::NoNumber => (t[k].v, rh[k].v) = (f64::NAN, f64::INFINITY),
        }
    }
    if matches!(fault, Fault::Silent) {
        t.drain(within.clone());
        rh.drain(within);
    }
}

struct Outcome {
    hours: Vec<WetHour>,
    spells: Vec<DampSpell>,
    /// Most damp days in a row.
    row: Runs<u32>,
}

/// From readings to hours, spells and damp days, as it is meant to be done: what counts as missing is left out, what a neighbour contradicts is doubted
/// altogether.
fn followed(t: &[Sample], rh: &[Sample], neighbour: Option<(&[Sample], &[Sample])>) -> Outcome {
    let marked = |kind, samples: &[Sample], beside: Option<&[Sample]>| {
        let mut marks = vec![Marks::NONE; samples.len()];
        let series = Series { kind, place: Place::Inside, cadence_ms: STEP_MS, samples, beside };
        mark_series(&series, &mut marks, &mut Scratch::default());
        marks
    };
    let (air, mut damp) = (marked(Kind::Air, t, Some(rh)), marked(Kind::Humidity, rh, Some(t)));
    if let Some((other_t, other_rh)) = neighbour {
        let vapour = |t: &[Sample], rh: &[Sample]| -> Vec<Vapour> {
            t.iter().zip(rh).filter_map(|(t, rh)| Vapour::of(t.t_ms, t.v, rh.v, 3.0)).collect()
        };
        let (own, other) = (vapour(t, rh), vapour(other_t, other_rh));
        beside_each(&own, &other, 900_000, |k, other| {
            if (own[k].kpa - other.kpa).abs() > own[k].allowed_kpa(other) {
                damp[k] = damp[k].with(Mark::Neighbour);
            }
        });
    }
    let samples: Vec<AirSample> = (0..t.len())
        .filter(|k| !air[*k].counts_as_missing())
        .map(|k| AirSample {
            t_ms: t[k].t_ms,
            t_c: t[k].v,
            rh_pct: (!damp[k].counts_as_missing()).then_some(rh[k].v),
            error_pct: if damp[k].has(Mark::Neighbour) { 100.0 } else { 3.0 },
            leaf: None,
        })
        .collect();
    let mut hours = Vec::new();
    let span = 0..DAYS * 24 * HOUR_MS;
    wet_hours(&mut WetFold::default(), &WetRules::UNDER_COVER, &samples, &[], span, |_| STEP_MS, |h| hours.push(*h));
    let contradicted = |from_ms: i64| {
        t.iter().zip(&damp).any(|(s, m)| (from_ms..from_ms + HOUR_MS).contains(&s.t_ms) && m.has(Mark::Neighbour))
    };
    let (mut fold, mut spells) = (SpellFold::default(), Vec::new());
    for hour in &hours {
        let doubtful = hour.suspect || contradicted(hour.from_ms);
        let (rh_pct, t_c) = (hour.rh_pct.map(|rh| rh.read), hour.t_c);
        spells.extend(fold.push(&SpellHour { from_ms: hour.from_ms, rh_pct, t_c, doubtful }));
    }
    spells.extend(fold.finish());
    let (mut days, mut row) = (DampDays::default(), Runs::all(0));
    for noon in 0..DAYS - 1 {
        let of_day = (noon * 24 + 12) * HOUR_MS..(noon * 24 + 36) * HOUR_MS;
        let of_day: Vec<&WetHour> = hours.iter().filter(|h| of_day.contains(&h.from_ms)).collect();
        let measured = of_day.iter().filter(|h| h.known()).count() >= 18;
        let count = |of: fn(&Runs<Leaf>) -> Leaf| of_day.iter().filter(|h| of(&h.leaf()) == Leaf::Wet).count() as f64;
        let wet_h = Runs { low: count(|l| l.low), read: count(|l| l.read), high: count(|l| l.high) };
        days.push(measured.then_some(wet_h));
        row = row.with(days.days, u32::max);
    }
    Outcome { hours, spells, row }
}

/// Faults that are known from the readings alone.
const PLAIN: [Fault; 14] = [
    Fault::Stuck(90.0),
    Fault::Stuck(92.4),
    Fault::Stuck(94.9),
    Fault::StuckFlickering(91.3),
    Fault::StuckFlickering(97.1),
    Fault::Stuck(95.0),
    Fault::Stuck(98.9),
    Fault::StuckAir(3.0),
    Fault::Hung,
    Fault::Dead,
    Fault::Lost,
    Fault::PowerOn,
    Fault::Sunlit,
    Fault::NoNumber,
];

#[test]
fn dry_weather_has_no_spell_and_damp_weather_has() {
    let (t, mut rh) = dry_weather(6.0, 1);
    let dry = followed(&t, &rh, None);
    assert!(dry.spells.is_empty() && dry.row == Runs::all(0));
    assert_eq!(dry.hours.len(), DAYS as usize * 24);
    // The pipeline lets a real one through, or nothing here would be a test.
    rh[4 * DAY..6 * DAY].iter_mut().for_each(|s| s.v = s.v / 84.0 * 6.0 + 92.0);
    let damp = followed(&t, &rh, None);
    assert_eq!(damp.spells.len(), 1);
    assert!(damp.spells[0].hours >= 47 && !damp.spells[0].doubtful, "{:?}", damp.spells);
    assert!(damp.row.low >= 1 && damp.row.read >= 2, "{:?}", damp.row);
}

#[test]
fn sensor_with_a_fault_of_its_own_builds_no_spell_and_no_damp_day() {
    for fault in PLAIN.into_iter().chain([Fault::Silent]) {
        let (mut t, mut rh) = dry_weather(6.0, 7);
        broken(fault, 3 * DAY + 40..9 * DAY + 11, &mut t, &mut rh);
        let outcome = followed(&t, &rh, None);
        assert!(outcome.spells.iter().all(|s| s.doubtful || s.hours <= 1), "{fault:?}: {:?}", outcome.spells);
        assert_eq!((outcome.row.low, outcome.row.read), (0, 0), "{fault:?}");
        assert!(outcome.hours.iter().all(|h| h.t_c.is_some_and(f64::is_finite)), "{fault:?}");
    }
}

/// Troubles page 3: a frost alarm from a dead bus is a failure. No temperature that was never measured freezes an hour or makes it cold; two hours may go
/// by until a sensor that stands still is known for one.
#[test]
fn dead_hung_or_lost_temperature_freezes_no_hour() {
    for fault in [Fault::Dead, Fault::Hung, Fault::Lost, Fault::PowerOn, Fault::StuckAir(-0.06), Fault::StuckAir(-3.0)]
    {
        let (mut t, mut rh) = dry_weather(6.0, 7);
        broken(fault, 3 * DAY + 40..9 * DAY + 11, &mut t, &mut rh);
        let outcome = followed(&t, &rh, None);
        let frozen = outcome.hours.iter().filter(|h| h.leaf().read == Leaf::Frozen).count();
        let coldest_c = outcome.hours.iter().filter_map(|h| h.t_c).fold(f64::MAX, f64::min);
        assert!(frozen == 0 && coldest_c > 3.0, "{fault:?}: {frozen} frozen hours, coldest {coldest_c}");
    }
}

/// At the top fog and a tired sensor look alike for 48 h (wetness sheet 1.5): until then its hours count. From there on the low run is dry, and the spell
/// is doubtful from its first hour on.
#[test]
fn saturated_sensor_is_doubted_after_48_hours_and_its_whole_spell_with_it() {
    let (mut t, mut rh) = dry_weather(6.0, 3);
    broken(Fault::Saturated, 3 * DAY..9 * DAY, &mut t, &mut rh);
    let outcome = followed(&t, &rh, None);
    assert_eq!(outcome.spells.len(), 1);
    assert!(outcome.spells[0].hours == 144 && outcome.spells[0].doubtful, "{:?}", outcome.spells);
    // 48 h from a midnight on lie in three noon-days.
    assert!(outcome.row.low <= 3 && outcome.row.read >= 5, "{:?}", outcome.row);
    let late = outcome.hours.iter().filter(|h| (5 * 24..9 * 24).contains(&(h.from_ms / HOUR_MS)));
    assert!(late.clone().count() == 96 && late.clone().all(|h| h.suspect && h.wet_ms.low == 0));
}

/// With a sound neighbour the doubt comes with the first reading, in cold weather too: two vapour pressures three dead bands apart.
#[test]
fn saturated_sensor_beside_a_sound_one_is_doubted_at_once() {
    for colder_by_c in [0.0, 8.0] {
        let (mut t, rh) = dry_weather(6.0, 3);
        t.iter_mut().for_each(|s| s.v -= colder_by_c);
        let (mut broken_t, mut broken_rh) = (t.clone(), rh.clone());
        broken(Fault::Saturated, 3 * DAY..9 * DAY, &mut broken_t, &mut broken_rh);
        let outcome = followed(&broken_t, &broken_rh, Some((&t, &rh)));
        assert!(!outcome.spells.is_empty() && outcome.spells.iter().all(|s| s.doubtful), "{:?}", outcome.spells);
        assert_eq!(outcome.row.low, 0);
    }
}

proptest! {
    #[test]
    fn prop_no_broken_sensor_builds_a_damp_spell_of_dry_weather(
        fault in 0..PLAIN.len() + 1, swing in 3.0..9.0_f64, seed: u64, from in DAY..6 * DAY, length in 12..5 * DAY,
    ) {
        let fault = PLAIN.get(fault).copied().unwrap_or(Fault::Silent);
        let (mut t, mut rh) = dry_weather(swing, seed);
        broken(fault, from..from + length, &mut t, &mut rh);
        let outcome = followed(&t, &rh, None);
        // A stretch too short to be known as stuck counts: an hour for what stands below 95 %, a day for what stands above.
        let counted: u32 = outcome.spells.iter().filter(|s| !s.doubtful).map(|s| s.hours).sum();
        let above = matches!(fault, Fault::Stuck(pct) | Fault::StuckFlickering(pct) if pct >= 95.0);
        let allowed = if above && length < DAY + 12 { 26 } else { 12 };
        prop_assert!(counted <= allowed, "{fault:?} {length}: {:?}", outcome.spells);
    }
}
