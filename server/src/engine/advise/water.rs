//! The water seats: a sum for each bed, taken from day to day from what the air was like and what people told.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};
use propstick_agronomy::psychrometrics::vapour_pressure_kpa;
use propstick_agronomy::{coverage, light};
use propstick_garden::advice::water::{
    BedEvent, Finger, Plot, Probe, Shelter, Site, Target, Told, WaterAdvice, WaterBed, WaterDay, WaterFold,
    WaterQuestion, decide_water, learned_field_capacity, told_of, usual_transmission,
};
use propstick_garden::advice::{Growth, GrowthDay, GrowthPlace, VentVerdict, growth};
use propstick_garden::fold::{civil_day, date_of};
use propstick_garden::model::{Bed, Garden, Placement, Role, Spot, Structure};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use propstick_wire::quantity::Quantity;

use super::book::{Book, PAST, good};
use super::told::ToldNow;
use super::view::{SpotView, View};
use crate::engine::derive::Sources;
use crate::store::StoreError;
use crate::store::readings::Span;

/// How far back a bed's sum begins, days: what is further back has no weight in it.
const BACK_D: i64 = 200;
/// Days up to today that are worked out anew at each look: late readings still change them.
const OPEN_D: i64 = 3;
/// Days that growth is reckoned from.
const GROWTH_D: i64 = 28;
/// How often a bed is looked at, and in a recording.
const LOOK_AGAIN: i64 = 30 * MINUTE;
const LOOK_RECORDED: i64 = 3 * HOUR;
/// How often a day that is over, but may still get late readings.
const LATE_AGAIN: i64 = 3 * HOUR;
/// For how long a probe's reading is what the soil holds: water in soil moves by the day.
const PROBE_HOLDS: i64 = 6 * HOUR;
/// Water that is a thorough soaking, mm at the roots: what an hour's steady rain brings. Common practice, no source.
const SOAKED_MM: f64 = 10.0;
/// How many soakings back a probe's field capacity is looked for.
const SOAKINGS: usize = 5;
/// Least share of a day that must be measured for its lowest and highest to count (climate sheet 2.1).
const LEAST_OF_A_DAY: f64 = 0.6;

/// One bed, or the trays on one.
pub(super) struct WaterSeat {
    pub(super) bed: Bed,
    facts: WaterBed,
    kept: Option<Kept>,
    looked_at: Option<Millis>,
}

/// The sum as it stood before a day, with what had been told of the days before it.
struct Kept {
    day: i64,
    fold: WaterFold,
    told: Vec<Told>,
}

/// Days of a structure whose readings are all in.
#[derive(Default)]
pub(super) struct DayBook {
    days: BTreeMap<i64, WaterDay>,
    /// Days that late readings may still change, with when they were looked at.
    open: BTreeMap<i64, (Millis, WaterDay)>,
}

impl DayBook {
    pub(super) fn forget(&mut self) {
        self.days.clear();
        self.open.clear();
    }

    /// Readings of `day`, or of one after it, came late.
    pub(super) fn late(&mut self, day: i64) {
        self.days.split_off(&day);
        self.open.split_off(&day);
    }
}

impl WaterSeat {
    pub(super) fn of(garden: &Garden, structure: &Structure, bed: &Bed) -> WaterSeat {
        let told = structure.film.as_ref().and_then(|film| film.transmission);
        let transmission = told.unwrap_or_else(|| usual_transmission(structure.kind));
        let mut facts =
            WaterBed::of(bed.crop.as_deref().unwrap_or("small-vegetables"), Shelter::of(structure.kind), transmission);
        facts.soil = bed.texture().map(|texture| texture.middle());
        (facts.roots_m, facts.area_m2) = (bed.roots_m, bed.area_m2);
        (facts.given, facts.drip_l_min, facts.can_l) = (bed.watering, bed.drip_l_min, garden.can_l);
        WaterSeat { bed: bed.clone(), facts, kept: None, looked_at: None }
    }

    /// Something was told: the bed is looked at anew.
    pub(super) fn ask_anew(&mut self) {
        self.looked_at = None;
    }

    /// Older readings may have come: the sum is taken again from its beginning.
    pub(super) fn forget(&mut self) {
        (self.kept, self.looked_at) = (None, None);
    }

    /// Readings of `day`, or of one after it, came late: the sum is taken from there again.
    pub(super) fn late(&mut self, day: i64) {
        self.kept = self.kept.take().filter(|kept| kept.day <= day);
        self.looked_at = None;
    }

    /// What to do about its water; none where it was looked at a moment ago.
    pub(super) fn ask(
        &mut self,
        sources: &Sources<'_>,
        seat: &Shared<'_>,
        days: &mut DayBook,
        book: &mut Book,
    ) -> Result<Option<(WaterQuestion, WaterAdvice)>, StoreError> {
        let (view, now) = (seat.view, seat.view.now);
        let again = if seat.recorded { LOOK_RECORDED } else { LOOK_AGAIN };
        if self.looked_at.is_some_and(|at| (0..again).contains(&now.since(at))) {
            return Ok(None);
        }
        self.looked_at = Some(now);
        let garden = sources.garden;
        let plot = if self.bed.trays { Plot::Trays } else { Plot::Bed };
        let mut q = WaterQuestion::new(now, view.clock, plot, self.facts);
        let structure_area_m2 =
            garden.beds.iter().filter(|b| b.structure == seat.structure.slug).map(|b| b.area_m2).sum::<Option<f64>>();
        let target = Target { bed: &self.bed.slug, structure: &seat.structure.slug, structure_area_m2 };
        let told: Vec<Told> = told_of(&self.facts, target, &seat.told.events, &seat.told.observations);
        if plot == Plot::Bed {
            let site = Site { lat_deg: garden.lat, lon_deg: garden.lon, altitude_m: garden.alt_m };
            let today = date_of(garden.zone, now);
            let before =
                |day: i64| told.iter().filter(|t| t.at < begin_of(garden, day)).copied().collect::<Vec<Told>>();
            // What was told, or taken back, of days that are closed opens them again.
            self.kept = self.kept.take().filter(|kept| kept.told == before(kept.day));
            let (mut day, mut fold) = match &self.kept {
                Some(kept) => (kept.day, Some(kept.fold)),
                None => (days.first_day(sources, seat, days_of(today), book)?, WaterFold::starting(&self.facts)),
            };
            if let Some(fold) = &mut fold {
                while day < days_of(today) {
                    let of_day = days.day(sources, seat, day, days_of(today) - day > OPEN_D, book)?;
                    fold.take(&self.facts, site, &of_day, &told);
                    day += 1;
                    if days_of(today) - day == OPEN_D {
                        self.kept = Some(Kept { day, fold: *fold, told: before(day) });
                    }
                }
                let of_today = days.day(sources, seat, day, false, book)?;
                q.standing = fold.standing(&self.facts, site, &of_today, &told, now);
            }
        }
        q.probe = probe_in(sources, &self.bed.slug, &told, now)?;
        q.sunrise = view.sunrise;
        q.finger = told.iter().rev().find_map(|t| match t.what {
            BedEvent::Finger(feel) => Some(Finger { at_ms: t.at.0, feel }),
            BedEvent::Watered(_) => None,
        });
        q.crops = seat.structure.crops;
        (q.inside, q.frost_memory) =
            (seat.inside.air, seat.inside.memory.filter(|_| view.still_knows_of_frost(seat.inside)));
        let vents: Vec<&str> = seat.structure.vents.iter().map(|v| v.slug.as_str()).collect();
        q.is_shut = seat.told.all_shut(&vents, now);
        q.sky = view.weather.sky(now);
        q.wet = view.weather.look(now).map(|look| look.wet).or_else(|| view.weather.today?.wet);
        q.gust_m_s = view.weather.gust_that_keeps_in_m_s(now, view.night.is_some_and(|night| now >= night.sunset));
        q.lowest_heard_c = view.weather.lowest_heard_c();
        q.there = view.presence.as_ref().map(|there| there.0.clone());
        q.drying_follows = seat.drying_follows;
        let advice = decide_water(&q);
        Ok(Some((q, advice)))
    }
}

/// What the beds of a structure have in common.
pub(super) struct Shared<'a> {
    pub(super) structure: &'a Structure,
    pub(super) lead: &'a str,
    pub(super) view: &'a View,
    pub(super) inside: &'a SpotView,
    pub(super) told: &'a ToldNow,
    pub(super) drying_follows: Option<bool>,
    pub(super) recorded: bool,
}

impl DayBook {
    /// The first of the last days of which anything is known; `today` where nothing is.
    fn first_day(
        &mut self,
        sources: &Sources<'_>,
        seat: &Shared<'_>,
        today: i64,
        book: &mut Book,
    ) -> Result<i64, StoreError> {
        for day in today - BACK_D..today {
            if self.day(sources, seat, day, today - day > OPEN_D, book)?.min_max_c.is_some() {
                return Ok(day);
            }
        }
        Ok(today)
    }

    /// How fast things grow in the structure: by its last four weeks.
    pub(super) fn growth(
        &mut self,
        sources: &Sources<'_>,
        seat: &Shared<'_>,
        today: i64,
        book: &mut Book,
    ) -> Result<Growth, StoreError> {
        let mut days = Vec::new();
        for day in today - GROWTH_D..today {
            let known = self.day(sources, seat, day, today - day > OPEN_D, book)?;
            let mean_c = known.min_max_c.map(|(least, most)| 0.5 * (least + most));
            days.push(GrowthDay { day, mean_c, sun_mj_m2: known.sun_mj_m2 });
        }
        let told = seat.structure.film.as_ref().and_then(|film| film.transmission);
        let transmission = told.unwrap_or_else(|| usual_transmission(seat.structure.kind));
        Ok(growth(&days, today, GrowthPlace { lat_deg: sources.garden.lat, lon_deg: sources.garden.lon, transmission }))
    }

    /// A day of the structure; kept, where its readings are all in.
    fn day(
        &mut self,
        sources: &Sources<'_>,
        seat: &Shared<'_>,
        day: i64,
        keep: bool,
        book: &mut Book,
    ) -> Result<WaterDay, StoreError> {
        if let Some(known) = self.days.get(&day) {
            return Ok(*known);
        }
        let now = seat.view.now;
        let again = match (seat.view.clock.day_number(now) == day, seat.recorded) {
            (true, false) => LOOK_AGAIN,
            (true, true) => LOOK_RECORDED,
            // What is over changes only by readings that come late.
            (false, false) => LATE_AGAIN,
            (false, true) => 4 * LATE_AGAIN,
        };
        if let Some((at, known)) = self.open.get(&day)
            && !keep
            && (0..again).contains(&now.since(*at))
        {
            return Ok(*known);
        }
        let of_day = measured_day(sources, seat, day, book)?;
        if !keep {
            self.open.insert(day, (now, of_day));
        }
        if keep {
            self.open.remove(&day);
            self.days.insert(day, of_day);
            while self.days.len() > BACK_D as usize + 8 {
                self.days.pop_first();
            }
        }
        Ok(of_day)
    }
}

/// What a probe in a bed reads, with the field capacity that it has shown after the last thorough soaking that was told; none where it is silent.
fn probe_in(sources: &Sources<'_>, bed: &str, told: &[Told], now: Millis) -> Result<Option<Probe>, StoreError> {
    let measures = |s: &&Spot| {
        let of = |p: &Placement| p.spot == s.slug && p.quantity == Quantity::SoilMoisture;
        s.bed.as_deref() == Some(bed) && sources.garden.placements.iter().any(of)
    };
    let Some(spot) = sources.garden.spots.iter().find(measures) else { return Ok(None) };
    let read = |from: Millis, to: Millis| sources.samples(&spot.slug, Quantity::SoilMoisture, Span { from, to });
    let Some(last) = read(now.plus(-PROBE_HOLDS), now.plus(1))?.last().copied() else { return Ok(None) };
    let soaked = |t: &&Told| matches!(t.what, BedEvent::Watered(Some(mm)) if mm.likely >= SOAKED_MM);
    let mut field_capacity_m3_m3 = None;
    for soaking in told.iter().rev().filter(soaked).take(SOAKINGS) {
        let after = read(soaking.at, now.plus(1).min(soaking.at.plus(72 * HOUR)))?;
        let after: Vec<(Millis, f64)> = after.iter().map(|s| (Millis(s.t_ms), s.v)).collect();
        field_capacity_m3_m3 = learned_field_capacity(&after, soaking.at, now);
        if field_capacity_m3_m3.is_some() {
            break;
        }
    }
    Ok(Some(Probe { water_m3_m3: Some(last.v), field_capacity_m3_m3, tension_kpa: None }))
}

fn begin_of(garden: &Garden, day: i64) -> Millis {
    civil_day(garden.zone, date_of_day(day)).from
}

fn date_of_day(day: i64) -> NaiveDate {
    NaiveDate::default().checked_add_days(Days::new(u64::try_from(day).unwrap_or(0))).unwrap_or_default()
}

/// Days from 1970-01-01 to a date.
pub(super) fn days_of(date: NaiveDate) -> i64 {
    i64::from(date.num_days_from_ce()) - 719_163
}

fn measured_day(sources: &Sources<'_>, seat: &Shared<'_>, day: i64, book: &mut Book) -> Result<WaterDay, StoreError> {
    let garden = sources.garden;
    let span = civil_day(garden.zone, date_of_day(day));
    let mut of_day = WaterDay::unknown(day, span.from, span.to);
    let now = seat.view.now;
    let until = span.to.min(now.plus(1));
    if until <= span.from {
        return Ok(of_day);
    }
    let stretch = Span { from: span.from, to: until };
    let read;
    // Today is on the page that everything looks at.
    let (temperature, humidity) = if span.to > now && now.since(span.from) <= PAST {
        book.recent(sources, seat.lead, now)?.since(span.from)
    } else {
        read = book.read(sources, seat.lead, stretch)?;
        (read.temperature.as_slice(), read.humidity.as_slice())
    };
    let (good, humidity) = (good(temperature), good(humidity));
    let covered = covered_ms(&good, span.from, until);
    if covered >= LEAST_OF_A_DAY * until.since(span.from) as f64 {
        let least = good.iter().map(|s| s.v).reduce(f64::min);
        of_day.min_max_c = least.zip(good.iter().map(|s| s.v).reduce(f64::max));
    }
    let mut vapour = Vec::new();
    let mut temperature = good.iter().peekable();
    for rh in &humidity {
        while temperature.next_if(|t| t.t_ms < rh.t_ms).is_some() {}
        let beside = temperature.peek().filter(|t| t.t_ms == rh.t_ms);
        vapour.extend(beside.and_then(|t| vapour_pressure_kpa(t.v, rh.v.min(100.0))));
    }
    if vapour.len() * 2 >= good.len().max(1) {
        of_day.vapour_kpa = Some(vapour.iter().sum::<f64>() / vapour.len() as f64);
    }
    if let Some(spot) = garden.spots_of(&seat.structure.slug).find(|s| s.role == Role::Light) {
        let samples = sources.samples(&spot.slug, Quantity::Light, stretch)?;
        of_day.sun_mj_m2 = light::measured(&samples, span.from.0, span.to.0).map(|m| m.mj_m2);
    }
    if let Some(outside) = &seat.view.outside_spot {
        let rain = sources.intervals(outside, Quantity::Rain, stretch)?;
        // Half the day's intervals at least: a rain gauge that was silent did not measure a dry day.
        let known: i64 = rain.iter().map(|i| i.span_ms).sum();
        if known * 2 >= span.to.since(span.from) {
            of_day.rain_mm = Some(rain.iter().map(|i| i.v).sum());
        }
    }
    Ok(of_day)
}

fn covered_ms(samples: &[coverage::Sample], from: Millis, to: Millis) -> f64 {
    let hours = (to.since(from) + HOUR - 1) / HOUR;
    let cells = coverage::hour_cells(samples, from.0, usize::try_from(hours).unwrap_or(0));
    cells.iter().map(|cell| cell.covered_ms as f64).sum()
}

/// Whether weather that dries follows, as far as the vent verdict knows; none where there is none.
pub(super) fn drying_follows(verdict: Option<VentVerdict>) -> Option<bool> {
    verdict.map(|verdict| matches!(verdict, VentVerdict::Dry | VentVerdict::Purge))
}
