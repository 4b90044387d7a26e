//! The hook: a message is put to the ledger and let on only after the commit; a last will is put to it when a client is lost.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use mqtt5::QoS;
use mqtt5::broker::events::{
    BrokerEventHandler, ClientConnectEvent, ClientDisconnectEvent, ClientPublishEvent, PublishAction,
};
use mqtt5::packet::publish::PublishPacket;
use propstick_garden::took::{Envelope, Via};

use super::connections::Will;
use super::door::who_is;
use super::{Running, Shared};
use crate::transport::topic::{Branch, board_topic};
use crate::transport::{Ack, Stored};

pub(super) struct Hook(pub Arc<Shared>);

type Answer<'a, T> = Pin<Box<dyn Future<Output = T> + Send + 'a>>;

impl BrokerEventHandler for Hook {
    fn on_client_publish<'a>(&'a self, event: ClientPublishEvent) -> Answer<'a, PublishAction> {
        Box::pin(async move { self.0.publish(event).await })
    }

    fn on_client_connect<'a>(&'a self, event: ClientConnectEvent) -> Answer<'a, ()> {
        let session = Duration::from_secs(u64::from(event.session_expiry_interval));
        let will = event.will_topic.as_deref().map(|topic| Will {
            topic: topic.to_owned(),
            payload: event.will_payload.as_deref().unwrap_or_default().to_vec(),
            qos: event.will_qos.map_or(0, |qos| qos as u8),
            delay: session,
        });
        self.0.connections.connected(&event.client_id, event.user_id.as_deref().unwrap_or(""), will);
        Box::pin(async {})
    }

    fn on_client_disconnect<'a>(&'a self, event: ClientDisconnectEvent) -> Answer<'a, ()> {
        let will = self.0.connections.gone(&event.client_id, event.user_id.as_deref().unwrap_or(""));
        if let Some(will) = will.filter(|will| event.unexpected && self.0.interest.wants(&will.topic)) {
            tokio::spawn(execute(Arc::clone(&self.0), event.client_id, will));
        }
        Box::pin(async {})
    }
}

impl Shared {
    async fn publish(&self, event: ClientPublishEvent) -> PublishAction {
        let Some(running) = self.running.get() else {
            return nothing();
        };
        let may =
            event.user_id.as_deref().and_then(who_is).is_some_and(|who| self.access.may_publish(&who, &event.topic));
        if !may {
            tracing::warn!(client = %event.client_id, topic = %event.topic, "refused: it may not publish there");
            return refuse(running, &event.client_id).await;
        }
        if !self.interest.wants(&event.topic) {
            return PublishAction::Continue;
        }
        let envelope = Envelope {
            arrived: (self.now)(),
            via: Via::Broker,
            topic: event.topic.to_string(),
            payload: event.payload.to_vec(),
            qos: event.qos as u8,
            // It comes straight from its sender, whatever it asks the broker to keep.
            retain: false,
            // The broker does not tell.
            dup: false,
        };
        match self.store(running, envelope).await {
            Stored::Yes => let_on(event),
            Stored::No => {
                tracing::warn!(client = %event.client_id, topic = %event.topic, "not stored, so not acknowledged");
                refuse(running, &event.client_id).await
            }
        }
    }

    /// Puts a message to the ledger. Ends at the time limit, and at once when the road stops.
    async fn store(&self, running: &Running, envelope: Envelope) -> Stored {
        let (ack, done) = Ack::pair();
        let stored = async {
            match running.inbox.send((envelope, ack)).await {
                Ok(()) => done.await.unwrap_or(Stored::No),
                Err(_) => Stored::No,
            }
        };
        tokio::select! {
            stored = tokio::time::timeout(self.store_timeout, stored) => stored.unwrap_or(Stored::No),
            () = running.stop.stopped() => Stored::No,
        }
    }
}

/// A stored message goes on to subscribers and is acknowledged. A report is never kept as a retained message, even where it was sent
/// as one: each has its own topic, and they would fill the broker.
fn let_on(event: ClientPublishEvent) -> PublishAction {
    let is_report = matches!(board_topic(&event.topic), Some((_, Branch::Report)));
    if !(event.retain && is_report) {
        return PublishAction::Continue;
    }
    let mut packet = PublishPacket::new(&*event.topic, event.payload, event.qos);
    packet.packet_id = event.packet_id;
    PublishAction::Transform(packet)
}

/// The broker's hook cannot refuse. A message at QoS 0 is not acknowledged, and nobody may subscribe to its topic; the connection is
/// closed so that the sender offers the true one again.
async fn refuse(running: &Running, client_id: &str) -> PublishAction {
    running.router.disconnect_client(client_id).await;
    nothing()
}

fn nothing() -> PublishAction {
    PublishAction::Transform(PublishPacket::new("$refused", Vec::new(), QoS::AtMostOnce))
}

/// How often and how long apart a will is tried again: nobody will send it a second time.
const WILL_TRIES: u32 = 20;
const WILL_PAUSE: Duration = Duration::from_secs(3);

/// Puts a lost client's will to the ledger, unless the client is back before the will's delay is over.
async fn execute(shared: Arc<Shared>, client_id: Arc<str>, will: Will) {
    let Some(running) = shared.running.get() else {
        return;
    };
    let pause = async |time: Duration| {
        tokio::select! {
            () = tokio::time::sleep(time) => {}
            () = running.stop.stopped() => {}
        }
    };
    pause(will.delay).await;
    let arrived = (shared.now)();
    for _ in 0..WILL_TRIES {
        // Connections that this program itself closes on stopping are no news of the boards.
        if running.stop.is_stopped() || shared.connections.is_connected(&client_id) {
            return;
        }
        let envelope = Envelope {
            arrived,
            via: Via::Broker,
            topic: will.topic.clone(),
            payload: will.payload.clone(),
            qos: will.qos,
            retain: false,
            dup: false,
        };
        if shared.store(running, envelope).await == Stored::Yes {
            return;
        }
        pause(WILL_PAUSE).await;
    }
    tracing::warn!(client = %client_id, topic = will.topic, "its last will could not be stored");
}
