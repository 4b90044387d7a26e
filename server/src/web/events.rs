//! Things done: told, listed, taken back.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use propstick_garden::model::Garden;
use propstick_garden::record::{Did, Event, EventKind};
use propstick_garden::wording::did_words;
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

/// A thing done, to be kept.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"kind": "water", "target": "tunnel-west", "amount": 2.0, "unit": "can", "t": "2026-03-01T08:10:00Z"}))]
pub struct EventOrder {
    /// When; now if left out. Not in the future, and not before 2000.
    t: Option<String>,
    /// `vent`, `water`, `fleece`, `found`, `done` or `not_done`.
    kind: String,
    /// Slug of the opening (vent), bed or structure (water, found) or cover (fleece); may be left out for done and not_done.
    target: Option<String>,
    /// vent: a notch of that opening; water: `root` (if left out) or `overhead`; fleece: `on`, `folded`, `off`; found: a disease, `something` or
    /// `nothing`; done, not_done: the number of the advice.
    what: Option<String>,
    /// water and found only: how much, in `unit`; 0.1 to 20000 L, or as much by another measure.
    amount: Option<f64>,
    /// water: `L`, `can`, `min`, `mm`; found: `count`.
    unit: Option<String>,
}

impl From<EventOrder> for Did {
    fn from(o: EventOrder) -> Did {
        Did { t: o.t, kind: o.kind, target: o.target, what: o.what, amount: o.amount, unit: o.unit }
    }
}

/// A thing done.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"id": 252, "t": "2026-03-01T10:40:00Z", "kind": "vent", "target": "tunnel-sw-door", "what": "crack", "amount": null, "unit": null,
    "source": "tap", "undone_at": null, "say": "South-west door open a hand's width at 10:40"}))]
pub struct EventPart {
    /// Its number, by which it is taken back.
    pub id: i64,
    /// When it was done.
    t: String,
    /// `vent`, `water`, `fleece`, `found`, `done` or `not_done`.
    kind: &'static str,
    /// Slug of what it was done to; for done and not_done the structure of the advice.
    target: String,
    /// What exactly, as it was told; for done and not_done the number of the advice.
    what: Option<String>,
    /// How much, in `unit`; null where nothing was counted.
    amount: Option<f64>,
    /// `L`, `can`, `min`, `mm` or `count`.
    unit: Option<String>,
    /// `tap`, `contact`, `inferred` or `import`.
    source: &'static str,
    /// When it was taken back; it then counts for nothing.
    undone_at: Option<String>,
    /// It in a sentence, without a full stop.
    pub say: String,
}

/// Things done, the newest first.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct EventsAnswer {
    /// Those asked for; without `undone` only those that count.
    pub events: Vec<EventPart>,
}

impl EventPart {
    /// An event as it is sent, seen from `now`.
    pub fn of(event: &Event, garden: &Garden, now: Millis) -> EventPart {
        EventPart {
            id: event.id,
            t: instant(event.t),
            kind: event.kind.word(),
            target: event.target.clone(),
            what: event.what.clone(),
            amount: event.amount,
            unit: event.unit.clone(),
            source: event.source.word(),
            undone_at: event.undone_at.map(instant),
            say: did_words(event, garden, now),
        }
    }
}

impl Views {
    /// Things done that are wanted, the newest first.
    pub fn events(&self, garden: &Garden, wanted: &Wanted, now: Millis) -> Result<EventsAnswer, Problem> {
        let all = self.garden_db.events().list(wanted)?;
        Ok(EventsAnswer { events: all.iter().map(|event| EventPart::of(event, garden, now)).collect() })
    }

    /// The event that words tell.
    pub fn event_told(&self, did: &Did, garden: &Garden, now: Millis) -> Result<Event, Problem> {
        let advised = |id| self.garden_db.advice().structure_of(id).ok().flatten();
        did.event(garden, now, &advised).map_err(|untold| Problem::from(&untold))
    }
}

/// Things done, the newest first.
#[utoipa::path(get, path = "/api/events", params(ToldAsked), responses((status = 200, body = EventsAnswer), (status = 400, body = Problem)))]
pub(super) async fn events(
    State(desk): State<Desk>,
    Asked(asked): Asked<ToldAsked>,
) -> Result<Json<EventsAnswer>, Problem> {
    let wanted = asked.wanted(&EventKind::ALL.map(EventKind::word))?;
    answer(&desk, move |views, garden, now| views.events(garden, &wanted, now)).await.map(Json)
}

/// Keeps a thing done. The same Idempotency-Key again gives what was kept first, with status 200.
#[utoipa::path(post, path = "/api/events", request_body = EventOrder,
    params(("Idempotency-Key" = Option<String>, Header, description = "A key of the client's own: what comes twice with the same is kept once")),
    responses((status = 201, body = EventPart), (status = 200, body = EventPart), (status = 400, body = Problem), (status = 403, body = Problem),
    (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(super) async fn keep(
    _: Allowed,
    State(desk): State<Desk>,
    headers: HeaderMap,
    Sent(order): Sent<EventOrder>,
) -> Result<(StatusCode, Json<EventPart>), Problem> {
    let (key, did) = (key(&headers)?, Did::from(order));
    let event = answer(&desk, move |views, garden, now| views.event_told(&did, garden, now)).await?;
    let wanted = event.clone();
    let kept = tell(&desk, move |reply| Told::Did(event, key, Some(reply))).await?;
    let alike = |e: &Event| (e.kind, e.target.clone(), e.what.clone(), e.amount.map(f64::to_bits), e.unit.clone());
    let status = kept_once(kept.is_new, alike(&kept.one) == alike(&wanted))?;
    Ok((status, Json(EventPart::of(&kept.one, &desk.windows.garden(), desk.windows.clock.now()))))
}

/// Takes a thing done back: it stays in the list of all, and counts for nothing.
#[utoipa::path(post, path = "/api/events/{id}/undo", params(("id" = i64, Path, description = "Number of the event")),
    responses((status = 200, body = EventPart), (status = 403, body = Problem), (status = 404, body = Problem), (status = 409, body = Problem)))]
pub(super) async fn undo(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
) -> Result<Json<EventPart>, Problem> {
    let id = number("event", &id)?;
    let event = taken_back("event", id, tell(&desk, move |reply| Told::DidNot(id, Some(reply))).await?)?;
    Ok(Json(EventPart::of(&event, &desk.windows.garden(), desk.windows.clock.now())))
}
