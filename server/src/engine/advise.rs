//! The desk where advice is made: one seat a structure. It asks the garden's decision, keeps what differs, and knows when to look again.

use propstick_agronomy::coverage::Sample;
use propstick_agronomy::sun::SunDay;
use propstick_garden::advice::{
    Air, FRESH_MIN, FrostMemory, Held, LocalClock, VentQuestion, VentStructure, VentVerdict, Verdict,
    close_what_stands_open, decide_vent, is_dark, is_news, may_flip, may_move,
};
use propstick_garden::fold::{date_of, local};
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use propstick_wire::quantity::Quantity;

use super::derive::Sources;
use super::letter;
use crate::store::StoreError;
use crate::store::advice::KeptAdvice;
use crate::store::garden::GardenDb;
use crate::store::readings::Span;

/// How long after a look at a structure the next news of it waits.
const LOOK_AGAIN: i64 = MINUTE;
/// How often a structure is looked at without news: the sun moves and readings grow old.
const LOOK_AT_LEAST: i64 = 10 * MINUTE;
/// What was said for a night was said no longer ago than this.
const NIGHT_AT_MOST: i64 = 18 * HOUR;
/// How far back the frost memory reaches (advice.md of the design, and the question's own words).
const MEMORY: i64 = 12 * HOUR;
/// Over how long a trend is taken, and over how little at least. Our own choice.
const TREND: i64 = HOUR;
const TREND_AT_LEAST: i64 = 30 * MINUTE;
/// Leaves count as thawed above this, °C (climate sheet 6.5: do not open before inside air > +3).
const THAWED_C: f64 = 3.0;

/// The seats.
#[derive(Default)]
pub(super) struct Desk {
    seats: Vec<Seat>,
    sun: Option<(chrono::NaiveDate, Option<SunDay>)>,
}

/// One structure.
struct Seat {
    structure: String,
    facts: VentStructure,
    lead: String,
    surface: Option<(String, Quantity)>,
    last_look: Option<Millis>,
    heard: bool,
    given: Option<Given>,
}

/// The advice that stands.
struct Given {
    verdict: Verdict,
    made_at: Millis,
}

impl Desk {
    /// The desk for a garden, with the advice that stood when the program ended.
    pub(super) fn open(garden: &Garden, db: &GardenDb) -> Result<Desk, StoreError> {
        let mut seats = Vec::new();
        for s in &garden.structures {
            let Some(lead) = garden.lead_spot(s) else { continue };
            if s.vents.is_empty() {
                continue;
            }
            let surface = garden.spots_of(&s.slug).find_map(|spot| {
                let measured = |q| garden.placements.iter().any(|p| p.spot == spot.slug && p.quantity == q);
                [Quantity::LeafTemperature, Quantity::SoilTemperature]
                    .into_iter()
                    .find(|&q| measured(q))
                    .map(|q| (spot.slug.clone(), q))
            });
            let given = db.advice().current(&s.slug, "vent")?.and_then(|kept| given_of(&kept));
            seats.push(Seat {
                structure: s.slug.clone(),
                facts: VentStructure::from(s),
                lead: lead.slug.clone(),
                surface,
                last_look: None,
                heard: true,
                given,
            });
        }
        Ok(Desk { seats, sun: None })
    }

    /// A structure has news.
    pub(super) fn heard(&mut self, structure: &str) {
        for seat in self.seats.iter_mut().filter(|s| s.structure == structure) {
            seat.heard = true;
        }
    }

    /// The air outside has news: that concerns every structure.
    pub(super) fn heard_outside(&mut self) {
        for seat in &mut self.seats {
            seat.heard = true;
        }
    }

    /// Somebody told something of a structure, or of the weather: the next look at it, or at all of them, waits for nothing.
    pub(super) fn told(&mut self, structure: Option<&str>) {
        for seat in self.seats.iter_mut().filter(|s| structure.is_none_or(|slug| s.structure == slug)) {
            (seat.heard, seat.last_look) = (true, None);
        }
    }

    /// When the desk wants to look again.
    pub(super) fn next_look(&self) -> Option<Millis> {
        self.seats.iter().filter_map(Seat::next_look).min()
    }

    /// Looks at every structure that is due; gives those whose advice changed.
    pub(super) fn look(
        &mut self,
        sources: &Sources<'_>,
        db: &GardenDb,
        now: Millis,
        recipe: &str,
    ) -> Result<Vec<String>, StoreError> {
        let mut changed = Vec::new();
        if !self.seats.iter().any(|s| s.is_due(now)) {
            return Ok(changed);
        }
        let view = View::over(sources, now, &mut self.sun)?;
        for seat in self.seats.iter_mut().filter(|s| s.is_due(now)) {
            seat.last_look = Some(now);
            seat.heard = false;
            let question = view.question(sources, seat)?;
            let Some(mut verdict) = decide_vent(&question) else { continue };
            let dark = is_dark(&question);
            if let Some(given) = &seat.given {
                close_what_stands_open(&mut verdict, &given.verdict, &question.structure.vents, now, dark);
            }
            if !seat.gives_way(&verdict, now, dark) {
                continue;
            }
            let body = letter::body(&question, &verdict, &seat.lead, view.outside_spot.as_deref());
            db.advice().append(&KeptAdvice {
                id: 0,
                structure: seat.structure.clone(),
                kind: "vent".to_owned(),
                made_at: now,
                from: verdict.moves.iter().map(|m| m.from).min().unwrap_or(now),
                until: letter::until(&verdict),
                body,
                recipe: recipe.to_owned(),
                superseded_by: None,
            })?;
            seat.given = Some(Given { verdict, made_at: now });
            changed.push(seat.structure.clone());
        }
        Ok(changed)
    }
}

impl Seat {
    /// When it wants a look next; a structure never looked at waits for the first word of the time.
    fn next_look(&self) -> Option<Millis> {
        // What was said without readings is looked at again with the first one.
        let blind = self.given.as_ref().is_some_and(|g| g.verdict.by_rule || g.verdict.verdict == VentVerdict::Unknown);
        let wait = match (self.heard, blind) {
            (true, true) => 0,
            (true, false) => LOOK_AGAIN,
            (false, _) => LOOK_AT_LEAST,
        };
        self.last_look.map(|last| last.plus(wait))
    }

    /// A last look that lies ahead means that the clock was set back.
    fn is_due(&self, now: Millis) -> bool {
        self.next_look().is_none_or(|next| next <= now) || self.last_look.is_some_and(|last| last > now)
    }

    /// Whether the advice that stands gives way to `new`: it says something else, and the other has held long enough.
    fn gives_way(&self, new: &Verdict, now: Millis, dark: bool) -> bool {
        let Some(given) = &self.given else { return true };
        // A word from another night says nothing of this one.
        let tonight = dark && (0..NIGHT_AT_MOST).contains(&now.since(given.made_at));
        if !is_news(&given.verdict, new, now, tonight) {
            return false;
        }
        if given.verdict.by_rule && !new.by_rule {
            // Readings are better than the rule: what was said without them holds nothing.
            return true;
        }
        let held = Held { verdict: given.verdict.verdict, made_at: given.made_at };
        if held.verdict == new.verdict { may_move(&held, new, now) } else { may_flip(&held, new, now) }
    }
}

/// What is alike for all structures at one look.
struct View {
    now: Millis,
    clock: LocalClock,
    sunrise: Option<Millis>,
    sunset: Option<Millis>,
    outside_spot: Option<String>,
    outside: Option<Air>,
    trend_outside: Option<f64>,
}

impl View {
    fn over(
        sources: &Sources<'_>,
        now: Millis,
        sun: &mut Option<(chrono::NaiveDate, Option<SunDay>)>,
    ) -> Result<View, StoreError> {
        use chrono::{Datelike, Offset};
        let garden = sources.garden;
        let here = local(garden.zone, now);
        let date = date_of(garden.zone, now);
        let day = match sun {
            Some((of, day)) if *of == date => *day,
            _ => {
                let day = SunDay::of_date(date.year(), date.month(), date.day(), garden.lat, garden.lon);
                *sun = Some((date, day));
                day
            }
        };
        let at = |s: Option<i64>| s.map(|s| Millis(s * 1_000));
        let mut view = View {
            now,
            clock: LocalClock { offset_s: here.offset().fix().local_minus_utc() },
            sunrise: at(day.and_then(|d| d.sunrise_s)),
            sunset: at(day.and_then(|d| d.sunset_s)),
            outside_spot: garden.outside_spot().map(|s| s.slug.clone()),
            outside: None,
            trend_outside: None,
        };
        if let Some(spot) = &view.outside_spot {
            let past = Span { from: now.plus(-2 * HOUR), to: now.plus(1) };
            let temperature = sources.samples(spot, Quantity::AirTemperature, past)?;
            view.outside = air(sources, spot, &temperature, past)?;
            view.trend_outside = trend(&temperature, now);
        }
        Ok(view)
    }

    fn question(&self, sources: &Sources<'_>, seat: &Seat) -> Result<VentQuestion, StoreError> {
        let past = Span { from: self.now.plus(-MEMORY), to: self.now.plus(1) };
        let temperature = sources.samples(&seat.lead, Quantity::AirTemperature, past)?;
        let recent = Span { from: self.now.plus(-2 * HOUR), to: self.now.plus(1) };
        let mut q = VentQuestion::new(self.now, self.clock, seat.facts.clone());
        q.sunrise = self.sunrise;
        q.sunset = self.sunset;
        q.inside = air(sources, &seat.lead, &temperature, recent)?;
        q.outside = self.outside;
        q.trend_inside_c_h = trend(&temperature, self.now);
        q.trend_outside_c_h = self.trend_outside;
        q.frost_memory = frost_memory(&temperature);
        if let Some((spot, quantity)) = &seat.surface {
            q.surface_c = sources.samples(spot, *quantity, recent)?.last().map(|s| s.v);
        }
        Ok(q)
    }
}

/// The newest air of a spot, as far as it is read.
fn air(sources: &Sources<'_>, spot: &str, temperature: &[Sample], past: Span) -> Result<Option<Air>, StoreError> {
    let Some(t) = temperature.last() else { return Ok(None) };
    let humidity = sources.samples(spot, Quantity::AirHumidity, past)?;
    Ok(Some(paired(t, humidity.last(), past.to.plus(-1))))
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

fn frost_memory(samples: &[Sample]) -> Option<FrostMemory> {
    let (k, lowest) = samples.iter().enumerate().min_by(|a, b| a.1.v.total_cmp(&b.1.v))?;
    Some(FrostMemory { lowest_c: lowest.v, thawed: samples[k..].iter().any(|s| s.v > THAWED_C) })
}

fn given_of(kept: &KeptAdvice) -> Option<Given> {
    Some(Given { verdict: letter::read(&kept.body, kept.until)?, made_at: kept.made_at })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(values: &[(i64, f64)]) -> Vec<Sample> {
        values.iter().map(|&(min, v)| Sample { t_ms: min * MINUTE, v }).collect()
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
    fn leaves_count_as_thawed_once_the_air_was_above_three_after_the_lowest() {
        assert!(!frost_memory(&samples(&[(0, 5.0), (10, -2.0), (20, 1.0)])).unwrap().thawed);
        assert!(frost_memory(&samples(&[(0, 5.0), (10, -2.0), (20, 3.1)])).unwrap().thawed);
    }
}
