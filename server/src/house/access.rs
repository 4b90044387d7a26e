//! The doorkeeper of the broker in this program: who may come in, by the logins that exist.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::{Arc, RwLock};

use argon2::password_hash::rand_core::OsRng;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use argon2::{Algorithm, Argon2, Params, Version};

use crate::store::StoreError;
use crate::store::folder;
use crate::store::garden::{BoardLogin, GardenDb};
use crate::transport::rights::{Access, Admission, Who, anyone_admitted, may_publish, may_subscribe};

/// The logins, as the broker asks for them.
pub(super) struct Doorkeeper {
    logins: RwLock<Vec<BoardLogin>>,
    mappings: Vec<String>,
}

impl Doorkeeper {
    /// The doorkeeper of a data folder; `mappings` are the topic filters of other makers' devices.
    pub(super) fn open(path: &Path, mappings: Vec<String>) -> Result<Doorkeeper, StoreError> {
        let keeper = Doorkeeper { logins: RwLock::new(Vec::new()), mappings };
        keeper.look_again(path)?;
        Ok(keeper)
    }

    /// Reads the logins anew.
    pub(super) fn look_again(&self, path: &Path) -> Result<(), StoreError> {
        let found = GardenDb::open_reader(&folder::garden_path(path))?.logins()?;
        match self.logins.write() {
            Ok(mut logins) => *logins = found,
            Err(poisoned) => *poisoned.into_inner() = found,
        }
        Ok(())
    }

    /// Whether any login exists.
    pub(super) fn any(&self) -> bool {
        match self.logins.read() {
            Ok(logins) => !logins.is_empty(),
            Err(poisoned) => !poisoned.into_inner().is_empty(),
        }
    }

    /// Whether somebody came in without a login before there were any: from the first login on that counts no more.
    fn is_left_over(&self, who: &Who) -> bool {
        *who == Who::AnyoneOnLoopback && self.any()
    }

    fn known(&self) -> Vec<BoardLogin> {
        match self.logins.read() {
            Ok(logins) => logins.clone(),
            Err(poisoned) => poisoned.into_inner().clone(),
        }
    }
}

impl Access for Doorkeeper {
    fn authenticate<'a>(&'a self, login: Option<(&'a str, &'a [u8])>, from: SocketAddr) -> Admission<'a> {
        Box::pin(async move {
            let logins = self.known();
            let Some((name, password)) = login else {
                return anyone_admitted(!logins.is_empty(), from).then_some(Who::AnyoneOnLoopback);
            };
            if logins.is_empty() {
                // Whatever name is given: nobody has a login yet.
                return anyone_admitted(false, from).then_some(Who::AnyoneOnLoopback);
            }
            let found = logins.into_iter().find(|l| l.name == name)?;
            let password = password.to_vec();
            let hash = found.hash.clone();
            let right = tokio::task::spawn_blocking(move || verify(&hash, &password)).await.unwrap_or(false);
            let name = found.name;
            right.then_some(if found.board { Who::Board { part: name } } else { Who::Foreign { name } })
        })
    }

    fn may_publish(&self, who: &Who, topic: &str) -> bool {
        !self.is_left_over(who) && may_publish(who, topic, &self.mappings)
    }

    fn may_subscribe(&self, who: &Who, filter: &str) -> bool {
        !self.is_left_over(who) && may_subscribe(who, filter)
    }
}

/// The same doorkeeper in several rooms.
pub(super) type Shared = Arc<Doorkeeper>;

fn verify(hash: &str, password: &[u8]) -> bool {
    PasswordHash::new(hash).is_ok_and(|h| Argon2::default().verify_password(password, &h).is_ok())
}

/// The cost of a hash: 4 MiB, three passes. The passwords are made by this program, 120 random bits each; the hash has to keep them from
/// being read, not to slow down guessing, and a dozen boards that wake at once must not fill a small machine.
fn hasher() -> Argon2<'static> {
    let cost = Params::new(4 * 1024, 3, 1, None).unwrap_or_default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, cost)
}

/// The argon2 hash of a password made by [`new_password`], in PHC form.
///
/// # Errors
/// Only if the machine gives no random numbers.
pub fn hash_password(password: &str) -> Result<String, String> {
    let salt = SaltString::generate(&mut OsRng);
    let hash = hasher().hash_password(password.as_bytes(), &salt).map_err(|e| e.to_string())?;
    Ok(hash.to_string())
}

/// A new random password: 24 letters and digits that are not easily taken for each other.
///
/// # Errors
/// Only if the machine gives no random numbers.
pub fn new_password() -> Result<String, String> {
    const SIGNS: &[u8; 32] = b"abcdefghjkmnpqrstuvwxyz23456789_";
    let mut random = [0u8; 24];
    getrandom::fill(&mut random).map_err(|e| e.to_string())?;
    Ok(random.iter().map(|b| SIGNS[usize::from(b % 32)] as char).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn first_login_ends_the_rights_of_those_who_came_in_without_one() {
        let dir = tempfile::tempdir().unwrap();
        let mut db = GardenDb::open(&folder::garden_path(dir.path())).unwrap();
        let keeper = Doorkeeper::open(dir.path(), vec!["site/#".into()]).unwrap();
        let here = "127.0.0.1:1".parse().unwrap();
        let who = keeper.authenticate(None, here).await.unwrap();
        assert!(keeper.may_publish(&who, "site/a"));
        let hash = hash_password("right").unwrap();
        db.keep_login(&BoardLogin { name: "bridge".into(), board: false, hash }, propstick_wire::Millis(1)).unwrap();
        keeper.look_again(dir.path()).unwrap();
        assert!(!keeper.may_publish(&who, "site/a") && !keeper.may_subscribe(&who, "site/#"));
        assert_eq!(keeper.authenticate(None, here).await, None);
        assert_eq!(keeper.authenticate(Some(("bridge", b"wrong")), here).await, None);
        let bridge = keeper.authenticate(Some(("bridge", b"right")), here).await;
        assert_eq!(bridge, Some(Who::Foreign { name: "bridge".into() }));
    }

    #[test]
    fn password_made_here_opens_its_own_hash_only() {
        let (a, b) = (new_password().unwrap(), new_password().unwrap());
        assert_ne!(a, b);
        let hash = hash_password(&a).unwrap();
        assert!(verify(&hash, a.as_bytes()) && !verify(&hash, b.as_bytes()) && !verify("rubbish", a.as_bytes()));
    }
}
