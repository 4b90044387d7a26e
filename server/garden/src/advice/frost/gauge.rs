//! What of a gauge's readings can be used.

use propstick_agronomy::psychrometrics as psychro;
use propstick_agronomy::quality::humidity_for_physics;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::limits::{AIR_C, DUSK_WITHIN_MIN, JUMP_C, JUMP_RH_PCT, LEAST_RH_PCT, NEAR_FROST_C, PACE_H};
use super::question::hours;
use super::{FrostDoubt, FrostReading, FrostUnknown, NightSpan};
use crate::advice::FRESH_MIN;

/// A gauge's afternoon and evening, as far as it can be believed.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// The newest reading that stands.
    pub now: Air,
    /// The reading two hours after sunset.
    pub dusk: Option<Air>,
    /// Warmest of the six hours before sunset, without sun on the gauge, °C.
    pub afternoon_c: Option<f64>,
    /// Lowest since sunset, °C.
    pub lowest_c: Option<f64>,
    /// How fast it cools, °C an hour; negative where it warms.
    pub cooling_c_h: Option<f64>,
    /// What is not known.
    pub doubts: Vec<FrostDoubt>,
}

/// What stands of a gauge's readings over an evening, and what follows from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Evening {
    /// The readings that stand, ascending.
    pub air: Vec<Air>,
    /// The reading two hours after sunset.
    pub dusk: Option<Air>,
    /// Warmest of the six hours before sunset, without sun on the gauge, °C; none where their first four were not measured.
    pub afternoon_c: Option<f64>,
    /// The newest was left out for a jump.
    jump: bool,
}

/// The air at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// When.
    pub at: Millis,
    /// Temperature, °C.
    pub t_c: f64,
    /// Relative humidity, %.
    pub rh_pct: Option<f64>,
    /// Dew point over water, °C.
    pub dew_c: Option<f64>,
    /// The humidity gauge cannot tell wet from wetter.
    pub saturated: bool,
    sunlit: bool,
}

impl Evening {
    /// The evening up to `until`.
    pub fn of(readings: &[&FrostReading], night: NightSpan) -> Evening {
        let (air, jump) = standing(readings);
        let dusk_at = night.sunset.plus(2 * HOUR);
        let off = |a: &&Air| a.at.since(dusk_at).abs();
        let dusk = air.iter().min_by_key(off).filter(|a| off(a) <= DUSK_WITHIN_MIN * MINUTE).copied();
        let afternoon = |a: &&Air| a.at <= night.sunset && night.sunset.since(a.at) <= 6 * HOUR && !a.sunlit;
        let early = air.iter().filter(afternoon).any(|a| night.sunset.since(a.at) >= 2 * HOUR);
        let warmest = air.iter().filter(afternoon).map(|a| a.t_c).reduce(f64::max);
        Evening { dusk, afternoon_c: warmest.filter(|_| early), jump, air }
    }
}

/// The readings from seven hours before sunset to `until`, ascending.
pub fn of_evening(readings: &[FrostReading], until: Millis, night: NightSpan) -> Vec<&FrostReading> {
    let from = night.sunset.plus(-7 * HOUR);
    let mut readings: Vec<&FrostReading> = readings.iter().filter(|r| r.at >= from && r.at <= until).collect();
    readings.sort_by_key(|r| r.at);
    readings
}

impl Gauge {
    /// The gauge at `now`, or why it says nothing of now.
    pub fn of(readings: &[FrostReading], now: Millis, night: NightSpan) -> Result<Gauge, FrostUnknown> {
        let readings = of_evening(readings, now, night);
        let Evening { air, dusk, afternoon_c, jump } = Evening::of(&readings, night);
        let newest = air.last().copied().filter(|newest| now.since(newest.at) <= FRESH_MIN * MINUTE);
        let newest = newest.ok_or_else(|| unheard(&readings, air.last().copied()))?;
        if air.len() < 2 {
            return Err(FrostUnknown::One { at: newest.at });
        }
        let doubts = [
            (jump, FrostDoubt::Jump),
            (newest.dew_c.is_none(), FrostDoubt::NoDewPoint),
            (newest.dew_c.is_some() && newest.saturated, FrostDoubt::Saturated),
            (afternoon_c.is_none(), FrostDoubt::NoAfternoon),
        ];
        Ok(Gauge {
            now: newest,
            dusk,
            afternoon_c,
            lowest_c: air.iter().filter(|a| a.at >= night.sunset).map(|a| a.t_c).reduce(f64::min),
            cooling_c_h: cooling(&air, newest),
            doubts: doubts.into_iter().filter(|(is, _)| *is).map(|(_, doubt)| doubt).collect(),
        })
    }

    /// How far the air has fallen since the afternoon, °C.
    pub fn fall_c(&self) -> Option<f64> {
        self.afternoon_c.map(|warm| warm - self.now.t_c)
    }
}

/// The readings that stand, ascending; and whether the newest was left out for a jump. A jump stands once the next reading bears it out: near it, and
/// not the same to the last digit, as a dead bus would send it.
fn standing(readings: &[&FrostReading]) -> (Vec<Air>, bool) {
    let meant: Vec<(&FrostReading, f64)> =
        readings.iter().filter_map(|r| Some((*r, r.t_c.filter(|t| AIR_C.contains(t))?))).collect();
    let mut kept: Vec<Air> = Vec::with_capacity(meant.len());
    let mut left_out: Option<f64> = None;
    for (k, (reading, t_c)) in meant.iter().enumerate() {
        let next = meant.get(k + 1);
        let is_near = |at: Millis, other_c: f64| (t_c - other_c).abs() <= allowed(JUMP_C, at.since(reading.at));
        let follows = kept.last().is_none_or(|last| is_near(last.at, last.t_c)) && left_out != Some(*t_c);
        let borne_out = || next.is_some_and(|(next, next_c)| is_near(next.at, *next_c) && next_c != t_c);
        if !follows && !borne_out() {
            left_out = Some(*t_c);
            continue;
        }
        left_out = None;
        let rh_pct = humidity(reading).filter(|rh| {
            // A jump of humidity waits for the next reading, too.
            let is_near = |at: Millis, other: f64| (rh - other).abs() <= allowed(JUMP_RH_PCT, at.since(reading.at));
            let last = kept.last().and_then(|last| Some((last.at, last.rh_pct?)));
            let next = || next.and_then(|(next, _)| Some((next.at, humidity(next)?)));
            last.is_none_or(|(at, last)| is_near(at, last)) || next().is_some_and(|(at, next)| is_near(at, next))
        });
        kept.push(Air {
            at: reading.at,
            t_c: *t_c,
            rh_pct,
            dew_c: rh_pct.and_then(|rh| psychro::dew_point_c(*t_c, rh)),
            saturated: reading.saturated,
            sunlit: reading.sunlit,
        });
    }
    (kept, left_out.is_some())
}

fn humidity(reading: &FrostReading) -> Option<f64> {
    reading.rh_pct.and_then(humidity_for_physics).map(|(rh, _)| rh).filter(|rh| *rh >= LEAST_RH_PCT)
}

fn allowed((least, per_h): (f64, f64), ms: i64) -> f64 {
    least + per_h * hours(ms.abs())
}

/// °C an hour from the reading nearest to two hours before the newest.
fn cooling(air: &[Air], newest: Air) -> Option<f64> {
    let (least_h, most_h) = PACE_H;
    let before = air
        .iter()
        .filter(|a| (least_h..=most_h).contains(&hours(newest.at.since(a.at))))
        .min_by_key(|a| (newest.at.since(a.at) - 2 * HOUR).abs())?;
    Some((before.t_c - newest.t_c) / hours(newest.at.since(before.at)))
}

/// Why nothing is known: what came last is not believed, or nothing came.
fn unheard(readings: &[&FrostReading], newest: Option<Air>) -> FrostUnknown {
    let doubted = readings
        .iter()
        .filter(|r| newest.is_none_or(|a| r.at > a.at))
        .find(|r| r.doubted || r.t_c.is_some())
        .map(|r| r.at);
    let near_frost = newest.is_some_and(|a| a.t_c <= NEAR_FROST_C);
    match (doubted, newest) {
        (Some(since), _) => FrostUnknown::Doubtful { since, near_frost },
        (None, Some(last)) => FrostUnknown::Silent { at: last.at, t_c: last.t_c, near_frost },
        (None, None) => FrostUnknown::NoReading,
    }
}
