//! Nights of a gauge put to the frost outlook one reading after the other, as the program does, and scored.

use propstick_agronomy::frost::NightLow;
use propstick_garden::advice::frost::{
    FrostAnswer, FrostPlace, FrostQuestion, FrostReading, FrostScore, FrostTally, NightBeside, NightCalls, NightPast,
    NightSpan, frost, learn,
};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

/// A gauge with its place on earth.
pub struct Site<'a> {
    /// Its readings, ascending.
    pub readings: &'a [FrostReading],
    /// The air outside of it, ascending; none where it stands outside itself or nothing is measured there.
    pub outside: &'a [FrostReading],
    /// Degrees north.
    pub lat_deg: f64,
    /// Degrees east.
    pub lon_deg: f64,
    /// Where it stands.
    pub place: FrostPlace,
    /// What it knows of its nights.
    pub learning: Learning,
}

/// What a gauge knows of its nights.
#[derive(Clone, Copy)]
pub enum Learning {
    /// Nothing, ever: the rule alone.
    Never,
    /// What its own nights teach as they pass.
    AsItGoes,
    /// What other nights of its own have taught.
    Taught(NightLow),
}

/// A night with what was said of it.
pub struct Scored {
    /// The day, numbered from 1970-01-01, on which it begins.
    pub day: i64,
    /// What it was like.
    pub past: NightPast,
    /// What was said.
    pub calls: NightCalls,
    /// Its score; none where its low is not known.
    pub score: Option<FrostScore>,
    /// The last answer before three hours after sunset.
    pub answer: Option<FrostAnswer>,
}

impl Site<'_> {
    /// Every night that begins on a day of `days`: asked about at each of its readings from three hours before sunset to two hours before sunrise.
    pub fn nights(&self, days: std::ops::Range<i64>) -> Vec<Scored> {
        let mut scored: Vec<Scored> = Vec::new();
        for day in days {
            let Some(span) = NightSpan::after_noon_of(day, self.lat_deg, self.lon_deg) else { continue };
            let evening = self.between(span.sunset.plus(-7 * HOUR), span.sunrise);
            let learned = match self.learning {
                Learning::Never => None,
                Learning::AsItGoes => learn(&scored.iter().map(|s| s.past).collect::<Vec<_>>()),
                Learning::Taught(learned) => Some(learned),
            };
            let mut calls = NightCalls::default();
            let mut last = None;
            for (k, reading) in evening.iter().enumerate() {
                let now = reading.at;
                if now < span.sunset.plus(-3 * HOUR) || now > span.sunrise.plus(-2 * HOUR) {
                    continue;
                }
                let mut q = FrostQuestion::new(now, Some(span), self.place.clone());
                q.readings = evening.iter().take(k + 1).copied().collect();
                q.outside = within(self.outside, span.sunset.plus(-7 * HOUR), now).to_vec();
                q.lately = scored.iter().rev().take(12).rev().map(|s| s.past).collect();
                q.learned = learned;
                let answer = frost(&q);
                calls.hear(now, span.sunset, &answer);
                if now < span.sunset.plus(3 * HOUR) {
                    last = Some(answer);
                }
            }
            let past = NightPast::of(span, &self.place, evening, NightBeside::default());
            let before = scored.last().filter(|s| s.day == day - 1).map(|s| s.past);
            let score = FrostScore::of(day, &calls, &past, before.as_ref(), span.sunrise);
            scored.push(Scored { day, past, calls, score, answer: last });
        }
        scored
    }

    fn between(&self, from: Millis, to: Millis) -> &[FrostReading] {
        within(self.readings, from, to)
    }
}

/// The readings of `all`, which ascend, from `from` to `to`.
fn within(all: &[FrostReading], from: Millis, to: Millis) -> &[FrostReading] {
    let at = |t: Millis| all.partition_point(|r| r.at < t);
    all.get(at(from)..at(to.plus(1))).unwrap_or_default()
}

/// The scores counted.
pub fn tally(nights: &[Scored]) -> FrostTally {
    nights.iter().filter_map(|night| night.score.as_ref()).collect()
}
