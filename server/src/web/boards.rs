//! The boards and other devices, and what of them was refused.

use axum::Json;
use axum::extract::State;
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use super::Desk;
use super::answers::{instant, round};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};

/// The devices that were ever heard.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BoardsAnswer {
    at: String,
    boards: Vec<BoardPart>,
}

/// A device.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BoardPart {
    urn: String,
    /// `board`, `foreign` or `file`.
    kind: String,
    mapping: Option<String>,
    first_heard: Option<String>,
    last_reading: Option<String>,
    channels: Vec<ChannelPart>,
    /// The newest state it told, as sent.
    #[schema(value_type = Option<Object>)]
    state: Option<Value>,
    state_heard: Option<String>,
    /// Whether that state was kept by the broker, so that its age is not known.
    state_retained: bool,
    /// Samples that never came.
    missing: u64,
    /// Things of it that were refused, ever.
    refused: u64,
}

/// A channel of a device.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ChannelPart {
    channel: String,
    /// Unit as sent.
    unit: String,
    /// Newest value as sent.
    value: Option<f64>,
    t: Option<String>,
    /// Where it is placed now; null where it is not, and then nothing is worked out from it.
    spot: Option<String>,
}

/// The devices that were ever heard.
#[utoipa::path(get, path = "/api/boards", responses((status = 200, body = BoardsAnswer)))]
pub(super) async fn boards(State(desk): State<Desk>) -> Result<Json<BoardsAnswer>, Problem> {
    answer(&desk, |views, garden, now| views.boards(garden, now)).await.map(Json)
}

impl Views {
    fn boards(&self, garden: &Garden, now: Millis) -> Result<BoardsAnswer, Problem> {
        let boards = self.readings.devices(now)?.into_iter().map(|d| {
            let last = d.channels.iter().filter_map(|c| c.2.map(|p| p.t)).max();
            let channels = d.channels.iter().map(|(channel, unit, newest)| ChannelPart {
                channel: channel.clone(),
                unit: unit.clone(),
                value: newest.map(|p| round(p.v)),
                t: newest.map(|p| instant(p.t)),
                spot: garden.placed(&d.urn, channel, now).map(|p| p.spot.clone()),
            });
            let (state, heard, retained) = match d.state {
                Some((text, at, retained)) => (serde_json::from_str(&text).ok(), Some(instant(at)), retained),
                None => (None, None, false),
            };
            BoardPart {
                channels: channels.collect(),
                urn: d.urn,
                kind: d.kind,
                mapping: d.mapping,
                first_heard: d.first_heard.map(instant),
                last_reading: last.map(instant),
                state,
                state_heard: heard,
                state_retained: retained,
                missing: d.missing,
                refused: d.refused,
            }
        });
        Ok(BoardsAnswer { at: instant(now), boards: boards.collect() })
    }
}

/// What is asked for.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct RejectsQuery {
    device: Option<String>,
    most: Option<usize>,
}

/// What was refused.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RejectsAnswer {
    /// How many by reason, ever.
    totals: Vec<TotalPart>,
    /// The newest first.
    rejects: Vec<RejectPart>,
}

/// How many were refused for a reason.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TotalPart {
    reason: String,
    n: u64,
}

/// Something refused.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RejectPart {
    id: i64,
    at: String,
    device: Option<String>,
    topic: String,
    reason: String,
    /// What, value, allowed and where, in plain words.
    detail: String,
    /// The message as text; bytes that are none are shown as a sign.
    payload: String,
}

/// What was refused and why.
#[utoipa::path(get, path = "/api/rejects",
    params(("device" = Option<String>, Query, description = "URN of one device"),
        ("most" = Option<usize>, Query, description = "At most so many, 1 to 1000; 200 if left out")),
    responses((status = 200, body = RejectsAnswer), (status = 400, body = Problem)))]
pub(super) async fn rejects(
    State(desk): State<Desk>,
    Asked(query): Asked<RejectsQuery>,
) -> Result<Json<RejectsAnswer>, Problem> {
    let most = query.most.unwrap_or(200);
    if !(1..=1_000).contains(&most) {
        return Err(Problem::bad("most", &most.to_string(), "1 to 1000"));
    }
    answer(&desk, move |views, _, _| views.rejects(query.device.as_deref(), most)).await.map(Json)
}

impl Views {
    /// What was refused, of one device or of all.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn rejects(&self, device: Option<&str>, most: usize) -> Result<RejectsAnswer, Problem> {
        let totals = self.readings.refused_totals()?.into_iter().map(|(reason, n)| TotalPart { reason, n });
        let rejects = self.readings.refused(device, most)?.into_iter().map(|r| RejectPart {
            id: r.id,
            at: instant(r.at),
            device: (!r.device.is_empty()).then_some(r.device),
            topic: r.topic,
            reason: r.reason,
            detail: r.detail,
            payload: String::from_utf8_lossy(&r.payload).into_owned(),
        });
        Ok(RejectsAnswer { totals: totals.collect(), rejects: rejects.collect() })
    }
}
