//! The door: who is let in, and what they may do.

use std::collections::HashMap;
use std::future::{Future, ready};
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use mqtt5::broker::auth::{AuthProvider, AuthResult};
use mqtt5::packet::connect::ConnectPacket;
use mqtt5::protocol::v5::reason_codes::ReasonCode;
use tokio::sync::Semaphore;

use super::Shared;
use super::connections::AtDoor;
use crate::transport::rights::Who;
use crate::transport::topic::part_is_sound;

pub(super) struct Door {
    shared: Arc<Shared>,
    failures: Failures,
    /// Password hashes take memory and time on purpose: two at once are enough.
    checks: Semaphore,
}

impl Door {
    pub fn new(shared: Arc<Shared>) -> Door {
        Door { shared, failures: Failures::default(), checks: Semaphore::new(2) }
    }

    async fn admit(&self, connect: &ConnectPacket, from: SocketAddr) -> AuthResult {
        let login = connect.username.as_deref().map(|name| (name, connect.password.as_deref().unwrap_or_default()));
        let name = login.map_or("", |(name, _)| name);
        let now = Instant::now();
        if self.failures.too_many(from.ip(), name, now) {
            tracing::warn!(%from, name, "too many wrong logins; not looked at for a minute");
            return AuthResult::fail(ReasonCode::ConnectionRateExceeded);
        }
        let Ok(_turn) = self.checks.acquire().await else {
            return AuthResult::fail(ReasonCode::ServerUnavailable);
        };
        let Some(who) = self.shared.access.authenticate(login, from).await.filter(is_sound) else {
            self.failures.count(from.ip(), name, now);
            tracing::warn!(%from, name, "login refused");
            let reason = if login.is_some() { ReasonCode::BadUsernameOrPassword } else { ReasonCode::NotAuthorized };
            return AuthResult::fail(reason);
        };
        self.failures.forget(from.ip(), name);
        let user = user_id(&who);
        // The broker asks nobody about a will of 3.1.1 later on, so both versions are looked at here.
        if let Some(will) = connect.will.as_ref().filter(|will| !self.shared.access.may_publish(&who, &will.topic)) {
            tracing::warn!(%from, user, topic = will.topic, "refused: its last will is on a topic it may not publish on");
            return AuthResult::fail(ReasonCode::NotAuthorized);
        }
        let delay_s = connect.will.as_ref().and_then(|will| will.properties.will_delay_interval).unwrap_or(0);
        let seen = AtDoor { version: connect.protocol_version, will_delay: Duration::from_secs(u64::from(delay_s)) };
        if !self.shared.connections.let_in(&connect.client_id, &user, seen) {
            tracing::warn!(%from, user, client = connect.client_id, "refused: this client id is in use under another login");
            return AuthResult::fail(ReasonCode::ClientIdentifierNotValid);
        }
        AuthResult::success_with_user(user)
    }
}

impl AuthProvider for Door {
    fn authenticate<'a>(
        &'a self,
        connect: &'a ConnectPacket,
        client_addr: SocketAddr,
    ) -> Pin<Box<dyn Future<Output = mqtt5::Result<AuthResult>> + Send + 'a>> {
        Box::pin(async move { Ok(self.admit(connect, client_addr).await) })
    }

    fn authorize_publish<'a>(
        &'a self,
        client_id: &str,
        user_id: Option<&'a str>,
        topic: &'a str,
    ) -> Pin<Box<dyn Future<Output = bool> + Send + 'a>> {
        // The broker would answer 3.1.1 with a packet that 3.1.1 does not know: there the hook looks at the rights and refuses.
        let left_to_hook = !self.shared.connections.speaks_5(client_id);
        let may =
            user_id.and_then(who_is).is_some_and(|who| left_to_hook || self.shared.access.may_publish(&who, topic));
        Box::pin(ready(may))
    }

    fn authorize_subscribe<'a>(
        &'a self,
        _client_id: &str,
        user_id: Option<&'a str>,
        topic_filter: &'a str,
    ) -> Pin<Box<dyn Future<Output = bool> + Send + 'a>> {
        let may = user_id.and_then(who_is).is_some_and(|who| self.shared.access.may_subscribe(&who, topic_filter));
        Box::pin(ready(may))
    }
}

/// A board whose part could stand for other topics than its own is nobody.
fn is_sound(who: &Who) -> bool {
    match who {
        Who::Board { part } => part_is_sound(part),
        Who::Foreign { .. } | Who::AnyoneOnLoopback => true,
    }
}

/// What the broker calls them. Subscribers of MQTT 5 see it beside each message, so it holds no more than the login name; it must stay
/// the same for one login, as the broker gives a session back to the same user only.
fn user_id(who: &Who) -> String {
    match who {
        Who::Board { part } => format!("board/{part}"),
        Who::Foreign { name } => format!("device/{name}"),
        Who::AnyoneOnLoopback => "anyone".to_owned(),
    }
}

/// The reverse of [`user_id`].
pub(super) fn who_is(user_id: &str) -> Option<Who> {
    match user_id.split_once('/') {
        Some(("board", part)) => Some(Who::Board { part: part.to_owned() }),
        Some(("device", name)) => Some(Who::Foreign { name: name.to_owned() }),
        _ => (user_id == "anyone").then_some(Who::AnyoneOnLoopback),
    }
}

/// Wrong logins by address and name: a board with a wrong password shuts out itself, not its neighbours behind the same address.
#[derive(Default)]
struct Failures(Mutex<HashMap<(IpAddr, String), (u32, Instant)>>);

const FAILURES_MOST: u32 = 5;
const FAILURES_KEPT: Duration = Duration::from_secs(60);
/// Beyond so many addresses and names the old ones are forgotten.
const FAILING_MOST: usize = 1_000;

impl Failures {
    fn too_many(&self, ip: IpAddr, name: &str, now: Instant) -> bool {
        let failing = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        failing
            .get(&(ip, name.to_owned()))
            .is_some_and(|(count, since)| *count >= FAILURES_MOST && now.duration_since(*since) < FAILURES_KEPT)
    }

    fn count(&self, ip: IpAddr, name: &str, now: Instant) {
        let mut failing = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        failing.retain(|_, (_, since)| now.duration_since(*since) < FAILURES_KEPT);
        if failing.len() >= FAILING_MOST {
            failing.clear();
        }
        failing.entry((ip, name.to_owned())).or_insert((0, now)).0 += 1;
    }

    fn forget(&self, ip: IpAddr, name: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&(ip, name.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn user_id_of_everybody_leads_back_to_them() {
        for who in [
            Who::Board { part: "mac-02".into() },
            Who::Foreign { name: "shed/attic".into() },
            Who::Foreign { name: "anyone".into() },
            Who::AnyoneOnLoopback,
        ] {
            assert_eq!(who_is(&user_id(&who)), Some(who));
        }
        assert_eq!(who_is("somebody"), None);
    }

    #[test]
    fn failures_shut_out_one_name_at_one_address_for_a_minute() {
        let failures = Failures::default();
        let (here, there) = (IpAddr::from([192, 0, 2, 1]), IpAddr::from([192, 0, 2, 2]));
        let start = Instant::now();
        for _ in 0..FAILURES_MOST {
            assert!(!failures.too_many(here, "a", start));
            failures.count(here, "a", start);
        }
        assert!(failures.too_many(here, "a", start));
        assert!(!failures.too_many(here, "b", start));
        assert!(!failures.too_many(there, "a", start));
        assert!(!failures.too_many(here, "a", start + FAILURES_KEPT));
    }

    #[test]
    fn failures_of_many_names_stay_bounded() {
        let failures = Failures::default();
        let now = Instant::now();
        for n in 0..3 * FAILING_MOST {
            failures.count(IpAddr::from([192, 0, 2, 1]), &n.to_string(), now);
        }
        assert!(failures.0.lock().unwrap().len() <= FAILING_MOST);
    }
}
