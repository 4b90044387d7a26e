//! Advice as a table: one row a piece of advice, as it was given.

use core::fmt::Write;
use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::Outlet;
use super::cells::Cells;
use super::text::Number;
use crate::instant::to_rfc3339;

/// A piece of advice with all that it said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AdvicePiece {
    /// Its number.
    pub id: i64,
    /// The structure's slug.
    pub structure: String,
    /// What kind: `frost`, `vent`, `cover` or `water`.
    pub kind: String,
    /// When it was made.
    pub made_at: Millis,
    /// From when it holds.
    pub from: Millis,
    /// Until when, where it says so.
    pub until: Option<Millis>,
    /// The verdict as a word.
    pub verdict: String,
    /// What it aims at, as a word.
    pub aim: String,
    /// The rule that decided, as a word.
    pub rule: String,
    /// Whether it goes by season and hour alone.
    pub by_rule: bool,
    /// What to do, as said.
    pub say: String,
    /// Why, as said.
    pub because: String,
    /// What is to be moved.
    pub moves: Vec<AdviceMove>,
    /// What the air is expected to come to, lowest and highest, °C.
    pub air_c: (Option<f64>, Option<f64>),
    /// What humidity is expected to come to, lowest and highest, %RH.
    pub rh_pct: (Option<f64>, Option<f64>),
    /// The readings it rests on.
    pub rests_on: Vec<AdviceReading>,
    /// What is in doubt, as said.
    pub doubt: Option<String>,
    /// Cautions, as said.
    pub cautions: Vec<String>,
    /// The recipe it was made by.
    pub recipe: String,
    /// The advice that took its place.
    pub superseded_by: Option<i64>,
}

/// Something to be moved.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AdviceMove {
    /// Slug of the opening, cover or bed; none for the sheltered end.
    pub vent: Option<String>,
    /// How far, as a word, or how much water.
    pub notch: String,
    /// From when, as written in the advice.
    pub from: String,
    /// Until when, where it says so.
    pub until: Option<String>,
}

/// A reading that an advice rests on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AdviceReading {
    /// The spot's slug.
    pub spot: String,
    /// The quantity's name.
    pub quantity: String,
    /// Its unit.
    pub unit: String,
    /// Its instant, as written in the advice.
    pub t: String,
    /// Its value.
    pub value: f64,
}

/// The line of heads.
pub fn advice_header(out: &mut Outlet<'_>) -> ControlFlow<()> {
    let mut cells = Cells::new(out);
    for head in [
        "id",
        "structure",
        "kind",
        "made_at_utc",
        "from_utc",
        "until_utc",
        "verdict",
        "aim",
        "rule",
        "by_rule",
        "say",
        "because",
        "moves",
        "expected air from [°C]",
        "expected air to [°C]",
        "expected humidity from [%RH]",
        "expected humidity to [%RH]",
        "rests_on",
        "doubt",
        "cautions",
        "recipe",
        "superseded_by",
    ] {
        cells.text(head);
    }
    cells.end()
}

/// The row of a piece of advice. Several moves, readings or cautions stand in one cell with `; ` between them.
pub fn advice_row(a: &AdvicePiece, out: &mut Outlet<'_>) -> ControlFlow<()> {
    let mut cells = Cells::new(out);
    cells.plain(a.id);
    cells.text(&a.structure);
    cells.text(&a.kind);
    cells.plain(to_rfc3339(a.made_at));
    cells.plain(to_rfc3339(a.from));
    cells.plain(a.until.map(to_rfc3339).unwrap_or_default());
    for text in [&a.verdict, &a.aim, &a.rule] {
        cells.text(text);
    }
    cells.plain(if a.by_rule { "yes" } else { "no" });
    cells.text(&a.say);
    cells.text(&a.because);
    cells.text(&moves(&a.moves));
    for v in [a.air_c.0, a.air_c.1, a.rh_pct.0, a.rh_pct.1] {
        cells.maybe(v);
    }
    cells.text(&readings(&a.rests_on));
    cells.text(a.doubt.as_deref().unwrap_or_default());
    cells.text(&a.cautions.join("; "));
    cells.text(&a.recipe);
    cells.plain(a.superseded_by.map(|id| id.to_string()).unwrap_or_default());
    cells.end()
}

fn moves(moves: &[AdviceMove]) -> String {
    let mut all = String::new();
    for m in moves {
        let between = if all.is_empty() { "" } else { "; " };
        let _ = write!(all, "{between}{} {} from {}", m.vent.as_deref().unwrap_or("sheltered end"), m.notch, m.from);
        if let Some(until) = &m.until {
            let _ = write!(all, " until {until}");
        }
    }
    all
}

fn readings(readings: &[AdviceReading]) -> String {
    let mut all = String::new();
    for r in readings {
        let between = if all.is_empty() { "" } else { "; " };
        let _ = write!(all, "{between}{} {} {} {} at {}", r.spot, r.quantity, Number(r.value), r.unit, r.t);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::tests::written;

    #[test]
    fn advice_stands_in_one_row_with_its_sentences_moves_and_times() {
        let piece = AdvicePiece {
            id: 7,
            structure: "tunnel".into(),
            kind: "vent".into(),
            made_at: Millis(1_773_144_000_000),
            from: Millis(1_773_144_000_000),
            until: Some(Millis(1_773_151_200_000)),
            verdict: "dry".into(),
            aim: "drier".into(),
            rule: "drying".into(),
            say: "Open the south door half way, until 14:00.".into(),
            because: "=12.0 °C and 98 % inside, \"8.0 °C\" outside".into(),
            moves: vec![
                AdviceMove {
                    vent: Some("south-door".into()),
                    notch: "half".into(),
                    from: "2026-03-10T12:00:00Z".into(),
                    until: Some("2026-03-10T14:00:00Z".into()),
                },
                AdviceMove { vent: None, notch: "crack".into(), from: "2026-03-10T12:00:00Z".into(), until: None },
            ],
            air_c: (Some(8.0), Some(12.0)),
            rh_pct: (Some(65.0), None),
            rests_on: vec![AdviceReading {
                spot: "tunnel-air".into(),
                quantity: "air-temperature".into(),
                unit: "°C".into(),
                t: "2026-03-10T11:58:00Z".into(),
                value: 12.0,
            }],
            cautions: vec!["Mind the wind.".into(), "Fasten it.".into()],
            recipe: "ab12".into(),
            ..AdvicePiece::default()
        };
        let text = written(|out| advice_row(&piece, out));
        assert_eq!(
            text,
            "7,tunnel,vent,2026-03-10T12:00:00Z,2026-03-10T12:00:00Z,2026-03-10T14:00:00Z,dry,drier,drying,no,\
             \"Open the south door half way, until 14:00.\",\"'=12.0 °C and 98 % inside, \"\"8.0 °C\"\" outside\",\
             south-door half from 2026-03-10T12:00:00Z until 2026-03-10T14:00:00Z; sheltered end crack from 2026-03-10T12:00:00Z,\
             8,12,65,,tunnel-air air-temperature 12 °C at 2026-03-10T11:58:00Z,,Mind the wind.; Fasten it.,ab12,\n"
        );
        let header = written(advice_header);
        let count = |line: &str| line.trim_end().split(',').count();
        assert_eq!(count(&header), 22);
    }
}
