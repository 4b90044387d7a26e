//! Ten years of ten-minute readings of one structure, two spots of air that are compared, through marks, wet hours, noon-days of risk, levels and flags, on
//! one core.
//!
//!     cargo bench -p propstick-garden --bench ten_years_of_season
//!
//! The weather is made up, damp enough that half of the hours are wet. The aim is 0.2 s, the limit 1 s. Also measured: what a late reading of last night
//! costs, worked out again from the state kept at the first noon that it can change. A measurement to be written down with its date, not a test.
#![allow(clippy::expect_used)]
#![allow(missing_docs)]

use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::hint::black_box;
use std::time::Instant;

use propstick_agronomy::coverage::{CadenceWindow, HOUR_MS, Sample};
use propstick_agronomy::quality::{Marks, Place};
use propstick_agronomy::wetness::hours::WetHour;
use propstick_agronomy::wetness::state::WetRules;
use propstick_garden::season::{
    CHANGED_BACK_MS, DayRoom, Doubts, Flags, LEAVES_LOOK_BACK_MS, LOOK_BACK_MS, Marker, NOON_DAY_MS, Night, SpotAir,
    SpotState, join_air, marks_at,
};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

/// Counts what is asked of the memory: what grows with the readings is a list that is given back, never the work of one of them.
#[global_allocator]
static MEMORY: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

const STEP_MS: i64 = 600_000;
const DAYS: i64 = 3_652;
const SPOTS: usize = 2;

/// Temperature and humidity of a spot.
type Readings = (Vec<Sample>, Vec<Sample>);
type Marked = (Vec<Marks>, Vec<Marks>);

fn main() {
    let spots: Vec<Readings> = (0..SPOTS).map(|k| made_up_weather(k as u64)).collect();
    println!("{SPOTS} spots, {} instants each, {DAYS} days; three goes", spots[0].0.len());
    for go in 1..=3 {
        println!("go {go}");
        let whole = Instant::now();
        let marks = timed("marks", || spots.iter().map(marked).collect::<Vec<Marked>>());
        let doubted = timed("doubts of neighbours", || doubts(&spots, &marks));
        let mut airs = vec![SpotAir::default(); SPOTS];
        timed("air", || {
            for (k, air) in airs.iter_mut().enumerate() {
                let ((t, rh), (tm, rm)) = (&spots[k], &marks[k]);
                join_air((t, tm), (rh, rm), &doubted[k], air);
            }
        });
        let gone = timed("wet hours, risk, levels, damp days, spells", || {
            airs.iter().map(|air| through(SpotState::starting(Millis(0)), air, DAYS)).collect::<Vec<_>>()
        });
        timed("flags of every noon-day", || gone.iter().map(|(_, hours, _)| flags(hours)).sum::<usize>());
        println!("{:>10.3} ms  all of it", whole.elapsed().as_secs_f64() * 1e3);
        let scored = gone[0].0.iter().filter(|n| n.day.scored).count();
        println!("            ({scored} noon-days of the first spot have a score)");
    }
    late_reading(&spots);
}

/// From the state kept at the noon before the first that a reading of the last night can change.
fn late_reading(spots: &[Readings]) {
    let end_ms = DAYS * NOON_DAY_MS;
    let from_ms = (end_ms - NOON_DAY_MS / 2 - CHANGED_BACK_MS).div_euclid(NOON_DAY_MS) * NOON_DAY_MS;
    let whole: Vec<Marked> = spots.iter().map(marked).collect();
    let mut air = SpotAir::default();
    join_air((&spots[0].0, &whole[0].0), (&spots[0].1, &whole[0].1), &[], &mut air);
    let kept = through(SpotState::starting(Millis(0)), &air, from_ms / NOON_DAY_MS).2.written();
    for _ in 0..3 {
        timed("a late reading of last night, one structure", || {
            let near: Vec<Readings> = spots.iter().map(|(t, rh)| (since(t, from_ms), since(rh, from_ms))).collect();
            let marks: Vec<Marked> = near.iter().map(marked).collect();
            let doubted = doubts(&near, &marks);
            for k in 0..SPOTS {
                let ((t, rh), (tm, rm)) = (&near[k], &marks[k]);
                join_air((t, tm), (rh, rm), &doubted[k], &mut air);
                let Some(state) = SpotState::read(&kept) else { continue };
                black_box(through(state, &air, (end_ms - from_ms) / NOON_DAY_MS));
            }
        });
    }
}

fn since(samples: &[Sample], from_ms: i64) -> Vec<Sample> {
    samples[samples.partition_point(|s| s.t_ms < from_ms - LOOK_BACK_MS)..].to_vec()
}

fn marked((t, rh): &Readings) -> Marked {
    let mut marker = Marker::default();
    let t_marks = marks_at(Quantity::AirTemperature, Place::Inside, t, Some(rh), &mut marker);
    (t_marks, marks_at(Quantity::AirHumidity, Place::Inside, rh, Some(t), &mut marker))
}

fn doubts(spots: &[Readings], marks: &[Marked]) -> Vec<Vec<Marks>> {
    let mut doubts = Doubts::default();
    for ((t, rh), (tm, rm)) in spots.iter().zip(marks) {
        doubts.take((t, tm), (rh, rm));
    }
    (0..spots.len()).map(|k| doubts.of(k, &spots[k].1)).collect()
}

fn through(mut state: SpotState, air: &SpotAir, days: i64) -> (Vec<Night>, Vec<WetHour>, SpotState) {
    let mut cadence = CadenceWindow::new(&air.plain);
    let mut room = DayRoom::default();
    let (mut nights, mut hours) = (Vec::with_capacity(days as usize), Vec::with_capacity(days as usize * 24));
    for _ in 0..days {
        nights.push(state.close_day(&WetRules::UNDER_COVER, air, &mut cadence, &[], &mut room));
        hours.extend(room.known().copied());
    }
    (nights, hours, state)
}

/// As an answer asks for them: each from the hours of its week.
fn flags(hours: &[WetHour]) -> usize {
    let mut met = 0;
    for day in 7..DAYS {
        let noon_ms = day * NOON_DAY_MS;
        let from = hours.partition_point(|h| h.from_ms < noon_ms - LEAVES_LOOK_BACK_MS);
        let to = hours.partition_point(|h| h.from_ms < noon_ms + NOON_DAY_MS + 4 * HOUR_MS);
        let flags = Flags::of_day(&hours[from..to], Millis(noon_ms), chrono_tz::UTC, (51.0, -4.0), Some(true));
        met += usize::from(flags.stem_rot.is_yes()) + usize::from(flags.grey_mould_week.read.is_yes());
    }
    met
}

fn made_up_weather(of_spot: u64) -> Readings {
    let (mut wander, mut seed) = (0.0_f64, 1 + of_spot);
    (0..DAYS * NOON_DAY_MS / STEP_MS)
        .map(|k| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            wander = 0.999 * wander + (seed >> 40) as f64 / f64::from(1 << 24) - 0.5;
            let day = k as f64 / 144.0;
            let wave = (2.0 * std::f64::consts::PI * day.fract()).cos();
            let year = (2.0 * std::f64::consts::PI * ((day / 365.25).fract() - 0.05)).cos();
            let t_c = 11.0 - 6.0 * year + 3.0 * wave + 0.1 * wander;
            let rh_pct = (88.0 - 9.0 * wave + 0.6 * wander).clamp(30.0, 100.0);
            (Sample { t_ms: k * STEP_MS, v: t_c }, Sample { t_ms: k * STEP_MS, v: rh_pct })
        })
        .unzip()
}

fn timed<T>(what: &str, work: impl FnOnce() -> T) -> T {
    let (memory, start) = (Region::new(MEMORY), Instant::now());
    let done = black_box(work());
    let took_ms = start.elapsed().as_secs_f64() * 1e3;
    let asked = memory.change();
    println!("{took_ms:>10.3} ms {:>8} allocations  {what}", asked.allocations + asked.reallocations);
    done
}
