//! The broker in this program: MQTT 5 and 3.1.1 on one port. A message is stored in the broker's publish hook, so that the broker
//! acknowledges it only after the commit.
//!
//! The broker crate is used under five rules, each held by a contract test:
//! 1. its hook cannot refuse, so a message that was not stored is turned into nothing at QoS 0 and its connection is closed;
//! 2. the hook always ends, as one that waits for ever keeps its socket for ever;
//! 3. rights of 3.1.1 clients are looked at in the hook and at connecting, as 3.1.1 has no way to deny a single message;
//! 4. every limit is set, as the crate's own are open;
//! 5. its version is pinned.

mod connections;
mod door;
mod hook;

use std::future::Future;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::{Arc, OnceLock};
use std::time::Duration;

use mqtt5::QoS;
use mqtt5::broker::config::{AuthConfig, StorageBackend, StorageConfig};
use mqtt5::broker::router::MessageRouter;
use mqtt5::broker::{BrokerConfig, MqttBroker};
use mqtt5::packet::publish::PublishPacket;
use propstick_garden::took::Publish;
use tokio::sync::mpsc;

use super::rights::Access;
use super::topic::Interest;
use super::{Inbox, Now, Outbox, RoadEvent, Stop, Teller, Transport, TransportError};
use connections::Connections;
use door::Door;
use hook::Hook;

/// How the broker listens and what it bears.
#[derive(Clone, Debug)]
pub struct Config {
    /// Address and port; port 0 takes a free one.
    pub listen: SocketAddr,
    /// Longest packet in bytes, at least 1024; a longer one closes its connection.
    pub max_packet: usize,
    /// Most clients at once, at least 1.
    pub max_clients: usize,
    /// Most retained messages that clients may leave; this program's own are not counted against it.
    pub max_retained: usize,
    /// Longest wait for a message to be stored; after it the message counts as not stored.
    pub store_timeout: Duration,
    /// The clock that stamps arrivals.
    pub now: Now,
}

impl Config {
    /// The usual limits: packets of 64 KiB, 500 clients, 5,000 retained messages, 5 s to store.
    pub fn new(listen: SocketAddr, now: Now) -> Config {
        Config {
            listen,
            max_packet: 64 * 1024,
            max_clients: 500,
            max_retained: 5_000,
            store_timeout: Duration::from_secs(5),
            now,
        }
    }
}

/// The broker, bound to its address; it serves once it runs.
pub struct Embedded {
    broker: MqttBroker,
    local_addr: SocketAddr,
    shared: Arc<Shared>,
    news: Teller,
}

/// What the doorkeeper, the hook and the running broker share.
struct Shared {
    access: Arc<dyn Access>,
    interest: Interest,
    store_timeout: Duration,
    now: Now,
    connections: Connections,
    /// Set before the first connection is taken.
    running: OnceLock<Running>,
}

struct Running {
    inbox: Inbox,
    stop: Stop,
    router: Arc<MessageRouter>,
}

impl Embedded {
    /// Binds the address; from then on clients may connect and wait. `events` hears [`RoadEvent::Connected`] once, when it serves.
    ///
    /// # Errors
    /// [`TransportError::Bind`] where the address cannot be had or a limit is out of its range.
    pub async fn bind(
        config: Config,
        interest: Interest,
        access: Arc<dyn Access>,
        events: mpsc::Sender<RoadEvent>,
    ) -> Result<Embedded, TransportError> {
        let listen = config.listen;
        let cannot = |why: String| TransportError::Bind { listen, why };
        let shared = Arc::new(Shared {
            access,
            interest,
            store_timeout: config.store_timeout,
            now: config.now,
            connections: Connections::default(),
            running: OnceLock::new(),
        });
        let limits = limits(&config).with_event_handler(Arc::new(Hook(Arc::clone(&shared))));
        let broker = MqttBroker::with_config(limits).await.map_err(|error| cannot(error.to_string()))?;
        // Replaces the crate's own doorkeeper before any connection is taken.
        let broker = broker.with_auth_provider(Arc::new(Door::new(Arc::clone(&shared))));
        let local_addr = broker.local_addr().ok_or_else(|| cannot("the port is not known".to_owned()))?;
        Ok(Embedded { broker, local_addr, shared, news: Teller::new(events) })
    }

    /// Where it listens, with the true port.
    pub fn local_addr(&self) -> SocketAddr {
        self.local_addr
    }
}

/// Every limit of the crate that has one, as its defaults are open.
fn limits(config: &Config) -> BrokerConfig {
    let storage = StorageConfig {
        backend: StorageBackend::Memory,
        // The memory backend writes nothing; without "persistence" there are no sessions at all.
        enable_persistence: true,
        cleanup_interval: Duration::from_secs(600),
        max_queued_messages_per_client: 1_000,
        max_queued_bytes_per_client: 1024 * 1024,
        ..StorageConfig::default()
    };
    BrokerConfig {
        bind_addresses: vec![config.listen],
        max_clients: config.max_clients,
        max_packet_size: config.max_packet,
        max_retained_messages: config.max_retained,
        max_retained_message_size: config.max_packet,
        max_subscriptions_per_client: 64,
        client_channel_capacity: 1_000,
        // Bounds what a client may leave half sent at QoS 2.
        server_receive_maximum: Some(64),
        topic_alias_maximum: 16,
        shared_subscription_available: false,
        // Boards find what waits for them as retained messages; a session is only for short absences.
        session_expiry_interval: Duration::from_secs(3_600),
        sys_topics_enabled: false,
        storage_config: storage,
        // The crate can refuse strangers only with a password file of its own; our door stands in its place before it runs.
        auth_config: AuthConfig { allow_anonymous: true, ..AuthConfig::default() },
        ..BrokerConfig::default()
    }
}

/// Longest wait for open connections when the end is asked for. A socket that has not said who it is yet does not hear of the end.
const FAREWELL: Duration = Duration::from_secs(1);

impl Transport for Embedded {
    fn run(self, inbox: Inbox, outbox: Outbox, stop: Stop) -> impl Future<Output = Result<(), TransportError>> + Send {
        serve(self, inbox, outbox, stop)
    }
}

async fn serve(mut road: Embedded, inbox: Inbox, mut outbox: Outbox, stop: Stop) -> Result<(), TransportError> {
    let router = road.broker.router();
    let running = Running { inbox: inbox.clone(), stop: stop.clone(), router: Arc::clone(&router) };
    if road.shared.running.set(running).is_err() {
        return Err(TransportError::Broker("it was run twice".to_owned()));
    }
    let shutdown = road.broker.shutdown_handle();
    let mut ready = road.broker.ready_receiver();
    let mut serving = pin!(road.broker.run());
    let (mut told, mut more_to_send) = (false, true);
    let ended = loop {
        road.news.catch_up();
        tokio::select! {
            () = stop.stopped() => break Ok(()),
            () = inbox.closed() => break Err(TransportError::LedgerGone),
            ended = &mut serving => {
                let why = ended.err().map_or_else(|| "no reason given".to_owned(), |error| error.to_string());
                return Err(TransportError::Broker(why));
            }
            Ok(()) = ready.changed(), if !told => {
                told = true;
                road.news.tell(RoadEvent::Connected);
            }
            publish = outbox.recv(), if more_to_send => match publish {
                Some(publish) => send(&router, publish).await,
                None => more_to_send = false,
            },
        }
    };
    shutdown.shutdown();
    if tokio::time::timeout(FAREWELL, serving).await.is_err() {
        tracing::info!("the broker did not wait for connections that were still open");
    }
    ended
}

/// Sends a message of this program straight to subscribers and to the retained ones: no client, so neither the door nor the hook sees
/// it. The crate's call for its own topics is the one that its limit of retained messages does not apply to: a receipt must not fail
/// because clients left too much.
async fn send(router: &MessageRouter, publish: Publish) {
    let packet = PublishPacket::new(publish.topic, publish.payload, QoS::AtLeastOnce).with_retain(publish.retain);
    router.route_sys_message(&packet).await;
}
