//! What was said of a structure's nights, until their lows are known and it can be told what became of it.

use propstick_garden::advice::frost::{FrostAnswer, FrostScore, NightCalls, NightPast, NightSpan};
use propstick_wire::Millis;

use crate::store::advice::KeptCalls;

/// The night that goes on or comes, and the one before it.
#[derive(Default)]
pub(super) struct CallBook {
    now: Option<KeptCalls>,
    over: Option<KeptCalls>,
    /// As it was written last.
    written: Option<KeptCalls>,
}

impl CallBook {
    /// The book as it was when the program ended.
    pub(super) fn taken_up(kept: Option<KeptCalls>) -> CallBook {
        CallBook { now: kept, over: None, written: kept }
    }

    /// Turns to `night`; says whether another one ended with it.
    pub(super) fn turn_to(&mut self, night: NightSpan, now: Millis) -> bool {
        if self.now.is_some_and(|page| page.night.sunset == night.sunset) {
            return false;
        }
        let ended = self.now.filter(|page| page.night.sunrise <= now);
        if ended.is_some() {
            self.over = ended;
        }
        self.now = Some(KeptCalls { night, calls: NightCalls::default(), advice: None });
        ended.is_some()
    }

    /// Takes in what was answered of the night that goes on or comes.
    pub(super) fn hear(&mut self, now: Millis, answer: &FrostAnswer) {
        if let Some(page) = &mut self.now {
            page.calls.hear(now, page.night.sunset, answer);
        }
    }

    /// The advice that was given of it last.
    pub(super) fn advised(&mut self, id: i64) {
        if let Some(page) = &mut self.now {
            page.advice = Some(id);
        }
    }

    /// What became of the last night that is over, as far as `nights` (in order) know its low.
    pub(super) fn score(&self, nights: &[NightPast], now: Millis) -> Option<FrostScore> {
        let page = self.over?;
        let k = nights.iter().position(|n| n.span.sunset == page.night.sunset)?;
        let before = k.checked_sub(1).and_then(|k| nights.get(k));
        FrostScore::of(page.advice?, &page.calls, nights.get(k)?, before, now)
    }

    /// The page that goes on, if it says something that is not written yet.
    pub(super) fn unwritten(&mut self) -> Option<KeptCalls> {
        let new = self.now.filter(|page| self.written != Some(*page))?;
        self.written = Some(new);
        Some(new)
    }
}
