//! Advice as it is kept: one JSON body that says what to do, why, and on which readings it rests.

use propstick_garden::advice::{Aim, DayNote, Expect, Figures, Move, Rule, VentQuestion, VentVerdict, Verdict};
use propstick_garden::instant::{from_rfc3339, to_rfc3339};
use propstick_garden::model::Notch;
use propstick_garden::wording;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};

/// The body.
#[derive(Serialize, Deserialize)]
struct Body {
    say: String,
    because: String,
    verdict: String,
    aim: String,
    rule: String,
    by_rule: bool,
    moves: Vec<MovePart>,
    expect: ExpectPart,
    rests_on: Vec<ReadingPart>,
    doubt: Option<String>,
    cautions: Vec<String>,
}

#[derive(Serialize, Deserialize)]
struct MovePart {
    /// The vent; null for the sheltered end.
    vent: Option<String>,
    notch: String,
    from: String,
    until: Option<String>,
}

#[derive(Serialize, Deserialize)]
struct ExpectPart {
    air_c: RangePart,
    rh_pct: RangePart,
}

/// A figure that is known only as a range.
#[derive(Serialize, Deserialize)]
struct RangePart {
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unknown: Option<String>,
    measured: f64,
}

#[derive(Serialize, Deserialize)]
struct ReadingPart {
    spot: String,
    quantity: String,
    unit: String,
    t: String,
    value: f64,
}

/// Until when the verdict holds, where it knows: the end of its last move, or the time to look again.
pub(super) fn until(verdict: &Verdict) -> Option<Millis> {
    verdict.moves.iter().filter_map(|m| m.until).max().or(verdict.look_again)
}

/// The body of a verdict on a question.
pub(super) fn body(question: &VentQuestion, verdict: &Verdict, lead: &str, outside: Option<&str>) -> String {
    let mut rests_on = Vec::new();
    let mut rest = |spot: &str, air: Option<propstick_garden::advice::Air>| {
        let Some(air) = air else { return };
        let mut reading = |quantity: &str, unit: &str, value: f64| {
            rests_on.push(ReadingPart {
                spot: spot.to_owned(),
                quantity: quantity.to_owned(),
                unit: unit.to_owned(),
                t: to_rfc3339(air.at),
                value: (value * 100.0).round() / 100.0,
            });
        };
        reading("air-temperature", "°C", air.t_c);
        if let Some(rh) = air.rh_pct {
            reading("air-humidity", "%RH", rh);
        }
    };
    rest(lead, question.inside);
    if let Some(outside) = outside {
        rest(outside, question.outside);
    }
    let said = wording::vent_words(verdict, &question.structure, question.clock, question.now);
    let body = Body {
        say: said.say,
        because: said.because,
        verdict: verdict.verdict.word().to_owned(),
        aim: verdict.aim.word().to_owned(),
        rule: verdict.rule.word().to_owned(),
        by_rule: verdict.by_rule,
        moves: verdict.moves.iter().map(move_part).collect(),
        expect: ExpectPart { air_c: range(verdict.expect.air_c), rh_pct: range(verdict.expect.rh_pct) },
        rests_on,
        doubt: said.doubt,
        cautions: said.cautions,
    };
    serde_json::to_string(&body).unwrap_or_default()
}

/// What a kept body says, as far as a new verdict is compared with it.
pub(super) fn read(body: &str, until: Option<Millis>) -> Option<Verdict> {
    let body: Body = serde_json::from_str(body).ok()?;
    let moves = body.moves.into_iter().map(move_of).collect::<Option<Vec<Move>>>()?;
    Some(Verdict {
        verdict: VentVerdict::ALL.into_iter().find(|v| v.word() == body.verdict)?,
        aim: Aim::ALL.into_iter().find(|a| a.word() == body.aim)?,
        rule: Rule::ALL.into_iter().find(|r| r.word() == body.rule)?,
        look_again: if moves.iter().any(|m| m.until.is_some()) { None } else { until },
        moves,
        expect: Expect::default(),
        figures: Figures::default(),
        by_rule: body.by_rule,
        doubts: Vec::new(),
        cautions: Vec::new(),
        day: DayNote::default(),
        also: Vec::new(),
    })
}

fn move_part(m: &Move) -> MovePart {
    MovePart {
        vent: m.vent.clone(),
        notch: m.notch.word().to_owned(),
        from: to_rfc3339(m.from),
        until: m.until.map(to_rfc3339),
    }
}

fn move_of(part: MovePart) -> Option<Move> {
    Some(Move {
        vent: part.vent,
        notch: Notch::ALL.into_iter().find(|n| n.word() == part.notch)?,
        from: from_rfc3339(&part.from)?,
        until: match part.until {
            None => None,
            Some(text) => Some(from_rfc3339(&text)?),
        },
    })
}

fn range(found: Option<(f64, f64)>) -> RangePart {
    let round = |v: f64| (v * 10.0).round() / 10.0;
    match found {
        Some((low, high)) => RangePart {
            value: Some(round((low + high) / 2.0)),
            low: Some(round(low)),
            high: Some(round(high)),
            unknown: None,
            measured: 1.0,
        },
        None => {
            RangePart { value: None, low: None, high: None, unknown: Some("not-worked-out".to_owned()), measured: 0.0 }
        }
    }
}
