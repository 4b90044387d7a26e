//! Only those who called this machine by its own name are answered: a web page elsewhere cannot borrow a visitor's browser to read here.
//! Who wants to change something shows the token of this machine's commands, or comes from our own pages.

use axum::extract::{FromRequestParts, Request};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::Desk;
use super::problem::Problem;

/// Passes a request on if its Host names loopback.
pub(super) async fn own_host_only(request: Request, next: Next) -> Response {
    let host = request.headers().get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or("");
    if is_loopback(host) {
        next.run(request).await
    } else {
        Problem::forbidden("Until sign-in exists, pages are for this machine only: call it localhost.").into_response()
    }
}

/// Shows that a request may change something: it shows the token of this machine's commands, or a page of ours has sent it. Stands before the
/// body in a handler's arguments, so that nothing of a stranger's is read.
pub(super) struct Allowed;

impl FromRequestParts<Desk> for Allowed {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, desk: &Desk) -> Result<Allowed, Problem> {
        if shows_token(desk, &parts.headers) || is_from_our_pages(&parts.headers) {
            return Ok(Allowed);
        }
        Err(Problem::forbidden(
            "Only this program's own pages, and commands that show the token in the data folder, may change something.",
        ))
    }
}

/// Whether a request shows the token that stands in the data folder for this machine's commands.
pub(super) fn shows_token(desk: &Desk, headers: &HeaderMap) -> bool {
    let shown =
        headers.get(header::AUTHORIZATION).and_then(|h| h.to_str().ok()).and_then(|h| h.strip_prefix("Bearer "));
    shown.is_some_and(|t| same(t.as_bytes(), desk.token.as_bytes()))
}

/// A browser names the page that a changing request comes from; it must be one that this program serves.
fn is_from_our_pages(headers: &HeaderMap) -> bool {
    let text = |name| headers.get(name).and_then(|h| h.to_str().ok());
    match (text(header::ORIGIN).and_then(|origin| origin.strip_prefix("http://")), text(header::HOST)) {
        (Some(origin), Some(host)) => origin == host,
        _ => false,
    }
}

/// Compares without telling by its time where the first difference is.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && !a.is_empty() && a.iter().zip(b).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

fn is_loopback(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(v6) => return v6.split(']').next() == Some("::1"),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    name == "localhost" || name.parse::<std::net::Ipv4Addr>().is_ok_and(|a| a.is_loopback())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn change_from_a_page_elsewhere_or_from_nowhere_is_not_ours() {
        let ours = |origin: Option<&str>| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, "localhost:8737".parse().unwrap());
            if let Some(origin) = origin {
                headers.insert(header::ORIGIN, origin.parse().unwrap());
            }
            is_from_our_pages(&headers)
        };
        assert!(ours(Some("http://localhost:8737")));
        for origin in [
            None,
            Some("http://localhost:80"),
            Some("http://garden.example"),
            Some("null"),
            Some("https://localhost:8737"),
        ] {
            assert!(!ours(origin), "{origin:?}");
        }
    }

    #[test]
    fn names_of_this_machine_pass_and_others_do_not() {
        for host in ["localhost", "localhost:8737", "127.0.0.1:80", "127.8.9.1", "[::1]:8737"] {
            assert!(is_loopback(host), "{host}");
        }
        for host in ["", "garden.example", "127.0.0.1.example", "localhost.example:80", "10.0.0.1", "[::2]:80"] {
            assert!(!is_loopback(host), "{host}");
        }
    }
}
