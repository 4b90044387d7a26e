//! The boards and the device of this test: each on a thread of its own, with a new connection whenever the program dies under it.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use propstick_tests::program::PATIENCE;
use propstick_tests::recordings::{Part, air, pack, report_topic};
use propstick_wire::BoardUrn;
use rumqttc::{Client, Connection, Event, MqttOptions, Outgoing, Packet, QoS};

/// 2026-01-01T00:00:00Z: the first sample of those that have a clock.
const BEGIN_S: i64 = 1_767_225_600;
/// Name under which the other maker's device is kept.
pub const DEVICE: &str = "urn:propstick:sticks:3";
/// Seconds between two messages of the device: its number is in its time.
const DEVICE_EVERY_S: u64 = 10;
/// Bound on the life of a client.
const LONGEST: Duration = Duration::from_secs(10 * PATIENCE.as_secs());

/// Number of the device's message with that time (ms).
pub fn device_number(t: i64) -> u64 {
    (t / 1_000 - BEGIN_S) as u64 / DEVICE_EVERY_S
}

/// What the program has told its clients.
#[derive(Clone, Debug, Default)]
pub struct Heard {
    /// Samples by device that were acknowledged (PUBACK).
    pub acknowledged: BTreeMap<String, BTreeSet<u64>>,
    /// The newest receipt by board and queue.
    pub receipts: BTreeMap<(String, u32), u64>,
    /// How many packs and messages were acknowledged, repeats included.
    pub packs: usize,
}

/// [`Heard`], shared by the clients and the test.
#[derive(Default)]
pub struct Progress {
    heard: Mutex<Heard>,
    more: Condvar,
}

impl Progress {
    pub fn heard(&self) -> Heard {
        self.heard.lock().unwrap().clone()
    }

    pub fn acknowledged(&self) -> usize {
        self.heard.lock().unwrap().packs
    }

    /// Waits until so many packs were acknowledged.
    pub fn until_acknowledged(&self, packs: usize) {
        let heard = self.heard.lock().unwrap();
        let (heard, _) = self.more.wait_timeout_while(heard, PATIENCE, |h| h.packs < packs).unwrap();
        assert!(heard.packs >= packs, "waited in vain for {packs} acknowledged packs: {}", heard.packs);
    }

    fn note(&self, what: impl FnOnce(&mut Heard)) {
        what(&mut self.heard.lock().unwrap());
        self.more.notify_all();
    }
}

/// How a board dates its samples and how many packs it has on the road at once.
#[derive(Clone, Copy, Debug)]
pub struct Manner {
    pub has_clock: bool,
    pub at_once: usize,
}

/// A board: it keeps its samples until a receipt covers them.
pub struct Board {
    urn: &'static str,
    queue: u32,
    finish: Arc<AtomicBool>,
    thread: JoinHandle<u64>,
}

impl Board {
    pub fn start(urn: &'static str, queue: u32, manner: Manner, broker: SocketAddr, progress: Arc<Progress>) -> Board {
        let finish = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&finish);
        let thread = std::thread::spawn(move || {
            let mut life = Life {
                urn,
                queue,
                manner,
                progress,
                finish: told,
                settled: 0,
                sent: 0,
                most: 0,
                on_the_road: VecDeque::new(),
            };
            connect_until(broker, urn, |client, connection| life.live(client, connection));
            life.settled
        });
        Board { urn, queue, finish, thread }
    }

    /// Asks it to take no more samples; its name, its queue, and how many samples it had taken, once receipts cover all of them.
    pub fn finish(self) -> (&'static str, u32, u64) {
        self.finish.store(true, Ordering::Release);
        (self.urn, self.queue, self.thread.join().unwrap())
    }
}

struct Life {
    urn: &'static str,
    queue: u32,
    manner: Manner,
    progress: Arc<Progress>,
    finish: Arc<AtomicBool>,
    /// Samples that a receipt covers.
    settled: u64,
    /// Samples sent on this connection, and the most that was ever sent.
    sent: u64,
    most: u64,
    /// Packs handed to the client that it has not sent yet, then those that wait for their acknowledgement by packet number.
    on_the_road: VecDeque<(Option<u16>, u64, u64)>,
}

impl Life {
    /// Lives on one connection; true when everything is settled.
    fn live(&mut self, client: &Client, connection: &mut Connection) -> bool {
        let topic = BoardUrn::parse(self.urn).unwrap().receipt_topic().to_string();
        self.sent = self.settled;
        self.on_the_road.clear();
        while let Ok(event) = connection.recv_timeout(PATIENCE) {
            match event {
                Ok(Event::Incoming(Packet::ConnAck(_))) => {
                    client.try_subscribe(&topic, QoS::AtLeastOnce).unwrap();
                    self.send_more(client);
                }
                Ok(Event::Outgoing(Outgoing::Publish(number))) => {
                    if let Some(next) = self.on_the_road.iter_mut().find(|pack| pack.0.is_none()) {
                        next.0 = Some(number);
                    }
                }
                Ok(Event::Incoming(Packet::PubAck(ack))) => {
                    let place =
                        self.on_the_road.iter().position(|pack| pack.0 == Some(ack.pkid)).expect("a pack of ours");
                    let (_, first, last) = self.on_the_road.remove(place).unwrap();
                    self.progress.note(|heard| {
                        heard.acknowledged.entry(self.urn.to_owned()).or_default().extend(first..=last);
                        heard.packs += 1;
                    });
                }
                Ok(Event::Incoming(Packet::Publish(publish))) => {
                    let receipt: serde_json::Value = serde_json::from_slice(&publish.payload).unwrap();
                    if receipt["queue"] == format!("{:08x}", self.queue) {
                        let upto = receipt["upto"].as_u64().unwrap();
                        assert!(upto <= self.most, "{} is told of sample {upto} and has sent {}", self.urn, self.most);
                        self.settled = self.settled.max(upto);
                        self.sent = self.sent.max(upto);
                        self.progress.note(|heard| {
                            heard.receipts.insert((self.urn.to_owned(), self.queue), self.settled);
                        });
                    }
                    self.send_more(client);
                    if self.finish.load(Ordering::Acquire) && self.settled == self.most && self.on_the_road.is_empty() {
                        return true;
                    }
                }
                Ok(_) => {}
                Err(_) => return false,
            }
        }
        false
    }

    /// Sends packs from the oldest unsettled sample on; new ones are taken unless it is to finish.
    fn send_more(&mut self, client: &Client) {
        while self.on_the_road.len() < self.manner.at_once {
            let first = self.sent + 1;
            let mut last = self.sent + 1 + first % 4;
            if self.finish.load(Ordering::Acquire) {
                last = last.min(self.most);
            }
            if last < first {
                // Everything is on the road or settled.
                return;
            }
            let topic = report_topic(self.urn, self.queue, first, last);
            if client.try_publish(topic, QoS::AtLeastOnce, false, self.payload(first, last)).is_err() {
                return;
            }
            self.on_the_road.push_back((None, first, last));
            self.sent = last;
            self.most = self.most.max(last);
        }
    }

    fn payload(&self, first: u64, last: u64) -> String {
        let sample = |n: u64| -> Vec<Part<'static>> {
            let mut parts = air(5.0 + (n % 97) as f64 / 10.0, 70.0 + (n % 29) as f64);
            parts.push(("illuminance", "lx", n.to_string()));
            parts
        };
        let samples: Vec<_> = (first..=last)
            .map(|n| {
                if self.manner.has_clock { (n as i64 * 60, sample(n)) } else { (n as i64 - last as i64 - 1, sample(n)) }
            })
            .collect();
        pack(self.urn, self.manner.has_clock.then_some(BEGIN_S), &samples)
    }
}

/// Another maker's device: it forgets a message when it is acknowledged.
pub struct Device {
    finish: Arc<AtomicBool>,
    thread: JoinHandle<u64>,
}

impl Device {
    pub fn start(broker: SocketAddr, progress: Arc<Progress>) -> Device {
        let finish = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&finish);
        let thread = std::thread::spawn(move || {
            let (mut next, mut kept) = (1, BTreeSet::new());
            connect_until(broker, "stick 3", |client, connection| {
                talk(client, connection, &progress, &told, &mut next, &mut kept)
            });
            next - 1
        });
        Device { finish, thread }
    }

    /// Asks it to measure no more; how many messages it had, once all are acknowledged.
    pub fn finish(self) -> u64 {
        self.finish.store(true, Ordering::Release);
        self.thread.join().unwrap()
    }
}

/// Talks on one connection; true when nothing is left to say.
fn talk(
    client: &Client,
    connection: &mut Connection,
    progress: &Progress,
    finish: &AtomicBool,
    next: &mut u64,
    kept: &mut BTreeSet<u64>,
) -> bool {
    const AT_ONCE: usize = 4;
    let mut on_the_road: VecDeque<(Option<u16>, u64)> = VecDeque::new();
    let send = |n: u64| {
        let ts = BEGIN_S as u64 + n * DEVICE_EVERY_S;
        let payload = format!("{{\"ts\":{ts},\"t\":{},\"rh\":{}}}", 4.0 + (n % 83) as f64 / 10.0, 60 + n % 31);
        client.try_publish("site/3/air", QoS::AtLeastOnce, false, payload).unwrap();
        (None, n)
    };
    while let Ok(event) = connection.recv_timeout(PATIENCE) {
        match event {
            Ok(Event::Incoming(Packet::ConnAck(_))) => on_the_road.extend(kept.iter().map(|n| send(*n))),
            Ok(Event::Outgoing(Outgoing::Publish(number))) => {
                if let Some(message) = on_the_road.iter_mut().find(|message| message.0.is_none()) {
                    message.0 = Some(number);
                }
            }
            Ok(Event::Incoming(Packet::PubAck(ack))) => {
                let place = on_the_road.iter().position(|m| m.0 == Some(ack.pkid)).expect("a message of ours");
                let (_, n) = on_the_road.remove(place).unwrap();
                kept.remove(&n);
                progress.note(|heard| {
                    heard.acknowledged.entry(DEVICE.to_owned()).or_default().insert(n);
                    heard.packs += 1;
                });
            }
            Ok(_) => continue,
            Err(_) => return false,
        }
        while on_the_road.len() < AT_ONCE && !finish.load(Ordering::Acquire) {
            on_the_road.push_back(send(*next));
            kept.insert(*next);
            *next += 1;
        }
        if on_the_road.is_empty() {
            return true;
        }
    }
    false
}

/// Connects again and again until `talk` is done.
fn connect_until(broker: SocketAddr, name: &str, mut talk: impl FnMut(&Client, &mut Connection) -> bool) {
    let began = Instant::now();
    loop {
        let mut options = MqttOptions::new(name, broker.ip().to_string(), broker.port());
        options.set_keep_alive(Duration::from_secs(60));
        let (client, mut connection) = Client::new(options, 64);
        if talk(&client, &mut connection) {
            return;
        }
        assert!(began.elapsed() < LONGEST, "{name} lives too long");
        std::thread::sleep(Duration::from_millis(5));
    }
}
