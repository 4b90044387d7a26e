//! A road under test: its broker, a ledger, and the ends that the rest of the program would hold.

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use propstick::transport::embedded::{self, Embedded};
use propstick::transport::outside::{self, Outside};
use propstick::transport::topic::Interest;
use propstick::transport::{Inbox, RoadEvent, Stop, Stopper, Transport, TransportError};
use propstick_garden::took::Publish;
use propstick_wire::Millis;
use tokio::sync::mpsc;
use tokio::task::JoinHandle;

use crate::ledger::Ledger;
use crate::logins::{self, MAPPING, Table};
use crate::mosquitto::Mosquitto;
use crate::raw::{Hello, Raw};
use crate::within;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Embedded,
    Outside,
}

/// What a test may want otherwise.
#[derive(Clone)]
pub struct Wishes {
    /// The version that the test's clients speak: 4 or 5.
    pub version: u8,
    /// Whether logins exist. Without them anyone on loopback may do most things.
    pub logins: bool,
    pub mapping: &'static str,
    pub store_timeout: Duration,
    pub deaf_after: Option<Duration>,
    pub max_retained: usize,
}

impl Wishes {
    pub fn new(version: u8) -> Wishes {
        Wishes {
            version,
            logins: true,
            mapping: MAPPING,
            store_timeout: Duration::from_secs(5),
            deaf_after: None,
            max_retained: 1_000,
        }
    }
}

/// The longest packet in these tests, in bytes.
pub const MAX_PACKET: usize = 8 * 1024;

pub struct Road {
    pub kind: Kind,
    pub wishes: Wishes,
    /// Where clients connect.
    pub broker: SocketAddr,
    pub mosquitto: Option<Mosquitto>,
    pub ledger: Ledger,
    inbox: Inbox,
    outbox: mpsc::Sender<Publish>,
    news: mpsc::Receiver<RoadEvent>,
    stopper: Option<Stopper>,
    running: Option<JoinHandle<Result<(), TransportError>>>,
}

impl Road {
    /// Starts the road and waits until it carries; `None` where the test cannot run here, which has been said.
    pub async fn start(kind: Kind, wishes: Wishes) -> Option<Road> {
        let mut road = Road::prepare(kind, wishes).await?;
        road.run().await;
        road.until_connected().await;
        Some(road)
    }

    /// The broker alone where it is an outside one; the road does not run yet.
    pub async fn prepare(kind: Kind, wishes: Wishes) -> Option<Road> {
        if kind == Kind::Outside && !Mosquitto::is_here() {
            return None;
        }
        let mosquitto = match kind {
            Kind::Embedded => None,
            Kind::Outside => Some(Mosquitto::start(wishes.logins).await),
        };
        let broker = mosquitto.as_ref().map_or((Ipv4Addr::LOCALHOST, 0).into(), |broker| broker.addr);
        let (ledger, inbox) = Ledger::start(16);
        let (outbox, _) = mpsc::channel(1);
        let (_, news) = mpsc::channel(1);
        let (stopper, running) = (None, None);
        Some(Road { kind, wishes, broker, mosquitto, ledger, inbox, outbox, news, stopper, running })
    }

    /// Runs the road (again), with new ends of its channels.
    pub async fn run(&mut self) {
        let interest = Interest::new(vec![self.wishes.mapping.to_owned()]).unwrap();
        let (events, news) = mpsc::channel(64);
        let (outbox, to_send) = mpsc::channel(64);
        let (stopper, stop) = Stop::pair();
        let inbox = self.inbox.clone();
        let running = match self.kind {
            Kind::Embedded => {
                let config = embedded::Config {
                    max_packet: MAX_PACKET,
                    max_retained: self.wishes.max_retained,
                    store_timeout: self.wishes.store_timeout,
                    ..embedded::Config::new((Ipv4Addr::LOCALHOST, 0).into(), now)
                };
                let access = Arc::new(Table { logins: self.wishes.logins });
                let road = Embedded::bind(config, interest, access, events).await.unwrap();
                self.broker = road.local_addr();
                tokio::spawn(road.run(inbox, to_send, stop))
            }
            Kind::Outside => {
                let config = outside::Config {
                    login: self.wishes.logins.then(|| (logins::PROGRAM.to_owned(), logins::password(logins::PROGRAM))),
                    max_packet: u32::try_from(MAX_PACKET).unwrap(),
                    keep_alive: Duration::from_secs(5),
                    store_timeout: self.wishes.store_timeout,
                    pause: Duration::from_millis(20),
                    longest_pause: Duration::from_millis(200),
                    deaf_after: self.wishes.deaf_after,
                    ..outside::Config::new("127.0.0.1", self.broker.port(), "propstick-of-the-test", now)
                };
                tokio::spawn(Outside::new(config, interest, events).run(inbox, to_send, stop))
            }
        };
        (self.outbox, self.news) = (outbox, news);
        (self.stopper, self.running) = (Some(stopper), Some(running));
    }

    /// Waits for news of this kind; skips others.
    pub async fn until_news(&mut self, what: &str, mut fits: impl FnMut(&RoadEvent) -> bool) -> RoadEvent {
        within(what, async {
            loop {
                let event = self.news.recv().await.expect("the road runs");
                if fits(&event) {
                    return event;
                }
            }
        })
        .await
    }

    pub async fn until_connected(&mut self) {
        self.until_news("the road to carry", |event| *event == RoadEvent::Connected).await;
    }

    /// News that have come and were not read.
    pub fn unread_news(&mut self) -> Vec<RoadEvent> {
        std::iter::from_fn(|| self.news.try_recv().ok()).collect()
    }

    /// Sends a message of the program.
    pub async fn send(&self, topic: &str, payload: &str, retain: bool) {
        let publish = Publish { topic: topic.to_owned(), payload: payload.into(), retain };
        within("room in the outbox", self.outbox.send(publish)).await.unwrap();
    }

    /// Asks for the end and returns how long it took.
    pub async fn stop(&mut self) -> Duration {
        let began = std::time::Instant::now();
        self.stopper.take().expect("it runs").stop();
        let ended = within("the road to end", self.running.take().expect("it runs")).await;
        ended.unwrap().unwrap();
        began.elapsed()
    }

    /// A client of the broker under this login, which is its client id as well.
    pub fn hello(&self, name: &str) -> Hello {
        let hello = Hello::new(self.wishes.version, name);
        if self.wishes.logins { hello.login(name) } else { hello }
    }

    pub async fn client(&self, name: &str) -> Raw {
        Raw::connect(self.broker, &self.hello(name)).await
    }

    /// Sends a message that is allowed and waits until it is stored: what came before it on this road has been dealt with.
    pub async fn fence(&self) {
        let word = format!("fence after {}", self.ledger.seen().offered.len());
        let hello = Hello { client_id: "fence".to_owned(), ..self.hello(logins::OTHER_BOARD) };
        let mut client = Raw::connect(self.broker, &hello).await;
        client
            .publish(&logins::report(logins::OTHER_BOARD, "0000000f/1-1"), word.as_bytes(), crate::raw::qos_1(1))
            .await;
        self.ledger.until_stored(&word).await;
    }
}

/// The clock that these roads are given.
fn now() -> Millis {
    Millis(SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis().try_into().unwrap())
}
