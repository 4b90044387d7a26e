//! The advice that was given.

use axum::Json;
use axum::extract::{Path, State};
use propstick_garden::advice::frost::FrostScore;
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::Desk;
use super::answers::{instant, parse_instant, round};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::store::advice::KeptAdvice;

/// The kinds in the order in which they are said.
const KINDS: [&str; 4] = ["frost", "vent", "cover", "water"];

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
    /// Each `{id, structure, kind: "frost"|"vent"|"cover"|"water", about: bed or null, say, because, verdict, aim, rule, by_rule, moves, expect:{air_c,
    /// rh_pct, low_c}, rests_on:[{spot, quantity, unit, t, value}], doubt, cautions, also, further, made_at, until, recipe, superseded_by, score}`. A move is
    /// `{vent, notch, from, until}`, `{cover, position, from, until}` or `{bed, litres, cans, minutes, only_if_dry, from, until}`; a score is `{measured_c,
    /// forecast:[low, high], baseline_c, call: "hit"|"miss"|"false_alarm"|"quiet", scored_at}`.
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
        let advice = made.iter().map(|kept| views.shown(kept)).collect::<Result<_, _>>()?;
        Ok(AdviceAnswer { at: instant(now), advice })
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
        let structure = structure_of(garden, slug)?;
        let mut standing = self.garden_db.advice().standing(slug)?;
        // What is said of a bed, of covers or of openings that are there no longer is said no more.
        standing.retain(|kept| match kept.kind.as_str() {
            "water" => garden.bed(&kept.about).is_some_and(|bed| bed.structure == slug),
            "cover" => !structure.covers.is_empty(),
            "vent" => !structure.vents.is_empty(),
            _ => true,
        });
        let order = |kept: &KeptAdvice| KINDS.iter().position(|kind| *kind == kept.kind).unwrap_or(KINDS.len());
        let bed_order = |kept: &KeptAdvice| garden.beds.iter().position(|bed| bed.slug == kept.about);
        standing.sort_by_key(|kept| (order(kept), bed_order(kept)));
        let advice = standing.iter().map(|kept| self.shown(kept)).collect::<Result<_, _>>()?;
        Ok(AdviceAnswer { at: instant(now), advice })
    }

    /// All advice that was made in `[from, to)`.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn advice_made(&self, from: Millis, to: Millis) -> Result<Vec<Value>, Problem> {
        self.garden_db.advice().made(None, from, to)?.iter().map(|kept| self.shown(kept)).collect()
    }

    fn shown(&self, kept: &KeptAdvice) -> Result<Value, Problem> {
        let score = if kept.kind == "frost" { self.garden_db.advice().score(kept.id)? } else { None };
        let mut body: Value = serde_json::from_str(&kept.body).unwrap_or_default();
        if let Value::Object(map) = &mut body {
            map.insert("id".to_owned(), kept.id.into());
            map.insert("structure".to_owned(), kept.structure.clone().into());
            map.insert("kind".to_owned(), kept.kind.clone().into());
            map.insert("made_at".to_owned(), instant(kept.made_at).into());
            map.insert("until".to_owned(), kept.until.map(instant).into());
            map.insert("recipe".to_owned(), kept.recipe.clone().into());
            map.insert("superseded_by".to_owned(), kept.superseded_by.into());
            map.insert("about".to_owned(), Some(kept.about.clone()).filter(|about| !about.is_empty()).into());
            map.insert("score".to_owned(), score.map_or(Value::Null, |score| score_part(&score)));
        }
        Ok(body)
    }
}

/// What became of a night's call: the low as measured, as it was expected, and as the night before would have had it.
fn score_part(score: &FrostScore) -> Value {
    json!({"measured_c": round(score.measured_c), "forecast": score.forecast.map(|low| [round(low.ends_c.0), round(low.ends_c.1)]),
        "baseline_c": score.baseline_c.map(round), "call": score.call.word(), "scored_at": instant(score.scored_at)})
}
