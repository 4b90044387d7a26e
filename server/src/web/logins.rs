//! Logins of boards: made by a command on this machine, which shows its token.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::guard::shows_token;
use super::problem::Problem;
use super::readers::answer;
use crate::engine::Command;
use crate::store::garden::BoardLogin;

/// A login to be kept: the password's hash, never the password.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
pub struct LoginPart {
    /// MQTT user name.
    pub name: String,
    /// Whether it is a board of ours; otherwise another maker's device.
    pub board: bool,
    /// argon2 hash in PHC form; never sent out.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub hash: String,
}

/// Keeps a login, or gives an existing one a new password.
#[utoipa::path(post, path = "/api/logins", request_body = LoginPart, responses((status = 204), (status = 403, body = Problem)))]
pub(super) async fn keep(
    State(desk): State<Desk>,
    headers: HeaderMap,
    Json(login): Json<LoginPart>,
) -> Result<StatusCode, Problem> {
    own_command(&desk, &headers)?;
    if !login.hash.starts_with("$argon2") || login.name.is_empty() || login.name.len() > 64 {
        return Err(Problem::bad("login", &login.name, "a name of 1 to 64 characters and an argon2 hash"));
    }
    tell(&desk, Command::KeepLogin(BoardLogin { name: login.name, board: login.board, hash: login.hash })).await
}

/// The names of the logins.
#[utoipa::path(get, path = "/api/logins", responses((status = 200, body = Vec<LoginPart>), (status = 403, body = Problem)))]
pub(super) async fn list(State(desk): State<Desk>, headers: HeaderMap) -> Result<Json<Vec<LoginPart>>, Problem> {
    own_command(&desk, &headers)?;
    answer(&desk, |views, _, _| {
        let logins = views.garden_db.logins()?.into_iter();
        Ok(logins.map(|l| LoginPart { name: l.name, board: l.board, hash: String::new() }).collect())
    })
    .await
    .map(Json)
}

/// Takes a login away; a board that is connected with it stays so until it connects anew.
#[utoipa::path(delete, path = "/api/logins/{name}", params(("name" = String, Path, description = "MQTT user name")),
    responses((status = 204), (status = 403, body = Problem)))]
pub(super) async fn drop_one(
    State(desk): State<Desk>,
    headers: HeaderMap,
    Path(name): Path<String>,
) -> Result<StatusCode, Problem> {
    own_command(&desk, &headers)?;
    tell(&desk, Command::DropLogin(name)).await
}

async fn tell(desk: &Desk, command: Command) -> Result<StatusCode, Problem> {
    let Some(engine) = desk.doors.get().map(|doors| doors.engine.clone()) else {
        return Err(Problem::forbidden("History is being shown or laid down; nothing can be changed now."));
    };
    let told = tokio::task::spawn_blocking(move || {
        engine.ask(command);
        engine.wait_settled()
    });
    match told.await {
        Ok(true) => Ok(StatusCode::NO_CONTENT),
        _ => Err(Problem::inside("The engine has stopped.")),
    }
}

fn own_command(desk: &Desk, headers: &HeaderMap) -> Result<(), Problem> {
    if shows_token(desk, headers) {
        return Ok(());
    }
    Err(Problem::forbidden("Logins are made by the command `propstick board` on this machine."))
}
