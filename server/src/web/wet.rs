//! When the leaves of a structure were wet: the band under its day.

use axum::Json;
use axum::extract::{Path, State};
use propstick_agronomy::wetness::hours::WetHour;
use propstick_garden::fold::{civil_day, date_of};
use propstick_garden::model::Garden;
use propstick_garden::season::{BandStretch, leaf_band};
use propstick_garden::wording::leaf_band_words;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::{instant, parse_instant};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::season::leaf_spots;
use crate::store::derived::Seasons;
use crate::store::readings::Span;

/// Longest stretch of one answer.
const LONGEST_MS: i64 = 32 * 24 * HOUR;
/// Longest stretch that is read out: a civil day of 25 hours.
const READ_OUT_MS: i64 = 25 * HOUR;

/// What is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WetQuery {
    from: Option<String>,
    to: Option<String>,
}

/// When the leaves of a structure were wet.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WetAnswer {
    /// Slug of the structure.
    pub structure: String,
    /// The time of this answer.
    pub at: String,
    /// The stretch that was asked for.
    pub from: String,
    /// The first instant after it.
    pub to: String,
    /// What the leaves were like, stretch after stretch without a hole, as far as it is known and not to come. Of spots that differ the wettest counts.
    pub leaves: Vec<LeavesPart>,
    /// The same in a sentence, on the garden's clock; null for a stretch of more than 25 hours.
    pub says: Option<String>,
}

/// A stretch in which the leaves stayed as they were, in whole hours as far as it has not been cut off.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LeavesPart {
    /// Its first instant.
    pub from: String,
    /// The first instant after it.
    pub to: String,
    /// `likely` (wet, as humidity was read), `possible` (wet by the humidity sensor's error alone), `dry`, `frozen` (neither wet nor drying) or `unknown`.
    pub leaves: &'static str,
}

impl From<&BandStretch> for LeavesPart {
    fn from(s: &BandStretch) -> LeavesPart {
        LeavesPart { from: instant(s.from), to: instant(s.to), leaves: s.leaves.word() }
    }
}

/// When the leaves of a structure were likely wet, worked out hour by hour from temperature and humidity.
#[utoipa::path(get, path = "/api/structures/{slug}/wet",
    params(("slug" = String, Path, description = "Slug of the structure"),
        ("from" = Option<String>, Query, description = "First instant; the midnight that today began with if left out"),
        ("to" = Option<String>, Query, description = "First instant after it, at most 32 days later; the end of the day of `from` if left out")),
    responses((status = 200, body = WetAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn wet(
    State(desk): State<Desk>,
    Path(slug): Path<String>,
    Asked(query): Asked<WetQuery>,
) -> Result<Json<WetAnswer>, Problem> {
    answer(&desk, move |views, garden, now| {
        let from = query.from.as_deref().map(|text| parse_instant("from", text)).transpose()?;
        let day = civil_day(garden.zone, date_of(garden.zone, from.unwrap_or(now)));
        let from = from.unwrap_or(day.from);
        let to = query.to.as_deref().map(|text| parse_instant("to", text)).transpose()?.unwrap_or(day.to);
        if !(1..=LONGEST_MS).contains(&to.0.saturating_sub(from.0)) {
            let asked = format!("{} to {}", instant(from), instant(to));
            return Err(Problem::bad("from, to", &asked, "`to` after `from`, at most 32 days later"));
        }
        views.wet(garden, &slug, Span { from, to }, now)
    })
    .await
    .map(Json)
}

impl Views {
    /// When the leaves of a structure were wet in `span`.
    ///
    /// # Errors
    /// A structure that is not there, or a store that cannot be read.
    fn wet(&self, garden: &Garden, slug: &str, span: Span, now: Millis) -> Result<WetAnswer, Problem> {
        structure_of(garden, slug)?;
        let wide = Span { from: span.from.plus(-HOUR), to: span.to };
        let hours: Vec<Vec<WetHour>> =
            leaf_spots(garden, slug).map(|spot| self.hours.wet_hours(spot, wide)).collect::<Result<_, _>>()?;
        let hours: Vec<&[WetHour]> = hours.iter().map(Vec::as_slice).collect();
        let band = leaf_band(&hours, (span.from, span.to), now);
        Ok(WetAnswer {
            structure: slug.to_owned(),
            at: instant(now),
            from: instant(span.from),
            to: instant(span.to),
            leaves: band.iter().map(LeavesPart::from).collect(),
            says: (span.to.since(span.from) <= READ_OUT_MS).then(|| leaf_band_words(&band, garden.zone, now)),
        })
    }
}
