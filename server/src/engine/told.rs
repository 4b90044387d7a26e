//! What people tell the engine: it keeps it, and looks again at once.

use std::sync::mpsc::SyncSender;

use propstick_garden::record::{Event, EventKind, Observation, Seen};
use propstick_garden::season::lets_rain_in;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::{Effect, Engine, live, season};
use crate::store::StoreError;
use crate::store::garden::told::{Kept, Undone};

/// Where to say what came of it; nowhere if nobody waits.
pub type Reply<T> = Option<SyncSender<T>>;

/// Something that somebody tells, or takes back.
pub enum Told {
    /// Something was done. The word is the client's key: what comes twice with the same is kept once.
    Did(Event, Option<String>, Reply<Kept<Event>>),
    /// It was not: the event of that number is taken back.
    DidNot(i64, Reply<Undone<Event>>),
    /// Something was seen or heard; the word is the client's key.
    Saw(Observation, Option<String>, Reply<Kept<Observation>>),
    /// It was not: the observation of that number is taken back.
    SawNot(i64, Reply<Undone<Observation>>),
}

/// What was told, or is taken back.
#[derive(Clone, Copy)]
pub(super) enum Thing<'a> {
    /// Something that was done.
    Event(&'a Event),
    /// Something that was seen or heard.
    Seen(&'a Observation),
}

impl Thing<'_> {
    /// Whether it says how wet the soil of a bed is, told of the bed or of all of its structure.
    pub(super) fn is_of_water(&self, bed: &str, structure: &str) -> bool {
        match self {
            Thing::Event(event) => event.kind == EventKind::Water && (event.target == bed || event.target == structure),
            Thing::Seen(seen) => matches!(&seen.seen, Seen::Finger { bed: felt, .. } if felt == bed),
        }
    }
}

impl Engine {
    /// Takes in what somebody told at `at`. That it is kept is answered even where the look that follows fails.
    pub(super) fn told(&mut self, told: Told, at: Millis, effects: &mut Vec<Effect>) -> Result<(), StoreError> {
        self.now = self.now.max(at);
        match told {
            Told::Did(event, key, reply) => {
                let kept = self.garden_db.events().keep(&event, at, key.as_deref())?;
                let looked = if kept.is_new { self.heard(Thing::Event(&kept.one), true, effects) } else { Ok(()) };
                say(reply, kept);
                looked
            }
            Told::DidNot(id, reply) => {
                let undone = self.garden_db.events().undo(id, at)?;
                let looked = match &undone {
                    Undone::Now(event) => self.heard(Thing::Event(event), false, effects),
                    _ => Ok(()),
                };
                say(reply, undone);
                looked
            }
            Told::Saw(seen, key, reply) => {
                let kept = self.garden_db.observations().keep(&seen, at, key.as_deref())?;
                let looked = if kept.is_new { self.heard(Thing::Seen(&kept.one), true, effects) } else { Ok(()) };
                say(reply, kept);
                looked
            }
            Told::SawNot(id, reply) => {
                let undone = self.garden_db.observations().undo(id, at)?;
                let looked = match &undone {
                    Undone::Now(seen) => self.heard(Thing::Seen(seen), false, effects),
                    _ => Ok(()),
                };
                say(reply, undone);
                looked
            }
        }
    }

    /// A thing counts from now on, or no longer: the desk looks again at once at its structure, or at all of them.
    fn heard(&mut self, thing: Thing<'_>, counts: bool, effects: &mut Vec<Effect>) -> Result<(), StoreError> {
        let garden = self.garden();
        let (structure, what, of_leaves) = match thing {
            Thing::Event(event) => {
                let structure = event.structure(&garden);
                let lets_rain_in = || structure.and_then(|slug| garden.structure(slug)).is_some_and(lets_rain_in);
                let of_leaves = event.is_overhead() || (event.kind == EventKind::Vent && lets_rain_in());
                (structure, "events", of_leaves)
            }
            Thing::Seen(seen) => (seen.structure(&garden), "observations", matches!(seen.seen, Seen::Look(_))),
        };
        self.desk.told(structure, thing, counts);
        effects.push(live(what, structure));
        if of_leaves {
            self.told_of_leaves()?;
        }
        self.look(effects)
    }

    /// Notes as news where what was told of water on the leaves differs from what their hours were worked out with: now, or by a program that was cut off.
    pub(super) fn told_of_leaves(&mut self) -> Result<(), StoreError> {
        self.wettings = None;
        let wettings = season::wettings(&self.garden, &self.garden_db)?;
        for (structure, told) in &wettings {
            let (now, then) = (told.instants(), self.derived.told(structure)?);
            let only_now = now.iter().filter(|one| then.binary_search(one).is_err());
            let only_then = then.iter().filter(|one| now.binary_search(one).is_err());
            let at = || only_now.clone().chain(only_then.clone()).map(|(at, _)| Millis(*at));
            if let (Some(first), Some(last)) = (at().min(), at().max()) {
                self.wetted_again(structure, first, last);
            }
        }
        self.wettings = Some(wettings);
        Ok(())
    }

    /// Water came on the leaves in a structure at some time from `from` to `to`, or it turned out that it did not: its wet hours from then on are worked
    /// out anew.
    fn wetted_again(&mut self, structure: &str, from: Millis, to: Millis) {
        let garden = self.garden();
        for spot in garden.spots_of(structure) {
            let measured = |p: &&propstick_garden::model::Placement| {
                p.spot == spot.slug && p.quantity == Quantity::AirHumidity && p.to.is_none_or(|to| from < to)
            };
            if garden.placements.iter().find(measured).is_some() {
                self.news.note(&spot.slug, Quantity::AirHumidity, from, to);
            }
        }
        if self.oldest_news.is_none() && !self.news.is_empty() {
            self.oldest_news = Some(self.now);
        }
    }
}

/// Nobody may be waiting any more.
fn say<T>(reply: Reply<T>, came: T) {
    if let Some(reply) = reply {
        let _ = reply.send(came);
    }
}
