//! What went wrong, as RFC 9457 problem details with what, value, allowed and where.

use axum::Json;
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use propstick_garden::record::Untold;
use serde::Serialize;
use utoipa::ToSchema;

use crate::store::StoreError;

/// The media type of a problem.
pub(super) const PROBLEM_TYPE: &str = "application/problem+json";
/// Most characters of what was given that are said back.
const MOST_SAID_BACK: usize = 120;

/// A problem as it is sent.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Problem {
    /// Which kind of problem, as a word.
    pub code: &'static str,
    /// HTTP status.
    pub status: u16,
    /// What is wrong, in a sentence that names what was given and what is wanted.
    pub title: String,
    /// What was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// What is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<String>,
    /// Where it was found: the parameter, field or thing.
    #[serde(rename = "where", skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

impl Problem {
    /// Something of that name is not here.
    pub fn unknown(what: &str, value: &str, known: &[&str]) -> Problem {
        Problem {
            code: "not-found",
            status: 404,
            title: format!("There is no {what} {:?}.", shortened(value)),
            value: Some(shortened(value)),
            allowed: (!known.is_empty()).then(|| known.join(", ")),
            place: Some(what.to_owned()),
        }
    }

    /// A parameter that cannot be meant.
    pub fn bad(place: &str, value: &str, allowed: &str) -> Problem {
        Problem {
            code: "bad-parameter",
            status: 400,
            title: match value {
                "" => format!("{place} cannot be used; wanted: {allowed}."),
                value => format!("{place} cannot be {:?}; wanted: {allowed}.", shortened(value)),
            },
            value: Some(shortened(value)),
            allowed: Some(allowed.to_owned()),
            place: Some(place.to_owned()),
        }
    }

    /// What stands in the place of an answer that some layer around the answers gave without words.
    fn of_status(status: StatusCode) -> Problem {
        let (code, title) = match status {
            StatusCode::METHOD_NOT_ALLOWED => {
                ("method", "This cannot be asked for in this way; the header Allow names the ways there are.")
            }
            StatusCode::PAYLOAD_TOO_LARGE => {
                ("too-long", "The body is too long: 64 KiB at most, and 512 MiB for a file.")
            }
            StatusCode::GATEWAY_TIMEOUT => ("too-slow", "The answer took too long. Ask for less at once."),
            status if status.is_client_error() => {
                ("request", "The request cannot be used; /api/openapi.json describes what can.")
            }
            _ => ("inside", "The answer could not be worked out; the log says why."),
        };
        let (status, title) = (status.as_u16(), title.to_owned());
        Problem { code, status, title, value: None, allowed: None, place: None }
    }

    /// Not for everybody.
    pub fn forbidden(title: &str) -> Problem {
        Problem { code: "forbidden", status: 403, title: title.to_owned(), value: None, allowed: None, place: None }
    }

    /// What is there stands in the way.
    pub fn conflict(code: &'static str, title: &str) -> Problem {
        Problem { code, status: 409, title: title.to_owned(), value: None, allowed: None, place: None }
    }

    /// Something inside went wrong; what, stays inside.
    pub fn inside(title: &str) -> Problem {
        Problem { code: "inside", status: 500, title: title.to_owned(), value: None, allowed: None, place: None }
    }
}

/// Gives every failure below `/api/` the form of a problem, whoever refused.
pub(super) async fn in_words(request: Request, next: Next) -> Response {
    let of_api = request.uri().path().starts_with("/api/");
    let mut answer = next.run(request).await;
    let status = answer.status();
    let is_problem = answer.headers().get(header::CONTENT_TYPE).is_some_and(|t| t == PROBLEM_TYPE);
    if !of_api || is_problem || !(status.is_client_error() || status.is_server_error()) {
        return answer;
    }
    let mut problem = Problem::of_status(status).into_response();
    if let Some(allow) = answer.headers_mut().remove(header::ALLOW) {
        problem.headers_mut().insert(header::ALLOW, allow);
    }
    problem
}

/// As much of what was given as one wants to read back.
fn shortened(value: &str) -> String {
    match value.char_indices().nth(MOST_SAID_BACK) {
        Some((end, _)) => format!("{}…", &value[..end]),
        None => value.to_owned(),
    }
}

impl From<&Untold> for Problem {
    fn from(untold: &Untold) -> Problem {
        Problem {
            code: "bad-value",
            status: 422,
            title: match untold.value.as_str() {
                "" => format!("{} {}; wanted: {}.", untold.at, untold.says, untold.allowed),
                value => format!("{}: {:?} {}; wanted: {}.", untold.at, shortened(value), untold.says, untold.allowed),
            },
            value: Some(shortened(&untold.value)),
            allowed: Some(untold.allowed.clone()),
            place: Some(untold.at.clone()),
        }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Problem {
        tracing::error!(%error, "an answer could not be read from the store");
        Problem::inside("The store could not be read; the log says why.")
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        (status, [(header::CONTENT_TYPE, PROBLEM_TYPE)], Json(self)).into_response()
    }
}
