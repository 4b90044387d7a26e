//! How fast readings are taken in: a load of boards against a running program on this machine.
//!
//!     cargo bench -p propstick-tests --bench ingest -- --print garden > garden.toml
//!     cargo run --release -- serve --data FOLDER --garden garden.toml
//!     cargo bench -p propstick-tests --bench ingest -- --mqtt 127.0.0.1:1883 --web 127.0.0.1:8737
//!
//! The garden has a spot for each client's board, so that hours are worked out.
//!
//! Eight clients publish at QoS 1, one instant of two quantities a message, as the contract has it. Measured is from the first
//! message to the last acknowledgement, and to the moment at which the program has worked out all hours of it. Afterwards each
//! client reads its receipt: it must cover everything. It is a measurement to be written down with its date, not a test.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use propstick_wire::message::Receipt;
use propstick_wire::senml::{MAX_PACK_BYTES, Writer};
use propstick_wire::{BoardUrn, Decimal, Millis, QueueId};
use std::io::{BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::{Arc, Barrier};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

const USAGE: &str = "usage: ingest [--mqtt 127.0.0.1:1883] [--web 127.0.0.1:8737] [--clients 8] [--messages 20000] [--window 1] \
                     [--step-ms 1000] [--print garden]\n  messages: for each client; window: unacknowledged messages a client may \
                     have on the road; print: write the garden file that has these boards, and nothing else";
/// Nothing is waited for longer than this.
const PATIENCE: Duration = Duration::from_secs(60);
const READINGS_A_MESSAGE: u64 = 2;

struct Load {
    mqtt: SocketAddr,
    web: SocketAddr,
    clients: u8,
    messages: u64,
    window: u64,
    step_ms: i64,
    print_garden: bool,
}

fn main() {
    match Load::from_args(std::env::args().skip(1)) {
        Ok(load) if load.print_garden => print!("{}", load.garden()),
        Ok(load) => load.run(),
        Err(why) => {
            eprintln!("{why}\n{USAGE}");
            std::process::exit(2);
        }
    }
}

impl Load {
    fn from_args(mut args: impl Iterator<Item = String>) -> Result<Load, String> {
        let mut load = Load {
            mqtt: SocketAddr::from(([127, 0, 0, 1], 1_883)),
            web: SocketAddr::from(([127, 0, 0, 1], 8_737)),
            clients: 8,
            messages: 20_000,
            window: 1,
            step_ms: 1_000,
            print_garden: false,
        };
        while let Some(name) = args.next() {
            // What `cargo bench` adds by itself.
            if name == "--bench" {
                continue;
            }
            let value = args.next().ok_or(format!("{name}: a value is missing"))?;
            let number = |most: u64| {
                let read = value.parse::<u64>().ok().filter(|n| (1..=most).contains(n));
                read.ok_or(format!("{name} {value}: expected 1 to {most}"))
            };
            match name.as_str() {
                "--mqtt" => load.mqtt = loopback(&name, &value)?,
                "--web" => load.web = loopback(&name, &value)?,
                "--clients" => load.clients = number(100)? as u8,
                "--messages" => load.messages = number(200_000)?,
                "--window" => load.window = number(1_000)?,
                "--print" if value == "garden" => load.print_garden = true,
                "--step-ms" => load.step_ms = number(600_000)? as i64,
                _ => return Err(format!("{name}: unknown")),
            }
        }
        Ok(load)
    }

    /// A garden in which each client's board has its spot.
    fn garden(&self) -> String {
        let mut text = String::from(
            "[garden]\nname = \"Load\"\nlat = 51.7\nlon = -8.4\nalt_m = 20.0\nzone = \"Europe/Dublin\"\n\n\
             [[structure]]\nslug = \"tunnel\"\nkind = \"tunnel\"\nname = \"Tunnel\"\n",
        );
        for place in 0..self.clients {
            let urn = board(place);
            text += &format!(
                "\n[[spot]]\nslug = \"spot-{place}\"\nstructure = \"tunnel\"\nrole = \"air\"\nheight_m = 1.0\n\n\
                 [[placement]]\ndevice = \"{urn}\"\nchannels = [\"air-temperature\", \"air-humidity\"]\nspot = \"spot-{place}\"\n\
                 from = \"2020-01-01T00:00:00Z\"\n"
            );
        }
        text
    }

    fn run(&self) {
        let before = self.health();
        let queue = QueueId(unix_ms() as u32);
        let clients: Vec<Client> = (0..self.clients).map(|k| Client::new(self, k, queue)).collect();
        let gate = Arc::new(Barrier::new(clients.len() + 1));
        let threads: Vec<_> = clients
            .into_iter()
            .map(|mut client| {
                let (gate, window) = (Arc::clone(&gate), self.window);
                std::thread::spawn(move || {
                    gate.wait();
                    client.publish_all(window);
                    client
                })
            })
            .collect();
        gate.wait();
        let start = Instant::now();
        let clients: Vec<Client> = threads.into_iter().map(|thread| thread.join().expect("a client")).collect();
        let acknowledged = start.elapsed();
        let wanted = u64::from(self.clients) * self.messages * READINGS_A_MESSAGE;
        let worked_out = self.worked_out(before.readings + wanted, start);
        for mut client in clients {
            let receipt = client.receipt();
            assert_eq!((receipt.queue, receipt.upto), (queue, self.messages), "the receipt does not cover everything");
        }
        let rate = |took: Duration| wanted as f64 / took.as_secs_f64();
        println!(
            "{wanted} readings in {} messages from {} clients, window {}",
            u64::from(self.clients) * self.messages,
            self.clients,
            self.window
        );
        println!("acknowledged after {:.2} s: {:.0} readings/s", acknowledged.as_secs_f64(), rate(acknowledged));
        println!("worked out after   {:.2} s: {:.0} readings/s", worked_out.as_secs_f64(), rate(worked_out));
    }

    /// How long it took until all readings are stored and their hours worked out.
    fn worked_out(&self, readings: u64, start: Instant) -> Duration {
        loop {
            let health = self.health();
            let took = start.elapsed();
            if health.readings >= readings && health.not_worked_out == 0 {
                return took;
            }
            assert!(took < 10 * PATIENCE, "not worked out after {took:?}: {health:?}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn health(&self) -> Health {
        let url = format!("http://{}/api/health", self.web);
        let text = ureq::get(&url).call().expect("an answer").body_mut().read_to_string().expect("a text");
        let answer: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let number = |name: &str| answer[name].as_u64().expect("a number");
        Health { readings: number("readings"), not_worked_out: number("not_worked_out") }
    }
}

#[derive(Debug)]
struct Health {
    readings: u64,
    not_worked_out: u64,
}

fn loopback(name: &str, value: &str) -> Result<SocketAddr, String> {
    let address: SocketAddr = value.parse().map_err(|_| format!("{name} {value}: expected an address and a port"))?;
    // A load like this is for one's own machine only.
    if address.ip().is_loopback() { Ok(address) } else { Err(format!("{name} {value}: only this machine is allowed")) }
}

/// The board of the client in that place.
fn board(place: u8) -> BoardUrn {
    BoardUrn::from_eui48([2, 0, 0x5e, 0x10, 0xbe, place])
}

fn unix_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).expect("a clock").as_millis() as i64
}

/// One board, as much of MQTT 3.1.1 as it needs, and all its messages as bytes.
struct Client {
    road: BufReader<TcpStream>,
    board: BoardUrn,
    packets: Vec<Vec<u8>>,
}

impl Client {
    fn new(load: &Load, place: u8, queue: QueueId) -> Client {
        let board = board(place);
        let newest_ms = unix_ms() / 1_000 * 1_000;
        let packets = (1..=load.messages)
            .map(|n| {
                let at = Millis(newest_ms - (load.messages - n) as i64 * load.step_ms);
                publish(&board.report_topic(queue, n, n).to_string(), &pack(&board, at, n), n)
            })
            .collect();
        let stream = TcpStream::connect(load.mqtt).expect("a broker");
        stream.set_nodelay(true).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        let mut client = Client { road: BufReader::new(stream), board, packets };
        let name = board.topic_part().to_string();
        // CONNECT: protocol "MQTT" 4, clean session, keep-alive 120 s.
        let mut body = vec![0, 4, b'M', b'Q', b'T', b'T', 4, 2, 0, 120];
        push_text(&mut body, &name);
        client.send(&packet(0x10, &body));
        assert_eq!(client.read::<4>(), [0x20, 2, 0, 0], "the broker refused the connection");
        client
    }

    /// Sends every message, at most `window` of them without acknowledgement, and waits for the last one.
    fn publish_all(&mut self, window: u64) {
        let packets = std::mem::take(&mut self.packets);
        let mut road = 0;
        for packet in &packets {
            if road == window {
                self.acknowledgement();
                road -= 1;
            }
            self.send(packet);
            road += 1;
        }
        (0..road).for_each(|_| self.acknowledgement());
    }

    fn acknowledgement(&mut self) {
        let [kind, length, ..] = self.read::<4>();
        assert_eq!((kind, length), (0x40, 2), "not a PUBACK");
    }

    /// The receipt that the broker keeps for this board.
    fn receipt(&mut self) -> Receipt {
        let mut body = vec![0, 1];
        push_text(&mut body, &self.board.receipt_topic().to_string());
        body.push(0);
        self.send(&packet(0x82, &body));
        loop {
            let [kind] = self.read::<1>();
            let length = self.remaining_length();
            let mut body = vec![0; length];
            self.road.read_exact(&mut body).expect("a packet");
            if kind & 0xf0 == 0x30 {
                let topic = usize::from(u16::from_be_bytes([body[0], body[1]]));
                let text = String::from_utf8(body[2 + topic..].to_vec()).expect("text");
                return Receipt::parse(&text).expect("a receipt");
            }
        }
    }

    fn remaining_length(&mut self) -> usize {
        let mut length = 0;
        for shift in [0, 7, 14, 21] {
            let [byte] = self.read::<1>();
            length |= usize::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                break;
            }
        }
        length
    }

    fn send(&mut self, packet: &[u8]) {
        self.road.get_mut().write_all(packet).expect("a connection");
    }

    fn read<const N: usize>(&mut self) -> [u8; N] {
        let mut bytes = [0; N];
        self.road.read_exact(&mut bytes).expect("an answer in time");
        bytes
    }
}

/// One instant of two quantities.
fn pack(board: &BoardUrn, at: Millis, n: u64) -> String {
    let mut buffer = [0; MAX_PACK_BYTES];
    let mut writer = Writer::begin_board(&mut buffer, board, Some(at)).unwrap();
    // A slow wave with the jitter of a sensor in its last digits.
    let swing = (n % 1_200) as i64 - 600;
    writer.record("air-temperature", "Cel", Decimal::new(800 + swing.abs() + (n % 7) as i64, 2), 0).unwrap();
    writer.record("air-humidity", "%RH", Decimal::new(9_500 - swing.abs() - (n % 11) as i64, 2), 0).unwrap();
    writer.finish().unwrap().to_string()
}

fn publish(topic: &str, payload: &str, n: u64) -> Vec<u8> {
    let mut body = Vec::new();
    push_text(&mut body, topic);
    // Packet identifiers run from 1.
    body.extend(((n % 65_535) as u16 + 1).to_be_bytes());
    body.extend(payload.as_bytes());
    packet(0x32, &body)
}

fn packet(kind: u8, body: &[u8]) -> Vec<u8> {
    let mut bytes = vec![kind];
    let mut length = body.len();
    loop {
        let more = length > 127;
        bytes.push((length & 127) as u8 | if more { 128 } else { 0 });
        length >>= 7;
        if !more {
            break;
        }
    }
    bytes.extend(body);
    bytes
}

fn push_text(body: &mut Vec<u8>, text: &str) {
    body.extend((text.len() as u16).to_be_bytes());
    body.extend(text.as_bytes());
}
