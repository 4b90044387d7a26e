//! The road of messages: the broker in this program or one outside, with its doorkeeper and its news.

use std::net::SocketAddr;
use std::sync::Arc;

use propstick_garden::took::Publish;
use tokio::sync::mpsc;
use tokio::task::JoinHandle;

use super::access::{Doorkeeper, Shared};
use super::health::{Health, Light};
use super::ledger_room::receipt;
use super::{House, Windows};
use crate::clock;
use crate::config::{Config, OutsideRoad, Road};
use crate::stop::Stop;
use crate::store::ledger::Due;
use crate::store::{Readings, StoreError, folder};
use crate::transport::topic::{BadFilter, Interest};
use crate::transport::{Inbox, Outbox, RoadEvent, Transport, TransportError, outside};

/// News of the road that may wait.
const NEWS: usize = 64;
/// A broker that could not be reached so often in a row is a trouble.
const OFTEN: u32 = 3;

/// Why there is no road.
#[derive(Debug, thiserror::Error)]
pub enum RoadsError {
    /// A mapping's topic cannot be subscribed to.
    #[error(transparent)]
    Filter(#[from] BadFilter),
    /// The road itself.
    #[error(transparent)]
    Road(#[from] TransportError),
    /// The logins could not be read.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The broker would be open to the whole net.
    #[error(
        "mqtt.listen: {0} is not on this machine and no board has a login yet; \
         make one with `propstick board add`, or listen on loopback"
    )]
    OpenDoor(SocketAddr),
    /// A file that cannot be read.
    #[error("mqtt.outside.password_file: {0}")]
    PasswordFile(String),
    /// This build has no broker.
    #[error("this Propstick was built without its own broker; name one under [mqtt.outside]")]
    NoBroker,
}

/// The road, running.
pub struct Roads {
    /// Where the broker in this program listens.
    pub mqtt: Option<SocketAddr>,
    road: JoinHandle<()>,
    attendants: [JoinHandle<()>; 2],
}

impl Roads {
    /// Opens the road of a configuration and lets its messages into the house.
    ///
    /// # Errors
    /// An address that cannot be had, a door that would stand open, a filter that is none.
    pub async fn open(house: &mut House, config: &Config, stop: Stop) -> Result<Roads, RoadsError> {
        let filters: Vec<String> = config.mappings.iter().map(|m| m.topic.clone()).collect();
        let interest = Interest::new(filters.clone())?;
        let keeper: Shared = Arc::new(Doorkeeper::open(&house.windows.folder, filters)?);
        let (events, news) = mpsc::channel(NEWS);
        let Some(outbox) = house.outbox.take() else { return Err(TransportError::LedgerGone.into()) };
        let inbox = house.inbox.clone();
        let mut mqtt = None;
        let road = match &config.road {
            Road::Embedded { listen } => {
                if !listen.ip().is_loopback() && !keeper.any() {
                    return Err(RoadsError::OpenDoor(*listen));
                }
                let ends = Ends { inbox, outbox, stop, health: Arc::clone(&house.windows.health) };
                let (address, road) = embedded(*listen, interest, Arc::clone(&keeper), events, ends).await?;
                mqtt = Some(address);
                road
            }
            Road::Outside(road) => {
                let client = outside::Outside::new(outside_config(road)?, interest, events);
                tokio::spawn(run(client.run(inbox, outbox, stop), Arc::clone(&house.windows.health)))
            }
        };
        let listen = tokio::spawn(listen(news, house.windows.clone(), house.send.clone()));
        let logins = tokio::spawn(mind_logins(keeper, house.windows.clone()));
        Ok(Roads { mqtt, road, attendants: [listen, logins] })
    }

    /// Waits until the road has ended, after its stop was asked for.
    pub async fn ended(self) {
        let _ = self.road.await;
        for attendant in self.attendants {
            attendant.abort();
        }
    }
}

/// What a road is tied to.
#[cfg_attr(
    not(feature = "embedded-broker"),
    expect(dead_code, reason = "only the broker in the program is opened with it")
)]
struct Ends {
    inbox: Inbox,
    outbox: Outbox,
    stop: Stop,
    health: Arc<Health>,
}

#[cfg(feature = "embedded-broker")]
async fn embedded(
    listen: SocketAddr,
    interest: Interest,
    keeper: Shared,
    events: mpsc::Sender<RoadEvent>,
    ends: Ends,
) -> Result<(SocketAddr, JoinHandle<()>), RoadsError> {
    use crate::transport::embedded::{Config, Embedded};
    let broker = Embedded::bind(Config::new(listen, clock::system_now), interest, keeper, events).await?;
    let address = broker.local_addr();
    Ok((address, tokio::spawn(run(broker.run(ends.inbox, ends.outbox, ends.stop), ends.health))))
}

#[cfg(not(feature = "embedded-broker"))]
async fn embedded(
    _: SocketAddr,
    _: Interest,
    _: Shared,
    _: mpsc::Sender<RoadEvent>,
    _: Ends,
) -> Result<(SocketAddr, JoinHandle<()>), RoadsError> {
    Err(RoadsError::NoBroker)
}

/// Keeps the doorkeeper's list as new as the store's.
async fn mind_logins(keeper: Shared, windows: Windows) {
    loop {
        windows.logins.notified().await;
        if let Err(error) = keeper.look_again(&windows.folder) {
            tracing::error!(%error, "the logins could not be read");
        }
    }
}

async fn run(road: impl Future<Output = Result<(), TransportError>>, health: Arc<Health>) {
    if let Err(error) = road.await {
        tracing::error!(%error, "the road of messages ended");
        health.trouble("road", Light::Red, format!("No messages come in: {error}. Start Propstick again."));
    }
}

/// Listens to the road's news: whenever it carries messages again, every board is told how far it was heard.
async fn listen(mut news: mpsc::Receiver<RoadEvent>, windows: Windows, send: mpsc::Sender<Publish>) {
    let health = &windows.health;
    while let Some(event) = news.recv().await {
        match event {
            RoadEvent::Connected => {
                health.well("road");
                for publish in receipts(&windows) {
                    if send.send(publish).await.is_err() {
                        return;
                    }
                }
            }
            RoadEvent::Lost { why, in_a_row } => {
                tracing::warn!(%why, in_a_row, "no connection to the broker");
                if in_a_row >= OFTEN {
                    let says = format!("The broker cannot be reached ({why}); boards keep their readings meanwhile.");
                    health.trouble("road", Light::Red, says);
                }
            }
            RoadEvent::HeardNothing { for_s } => {
                tracing::warn!(for_s, "nothing heard from the broker; connecting anew");
                let minutes = for_s / 60;
                let says = format!("Connected to the broker, but nothing heard for {minutes} minutes.");
                health.trouble("road", Light::Amber, says);
            }
            RoadEvent::NotSubscribed { filter } => {
                let says = format!("The broker does not let Propstick hear {filter}: look at its rights.");
                health.trouble("subscription", Light::Red, says);
            }
        }
    }
}

fn receipts(windows: &Windows) -> Vec<Publish> {
    let found = Readings::open(&folder::readings_path(&windows.folder)).and_then(|r| r.receipts());
    match found {
        Ok(all) => {
            all.into_iter().filter_map(|(device, queue, upto, at)| receipt(&Due { device, queue, upto, at })).collect()
        }
        Err(error) => {
            tracing::error!(%error, "receipts could not be read");
            Vec::new()
        }
    }
}

fn outside_config(road: &OutsideRoad) -> Result<outside::Config, RoadsError> {
    let mut config = outside::Config::new(&road.host, road.port, &road.client_id, clock::system_now);
    if let Some(user) = &road.user {
        let password = match &road.password_file {
            None => String::new(),
            Some(path) => std::fs::read_to_string(path)
                .map_err(|e| RoadsError::PasswordFile(format!("{}: {e}", path.display())))?
                .lines()
                .next()
                .unwrap_or("")
                .to_owned(),
        };
        config.login = Some((user.clone(), password));
    }
    Ok(config)
}
