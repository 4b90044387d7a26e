//! How the house is.

use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

use super::Desk;
use super::answers::instant;

/// How the house is.
#[derive(Serialize, ToSchema)]
pub struct HealthAnswer {
    /// `green`, `amber` or `red`: red means that readings are not being kept.
    status: &'static str,
    /// The time here.
    at: String,
    /// Since when it runs.
    since: String,
    /// Version of the program.
    version: &'static str,
    /// What there is to say, the worst first.
    says: Vec<String>,
    /// Readings stored since the start.
    readings: u64,
    /// Messages settled since the start.
    messages: u64,
    /// Commits whose hours are not worked out yet.
    not_worked_out: i64,
    /// History being laid down.
    build_progress: Option<BuildProgress>,
}

/// How far history has been laid down.
#[derive(Serialize, ToSchema)]
pub struct BuildProgress {
    done: u64,
    total: u64,
    what: String,
}

/// How the house is.
#[utoipa::path(get, path = "/api/health", responses((status = 200, body = HealthAnswer)))]
pub(super) async fn health(State(desk): State<Desk>) -> Json<HealthAnswer> {
    let report = desk.windows.health.report();
    Json(HealthAnswer {
        status: report.light.word(),
        at: instant(desk.windows.clock.now()),
        since: instant(desk.windows.health.started()),
        version: env!("CARGO_PKG_VERSION"),
        says: report.says,
        readings: report.readings,
        messages: report.messages,
        not_worked_out: report.not_worked_out,
        build_progress: report.building.map(|b| BuildProgress { done: b.done, total: b.total, what: b.what }),
    })
}
