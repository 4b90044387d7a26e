//! The running program that has a data folder, asked over loopback with the token it left there.

use std::fs::File;
use std::path::Path;

use serde_json::Value;
use ureq::http::Response;
use ureq::{Body, Error};

use super::Failed;
use crate::store::folder::owner_of;

/// Longest answer that is read, in bytes.
const LONGEST: u64 = 64 << 20;

/// The running program, and the token it takes.
pub(super) struct Owner {
    address: String,
    token: String,
}

impl Owner {
    /// Whoever has the folder.
    pub(super) fn of(folder: &Path) -> Result<Owner, Failed> {
        let Some((address, token)) = owner_of(folder) else {
            return Err(Failed::work(format!(
                "{}: another Propstick has this folder and left no address; try again in a moment",
                folder.display()
            )));
        };
        Ok(Owner { address, token })
    }

    /// What is answered below `/api/`.
    pub(super) fn get(&self, path: &str, query: &[(&str, &str)]) -> Result<Value, Failed> {
        let asked = query.iter().fold(ureq::get(self.url(path)), |asked, (name, value)| asked.query(name, value));
        answered(asked.header("Authorization", self.bearer()).config().http_status_as_error(false).build().call())
    }

    /// What comes of telling it `body`.
    pub(super) fn post(&self, path: &str, body: &Value) -> Result<Value, Failed> {
        let told = ureq::post(self.url(path)).header("Content-Type", "application/json");
        let told = told.header("Authorization", self.bearer()).config().http_status_as_error(false).build();
        answered(told.send(body.to_string()))
    }

    /// What comes of sending it a file.
    pub(super) fn send(&self, path: &str, name: &str, file: File) -> Result<Value, Failed> {
        let sent = ureq::post(self.url(path)).query("name", name).header("Content-Type", "application/octet-stream");
        let sent = sent.header("Authorization", self.bearer()).config().http_status_as_error(false).build();
        answered(sent.send(file))
    }

    /// What comes of having it take something away.
    pub(super) fn delete(&self, path: &str) -> Result<Value, Failed> {
        let asked = ureq::delete(self.url(path)).header("Authorization", self.bearer());
        answered(asked.config().http_status_as_error(false).build().call())
    }

    fn url(&self, path: &str) -> String {
        format!("http://{}/api/{path}", self.address)
    }

    fn bearer(&self) -> String {
        format!("Bearer {}", self.token)
    }
}

/// What the running program answered; null where it answered well without words.
fn answered(came: Result<Response<Body>, Error>) -> Result<Value, Failed> {
    let mut came = came.map_err(|e| Failed::work(format!("the running Propstick did not answer: {e}")))?;
    let is_well = came.status().is_success();
    let text = came.body_mut().with_config().limit(LONGEST).read_to_string();
    let text = text.map_err(|e| Failed::work(format!("the running Propstick broke off: {e}")))?;
    let value: Value = serde_json::from_str(&text).unwrap_or_default();
    if is_well { Ok(value) } else { Err(refused(&value)) }
}

/// A problem in its own words, with what is allowed where they do not say it.
pub(super) fn refused(problem: &Value) -> Failed {
    let title = problem["title"].as_str().unwrap_or("the running Propstick did not take it").trim_end_matches('.');
    let allowed = problem["allowed"].as_str().filter(|allowed| !title.contains(allowed));
    let allowed = allowed.map(|allowed| format!("; allowed: {allowed}")).unwrap_or_default();
    let says = format!("{title}{allowed}");
    if problem["status"].as_u64().is_some_and(|status| status < 500) { Failed::given(says) } else { Failed::work(says) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn refusal_is_said_once_with_what_is_allowed_and_ends_as_what_it_is() {
        let said = |problem: Value| {
            let failed = refused(&problem);
            (failed.code, failed.says)
        };
        let full = json!({"status": 422, "title": "what: \"ajar\" is not known here; wanted: closed, crack.", "allowed": "closed, crack"});
        assert_eq!(said(full), (2, "what: \"ajar\" is not known here; wanted: closed, crack".to_owned()));
        let short = json!({"status": 404, "title": "There is no spot \"x\".", "allowed": "a, b"});
        assert_eq!(said(short), (2, "There is no spot \"x\"; allowed: a, b".to_owned()));
        assert_eq!(said(json!({"status": 500, "title": "The disk is full."})), (1, "The disk is full".to_owned()));
        assert_eq!(said(Value::Null).0, 1);
    }
}
