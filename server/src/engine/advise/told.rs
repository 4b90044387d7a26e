//! What people told that advice goes by, kept in memory from one telling to the next.

use chrono_tz::Tz;
use propstick_garden::advice::frost::NightSpan;
use propstick_garden::advice::{Heard, VentStands, Weather, WindNow, heard_of_night};
use propstick_garden::model::{CoverState, Notch, Placement, Structure};
use propstick_garden::record::{Event, EventKind, EventSource, Forecast, Observation, Seen};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use propstick_wire::quantity::Quantity;

use crate::engine::derive::Sources;
use crate::store::StoreError;
use crate::store::garden::GardenDb;
use crate::store::garden::told::Wanted;
use crate::store::readings::Span;

/// How far back things told are remembered here: further than any sum of a bed goes.
const REMEMBERED: i64 = 220 * 24 * HOUR;
/// No forecast speaks of a time further from its telling than this: the night after tomorrow's day.
const HEARD_BACK: i64 = 60 * HOUR;
/// How long a setting of an opening is taken to stand without another word.
const STANDS: i64 = propstick_garden::season::SETTING_STANDS_MS;

/// How long after a deed somebody is taken to be in the garden; common practice, no source.
const THERE_AFTER: i64 = HOUR;

/// Everything told that counts, in order of its time.
#[derive(Default)]
pub(super) struct ToldNow {
    pub(super) events: Vec<Event>,
    pub(super) observations: Vec<Observation>,
    /// Until when it is up to date; none before it was read.
    read_at: Option<Millis>,
}

impl ToldNow {
    /// What is known here may be out of date.
    pub(super) fn forget(&mut self) {
        self.read_at = None;
    }

    /// An event counts from now on.
    pub(super) fn hear(&mut self, event: &Event) {
        let before = self.events.partition_point(|e| (e.t, e.id) < (event.t, event.id));
        self.events.insert(before, event.clone());
    }

    /// An event counts no longer.
    pub(super) fn take_back(&mut self, event: i64) {
        self.events.retain(|e| e.id != event);
    }

    /// Something seen or heard counts from now on.
    pub(super) fn see(&mut self, seen: &Observation) {
        let before = self.observations.partition_point(|o| (o.t, o.id) < (seen.t, seen.id));
        self.observations.insert(before, seen.clone());
    }

    /// Something seen or heard counts no longer.
    pub(super) fn take_back_seen(&mut self, seen: i64) {
        self.observations.retain(|o| o.id != seen);
    }

    /// Reads what was told, unless it was read within a day: what was told since is here already.
    pub(super) fn read(&mut self, db: &GardenDb, now: Millis) -> Result<(), StoreError> {
        if self.read_at.is_some_and(|at| (0..24 * HOUR).contains(&now.since(at))) {
            return Ok(());
        }
        let wanted = Wanted { from: now.plus(-REMEMBERED), ..Wanted::all() };
        self.events = db.events().list(&wanted)?;
        self.events.reverse();
        self.observations = db.observations().list(&wanted)?;
        self.observations.reverse();
        self.read_at = Some(now);
        Ok(())
    }

    /// What forecasts were told up to `now`, the oldest first.
    fn forecasts(&self, now: Millis) -> Vec<Forecast> {
        let recent = self.observations.iter().filter(|o| o.t <= now && now.since(o.t) <= HEARD_BACK);
        let heard = recent.filter_map(|o| match &o.seen {
            Seen::Heard(heard) => Some(*heard),
            Seen::Look(_) | Seen::Finger { .. } | Seen::Leaves { .. } => None,
        });
        heard.collect()
    }

    /// The weather as it was seen and heard up to `now`.
    pub(super) fn weather(&self, zone: Tz, now: Millis, night: Option<NightSpan>, wind: Option<WindNow>) -> Weather {
        let look = self.observations.iter().rev().filter(|o| o.t <= now).find_map(|o| match &o.seen {
            Seen::Look(look) => Some(*look),
            Seen::Heard(_) | Seen::Finger { .. } | Seen::Leaves { .. } => None,
        });
        let (gust_m_s, wind_m_s) = (wind.map(|w| w.gust_m_s), wind.map(|w| w.mean_m_s));
        let seen = Weather { look, gust_m_s, wind_m_s, ..Weather::default() };
        seen.hearing(Heard::at(&self.forecasts(now), zone, now, night))
    }

    /// The forecast that was heard for a night, up to `now`.
    pub(super) fn heard_for_night(&self, zone: Tz, night: NightSpan, now: Millis) -> Option<Forecast> {
        heard_of_night(&self.forecasts(now), zone, now, night)
    }

    /// Until when whoever did something in the garden lately may be taken to be there still: an hour from the deed. A look or a forecast may be told from
    /// anywhere.
    pub(super) fn somebody_until(&self, now: Millis) -> Option<Millis> {
        let deed = |e: &&Event| {
            let by_hand = matches!(e.kind, EventKind::Vent | EventKind::Water | EventKind::Fleece | EventKind::Found);
            by_hand && e.source == EventSource::Tap && e.t <= now && now.since(e.t) < THERE_AFTER
        };
        self.events.iter().rev().find(deed).map(|e| e.t.plus(THERE_AFTER))
    }

    /// How a cover lies, as last told up to `now`.
    pub(super) fn lies(&self, cover: &str, now: Millis) -> Option<CoverState> {
        self.last_of(cover, now).map(|(_, state)| state)
    }

    /// The same, with when it was so.
    pub(super) fn last_of(&self, cover: &str, now: Millis) -> Option<(Millis, CoverState)> {
        let last = |e: &&Event| e.kind == EventKind::Fleece && e.target == cover && e.t <= now;
        let told = self.events.iter().rev().find(last)?;
        Some((told.t, CoverState::from_word(told.what.as_deref()?)?))
    }

    /// How the openings of a structure stand up to `now`: as last told within two days, or as a contact has it. A contact belongs to the opening whose
    /// short name its spot bears, or to the only one there is.
    pub(super) fn stands(
        &self,
        sources: &Sources<'_>,
        structure: &Structure,
        now: Millis,
    ) -> Result<Vec<VentStands>, StoreError> {
        let mut all = Vec::new();
        for vent in &structure.vents {
            let of = |e: &&Event| e.kind == EventKind::Vent && e.target == vent.slug && e.t <= now;
            let told = self.events.iter().rev().find(of).filter(|e| now.since(e.t) <= STANDS);
            let open = |e: &Event| e.what.as_deref().is_some_and(|word| word != Notch::Closed.word());
            all.extend(told.map(|e| VentStands { vent: vent.slug.clone(), open: open(e), at: e.t }));
            let only = structure.vents.len() == 1;
            for spot in sources.garden.spots_of(&structure.slug).filter(|spot| only || spot.slug == vent.slug) {
                let contact = |p: &&Placement| p.spot == spot.slug && p.quantity == Quantity::VentOpen && p.holds(now);
                if !sources.garden.placements.iter().any(|p| contact(&p)) {
                    continue;
                }
                let span = Span { from: now.plus(-STANDS), to: now.plus(1) };
                let last = sources.samples(&spot.slug, Quantity::VentOpen, span)?.last().copied();
                all.extend(last.map(|s| VentStands { vent: vent.slug.clone(), open: s.v > 0.5, at: Millis(s.t_ms) }));
            }
        }
        Ok(all)
    }

    /// Whether an opening of `vents` stood open at some time in `[from, to)`, as far as it was told.
    pub(super) fn opened(&self, vents: &[&str], from: Millis, to: Millis) -> bool {
        vents.iter().any(|vent| {
            let of = |e: &&Event| e.kind == EventKind::Vent && e.target == *vent && e.t < to;
            let open = |e: &Event| e.what.as_deref().is_some_and(|w| w != Notch::Closed.word());
            let before = self.events.iter().rev().filter(of).find(|e| e.t < from && from.since(e.t) <= STANDS);
            before.is_some_and(open) || self.events.iter().filter(of).any(|e| e.t >= from && open(e))
        })
    }

    /// Whether everything of `vents` was last told to be shut.
    pub(super) fn all_shut(&self, vents: &[&str], now: Millis) -> bool {
        !vents.is_empty()
            && vents.iter().all(|vent| {
                let of = |e: &&Event| e.kind == EventKind::Vent && e.target == *vent && e.t <= now;
                let last = self.events.iter().rev().find(of).filter(|e| now.since(e.t) <= STANDS);
                last.is_some_and(|e| e.what.as_deref() == Some(Notch::Closed.word()))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_set_a_door_is_there_for_an_hour_and_whoever_told_later_of_the_morning_is_not() {
        let event = |kind, t: i64| Event {
            id: 0,
            t: Millis(t),
            kind,
            target: "door".to_owned(),
            what: None,
            amount: None,
            unit: None,
            source: EventSource::Tap,
            origin: 0,
            undone_at: None,
        };
        let told = |one: Event| ToldNow { events: vec![one], ..ToldNow::default() };
        let now = Millis(10 * HOUR);
        let door = told(event(EventKind::Vent, 10 * HOUR - 60_000));
        assert_eq!(door.somebody_until(now), Some(Millis(11 * HOUR - 60_000)));
        assert_eq!(told(event(EventKind::Vent, 8 * HOUR)).somebody_until(now), None);
        assert_eq!(told(event(EventKind::Done, 10 * HOUR)).somebody_until(now), None, "answered from the house");
    }
}
