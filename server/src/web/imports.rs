//! Imports: what was taken in from files, taking a file in, and taking it back whole.

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use tokio_stream::wrappers::ReceiverStream;
use utoipa::ToSchema;

use super::Desk;
use super::answers::instant;
use super::asked::Sent;
use super::guard::Allowed;
use super::problem::Problem;
use super::readers::{answer, in_background};
use super::uploads::{found, quiet};
use crate::files::import::{
    How, ImportTrouble, OnDisk, Uploads, known, mapping_from, new_origin, press, take_in, unpack,
};
use crate::store::imports::{Imported, Origin};
use crate::store::{Readings, folder};

/// What was taken in from files.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ImportsAnswer {
    imports: Vec<ImportPart>,
}

/// A file that was taken in.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ImportPart {
    /// Its number, by which it is taken back.
    id: i64,
    label: String,
    made_at: String,
    file: Option<String>,
    sha256: Option<String>,
    /// The zone its times were read in.
    zone: Option<String>,
    /// Readings that are kept of it.
    readings: u64,
    first: Option<String>,
    last: Option<String>,
    devices: Vec<String>,
}

/// A file that was taken in, with how it was read and what was found.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ImportAnswer {
    #[serde(flatten)]
    import: ImportPart,
    /// The mapping it was read by, as a mapping file; or the name of a form of our own.
    mapping: String,
    /// What was found in it and what was set aside.
    #[schema(value_type = Object)]
    report: Value,
    /// What the ledger did with it; only in the answer to the import itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    stored: Option<StoredPart>,
}

/// What the ledger did with a file's readings.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StoredPart {
    /// Readings stored.
    readings: u64,
    /// Repeats within the file.
    twice_same: u64,
    /// Second values for one instant within the file: the smaller counts, the other is kept beside it.
    twice_other: u64,
    /// Instants that were known before, with the same value.
    known_same: u64,
    /// Instants that were known before with another value: what came first counts.
    known_other: u64,
}

impl From<Imported> for StoredPart {
    fn from(i: Imported) -> StoredPart {
        StoredPart {
            readings: i.readings,
            twice_same: i.twice_same,
            twice_other: i.twice_other,
            known_same: i.known_same,
            known_other: i.known_other,
        }
    }
}

/// A file to be taken in.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ImportOrder {
    /// The upload.
    upload: String,
    /// The mapping file; left out for one of our own exports.
    mapping: Option<String>,
    /// What the import is to be called; the file's name if left out.
    label: Option<String>,
    /// Take it in although these very bytes were taken in before.
    #[serde(default)]
    again: bool,
}

/// What taking back removed.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TakenBackAnswer {
    /// Readings removed.
    readings: u64,
}

impl From<&Origin> for ImportPart {
    fn from(o: &Origin) -> ImportPart {
        ImportPart {
            id: o.id,
            label: o.label.clone(),
            made_at: instant(o.made_at),
            file: o.file.clone(),
            sha256: o.sha256.clone(),
            zone: o.zone.clone(),
            readings: o.readings,
            first: o.first.map(instant),
            last: o.last.map(instant),
            devices: o.devices.clone(),
        }
    }
}

impl From<&Origin> for ImportAnswer {
    fn from(o: &Origin) -> ImportAnswer {
        let report = o.report.as_deref().and_then(|text| serde_json::from_str(text).ok()).unwrap_or(Value::Null);
        ImportAnswer { import: o.into(), mapping: o.mapping.clone().unwrap_or_default(), report, stored: None }
    }
}

impl ImportAnswer {
    /// The answer to an import itself: what is kept, and what the ledger did with it.
    pub fn taken(kept: &Origin, imported: Imported) -> ImportAnswer {
        ImportAnswer { stored: Some(imported.into()), ..ImportAnswer::from(kept) }
    }
}

/// What was taken in from files.
#[utoipa::path(get, path = "/api/imports", responses((status = 200, body = ImportsAnswer)))]
pub(super) async fn imports(State(desk): State<Desk>) -> Result<Json<ImportsAnswer>, Problem> {
    let all = answer(&desk, |views, _, _| Ok(views.readings.origins()?)).await?;
    Ok(Json(ImportsAnswer { imports: all.iter().map(ImportPart::from).collect() }))
}

/// One of them, with how it was read and what was found.
#[utoipa::path(get, path = "/api/imports/{id}", params(("id" = i64, Path, description = "Number of the import")),
    responses((status = 200, body = ImportAnswer), (status = 404, body = Problem)))]
pub(super) async fn import(State(desk): State<Desk>, Path(id): Path<String>) -> Result<Json<ImportAnswer>, Problem> {
    answer(&desk, move |views, _, _| origin(&views.readings, &id).map(|o| ImportAnswer::from(&o))).await.map(Json)
}

/// The file itself, as it came.
#[utoipa::path(get, path = "/api/imports/{id}/file", params(("id" = i64, Path, description = "Number of the import")),
    responses((status = 200, body = Vec<u8>, content_type = "application/octet-stream"), (status = 404, body = Problem)))]
pub(super) async fn file(State(desk): State<Desk>, Path(id): Path<String>) -> Result<Response, Problem> {
    let readings = folder::readings_path(&desk.windows.folder);
    let wanted = answer(&desk, move |views, _, _| origin(&views.readings, &id)).await?;
    let (send, pieces) = tokio::sync::mpsc::channel::<std::io::Result<Vec<u8>>>(4);
    let id = wanted.id;
    tokio::task::spawn_blocking(move || {
        let done = Readings::open(&readings).and_then(|r| unpack(&r, id, Pipe(send.clone())));
        if let Err(error) = done {
            tracing::error!(%error, "the file of an import could not be read");
            let _ = send.blocking_send(Err(std::io::Error::other("the store could not be read")));
        }
    });
    let name: String = wanted.file.unwrap_or_default().chars().filter(|c| c.is_ascii_graphic() && *c != '"').collect();
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, Body::from_stream(ReceiverStream::new(pieces))).into_response())
}

/// Takes an upload in as an import, all of it or nothing.
#[utoipa::path(post, path = "/api/imports", request_body = ImportOrder, responses((status = 201, body = ImportAnswer),
    (status = 400, body = Problem), (status = 403, body = Problem), (status = 404, body = Problem), (status = 409, body = Problem),
    (status = 422, body = Problem)))]
pub(super) async fn take(
    _: Allowed,
    State(desk): State<Desk>,
    Sent(order): Sent<ImportOrder>,
) -> Result<(StatusCode, Json<ImportAnswer>), Problem> {
    let Some(doors) = desk.doors.get().cloned() else {
        return Err(Problem::forbidden("History is being shown or laid down; nothing can be taken in now."));
    };
    let (data, now) = (desk.windows.folder.clone(), desk.windows.clock.now());
    in_background(move || {
        let upload = found(&data, &order.upload)?;
        let source = OnDisk::open(&upload.path, &quiet).map_err(|_| Problem::unknown("upload", &order.upload, &[]))?;
        let identity = source.identify().map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        let readings = Readings::open(&folder::readings_path(&data))?;
        let before = known(&readings, &identity)?;
        if let (Some(before), false) = (before.first(), order.again) {
            return Err(Problem::conflict(
                "already-imported",
                &format!(
                    "These very bytes were taken in before, as import {} ({}). Take that back first, or say again.",
                    before.id, before.label
                ),
            ));
        }
        let how = match (&order.mapping, identity.form) {
            (Some(text), _) => mapping_from(text).map_err(|what| Problem::bad("mapping", &what, "a mapping file"))?,
            (None, Some(form)) => How::Ours(form),
            (None, None) => return Err(Problem::bad("mapping", "", "a mapping file: this is none of our own exports")),
        };
        let pressed = Uploads::below(&data).scratch(&upload.id).map_err(|e| {
            tracing::error!(error = %e, "no room beside the uploads");
            Problem::inside("The file could not be prepared; the log says why.")
        })?;
        let label = order.label.as_deref().map_or(upload.name.as_str(), str::trim).to_owned();
        let label = if label.is_empty() { upload.name.clone() } else { label };
        let origin = new_origin(&identity, &how, (label, &upload.name), now, &pressed);
        let path = upload.path.clone();
        let taken = press(&source, &identity, &pressed).and_then(|()| {
            let errand = move |ledger: &mut crate::store::Ledger| {
                let source = OnDisk::open(&path, &quiet)?;
                take_in(ledger, &source, &how, &origin)
            };
            doors.ledger.run(errand).unwrap_or_else(|| {
                Err(ImportTrouble::Misfit("the ledger has stopped; start Propstick again".to_owned()))
            })
        });
        let _ = std::fs::remove_file(&pressed);
        let taken = taken.map_err(|trouble| refused(&trouble))?;
        doors.engine.wait_settled();
        Uploads::below(&data).drop(&upload);
        let kept = origin_of(&readings, taken.imported.origin)?;
        Ok((StatusCode::CREATED, Json(ImportAnswer::taken(&kept, taken.imported))))
    })
    .await
}

/// Takes an import back whole: its readings go, and what is left is as if it had never been.
#[utoipa::path(delete, path = "/api/imports/{id}", params(("id" = i64, Path, description = "Number of the import")),
    responses((status = 200, body = TakenBackAnswer), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn take_back(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
) -> Result<Json<TakenBackAnswer>, Problem> {
    let Some(doors) = desk.doors.get().cloned() else {
        return Err(Problem::forbidden("History is being shown or laid down; nothing can be taken back now."));
    };
    let wanted = answer(&desk, move |views, _, _| origin(&views.readings, &id)).await?.id;
    in_background(move || {
        let done = doors.ledger.undo_import(wanted);
        let Some(done) = done else { return Err(Problem::inside("The ledger has stopped.")) };
        doors.engine.wait_settled();
        Ok(Json(TakenBackAnswer { readings: done? }))
    })
    .await
}

/// A file that was not taken in, as a problem.
pub(super) fn refused(trouble: &ImportTrouble) -> Problem {
    match trouble {
        ImportTrouble::Misfit(_) | ImportTrouble::Nothing(_) => {
            Problem { code: "not-readable", status: 422, title: sentence(&trouble.to_string()), ..Problem::inside("") }
        }
        ImportTrouble::Unreadable(_) | ImportTrouble::Store(_) => {
            tracing::error!(error = %trouble, "a file was not taken in");
            Problem::inside(&sentence(&trouble.to_string()))
        }
    }
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}

fn origin(readings: &Readings, id: &str) -> Result<Origin, Problem> {
    let number = id.parse().map_err(|_| Problem::unknown("import", id, &[]))?;
    origin_of(readings, number)
}

fn origin_of(readings: &Readings, id: i64) -> Result<Origin, Problem> {
    let found = readings.origins()?.into_iter().find(|o| o.id == id);
    found.ok_or_else(|| Problem::unknown("import", &id.to_string(), &[]))
}

/// Writes go out as pieces of an answer.
struct Pipe(tokio::sync::mpsc::Sender<std::io::Result<Vec<u8>>>);

impl std::io::Write for Pipe {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let gone = |_| std::io::Error::from(std::io::ErrorKind::BrokenPipe);
        self.0.blocking_send(Ok(bytes.to_vec())).map_err(gone)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}
