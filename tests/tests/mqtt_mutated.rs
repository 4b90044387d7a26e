//! Thousands of bent packets against the broker in the program, at both versions: it must not panic, keep no socket, and serve others
//! all the while.
//!
//! `PROPSTICK_LONG=1` takes ten times as many. A failure names its seed; `PROPSTICK_SEED` repeats it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

#[allow(dead_code)]
#[path = "mqtt_contract/ledger.rs"]
mod ledger;
#[allow(dead_code)]
#[path = "mqtt_contract/logins.rs"]
mod logins;
#[allow(dead_code)]
#[path = "mqtt_contract/raw.rs"]
mod raw;
#[path = "mqtt_contract/sockets.rs"]
mod sockets;

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use propstick::transport::embedded::{Config, Embedded};
use propstick::transport::topic::Interest;
use propstick::transport::{RoadEvent, Stop, Transport};
use propstick_tests::lots::Lot;
use propstick_wire::Millis;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

use ledger::Ledger;
use logins::{BOARD, Table, branch, report};
use raw::{Hello, Raw, packet, publish_packet, qos_1};

/// Waits for something that must come, but not for ever.
async fn within<T>(what: &str, future: impl Future<Output = T>) -> T {
    let waited = tokio::time::timeout(raw::PATIENCE, future).await;
    waited.unwrap_or_else(|_| panic!("waited in vain for {what}"))
}

/// Packets for each version; a control client looks after every so many.
const PACKETS: u64 = 2_000;
const CONTROL_EVERY: u64 = 100;
/// Connections at once.
const AT_ONCE: u64 = 10;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn prop_broker_under_mutated_packets_lives_and_serves_others() {
    static PANICS: AtomicUsize = AtomicUsize::new(0);
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        PANICS.fetch_add(1, Ordering::SeqCst);
        usual(panic);
    }));

    let (ledger, inbox) = Ledger::start(64);
    let (events, mut news) = tokio::sync::mpsc::channel(4);
    let (_outbox, to_send) = tokio::sync::mpsc::channel(1);
    let (stopper, stop) = Stop::pair();
    let config =
        Config { max_packet: 4_096, ..Config::new((Ipv4Addr::LOCALHOST, 0).into(), || Millis(1_772_971_200_000)) };
    let access = std::sync::Arc::new(Table { logins: false });
    let road = Embedded::bind(config, Interest::new(vec!["#".into()]).unwrap(), access, events).await.unwrap();
    let broker = road.local_addr();
    let running = tokio::spawn(road.run(inbox, to_send, stop));
    assert_eq!(within("the broker to serve", news.recv()).await, Some(RoadEvent::Connected));

    let seed = std::env::var("PROPSTICK_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(20_251_125);
    let packets = if std::env::var_os("PROPSTICK_LONG").is_some() { 10 * PACKETS } else { PACKETS };
    for version in [5, 4] {
        let mut let_in = 0;
        for first in (0..packets).step_by(usize::try_from(CONTROL_EVERY).unwrap()) {
            for some in (first..first + CONTROL_EVERY).step_by(usize::try_from(AT_ONCE).unwrap()) {
                let bent = (some..some + AT_ONCE).map(|n| tokio::spawn(bother(broker, version, seed, n)));
                for one in bent.collect::<Vec<_>>() {
                    let was_let_in =
                        one.await.unwrap_or_else(|error| panic!("seed {seed} near packet {some}: {error}"));
                    let_in += u64::from(was_let_in);
                }
            }
            let word = format!("control {version} {first}");
            let mut control = Raw::connect(broker, &Hello::new(version, "control")).await;
            control.publish_acknowledged(&branch(BOARD, "state"), &word, qos_1(1)).await;
            ledger.until_stored(&word).await;
            assert_eq!(PANICS.load(Ordering::SeqCst), 0, "seed {seed}, MQTT {version}, before packet {first}");
        }
        assert!(let_in > packets / 2, "most must get past the door to bend anything behind it: {let_in} of {packets}");
    }
    within("the broker to close every socket", async {
        while sockets::open_sockets(broker.port()) > 0 {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    })
    .await;
    stopper.stop();
    within("the broker to end", running).await.unwrap().unwrap();
    assert_eq!(PANICS.load(Ordering::SeqCst), 0, "seed {seed}");
}

/// Connects, says something bent, closes its half, and listens until the broker has closed the other. Whether it was let in.
async fn bother(broker: SocketAddr, version: u8, seed: u64, n: u64) -> bool {
    let mut chance = Lot(seed ^ (n << 8) ^ u64::from(version));
    let bytes = conversation(version, n, &mut chance);
    let mut stream = within("connecting", TcpStream::connect(broker)).await.unwrap();
    let _ = within("writing", stream.write_all(&bytes)).await;
    let _ = stream.shutdown().await;
    let mut heard = Vec::new();
    let _ = within("the broker to close", stream.read_to_end(&mut heard)).await;
    // CONNACK without a refusal.
    heard.first() == Some(&0x20) && heard.get(3) == Some(&0)
}

/// A sound introduction or none, a few sound packets, and one or two bent ones among them.
fn conversation(version: u8, n: u64, chance: &mut Lot) -> Vec<u8> {
    let mut client = Hello::new(version, &format!("bent {n}"));
    if chance.below(2) == 0 {
        client = client.will(&branch(BOARD, "state"), "gone", chance.below(2) == 0);
    }
    client.lasting = chance.below(3) == 0;
    let sound = sound_packets(version);
    let mut packets = vec![client.packet()];
    packets.extend((0..chance.below(4)).map(|_| chance.one_of(&sound).clone()));
    // Most keep their introduction, so that what follows is looked at.
    let first = usize::from(packets.len() > 1 && chance.below(5) > 0);
    for _ in 0..=chance.below(2) {
        let at = first + chance.below(packets.len() - first);
        let other = chance.one_of(&sound).clone();
        bend(&mut packets[at], &other, chance);
    }
    packets.concat()
}

fn sound_packets(version: u8) -> Vec<Vec<u8>> {
    let properties: &[u8] = if version == 5 { &[0] } else { &[] };
    let with_filter = |first: u8, tail: &[u8]| packet(first, &[&[0, 9], properties, &[0, 3], b"a/+", tail].concat());
    let mut all = vec![
        publish_packet(version, &report(BOARD, "3f9c21a7/1-2"), b"[{}]", qos_1(1)),
        publish_packet(version, &branch(BOARD, "state"), b"{}", qos_1(2).retained()),
        publish_packet(version, "a/b", b"x", qos_1(3).qos(2)),
        publish_packet(version, "a/b", b"x", qos_1(0).qos(0)),
        publish_packet(version, "a/b", &[0xFF; 3_000], qos_1(4)),
        publish_packet(version, "a/b", &[0; 5_000], qos_1(5)),
        with_filter(0x82, &[1]),
        with_filter(0xA2, &[]),
        packet(0x62, &[0, 3]),
        packet(0x40, &[0, 1]),
        packet(0x50, &[0, 1]),
        packet(0x70, &[0, 1]),
        packet(0xC0, &[]),
        packet(0xE0, &[]),
        packet(0xD0, &[]),
    ];
    if version == 5 {
        all.push(packet(0xF0, &[]));
        // Topic alias, response topic, correlation data, user property.
        let properties = b"\x23\x00\x01\x08\x00\x01r\x09\x00\x01c\x26\x00\x01k\x00\x01v";
        let length = [u8::try_from(properties.len()).unwrap()];
        all.push(packet(0x32, &[b"\x00\x03a/b\x00\x07", &length[..], &properties[..], b"x"].concat()));
        // Session expiry, receive maximum and user property in a farewell.
        all.push(packet(0xE0, b"\x00\x05\x11\x00\x00\x00\x09"));
    }
    all
}

/// One random change.
fn bend(bytes: &mut Vec<u8>, other: &[u8], chance: &mut Lot) {
    let at = chance.below(bytes.len());
    match chance.below(9) {
        0 => bytes[at] ^= 1 << chance.below(8),
        1 => bytes[at] = *chance.one_of(&[0, 1, 0x7F, 0x80, 0xFF]),
        2 => bytes.insert(at, u8::try_from(chance.below(256)).unwrap()),
        3 => drop(bytes.remove(at)),
        4 => bytes.truncate(at),
        5 => bytes.extend_from_within(at..),
        // The length that the packet claims.
        6 if bytes.len() > 1 => bytes[1] = u8::try_from(chance.below(256)).unwrap(),
        7 => bytes.truncate(at + 1),
        _ => {
            bytes.truncate(at);
            bytes.extend(&other[chance.below(other.len())..]);
        }
    }
    if bytes.is_empty() {
        bytes.push(u8::try_from(chance.below(256)).unwrap());
    }
}
