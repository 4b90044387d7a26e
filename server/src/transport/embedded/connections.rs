//! Who is connected: the version each client speaks, and the last will it left.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// A message to be sent for a client that is lost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Will {
    pub topic: String,
    pub payload: Vec<u8>,
    pub qos: u8,
    /// How long the client may stay away before the will counts.
    pub delay: Duration,
}

/// What is known at the door but not later.
#[derive(Clone, Copy, Debug)]
pub(super) struct AtDoor {
    pub version: u8,
    pub will_delay: Duration,
}

#[derive(Default)]
pub(super) struct Connections(Mutex<Inner>);

#[derive(Default)]
struct Inner {
    /// Let in, not connected yet, by client id and user.
    at_door: HashMap<(String, String), (AtDoor, Instant)>,
    /// Connected, by client id. More than one while one takes the other's place; the newest is last.
    live: HashMap<String, Vec<Live>>,
}

struct Live {
    user: String,
    version: u8,
    will: Option<Will>,
}

/// Longest time between the door and the connection; whoever needs longer has gone away.
const DOOR_KEPT: Duration = Duration::from_secs(10);

impl Connections {
    fn inner(&self) -> MutexGuard<'_, Inner> {
        // A panic elsewhere leaves these maps whole: each change is one call.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Remembers what was seen at the door, unless the client id is in use by somebody else, or about to be: then `false`.
    pub fn let_in(&self, client_id: &str, user: &str, seen: AtDoor) -> bool {
        let mut inner = self.inner();
        inner.at_door.retain(|_, (_, at)| at.elapsed() < DOOR_KEPT);
        let is_anothers = inner.at_door.keys().any(|(id, other)| id == client_id && other != user)
            || inner.live.get(client_id).is_some_and(|live| live.iter().any(|one| one.user != user));
        if !is_anothers {
            inner.at_door.insert((client_id.to_owned(), user.to_owned()), (seen, Instant::now()));
        }
        !is_anothers
    }

    /// A client is connected. Without news from the door it counts as speaking 3.1.1, which is the stricter way.
    pub fn connected(&self, client_id: &str, user: &str, will: Option<Will>) {
        let mut inner = self.inner();
        let seen = inner
            .at_door
            .remove(&(client_id.to_owned(), user.to_owned()))
            .map_or(AtDoor { version: 4, will_delay: Duration::ZERO }, |(seen, _)| seen);
        // The will's delay ends with the session at the latest; the caller put that limit into the will.
        let will = will.map(|will| Will { delay: will.delay.min(seen.will_delay), ..will });
        let live = Live { user: user.to_owned(), version: seen.version, will };
        inner.live.entry(client_id.to_owned()).or_default().push(live);
    }

    /// A connection of this client ended: its will, unless another connection of the client has taken its place already.
    pub fn gone(&self, client_id: &str, user: &str) -> Option<Will> {
        let mut inner = self.inner();
        let live = inner.live.get_mut(client_id)?;
        let oldest = live.iter().position(|one| one.user == user)?;
        let will = live.remove(oldest).will;
        if !live.is_empty() {
            return None;
        }
        inner.live.remove(client_id);
        will
    }

    pub fn is_connected(&self, client_id: &str) -> bool {
        self.inner().live.contains_key(client_id)
    }

    /// Whether the newest connection of this client speaks MQTT 5.
    pub fn speaks_5(&self, client_id: &str) -> bool {
        self.inner().live.get(client_id).and_then(|live| live.last()).is_some_and(|one| one.version == 5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn will(delay_s: u64) -> Option<Will> {
        Some(Will { topic: "t".into(), payload: vec![], qos: 1, delay: Duration::from_secs(delay_s) })
    }

    fn seen(version: u8, delay_s: u64) -> AtDoor {
        AtDoor { version, will_delay: Duration::from_secs(delay_s) }
    }

    #[test]
    fn client_lost_leaves_its_will_with_the_shorter_delay() {
        let all = Connections::default();
        assert!(all.let_in("c", "u", seen(5, 30)));
        all.connected("c", "u", will(10));
        assert!(all.speaks_5("c"));
        assert_eq!(all.gone("c", "u").unwrap().delay, Duration::from_secs(10));
        assert!(!all.is_connected("c"));
        assert_eq!(all.gone("c", "u"), None);
    }

    #[test]
    fn client_whose_place_was_taken_leaves_no_will_and_the_newcomer_keeps_its_own() {
        let all = Connections::default();
        all.connected("c", "u", will(1));
        all.connected("c", "u", will(1));
        assert_eq!(all.gone("c", "u"), None);
        assert!(all.is_connected("c"));
        assert!(all.gone("c", "u").is_some());
    }

    #[test]
    fn client_id_in_use_or_at_the_door_is_closed_to_every_other_user() {
        let all = Connections::default();
        assert!(all.let_in("c", "u", seen(5, 0)));
        assert!(!all.let_in("c", "v", seen(5, 0)), "u is at the door");
        all.connected("c", "u", None);
        assert!(!all.let_in("c", "v", seen(5, 0)), "u is in");
        assert!(all.let_in("c", "u", seen(5, 0)), "u may take its own place");
        assert!(all.let_in("d", "v", seen(5, 0)));
    }

    #[test]
    fn client_not_seen_at_the_door_counts_as_3_1_1() {
        let all = Connections::default();
        all.connected("c", "u", None);
        assert!(!all.speaks_5("c"));
    }
}
