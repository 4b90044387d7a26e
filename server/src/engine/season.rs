//! Wet hours and noon-days of a structure's spots, from the first noon-day that news can have changed until nothing changes any more.

use std::collections::BTreeMap;

use propstick_agronomy::coverage::{CadenceWindow, Sample};
use propstick_agronomy::quality::{Marks, Place as MarkPlace};
use propstick_agronomy::wetness::state::WetRules;
use propstick_garden::model::{Garden, Structure, StructureKind};
use propstick_garden::record::EventKind;
use propstick_garden::season::{
    CHANGED_AHEAD_MS, CHANGED_BACK_MS, DayRoom, Doubts, GAUGE_LOOK_BACK_MS, LOOK_AHEAD_MS, LOOK_BACK_MS, LeafGauge,
    MARKED_AHEAD_MS, MARKED_BACK_MS, Marker, NOON_DAY_MS, SpotAir, SpotState, ToldWet, gauge_beside, join_air_with,
    kind_of, marks_at, noon_before, twin_of, unmarked,
};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use propstick_wire::quantity::Quantity;

use super::derive::Sources;
use crate::season::mark_place;
use crate::store::derived::{Derived, NightRow, SeasonOf};
use crate::store::garden::GardenDb;
use crate::store::garden::told::Wanted;
use crate::store::readings::Span;
use crate::store::{StoreError, placed};

/// Most that is worked out in one go.
const CHUNK: i64 = 30 * NOON_DAY_MS;

/// What was told of water on the leaves, by the structure's slug.
pub(super) type Wettings = BTreeMap<String, ToldWet>;

/// Temperature or humidity of a spot with its marks.
type Marked = (Vec<Sample>, Vec<Marks>);

/// A spot whose season is worked out.
struct Going {
    spot: String,
    /// The spot whose wetness gauge speaks for it.
    gauge: Option<String>,
    place: MarkPlace,
    state: SpotState,
    /// The last noon that readings reach beyond.
    last_noon: Millis,
    /// The season goes on as it was kept from here on.
    is_settled: bool,
    lot: SeasonOf,
}

/// What was told of water on the leaves in every structure.
pub(super) fn wettings(garden: &Garden, db: &GardenDb) -> Result<Wettings, StoreError> {
    let mut events = db.events().overhead(Millis(i64::MIN), Millis(i64::MAX))?;
    events.extend(db.events().list(&Wanted { kind: Some(EventKind::Vent.word().to_owned()), ..Wanted::all() })?);
    let looks = db.observations().list(&Wanted { kind: Some("look".to_owned()), ..Wanted::all() })?;
    let of = |s: &Structure| (s.slug.clone(), ToldWet::of(garden, s, &events, &looks));
    Ok(garden.structures.iter().map(of).collect())
}

/// The spot whose air a structure's is held against: the one outside, where the structure has a cover and that spot both temperature and humidity.
pub(super) fn outside_of<'a>(garden: &'a Garden, structure: &str) -> Option<&'a str> {
    let spot = garden.outside_spot().filter(|s| s.structure != structure)?;
    let placed = |q| garden.placements.iter().any(|p| p.spot == spot.slug && p.quantity == q);
    let covered = garden.structure(structure).is_some_and(|s| s.kind != StructureKind::Outdoors);
    (covered && placed(Quantity::AirTemperature) && placed(Quantity::AirHumidity)).then_some(spot.slug.as_str())
}

/// Joins stretches of news so near each other that one would be worked out into the other.
pub(super) fn joined(mut stretches: Vec<(Millis, Millis)>) -> Vec<(Millis, Millis)> {
    stretches.sort_unstable();
    let mut all: Vec<(Millis, Millis)> = Vec::new();
    for (from, to) in stretches {
        match all.last_mut() {
            Some(last) if from.0 <= last.1.0 + CHANGED_AHEAD_MS + CHANGED_BACK_MS + 2 * NOON_DAY_MS => {
                last.1 = last.1.max(to)
            }
            _ => all.push((from, to)),
        }
    }
    all
}

impl Sources<'_> {
    /// What counts of a quantity at a spot in `span`: values at an instant whose marks do not make them missing.
    pub(super) fn counted(&self, spot: &str, quantity: Quantity, span: Span) -> Result<Vec<Sample>, StoreError> {
        if kind_of(quantity).is_none() {
            return self.samples(spot, quantity, span);
        }
        let wide = Span { from: span.from.plus(-MARKED_BACK_MS), to: span.to.plus(MARKED_AHEAD_MS) };
        let samples = self.samples(spot, quantity, wide)?;
        let twin = twin_of(quantity).map(|twin| self.samples(spot, twin, wide)).transpose()?;
        let place = mark_place(self.garden, spot);
        let marks = marks_at(quantity, place, &samples, twin.as_deref(), &mut Marker::default());
        let mut counted = unmarked(&samples, &marks);
        counted.retain(|s| span.from.0 <= s.t_ms && s.t_ms < span.to.0);
        Ok(counted)
    }

    /// Works out the season of a structure after news of its air from `first` to `last`; what is written is not noted as done.
    pub(super) fn season(
        &self,
        derived: &mut Derived,
        structure: &str,
        (first, last): (Millis, Millis),
        wettings: &Wettings,
    ) -> Result<(), StoreError> {
        let changed_from = noon_before(self.garden.zone, first.plus(-CHANGED_BACK_MS));
        let nothing = ToldWet::default();
        let told = wettings.get(structure).unwrap_or(&nothing);
        let mut all = Vec::new();
        for spot in self.garden.spots_of(structure) {
            let placed = |q| self.garden.placements.iter().any(|p| p.spot == spot.slug && p.quantity == q);
            if placed(Quantity::AirTemperature) && placed(Quantity::AirHumidity) {
                all.extend(self.going(derived, &spot.slug, changed_from)?);
            }
        }
        // A gauge learns from the air of a fortnight.
        let learns_ms = if all.iter().any(|g| g.gauge.is_some()) { GAUGE_LOOK_BACK_MS } else { 0 };
        let quiet_after = last.plus(CHANGED_AHEAD_MS + learns_ms);
        let Some(mut at) = all.iter().map(|g| g.state.noon()).min() else { return Ok(()) };
        let mut room = Room::default();
        while all.iter().any(|g| !g.is_settled) {
            // A day further than the chunk, for the noon-day that goes on.
            let to = at.plus(CHUNK);
            let reach = Span { from: at.plus(-LOOK_BACK_MS - learns_ms), to: to.plus(NOON_DAY_MS + LOOK_AHEAD_MS) };
            room.load(self, (structure, &all), reach)?;
            let wettings = self.wettings(told, Span { from: at, to: to.plus(NOON_DAY_MS) })?;
            for (k, going) in all.iter_mut().enumerate().filter(|(_, g)| !g.is_settled && g.state.noon() < to) {
                room.join(k);
                let kept = derived.night_rows(&going.spot, Span { from: going.state.noon(), to })?;
                go_through(going, &mut room, to, quiet_after, &wettings, &kept);
            }
            let lots: Vec<SeasonOf> = all.iter_mut().filter_map(Going::taken).collect();
            derived.write(&[], &lots, -1)?;
            at = to;
        }
        Ok(())
    }

    /// Where the season of a spot goes on from; none where nothing was ever measured there, after what stood there was taken away.
    fn going(&self, derived: &mut Derived, spot: &str, from: Millis) -> Result<Option<Going>, StoreError> {
        let everything = Span { from: Millis(i64::MIN), to: Millis(i64::MAX) };
        let empty = |span| SeasonOf { spot: spot.to_owned(), span, hours: Vec::new(), nights: Vec::new() };
        let Some((first, last)) = self.extent(spot)? else {
            derived.write(&[], &[empty(everything)], -1)?;
            return Ok(None);
        };
        let begin = noon_before(self.garden.zone, first);
        let last_noon = begin.plus(last.since(begin).div_euclid(NOON_DAY_MS) * NOON_DAY_MS);
        // Where readings were taken away, what went on beyond them is no state to begin from.
        let kept = derived.state_until(spot, from.min(last_noon))?.filter(|s| s.noon() > begin);
        let (state, span) = match kept {
            Some(state) => (state, Span { from: state.noon(), to: Millis(i64::MAX) }),
            None => (SpotState::starting(begin), everything),
        };
        let place = mark_place(self.garden, spot);
        let gauge = gauge_beside(self.garden, spot).map(str::to_owned);
        Ok(Some(Going { spot: spot.to_owned(), gauge, place, state, last_noon, is_settled: false, lot: empty(span) }))
    }

    /// When water came on the leaves in `span`: told, and measured outside where it could come in.
    fn wettings(&self, told: &ToldWet, span: Span) -> Result<Vec<i64>, StoreError> {
        let outside = self.garden.outside_spot().filter(|_| !told.open_ms.is_empty());
        let rain = match outside {
            Some(spot) => self.intervals(&spot.slug, Quantity::Rain, Span { from: span.from.plus(-HOUR), ..span })?,
            None => Vec::new(),
        };
        Ok(told.wettings(&rain, span.from, span.to))
    }

    /// What the wetness gauge at a spot read in `span`.
    fn gauge(&self, spot: &str, span: Span) -> Result<LeafGauge, StoreError> {
        let stood = self.garden.placements.iter().filter(|p| p.spot == spot && p.quantity == Quantity::LeafWetness);
        let mut begins_ms: Vec<i64> = stood.map(|p| p.from.0).collect();
        begins_ms.sort_unstable();
        Ok(LeafGauge::new(&self.sampled(spot, Quantity::LeafWetness, span)?, begins_ms))
    }

    /// First and last instant of the temperatures of a spot.
    fn extent(&self, spot: &str) -> Result<Option<(Millis, Millis)>, StoreError> {
        let mut ends: Option<(Millis, Millis)> = None;
        for (p, s) in placed::placed(self.garden, self.series, spot, Quantity::AirTemperature) {
            if !s.is_of_instants() && !(1..=3_600).contains(&s.span_s) {
                continue;
            }
            let before_ms = s.starts_before_ms();
            let stamped = |t: Millis| Millis(t.0.saturating_add(before_ms));
            let span = Span { from: stamped(p.from), to: stamped(p.to.unwrap_or(Millis(i64::MAX))) };
            if let Some((first, last)) = self.readings.extent_within(s.id, span)? {
                let (first, last) = (first.plus(-before_ms), last.plus(-before_ms));
                ends = Some(ends.map_or((first, last), |(a, b)| (a.min(first), b.max(last))));
            }
        }
        Ok(ends)
    }
}

impl Going {
    /// What was worked out of it since it was last asked; the stretch after begins where this one ends.
    fn taken(&mut self) -> Option<SeasonOf> {
        let spot = self.spot.clone();
        // Until everything is known nothing beyond is touched.
        let to = if self.is_settled { self.lot.span.to } else { self.state.noon() };
        let rest = Span { from: to, to: self.lot.span.to };
        let next = SeasonOf { spot, span: rest, hours: Vec::new(), nights: Vec::new() };
        let lot = std::mem::replace(&mut self.lot, next);
        let lot = SeasonOf { span: Span { from: lot.span.from, to }, ..lot };
        (lot.span.from < lot.span.to).then_some(lot)
    }
}

/// Goes through noon-days that end by `to`, and through the one that goes on where readings end.
fn go_through(
    going: &mut Going,
    room: &mut Room,
    to: Millis,
    quiet_after: Millis,
    wettings: &[i64],
    kept: &[NightRow],
) {
    let mut cadence = CadenceWindow::new(&room.air.plain);
    let rules = &WetRules::UNDER_COVER;
    while going.state.noon() < going.last_noon && going.state.noon().0 + NOON_DAY_MS <= to.0 {
        let noon = going.state.noon();
        let night = going.state.close_day(rules, &room.air, &mut cadence, wettings, &mut room.day);
        let row = NightRow { noon, night: night.written(&room.day.hours), state: going.state.written() };
        let is_as_kept = kept.binary_search_by_key(&noon, |k| k.noon).is_ok_and(|k| kept.get(k) == Some(&row));
        if is_as_kept && going.lot.nights.is_empty() && going.lot.span.from == noon {
            going.lot.span.from = going.state.noon();
        } else {
            going.lot.hours.extend(room.day.known().copied());
            going.lot.nights.push(row);
        }
        if is_as_kept && going.state.noon() >= quiet_after {
            going.lot.span.to = going.state.noon();
            going.is_settled = true;
            return;
        }
    }
    if going.state.noon() >= going.last_noon {
        let mut so_far = going.state;
        so_far.hours_of_day(rules, &room.air, &mut cadence, wettings, &mut room.day);
        going.lot.hours.extend(room.day.known().copied());
        going.is_settled = true;
    }
}

/// Room for a stretch of a structure's readings, kept from stretch to stretch.
#[derive(Default)]
struct Room {
    marker: Marker,
    temperature: Vec<Marked>,
    humidity: Vec<Marked>,
    gauges: Vec<Option<LeafGauge>>,
    doubts: Doubts,
    air: SpotAir,
    day: DayRoom,
}

impl Room {
    fn load(
        &mut self,
        sources: &Sources<'_>,
        (structure, all): (&str, &[Going]),
        span: Span,
    ) -> Result<(), StoreError> {
        self.temperature.clear();
        self.humidity.clear();
        self.gauges.clear();
        self.doubts = Doubts::default();
        for going in all {
            let ((t, t_marks), (rh, rh_marks)) = self.marked(sources, &going.spot, going.place, span)?;
            self.doubts.take((&t, &t_marks), (&rh, &rh_marks));
            self.temperature.push((t, t_marks));
            self.humidity.push((rh, rh_marks));
            self.gauges.push(going.gauge.as_deref().map(|gauge| sources.gauge(gauge, span)).transpose()?);
        }
        if let Some(outside) = outside_of(sources.garden, structure) {
            let ((t, t_marks), (rh, rh_marks)) = self.marked(sources, outside, MarkPlace::Outside, span)?;
            self.doubts.take_outside((&t, &t_marks), (&rh, &rh_marks));
        }
        Ok(())
    }

    fn marked(
        &mut self,
        sources: &Sources<'_>,
        spot: &str,
        place: MarkPlace,
        span: Span,
    ) -> Result<(Marked, Marked), StoreError> {
        let t = sources.sampled(spot, Quantity::AirTemperature, span)?;
        let rh = sources.sampled(spot, Quantity::AirHumidity, span)?;
        let t_marks = marks_at(Quantity::AirTemperature, place, &t, Some(&rh), &mut self.marker);
        let rh_marks = marks_at(Quantity::AirHumidity, place, &rh, Some(&t), &mut self.marker);
        Ok(((t, t_marks), (rh, rh_marks)))
    }

    /// The air of the `k`-th spot.
    fn join(&mut self, k: usize) {
        let (Some((t, t_marks)), Some((rh, rh_marks))) = (self.temperature.get(k), self.humidity.get(k)) else {
            return;
        };
        let doubted = self.doubts.of(k, rh);
        let gauge = self.gauges.get(k).and_then(Option::as_ref);
        join_air_with(gauge, (t, t_marks), (rh, rh_marks), &doubted, &mut self.air);
    }
}
