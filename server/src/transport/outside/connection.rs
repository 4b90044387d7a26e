//! One connection to the outside broker, from connecting to its end.

use std::time::Duration;

use propstick_garden::took::{Envelope, Publish, Via};
use rumqttc::Outgoing;
use rumqttc::v5::mqttbytes::QoS;
use rumqttc::v5::mqttbytes::v5::{
    ConnectProperties, Filter, PubAckReason, Publish as Incoming, RetainForwardRule, SubAck, SubscribeReasonCode,
};
use rumqttc::v5::{AsyncClient, Event, EventLoop, Incoming as Packet, MqttOptions};
use tokio::time::Instant;

use super::held::Held;
use super::{Config, Shared};
use crate::transport::RoadEvent;

/// Why a connection ended.
pub(super) enum Ended {
    /// The end was asked for.
    Stopped,
    /// Nobody stores any more.
    LedgerGone,
    /// A message could not be stored: the broker sends what is not acknowledged again, but only on a new connection.
    NotStored,
    /// Connected, but nothing heard for too long.
    Deaf,
    /// Anything else, in words.
    Lost(String),
}

/// Unacknowledged messages of our own that may be on the way to the broker.
const OWN_MOST: u16 = 100;
/// Unacknowledged messages the broker may have on the way to us.
const RECEIVE_MOST: u16 = 200;
/// Messages at QoS 0 beyond so many held ones are dropped, as their sender allows.
const HELD_MOST: usize = 1_000;
/// Room for requests to the client: more than can be on the way at once, so that none is ever turned away.
const REQUESTS: usize = 512;
/// Longest wait for each part of a polite end.
const FAREWELL: Duration = Duration::from_millis(500);

/// Connects and carries messages until something ends it.
pub(super) async fn connection(shared: &mut Shared) -> Ended {
    let (client, mut poller) = AsyncClient::new(options(&shared.config), REQUESTS);
    let inbox = shared.inbox.clone();
    let mut line = Line { client, held: Held::new(), acks: Vec::new(), connected: false, heard: Instant::now() };
    loop {
        // The poll must live until it is done: dropped half-way it could lose what it was writing.
        let polled = {
            let poll = poller.poll();
            tokio::pin!(poll);
            loop {
                line.say_what_is_due(shared);
                let wake = line.wakes_at(&shared.config);
                tokio::select! {
                    polled = &mut poll => break polled,
                    () = shared.stop.stopped() => break Ok(Event::Outgoing(Outgoing::Disconnect)),
                    permit = inbox.reserve(), if line.held.has_waiting() => match permit {
                        Ok(permit) => {
                            if let Some(given) = line.held.give(Instant::now()) {
                                permit.send(given);
                            }
                        }
                        Err(_) => return Ended::LedgerGone,
                    },
                    () = inbox.closed() => return Ended::LedgerGone,
                    settled = line.held.settle() => match settled {
                        Ok(message) => line.acks.extend(message),
                        Err(_) => return Ended::NotStored,
                    },
                    publish = shared.outbox.recv(), if shared.more_to_send => match publish {
                        Some(publish) => shared.own.push(publish),
                        None => shared.more_to_send = false,
                    },
                    () = sleep_until(wake) => {
                        if let Some(ended) = line.overdue(shared) {
                            return ended;
                        }
                    }
                }
            }
        };
        if shared.stop.is_stopped() {
            farewell(&mut line, poller, shared).await;
            return Ended::Stopped;
        }
        match polled {
            Ok(event) => line.take(event, shared),
            Err(error) => return Ended::Lost(error.to_string()),
        }
    }
}

fn options(config: &Config) -> MqttOptions {
    let mut options = MqttOptions::new(&config.client_id, &config.host, config.port);
    let seconds = u32::try_from(config.session_kept.as_secs()).unwrap_or(u32::MAX);
    options
        // Own publishes on the way at once; the crate sets aside 13 MB for all that the protocol allows.
        .set_outgoing_inflight_upper_limit(OWN_MOST)
        .set_keep_alive(config.keep_alive.max(Duration::from_secs(5)))
        .set_clean_start(false)
        .set_manual_acks(true)
        .set_connect_properties(ConnectProperties::new())
        .set_session_expiry_interval(Some(seconds))
        .set_receive_maximum(Some(RECEIVE_MOST))
        .set_max_packet_size(Some(config.max_packet));
    if let Some((user, password)) = &config.login {
        options.set_credentials(user, password);
    }
    options
}

/// The state of one connection.
struct Line {
    client: AsyncClient,
    held: Held<Incoming>,
    /// Stored, to be acknowledged, in order.
    acks: Vec<Incoming>,
    /// Whether the broker has answered our subscriptions.
    connected: bool,
    /// When the last fresh message came, or the connection began.
    heard: Instant,
}

impl Line {
    /// Acknowledges what is stored and sends what waits. Never waits itself: what finds no room goes the next time.
    fn say_what_is_due(&mut self, shared: &mut Shared) {
        shared.news.catch_up();
        let taken = self.acks.iter().take_while(|message| self.client.try_ack(message).is_ok()).count();
        self.acks.drain(..taken);
        if self.connected {
            shared.own.send_with(|publish| {
                let Publish { topic, payload, retain } = publish.clone();
                self.client.try_publish(topic, QoS::AtLeastOnce, retain, payload).is_ok()
            });
        }
    }

    fn wakes_at(&self, config: &Config) -> Option<Instant> {
        let deaf_at = config.deaf_after.filter(|_| self.connected).map(|limit| self.heard + limit);
        let overdue_at = self.held.overdue_at(config.store_timeout);
        deaf_at.into_iter().chain(overdue_at).min()
    }

    fn overdue(&self, shared: &mut Shared) -> Option<Ended> {
        let now = Instant::now();
        if self.held.overdue_at(shared.config.store_timeout).is_some_and(|at| at <= now) {
            return Some(Ended::NotStored);
        }
        let silence = now.duration_since(self.heard);
        if self.connected && shared.config.deaf_after.is_some_and(|limit| limit <= silence) {
            shared.news.tell(RoadEvent::HeardNothing { for_s: silence.as_secs() });
            return Some(Ended::Deaf);
        }
        None
    }

    fn take(&mut self, event: Event, shared: &mut Shared) {
        match event {
            Event::Incoming(Packet::ConnAck(_)) => self.subscribe(shared),
            Event::Incoming(Packet::SubAck(answer)) => self.subscribed(&answer, shared),
            Event::Incoming(Packet::Publish(message)) => self.hear(message, shared),
            Event::Incoming(Packet::PubAck(answer)) => {
                let publish = shared.own.answered(answer.pkid);
                if !matches!(answer.reason, PubAckReason::Success | PubAckReason::NoMatchingSubscribers) {
                    let topic = publish.map(|publish| publish.topic);
                    tracing::error!(topic, reason = ?answer.reason, "the outside broker refused a message");
                }
            }
            Event::Outgoing(Outgoing::Publish(number)) => shared.own.left_as(number),
            Event::Incoming(_) | Event::Outgoing(_) => {}
        }
    }

    /// Subscribes at every connection, whether or not the broker says that it still knows us: a broker that lost its store while it
    /// kept our name would leave us deaf. Retained messages come only where the subscription is new to the broker.
    fn subscribe(&mut self, shared: &Shared) {
        let filters = shared.interest.filters().into_iter().map(|path| Filter {
            path,
            qos: QoS::AtLeastOnce,
            nolocal: false,
            preserve_retain: false,
            retain_forward_rule: RetainForwardRule::OnNewSubscribe,
        });
        if let Err(error) = self.client.try_subscribe_many(filters) {
            tracing::error!(%error, "cannot subscribe at the outside broker");
        }
    }

    fn subscribed(&mut self, answer: &SubAck, shared: &mut Shared) {
        for (filter, code) in shared.interest.filters().into_iter().zip(&answer.return_codes) {
            if !matches!(code, SubscribeReasonCode::Success(_)) {
                tracing::error!(filter, ?code, "the outside broker does not let us hear this");
                shared.news.tell(RoadEvent::NotSubscribed { filter });
            }
        }
        if !self.connected {
            self.connected = true;
            self.heard = Instant::now();
            shared.news.tell(RoadEvent::Connected);
        }
    }

    fn hear(&mut self, message: Incoming, shared: &Shared) {
        if !message.retain {
            self.heard = Instant::now();
        }
        let answered = message.qos != QoS::AtMostOnce;
        let topic = String::from_utf8_lossy(&message.topic).into_owned();
        if !shared.interest.wants(&topic) {
            if answered {
                self.held.pass_over(message);
            }
            return;
        }
        if !answered && self.held.len() >= HELD_MOST {
            tracing::warn!(topic, "dropped: sent at QoS 0, and the ledger is behind");
            return;
        }
        let envelope = Envelope {
            arrived: (shared.config.now)(),
            via: Via::Outside,
            topic,
            payload: message.payload.to_vec(),
            qos: message.qos as u8,
            retain: message.retain,
            dup: message.dup,
        };
        self.held.take_in(envelope, answered.then_some(message));
    }
}

/// Acknowledges what the ledger still stores in good time, and says goodbye so that the broker does not have to wait for silence.
async fn farewell(line: &mut Line, mut poller: EventLoop, shared: &mut Shared) {
    if !line.connected {
        return;
    }
    let settled = async {
        while line.held.is_first_given() {
            match line.held.settle().await {
                Ok(message) => line.acks.extend(message),
                Err(_) => return,
            }
        }
    };
    let _ = tokio::time::timeout(FAREWELL, settled).await;
    line.say_what_is_due(shared);
    if line.client.try_disconnect().is_err() {
        return;
    }
    let said = async {
        loop {
            match poller.poll().await {
                Ok(Event::Outgoing(Outgoing::Disconnect)) | Err(_) => return,
                Ok(_) => {}
            }
        }
    };
    let _ = tokio::time::timeout(FAREWELL, said).await;
}

async fn sleep_until(at: Option<Instant>) {
    match at {
        Some(at) => tokio::time::sleep_until(at).await,
        None => std::future::pending().await,
    }
}
