//! Water advice as it is kept.

use propstick_garden::advice::LocalClock;
use propstick_garden::advice::water::{WaterAdvice, WaterQuestion};
use propstick_garden::instant::to_rfc3339;
use propstick_garden::wording::water_words;
use propstick_wire::Millis;
use serde_json::{Value, json};

use super::{Body, air_readings, range, written};

/// What it says in short at `now`: another verdict, dose or day to act is news, as is tomorrow come, and another count of days once a day.
pub(crate) fn water_gist(advice: &WaterAdvice, clock: LocalClock, now: Millis) -> String {
    let dose = advice.dose.map(|d| (d.cans, d.minutes, d.litres, d.m2_a_can));
    let day = advice.when.map(|(from, _)| (clock.day_number(from), clock.day_number(from) - clock.day_number(now)));
    format!("{} {:?} {dose:?} {day:?} | {:?}", advice.verdict.word(), advice.rule, advice.days)
}

/// The body of water advice for the bed of that name and slug; `spot` is where the air is measured.
pub(crate) fn water_body(
    advice: &WaterAdvice,
    question: &WaterQuestion,
    (name, bed): (&str, &str),
    spot: &str,
) -> String {
    let said = water_words(advice, name, question.clock, question.now);
    let moves = advice.when.map(|(from, until)| {
        let dose = advice.dose;
        let litres = dose.and_then(|d| d.litres).map_or(Value::Null, |litres| {
            serde_json::to_value(range(Some((litres * 0.7, litres * 1.3)))).unwrap_or_default()
        });
        json!({"bed": bed, "litres": litres, "cans": dose.and_then(|d| d.cans), "minutes": dose.and_then(|d| d.minutes),
            "only_if_dry": advice.asks_finger, "from": to_rfc3339(from), "until": to_rfc3339(until)})
    });
    written(&Body {
        say: said.say,
        because: said.because,
        verdict: advice.verdict.word().to_owned(),
        rule: advice.rule.word().to_owned(),
        moves: moves.into_iter().collect(),
        rests_on: air_readings(spot, question.inside),
        doubt: said.doubt,
        cautions: said.cautions,
        ..Body::default()
    })
}
