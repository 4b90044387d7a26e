//! One case of the vent decision: the question with everything that the rules ask of it.

use propstick_wire::Millis;

use super::daylight::Daylight;
use super::limits::{AHEAD_H, COLD_DAY_C, Limits, WARM_NIGHT_C};
use super::openings::{Openings, Which};
use super::seen::{Comparison, Seen};
use super::{Aim, Caution, Doubt, Expect, Move, Rule, VentQuestion, VentVerdict, Verdict};
use crate::model::{Crops, Notch};

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
    /// The case of a question; none where nothing can be opened.
    pub fn of(q: &'a VentQuestion) -> Option<Case<'a>> {
        let openings = Openings::of(&q.structure, q.wind_from_deg)?;
        let seen = Seen::of(q);
        let air_c = seen.outside.or(seen.inside).map(|air| air.t_c);
        // With nothing read at all, the month stands in: from October to April days are cold.
        let cold = air_c.map_or(!matches!(q.clock.month(q.now), 5..=9), |t| t < COLD_DAY_C);
        Some(Case { q, seen, day: Daylight::of(q, cold), limits: Limits::of(q.structure.crops), openings })
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
        }
    }

    /// A verdict that keeps everything shut.
    pub fn shut(&self, aim: Aim, rule: Rule) -> Verdict {
        self.verdict(VentVerdict::Shut, aim, rule)
    }

    /// A verdict that sets `which` openings to `notch`; where none of them has such a position, everything stays shut.
    pub fn open(&self, verdict: Verdict, which: Which, notch: Notch, from: Millis, until: Option<Millis>) -> Verdict {
        let moves = self.moves(which, notch, from, until);
        if moves.is_empty() {
            return Verdict { cautions: vec![Caution::AllOrNothing], ..self.shut(Aim::KeepWarmth, verdict.rule) };
        }
        let mut cautions = verdict.cautions;
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
        self.openings.shut(self.q.now)
    }

    /// Temperature outside, where it is known.
    pub fn outside_c(&self) -> Option<f64> {
        self.seen.outside.map(|air| air.t_c)
    }

    /// The lowest the air outside is expected to be in the next two hours, °C: never above what it is now.
    pub fn outside_ahead_c(&self) -> Option<f64> {
        self.outside_c().map(|now| lowest_ahead(now, self.q.trend_outside_c_h))
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

    /// When openings are shut tonight; none where they may stand open through a summer night.
    pub fn until_evening(&self) -> Option<Millis> {
        (!self.stays_open()).then(|| self.day.closing())
    }

    /// Whether openings may stand open through the night: in summer, warm outside now and in two hours.
    pub fn stays_open(&self) -> bool {
        self.day.is_summer() && self.outside_ahead_c().is_some_and(|t| t >= WARM_NIGHT_C)
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
