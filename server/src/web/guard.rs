//! Only those who called this machine by its own name are answered: a web page elsewhere cannot borrow a visitor's browser to read here.

use axum::extract::Request;
use axum::http::header;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

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
    fn names_of_this_machine_pass_and_others_do_not() {
        for host in ["localhost", "localhost:8737", "127.0.0.1:80", "127.8.9.1", "[::1]:8737"] {
            assert!(is_loopback(host), "{host}");
        }
        for host in ["", "garden.example", "127.0.0.1.example", "localhost.example:80", "10.0.0.1", "[::2]:80"] {
            assert!(!is_loopback(host), "{host}");
        }
    }
}
