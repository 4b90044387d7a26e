//! Advice as it was given: appended, never changed but for the note of what superseded it.

use propstick_garden::advice::frost::{ForecastLow, FrostCall, FrostScore, NightCalls, NightSpan};
use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::StoreError;

/// An advice as kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptAdvice {
    /// Its number.
    pub id: i64,
    /// The structure's slug.
    pub structure: String,
    /// What kind: `vent`, `cover`, `frost` or `water`.
    pub kind: String,
    /// What in the structure it is about: a bed, for water; empty where it is the whole of it.
    pub about: String,
    /// What it says in short: what the next one is compared with; empty where the body is.
    pub gist: String,
    /// When it was made.
    pub made_at: Millis,
    /// From when it holds.
    pub from: Millis,
    /// Until when it holds; open if absent.
    pub until: Option<Millis>,
    /// All of it, as JSON.
    pub body: String,
    /// The recipe it was made by.
    pub recipe: String,
    /// The advice that took its place.
    pub superseded_by: Option<i64>,
}

/// What was said of a structure's night so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeptCalls {
    /// The night.
    pub night: NightSpan,
    /// What was said of it.
    pub calls: NightCalls,
    /// The advice that was given of it last.
    pub advice: Option<i64>,
}

/// The advice in `garden.db`.
pub struct AdviceStore<'a> {
    pub(super) db: &'a Connection,
}

impl AdviceStore<'_> {
    /// Appends an advice and notes on the one before it, of the same structure, kind and part, that it is superseded. Gives its number.
    pub fn append(&self, new: &KeptAdvice) -> Result<i64, StoreError> {
        // While history is laid down a larger transaction is open already.
        let own = if self.db.is_autocommit() { Some(self.db.unchecked_transaction()?) } else { None };
        let change = self.db;
        change
            .prepare_cached(
                "INSERT INTO advice(structure, kind, made_at, t_from, t_until, body, recipe, about, gist) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .execute(params![
                new.structure,
                new.kind,
                new.made_at.0,
                new.from.0,
                new.until.map(|t| t.0),
                new.body,
                new.recipe,
                new.about,
                new.gist
            ])?;
        let id = change.last_insert_rowid();
        change
            .prepare_cached(
                "UPDATE advice SET superseded_by = ?1 WHERE structure = ?2 AND kind = ?3 AND about = ?4 AND superseded_by IS NULL AND id < ?1",
            )?
            .execute(params![id, new.structure, new.kind, new.about])?;
        if let Some(own) = own {
            own.commit()?;
        }
        Ok(id)
    }

    /// The advice that holds for a structure: one of each kind and part, as far as any was given.
    pub fn standing(&self, structure: &str) -> Result<Vec<KeptAdvice>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM advice WHERE structure = ?1 AND superseded_by IS NULL ORDER BY kind, about, id"
        ))?;
        Ok(query.query_map([structure], row)?.collect::<Result<_, _>>()?)
    }

    /// The structure that an advice is of, if there is one of that number.
    pub fn structure_of(&self, id: i64) -> Result<Option<String>, StoreError> {
        let mut query = self.db.prepare_cached("SELECT structure FROM advice WHERE id = ?1")?;
        Ok(query.query_row([id], |r| r.get(0)).optional()?)
    }

    /// Keeps what became of a night's call.
    pub fn keep_score(&self, structure: &str, score: &FrostScore) -> Result<(), StoreError> {
        let low = score.forecast;
        self.db
            .prepare_cached(
                "INSERT OR REPLACE INTO score(advice, structure, measured_c, low_c, high_c, likely_c, baseline_c, call, scored_at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .execute(params![
                score.advice,
                structure,
                score.measured_c,
                low.map(|l| l.ends_c.0),
                low.map(|l| l.ends_c.1),
                low.map(|l| l.likely_c),
                score.baseline_c,
                score.call.word(),
                score.scored_at.0
            ])?;
        Ok(())
    }

    /// Keeps what was said so far of the night that goes on or comes.
    pub fn keep_calls(&self, structure: &str, kept: &KeptCalls) -> Result<(), StoreError> {
        let low = kept.calls.forecast;
        self.db
            .prepare_cached(
                "INSERT OR REPLACE INTO night_calls(structure, sunset, sunrise, warned_at, low_c, high_c, likely_c, advice)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            )?
            .execute(params![
                structure,
                kept.night.sunset.0,
                kept.night.sunrise.0,
                kept.calls.warned_at.map(|t| t.0),
                low.map(|l| l.ends_c.0),
                low.map(|l| l.ends_c.1),
                low.map(|l| l.likely_c),
                kept.advice
            ])?;
        Ok(())
    }

    /// What was said of a structure's night when that was last kept.
    pub fn calls(&self, structure: &str) -> Result<Option<KeptCalls>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT sunset, sunrise, warned_at, low_c, high_c, likely_c, advice FROM night_calls WHERE structure = ?1",
        )?;
        Ok(query.query_row([structure], calls_row).optional()?)
    }

    /// The score of an advice, if it has one.
    pub fn score(&self, advice: i64) -> Result<Option<FrostScore>, StoreError> {
        let mut query = self.db.prepare_cached(&format!("SELECT {SCORE} FROM score WHERE advice = ?1"))?;
        Ok(query.query_row([advice], score_row).optional()?.flatten())
    }

    /// Every score of a structure, in the order of the nights.
    pub fn scores(&self, structure: &str) -> Result<Vec<FrostScore>, StoreError> {
        let mut query = self
            .db
            .prepare_cached(&format!("SELECT {SCORE} FROM score WHERE structure = ?1 ORDER BY scored_at, advice"))?;
        let rows = query.query_map([structure], score_row)?.collect::<Result<Vec<_>, _>>()?;
        Ok(rows.into_iter().flatten().collect())
    }

    /// All advice made in `[from, to)`, of one structure or of all, in order.
    pub fn made(&self, structure: Option<&str>, from: Millis, to: Millis) -> Result<Vec<KeptAdvice>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM advice WHERE (?1 IS NULL OR structure = ?1) AND made_at >= ?2 AND made_at < ?3 ORDER BY id"
        ))?;
        let rows = query.query_map(params![structure, from.0, to.0], row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

pub(super) const COLUMNS: &str =
    "id, structure, kind, made_at, t_from, t_until, body, recipe, superseded_by, about, gist";
const SCORE: &str = "advice, measured_c, low_c, high_c, likely_c, baseline_c, call, scored_at";

fn calls_row(r: &Row<'_>) -> rusqlite::Result<KeptCalls> {
    let night = NightSpan { sunset: Millis(r.get(0)?), sunrise: Millis(r.get(1)?) };
    let warned_at = r.get::<_, Option<i64>>(2)?.map(Millis);
    let forecast = forecast_of(r.get(3)?, r.get(4)?, r.get(5)?);
    Ok(KeptCalls { night, calls: NightCalls { warned_at, forecast }, advice: r.get(6)? })
}

fn forecast_of(low: Option<f64>, high: Option<f64>, likely_c: Option<f64>) -> Option<ForecastLow> {
    Some(ForecastLow { ends_c: (low?, high?), likely_c: likely_c? })
}

/// A score as kept; none of a call that this program has no word for.
fn score_row(r: &Row<'_>) -> rusqlite::Result<Option<FrostScore>> {
    let forecast = forecast_of(r.get(2)?, r.get(3)?, r.get(4)?);
    let Some(call) = FrostCall::from_word(&r.get::<_, String>(6)?) else { return Ok(None) };
    Ok(Some(FrostScore {
        advice: r.get(0)?,
        measured_c: r.get(1)?,
        forecast,
        baseline_c: r.get(5)?,
        call,
        scored_at: Millis(r.get(7)?),
    }))
}

pub(super) fn row(r: &Row<'_>) -> rusqlite::Result<KeptAdvice> {
    Ok(KeptAdvice {
        id: r.get(0)?,
        structure: r.get(1)?,
        kind: r.get(2)?,
        made_at: Millis(r.get(3)?),
        from: Millis(r.get(4)?),
        until: r.get::<_, Option<i64>>(5)?.map(Millis),
        body: r.get(6)?,
        recipe: r.get(7)?,
        superseded_by: r.get(8)?,
        about: r.get(9)?,
        gist: r.get(10)?,
    })
}
