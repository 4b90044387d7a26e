//! One structure at the desk: what it asks the garden's decisions, and which answers take the place of what stands.

use propstick_garden::advice::{
    CoverAt, CoverQuestion, DampStory, GaleWhen, Growth, Held, VentQuestion, VentStructure, VentVerdict, Verdict,
    close_what_stands_open, decide_cover, decide_vent, is_cover_news, is_dark, is_news, is_outlived, is_picking_news,
    is_told_done, may_flip, may_move,
};
use propstick_garden::model::{CoverState, Garden, Structure};
use propstick_garden::season::worst_night;
use propstick_garden::wording::FrostHere;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use propstick_wire::quantity::Quantity;

use super::frost::FrostSeat;
use super::orders::Orders;
use super::view::{SpotView, View, the_colder};
use super::water::{self, DayBook, Shared, WaterSeat};
use super::{Given, Look, Piece, Seat};
use crate::engine::Pace;
use crate::engine::letter;
use crate::season::{LeavesNow, structure_season};
use crate::store::StoreError;
use crate::store::advice::KeptAdvice;
use crate::store::derived::Seasons;
use crate::store::garden::GardenDb;
use crate::store::readings::Span;

/// How long after a look at a structure the next news of it waits.
const LOOK_AGAIN: i64 = MINUTE;
/// How often a structure is looked at without news: the sun moves and readings grow old.
const LOOK_AT_LEAST: i64 = 10 * MINUTE;
/// How often in a recording, with news or without; what people tell waits for nothing there either.
const LOOK_RECORDED: i64 = 30 * MINUTE;
/// What was said for a night was said no longer ago than this.
const NIGHT_AT_MOST: i64 = 18 * HOUR;
/// How often it is looked up how damp it has been; in a recording less often, as hours are worked out by the day there.
const DAMP_AGAIN: i64 = 10 * MINUTE;
const DAMP_AGAIN_RECORDED: i64 = 6 * HOUR;
/// For how long a reading of the soil is what it is like: it follows the sun by hours.
const SOIL_HOLDS: i64 = 2 * HOUR;
/// How long what was said of water holds before another figure alone takes its place.
const FIGURES_HOLD: i64 = 30 * MINUTE;

impl Look<'_> {
    fn keep(&mut self, structure: &str, piece: Piece<'_>) -> Result<i64, StoreError> {
        self.changed = true;
        self.db.advice().append(&KeptAdvice {
            id: 0,
            structure: structure.to_owned(),
            kind: piece.kind.to_owned(),
            about: piece.about.to_owned(),
            gist: piece.gist,
            made_at: self.view.now,
            from: piece.from.unwrap_or(self.view.now),
            until: piece.until,
            body: piece.body,
            recipe: self.recipe.to_owned(),
            superseded_by: None,
        })
    }
}

impl Seat {
    pub(super) fn open(garden: &Garden, structure: &Structure, lead: &str, db: &GardenDb) -> Result<Seat, StoreError> {
        let surface = garden.spots_of(&structure.slug).find_map(|spot| {
            let measured = |q| garden.placements.iter().any(|p| p.spot == spot.slug && p.quantity == q);
            [Quantity::LeafTemperature, Quantity::SoilTemperature]
                .into_iter()
                .find(|&q| measured(q))
                .map(|q| (spot.slug.clone(), q))
        });
        let mut seat = Seat {
            structure: structure.clone(),
            facts: VentStructure::from(structure),
            lead: lead.to_owned(),
            surface,
            last_look: None,
            heard: true,
            vent: None,
            shut_as_told: false,
            cover: None,
            laid: Orders::default(),
            frost: FrostSeat::of(garden, structure, lead, db.advice().calls(&structure.slug)?),
            frost_given: None,
            frost_freed: false,
            water: garden
                .beds
                .iter()
                .filter(|bed| bed.structure == structure.slug)
                .map(|bed| (WaterSeat::of(garden, structure, bed), None))
                .collect(),
            days: DayBook::default(),
            growth: None,
            damp: DampStory::default(),
            damp_at: None,
        };
        for kept in db.advice().standing(&structure.slug)? {
            let made_at = kept.made_at;
            match kept.kind.as_str() {
                "vent" => {
                    seat.vent = letter::read_vent(&kept.body, kept.until).map(|what| Given { what, made_at });
                }
                "cover" => {
                    seat.cover = letter::read_cover(&kept.body).map(|what| Given { what, made_at });
                    seat.cover.iter().for_each(|given| seat.laid.note(&given.what.moves));
                }
                "frost" => seat.frost_given = Some(Given { what: kept.gist, made_at }),
                _ => {
                    if let Some((_, given)) = seat.water.iter_mut().find(|(bed, _)| bed.bed.slug == kept.about) {
                        *given = Some(Given { what: kept.gist, made_at });
                    }
                }
            }
        }
        Ok(seat)
    }

    /// When it wants a look next; a structure never looked at waits for the first word of the time.
    pub(super) fn next_look(&self, pace: Pace) -> Option<Millis> {
        // What was said without readings is looked at again with the first one.
        let blind = self.vent.as_ref().is_some_and(|g| g.what.by_rule || g.what.verdict == VentVerdict::Unknown);
        let wait = match (self.heard, blind) {
            (true, true) => 0,
            _ if pace == Pace::Recorded => LOOK_RECORDED,
            (true, false) => LOOK_AGAIN,
            (false, _) => LOOK_AT_LEAST,
        };
        self.last_look.map(|last| last.plus(wait))
    }

    /// A last look that lies ahead means that the clock was set back.
    pub(super) fn is_due(&self, now: Millis, pace: Pace) -> bool {
        self.next_look(pace).is_none_or(|next| next <= now) || self.last_look.is_some_and(|last| last > now)
    }

    /// How damp it has been, as far as it is worked out.
    pub(super) fn see_damp(
        &mut self,
        garden: &Garden,
        seasons: &dyn Seasons,
        now: Millis,
        pace: Pace,
    ) -> Result<(), StoreError> {
        let again = if pace == Pace::Live { DAMP_AGAIN } else { DAMP_AGAIN_RECORDED };
        if self.damp_at.is_some_and(|at| (0..again).contains(&now.since(at))) {
            return Ok(());
        }
        self.damp_at = Some(now);
        let season = structure_season(seasons, garden, &self.structure, Vec::new(), now)?;
        let last = worst_night(&season.nights()).map(|spot| spot.night.day.wet_h.map(f64::from));
        self.damp = DampStory {
            wet_h_last_night: last,
            damp_days: (!season.nights().is_empty()).then(|| season.damp_days()),
            gauge_stuck_since: None,
            wet_now: match season.leaves_now() {
                LeavesNow::Wet => Some(true),
                LeavesNow::Dry => Some(false),
                LeavesNow::Frozen | LeavesNow::Unknown => None,
            },
        };
        Ok(())
    }

    pub(super) fn look(&mut self, look: &mut Look<'_>) -> Result<(), StoreError> {
        let view = look.view;
        let mut inside = SpotView::of(look.sources, &self.lead, view.now, look.book)?;
        if self.frost.spot != self.lead {
            // Frozen leaves in the coldest corner are frozen leaves.
            let corner = SpotView::of(look.sources, &self.frost.spot, view.now, look.book)?;
            inside.memory = the_colder(inside.memory, corner.memory);
        }
        if let Some(score) = self.frost.ask(look.sources, &self.structure, view, look.told, look.book)? {
            look.db.advice().keep_score(&self.structure.slug, &score)?;
        }
        let mut question = self.question(look, &inside)?;
        if question.picking {
            question.growth = self.growth(look, &inside)?;
        }
        self.look_at_frost(look, &question)?;
        if let Some(calls) = self.frost.calls.unwritten() {
            look.db.advice().keep_calls(&self.structure.slug, &calls)?;
        }
        let verdict = self.look_at_vents(look, &question)?;
        self.look_at_covers(look, question)?;
        let shared = Shared {
            structure: &self.structure,
            lead: &self.lead,
            view,
            inside: &inside,
            told: look.told,
            drying_follows: water::drying_follows(verdict),
            recorded: look.pace == Pace::Recorded,
        };
        let mut said = Vec::new();
        for (bed, given) in &mut self.water {
            let Some((q, advice)) = bed.ask(look.sources, &shared, &mut self.days, look.book)? else { continue };
            let gist = letter::water_gist(&advice, view.clock, view.now);
            if !is_water_news(given.as_ref(), &gist, view) {
                continue;
            }
            let body = letter::water_body(&advice, &q, (&bed.bed.name, &bed.bed.slug), &self.lead);
            let from = advice.when.map(|(from, _)| from);
            let until = advice.when.map_or(advice.look_again, |(_, until)| until);
            said.push((bed.bed.slug.clone(), gist.clone(), from, until, body));
            *given = Some(Given { what: gist, made_at: view.now });
        }
        for (about, gist, from, until, body) in said {
            let piece = Piece { kind: "water", about: &about, gist, from, until: Some(until), body };
            look.keep(&self.structure.slug, piece)?;
        }
        Ok(())
    }

    /// How fast things grow, worked out once a day.
    fn growth(&mut self, look: &mut Look<'_>, inside: &SpotView) -> Result<Option<Growth>, StoreError> {
        let today = look.view.clock.day_number(look.view.now);
        if self.growth.is_none_or(|(day, _)| day != today) {
            let shared = Shared {
                structure: &self.structure,
                lead: &self.lead,
                view: look.view,
                inside,
                told: look.told,
                drying_follows: None,
                recorded: look.pace == Pace::Recorded,
            };
            self.growth = Some((today, self.days.growth(look.sources, &shared, today, look.book)?));
        }
        Ok(self.growth.map(|(_, growth)| growth))
    }

    fn question(&self, look: &Look<'_>, inside: &SpotView) -> Result<VentQuestion, StoreError> {
        let (view, garden) = (look.view, look.sources.garden);
        let mut q = VentQuestion::new(view.now, view.clock, self.facts.clone());
        (q.sunrise, q.sunset) = (view.sunrise, view.sunset);
        (q.inside, q.trend_inside_c_h, q.frost_memory) = (inside.air, inside.trend_c_h, inside.memory);
        q.past_inside = inside.past.clone();
        if let Some(outside) = &view.outside {
            (q.outside, q.trend_outside_c_h) = (outside.air, outside.trend_c_h);
            q.past_outside = outside.past.clone();
        }
        if let Some((spot, quantity)) = &self.surface {
            let recent = Span { from: view.now.plus(-2 * HOUR), to: view.now.plus(1) };
            q.surface_c = look.sources.samples(spot, *quantity, recent)?.last().map(|s| s.v);
        }
        q.sown_soil_c = self.sown_soil_c(look)?;
        q.gust_m_s = view.weather.gust_m_s;
        q.fog = view.weather.fog(view.now);
        q.wind_from_deg = view.weather.wind_from_deg(view.now);
        q.weather = view.weather;
        q.presence = view.presence.clone();
        q.damp = DampStory { gauge_stuck_since: inside.stuck_since, ..self.damp };
        q.frost = self.frost.answer.as_ref().and_then(|answer| answer.outlook().cloned());
        q.place = Some((garden.lat, garden.lon));
        q.transmission = self.structure.film.as_ref().and_then(|film| film.transmission);
        q.picking = garden.beds.iter().any(|bed| bed.structure == self.structure.slug && !bed.trays);
        Ok(q)
    }

    /// The soil where lettuce grows or is sown, as a probe in its bed read it lately; none without one.
    fn sown_soil_c(&self, look: &Look<'_>) -> Result<Option<f64>, StoreError> {
        let garden = look.sources.garden;
        let measured =
            |slug: &str| garden.placements.iter().any(|p| p.spot == slug && p.quantity == Quantity::SoilTemperature);
        let lettuce = |bed: &str| garden.bed(bed).and_then(|b| b.crop.as_deref()) == Some("lettuce");
        let mut spots = garden.spots_of(&self.structure.slug);
        let Some(spot) = spots.find(|s| s.bed.as_deref().is_some_and(lettuce) && measured(&s.slug)) else {
            return Ok(None);
        };
        let lately = Span { from: look.view.now.plus(-SOIL_HOLDS), to: look.view.now.plus(1) };
        Ok(look.sources.counted(&spot.slug, Quantity::SoilTemperature, lately)?.last().map(|s| s.v))
    }

    fn look_at_frost(&mut self, look: &mut Look<'_>, question: &VentQuestion) -> Result<(), StoreError> {
        let Some(answer) = &self.frost.answer else { return Ok(()) };
        let now = look.view.now;
        let gale = look.view.weather.gale(now);
        // Into the wind nobody is sent either.
        let dark = is_dark(question) || gale.is_some_and(|gale| gale.when == GaleWhen::Blows);
        let gist = letter::frost_gist(answer, (dark, gale.is_some()));
        let since = |given: &Given<String>| now.since(given.made_at);
        // What rested on a word that was taken back holds nothing up, not even till morning.
        let freed = std::mem::take(&mut self.frost_freed);
        let stands = |given: &&Given<String>| {
            given.what == gist || (!freed && !letter::is_frost_news(&given.what, &gist, since(given)))
        };
        if self.frost_given.as_ref().is_some_and(|given| stands(&given)) {
            return Ok(());
        }
        let here = FrostHere {
            name: &self.structure.name,
            fleece: FrostSeat::fleece(&self.structure, look.told, now, gale.is_some()),
            shuts: !self.structure.vents.is_empty(),
            clock: look.view.clock,
            now,
            dark,
            gale: gale.is_some(),
        };
        let body = letter::frost_body(answer, here, &self.frost.spot);
        let until = letter::frost_until(answer);
        let piece = Piece { kind: "frost", about: "", gist: gist.clone(), from: None, until, body };
        let id = look.keep(&self.structure.slug, piece)?;
        self.frost.calls.advised(id);
        self.frost_given = Some(Given { what: gist, made_at: now });
        Ok(())
    }

    fn look_at_vents(
        &mut self,
        look: &mut Look<'_>,
        question: &VentQuestion,
    ) -> Result<Option<VentVerdict>, StoreError> {
        let now = look.view.now;
        let Some(mut verdict) = decide_vent(question).filter(|_| !self.structure.vents.is_empty()) else {
            return Ok(None);
        };
        let word = verdict.verdict;
        let dark = is_dark(question);
        let known = look.told.stands(look.sources, &self.structure, now)?;
        let standing = self.vent.as_ref().map(|given| &given.what);
        close_what_stands_open(&mut verdict, standing, &known, &question.structure.vents, (now, dark));
        let shut = verdict.verdict == VentVerdict::Shut && verdict.moves.is_empty();
        let done = |given: &Given<Verdict>| shut && is_told_done(&given.what, given.made_at, &known, now);
        // What was to be shut because it was told to stand open, and that was taken back, is asked of nobody.
        let told_open = known.iter().any(|one| one.open);
        let freed = self.shut_as_told && shut && !told_open;
        if freed || self.vent.as_ref().is_some_and(done) || self.gives_way(&verdict, now, dark) {
            self.shut_as_told = verdict.verdict == VentVerdict::Shut && !verdict.moves.is_empty() && told_open;
            let piece = Piece {
                kind: "vent",
                about: "",
                gist: String::new(),
                from: verdict.moves.iter().map(|m| m.from).min(),
                until: letter::vent_until(&verdict),
                body: letter::vent_body(question, &verdict, &self.lead, look.view.outside_spot.as_deref()),
            };
            look.keep(&self.structure.slug, piece)?;
            self.vent = Some(Given { what: verdict, made_at: now });
        }
        Ok(Some(word))
    }

    fn look_at_covers(&mut self, look: &mut Look<'_>, question: VentQuestion) -> Result<(), StoreError> {
        if self.structure.covers.is_empty() {
            return Ok(());
        }
        let now = look.view.now;
        let dark = is_dark(&question);
        let over_trays =
            |bed: Option<&str>| look.sources.garden.beds.iter().any(|b| Some(b.slug.as_str()) == bed && b.trays);
        let covers = self.structure.covers.iter();
        let covers = covers.map(|c| CoverAt::of(c, self.lies(&c.slug, look), over_trays(c.bed.as_deref())));
        let question = CoverQuestion { covers: covers.collect(), of: question };
        let Some(verdict) = decide_cover(&question) else { return Ok(()) };
        if let Some(given) = &self.cover
            && !is_cover_news(&given.what, given.made_at, &verdict, now, dark)
        {
            return Ok(());
        }
        let piece = Piece {
            kind: "cover",
            about: "",
            gist: String::new(),
            from: verdict.moves.iter().map(|m| m.from).min(),
            until: letter::cover_until(&verdict),
            body: letter::cover_body(&question, &verdict, &self.lead, look.view.outside_spot.as_deref()),
        };
        look.keep(&self.structure.slug, piece)?;
        self.laid.note(&verdict.moves);
        self.cover = Some(Given { what: verdict, made_at: now });
        Ok(())
    }

    /// How a cover lies: as it was told, or as it was asked for the night before by an order that nobody answered.
    fn lies(&self, cover: &str, look: &Look<'_>) -> Option<CoverState> {
        let (told, now) = (look.told.last_of(cover, look.view.now), look.view.now);
        let ordered = look.view.sunrise.and_then(|sunrise| self.laid.overnight(cover, sunrise, now));
        match (told, ordered) {
            (Some((at, state)), Some(ordered)) if at >= ordered => Some(state),
            (_, Some(_)) => Some(CoverState::On),
            (told, None) => told.map(|(_, state)| state),
        }
    }

    /// Whether the vent advice that stands gives way to `new`: it says something else, and the other has held long enough.
    fn gives_way(&self, new: &Verdict, now: Millis, dark: bool) -> bool {
        let Some(given) = &self.vent else { return true };
        // A word from another night says nothing of this one.
        let tonight = dark && (0..NIGHT_AT_MOST).contains(&now.since(given.made_at));
        let outlived = !dark && is_outlived(&given.what, given.made_at, new, now);
        let dried = !dark && is_picking_news(&given.what, new);
        if !outlived && !dried && !is_news(&given.what, new, now, tonight) {
            return false;
        }
        if given.what.day.fasten_by.is_some() != new.day.fasten_by.is_some() {
            // A gale that is heard of is answered at once.
            return true;
        }
        if given.what.by_rule && !new.by_rule {
            // Readings are better than the rule: what was said without them holds nothing.
            return true;
        }
        let held = Held { verdict: given.what.verdict, made_at: given.made_at };
        if held.verdict == new.verdict { may_move(&held, new, now) } else { may_flip(&held, new, now) }
    }
}

/// Whether what is said of a bed's water is news: another verdict or dose at once, another count of days once a day.
fn is_water_news(given: Option<&Given<String>>, gist: &str, view: &View) -> bool {
    let Some(given) = given.filter(|given| given.what != gist) else { return given.is_none() };
    let head = |gist: &str| gist.split('|').next().map(str::to_owned);
    let another_day = view.clock.day_number(given.made_at) != view.clock.day_number(view.now);
    let held = (0..FIGURES_HOLD).contains(&view.now.since(given.made_at));
    (head(&given.what) != head(gist) && !held) || another_day
}
