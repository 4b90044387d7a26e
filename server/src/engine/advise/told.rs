//! What people told that advice goes by, kept in memory from one telling to the next.

use propstick_garden::advice::Weather;
use propstick_garden::model::{CoverState, Notch};
use propstick_garden::record::{Event, EventKind, Forecast, ForecastFor, Observation, Seen};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use crate::store::StoreError;
use crate::store::garden::GardenDb;
use crate::store::garden::told::Wanted;

/// How far back things told are remembered here: further than any sum of a bed goes.
const REMEMBERED: i64 = 220 * 24 * HOUR;
/// How long a setting of an opening is taken to stand without another word.
const STANDS: i64 = propstick_garden::season::SETTING_STANDS_MS;

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

    /// The weather as it was seen and heard up to `now`.
    pub(super) fn weather(&self, now: Millis, gust_m_s: Option<f64>) -> Weather {
        let mut weather = Weather { gust_m_s, ..Weather::default() };
        for seen in self.observations.iter().filter(|o| o.t <= now && now.since(o.t) <= 30 * HOUR) {
            match &seen.seen {
                Seen::Look(look) => weather.look = Some(*look),
                Seen::Heard(heard) => match heard.of {
                    ForecastFor::Today => weather.today = Some(*heard),
                    ForecastFor::Tonight => weather.tonight = Some(*heard),
                    ForecastFor::Tomorrow => weather.tomorrow = Some(*heard),
                },
                Seen::Finger { .. } | Seen::Leaves { .. } => {}
            }
        }
        weather
    }

    /// The forecast that was heard for the night that begins at `sunset`, up to `now`.
    pub(super) fn heard_for_night(&self, sunset: Millis, now: Millis) -> Option<Forecast> {
        self.observations.iter().rev().filter(|o| o.t <= now).find_map(|o| match &o.seen {
            Seen::Heard(heard) if heard.of == ForecastFor::Tonight && sunset.since(heard.at).abs() <= 18 * HOUR => {
                Some(*heard)
            }
            _ => None,
        })
    }

    /// How a cover lies, as last told up to `now`.
    pub(super) fn lies(&self, cover: &str, now: Millis) -> Option<CoverState> {
        let last = |e: &&Event| e.kind == EventKind::Fleece && e.target == cover && e.t <= now;
        let told = self.events.iter().rev().find(last)?;
        CoverState::from_word(told.what.as_deref()?)
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
