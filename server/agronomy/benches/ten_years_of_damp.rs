//! Ten years of ten-minute samples of one spot through wetness, infection and risk, on one core.
//!
//!     cargo bench -p propstick-agronomy --bench ten_years_of_damp
//!
//! The weather is made up: a yearly and a daily wave with a slow wander, damp enough that half of the hours are wet. Also measured: what a late reading costs, worked
//! out again from the states kept at the noon before last. A measurement to be written down with its date, not a test.
#![allow(missing_docs)]

use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, HOUR_MS, Sample, cadence_ms};
use propstick_agronomy::disease::blight::{BlightDay, BlightRule};
use propstick_agronomy::disease::grey_mould::{GreyMouldDay, GreyMouldFold};
use propstick_agronomy::disease::lettuce::lettuce_morning_wu_2002;
use propstick_agronomy::disease::onion::{OnionInfection, onion_spore_night};
use propstick_agronomy::risk::fold::{NOON_DAY_MS, RiskDay, RiskFold};
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::{LevelState, shown};
use propstick_agronomy::wetness::hours::{WetFold, WetHour};
use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
use propstick_agronomy::wetness::spell::{DampDays, SpellFold, SpellHour};
use propstick_agronomy::wetness::state::WetRules;
use std::hint::black_box;
use std::time::Instant;

const STEP_MS: i64 = 600_000;
const DAYS: i64 = 3_652;
const RULES: WetRules = WetRules::UNDER_COVER;

fn main() {
    let samples = made_up_weather();
    let span = 0..DAYS * NOON_DAY_MS;
    let series: Vec<Sample> = samples.iter().map(|s| Sample { t_ms: s.t_ms, v: s.t_c }).collect();
    println!("{} samples, {DAYS} days; three goes each", samples.len());
    for _ in 0..3 {
        let mut hours: Vec<WetHour> = Vec::with_capacity((DAYS * 24) as usize);
        timed("wet hours, cadence known", || {
            hours.clear();
            wet_hours(&mut WetFold::default(), &RULES, &samples, &[], span.clone(), |_| STEP_MS, |h| hours.push(*h));
        });
        timed("wet hours, cadence of each hour from its day", || {
            hours.clear();
            let cadence = |end| cadence_ms(&series, end).unwrap_or(CADENCE_UNKNOWN_MS);
            wet_hours(&mut WetFold::default(), &RULES, &samples, &[], span.clone(), cadence, |h| hours.push(*h));
        });
        let wet = hours.iter().filter(|h| h.wet_ms.read * 2 >= h.covered_ms).count();
        let mut days: Vec<RiskDay> = Vec::with_capacity(DAYS as usize);
        timed("risk of twelve diseases in three runs", || {
            days.clear();
            let mut fold = RiskFold::starting(0);
            hours.iter().for_each(|h| fold.push(h, |day| days.push(*day)));
        });
        timed("levels of eight crop groups", || black_box(levels(&days)));
        timed("rules of single crops, spells, damp days", || black_box(single_rules(&hours, &days)));
        println!("  ({wet} of {} hours wet, {} days scored)", hours.len(), days.len());
    }
    late_reading(&samples);
}

/// From the states kept at the noon before last, two days of samples again.
fn late_reading(samples: &[AirSample]) {
    let kept_ms = (DAYS - 2) * NOON_DAY_MS;
    let (mut wet, mut risk) = (WetFold::default(), RiskFold::starting(0));
    wet_hours(&mut wet, &RULES, samples, &[], 0..kept_ms, |_| STEP_MS, |h| risk.push(h, |_| {}));
    timed("a late reading of last night, from states kept at noon", || {
        let (mut wet, mut risk) = (wet, risk);
        let from = samples.partition_point(|s| s.t_ms < kept_ms) - 1;
        wet_hours(
            &mut wet,
            &RULES,
            &samples[from..],
            &[],
            kept_ms..DAYS * NOON_DAY_MS,
            |_| STEP_MS,
            |h| {
                risk.push(h, |day| {
                    black_box(day.group(CropGroup::Lettuce));
                });
            },
        );
        black_box(risk.so_far());
    });
}

fn levels(days: &[RiskDay]) -> usize {
    let mut states = [LevelState::default(); CropGroup::ALL.len()];
    let mut alerts = 0;
    for day in days.iter().filter(|day| day.scored) {
        for (group, state) in CropGroup::ALL.into_iter().zip(states.iter_mut()) {
            let Some(of) = day.group(group) else { continue };
            state.judge(of.risk.read);
            alerts += usize::from(shown(state, of.risk, day.missing_d, day.scored_d).may_alert);
        }
    }
    alerts
}

fn single_rules(hours: &[WetHour], days: &[RiskDay]) -> usize {
    let (mut grey, mut onions, mut spells) =
        (GreyMouldFold::default(), OnionInfection::default(), SpellFold::default());
    let (mut row, mut said) = (DampDays::default(), 0);
    for (of_day, day) in hours.chunks(24).zip(days) {
        let wet_h = day.wet_h.map(f64::from);
        row.push(day.scored.then_some(wet_h));
        let week = grey.push(Some(GreyMouldDay { wet_h, band_h: GreyMouldDay::band_h(of_day, day.from_ms) }));
        let morning = lettuce_morning_wu_2002(of_day, day.from_ms + 19 * HOUR_MS);
        let midnight_ms = day.from_ms + 12 * HOUR_MS;
        onions.night(onion_spore_night(of_day, midnight_ms, midnight_ms + 6 * HOUR_MS, Some(20.0)));
        let mut blight = BlightDay::default();
        for hour in of_day {
            let rh_pct = hour.rh_pct.map(|rh| rh.read);
            blight.hour(hour.t_c, rh_pct);
            said += usize::from(onions.hour(hour).read);
            let ended =
                spells.push(&SpellHour { from_ms: hour.from_ms, rh_pct, t_c: hour.t_c, doubtful: hour.suspect });
            said += usize::from(ended.is_some());
        }
        said += usize::from(week.outbreak.read.is_yes()) + usize::from(morning.infects.read.is_yes());
        said += usize::from(blight.meets(BlightRule::Hutton2017, 24).is_yes());
    }
    said
}

fn made_up_weather() -> Vec<AirSample> {
    let mut wander = 0.0_f64;
    let mut seed = 1_u64;
    (0..DAYS * NOON_DAY_MS / STEP_MS)
        .map(|k| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let noise = (seed >> 40) as f64 / f64::from(1 << 24) - 0.5;
            wander = 0.999 * wander + noise;
            let day = k as f64 / 144.0;
            let (year, hour) = ((day / 365.25).fract(), day.fract());
            let wave = (2.0 * std::f64::consts::PI * hour).cos();
            let t_c = 11.0 - 6.0 * (2.0 * std::f64::consts::PI * (year - 0.05)).cos() + 3.0 * wave + 0.1 * wander;
            let rh_pct = (88.0 - 9.0 * wave + 0.6 * wander).clamp(30.0, 100.0);
            AirSample { t_ms: k * STEP_MS, t_c, rh_pct: Some(rh_pct), error_pct: 3.0, leaf: None }
        })
        .collect()
}

fn timed<T>(what: &str, mut work: impl FnMut() -> T) {
    let start = Instant::now();
    black_box(work());
    println!("{:>9.3} ms  {what}", start.elapsed().as_secs_f64() * 1e3);
}
