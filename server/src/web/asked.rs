//! The query or the body of a request, read into what the answer asks for; one that cannot be read is a problem like any other.

use axum::Json;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

use super::problem::Problem;

/// What a query asks for.
pub(super) struct Asked<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Asked<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Asked<T>, Problem> {
        let Query(asked) = Query::<T>::try_from_uri(&parts.uri).map_err(|error| {
            let text = error.body_text();
            let why = text.rsplit_once("query string: ").map_or(text.as_str(), |(_, why)| why);
            let allowed = format!("the parameters that /api/openapi.json describes ({})", plainly(why));
            Problem::bad("query", parts.uri.query().unwrap_or(""), &allowed)
        })?;
        Ok(Asked(asked))
    }
}

/// What a body says, as JSON.
pub(super) struct Sent<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Sent<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Sent<T>, Problem> {
        let Json(said) = Json::<T>::from_request(request, state).await.map_err(|error| {
            let text = error.body_text();
            let why = ["into the target type: ", "as JSON: ", "request body: "]
                .into_iter()
                .find_map(|lead| text.split_once(lead));
            let why = plainly(why.map_or(text.as_str(), |(_, why)| why));
            let allowed = format!("JSON as /api/openapi.json describes it, at most 64 KiB ({why})");
            Problem { status: error.status().as_u16(), ..Problem::bad("body", "", &allowed) }
        })?;
        Ok(Sent(said))
    }
}

/// What a parser says, without the names that types have in here.
fn plainly(why: &str) -> String {
    [
        ("expected f64", "expected a number"),
        ("expected i64", "expected a whole number"),
        ("expected u32", "expected a whole number from 0 on"),
    ]
    .into_iter()
    .fold(why.to_owned(), |why, (ours, plain)| why.replace(ours, plain))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Deserialize)]
    struct Points {
        points: Option<i64>,
        quantity: String,
    }

    async fn asked(uri: &str) -> Result<Points, Problem> {
        let (mut parts, ()) = axum::http::Request::builder().uri(uri).body(()).unwrap().into_parts();
        Asked::<Points>::from_request_parts(&mut parts, &()).await.map(|asked| asked.0)
    }

    #[tokio::test]
    async fn query_that_cannot_be_read_is_a_problem_with_what_value_allowed_and_where() {
        let good = asked("/a?quantity=rain&points=5").await.unwrap();
        assert_eq!((good.quantity.as_str(), good.points), ("rain", Some(5)));
        let problem = asked("/a?quantity=rain&points=many").await.unwrap_err();
        assert_eq!((problem.status, problem.value.as_deref()), (400, Some("quantity=rain&points=many")));
        assert_eq!(problem.place.as_deref(), Some("query"));
        assert!(problem.allowed.unwrap().contains("points: invalid digit"));
        assert!(asked("/a").await.unwrap_err().allowed.unwrap().contains("quantity"));
    }
}
