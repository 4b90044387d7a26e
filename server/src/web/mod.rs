//! The API and the pages over HTTP: one router, built apart from the socket. It reads; what is to be written it asks of the engine's and
//! the ledger's threads.

mod advice;
mod advice_part;
mod answers;
mod asked;
mod boards;
mod days;
mod description;
mod events;
mod guard;
mod health;
mod imports;
mod live;
mod logins;
mod observations;
mod pages;
mod problem;
mod readers;
mod readings;
mod risk;
mod sources;
mod structures;
mod told;
mod uploads;
mod wet;

use std::sync::{Arc, OnceLock};
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use tower_http::timeout::TimeoutLayer;
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::house::{Doors, Windows};
use crate::stop::Stop;
use readers::Readers;

pub use events::EventPart;
pub use imports::{ImportAnswer, ImportPart};
pub use observations::ObservationPart;
pub use readers::Views;

/// Longest file that may be sent, in bytes.
const LONGEST_FILE: usize = 512 << 20;

/// What every request may use.
#[derive(Clone)]
pub struct Desk {
    windows: Windows,
    readers: Arc<Readers>,
    doors: Arc<OnceLock<Doors>>,
    token: Arc<str>,
    stop: Stop,
}

impl Desk {
    /// A desk over a house. `doors` stays empty where nothing may be changed; `token` is what commands on this machine show.
    pub fn new(windows: Windows, doors: Arc<OnceLock<Doors>>, token: &str, stop: Stop) -> Desk {
        Desk { windows, readers: Arc::new(Readers::default()), doors, token: token.into(), stop }
    }
}

#[derive(OpenApi)]
#[openapi(info(
    title = "Propstick",
    description = "What the air under each cover is and was, and what to do about it. Times are RFC 3339 in UTC. Temperatures are in °C, humidity in %RH, vapour pressure \
        in kPa, shares from 0 to 1; the name of a figure, or `unit` beside it, says so. A figure that is not known is null with the reason in `unknown`, never 0. Errors are \
        RFC 9457 (application/problem+json) with code, title, value, allowed and where.",
    license(name = "Apache-2.0", identifier = "Apache-2.0")
))]
struct Description;

/// The API with its description.
fn api() -> OpenApiRouter<Desk> {
    OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(health::health))
        .routes(routes!(structures::structures))
        .routes(routes!(structures::now))
        .routes(routes!(structures::sun))
        .routes(routes!(readings::readings))
        .routes(routes!(days::days))
        .routes(routes!(wet::wet))
        .routes(routes!(risk::risk))
        .routes(routes!(advice::advice))
        .routes(routes!(boards::boards))
        .routes(routes!(boards::rejects))
        .routes(routes!(events::events, events::keep))
        .routes(routes!(events::undo))
        .routes(routes!(observations::observations, observations::keep))
        .routes(routes!(observations::undo))
        .routes(routes!(sources::sources))
        .routes(routes!(live::live))
        .routes(routes!(logins::keep, logins::list))
        .routes(routes!(logins::drop_one))
        .routes(routes!(imports::imports))
        .routes(routes!(imports::import, imports::take_back))
}

/// What takes or gives files: longer bodies, and more time.
fn files() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(uploads::send))
        .routes(routes!(uploads::throw_away))
        .routes(routes!(uploads::proposal))
        .routes(routes!(uploads::preview))
        .routes(routes!(imports::take))
        .routes(routes!(imports::file))
}

/// Limits the length of bodies and the time until an answer begins; a stream that has begun goes on.
fn limited(router: Router<Desk>, longest_body: usize, longest_wait: Duration) -> Router<Desk> {
    router
        .layer(TimeoutLayer::with_status_code(StatusCode::GATEWAY_TIMEOUT, longest_wait))
        .layer(DefaultBodyLimit::disable())
        .layer(RequestBodyLimitLayer::new(longest_body))
}

/// The description of the API: OpenAPI 3.1 as JSON.
pub fn description() -> String {
    let (_, description) = api().merge(files()).split_for_parts();
    description::finished(description).to_pretty_json().unwrap_or_default()
}

/// Serves the router on a socket until the desk's word to stop.
///
/// # Errors
/// What the socket says.
pub async fn serve(listener: tokio::net::TcpListener, desk: Desk) -> std::io::Result<()> {
    let until = desk.stop.clone();
    axum::serve(listener, router(desk)).with_graceful_shutdown(async move { until.stopped().await }).await
}

/// The router.
pub fn router(desk: Desk) -> Router {
    let description: Arc<str> = description().into();
    let (api, _) = api().split_for_parts();
    let (files, _) = files().split_for_parts();
    let csp = HeaderValue::from_static(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; manifest-src 'self'; \
         base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    );
    let api = api.route(
        "/api/openapi.json",
        axum::routing::get(move || {
            let description = Arc::clone(&description);
            async move { ([(header::CONTENT_TYPE, "application/json")], description.to_string()) }
        }),
    );
    limited(api, 64 << 10, Duration::from_secs(30))
        .merge(limited(files, LONGEST_FILE, Duration::from_secs(1_800)))
        .fallback(pages::page)
        .layer(middleware::from_fn(guard::own_host_only))
        .layer(SetResponseHeaderLayer::overriding(header::CONTENT_SECURITY_POLICY, csp))
        .layer(SetResponseHeaderLayer::overriding(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")))
        .layer(SetResponseHeaderLayer::overriding(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer")))
        .layer(CompressionLayer::new())
        .layer(CatchPanicLayer::new())
        .layer(middleware::from_fn(problem::in_words))
        .with_state(desk)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn description_is_openapi_3_1_and_names_every_answer_of_the_contract() {
        let description: serde_json::Value = serde_json::from_str(&description()).unwrap();
        assert!(description["openapi"].as_str().unwrap().starts_with("3.1"), "{}", description["openapi"]);
        for path in [
            "health",
            "structures",
            "structures/{slug}/now",
            "structures/{slug}/readings",
            "structures/{slug}/days",
            "structures/{slug}/advice",
            "boards",
            "rejects",
            "events",
            "observations",
            "sources",
            "live",
        ] {
            let what = &description["paths"][format!("/api/{path}")]["get"];
            assert!(what["responses"]["200"].is_object(), "{path}: {what}");
        }
    }
}
