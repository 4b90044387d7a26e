//! A cover verdict as it is kept.

use propstick_garden::advice::{CoverMove, CoverQuestion, CoverRule, CoverState, CoverVerdict};
use propstick_garden::instant::{from_rfc3339, to_rfc3339};
use propstick_garden::wording;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};

use super::{Body, Expect, air_readings, range, written};

#[derive(Serialize, Deserialize)]
struct MovePart {
    cover: String,
    position: String,
    from: String,
    until: Option<String>,
}

/// Until when it holds, where it knows.
pub(crate) fn cover_until(verdict: &CoverVerdict) -> Option<Millis> {
    verdict.moves.iter().filter_map(|m| m.until).max().or(verdict.look_again)
}

/// The body of a cover verdict on a question.
pub(crate) fn cover_body(
    question: &CoverQuestion,
    verdict: &CoverVerdict,
    lead: &str,
    outside: Option<&str>,
) -> String {
    let mut rests_on = air_readings(lead, question.of.inside);
    rests_on.extend(outside.map(|spot| air_readings(spot, question.of.outside)).unwrap_or_default());
    let said = wording::cover_words(verdict, question);
    let low_c = verdict.low_c.map(|(low, high)| range(Some((f64::from(low), f64::from(high)))));
    let moves = verdict.moves.iter().map(|m| MovePart {
        cover: m.cover.clone(),
        position: m.state.word().to_owned(),
        from: to_rfc3339(m.from),
        until: m.until.map(to_rfc3339),
    });
    written(&Body {
        say: said.say,
        because: said.because,
        verdict: verdict.rule.word().to_owned(),
        rule: verdict.rule.word().to_owned(),
        moves: moves.map(|part| serde_json::to_value(part).unwrap_or_default()).collect(),
        expect: Expect { low_c, ..Expect::default() },
        rests_on,
        cautions: said.cautions,
        ..Body::default()
    })
}

/// What a kept body says, as far as a new verdict is compared with it.
pub(crate) fn read_cover(body: &str) -> Option<CoverVerdict> {
    let body: Body = serde_json::from_str(body).ok()?;
    let moves = body.moves.into_iter().map(|part| {
        let part: MovePart = serde_json::from_value(part).ok()?;
        Some(CoverMove {
            cover: part.cover,
            state: CoverState::from_word(&part.position)?,
            from: from_rfc3339(&part.from)?,
            until: match part.until {
                None => None,
                Some(text) => Some(from_rfc3339(&text)?),
            },
        })
    });
    Some(CoverVerdict {
        rule: CoverRule::ALL.into_iter().find(|r| r.word() == body.rule)?,
        moves: moves.collect::<Option<Vec<_>>>()?,
        look_again: None,
        low_c: body.expect.low_c.and_then(|low| Some((low.low? as i32, low.high? as i32))),
        dew_c: None,
        trays_in: false,
        doubts: Vec::new(),
        cautions: Vec::new(),
    })
}
