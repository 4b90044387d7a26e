//! The API and the pages over HTTP: one router, built apart from the socket. It reads; it never writes a store.

mod advice;
mod answers;
mod asked;
mod boards;
mod days;
mod guard;
mod health;
mod live;
mod logins;
mod pages;
mod problem;
mod readers;
mod readings;
mod structures;

use std::sync::{Arc, OnceLock};
use std::time::Duration;

use axum::Router;
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

pub use readers::Views;

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
    description = "What the air under each cover is and was, and what to do about it. Times are RFC 3339 in UTC; errors are RFC 9457.",
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
        .routes(routes!(advice::advice))
        .routes(routes!(boards::boards))
        .routes(routes!(boards::rejects))
        .routes(routes!(live::live))
        .routes(routes!(logins::keep, logins::list))
        .routes(routes!(logins::drop_one))
}

/// The description of the API: OpenAPI 3.1 as JSON.
pub fn description() -> String {
    let (_, description) = api().split_for_parts();
    description.to_pretty_json().unwrap_or_default()
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
    let (api, description) = api().split_for_parts();
    let description: Arc<str> = description.to_json().unwrap_or_default().into();
    let csp = HeaderValue::from_static(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; manifest-src 'self'; \
         base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    );
    // The limit is for the beginning of an answer; a stream that has begun goes on.
    let timed = TimeoutLayer::with_status_code(StatusCode::GATEWAY_TIMEOUT, Duration::from_secs(30));
    api.route(
        "/api/openapi.json",
        axum::routing::get(move || {
            let description = Arc::clone(&description);
            async move { ([(header::CONTENT_TYPE, "application/json")], description.to_string()) }
        }),
    )
    .layer(timed)
    .fallback(pages::page)
    .layer(middleware::from_fn(guard::own_host_only))
    .layer(SetResponseHeaderLayer::overriding(header::CONTENT_SECURITY_POLICY, csp))
    .layer(SetResponseHeaderLayer::overriding(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")))
    .layer(SetResponseHeaderLayer::overriding(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer")))
    .layer(CompressionLayer::new())
    .layer(RequestBodyLimitLayer::new(64 << 10))
    .layer(CatchPanicLayer::new())
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
            "live",
        ] {
            let what = &description["paths"][format!("/api/{path}")]["get"];
            assert!(what["responses"]["200"].is_object(), "{path}: {what}");
        }
    }
}
