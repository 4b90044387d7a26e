//! The stream of pointers to what changed. It never carries a figure.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Serialize;
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::mpsc;
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;
use utoipa::ToSchema;

use super::Desk;
use super::answers::instant;
use crate::engine::Change;

/// What changed.
#[derive(Serialize, ToSchema)]
pub struct Pointer {
    /// `now`, `hours`, `advice`, `boards`, `garden` or `all`.
    what: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    structure: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<String>,
}

impl From<Change> for Pointer {
    fn from(c: Change) -> Pointer {
        Pointer { what: c.what, structure: c.structure, from: c.from.map(instant), to: c.to.map(instant) }
    }
}

/// Server-sent events `changed` that point at what to fetch anew; a client that is too slow gets one that says `all`.
#[utoipa::path(get, path = "/api/live", responses((status = 200, body = Pointer, content_type = "text/event-stream")))]
pub(super) async fn live(State(desk): State<Desk>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let mut changes = desk.windows.live.subscribe();
    let stop = desk.stop.clone();
    let (tx, rx) = mpsc::channel(16);
    tokio::spawn(async move {
        loop {
            let pointer = tokio::select! {
                () = stop.stopped() => return,
                () = tx.closed() => return,
                change = changes.recv() => match change {
                    Ok(change) => Pointer::from(change),
                    Err(RecvError::Lagged(_)) => Pointer { what: "all", structure: None, from: None, to: None },
                    Err(RecvError::Closed) => return,
                },
            };
            let Ok(event) = Event::default().event("changed").json_data(pointer) else { return };
            if tx.send(Ok(event)).await.is_err() {
                return;
            }
        }
    });
    Sse::new(ReceiverStream::new(rx)).keep_alive(KeepAlive::new().interval(Duration::from_secs(20)))
}
