//! One case of the vent decision: the question with everything that the rules ask of it.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::covers::{before_leaving, still_frozen};
use super::daylight::Daylight;
use super::limits::{
    AHEAD_H, BELOW_DEW_C, COLD_DAY_C, CRACK_NIGHT_C, DAMP_DAYS, FRESH_WIND_M_S, FROST_HEARD_C, Limits, MOVING_AIR_C,
    TENDER_NIGHT_C, WARM_NIGHT_C, WET_NIGHT_H,
};
use super::openings::{Openings, Which};
use super::seen::{Comparison, Seen};
use super::{Aim, Caution, DayNote, Doubt, Expect, Gale, GaleWhen, Move, Rule, VentQuestion, VentVerdict, Verdict};
use crate::model::{Crops, Notch, VentKind};
use crate::record::Wind;

/// A question with everything that the rules ask of it.
pub struct Case<'a> {
    /// The question.
    pub q: &'a VentQuestion,
    /// Its usable readings.
    pub seen: Seen,
    /// Its day.
    pub day: Daylight,
    /// What its crops stand.
    pub limits: Limits,
    openings: Openings<'a>,
}

impl<'a> Case<'a> {
    /// The case of a question.
    pub fn of(q: &'a VentQuestion) -> Case<'a> {
        let wind_from_deg = q.wind_from_deg.filter(|deg| deg.is_finite()).or_else(|| q.weather.wind_from_deg(q.now));
        let looked = q.weather.look(q.now).is_some_and(|look| look.wind >= Wind::Fresh);
        let fresh = looked || q.weather.wind_m_s.is_some_and(|mean| mean >= FRESH_WIND_M_S);
        let openings = Openings::of(&q.structure, wind_from_deg, fresh);
        let seen = Seen::of(q);
        let air_c = seen.outside.or(seen.inside).map(|air| air.t_c);
        // With nothing read at all, the month stands in: from October to April days are cold.
        let cold = air_c.map_or(!matches!(q.clock.month(q.now), 5..=9), |t| t < COLD_DAY_C);
        Case { q, seen, day: Daylight::of(q, cold), limits: Limits::of(q.structure.crops), openings }
    }

    /// A verdict with the figures and doubts of this case, nothing to move, nothing to expect.
    pub fn verdict(&self, verdict: VentVerdict, aim: Aim, rule: Rule) -> Verdict {
        let mut doubts = self.seen.doubts.clone();
        if !self.day.known {
            doubts.push(Doubt::NoSun);
        }
        Verdict {
            verdict,
            aim,
            rule,
            moves: Vec::new(),
            look_again: None,
            expect: Expect::default(),
            figures: self.seen.figures(self.q),
            by_rule: false,
            doubts,
            cautions: Vec::new(),
            day: DayNote::default(),
            also: Vec::new(),
        }
    }

    /// A verdict that keeps everything shut.
    pub fn shut(&self, aim: Aim, rule: Rule) -> Verdict {
        self.verdict(VentVerdict::Shut, aim, rule)
    }

    /// A verdict that sets `which` openings to `notch`; where none of them has such a position, everything stays shut.
    pub fn open(&self, verdict: Verdict, which: Which, notch: Notch, from: Millis, until: Option<Millis>) -> Verdict {
        // Before a gale only the lee end is opened.
        let which = if self.fasten_by().is_some() { Which::Sheltered } else { which };
        let in_rain = notch > Notch::Crack && self.rains_in();
        let notch = if in_rain { Notch::Crack } else { notch };
        let mut moves = self.moves(which, notch, from, until);
        if in_rain {
            // What cannot stand at a crack under rain stays shut.
            moves.retain(|m| m.notch <= Notch::Crack);
        }
        if moves.is_empty() {
            let caution = if in_rain { Caution::RainReaches } else { Caution::AllOrNothing };
            return Verdict { cautions: vec![caution], ..self.shut(Aim::KeepWarmth, verdict.rule) };
        }
        let mut cautions = verdict.cautions;
        if self.rains_in() {
            cautions.push(Caution::RainReaches);
        }
        if which == Which::Sheltered && self.has_soft() {
            cautions.push(Caution::NoThroughDraught);
        }
        if self.harms_trays() {
            cautions.push(Caution::MoveTrays);
        }
        Verdict { moves, cautions, ..verdict }
    }

    /// The moves that set `which` openings to `notch`.
    pub fn moves(&self, which: Which, notch: Notch, from: Millis, until: Option<Millis>) -> Vec<Move> {
        self.openings.set(which, notch, self.outside_c(), from, until)
    }

    /// The moves that open everything wide, whatever the cold.
    pub fn wide_open(&self, from: Millis, until: Option<Millis>) -> Vec<Move> {
        self.openings.set(Which::All, Notch::Full, Some(COLD_DAY_C), from, until)
    }

    /// Everything shut from now on.
    pub fn shutting(&self) -> Vec<Move> {
        self.shutting_at(self.q.now)
    }

    /// Everything shut from then on.
    pub fn shutting_at(&self, at: Millis) -> Vec<Move> {
        self.openings.shut(at)
    }

    /// Temperature outside, where it is known.
    pub fn outside_c(&self) -> Option<f64> {
        self.seen.outside.map(|air| air.t_c)
    }

    /// The lowest the air outside is expected to be in the next two hours, °C: never above what it is now.
    pub fn outside_ahead_c(&self) -> Option<f64> {
        self.outside_c().map(|now| lowest_ahead(now, self.q.trend_outside_c_h))
    }

    /// Whether rain would reach leaves through what opens here: it falls, and lids, sides or roof flaps stand open to it.
    fn rains_in(&self) -> bool {
        self.q.weather.rain(self.q.now) && self.q.structure.vents.iter().any(|vent| vent.kind != VentKind::Door)
    }

    /// A gale that blows or is heard of.
    pub fn gale(&self) -> Option<Gale> {
        let gust_m_s = self.q.gust_m_s.filter(|gust| gust.is_finite()).or(self.q.weather.gust_m_s);
        super::Weather { gust_m_s, ..self.q.weather }.gale(self.q.now)
    }

    /// When everything is to be shut and fastened for a gale that is heard for the night and not near yet: two hours before sunset, or the last
    /// time before that that somebody is there. None where nobody comes before dark.
    pub fn fasten_by(&self) -> Option<Millis> {
        self.gale().filter(|gale| gale.when == GaleWhen::Tonight)?;
        let before_dark = self.day.fastening();
        let by = match &self.q.presence {
            Some(there) if !there.holds(before_dark) => self.last_there_before(before_dark)?,
            _ => before_dark,
        };
        (!self.day.is_night() && by > self.q.now).then_some(by)
    }

    /// Whether leaves are frozen, or were and have not gone soft yet. Where nothing is read any more that is taken until the hour of the thaw.
    pub fn is_frozen(&self) -> bool {
        self.froze() && (self.seen.inside.is_some() || self.q.now < self.day.thaw_hour())
    }

    /// Whether it froze, nothing was read since, and the hour of the thaw is past: only a look at the leaves can tell.
    pub fn may_be_frozen(&self) -> bool {
        self.froze() && !self.is_frozen()
    }

    fn froze(&self) -> bool {
        still_frozen(self.q.frost_memory, self.seen.inside.map(|air| air.t_c))
    }

    /// When somebody who is there leaves and makes the last move, where a leaving before closing time is told.
    pub fn leaving(&self) -> Option<Millis> {
        let leaves = self.q.presence.as_ref()?.leaves_after(self.q.now)?;
        (leaves < self.day.closing()).then(|| before_leaving(leaves, self.q.now))
    }

    /// The last instant from now to `at` at which somebody is there to make a move.
    pub fn last_there_before(&self, at: Millis) -> Option<Millis> {
        let there = self.q.presence.as_ref()?;
        let ends = there.0.iter().filter(|(from, to)| from < to && *to > self.q.now && *from < at);
        ends.map(|(from, to)| before_leaving((*to).min(at), (*from).max(self.q.now))).max()
    }

    /// Whether the night may freeze by the dew point and the air outside, where they are known: the crude rule.
    pub fn frost_by_dew(&self) -> Option<bool> {
        let outside = self.seen.outside?;
        Some(super::night::may_freeze(outside.t_c, outside.dew_c?))
    }

    /// Whether the coming night stays above 4 °C, over tender crops above 10: as heard, else by a frost outlook, else by a dew point above that.
    pub fn mild_night(&self) -> bool {
        if self.q.frost.as_ref().is_some_and(|frost| f64::from(frost.low_c.0) <= 0.0) {
            return false;
        }
        let tender = self.q.structure.crops == Crops::Tender;
        match self.q.weather.low_tonight_c() {
            Some(low_c) => low_c > if tender { TENDER_NIGHT_C } else { CRACK_NIGHT_C },
            None => self.seen.outside.and_then(|air| air.dew_c).is_some_and(|dew_c| dew_c > CRACK_NIGHT_C),
        }
    }

    /// Whether the night may freeze by what is known of it: the low heard or worked out, else the dew point and the air.
    pub fn night_freezes(&self) -> bool {
        let outlook = self.q.frost.as_ref().is_some_and(|frost| frost.may_freeze());
        outlook || self.night_low_c().map_or_else(|| self.frost_by_dew() == Some(true), |low_c| low_c <= FROST_HEARD_C)
    }

    /// The low of the night that goes on or comes, °C, where it is known: as heard, else the likelier end of the frost outlook at the gauge.
    pub fn night_low_c(&self) -> Option<f64> {
        let outlook = || Some(self.q.frost.as_ref()?.gauge_c.1).filter(|c| c.is_finite());
        self.q.weather.low_tonight_c().or_else(outlook)
    }

    /// How deep the night may fall where its low is not known, °C: a degree below the dew point outside.
    pub fn night_floor_c(&self) -> Option<f64> {
        Some(self.seen.outside?.dew_c? - BELOW_DEW_C)
    }

    /// Whether the night is too cold for what is open all through it: its low below `limit_c`; where that is not known, its floor below what harms the
    /// crops.
    pub fn night_below(&self, limit_c: f64) -> bool {
        let floor_limit_c = if self.q.structure.crops == Crops::Tender { self.limits.chill_c } else { MOVING_AIR_C };
        match self.night_low_c() {
            Some(low_c) => low_c < limit_c,
            None => self.night_floor_c().is_some_and(|floor_c| floor_c < floor_limit_c),
        }
    }

    /// Whether it has been damp for days, or was a very wet night.
    pub fn is_damp_spell(&self) -> bool {
        let damp = &self.q.damp;
        damp.damp_days.is_some_and(|days| days.read >= DAMP_DAYS)
            || damp.wet_h_last_night.is_some_and(|hours| hours.read >= WET_NIGHT_H)
    }

    /// Whether a draught would strike soft leaves: tender crops, or tender trays among hardy beds.
    pub fn has_soft(&self) -> bool {
        self.q.structure.crops != Crops::Hardy
    }

    /// Whether opening is too cold for the tender trays that stand among hardy beds.
    fn harms_trays(&self) -> bool {
        let trays = self.q.structure.crops == Crops::Both;
        trays
            && (self.outside_ahead_c().is_some_and(|t| t < Limits::TENDER.outside_c)
                || self.settled_c().is_some_and(|t| t < Limits::TENDER.chill_c))
    }

    /// Where the air inside settles once it is aired, °C: half way to the outside.
    pub fn settled_c(&self) -> Option<f64> {
        Some(0.5 * (self.seen.inside?.t_c + self.outside_c()?))
    }

    /// Whether two readings of the last hour have it as hot as that: one alone sends nobody out in the dark.
    pub fn is_hot_twice(&self) -> bool {
        let recent = |(at, c): &&(Millis, f64)| self.q.now.since(*at) <= HOUR && *c > self.limits.hot_c;
        self.q.past_inside.iter().filter(recent).count() >= 2
    }

    /// When openings are shut tonight; none where they may stand open through a summer night.
    pub fn until_evening(&self) -> Option<Millis> {
        (!self.stays_open()).then(|| self.day.closing())
    }

    /// Whether openings may stand open through the night: in summer, warm outside now and in two hours, and by what is known of the night's low.
    pub fn stays_open(&self) -> bool {
        self.day.is_summer()
            && self.outside_ahead_c().is_some_and(|t| t >= WARM_NIGHT_C)
            && !self.night_below(WARM_NIGHT_C)
    }

    /// What is to be expected once the air has been exchanged: temperatures between inside and outside, and the humidity
    /// that outside air has at either.
    pub fn exchanged(&self) -> Expect {
        let (Some(inside), Some(outside)) = (self.seen.inside, self.seen.outside) else {
            return Expect::default();
        };
        let rh_at = |t_c| propstick_agronomy::ventilation::flushed_humidity_pct(outside.e_kpa?, t_c);
        let rh_pct = rh_at(inside.t_c).zip(rh_at(outside.t_c)).map(|(a, b)| (a.min(b).min(100.0), a.max(b).min(100.0)));
        Expect { air_c: Some(ordered(inside.t_c, outside.t_c)), rh_pct }
    }

    /// How inside and outside compare, where both are fully known.
    pub fn comparison(&self) -> Option<Comparison> {
        Comparison::of(&self.seen, self.q)
    }
}

/// The lower and the higher of two.
pub fn ordered(a: f64, b: f64) -> (f64, f64) {
    (a.min(b), a.max(b))
}

/// The lowest that a temperature is expected to be while its trend is carried ahead.
pub fn lowest_ahead(now_c: f64, trend_c_h: Option<f64>) -> f64 {
    now_c + trend_c_h.filter(|t| t.is_finite()).map_or(0.0, |t| (t * AHEAD_H).min(0.0))
}
