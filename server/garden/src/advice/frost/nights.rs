//! Nights that are over: what they were like, and what they teach.

use propstick_agronomy::frost::{Night, NightLow, falls_to_radiation, falls_to_radiation_in_the_open};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::gauge::{Air, Evening, of_evening};
use super::limits::NIGHT_MEASURED;
use super::question::hours;
use super::rule::Clear;
use super::{FrostPlace, FrostReading, NightSpan};
use crate::record::{Sky, Wind};

/// A night that is over, as one gauge measured it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightPast {
    /// When it was.
    pub span: NightSpan,
    /// Air two hours after sunset, °C.
    pub dusk_c: Option<f64>,
    /// Dew point then, °C.
    pub dusk_dew_c: Option<f64>,
    /// Its lowest, °C; none where less than four fifths of it were measured.
    pub low_c: Option<f64>,
    /// When the air was first at or below what frost at the leaf begins at, from three hours before sunset on; see [`FrostPlace::limit_at_gauge_c`].
    pub frost_from: Option<Millis>,
    /// Share of it that was measured, 0 to 1.
    pub measured: f64,
    /// How far it fell to its lowest from each whole hour, from [`FALLS_FROM_H`] on (hours after sunset), °C.
    pub falls_c: [Option<f64>; FALLS_H],
    /// Calm and clear, as far as that can be told, with nothing opened: a night to learn from.
    pub teaches: bool,
}

/// The first hour after sunset that [`NightPast::falls_c`] is of.
pub const FALLS_FROM_H: i64 = -3;
/// How many hours it is of.
pub const FALLS_H: usize = 16;

/// What is known of a night beside its readings.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct NightBeside {
    /// Whether an opening stood open, was opened or was shut between sunset and sunrise.
    pub opened: bool,
    /// The sky as somebody saw it in the evening.
    pub sky: Option<Sky>,
    /// The wind as somebody saw it in the evening.
    pub wind: Option<Wind>,
    /// Mean wind measured in the night, m/s.
    pub wind_m_s: Option<f64>,
}

impl NightPast {
    /// The night as `readings` (in any order, from seven hours before its sunset to its sunrise) have it.
    pub fn of(span: NightSpan, place: &FrostPlace, readings: &[FrostReading], beside: NightBeside) -> NightPast {
        let evening = Evening::of(&of_evening(readings, span.sunrise, span), span);
        let night: Vec<&Air> = evening.air.iter().filter(|a| a.at >= span.sunset).collect();
        let measured = measured(&night, span);
        let limit_c = place.limit_at_gauge_c();
        let from = span.sunset.plus(-3 * HOUR);
        let dusk = evening.dusk;
        NightPast {
            span,
            dusk_c: dusk.map(|a| a.t_c),
            dusk_dew_c: dusk.and_then(|a| a.dew_c),
            low_c: night.iter().map(|a| a.t_c).reduce(f64::min).filter(|_| measured >= NIGHT_MEASURED),
            frost_from: evening.air.iter().find(|a| a.at >= from && a.t_c <= limit_c).map(|a| a.at),
            measured,
            falls_c: falls(&evening.air, span).filter(|_| measured >= NIGHT_MEASURED).unwrap_or([None; FALLS_H]),
            teaches: !beside.opened && is_radiation(dusk, evening.afternoon_c, place, beside),
        }
    }
}

fn falls(air: &[Air], span: NightSpan) -> Option<[Option<f64>; FALLS_H]> {
    air.last()?;
    let fall = |k: usize| {
        let hour = span.sunset.plus((FALLS_FROM_H + k as i64) * HOUR);
        let off = |a: &&Air| a.at.since(hour).abs();
        let then = air.iter().min_by_key(off).filter(|a| off(a) <= HOUR / 2)?;
        let lowest_c = air.iter().filter(|a| a.at >= then.at).map(|a| a.t_c).reduce(f64::min)?;
        Some(then.t_c - lowest_c)
    };
    Some(std::array::from_fn(fall))
}

/// Share of the night that lies within one and a half median steps before a reading, 0 to 1.
fn measured(night: &[&Air], span: NightSpan) -> f64 {
    let mut steps: Vec<i64> = night.windows(2).filter_map(|w| Some(w.get(1)?.at.since(w.first()?.at))).collect();
    let ends = [(span.sunset, night.first()), (span.sunrise, night.last())];
    let ends = ends.map(|(end, air)| air.map_or(i64::MAX, |a| a.at.since(end).abs()));
    steps.sort_unstable();
    let Some(median) = steps.get(steps.len() / 2).copied() else { return 0.0 };
    let reach = median / 2 * 3;
    let covered: i64 = steps.iter().chain(&ends).map(|step| (*step).min(reach)).sum();
    (hours(covered) / span.hours()).clamp(0.0, 1.0)
}

/// Whether the night was calm and clear: as it was seen, else as far as the air fell by dusk.
fn is_radiation(dusk: Option<Air>, afternoon_c: Option<f64>, place: &FrostPlace, beside: NightBeside) -> bool {
    let seen = Clear::of(beside.sky, beside.wind, None).map(|clear| clear.in_wind(beside.wind_m_s).0);
    let falls = if place.gauge_under.is_some() { falls_to_radiation } else { falls_to_radiation_in_the_open };
    let fell = || Some(falls(afternoon_c?, dusk?.t_c, beside.wind_m_s)? && seen.is_none_or(|(_, most)| most >= 0.5));
    dusk.is_some() && (seen.is_some_and(|(least, _)| least >= 0.7) || fell() == Some(true))
}

/// What a gauge's own nights teach: from ten on that were calm and clear, with nothing opened. Give it those of at most the last two years, and learn
/// anew as nights are added.
///
/// **Errors**: `None` for fewer; see [`NightLow::learn`].
pub fn learn(nights: &[NightPast]) -> Option<NightLow> {
    let taught: Vec<Night> = nights
        .iter()
        .filter(|night| night.teaches)
        .filter_map(|n| Some(Night { dusk_c: n.dusk_c?, dusk_dew_c: n.dusk_dew_c, low_c: n.low_c? }))
        .collect();
    NightLow::learn(&taught)
}
