//! A vent verdict as it is kept.

use propstick_garden::advice::{
    Aim, DayNote, Expect as Expected, Figures, Move, Rule, VentQuestion, VentVerdict, Verdict,
};
use propstick_garden::instant::{from_rfc3339, to_rfc3339};
use propstick_garden::model::Notch;
use propstick_garden::wording;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{Body, Expect, air_readings, range, written};

#[derive(Serialize, Deserialize)]
struct MovePart {
    /// The vent; null for the sheltered end.
    vent: Option<String>,
    notch: String,
    from: String,
    until: Option<String>,
}

/// Until when the verdict holds, where it knows: the end of its last move, or the time to look again; no longer than until all is fastened for a gale.
pub(crate) fn vent_until(verdict: &Verdict) -> Option<Millis> {
    let until = verdict.moves.iter().filter_map(|m| m.until).max().or(verdict.look_again);
    match verdict.day.fasten_by {
        Some(by) => Some(until.map_or(by, |until| until.min(by))),
        None => until,
    }
}

/// The body of a verdict on a question.
pub(crate) fn vent_body(question: &VentQuestion, verdict: &Verdict, lead: &str, outside: Option<&str>) -> String {
    let mut rests_on = air_readings(lead, question.inside);
    rests_on.extend(outside.map(|spot| air_readings(spot, question.outside)).unwrap_or_default());
    let said = wording::vent_words(verdict, &question.structure, question.clock, question.now);
    written(&Body {
        say: said.say,
        because: said.because,
        verdict: verdict.verdict.word().to_owned(),
        aim: Some(verdict.aim.word().to_owned()),
        rule: verdict.rule.word().to_owned(),
        by_rule: verdict.by_rule,
        moves: verdict.moves.iter().map(move_part).collect(),
        expect: Expect { air_c: range(verdict.expect.air_c), rh_pct: range(verdict.expect.rh_pct), low_c: None },
        rests_on,
        doubt: said.doubt,
        cautions: said.cautions,
        also: said.also,
        further: said.further,
        fasten_by: verdict.day.fasten_by.map(to_rfc3339),
    })
}

/// What a kept body says, as far as a new verdict is compared with it.
pub(crate) fn read_vent(body: &str, until: Option<Millis>) -> Option<Verdict> {
    let body: Body = serde_json::from_str(body).ok()?;
    let moves = body.moves.into_iter().map(move_of).collect::<Option<Vec<Move>>>()?;
    let aim = body.aim?;
    Some(Verdict {
        verdict: VentVerdict::ALL.into_iter().find(|v| v.word() == body.verdict)?,
        aim: Aim::ALL.into_iter().find(|a| a.word() == aim)?,
        rule: Rule::ALL.into_iter().find(|r| r.word() == body.rule)?,
        look_again: if moves.iter().any(|m| m.until.is_some()) { None } else { until },
        moves,
        expect: Expected::default(),
        figures: Figures::default(),
        by_rule: body.by_rule,
        day: DayNote { fasten_by: body.fasten_by.as_deref().and_then(from_rfc3339), ..DayNote::default() },
        also: Vec::new(),
        doubts: Vec::new(),
        cautions: Vec::new(),
    })
}

fn move_part(m: &Move) -> Value {
    let part = MovePart {
        vent: m.vent.clone(),
        notch: m.notch.word().to_owned(),
        from: to_rfc3339(m.from),
        until: m.until.map(to_rfc3339),
    };
    serde_json::to_value(part).unwrap_or_default()
}

fn move_of(part: Value) -> Option<Move> {
    let part: MovePart = serde_json::from_value(part).ok()?;
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
