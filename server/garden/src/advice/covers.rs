//! Fleece and other covers: on, folded back, off, and at what hour.

use propstick_agronomy::frost::NightCover;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::case::Case;
use super::limits as l;
use super::{Caution, Doubt, FrostMemory, GaleWhen, VentQuestion};
pub use crate::model::CoverState;
use crate::model::{Cover, Crops, StructureKind};
use crate::record::Sky;

/// One cover of a structure.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverAt {
    /// Its short name.
    pub slug: String,
    /// As the grower says it, such as "fleece over the potatoes".
    pub name: String,
    /// What kind it is.
    pub kind: NightCover,
    /// How it lies, where that was told.
    pub lies: Option<CoverState>,
    /// Whether it lies over trays and not over a bed.
    pub trays: bool,
}

impl CoverAt {
    /// A cover of the garden as it lies now, as far as that was told; over trays or over a bed.
    pub fn of(cover: &Cover, lies: Option<CoverState>, trays: bool) -> CoverAt {
        CoverAt { slug: cover.slug.clone(), name: cover.name.clone(), kind: cover.kind, lies, trays }
    }
}

/// Everything the cover decision knows: the question about the structure that the covers lie in, and the covers.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverQuestion {
    /// The structure's own question; its openings may be none.
    pub of: VentQuestion,
    /// The covers in it.
    pub covers: Vec<CoverAt>,
}

/// The rules in their order of safety; the first that applies decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CoverRule {
    /// Loose fleece is taken in before a gale.
    Gale,
    /// Frozen leaves and what lies on them are left alone until soft.
    Frozen,
    /// Loose fleece as shade.
    Heat,
    /// On for a cold night.
    Frost,
    /// Lifted by day, so that it holds no wet on the leaves.
    Air,
    /// Nothing to do.
    Leave,
}

impl CoverRule {
    /// All of them.
    pub const ALL: [CoverRule; 6] =
        [CoverRule::Gale, CoverRule::Frozen, CoverRule::Heat, CoverRule::Frost, CoverRule::Air, CoverRule::Leave];

    /// Its word in stores and answers.
    pub const fn word(self) -> &'static str {
        match self {
            CoverRule::Gale => "gale",
            CoverRule::Frozen => "frozen",
            CoverRule::Heat => "heat",
            CoverRule::Frost => "frost",
            CoverRule::Air => "air",
            CoverRule::Leave => "leave",
        }
    }

    /// Whether it guards against harm that cannot wait.
    pub const fn is_urgent(self) -> bool {
        matches!(self, CoverRule::Gale | CoverRule::Frozen | CoverRule::Frost)
    }
}

/// One cover, laid or lifted at an hour.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverMove {
    /// Slug of the cover.
    pub cover: String,
    /// How it is to lie.
    pub state: CoverState,
    /// From when.
    pub from: Millis,
    /// Until when; none for until further notice.
    pub until: Option<Millis>,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverVerdict {
    /// The rule that decided.
    pub rule: CoverRule,
    /// What to do, in order of time. None: nothing to do.
    pub moves: Vec<CoverMove>,
    /// When to look again, where the rule knows.
    pub look_again: Option<Millis>,
    /// Lowest temperature at leaf level expected tonight, whole °C, the lower end first.
    pub low_c: Option<(i32, i32)>,
    /// The dew point outside that stands in where no low is known, °C.
    pub dew_c: Option<f64>,
    /// Tender trays want a second layer, or to go indoors.
    pub trays_in: bool,
    /// What is not known.
    pub doubts: Vec<Doubt>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// What to do with the covers of a structure. None where there are none.
pub fn decide_cover(q: &CoverQuestion) -> Option<CoverVerdict> {
    if q.covers.is_empty() {
        return None;
    }
    let case = Case::of(&q.of);
    let desk = Desk { q, case: &case };
    let mut verdict = desk
        .gale()
        .or_else(|| desk.frozen())
        .or_else(|| desk.shade())
        .or_else(|| desk.frost())
        .or_else(|| desk.air())
        .unwrap_or_else(|| desk.verdict(CoverRule::Leave));
    desk.keep_to_presence(&mut verdict);
    Some(verdict)
}

/// How long before the laying hour a cover for the night is laid at once.
const LAY_NOW: i64 = HOUR;

struct Desk<'a> {
    q: &'a CoverQuestion,
    case: &'a Case<'a>,
}

impl Desk<'_> {
    fn verdict(&self, rule: CoverRule) -> CoverVerdict {
        CoverVerdict {
            rule,
            moves: Vec::new(),
            look_again: None,
            low_c: self.q.of.frost.as_ref().map(|frost| frost.low_c),
            dew_c: self.case.seen.outside.and_then(|air| air.dew_c),
            trays_in: false,
            doubts: Vec::new(),
            cautions: Vec::new(),
        }
    }

    fn set(
        &self,
        which: impl Fn(&CoverAt) -> bool,
        state: CoverState,
        from: Millis,
        until: Option<Millis>,
    ) -> Vec<CoverMove> {
        let one = |cover: &CoverAt| CoverMove { cover: cover.slug.clone(), state, from, until };
        self.q.covers.iter().filter(|cover| which(cover)).map(one).collect()
    }

    /// Before a gale loose fleece comes in; once it blows nobody goes for it. In a walk-in tunnel it lies out of the wind: there a gale that is only
    /// heard of leaves the word to the other rules.
    fn gale(&self) -> Option<CoverVerdict> {
        let blows = self.case.gale()?.when == GaleWhen::Blows;
        if self.q.of.structure.kind == StructureKind::Tunnel && !blows {
            return None;
        }
        let mut verdict = self.verdict(CoverRule::Gale);
        verdict.cautions.push(Caution::StayIn);
        if !blows && !self.case.day.is_dark() {
            let at = self.case.fasten_by().unwrap_or(self.q.of.now);
            verdict.moves = self.set(|cover| cover.lies != Some(CoverState::Off), CoverState::Off, at, None);
        }
        Some(verdict)
    }

    fn frozen(&self) -> Option<CoverVerdict> {
        if !self.case.is_frozen() {
            return None;
        }
        let mut verdict = self.verdict(CoverRule::Frozen);
        verdict.cautions.push(Caution::LeaveFrozenAlone);
        let soft = self.case.day.thaw();
        verdict.look_again = Some(soft);
        let evening = self.case.day.closing();
        if self.case.day.is_dark() && self.case.q.now >= evening {
            return Some(verdict);
        }
        let away_then = self.q.of.presence.as_ref().is_some_and(|there| !there.holds(soft));
        let lifted = |cover: &CoverAt| cover.lies.is_none_or(|lies| lies == CoverState::On);
        if let (true, Some(leave)) = (away_then, self.case.leaving()) {
            // One look on leaving: soft, it is folded back; stiff, it stays.
            verdict.moves = self.set(lifted, CoverState::Folded, leave, None);
            verdict.cautions.push(Caution::OnlyIfSoft);
            verdict.look_again = None;
            return Some(verdict);
        }
        if soft < evening {
            verdict.moves = self.set(lifted, CoverState::Folded, soft, Some(evening));
            // The night that froze them is taken to be followed by another, until something says that it is not.
            if self.cold_night().unwrap_or(true) {
                verdict.moves.extend(self.set(|_| true, CoverState::On, evening, None));
            }
        }
        verdict.trays_in = self.has_trays() && self.cold_night().unwrap_or(true);
        Some(verdict)
    }

    /// Loose fleece keeps the worst of the sun off what is being cooked.
    fn shade(&self) -> Option<CoverVerdict> {
        self.case.seen.inside.filter(|air| air.t_c > self.case.limits.hot_c)?;
        let sunny = !matches!(self.q.of.weather.sky(self.q.of.now), Some(Sky::Overcast));
        if !sunny || self.case.day.is_night() {
            return None;
        }
        let mut verdict = self.verdict(CoverRule::Heat);
        let trays = self.q.covers.iter().any(|cover| cover.trays);
        verdict.moves =
            self.set(|cover| cover.trays || !trays, CoverState::On, self.q.of.now, Some(self.case.day.closing()));
        Some(verdict)
    }

    fn frost(&self) -> Option<CoverVerdict> {
        if !self.cold_night()? {
            return None;
        }
        let mut verdict = self.verdict(CoverRule::Frost);
        verdict.trays_in = self.has_trays();
        if self.case.day.is_dark() {
            // Covers are laid in daylight; what was not laid is left.
            verdict.cautions.push(Caution::NotForThisInTheDark);
            return Some(verdict);
        }
        let now = self.q.of.now;
        let evening = self.case.day.laying();
        let late = now.plus(LAY_NOW) >= evening;
        let lay_at = if late { now } else { evening };
        if !late {
            let by_day = |cover: &CoverAt| cover.lies == Some(CoverState::On);
            let morning = self.case.day.opening();
            if morning < evening {
                verdict.moves = self.set(by_day, CoverState::Folded, morning, Some(evening));
            }
        }
        verdict.moves.extend(self.set(
            |cover| !(late && cover.lies == Some(CoverState::On)),
            CoverState::On,
            lay_at,
            None,
        ));
        verdict.look_again = late.then(|| self.q.of.sunset.map(|set| set.plus(2 * HOUR))).flatten();
        Some(verdict)
    }

    fn air(&self) -> Option<CoverVerdict> {
        if self.case.gale().is_some() && self.case.fasten_by().is_none() {
            // Before a gale nothing is lifted any more.
            return None;
        }
        let damp = self.case.is_damp_spell();
        let lying = |cover: &CoverAt| match cover.lies {
            Some(lies) => lies == CoverState::On,
            None => damp,
        };
        let (from, until) = (self.case.day.opening(), self.case.day.closing());
        let moves = self.set(lying, CoverState::Folded, from, None);
        if moves.is_empty() || self.case.day.is_night() || from >= until {
            return None;
        }
        let mut verdict = self.verdict(CoverRule::Air);
        verdict.moves = moves;
        if self.case.may_be_frozen() {
            verdict.cautions.push(Caution::OnlyIfSoft);
        }
        Some(verdict)
    }

    /// Whether the coming night is cold enough for a cover: by the frost outlook, else by what was heard, else by the dew point and the air.
    fn cold_night(&self) -> Option<bool> {
        let soft = self.q.of.structure.crops != Crops::Hardy || self.q.covers.iter().any(|cover| cover.trays);
        if let Some(frost) = &self.q.of.frost {
            return Some(frost.is_warning() || frost.may_freeze());
        }
        if let Some(low_c) = self.q.of.weather.low_tonight_c() {
            return Some(low_c <= if soft { 4.0 } else { 2.0 });
        }
        self.case.frost_by_dew()
    }

    fn has_trays(&self) -> bool {
        self.q.of.structure.crops == Crops::Both || self.q.covers.iter().any(|cover| cover.trays)
    }

    /// No cover is laid or lifted while nobody is there: what falls into an absence is done on leaving, if that is ahead, or on coming back.
    fn keep_to_presence(&self, verdict: &mut CoverVerdict) {
        let Some(there) = &self.q.of.presence else { return };
        let sunset = self.q.of.sunset;
        let mut kept: Vec<CoverMove> = Vec::new();
        for mut one in std::mem::take(&mut verdict.moves) {
            if !there.holds(one.from) {
                // Shade is for the heat of the day, and for the gale nobody goes out in the dark; a cover for the night is laid an hour after sunset at
                // the latest, else on leaving.
                let latest = match verdict.rule {
                    CoverRule::Heat => Some(one.from),
                    CoverRule::Gale => sunset,
                    _ => sunset.map(|set| set.plus(l::AFTER_SUNSET_H * HOUR)),
                };
                let late = there
                    .first_from(one.from)
                    .filter(|at| one.until.is_none_or(|until| *at < until) && latest.is_none_or(|latest| *at < latest));
                let laid = one.state == CoverState::On && verdict.rule != CoverRule::Heat;
                let early = || laid.then(|| self.case.last_there_before(one.from)).flatten();
                match late.or_else(early) {
                    Some(at) => one.from = at,
                    None => continue,
                }
            }
            one.until = one.until.filter(|until| there.holds(*until) && *until > one.from);
            kept.push(one);
        }
        // What is laid again before anybody is back is not lifted at all.
        let relaid: Vec<CoverMove> = kept.iter().filter(|one| one.state == CoverState::On).cloned().collect();
        kept.retain(|one| {
            let soon = |on: &CoverMove| on.cover == one.cover && on.from.since(one.from) < 2 * HOUR;
            one.state == CoverState::On || !relaid.iter().any(soon)
        });
        verdict.moves = kept;
        if verdict.moves.is_empty() && matches!(verdict.rule, CoverRule::Heat | CoverRule::Air) {
            verdict.rule = CoverRule::Leave;
        }
    }
}

/// Whether leaves are frozen or have not thawed yet.
pub fn still_frozen(memory: Option<FrostMemory>, inside_c: Option<f64>) -> bool {
    let thawed = inside_c.is_some_and(|c| c > l::THAWED_C);
    memory.is_some_and(|m| m.lowest_c <= l::FROZEN_C && !m.thawed && !thawed)
        || inside_c.is_some_and(|c| c <= l::FROZEN_C)
}

/// The last instant that is kept for a move before somebody leaves at `leaves`, no earlier than `now`.
pub fn before_leaving(leaves: Millis, now: Millis) -> Millis {
    leaves.plus(-l::BEFORE_LEAVING_MIN * MINUTE).max(now)
}
