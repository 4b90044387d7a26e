//! The boards alive: each an MQTT client of its own, by the contract.
//!
//! A board keeps its samples until the retained receipt of its queue covers them, sends the oldest first, one pack in flight, and sends it
//! again where no receipt comes. PUBACK means nothing to it. Here all of them stay connected, so each has a will.

use std::net::SocketAddr;
use std::time::Duration;

use propstick_wire::Millis;
use propstick_wire::message::{BoardSettings, Receipt, WILL};
use propstick_wire::millis::SECOND;
use rumqttc::Outgoing;
use rumqttc::v5::mqttbytes::QoS;
use rumqttc::v5::mqttbytes::v5::{Filter, LastWill, Publish};
use rumqttc::v5::{AsyncClient, Event, EventLoop, Incoming as Packet, MqttOptions};
use tokio::sync::mpsc;
use tokio::task::JoinSet;
use tokio::time::{Instant, MissedTickBehavior, interval, sleep, sleep_until, timeout};

use super::boards::{Board, Sleeps};
use super::queue::Oddity;
use super::world::{There, World};
use crate::transport::{Now, Stop};

/// Samples in a report, until settings say otherwise.
const REPORT: u32 = 3;
/// How long a board waits for a receipt before it sends the pack again.
const RECEIPT_WAIT: Duration = Duration::from_secs(20);
/// Pauses between connections: doubled from the first to the last.
const PAUSES: (Duration, Duration) = (Duration::from_secs(1), Duration::from_secs(16));
/// Longest wait for a polite end.
const FAREWELL: Duration = Duration::from_millis(500);
/// Requests that may wait for the client.
const REQUESTS: usize = 16;
/// Samples that may wait for a board.
const WAITING: usize = 64;

/// The boards as a [`super::History`] left them.
pub struct LiveBoards {
    world: World,
    boards: Vec<Board>,
}

impl LiveBoards {
    pub(super) fn new(world: World, boards: Vec<Board>) -> LiveBoards {
        LiveBoards { world, boards }
    }

    /// Goes on until `stop`: samples every `sample_s` seconds (at least 1) and reports every third sample to the broker at `mqtt`; a board
    /// whose retained settings say otherwise does otherwise, though never more often than `sample_s`. `logins` are name and password of
    /// boards; one without a login connects without. `now` is the only clock.
    pub async fn run(self, mqtt: SocketAddr, logins: Vec<(String, String)>, now: Now, sample_s: u32, stop: Stop) {
        let LiveBoards { mut world, boards } = self;
        let sample_s = sample_s.max(1);
        let mut tasks = JoinSet::new();
        let mut samples = Vec::new();
        for board in boards {
            let (send, take) = mpsc::channel(WAITING);
            samples.push((board.plan.at, send));
            let part = board.urn.topic_part().to_string();
            let login = logins.iter().find(|(name, _)| *name == part).cloned();
            tasks.spawn(Line::new(board, mqtt, login, now, sample_s, stop.clone()).keep_connected(take));
        }
        let mut ticks = interval(Duration::from_secs(u64::from(sample_s)));
        ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                () = stop.stopped() => break,
                _ = ticks.tick() => {}
            }
            let at = now();
            // A clock that was set back: nothing is sampled twice.
            if at <= world.at() {
                continue;
            }
            world.advance_to(at);
            // Nobody keeps a diary of what goes on live.
            world.told();
            for (place, send) in &samples {
                // A board that is stuck loses the sample, as a real one would.
                let _ = send.try_send((at, world.there(*place)));
            }
        }
        drop(samples);
        while tasks.join_next().await.is_some() {}
    }
}

/// Samples on their way to a board.
type Samples = mpsc::Receiver<(Millis, There)>;

/// One board and its connection.
struct Line {
    board: Board,
    mqtt: SocketAddr,
    login: Option<(String, String)>,
    now: Now,
    stop: Stop,
    settings: BoardSettings,
    sampled: Option<Millis>,
    reported: Option<Millis>,
    /// Last sample of the pack that waits for its receipt, and when it is sent again.
    in_flight: Option<(u64, Instant)>,
    /// The broker has answered our subscriptions.
    connected: bool,
    /// Something of the state has changed.
    state_due: bool,
}

impl Line {
    fn new(
        board: Board,
        mqtt: SocketAddr,
        login: Option<(String, String)>,
        now: Now,
        sample_s: u32,
        stop: Stop,
    ) -> Line {
        let report_s = sample_s.saturating_mul(REPORT);
        Line {
            board,
            mqtt,
            login,
            now,
            stop,
            settings: BoardSettings { sample_s, report_s, ..BoardSettings::default() },
            sampled: None,
            reported: None,
            in_flight: None,
            connected: false,
            state_due: true,
        }
    }

    async fn keep_connected(mut self, mut samples: Samples) {
        let mut pause = PAUSES.0;
        while !self.stop.is_stopped() {
            let why = self.connection(&mut samples).await;
            if self.stop.is_stopped() {
                return;
            }
            if self.connected {
                pause = PAUSES.0;
            }
            tracing::debug!(board = self.board.plan.urn, why, "connection of a demo board ended");
            self.connected = false;
            self.in_flight = None;
            self.state_due = true;
            let over = sleep(pause);
            tokio::pin!(over);
            pause = (2 * pause).min(PAUSES.1);
            loop {
                tokio::select! {
                    () = &mut over => break,
                    () = self.stop.stopped() => return,
                    sample = samples.recv() => match sample {
                        Some((at, there)) => self.sample(at, &there),
                        None => return,
                    },
                }
            }
        }
    }

    /// Connects and works until something ends it; says what.
    async fn connection(&mut self, samples: &mut Samples) -> String {
        let (client, mut poller) = AsyncClient::new(self.options(), REQUESTS);
        loop {
            // The poll must live until it is done: dropped half-way it could lose what it was writing.
            let polled = {
                let poll = poller.poll();
                tokio::pin!(poll);
                loop {
                    self.say_what_is_due(&client);
                    let again = self.in_flight.map(|(_, again)| again);
                    tokio::select! {
                        polled = &mut poll => break polled,
                        () = self.stop.stopped() => break Ok(Event::Outgoing(Outgoing::Disconnect)),
                        sample = samples.recv() => match sample {
                            Some((at, there)) => self.sample(at, &there),
                            None => break Ok(Event::Outgoing(Outgoing::Disconnect)),
                        },
                        () = waited(again) => self.in_flight = None,
                    }
                }
            };
            match polled {
                Ok(Event::Outgoing(Outgoing::Disconnect)) => {
                    if self.connected {
                        farewell(&client, poller, self.board.urn.state_topic().to_string()).await;
                    }
                    return "asked to stop".to_owned();
                }
                Ok(Event::Incoming(Packet::Disconnect(why))) => return format!("{:?}", why.reason_code),
                Ok(Event::Incoming(packet)) => self.hear(&client, packet),
                Ok(Event::Outgoing(_)) => {}
                Err(error) => return error.to_string(),
            }
        }
    }

    fn options(&self) -> MqttOptions {
        let part = self.board.urn.topic_part().to_string();
        let mut options = MqttOptions::new(part, self.mqtt.ip().to_string(), self.mqtt.port());
        let state = self.board.urn.state_topic().to_string();
        // Room for the few messages a board has on the way: the crate sets aside 13 MB for all that the protocol allows.
        options.set_outgoing_inflight_upper_limit(8);
        options.set_keep_alive(Duration::from_secs(30)).set_clean_start(true).set_last_will(LastWill::new(
            state,
            WILL,
            QoS::AtLeastOnce,
            true,
            None,
        ));
        if let Some((name, password)) = &self.login {
            options.set_credentials(name, password);
        }
        options
    }

    fn sample(&mut self, at: Millis, there: &There) {
        // Ticks are not to the millisecond.
        let gap_ms = i64::from(self.settings.sample_s) * SECOND - SECOND / 2;
        if self.sampled.is_some_and(|before| at.since(before) < gap_ms) {
            return;
        }
        self.sampled = Some(at);
        self.board.sample(at, there, Oddity::None);
    }

    fn hear(&mut self, client: &AsyncClient, packet: Packet) {
        match packet {
            Packet::ConnAck(_) => {
                let urn = &self.board.urn;
                let filters = [urn.receipt_topic().to_string(), urn.settings_topic().to_string()]
                    .map(|path| Filter::new(path, QoS::AtLeastOnce));
                if let Err(error) = client.try_subscribe_many(filters) {
                    tracing::warn!(board = self.board.plan.urn, %error, "a demo board cannot subscribe");
                }
            }
            Packet::SubAck(_) => self.connected = true,
            Packet::Publish(message) => self.hear_message(&message),
            _ => {}
        }
    }

    fn hear_message(&mut self, message: &Publish) {
        let (Ok(topic), Ok(text)) = (std::str::from_utf8(&message.topic), std::str::from_utf8(&message.payload)) else {
            return;
        };
        if topic.ends_with("/receipt") {
            match Receipt::parse(text) {
                Ok(receipt) => self.take_receipt(&receipt),
                Err(error) => tracing::debug!(topic, %error, "a demo board cannot read its receipt"),
            }
        } else if topic.ends_with("/settings") {
            match self.settings.apply(text) {
                Ok(_) => self.state_due = true,
                Err(error) => tracing::debug!(topic, %error, "a demo board cannot read its settings"),
            }
        }
    }

    fn take_receipt(&mut self, receipt: &Receipt) {
        let ours = receipt.queue == self.board.queue.id() && self.board.queue.forget_upto(receipt.upto);
        if !ours {
            tracing::debug!(
                board = self.board.plan.urn,
                upto = receipt.upto,
                "a receipt that means nothing to the board"
            );
        } else if self.in_flight.is_some_and(|(last, _)| last <= receipt.upto) {
            self.in_flight = None;
        }
    }

    /// Sends state and pack where they are due. Never waits; what finds no room goes the next time.
    fn say_what_is_due(&mut self, client: &AsyncClient) {
        if !self.connected {
            return;
        }
        let now = (self.now)();
        if self.state_due {
            let never = Sleeps::Never { next_report_s: self.settings.report_s, settings: self.settings.revision };
            let state = self.board.state(now, never);
            let topic = self.board.urn.state_topic().to_string();
            self.state_due = client.try_publish(topic, QoS::AtLeastOnce, true, state).is_err();
        }
        if self.in_flight.is_some() || !self.is_report_due(now) {
            return;
        }
        let Some(pack) = self.board.queue.pack() else { return };
        if client.try_publish(pack.topic, QoS::AtLeastOnce, false, pack.payload).is_ok() {
            self.in_flight = Some((pack.last, Instant::now() + RECEIPT_WAIT));
            // A backlog goes on at once; the clock of reports runs from its last pack.
            let goes_on = pack.last + 1 < self.board.queue.next();
            self.reported = if goes_on { None } else { Some(now) };
        }
    }

    fn is_report_due(&self, now: Millis) -> bool {
        let gap_ms = i64::from(self.settings.report_s) * SECOND - SECOND / 2;
        self.reported.is_none_or(|before| now.since(before) >= gap_ms || now < before)
    }
}

async fn waited(until: Option<Instant>) {
    match until {
        Some(at) => sleep_until(at).await,
        None => std::future::pending().await,
    }
}

/// Says that the board goes, and waits shortly until that is said.
async fn farewell(client: &AsyncClient, mut poller: EventLoop, state_topic: String) {
    let said = client.try_publish(state_topic, QoS::AtLeastOnce, true, WILL).is_ok();
    if !said || client.try_disconnect().is_err() {
        return;
    }
    let gone = async {
        while let Ok(event) = poller.poll().await {
            if matches!(event, Event::Outgoing(Outgoing::Disconnect)) {
                return;
            }
        }
    };
    let _ = timeout(FAREWELL, gone).await;
}
