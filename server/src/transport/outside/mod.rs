//! A broker elsewhere, through an MQTT client of ours.
//!
//! MQTT 5 is spoken, not 3.1.1, because only there can a client tell the broker its longest packet (so that one message that is too
//! long is dropped there, instead of ending every connection for ever and hiding what waits behind it), how many unacknowledged
//! messages it bears (so that a slow ledger slows the broker and nothing piles up here), and that a subscription which is still there
//! needs no retained messages again. A broker that knows 3.1.1 only is therefore not enough.
//!
//! Each connection is a new client of the library: what it would carry over by itself, it drops where the broker lost the session.
//! What is to be sent is kept in our own [`outbox`], what came in and is not acknowledged in [`held`]; the broker sends the latter again.

mod connection;
mod held;
mod outbox;

use std::future::Future;
use std::time::{Duration, Instant};

use tokio::sync::mpsc;

use super::topic::Interest;
use super::{Inbox, Now, Outbox, RoadEvent, Stop, Teller, Transport, TransportError};
use connection::{Ended, connection};
use outbox::OwnOutbox;

/// Which broker, and how patiently.
#[derive(Clone)]
pub struct Config {
    /// Name or address of the broker.
    pub host: String,
    /// Its port, without encryption.
    pub port: u16,
    /// User name and password, where it wants them.
    pub login: Option<(String, String)>,
    /// The client id. It must stay the same for ever and be nobody else's: the broker keeps messages for it.
    pub client_id: String,
    /// Longest packet in bytes that the broker may send us.
    pub max_packet: u32,
    /// Time between pings, at least 5 s.
    pub keep_alive: Duration,
    /// How long the broker is asked to keep messages for us while we are away.
    pub session_kept: Duration,
    /// Longest wait for a message to be stored; after it the message counts as not stored.
    pub store_timeout: Duration,
    /// Pause before connecting again; doubled with each failure in a row.
    pub pause: Duration,
    /// Longest pause. A connection that held longer than this counts as steady.
    pub longest_pause: Duration,
    /// Connected but nothing fresh heard for so long: say so and connect again. `None` where silence is normal.
    pub deaf_after: Option<Duration>,
    /// The clock that stamps arrivals.
    pub now: Now,
}

impl Config {
    /// The usual patience: packets of 64 KiB, pings each 30 s, a session of 30 days, 5 s to store, pauses of 1 s to 30 s, and silence
    /// noticed after an hour.
    pub fn new(host: &str, port: u16, client_id: &str, now: Now) -> Config {
        Config {
            host: host.to_owned(),
            port,
            login: None,
            client_id: client_id.to_owned(),
            max_packet: 64 * 1024,
            keep_alive: Duration::from_secs(30),
            session_kept: Duration::from_secs(30 * 24 * 3_600),
            store_timeout: Duration::from_secs(5),
            pause: Duration::from_secs(1),
            longest_pause: Duration::from_secs(30),
            deaf_after: Some(Duration::from_secs(3_600)),
            now,
        }
    }
}

/// The road to an outside broker.
pub struct Outside {
    config: Config,
    interest: Interest,
    news: Teller,
}

impl Outside {
    /// Nothing is done before it runs. `events` hears each connection, loss and silence.
    pub fn new(config: Config, interest: Interest, events: mpsc::Sender<RoadEvent>) -> Outside {
        Outside { config, interest, news: Teller::new(events) }
    }
}

impl Transport for Outside {
    fn run(self, inbox: Inbox, outbox: Outbox, stop: Stop) -> impl Future<Output = Result<(), TransportError>> + Send {
        keep_connected(self, inbox, outbox, stop)
    }
}

/// What a connection works with and leaves to the next one.
struct Shared {
    config: Config,
    interest: Interest,
    news: Teller,
    inbox: Inbox,
    outbox: Outbox,
    /// Whether `outbox` may still bring something.
    more_to_send: bool,
    own: OwnOutbox,
    stop: Stop,
}

async fn keep_connected(road: Outside, inbox: Inbox, outbox: Outbox, stop: Stop) -> Result<(), TransportError> {
    let Outside { config, interest, news } = road;
    let own = OwnOutbox::new(config.max_packet);
    let mut shared = Shared { config, interest, news, inbox, outbox, more_to_send: true, own, stop };
    let mut in_a_row = 0_u32;
    while !shared.stop.is_stopped() {
        let began = Instant::now();
        let ended = connection(&mut shared).await;
        shared.own.send_again();
        let why = match ended {
            Ended::Stopped => return Ok(()),
            Ended::LedgerGone => return Err(TransportError::LedgerGone),
            Ended::NotStored => "a message could not be stored; the broker is to send it again".to_owned(),
            Ended::Deaf => "connected, but nothing heard".to_owned(),
            Ended::Lost(why) => why,
        };
        in_a_row = if began.elapsed() > shared.config.longest_pause { 1 } else { in_a_row.saturating_add(1) };
        tracing::warn!(host = shared.config.host, port = shared.config.port, in_a_row, why, "outside broker lost");
        shared.news.tell(RoadEvent::Lost { why, in_a_row });
        shared.rest(pause(&shared.config, in_a_row)).await;
    }
    Ok(())
}

/// The pause before another try: doubled each time, up to the longest.
fn pause(config: &Config, in_a_row: u32) -> Duration {
    let doubled = 2_u32.saturating_pow(in_a_row.saturating_sub(1).min(16));
    config.pause.saturating_mul(doubled).min(config.longest_pause)
}

impl Shared {
    /// Waits, still taking what is to be sent so that nobody who sends has to wait.
    async fn rest(&mut self, time: Duration) {
        let over = tokio::time::sleep(time);
        tokio::pin!(over);
        loop {
            self.news.catch_up();
            tokio::select! {
                () = &mut over => return,
                () = self.stop.stopped() => return,
                publish = self.outbox.recv(), if self.more_to_send => match publish {
                    Some(publish) => self.own.push(publish),
                    None => self.more_to_send = false,
                },
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pause_doubles_with_each_failure_up_to_the_longest() {
        let config = Config::new("localhost", 1883, "propstick", || propstick_wire::Millis(0));
        let pauses_s: Vec<u64> = [1, 2, 3, 4, 5, 6, 7, 100, u32::MAX].map(|n| pause(&config, n).as_secs()).to_vec();
        assert_eq!(pauses_s, [1, 2, 4, 8, 16, 30, 30, 30, 30]);
    }
}
