//! The advice that was given.

use axum::Json;
use axum::extract::{Path, State};
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::advice_part::{AdvicePart, AnsweredPart};
use super::answers::{instant, parse_stretch};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::store::advice::KeptAdvice;

/// The kinds in the order in which they are said.
const KINDS: [&str; 4] = ["frost", "vent", "cover", "water"];

/// What is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AdviceQuery {
    from: Option<String>,
    to: Option<String>,
}

/// Advice of a structure.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AdviceAnswer {
    /// The time of this answer.
    pub at: String,
    /// What holds, in the order in which it is said: frost, openings, covers, water bed by bed. Of a stretch: all that was made, in the order of its time.
    pub advice: Vec<AdvicePart>,
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
        let (from, to) = parse_stretch(query.from.as_deref(), query.to.as_deref())?;
        let made = views.garden_db.advice().made(Some(&slug), from, to)?;
        Ok(AdviceAnswer { at: instant(now), advice: views.shown(garden, Some(&slug), &made, now)? })
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
        Ok(AdviceAnswer { at: instant(now), advice: self.shown(garden, Some(slug), &standing, now)? })
    }

    /// All advice that was made in `[from, to)`, as of `now`.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn advice_made(
        &self,
        garden: &Garden,
        (from, to): (Millis, Millis),
        now: Millis,
    ) -> Result<Vec<AdvicePart>, Problem> {
        let made = self.garden_db.advice().made(None, from, to)?;
        self.shown(garden, None, &made, now)
    }

    /// Advice as it is answered; all of it is of `structure`, if one is named.
    fn shown(
        &self,
        garden: &Garden,
        structure: Option<&str>,
        all: &[KeptAdvice],
        now: Millis,
    ) -> Result<Vec<AdvicePart>, Problem> {
        let answers = self.garden_db.events().answers(structure)?;
        let shown = |kept: &KeptAdvice| {
            let score = if kept.kind == "frost" { self.garden_db.advice().score(kept.id)? } else { None };
            let answered = answers.get(&kept.id).map(|event| AnsweredPart::of(event, garden, now));
            AdvicePart::of(kept, score.as_ref(), answered)
        };
        all.iter().map(shown).collect()
    }
}
