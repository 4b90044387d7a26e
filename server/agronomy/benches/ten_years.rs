//! Ten years of ten-minute readings of one structure, one spot of air, through everything that is worked out of them, on one core.
//!
//!     cargo bench -p propstick-agronomy --bench ten_years
//!
//! The weather is made up: a yearly and a daily wave with a slow wander, damp enough that half of the hours are wet. The aim is 0.2 s for the sum, the limit 1 s. Also
//! measured: what a late reading costs, worked out again from the states kept at the noon before last. A measurement to be written down with its date, not a test.
#![allow(missing_docs)]

use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, CadenceWindow, HOUR_MS, HourCell, Sample, hour_cells};
use propstick_agronomy::degree_days::integrated::of_samples;
use propstick_agronomy::degree_days::{Cutoff, DayRange, DegreeDays, Limits, Method};
use propstick_agronomy::disease::blight::{BlightDay, BlightRule};
use propstick_agronomy::disease::grey_mould::{GreyMouldDay, GreyMouldFold};
use propstick_agronomy::disease::lettuce::lettuce_morning_wu_2002;
use propstick_agronomy::disease::onion::{OnionInfection, onion_spore_night};
use propstick_agronomy::evapotranspiration::{CoverSky, DayAir, under_cover_mm_d};
use propstick_agronomy::frost::{Night, NightLow, falls_to_radiation};
use propstick_agronomy::growth;
use propstick_agronomy::light::{Layer, cloudy_day_mj_m2};
use propstick_agronomy::psychrometrics::dew_point_c;
use propstick_agronomy::quality::{Kind, Marks, Place, Scratch, Series, mark_series};
use propstick_agronomy::risk::fold::{NOON_DAY_MS, RiskDay, RiskFold};
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::{LevelState, shown};
use propstick_agronomy::sun::{SunDay, day_of_year};
use propstick_agronomy::water::balance::{Bed, DayWater};
use propstick_agronomy::water::crops::crop;
use propstick_agronomy::water::soils::Texture;
use propstick_agronomy::wetness::hours::{WetFold, WetHour};
use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
use propstick_agronomy::wetness::spell::{DampDays, SpellFold, SpellHour};
use propstick_agronomy::wetness::state::WetRules;
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::hint::black_box;
use std::time::Instant;

/// Counts what is asked of the memory: what grows with the readings is a list that is given back, never the work of one of them.
#[global_allocator]
static MEMORY: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

const STEP_MS: i64 = 600_000;
const DAYS: i64 = 3_652;
const RULES: WetRules = WetRules::UNDER_COVER;
const LAT: f64 = 51.5;
const LON: f64 = -4.0;
const DAY_MS: i64 = 24 * HOUR_MS;

fn main() {
    let air = made_up_weather();
    let t: Vec<Sample> = air.iter().map(|s| Sample { t_ms: s.t_ms, v: s.t_c }).collect();
    let rh: Vec<Sample> = air.iter().map(|s| Sample { t_ms: s.t_ms, v: s.rh_pct.unwrap_or(f64::NAN) }).collect();
    println!("{} instants of temperature and humidity, {DAYS} days; three goes each", air.len());
    for go in 1..=3 {
        println!("go {go}");
        let whole = Instant::now();
        let samples = timed("quality marks of both series", || marked(&t, &rh));
        let (cells, damp_cells) = timed("hours of both series", || {
            (hour_cells(&t, 0, (DAYS * 24) as usize), hour_cells(&rh, 0, (DAYS * 24) as usize))
        });
        let hours = timed("wet hours, cadence of each hour from its day", || {
            let mut hours: Vec<WetHour> = Vec::with_capacity((DAYS * 24) as usize);
            let mut window = CadenceWindow::new(&t);
            let cadence = |end| window.before(end).unwrap_or(CADENCE_UNKNOWN_MS);
            wet_hours(&mut WetFold::default(), &RULES, &samples, &[], 0..DAYS * NOON_DAY_MS, cadence, |h| {
                hours.push(*h)
            });
            hours
        });
        let days = timed("risk of twelve diseases in three runs", || {
            let mut days: Vec<RiskDay> = Vec::with_capacity(DAYS as usize);
            let mut fold = RiskFold::starting(0);
            hours.iter().for_each(|h| fold.push(h, |day| days.push(*day)));
            days
        });
        timed("levels of eight crop groups", || levels(&days));
        timed("rules of single crops, spells, damp days", || single_rules(&hours, &days));
        let of_day = |ends: [f64; 2], cell: &HourCell| [ends[0].min(cell.min), ends[1].max(cell.max)];
        let ranges: Vec<[f64; 2]> = cells.chunks(24).map(|day| day.iter().fold([99.0, -99.0], of_day)).collect();
        timed("degree-days: six methods of the day's range, three cut-offs", || by_range(&ranges));
        timed("degree-days: the course itself", || by_course(&t));
        timed("growth speed", || growth_of(&ranges));
        timed("dusks, lows and what they teach", || frost(&t, &damp_cells));
        timed("water of three beds", || beds(&ranges));
        println!("{:>9.3} ms  everything", whole.elapsed().as_secs_f64() * 1e3);
        let wet = hours.iter().filter(|h| h.wet_ms.read * 2 >= h.covered_ms).count();
        println!("  ({wet} of {} hours wet, {} days scored)", hours.len(), days.len());
    }
    late_reading(&air, &t, &rh);
}

/// Marks of both series; the samples that count.
fn marked(t: &[Sample], rh: &[Sample]) -> Vec<AirSample> {
    let mut scratch = Scratch::default();
    let mut of = |kind, samples: &[Sample], beside: Option<&[Sample]>| {
        let mut marks = vec![Marks::NONE; samples.len()];
        mark_series(
            &Series { kind, place: Place::Inside, cadence_ms: STEP_MS, samples, beside },
            &mut marks,
            &mut scratch,
        );
        marks
    };
    let (air, damp) = (of(Kind::Air, t, None), of(Kind::Humidity, rh, Some(t)));
    (t.iter().zip(rh).zip(air.iter().zip(&damp)))
        .filter(|(_, (air, _))| !air.counts_as_missing())
        .map(|((t, rh), (_, damp))| {
            let rh_pct = (!damp.counts_as_missing()).then_some(rh.v);
            AirSample { t_ms: t.t_ms, t_c: t.v, rh_pct, error_pct: 3.0, leaf: None }
        })
        .collect()
}

fn by_range(days: &[[f64; 2]]) -> f64 {
    let mut sum = 0.0;
    for (today, tomorrow) in days.iter().zip(days.iter().skip(1)) {
        let Some(day) = DayRange::new(today[0], today[1]).and_then(|day| day.with_next_min(tomorrow[0])) else {
            continue;
        };
        for method in Method::ALL {
            for cutoff in [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical] {
                let limits = Limits::between(4.0, 24.0, cutoff);
                sum += limits.and_then(|limits| DegreeDays::of(day, method, limits)).map_or(0.0, |d| d.value_c_d);
            }
        }
    }
    sum
}

fn by_course(t: &[Sample]) -> f64 {
    let limits = Limits::above(4.0);
    let day = |n: i64| {
        // A caller hands a day with its neighbours, not ten years.
        let from = t.partition_point(|s| s.t_ms < n * DAY_MS).saturating_sub(1);
        let to = t.partition_point(|s| s.t_ms <= (n + 1) * DAY_MS);
        of_samples(&t[from..to], n * DAY_MS, (n + 1) * DAY_MS, limits?)
    };
    (0..DAYS).filter_map(day).map(|d| d.degree_days.value_c_d).sum()
}

fn light_inside(day: usize) -> Option<f64> {
    Some(cloudy_day_mj_m2(LAT, day_of_year(day as i64)?)? * Layer::Tunnel.transmission())
}

fn growth_of(days: &[[f64; 2]]) -> usize {
    let of_day = |(n, [min_c, max_c]): (usize, &[f64; 2])| growth::of_day(0.5 * (min_c + max_c), light_inside(n)?);
    let each: Vec<Option<f64>> = days.iter().enumerate().map(of_day).collect();
    growth::speeds(&each).iter().flatten().filter(|speed| **speed == growth::Speed::Stopped).count()
}

/// Every night's dusk and low; each autumn learned anew from all radiation nights so far.
fn frost(t: &[Sample], damp: &[HourCell]) -> f64 {
    let (mut nights, mut warned) = (Vec::new(), 0.0);
    let mut learned = None;
    let mut next = SunDay::of_day_number(0, LAT, LON);
    for n in 0..DAYS - 1 {
        let today = next;
        next = SunDay::of_day_number(n + 1, LAT, LON);
        let (Some(today), Some(tomorrow)) = (today, next) else { continue };
        let (Some(set_s), Some(rise_s)) = (today.sunset_s, tomorrow.sunrise_s) else { continue };
        let at = |s: i64| t.partition_point(|sample| sample.t_ms < s * 1_000);
        let (afternoon, dusk, rise) = (at(set_s - 6 * 3_600), at(set_s + 7_200), at(rise_s));
        let Some(dusk_c) = t.get(dusk).map(|s| s.v) else { continue };
        let warmest = t[afternoon..at(set_s)].iter().map(|s| s.v).fold(-99.0, f64::max);
        let low_c = t[dusk..rise.max(dusk)].iter().map(|s| s.v).fold(99.0, f64::min);
        let rh = damp.get((t[dusk].t_ms / HOUR_MS) as usize).and_then(|cell| cell.mean());
        let dusk_dew_c = rh.and_then(|rh| dew_point_c(dusk_c, rh));
        if falls_to_radiation(warmest, dusk_c, None) == Some(true) {
            nights.push(Night { dusk_c, dusk_dew_c, low_c });
        }
        if n % 365 == 270 {
            learned = NightLow::learn(&nights);
        }
        warned += learned.as_ref().and_then(|l: &NightLow| l.low(dusk_c, dusk_dew_c)).map_or(0.0, |low| low.warn_c);
    }
    warned
}

fn beds(days: &[[f64; 2]]) -> f64 {
    let Some(soil) = Texture::of_name("sandy-loam").map(Texture::middle) else { return 0.0 };
    let mut missing = [0.0; 3];
    for (n, [min_c, max_c]) in days.iter().enumerate() {
        let used = DayAir::of_mean_humidity(*min_c, *max_c, 85.0)
            .zip(light_inside(n))
            .and_then(|(air, mj)| under_cover_mm_d(&air, None, mj, CoverSky::DryFilm, 50.0));
        let Some(used) = used else { continue };
        for (missing, (name, roots_m)) in missing.iter_mut().zip([("lettuce", 0.25), ("spinach", 0.3), ("tomato", 0.7)])
        {
            let crop = crop(name);
            let wanted_mm = used.mm_d * crop.coefficient(0.8).unwrap_or(1.0);
            let Some(bed) = Bed::of_crop(soil, roots_m, crop, wanted_mm) else { continue };
            let watered_mm = if *missing > bed.readily_mm() { *missing } else { 0.0 };
            let after =
                bed.after(missing.min(bed.total_mm()), DayWater { watered_mm, wanted_mm, ..DayWater::default() });
            *missing = after.map_or(0.0, |after| after.missing_mm);
        }
    }
    missing.iter().sum()
}

/// From the states kept at the noon before last, two days of samples again.
fn late_reading(samples: &[AirSample], t: &[Sample], rh: &[Sample]) {
    let kept_ms = (DAYS - 2) * NOON_DAY_MS;
    let (mut wet, mut risk) = (WetFold::default(), RiskFold::starting(0));
    wet_hours(&mut wet, &RULES, samples, &[], 0..kept_ms, |_| STEP_MS, |h| risk.push(h, |_| {}));
    timed("a late reading of last night, from states kept at noon", || {
        let (mut wet, mut risk) = (wet, risk);
        // Marks reach a day and a half back.
        let near = t.partition_point(|s| s.t_ms < kept_ms - 3 * DAY_MS / 2);
        black_box(marked(&t[near..], &rh[near..]));
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
        let week =
            grey.push(Some(GreyMouldDay { wet_h, band_h: GreyMouldDay::band_h(of_day, day.from_ms), unknown_h: 0.0 }));
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

fn timed<T>(what: &str, mut work: impl FnMut() -> T) -> T {
    let (memory, start) = (Region::new(MEMORY), Instant::now());
    let made = black_box(work());
    let took_ms = start.elapsed().as_secs_f64() * 1e3;
    let asked = memory.change();
    println!("{took_ms:>9.3} ms {:>7} allocations  {what}", asked.allocations + asked.reallocations);
    made
}
