//! Uploads: a file that waits, what is made of it, and what a mapping would make of it. Nothing is stored in the ledger here.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path as FilePath;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use propstick_garden::table::Report;
use propstick_garden::table::propose::{Hints, Proposal};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use tokio_stream::StreamExt;
use utoipa::ToSchema;

use super::Desk;
use super::asked::{Asked, Sent};
use super::guard::Allowed;
use super::imports::refused;
use super::problem::Problem;
use super::readers::in_background;
use crate::files::import::{
    ImportTrouble, OnDisk, Suggestion, Upload, Uploads, form_name, known, mapping_from, order_from, rehearse,
    stamp_from, suggest,
};
use crate::house::new_password;
use crate::store::{Readings, folder};

/// What is sent along with a file.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct UploadQuery {
    name: Option<String>,
}

/// A file that waits.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct UploadAnswer {
    /// Its number; it is forgotten when the program ends, or when eight others have come.
    upload: String,
    name: String,
    bytes: u64,
    sha256: String,
    /// The form of our own that it has, if any: then it needs no mapping.
    form: Option<&'static str>,
    /// Imports that took in these very bytes.
    imported_as: Vec<i64>,
}

/// What a person knows of a file beyond what stands in it.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct HintsPart {
    /// Name of the logger, which becomes part of its device's name: a-z, 0-9 and '-'.
    name: Option<String>,
    /// Column with the time, where several hold different times.
    time: Option<String>,
    /// A zone such as Europe/Dublin, an offset such as +01:00, or UTC.
    zone: Option<String>,
    /// ymd, dmy or mdy.
    order: Option<String>,
    /// Which end of an interval its time is: start or end.
    stamp: Option<String>,
    /// Units by column.
    units: BTreeMap<String, String>,
    /// Quantities by column; "-" leaves a column out.
    quantities: BTreeMap<String, String>,
}

/// What is made of a file.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SuggestionAnswer {
    /// `ours`, `understood`, `open` (questions are to be answered first) or `lost`.
    outcome: &'static str,
    /// How it would be read, as a mapping file; what is not known yet stands there as a comment.
    mapping: Option<String>,
    /// What was decided, and why.
    #[schema(value_type = Vec<Object>)]
    because: Value,
    /// What a person has to say, with the answers that are possible.
    #[schema(value_type = Vec<Object>)]
    questions: Value,
    /// Columns that are left out, each with the reason.
    left_out: Vec<(String, String)>,
    /// What looks odd.
    #[schema(value_type = Vec<Object>)]
    cautions: Value,
    /// Where nothing was understood: what was tried.
    tried: Vec<String>,
    /// And what is missing.
    missing: Vec<String>,
    /// What would be read and set aside, with a few rows read out.
    #[schema(value_type = Option<Object>)]
    report: Value,
}

/// A mapping to be tried.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PreviewOrder {
    /// The mapping file.
    mapping: String,
}

/// Sends a file, as its bytes. It waits until it is taken in, or thrown away.
#[utoipa::path(post, path = "/api/uploads", request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    params(("name" = Option<String>, Query, description = "Name of the file")),
    responses((status = 201, body = UploadAnswer), (status = 403, body = Problem), (status = 413, description = "Longer than 512 MiB")))]
pub(super) async fn send(
    _: Allowed,
    State(desk): State<Desk>,
    Asked(query): Asked<UploadQuery>,
    body: Body,
) -> Result<(StatusCode, Json<UploadAnswer>), Problem> {
    let data = desk.windows.folder.clone();
    let (pieces, mut to_disk) = tokio::sync::mpsc::channel::<axum::body::Bytes>(16);
    let writing = tokio::task::spawn_blocking(move || -> std::io::Result<Upload> {
        let secret = new_password().map_err(std::io::Error::other)?;
        let upload = Uploads::below(&data).begin(&secret, query.name.as_deref().unwrap_or("file"))?;
        let mut file = std::fs::File::create_new(&upload.path)?;
        let mut done = Ok(());
        while let Some(piece) = to_disk.blocking_recv() {
            done = file.write_all(&piece);
            if done.is_err() {
                break;
            }
        }
        if let Err(error) = done {
            Uploads::below(&data).drop(&upload);
            return Err(error);
        }
        Ok(upload)
    });
    let mut stream = body.into_data_stream();
    let mut broken = false;
    while let Some(piece) = stream.next().await {
        match piece {
            Ok(piece) => broken |= pieces.send(piece).await.is_err(),
            Err(_) => broken = true,
        }
        if broken {
            break;
        }
    }
    drop(pieces);
    let upload = match writing.await {
        Ok(Ok(upload)) => upload,
        Ok(Err(error)) => {
            tracing::error!(%error, "an upload could not be written");
            return Err(Problem::inside("The file could not be written to the data folder; is the disk full?"));
        }
        Err(_) => return Err(Problem::inside("The file could not be taken.")),
    };
    let data = desk.windows.folder.clone();
    if broken {
        Uploads::below(&data).drop(&upload);
        let problem = Problem::bad("body", &upload.name, "a whole file of at most 512 MiB");
        return Err(Problem { code: "too-long", status: 413, ..problem });
    }
    in_background(move || {
        let source = OnDisk::open(&upload.path, &quiet).map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        let identity = source.identify().map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        let before = known(&Readings::open(&folder::readings_path(&data))?, &identity)?;
        let answer = UploadAnswer {
            upload: upload.id.clone(),
            name: upload.name.clone(),
            bytes: source.bytes(),
            sha256: identity.sha256,
            form: identity.form.map(form_name),
            imported_as: before.iter().map(|o| o.id).collect(),
        };
        Ok((StatusCode::CREATED, Json(answer)))
    })
    .await
}

/// Throws an upload away.
#[utoipa::path(delete, path = "/api/uploads/{upload}", params(("upload" = String, Path, description = "Number of the upload")),
    responses((status = 204), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn throw_away(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
) -> Result<StatusCode, Problem> {
    let data = desk.windows.folder.clone();
    in_background(move || {
        let upload = found(&data, &id)?;
        Uploads::below(&data).drop(&upload);
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Works out how a file may be read: what was decided and why, what has to be asked, and what would come of it.
#[utoipa::path(post, path = "/api/uploads/{upload}/proposal", request_body = HintsPart,
    params(("upload" = String, Path, description = "Number of the upload")),
    responses((status = 200, body = SuggestionAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn proposal(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
    Sent(hints): Sent<HintsPart>,
) -> Result<Json<SuggestionAnswer>, Problem> {
    let (data, now, garden) = (desk.windows.folder.clone(), desk.windows.clock.now(), desk.windows.garden());
    in_background(move || {
        let upload = found(&data, &id)?;
        let hints = hints.read(&upload.name, garden.zone)?;
        let source = OnDisk::open(&upload.path, &quiet).map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        let identity = source.identify().map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        let suggestion = suggest(&source, &identity, &hints, now).map_err(|trouble| refused(&trouble))?;
        Ok(Json(SuggestionAnswer::from(suggestion)))
    })
    .await
}

/// What a mapping would make of a file. Nothing is stored.
#[utoipa::path(post, path = "/api/uploads/{upload}/preview", request_body = PreviewOrder,
    params(("upload" = String, Path, description = "Number of the upload")),
    responses((status = 200, body = Object), (status = 400, body = Problem), (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(super) async fn preview(
    _: Allowed,
    State(desk): State<Desk>,
    Path(id): Path<String>,
    Sent(order): Sent<PreviewOrder>,
) -> Result<Json<Report>, Problem> {
    let (data, now) = (desk.windows.folder.clone(), desk.windows.clock.now());
    in_background(move || {
        let upload = found(&data, &id)?;
        let how = mapping_from(&order.mapping).map_err(|what| Problem::bad("mapping", &what, "a mapping file"))?;
        let source = OnDisk::open(&upload.path, &quiet).map_err(|e| refused(&ImportTrouble::Unreadable(e)))?;
        rehearse(&source, &how, now).map(Json).map_err(|trouble| refused(&trouble))
    })
    .await
}

impl HintsPart {
    fn read(self, file_name: &str, garden_zone: chrono_tz::Tz) -> Result<Hints, Problem> {
        let zone = self.zone.map(|text| {
            text.parse().map_err(|_| {
                Problem::bad("zone", &text, "a zone such as Europe/Dublin, an offset such as +01:00, or UTC")
            })
        });
        let order =
            self.order.map(|text| order_from(&text).ok_or_else(|| Problem::bad("order", &text, "ymd, dmy or mdy")));
        let stamp =
            self.stamp.map(|text| stamp_from(&text).ok_or_else(|| Problem::bad("stamp", &text, "start or end")));
        Ok(Hints {
            name: self.name,
            time: self.time,
            zone: zone.transpose()?,
            order: order.transpose()?,
            stamp: stamp.transpose()?,
            units: self.units,
            quantities: self.quantities,
            garden_zone: Some(garden_zone),
            file_name: file_name.to_owned(),
        })
    }
}

impl From<Suggestion> for SuggestionAnswer {
    fn from(suggestion: Suggestion) -> SuggestionAnswer {
        let json = |v: Result<Value, serde_json::Error>| v.unwrap_or(Value::Null);
        let empty = SuggestionAnswer {
            outcome: "lost",
            mapping: None,
            because: Value::Array(Vec::new()),
            questions: Value::Array(Vec::new()),
            left_out: Vec::new(),
            cautions: Value::Array(Vec::new()),
            tried: Vec::new(),
            missing: Vec::new(),
            report: Value::Null,
        };
        let of = |outcome, p: Proposal, report: Value| SuggestionAnswer {
            outcome,
            mapping: Some(p.text),
            because: json(serde_json::to_value(&p.because)),
            questions: json(serde_json::to_value(&p.questions)),
            left_out: p.left_out,
            cautions: json(serde_json::to_value(&p.cautions)),
            report,
            ..empty.clone()
        };
        match suggestion {
            Suggestion::Ours(_, report) => {
                SuggestionAnswer { outcome: "ours", report: json(serde_json::to_value(&report)), ..empty }
            }
            Suggestion::Understood(p, report) => of("understood", *p, json(serde_json::to_value(&report))),
            Suggestion::Open(p) => of("open", *p, Value::Null),
            Suggestion::Lost(lost) => SuggestionAnswer { tried: lost.tried, missing: lost.missing, ..empty },
        }
    }
}

/// The upload of that number.
pub(super) fn found(data: &FilePath, id: &str) -> Result<Upload, Problem> {
    Uploads::below(data).find(id).ok_or_else(|| Problem::unknown("upload", id, &[]))
}

/// Nobody is told of the progress of a pass.
pub(super) fn quiet(_: u64, _: u64) {}
