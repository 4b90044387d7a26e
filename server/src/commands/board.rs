//! `propstick board`.

use clap::{Args, Subcommand};
use propstick_wire::BoardUrn;

use super::{Failed, Where};
use crate::clock::Clock;
use crate::house::{hash_password, new_password};
use crate::store::StoreError;
use crate::store::folder::{DataFolder, owner_of};
use crate::store::garden::{BoardLogin, GardenDb};

#[derive(Args)]
pub(super) struct BoardArgs {
    #[command(flatten)]
    at: Where,
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Make a login for a board, or give it a new password. The password is shown once.
    Add {
        /// The board's name, such as urn:dev:mac:02005efffe10a2b3; with --foreign any name.
        name: String,
        /// Another maker's device: it may publish on the topics of your [[mapping]] tables.
        #[arg(long)]
        foreign: bool,
    },
    /// List the logins.
    List,
    /// Take a login away.
    Remove {
        /// Its user name, as `list` shows it.
        name: String,
    },
}

pub(super) fn run(args: BoardArgs) -> Result<(), Failed> {
    let ledger = Logins::open(&args.at)?;
    match args.what {
        What::Add { name, foreign } => {
            let user = user_of(&name, foreign)?;
            let password = new_password().map_err(Failed::work)?;
            let hash = hash_password(&password).map_err(Failed::work)?;
            ledger.keep(BoardLogin { name: user.clone(), board: !foreign, hash })?;
            say!("user:     {user}");
            say!("password: {password}");
            say!("The password is not kept and will not be shown again.");
            if !foreign {
                say!(
                    "The board publishes on propstick/v1/{user}/report/... and listens to propstick/v1/{user}/receipt."
                );
            }
        }
        What::List => {
            let all = ledger.list()?;
            if all.is_empty() {
                say!("There are no logins: only programs on this machine may publish.");
            }
            for (name, board) in all {
                say!("{name}  ({})", if board { "board" } else { "other maker's device" });
            }
        }
        What::Remove { name } => {
            ledger.remove(&name)?;
            say!("{name} may no longer log in.");
        }
    }
    Ok(())
}

fn user_of(name: &str, foreign: bool) -> Result<String, Failed> {
    if !foreign {
        let urn = BoardUrn::parse(name).map_err(|e| {
            Failed::given(format!("{name}: {e}. Expected a name like urn:dev:mac:02005efffe10a2b3 (or use --foreign)"))
        })?;
        return Ok(urn.topic_part().to_string());
    }
    let fits = !name.is_empty()
        && name.len() <= 64
        && name.bytes().all(|b| b.is_ascii_alphanumeric() || b"-_.".contains(&b))
        && BoardUrn::from_topic_part(name).is_err();
    if fits {
        return Ok(name.to_owned());
    }
    Err(Failed::given(format!("{name}: use 1 to 64 letters, digits, '-', '_' or '.', and not the name of a board")))
}

/// The logins, in a folder of our own or at the program that has it.
enum Logins {
    Ours(DataFolder),
    Theirs { address: String, token: String },
}

impl Logins {
    fn open(at: &Where) -> Result<Logins, Failed> {
        match DataFolder::take(&at.data) {
            Ok(folder) => Ok(Logins::Ours(folder)),
            Err(StoreError::Owned { path }) => match owner_of(&path) {
                Some((address, token)) => Ok(Logins::Theirs { address, token }),
                None => Err(Failed::work(format!(
                    "{}: another Propstick has this folder and left no address; try again in a moment",
                    path.display()
                ))),
            },
            Err(e) => Err(e.into()),
        }
    }

    fn db(folder: &DataFolder) -> Result<GardenDb, StoreError> {
        GardenDb::open(&folder.garden())
    }

    fn keep(&self, login: BoardLogin) -> Result<(), Failed> {
        match self {
            Logins::Ours(folder) => Ok(Self::db(folder)?.keep_login(&login, Clock::System.now())?),
            Logins::Theirs { address, token } => {
                let body = serde_json::json!({"name": login.name, "board": login.board, "hash": login.hash});
                ureq::post(format!("http://{address}/api/logins"))
                    .header("Authorization", format!("Bearer {token}"))
                    .header("Content-Type", "application/json")
                    .send(body.to_string())
                    .map(|_| ())
                    .map_err(refused)
            }
        }
    }

    fn list(&self) -> Result<Vec<(String, bool)>, Failed> {
        match self {
            Logins::Ours(folder) => Ok(Self::db(folder)?.logins()?.into_iter().map(|l| (l.name, l.board)).collect()),
            Logins::Theirs { address, token } => {
                let text = ureq::get(format!("http://{address}/api/logins"))
                    .header("Authorization", format!("Bearer {token}"))
                    .call()
                    .map_err(refused)?
                    .body_mut()
                    .read_to_string()
                    .map_err(refused)?;
                let all: Vec<serde_json::Value> =
                    serde_json::from_str(&text).map_err(|e| Failed::work(e.to_string()))?;
                let one = |v: &serde_json::Value| {
                    (v["name"].as_str().unwrap_or_default().to_owned(), v["board"].as_bool().unwrap_or(false))
                };
                Ok(all.iter().map(one).collect())
            }
        }
    }

    fn remove(&self, name: &str) -> Result<(), Failed> {
        if !self.list()?.iter().any(|(known, _)| known == name) {
            return Err(Failed::given(format!("{name}: there is no such login; `propstick board list` shows them")));
        }
        match self {
            Logins::Ours(folder) => Self::db(folder)?.drop_login(name).map(|_| ()).map_err(Failed::from),
            Logins::Theirs { address, token } => ureq::delete(format!("http://{address}/api/logins/{name}"))
                .header("Authorization", format!("Bearer {token}"))
                .call()
                .map(|_| ())
                .map_err(refused),
        }
    }
}

fn refused(e: ureq::Error) -> Failed {
    Failed::work(format!("the running Propstick did not take it: {e}"))
}
