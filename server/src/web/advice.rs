//! The advice that was given.

use axum::Json;
use axum::extract::{Path, State};
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use super::Desk;
use super::answers::{instant, parse_instant};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::store::advice::KeptAdvice;

/// What is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
pub(super) struct AdviceQuery {
    from: Option<String>,
    to: Option<String>,
}

/// Advice of a structure.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AdviceAnswer {
    /// The time of this answer.
    pub at: String,
    /// Each `{id, kind, say, because, verdict, aim, rule, by_rule, moves:[{vent, notch, from, until}], expect:{air_c, rh_pct},
    /// rests_on:[{spot, quantity, unit, t, value}], doubt, cautions, made_at, until, recipe, superseded_by}`.
    #[schema(value_type = Vec<Object>)]
    pub advice: Vec<Value>,
}

/// The advice that holds for a structure; with `from` or `to`, all that was made in that stretch.
#[utoipa::path(get, path = "/api/structures/{slug}/advice",
    params(("slug" = String, Path, description = "Slug of the structure"),
        ("from" = Option<String>, Query, description = "First instant of a stretch"),
        ("to" = Option<String>, Query, description = "First instant after it")),
    responses((status = 200, body = AdviceAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn advice(
    State(desk): State<Desk>,
    Path(slug): Path<String>,
    Asked(query): Asked<AdviceQuery>,
) -> Result<Json<AdviceAnswer>, Problem> {
    answer(&desk, move |views, garden, now| {
        if query.from.is_none() && query.to.is_none() {
            return views.advice(garden, &slug, now);
        }
        structure_of(garden, &slug)?;
        let from = query.from.as_deref().map(|t| parse_instant("from", t)).transpose()?.unwrap_or(Millis(i64::MIN));
        let to = query.to.as_deref().map(|t| parse_instant("to", t)).transpose()?.unwrap_or(Millis(i64::MAX));
        let made = views.garden_db.advice().made(Some(&slug), from, to)?;
        Ok(AdviceAnswer { at: instant(now), advice: made.iter().map(shown).collect() })
    })
    .await
    .map(Json)
}

impl Views {
    /// The advice that holds for a structure.
    ///
    /// # Errors
    /// A structure that is not there, or a store that cannot be read.
    pub fn advice(&self, garden: &Garden, slug: &str, now: Millis) -> Result<AdviceAnswer, Problem> {
        structure_of(garden, slug)?;
        let current = self.garden_db.advice().current(slug, "vent")?;
        Ok(AdviceAnswer { at: instant(now), advice: current.iter().map(shown).collect() })
    }

    /// All advice that was made in `[from, to)`.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn advice_made(&self, from: Millis, to: Millis) -> Result<Vec<Value>, Problem> {
        Ok(self.garden_db.advice().made(None, from, to)?.iter().map(shown).collect())
    }
}

fn shown(kept: &KeptAdvice) -> Value {
    let mut body: Value = serde_json::from_str(&kept.body).unwrap_or_default();
    if let Value::Object(map) = &mut body {
        map.insert("id".to_owned(), kept.id.into());
        map.insert("structure".to_owned(), kept.structure.clone().into());
        map.insert("kind".to_owned(), kept.kind.clone().into());
        map.insert("made_at".to_owned(), instant(kept.made_at).into());
        map.insert("until".to_owned(), kept.until.map(instant).into());
        map.insert("recipe".to_owned(), kept.recipe.clone().into());
        map.insert("superseded_by".to_owned(), kept.superseded_by.into());
        map.insert("score".to_owned(), Value::Null);
    }
    body
}
