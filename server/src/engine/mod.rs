//! The engine: from committed readings to hours and advice. It is told the time; it never asks for it.

mod advise;
mod derive;
mod letter;
mod placing;
pub(crate) mod season;
mod tails;
#[cfg(test)]
mod tests;
mod told;

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::Path;
use std::sync::Arc;

use propstick_garden::model::Garden;
use propstick_garden::season::lets_rain_in;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, SECOND};
use propstick_wire::quantity::Quantity;

use crate::store::derived::{Derived, Hours, HoursOf};
use crate::store::garden::{BoardLogin, GardenDb};
use crate::store::readings::Series;
use crate::store::{Committed, Readings, SeriesId, StoreError, folder};
use derive::{News, Place, Sources};
use placing::PlacedSeries;
use tails::Tails;

pub use told::{Reply, Told};

/// A change in how figures are worked out; raising it makes all of them anew.
const DERIVATION: u32 = 5;
/// How much of the present is worked out in one go.
const LIVE_LOT: i64 = SECOND;
/// How much of a recorded time is worked out in one go.
const RECORDED_LOT: i64 = 48 * HOUR;

/// What the engine is told.
pub enum Input {
    /// Readings are on disk.
    Committed(Committed),
    /// It is now this late.
    Tick(Millis),
    /// Somebody asks for something.
    Command(Command),
}

/// What somebody may ask the engine for.
pub enum Command {
    /// Keep this garden from now on.
    KeepGarden(Box<Garden>),
    /// Work out everything that is not worked out yet.
    CatchUp,
    /// Keep this login of a board or a foreign device.
    KeepLogin(BoardLogin),
    /// Take the login of that name away.
    DropLogin(String),
    /// Keep, or take back, what somebody told at that instant.
    Told(Box<Told>, Millis),
    /// Something was committed that could not be told: look in the ledger.
    LookInLedger,
}

/// What the engine wants done.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Something changed that a page may show.
    Live(Change),
    /// The logins changed: the doorkeeper has to know.
    Logins,
}

/// A pointer to what changed; never a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// `now`, `hours`, `advice`, `boards`, `events`, `observations`, `garden` or `all`.
    pub what: &'static str,
    /// The structure's slug, where it is one's alone.
    pub structure: Option<String>,
    /// First instant touched.
    pub from: Option<Millis>,
    /// First instant after what was touched.
    pub to: Option<Millis>,
}

impl Change {
    /// Anything may have changed.
    pub fn all() -> Change {
        Change { what: "all", structure: None, from: None, to: None }
    }
}

/// Whether time passes or is told of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// Whatever came is worked out within a second.
    Live,
    /// A recording runs through: hours are worked out by the half day, and nothing is told to pages.
    Recorded,
}

/// The engine. See [`Engine::step`].
pub struct Engine {
    garden: Arc<Garden>,
    garden_db: GardenDb,
    derived: Derived,
    /// Reads what is worked out, for the advice.
    worked_out: Hours,
    readings: Readings,
    series: Vec<Series>,
    placed: HashMap<SeriesId, Vec<PlacedSeries>>,
    tails: Tails,
    news: News,
    oldest_news: Option<Millis>,
    /// The newest generation of the ledger that is known here.
    generation: i64,
    /// The newest generation that was looked up in the ledger: what is told of it comes late and may be outdated.
    looked: i64,
    /// Something failed half-way, so that what is noted as news may not be all: the ledger is looked in before anything is called done.
    unsure: bool,
    pace: Pace,
    now: Millis,
    desk: advise::Desk,
    /// What was told of water on the leaves; none after something was told.
    wettings: Option<season::Wettings>,
    recipe: String,
    /// Tells this ledger from any other: figures are of the one they were worked out from.
    ledger_id: String,
}

impl Engine {
    /// Opens the engine over a data folder that has its `readings.db`; `garden` replaces the one kept, if given.
    ///
    /// # Errors
    /// A store that cannot be opened, or no garden at all.
    pub fn open(folder: &Path, garden: Option<Garden>, pace: Pace) -> Result<Engine, StoreError> {
        let mut garden_db = GardenDb::open(&folder::garden_path(folder))?;
        let kept = match garden {
            Some(garden) => garden_db.keep_garden(&garden)?,
            None => garden_db.garden()?.unwrap_or_else(Garden::empty),
        };
        let recipe = recipe_of(&kept);
        let readings = Readings::open(&folder::readings_path(folder))?;
        let ledger_id = readings.ledger_id()?;
        let mut engine = Engine {
            derived: Derived::open(&folder::derived_path(folder), &of_ledger(&recipe, &ledger_id))?,
            worked_out: Hours::of_folder(folder)?,
            readings,
            garden: Arc::new(kept),
            garden_db,
            series: Vec::new(),
            placed: HashMap::new(),
            tails: Tails::default(),
            news: News::default(),
            oldest_news: None,
            generation: 0,
            looked: 0,
            unsure: false,
            pace,
            now: Millis(0),
            desk: advise::Desk::default(),
            wettings: None,
            recipe,
            ledger_id,
        };
        engine.desk = advise::Desk::open(&engine.garden, &engine.garden_db)?;
        engine.look_in_ledger()?;
        engine.set_pace(pace)?;
        Ok(engine)
    }

    /// The garden as it stands.
    pub fn garden(&self) -> Arc<Garden> {
        Arc::clone(&self.garden)
    }

    /// Up to which generation of the ledger everything is worked out.
    pub fn done(&self) -> Result<i64, StoreError> {
        self.derived.done()
    }

    /// Changes the pace.
    ///
    /// # Errors
    /// What the store says when what was put off is brought to disk.
    pub fn set_pace(&mut self, pace: Pace) -> Result<(), StoreError> {
        self.garden_db.keep_at_once(pace == Pace::Live)?;
        self.pace = pace;
        Ok(())
    }

    /// Makes sure that everything worked out so far is on disk; where that is so, the ledger may forget what was dirty.
    pub fn settle(&self) -> Result<bool, StoreError> {
        self.derived.settle()
    }

    /// Brings to disk what was put off while history was laid down.
    ///
    /// # Errors
    /// What a store says.
    pub fn end_history(&self) -> Result<(), StoreError> {
        self.garden_db.keep_at_once(true)?;
        self.derived.settle().map(|_| ())
    }

    /// Takes one thing in and says what is to be done about it.
    ///
    /// # Errors
    /// Only what a store says; the input then may be given again.
    pub fn step(&mut self, input: Input) -> Result<Vec<Effect>, StoreError> {
        let done = self.try_step(input);
        self.unsure |= done.is_err();
        done
    }

    fn try_step(&mut self, input: Input) -> Result<Vec<Effect>, StoreError> {
        let mut effects = Vec::new();
        match input {
            Input::Tick(now) => {
                // A recording's time only goes on; the machine's clock may be set back.
                self.now = if self.pace == Pace::Live { now } else { self.now.max(now) };
                // Where it was, what waits does not wait until it is as late again.
                self.oldest_news = self.oldest_news.map(|t| t.min(self.now));
                if self.work_due().is_some_and(|due| due <= self.now) {
                    self.work_out(&mut effects)?;
                }
                self.look(&mut effects)?;
            }
            Input::Committed(committed) => {
                self.take(committed, &mut effects)?;
                self.look(&mut effects)?;
            }
            Input::Command(Command::KeepLogin(login)) => {
                self.garden_db.keep_login(&login, self.now)?;
                effects.push(Effect::Logins);
            }
            Input::Command(Command::DropLogin(name)) => {
                self.garden_db.drop_login(&name)?;
                effects.push(Effect::Logins);
            }
            Input::Command(Command::LookInLedger) => {
                self.look_in_ledger()?;
                self.desk.forget();
                effects.push(live("all", None));
            }
            Input::Command(Command::Told(told, at)) => self.told(*told, at, &mut effects)?,
            Input::Command(Command::CatchUp) => {
                self.work_out(&mut effects)?;
                if self.now > Millis(0) {
                    self.desk.look_at_once();
                    self.look(&mut effects)?;
                }
            }
            Input::Command(Command::KeepGarden(garden)) => {
                self.keep_garden(&garden)?;
                self.work_out(&mut effects)?;
                effects.push(live("garden", None));
            }
        }
        Ok(effects)
    }

    /// When the engine wants to be told the time next, if nothing comes before.
    pub fn next_deadline(&self) -> Option<Millis> {
        match (self.work_due(), self.desk.next_look(self.pace)) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }

    fn work_due(&self) -> Option<Millis> {
        let lot = if self.pace == Pace::Live { LIVE_LOT } else { RECORDED_LOT };
        self.oldest_news.map(|t| t.plus(lot))
    }

    fn take(&mut self, committed: Committed, effects: &mut Vec<Effect>) -> Result<(), StoreError> {
        if let Some(arrived) = committed.arrived {
            self.now = self.now.max(arrived);
        }
        let is_news = committed.generation > self.looked;
        self.generation = self.generation.max(committed.generation);
        for (id, key) in committed.new_series.iter().filter(|_| is_news) {
            if self.series.iter().any(|s| s.id == *id) {
                continue;
            }
            self.series.push(Series {
                id: *id,
                urn: key.device.clone(),
                channel: key.channel.clone(),
                unit_sent: key.unit_sent.clone(),
                kind: key.kind.word().to_owned(),
                span_s: key.span_s,
                stamp_end: key.stamp_end,
            });
            self.tails.begin(*id);
            self.place(self.series.len() - 1);
        }
        let mut touched: BTreeSet<&str> = BTreeSet::new();
        let mut late: BTreeMap<&str, Millis> = BTreeMap::new();
        let mut outside = false;
        for f in committed.fresh.iter().filter(|_| is_news) {
            self.tails.take(f.series, f.t, f.v);
            let Some(places) = self.placed.get(&f.series) else { continue };
            for (p, at) in places.iter().map(|p| (p, f.t.plus(-p.starts_before_ms))).filter(|(p, at)| p.holds(*at)) {
                self.news.note(&p.spot, p.quantity, at, at);
                touched.insert(&p.structure);
                outside |= p.outside;
                if self.now.since(at) > advise::LATE {
                    let oldest = late.entry(&p.spot).or_insert(at);
                    *oldest = at.min(*oldest);
                }
            }
        }
        if self.oldest_news.is_none() && !self.news.is_empty() {
            self.oldest_news = Some(self.now);
        }
        for (spot, at) in late {
            self.desk.late(&self.garden, spot, at);
        }
        for slug in touched {
            self.desk.heard(slug);
            if self.pace == Pace::Live {
                effects.push(live("now", Some(slug)));
            }
        }
        if outside {
            self.desk.heard_outside();
        }
        if self.pace == Pace::Live && (!committed.boards.is_empty() || !committed.receipts.is_empty()) {
            effects.push(live("boards", None));
        }
        Ok(())
    }

    /// Works out every hour that news touched.
    fn work_out(&mut self, effects: &mut Vec<Effect>) -> Result<(), StoreError> {
        if self.unsure {
            self.look_in_ledger()?;
        }
        let news = with_twins(self.news.take());
        self.oldest_news = None;
        if news.is_empty() && self.generation <= self.derived.done()? {
            return Ok(());
        }
        let sources =
            Sources { garden: &self.garden, series: &self.series, tails: &self.tails, readings: &self.readings };
        let mut lots: Vec<HoursOf> = Vec::new();
        let mut airs: BTreeMap<&str, Vec<(Millis, Millis)>> = BTreeMap::new();
        let mut spots: BTreeSet<&str> = BTreeSet::new();
        let (mut from, mut to) = (None, None);
        for ((spot, quantity), stretches) in &news {
            for &stretch in stretches {
                sources.hours(spot, *quantity, stretch, *quantity == Quantity::AirHumidity, &mut |lot| {
                    from = Some(from.map_or(lot.span.from, |f: Millis| f.min(lot.span.from)));
                    to = to.max(Some(lot.span.to));
                    lots.push(lot);
                    // A long stretch is written piece by piece; that it is done is only noted with the last.
                    if lots.len() >= 64 {
                        self.derived.write(&lots, &[], -1)?;
                        lots.clear();
                    }
                    Ok(())
                })?;
                if is_of_leaves(*quantity)
                    && let Some(s) = self.garden.spot(spot)
                {
                    airs.entry(&s.structure).or_default().push(stretch);
                    // The air outside says which humidities under cover have fallen out.
                    for covered in &self.garden.structures {
                        if season::outside_of(&self.garden, &covered.slug) == Some(spot) {
                            airs.entry(&covered.slug).or_default().push(stretch);
                        }
                    }
                }
                if *quantity == Quantity::Rain && self.garden.outside_spot().is_some_and(|o| o.slug == *spot) {
                    for s in self.garden.structures.iter().filter(|s| lets_rain_in(s)) {
                        airs.entry(&s.slug).or_default().push(stretch);
                    }
                }
            }
            spots.insert(spot);
        }
        if !airs.is_empty() {
            let wettings = match self.wettings.take() {
                Some(known) => known,
                None => season::wettings(&self.garden, &self.garden_db)?,
            };
            let structures: Vec<&str> = airs.keys().copied().collect();
            for (structure, stretches) in airs {
                for stretch in season::joined(stretches) {
                    sources.season(&mut self.derived, structure, stretch, &wettings)?;
                }
            }
            for (structure, told) in structures.iter().filter_map(|s| Some((*s, wettings.get(*s)?))) {
                self.derived.keep_told(structure, &told.instants())?;
            }
            self.wettings = Some(wettings);
        }
        self.derived.write(&lots, &[], self.generation)?;
        self.garden_db.turn_page()?;
        if self.pace == Pace::Live {
            let structures: BTreeSet<&str> =
                spots.iter().filter_map(|s| self.garden.spot(s)).map(|s| s.structure.as_str()).collect();
            for slug in structures {
                effects.push(Effect::Live(Change { what: "hours", structure: Some(slug.to_owned()), from, to }));
            }
        }
        Ok(())
    }

    fn look(&mut self, effects: &mut Vec<Effect>) -> Result<(), StoreError> {
        let sources =
            Sources { garden: &self.garden, series: &self.series, tails: &self.tails, readings: &self.readings };
        let changed =
            self.desk.look((&sources, &self.worked_out), &self.garden_db, (self.now, self.pace), &self.recipe)?;
        if self.pace == Pace::Live {
            effects.extend(changed.iter().map(|slug| live("advice", Some(slug))));
        }
        Ok(())
    }

    fn keep_garden(&mut self, garden: &Garden) -> Result<(), StoreError> {
        let kept = self.garden_db.keep_garden(garden)?;
        if kept == *self.garden {
            return Ok(());
        }
        let recipe = recipe_of(&kept);
        let desk = advise::Desk::open(&kept, &self.garden_db)?;
        let another = recipe != self.recipe;
        if another {
            // Before the garden is taken over: if this fails, the same command does all of it again.
            self.derived.begin_anew(&of_ledger(&recipe, &self.ledger_id))?;
            self.recipe = recipe;
        }
        self.garden = Arc::new(kept);
        self.desk = desk;
        self.wettings = None;
        self.place_all();
        if another {
            self.find_news()?;
        }
        Ok(())
    }
}

/// News of a spot's temperature is news of its humidity too, and the other way round: marks of one rest on the other.
fn with_twins(news: Vec<(Place, Vec<(Millis, Millis)>)>) -> Vec<(Place, Vec<(Millis, Millis)>)> {
    let mut all = News::default();
    for ((spot, quantity), stretches) in news {
        for (from, to) in stretches {
            let twins: &[Quantity] = match quantity {
                Quantity::AirTemperature | Quantity::AirHumidity => &[Quantity::AirTemperature, Quantity::AirHumidity],
                _ => &[quantity],
            };
            twins.iter().for_each(|q| all.note(&spot, *q, from, to));
        }
    }
    all.take()
}

/// Whether what leaves go through rests on a quantity.
const fn is_of_leaves(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::AirTemperature | Quantity::AirHumidity | Quantity::LeafWetness)
}

fn live(what: &'static str, structure: Option<&str>) -> Effect {
    Effect::Live(Change { what, structure: structure.map(str::to_owned), from: None, to: None })
}

/// The recipe of figures that were worked out from one ledger.
fn of_ledger(recipe: &str, ledger_id: &str) -> String {
    format!("{recipe} {ledger_id}")
}

/// What the figures were worked out by: another recipe means working them out anew.
fn recipe_of(garden: &Garden) -> String {
    use std::hash::{DefaultHasher, Hash, Hasher};
    let mut hash = DefaultHasher::new();
    DERIVATION.hash(&mut hash);
    garden.zone.name().hash(&mut hash);
    propstick_agronomy::sourced::fingerprint().hash(&mut hash);
    (garden.lat.to_bits(), garden.lon.to_bits()).hash(&mut hash);
    for s in &garden.structures {
        // What keeps rain off, whose air a gauge goes with, what the levels are for, and what light comes in.
        let vents: Vec<_> = s.vents.iter().map(|v| (&v.slug, v.kind)).collect();
        (&s.slug, s.kind, &s.lead_spot, s.crops, vents).hash(&mut hash);
        format!("{:?}{:?}", s.groups, s.film).hash(&mut hash);
    }
    for spot in &garden.spots {
        (&spot.slug, &spot.structure, &spot.bed, spot.role).hash(&mut hash);
    }
    format!("{:?}{:?}{:?}", garden.placements, garden.corrections, garden.exclusions).hash(&mut hash);
    format!("{:016x}", hash.finish())
}
