//! What events and observations have in common on their way in and out.

use axum::http::{HeaderMap, StatusCode};
use serde::Deserialize;
use std::sync::mpsc::SyncSender;
use utoipa::IntoParams;

use super::Desk;
use super::answers::parse_stretch;
use super::problem::Problem;
use super::readers::in_background;
use crate::engine::{Command, Told};
use crate::store::garden::told::{Undone, Wanted};

/// The header by which a client says that two requests are one and the same.
const KEY: &str = "idempotency-key";
/// As many are given where nobody says how many.
const USUAL: u32 = 100;
/// As many at most.
const MOST: u32 = 1_000;

/// Which things told are asked for.
#[derive(Clone, Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(super) struct ToldAsked {
    /// Not earlier than this.
    from: Option<String>,
    /// Earlier than this.
    to: Option<String>,
    /// Of the opening, bed, cover or structure of that slug alone.
    target: Option<String>,
    /// Of that kind alone.
    kind: Option<String>,
    /// Those taken back, too.
    undone: Option<bool>,
    /// At most so many, 1 to 1000; 100 if left out.
    limit: Option<i64>,
}

impl ToldAsked {
    /// What is wanted of a store; `kinds` are those there are.
    pub(super) fn wanted(self, kinds: &[&str]) -> Result<Wanted, Problem> {
        let (from, to) = parse_stretch(self.from.as_deref(), self.to.as_deref())?;
        if let Some(kind) = self.kind.as_deref().filter(|kind| !kinds.contains(kind)) {
            return Err(Problem::bad("kind", kind, &kinds.join(", ")));
        }
        let limit = self.limit.map_or(Some(USUAL), |n| u32::try_from(n).ok()).filter(|n| (1..=MOST).contains(n));
        let Some(limit) = limit else {
            let asked = self.limit.unwrap_or_default().to_string();
            return Err(Problem::bad("limit", &asked, &format!("1 to {MOST}")));
        };
        let undone = self.undone.unwrap_or(false);
        Ok(Wanted { from, to, target: self.target, kind: self.kind, undone, limit })
    }
}

/// The client's key of a request, if it has one.
pub(super) fn key(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let Some(key) = headers.get(KEY) else { return Ok(None) };
    let text = key.to_str().unwrap_or_default().trim();
    let fits = (1..=128).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_graphic() || b == b' ');
    if fits {
        return Ok(Some(text.to_owned()));
    }
    Err(Problem::bad(
        "Idempotency-Key",
        &String::from_utf8_lossy(key.as_bytes()),
        "1 to 128 printable ASCII characters",
    ))
}

/// Tells the engine something, and waits for what comes of it and until everything that follows from it is worked out.
pub(super) async fn tell<T: Send + 'static>(
    desk: &Desk,
    told: impl FnOnce(SyncSender<T>) -> Told + Send + 'static,
) -> Result<T, Problem> {
    let Some(engine) = desk.doors.get().map(|doors| doors.engine.clone()) else {
        return Err(Problem::forbidden("History is being shown or laid down; nothing can be told now."));
    };
    let at = desk.windows.clock.now();
    in_background(move || {
        let came = engine.ask_for(|reply| Command::Told(Box::new(told(reply)), at));
        came.filter(|_| engine.wait_settled()).ok_or_else(|| Problem::inside("It could not be kept; the log says why."))
    })
    .await
}

/// The number in a path.
pub(super) fn number(what: &str, text: &str) -> Result<i64, Problem> {
    text.parse().map_err(|_| Problem::unknown(what, text, &[]))
}

/// What was taken back, or why not.
pub(super) fn taken_back<T>(what: &str, id: i64, undone: Undone<T>) -> Result<T, Problem> {
    match undone {
        Undone::Now(one) => Ok(one),
        Undone::Before(_) => {
            let says = format!(
                "Number {id} was taken back before, and that stays so. If it was right after all, tell it again."
            );
            Err(Problem { value: Some(id.to_string()), ..Problem::conflict("already-undone", &says) })
        }
        Undone::Unknown => Err(Problem::unknown(what, &id.to_string(), &[])),
    }
}

/// 201 for what is kept from now on; 200 for what was kept before under the same key. Another thing under a key that is taken is refused.
pub(super) fn kept_once(is_new: bool, is_same: bool) -> Result<StatusCode, Problem> {
    match (is_new, is_same) {
        (true, _) => Ok(StatusCode::CREATED),
        (false, true) => Ok(StatusCode::OK),
        (false, false) => Err(Problem::conflict(
            "key-taken",
            "Something else was kept under this Idempotency-Key. Every thing told needs a key of its own.",
        )),
    }
}
