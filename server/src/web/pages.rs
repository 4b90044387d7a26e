//! The pages, from bytes in the program.

#[cfg(feature = "pages")]
use axum::http::header;
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use axum::response::{IntoResponse, Response};

use super::problem::Problem;

/// A page, a part of one, or the plain word that there is none.
pub(super) async fn page(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    if uri.path().starts_with("/api/") {
        return Problem::unknown("answer", uri.path(), &[]).into_response();
    }
    if method != Method::GET && method != Method::HEAD {
        return StatusCode::METHOD_NOT_ALLOWED.into_response();
    }
    find(uri.path(), &headers)
}

#[cfg(feature = "pages")]
fn find(path: &str, headers: &HeaderMap) -> Response {
    let Some(page) = propstick_pages::page(path) else {
        return (StatusCode::NOT_FOUND, "There is no such page.\n").into_response();
    };
    let kept = (header::CACHE_CONTROL, page.cache_control());
    if headers.get(header::IF_NONE_MATCH).and_then(|t| t.to_str().ok()) == Some(page.etag) {
        return (StatusCode::NOT_MODIFIED, [(header::ETAG, page.etag), kept]).into_response();
    }
    let named = [(header::CONTENT_TYPE, page.mime), (header::ETAG, page.etag), kept, (header::VARY, "accept-encoding")];
    let takes_gzip =
        headers.get(header::ACCEPT_ENCODING).and_then(|a| a.to_str().ok()).is_some_and(|a| a.contains("gzip"));
    match page.gzip {
        Some(gzip) if takes_gzip => (named, [(header::CONTENT_ENCODING, "gzip")], gzip).into_response(),
        _ => (named, page.bytes).into_response(),
    }
}

#[cfg(not(feature = "pages"))]
fn find(_path: &str, _headers: &HeaderMap) -> Response {
    (StatusCode::NOT_FOUND, "This Propstick was built without its pages; its API is under /api/.\n").into_response()
}
