//! What went wrong, as RFC 9457 problem details with what, value, allowed and where.

use axum::Json;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use propstick_garden::record::Untold;
use serde::Serialize;
use utoipa::ToSchema;

use crate::store::StoreError;

/// A problem as it is sent.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Problem {
    /// Which kind of problem, as a word.
    pub code: &'static str,
    /// HTTP status.
    pub status: u16,
    /// What is wrong, in a sentence.
    pub title: String,
    /// What was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// What is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<String>,
    /// Where it was found.
    #[serde(rename = "where", skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

impl Problem {
    /// Something of that name is not here.
    pub fn unknown(what: &str, value: &str, known: &[&str]) -> Problem {
        Problem {
            code: "not-found",
            status: 404,
            title: format!("There is no {what} of that name."),
            value: Some(value.to_owned()),
            allowed: (!known.is_empty()).then(|| known.join(", ")),
            place: None,
        }
    }

    /// A parameter that cannot be meant.
    pub fn bad(place: &str, value: &str, allowed: &str) -> Problem {
        Problem {
            code: "bad-parameter",
            status: 400,
            title: format!("{place} cannot be read."),
            value: Some(value.to_owned()),
            allowed: Some(allowed.to_owned()),
            place: Some(place.to_owned()),
        }
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

impl From<&Untold> for Problem {
    fn from(untold: &Untold) -> Problem {
        Problem {
            code: "bad-value",
            status: 422,
            title: format!("{} cannot be kept: {:?} {}.", untold.at, untold.value, untold.says),
            value: Some(untold.value.clone()),
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
        (status, [(header::CONTENT_TYPE, "application/problem+json")], Json(self)).into_response()
    }
}
