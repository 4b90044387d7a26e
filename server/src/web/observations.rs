//! Things seen or heard: told, listed, taken back.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use propstick_garden::model::Garden;
use propstick_garden::record::{FingerSaid, HeardSaid, LeavesSaid, LookSaid, Observation, SEEN_KINDS, Saw};
use propstick_garden::wording::saw_words;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::instant;
use super::asked::{Asked, Sent};
use super::guard::Allowed;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::told::{ToldAsked, kept_once, key, number, taken_back, tell};
use crate::engine::Told;
use crate::store::garden::told::Wanted;

/// A thing seen or heard, to be kept: exactly one of look, heard, finger, leaves.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"teller": "Ann", "heard": {"of": "tonight", "low_c": -2.0, "wind": "calm", "sky": "clear"}}))]
pub struct ObservationOrder {
    /// When; now if left out. Not in the future, and not before 2000.
    t: Option<String>,
    /// Who tells it, at most 40 characters.
    #[serde(default)]
    teller: String,
    /// A look out of the window: {sky: clear|broken|overcast, wind: calm|light|fresh|gale, wet: dry|rain|fog, wind_from_deg?: 0 to 360}.
    #[schema(value_type = Option<Object>)]
    look: Option<LookSaid>,
    /// A forecast as heard: {of: today|tonight|tomorrow, low_c?, high_c?, wind?, gust_m_s?, sky?, wet?}; °C from -40 to 50, m/s.
    #[schema(value_type = Option<Object>)]
    heard: Option<HeardSaid>,
    /// A finger 5 cm deep in a bed: {bed, feel: dry|moist|wet}.
    #[schema(value_type = Option<Object>)]
    finger: Option<FingerSaid>,
    /// Leaves looked at: {structure, wet: true|false}.
    #[schema(value_type = Option<Object>)]
    leaves: Option<LeavesSaid>,
}

impl From<ObservationOrder> for Saw {
    fn from(o: ObservationOrder) -> Saw {
        let ObservationOrder { t, teller, look, heard, finger, leaves } = o;
        Saw { t, teller, look, heard, finger, leaves }
    }
}

/// A thing seen or heard.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"id": 41, "kind": "look", "t": "2026-03-01T15:00:00Z", "teller": "Ann", "look": {"sky": "broken", "wind": "light", "wet": "dry"},
    "undone_at": null, "say": "Sun and cloud, wind light, dry at 15:00, told by Ann"}))]
pub struct ObservationPart {
    /// Its number, by which it is taken back.
    pub id: i64,
    /// `look`, `heard`, `finger` or `leaves`: the key below that is there.
    kind: &'static str,
    #[serde(flatten)]
    #[schema(value_type = Object)]
    saw: Saw,
    /// When it was taken back; it then counts for nothing.
    undone_at: Option<String>,
    /// It in a sentence, without a full stop.
    pub say: String,
}

/// Things seen or heard, the newest first.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ObservationsAnswer {
    /// Those asked for; without `undone` only those that count.
    pub observations: Vec<ObservationPart>,
}

impl ObservationPart {
    /// An observation as it is sent, seen from `now`.
    pub fn of(seen: &Observation, garden: &Garden, now: Millis) -> ObservationPart {
        ObservationPart {
            id: seen.id,
            kind: seen.seen.kind(),
            saw: Saw::of(seen),
            undone_at: seen.undone_at.map(instant),
            say: saw_words(seen, garden, now),
        }
    }
}

impl Views {
    /// Things seen or heard that are wanted, the newest first.
    pub fn observations(&self, garden: &Garden, wanted: &Wanted, now: Millis) -> Result<ObservationsAnswer, Problem> {
        let all = self.garden_db.observations().list(wanted)?;
        Ok(ObservationsAnswer { observations: all.iter().map(|seen| ObservationPart::of(seen, garden, now)).collect() })
    }
}

/// Things seen or heard, the newest first.
#[utoipa::path(get, path = "/api/observations", params(ToldAsked),
    responses((status = 200, body = ObservationsAnswer), (status = 400, body = Problem)))]
pub(super) async fn observations(
    State(desk): State<Desk>,
    Asked(asked): Asked<ToldAsked>,
) -> Result<Json<ObservationsAnswer>, Problem> {
    let wanted = asked.wanted(&SEEN_KINDS)?;
    answer(&desk, move |views, garden, now| views.observations(garden, &wanted, now)).await.map(Json)
}

/// Keeps a thing seen or heard. The same Idempotency-Key again gives what was kept first, with status 200.
#[utoipa::path(post, path = "/api/observations", request_body = ObservationOrder,
    params(("Idempotency-Key" = Option<String>, Header, description = "A key of the client's own: what comes twice with the same is kept once")),
    responses((status = 201, body = ObservationPart), (status = 200, body = ObservationPart), (status = 400, body = Problem),
    (status = 403, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(super) async fn keep(
    _: Allowed,
    State(desk): State<Desk>,
    headers: HeaderMap,
    Sent(order): Sent<ObservationOrder>,
) -> Result<(StatusCode, Json<ObservationPart>), Problem> {
    let (key, garden, now) = (key(&headers)?, desk.windows.garden(), desk.windows.clock.now());
    let seen = Saw::from(order).observation(&garden, now).map_err(|untold| Problem::from(&untold))?;
    let wanted = seen.clone();
    let kept = tell(&desk, move |reply| Told::Saw(seen, key, Some(reply))).await?;
    let alike = |o: &Observation| Saw { t: None, ..Saw::of(o) };
    let status = kept_once(kept.is_new, alike(&kept.one) == alike(&wanted))?;
    Ok((status, Json(ObservationPart::of(&kept.one, &garden, desk.windows.clock.now()))))
}

/// Takes a thing seen or heard back: it stays in the list of all, and counts for nothing.
#[utoipa::path(post, path = "/api/observations/{id}/undo", params(("id" = i64, Path, description = "Number of the observation")),
    responses((status = 200, body = ObservationPart), (status = 403, body = Problem), (status = 404, body = Problem),
    (status = 409, body = Problem)))]
pub(super) async fn undo(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
) -> Result<Json<ObservationPart>, Problem> {
    let id = number("observation", &id)?;
    let seen = taken_back("observation", id, tell(&desk, move |reply| Told::SawNot(id, Some(reply))).await?)?;
    Ok(Json(ObservationPart::of(&seen, &desk.windows.garden(), desk.windows.clock.now())))
}
