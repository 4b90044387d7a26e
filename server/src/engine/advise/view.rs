//! What the desk sees of the garden at one look.

use propstick_agronomy::coverage::Sample;
use propstick_agronomy::quality::{Mark, Marks};
use propstick_agronomy::sun::SunDay;
use propstick_agronomy::wetness::constants::{SATURATED_H, SATURATED_MOVE_C};
use propstick_garden::advice::frost::NightSpan;
use propstick_garden::advice::{Air, FRESH_MIN, FrostMemory, LocalClock, Presence, Weather, WindNow, thaw_hour};
use propstick_garden::fold::date_of;
use propstick_garden::model::joined;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use propstick_wire::quantity::Quantity;

use super::Sky;
use super::book::{Book, Row, good};
use super::told::ToldNow;
use crate::engine::derive::Sources;
use crate::store::StoreError;
use crate::store::readings::Span;

/// Over how long a trend is taken, and over how little at least. Our own choice.
const TREND: i64 = HOUR;
const TREND_AT_LEAST: i64 = 30 * MINUTE;
/// Leaves count as thawed above this, °C (climate sheet 6.5: do not open before inside air > +3).
const THAWED_C: f64 = 3.0;
/// Or after so long above this; common practice, no source.
const SLOW_THAW_C: f64 = 1.0;
const SLOW_THAW_MS: i64 = 2 * HOUR;
/// How far back wind is read: a day and a little shows a gauge that is seized.
const WIND_BACK: i64 = 25 * HOUR;
/// How far back a stuck gauge is followed.
const STUCK_BACK: i64 = 10 * 24 * HOUR;

/// What is alike for all structures at one look.
pub(super) struct View {
    pub(super) now: Millis,
    pub(super) clock: LocalClock,
    pub(super) sunrise: Option<Millis>,
    pub(super) sunset: Option<Millis>,
    pub(super) night: Option<NightSpan>,
    pub(super) presence: Option<Presence>,
    pub(super) weather: Weather,
    pub(super) outside_spot: Option<String>,
    pub(super) outside: Option<SpotView>,
}

/// The air at a spot, as far as it is to be believed.
#[derive(Default)]
pub(super) struct SpotView {
    pub(super) air: Option<Air>,
    pub(super) trend_c_h: Option<f64>,
    pub(super) past: Vec<(Millis, f64)>,
    pub(super) memory: Option<FrostMemory>,
    pub(super) stuck_since: Option<Millis>,
}

impl View {
    pub(super) fn over(
        sources: &Sources<'_>,
        now: Millis,
        sky: &mut Sky,
        told: &ToldNow,
        book: &mut Book,
    ) -> Result<View, StoreError> {
        use chrono::Datelike;
        let garden = sources.garden;
        let date = date_of(garden.zone, now);
        if sky.date != Some(date) {
            sky.date = Some(date);
            sky.day = SunDay::of_date(date.year(), date.month(), date.day(), garden.lat, garden.lon);
        }
        if sky.night.is_none_or(|night| now >= night.sunrise || night.sunrise.since(now) > 26 * HOUR) {
            sky.night = NightSpan::at(now, garden.lat, garden.lon);
        }
        let at = |s: Option<i64>| s.map(|s| Millis(s * 1_000));
        let outside_spot = garden.outside_spot().map(|s| s.slug.clone());
        let outside = match &outside_spot {
            Some(spot) => Some(SpotView::of(sources, spot, now, book)?),
            None => None,
        };
        let wind = match garden.outside_spot() {
            Some(spot) => wind_of(sources, &spot.structure, now)?,
            None => None,
        };
        Ok(View {
            now,
            clock: LocalClock::of(garden.zone, now),
            sunrise: at(sky.day.and_then(|d| d.sunrise_s)),
            sunset: at(sky.day.and_then(|d| d.sunset_s)),
            night: sky.night,
            presence: garden.presence_between(now, now.plus(48 * HOUR)).map(|mut there| {
                // Whoever told something a moment ago is there, whatever the hours are.
                there.extend(told.somebody_until(now).map(|until| (now, until)));
                there.sort_unstable();
                Presence(joined(&there))
            }),
            weather: told.weather(garden.zone, now, sky.night, wind),
            outside_spot,
            outside,
        })
    }
}

impl View {
    /// Whether what it froze down to still says anything of the leaves: while they are read of, else until the hour of the thaw.
    pub(super) fn still_knows_of_frost(&self, inside: &SpotView) -> bool {
        let fresh = inside.air.is_some_and(|air| self.now.since(air.at) <= FRESH_MIN * MINUTE);
        fresh || self.sunrise.is_none_or(|rise| self.now < thaw_hour(self.clock, rise))
    }
}

/// The wind by the first gauge of a structure that says anything of it.
fn wind_of(sources: &Sources<'_>, structure: &str, now: Millis) -> Result<Option<WindNow>, StoreError> {
    for spot in sources.garden.spots_of(structure) {
        let span = Span { from: now.plus(-WIND_BACK), to: now.plus(1) };
        let means = sources.samples(&spot.slug, Quantity::WindSpeed, span)?;
        let means: Vec<(Millis, f64)> = means.iter().map(|s| (Millis(s.t_ms), s.v)).collect();
        if let Some(wind) = WindNow::of(&means, now) {
            return Ok(Some(wind));
        }
    }
    Ok(None)
}

impl SpotView {
    pub(super) fn of(sources: &Sources<'_>, spot: &str, now: Millis, book: &mut Book) -> Result<SpotView, StoreError> {
        let marked = book.recent(sources, spot, now)?;
        let temperature = borne_out(&marked.temperature);
        let recent = |s: &&Sample| now.0 - s.t_ms <= 2 * HOUR;
        let humidity = marked.humidity.last().copied().filter(|(s, _)| recent(&s));
        // A run that begins within the page is too short to doubt a saturated gauge, and known without looking further.
        let first = marked.humidity.first().map(|(s, _)| Millis(s.t_ms));
        let near = stuck_from(&marked.humidity);
        let stuck_since = match humidity {
            Some((_, last)) if near.is_some() && near == first => {
                let all = book.read(sources, spot, Span { from: now.plus(-STUCK_BACK), to: now.plus(1) })?;
                let doubts =
                    |since: &Millis| last.counts_as_missing() || is_doubtful_saturation(*since, now, &all.temperature);
                stuck_from(&all.humidity).filter(doubts)
            }
            Some((_, last)) => near.filter(|_| last.counts_as_missing()),
            None => None,
        };
        let believed = humidity.filter(|(_, m)| !m.counts_as_missing() && stuck_since.is_none()).map(|(s, _)| s);
        Ok(SpotView {
            air: temperature.last().filter(recent).map(|t| paired(t, believed.as_ref(), now)),
            trend_c_h: trend(&temperature, now),
            memory: frost_memory(&temperature, now),
            past: temperature.iter().map(|s| (Millis(s.t_ms), s.v)).collect(),
            stuck_since,
        })
    }
}

/// The temperatures that count. The newest is left out where it jumped and nothing has followed it yet: one reading alone is no heat and no frost.
fn borne_out(temperature: &[Row]) -> Vec<Sample> {
    let mut counted = good(temperature);
    if temperature.last().is_some_and(|(_, m)| m.has(Mark::Step) && !m.counts_as_missing()) {
        counted.pop();
    }
    counted
}

/// Since when humidity has been stuck, dead or at its end, up to the last reading; none where the last one is not.
fn stuck_from(humidity: &[(Sample, Marks)]) -> Option<Millis> {
    let stuck = |m: Marks| m.has(Mark::Stuck) || m.has(Mark::Saturated) || m.has(Mark::Dead);
    humidity.iter().rev().take_while(|(_, m)| stuck(*m)).last().map(|(s, _)| Millis(s.t_ms))
}

/// Fog and dripping nights saturate a sound gauge; one that stays so for two days while it warms and cools is doubted (wetness sheet 1.5).
fn is_doubtful_saturation(since: Millis, now: Millis, temperature: &[(Sample, Marks)]) -> bool {
    let meanwhile = temperature.iter().filter(|(s, m)| s.t_ms >= since.0 && !m.counts_as_missing()).map(|(s, _)| s.v);
    let (low, high) = meanwhile.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| (low.min(t), high.max(t)));
    now.since(since) as f64 >= SATURATED_H.value * HOUR as f64 && high - low > SATURATED_MOVE_C.value
}

/// The last temperature with the last humidity. A humidity too old for advice is none: it must not make the temperature old.
fn paired(t: &Sample, rh: Option<&Sample>, now: Millis) -> Air {
    let rh = rh.filter(|h| now.0 - h.t_ms <= FRESH_MIN * MINUTE);
    Air { t_c: t.v, rh_pct: rh.map(|h| h.v), at: Millis(rh.map_or(t.t_ms, |h| h.t_ms.min(t.t_ms))) }
}

/// How fast it warms, °C an hour, over the last hour; none where less than half an hour of it is known.
fn trend(samples: &[Sample], now: Millis) -> Option<f64> {
    let last = samples.last().filter(|s| now.0 - s.t_ms <= TREND)?;
    let first = samples.iter().find(|s| s.t_ms >= last.t_ms - TREND)?;
    let apart = last.t_ms - first.t_ms;
    (apart >= TREND_AT_LEAST).then(|| (last.v - first.v) / (apart as f64 / HOUR as f64))
}

/// The lowest of the last twelve hours (advice page, and the question's own words), and whether it has thawed since: the air was above 3 °C, or two hours
/// on end above 1 °C, in which thin leaves go soft as well.
fn frost_memory(samples: &[Sample], now: Millis) -> Option<FrostMemory> {
    let from = samples.partition_point(|s| s.t_ms < now.0 - 12 * HOUR);
    let samples = samples.get(from..)?;
    let (k, lowest) = samples.iter().enumerate().min_by(|a, b| a.1.v.total_cmp(&b.1.v))?;
    let since = samples.get(k..)?;
    let warm_run = |run: &[Sample]| {
        let seen = run.windows(2).all(|w| w.first().zip(w.last()).is_some_and(|(a, b)| b.t_ms - a.t_ms <= HOUR));
        seen && run.first().zip(run.last()).is_some_and(|(a, b)| b.t_ms - a.t_ms >= SLOW_THAW_MS)
    };
    let thawed = since.iter().any(|s| s.v > THAWED_C) || since.split(|s| s.v <= SLOW_THAW_C).any(warm_run);
    Some(FrostMemory { lowest_c: lowest.v, thawed })
}

/// What two gauges of one structure remember: of the one where leaves have not thawed, else of the colder.
pub(super) fn the_colder(one: Option<FrostMemory>, other: Option<FrostMemory>) -> Option<FrostMemory> {
    let place = |m: &FrostMemory| (m.thawed || m.lowest_c > 0.0, m.lowest_c);
    [one, other].into_iter().flatten().min_by(|a, b| {
        let (a, b) = (place(a), place(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(values: &[(i64, f64)]) -> Vec<Sample> {
        values.iter().map(|&(min, v)| Sample { t_ms: min * MINUTE, v }).collect()
    }

    #[test]
    fn saturated_gauge_is_believed_through_fog_and_doubted_after_two_days_of_warm_and_cold() {
        let swing = |hours: i64, c: f64| -> Vec<(Sample, Marks)> {
            (0..=hours)
                .map(|h| (Sample { t_ms: h * HOUR, v: if h % 24 < 12 { 2.0 } else { 2.0 + c } }, Marks::NONE))
                .collect()
        };
        let doubted = |hours: i64, c: f64| is_doubtful_saturation(Millis(0), Millis(hours * HOUR), &swing(hours, c));
        // Wetness sheet 1.5: 99 % and more for 48 h while the air moved by more than 5 °C.
        assert!(doubted(48, 5.1) && !doubted(47, 5.1), "for two days");
        assert!(!doubted(120, 5.0), "air that hardly moves");
    }

    #[test]
    fn lone_jump_of_the_newest_temperature_waits_for_the_next_reading() {
        let row = |min: i64, v, marks| (Sample { t_ms: min * MINUTE, v }, marks);
        let jump = [row(0, 8.1, Marks::NONE), row(10, 44.0, Marks::NONE.with(Mark::Step))];
        let last = |rows: &[Row]| borne_out(rows).last().map(|s| s.v);
        assert_eq!(last(&jump), Some(8.1));
        let mut followed = jump.to_vec();
        followed.push(row(20, 43.5, Marks::NONE));
        assert_eq!(last(&followed), Some(43.5));
        assert_eq!(last(&jump[..1]), Some(8.1));
    }

    #[test]
    fn trend_over_less_than_half_an_hour_is_not_said() {
        assert_eq!(trend(&samples(&[(0, 5.0), (20, 9.0)]), Millis(20 * MINUTE)), None);
        assert_eq!(trend(&samples(&[(0, 5.0), (30, 7.0)]), Millis(30 * MINUTE)), Some(4.0));
        assert_eq!(trend(&samples(&[(0, 5.0), (30, 7.0)]), Millis(200 * MINUTE)), None, "old news");
    }

    #[test]
    fn humidity_gauge_that_went_silent_does_not_silence_the_thermometer() {
        let now = Millis(100 * MINUTE);
        let (t, rh) = (samples(&[(95, 38.0)]), samples(&[(39, 60.0), (41, 60.0)]));
        let air = paired(&t[0], Some(&rh[0]), now);
        assert_eq!((air.rh_pct, air.at), (None, Millis(95 * MINUTE)));
        let air = paired(&t[0], Some(&rh[1]), now);
        assert_eq!((air.rh_pct, air.at), (Some(60.0), Millis(41 * MINUTE)), "the older of the two");
    }

    #[test]
    fn corner_that_froze_speaks_for_the_structure_until_it_has_thawed_too() {
        let of = |lowest_c, thawed| Some(FrostMemory { lowest_c, thawed });
        assert_eq!(the_colder(of(0.8, false), of(-1.2, false)), of(-1.2, false));
        assert_eq!(
            the_colder(of(-3.0, true), of(-1.2, false)),
            of(-1.2, false),
            "the tunnel is warm, the corner is not"
        );
        assert_eq!(the_colder(of(4.0, true), of(-1.2, true)), of(-1.2, true));
        assert_eq!((the_colder(None, of(-1.2, false)), the_colder(None, None)), (of(-1.2, false), None));
    }

    #[test]
    fn leaves_count_as_thawed_once_the_air_was_above_three_after_the_lowest() {
        let now = Millis(30 * MINUTE);
        assert!(!frost_memory(&samples(&[(0, 5.0), (10, -2.0), (20, 1.0)]), now).unwrap().thawed);
        assert!(frost_memory(&samples(&[(0, 5.0), (10, -2.0), (20, 3.1)]), now).unwrap().thawed);
        assert_eq!(frost_memory(&samples(&[(0, -5.0)]), Millis(13 * HOUR)), None);
        // A raw day: two hours on end a little above freezing do it as well; less does not, nor do two hours in pieces.
        let raw = |to: i64| {
            samples(&std::iter::once((0, -1.0)).chain((10..=to).step_by(10).map(|m| (m, 1.5))).collect::<Vec<_>>())
        };
        let thawed = |of: &[Sample]| frost_memory(of, Millis(6 * HOUR)).unwrap().thawed;
        assert!(thawed(&raw(130)) && !thawed(&raw(120)));
        let mut broken = raw(180);
        broken[9].v = 0.9;
        assert!(!thawed(&broken));
    }
}
