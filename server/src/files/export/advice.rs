//! All advice that was given.

use std::path::Path;

use propstick_garden::exchange::{AdviceMove, AdvicePiece, AdviceReading, Outlet, advice_header, advice_row};
use serde::Deserialize;

use super::{ExportError, Give, Stretch};
use crate::store::advice::KeptAdvice;
use crate::store::folder::garden_path;
use crate::store::garden::GardenDb;

/// Writes the advice that was made in a stretch, in order; gives how many pieces.
///
/// # Errors
/// A folder without a garden; a store that cannot be read.
pub fn advice(folder: &Path, stretch: Stretch, give: Give<'_>) -> Result<u64, ExportError> {
    super::garden(folder)?;
    let db = GardenDb::open_reader(&garden_path(folder))?;
    let mut out = Outlet::new(give);
    let mut pieces = 0;
    if advice_header(&mut out).is_break() {
        return Ok(pieces);
    }
    db.advice().each(stretch.ends(), &mut |kept| {
        pieces += 1;
        advice_row(&piece(kept), &mut out)
    })?;
    let _ = out.flush();
    Ok(pieces)
}

/// The body as it is kept; what an older one did not say is empty.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Body {
    say: String,
    because: String,
    verdict: String,
    aim: Option<String>,
    rule: String,
    by_rule: bool,
    moves: Vec<Move>,
    expect: Expect,
    rests_on: Vec<Reading>,
    doubt: Option<String>,
    cautions: Vec<String>,
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Move {
    vent: Option<String>,
    notch: Option<String>,
    cover: Option<String>,
    position: Option<String>,
    bed: Option<String>,
    cans: Option<f64>,
    minutes: Option<f64>,
    litres: Option<Range>,
    from: String,
    until: Option<String>,
}

impl Move {
    /// What is moved, how far: an opening to a notch, a cover to a position, water to a bed.
    fn written(self) -> AdviceMove {
        let water = || match (self.cans, self.minutes, self.litres.as_ref().and_then(|l| l.value)) {
            (Some(cans), _, _) => format!("{cans} cans"),
            (None, Some(minutes), _) => format!("{minutes} min"),
            (None, None, Some(litres)) => format!("{litres} L"),
            (None, None, None) => "water".to_owned(),
        };
        let notch = self.notch.clone().or_else(|| self.position.clone()).unwrap_or_else(water);
        AdviceMove { vent: self.vent.or(self.cover).or(self.bed), notch, from: self.from, until: self.until }
    }
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Expect {
    air_c: Range,
    rh_pct: Range,
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Range {
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
}

impl Range {
    fn ends(&self) -> (Option<f64>, Option<f64>) {
        (self.low.or(self.value), self.high.or(self.value))
    }
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Reading {
    spot: String,
    quantity: String,
    unit: String,
    t: String,
    value: f64,
}

fn piece(kept: KeptAdvice) -> AdvicePiece {
    let body: Body = serde_json::from_str(&kept.body).unwrap_or_default();
    AdvicePiece {
        id: kept.id,
        structure: kept.structure,
        kind: kept.kind,
        made_at: kept.made_at,
        from: kept.from,
        until: kept.until,
        air_c: body.expect.air_c.ends(),
        rh_pct: body.expect.rh_pct.ends(),
        verdict: body.verdict,
        aim: body.aim.unwrap_or_default(),
        rule: body.rule,
        by_rule: body.by_rule,
        say: body.say,
        because: body.because,
        moves: body.moves.into_iter().map(Move::written).collect(),
        rests_on: body
            .rests_on
            .into_iter()
            .map(|r| AdviceReading { spot: r.spot, quantity: r.quantity, unit: r.unit, t: r.t, value: r.value })
            .collect(),
        doubt: body.doubt,
        cautions: body.cautions,
        recipe: kept.recipe,
        superseded_by: kept.superseded_by,
    }
}
