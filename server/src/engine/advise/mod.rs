//! The desk where advice is made: one seat a structure. It asks the garden's decisions, keeps what differs, and knows when to look again.

mod book;
mod calls;
mod frost;
mod orders;
mod seat;
mod told;
mod view;
mod water;

use chrono::NaiveDate;
use propstick_agronomy::sun::SunDay;
use propstick_garden::advice::frost::NightSpan;
use propstick_garden::advice::{CoverVerdict, DampStory, Growth, VentStructure, Verdict};
use propstick_garden::fold::date_of;
use propstick_garden::model::{Garden, Structure};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use propstick_wire::quantity::Quantity;

use super::Pace;
use super::derive::Sources;
use super::told::Thing;
use crate::store::StoreError;
use crate::store::derived::Seasons;
use crate::store::garden::GardenDb;
use book::Book;
use frost::FrostSeat;
use orders::Orders;
use told::ToldNow;
use view::View;
use water::{DayBook, WaterSeat, days_of};

/// Readings older than this come late; what is younger every look takes in.
pub(super) const LATE: i64 = book::OVERLAP;
/// What stands of openings, covers and water holds up another word for less than this.
const LONGEST_HOLD: i64 = 2 * HOUR;

/// The seats.
#[derive(Default)]
pub(super) struct Desk {
    seats: Vec<Seat>,
    sky: Sky,
    told: ToldNow,
    book: Book,
}

/// The sun of the day and the night that goes on or comes.
#[derive(Default)]
struct Sky {
    date: Option<NaiveDate>,
    day: Option<SunDay>,
    night: Option<NightSpan>,
}

/// One structure.
struct Seat {
    structure: Structure,
    facts: VentStructure,
    lead: String,
    surface: Option<(String, Quantity)>,
    last_look: Option<Millis>,
    heard: bool,
    vent: Option<Given<Verdict>>,
    /// Whether the advice that stands asks to shut what was told to stand open.
    shut_as_told: bool,
    cover: Option<Given<CoverVerdict>>,
    laid: Orders,
    frost: FrostSeat,
    frost_given: Option<Given<String>>,
    frost_freed: bool,
    water: Vec<(WaterSeat, Option<Given<String>>)>,
    days: DayBook,
    growth: Option<(i64, Growth)>,
    damp: DampStory,
    damp_at: Option<Millis>,
}

/// The advice that stands.
struct Given<T> {
    what: T,
    made_at: Millis,
}

impl Desk {
    /// The desk for a garden, with the advice that stood when the program ended.
    pub(super) fn open(garden: &Garden, db: &GardenDb) -> Result<Desk, StoreError> {
        let mut seats = Vec::new();
        for structure in &garden.structures {
            let Some(lead) = garden.lead_spot(structure) else { continue };
            seats.push(Seat::open(garden, structure, &lead.slug, db)?);
        }
        Ok(Desk { seats, ..Desk::default() })
    }

    /// A structure has news.
    pub(super) fn heard(&mut self, structure: &str) {
        for seat in self.seats.iter_mut().filter(|s| s.structure.slug == structure) {
            seat.heard = true;
        }
    }

    /// The air outside has news: that concerns every structure.
    pub(super) fn heard_outside(&mut self) {
        for seat in &mut self.seats {
            seat.heard = true;
        }
    }

    /// The next look at any structure waits for nothing.
    pub(super) fn look_at_once(&mut self) {
        self.seats.iter_mut().for_each(|seat| seat.last_look = None);
    }

    /// Readings of whatever time may have come: what rests on days gone by is worked out anew.
    pub(super) fn forget(&mut self) {
        self.told.forget();
        self.book.forget();
        for seat in &mut self.seats {
            seat.heard = true;
            seat.days.forget();
            seat.growth = None;
            seat.frost.forget();
            seat.water.iter_mut().for_each(|(bed, _)| bed.forget());
        }
    }

    /// A reading of the air at a spot, taken at `at`, came late: what rests on that time is worked out anew.
    pub(super) fn late(&mut self, garden: &Garden, spot: &str, at: Millis) {
        self.book.late(spot, at);
        let outside = garden.outside_spot().is_some_and(|outside| outside.slug == spot);
        let of = garden.spot(spot).map(|spot| spot.structure.as_str());
        let day = days_of(date_of(garden.zone, at));
        for seat in self.seats.iter_mut().filter(|seat| outside || Some(seat.structure.slug.as_str()) == of) {
            seat.heard = true;
            (seat.damp_at, seat.growth) = (None, None);
            seat.days.late(day);
            seat.water.iter_mut().for_each(|(bed, _)| bed.late(day));
            if seat.frost.spot == spot {
                seat.frost.late(at);
            }
        }
    }

    /// Something was told of a structure, or of the weather, and counts from now on, or no longer: the next look at it, or at all of them, waits for
    /// nothing.
    pub(super) fn told(&mut self, structure: Option<&str>, thing: Thing<'_>, counts: bool) {
        match (thing, counts) {
            (Thing::Event(event), true) => self.told.hear(event),
            (Thing::Event(event), false) => self.told.take_back(event.id),
            (Thing::Seen(seen), true) => self.told.see(seen),
            (Thing::Seen(seen), false) => self.told.take_back_seen(seen.id),
        }
        if !counts {
            self.taken_back(structure);
        }
        for seat in self.seats.iter_mut().filter(|s| structure.is_none_or(|slug| s.structure.slug == slug)) {
            (seat.heard, seat.last_look) = (true, None);
            seat.frost.ask_anew();
            seat.water.iter_mut().for_each(|(bed, given)| {
                bed.ask_anew();
                if thing.is_of_water(&bed.bed.slug, &seat.structure.slug) {
                    // What is said of its water is said anew after each watering and finger.
                    *given = None;
                }
            });
        }
    }

    /// Something that was told is taken back: what was said of a structure, or of all of them, may rest on it and holds nothing up.
    fn taken_back(&mut self, structure: Option<&str>) {
        for seat in self.seats.iter_mut().filter(|s| structure.is_none_or(|slug| s.structure.slug == slug)) {
            let water = seat.water.iter_mut().filter_map(|(_, given)| given.as_mut().map(|g| &mut g.made_at));
            let vent = seat.vent.as_mut().map(|g| &mut g.made_at);
            let cover = seat.cover.as_mut().map(|g| &mut g.made_at);
            seat.frost_freed = true;
            water.chain(vent).chain(cover).for_each(|at| *at = at.plus(-LONGEST_HOLD));
        }
    }

    /// When the desk wants to look again.
    pub(super) fn next_look(&self, pace: Pace) -> Option<Millis> {
        self.seats.iter().filter_map(|seat| seat.next_look(pace)).min()
    }

    /// Looks at every structure that is due; gives those whose advice changed.
    pub(super) fn look(
        &mut self,
        (sources, seasons): (&Sources<'_>, &dyn Seasons),
        db: &GardenDb,
        (now, pace): (Millis, Pace),
        recipe: &str,
    ) -> Result<Vec<String>, StoreError> {
        let (mut changed, mut failed) = (Vec::new(), None);
        if !self.seats.iter().any(|s| s.is_due(now, pace)) {
            return Ok(changed);
        }
        self.told.read(db, now)?;
        let view = View::over(sources, now, &mut self.sky, &self.told, &mut self.book)?;
        // In a recording all are looked at together, so that what they share is worked out once.
        let together = pace == Pace::Recorded;
        for seat in self.seats.iter_mut().filter(|s| together || s.is_due(now, pace)) {
            let before = seat.last_look.replace(now);
            seat.heard = false;
            let mut look =
                Look { sources, db, view: &view, told: &self.told, book: &mut self.book, recipe, pace, changed: false };
            let looked = seat.see_damp(sources.garden, seasons, now, pace).and_then(|()| seat.look(&mut look));
            if look.changed {
                changed.push(seat.structure.slug.clone());
            }
            // What a store says of one structure keeps the others from nothing.
            if let Err(error) = looked {
                seat.last_look = before;
                failed.get_or_insert(error);
            }
        }
        if let Some(error) = failed {
            return Err(error);
        }
        Ok(changed)
    }
}

/// One look at one structure.
struct Look<'a> {
    sources: &'a Sources<'a>,
    db: &'a GardenDb,
    view: &'a View,
    told: &'a ToldNow,
    book: &'a mut Book,
    recipe: &'a str,
    pace: Pace,
    changed: bool,
}

/// A piece of advice about to be kept.
struct Piece<'a> {
    kind: &'a str,
    about: &'a str,
    gist: String,
    from: Option<Millis>,
    until: Option<Millis>,
    body: String,
}
