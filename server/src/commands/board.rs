//! `propstick board`.

use clap::{Args, Subcommand};
use propstick_wire::BoardUrn;

use super::owner::Owner;
use super::{Failed, Where};
use crate::clock::Clock;
use crate::house::{hash_password, new_password};
use crate::store::StoreError;
use crate::store::folder::DataFolder;
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
    Theirs(Owner),
}

impl Logins {
    fn open(at: &Where) -> Result<Logins, Failed> {
        match DataFolder::take(&at.data) {
            Ok(folder) => Ok(Logins::Ours(folder)),
            Err(StoreError::Owned { path }) => Ok(Logins::Theirs(Owner::of(&path)?)),
            Err(e) => Err(e.into()),
        }
    }

    fn db(folder: &DataFolder) -> Result<GardenDb, StoreError> {
        GardenDb::open(&folder.garden())
    }

    fn keep(&self, login: BoardLogin) -> Result<(), Failed> {
        match self {
            Logins::Ours(folder) => Ok(Self::db(folder)?.keep_login(&login, Clock::System.now())?),
            Logins::Theirs(owner) => {
                let body = serde_json::json!({"name": login.name, "board": login.board, "hash": login.hash});
                owner.post("logins", &body).map(|_| ())
            }
        }
    }

    fn list(&self) -> Result<Vec<(String, bool)>, Failed> {
        match self {
            Logins::Ours(folder) => Ok(Self::db(folder)?.logins()?.into_iter().map(|l| (l.name, l.board)).collect()),
            Logins::Theirs(owner) => {
                let all = owner.get("logins", &[])?;
                let one = |v: &serde_json::Value| {
                    (v["name"].as_str().unwrap_or_default().to_owned(), v["board"].as_bool().unwrap_or(false))
                };
                Ok(all.as_array().into_iter().flatten().map(one).collect())
            }
        }
    }

    fn remove(&self, name: &str) -> Result<(), Failed> {
        if !self.list()?.iter().any(|(known, _)| known == name) {
            return Err(Failed::given(format!("{name}: there is no such login; `propstick board list` shows them")));
        }
        match self {
            Logins::Ours(folder) => Self::db(folder)?.drop_login(name).map(|_| ()).map_err(Failed::from),
            Logins::Theirs(owner) => owner.delete(&format!("logins/{name}")).map(|_| ()),
        }
    }
}
