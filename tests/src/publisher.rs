//! A client that publishes and waits until everything is acknowledged.
#![allow(clippy::panic)] // a test's helpers are part of the test

use std::net::SocketAddr;
use std::time::{Duration, Instant};

use rumqttc::{Client, Event, MqttOptions, Packet, QoS};

use crate::program::PATIENCE;

/// Publishes these messages (topic, payload, retain) at QoS 1; returns when the broker has acknowledged all of them.
pub fn publish(broker: SocketAddr, client_id: &str, messages: &[(String, Vec<u8>, bool)]) {
    let mut options = MqttOptions::new(client_id, broker.ip().to_string(), broker.port());
    options.set_max_packet_size(1 << 20, 1 << 20).set_keep_alive(Duration::from_secs(60));
    let (client, mut connection) = Client::new(options, messages.len().max(1));
    for (topic, payload, retain) in messages {
        if let Err(error) = client.try_publish(topic, QoS::AtLeastOnce, *retain, payload.clone()) {
            panic!("publish on {topic}: {error}");
        }
    }
    let until = Instant::now() + PATIENCE;
    let mut open = messages.len();
    while open > 0 {
        match connection.recv_timeout(until.saturating_duration_since(Instant::now())) {
            Ok(Ok(Event::Incoming(Packet::PubAck(_)))) => open -= 1,
            Ok(Ok(_)) => {}
            other => panic!("{open} of {} messages are not acknowledged: {other:?}", messages.len()),
        }
    }
    let _ = client.try_disconnect();
    // The goodbye goes out.
    while let Ok(Ok(_)) = connection.recv_timeout(PATIENCE) {}
}
