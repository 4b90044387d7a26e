//! A board's client as a library writes it: it keeps a message until it is acknowledged and connects again whenever it is thrown out.

use std::net::SocketAddr;
use std::time::Duration;

use tokio::task::JoinHandle;

use crate::logins;

/// Publishes these messages (topic, payload) at QoS 1 from a lasting session; done when all are acknowledged.
pub fn publish_all(version: u8, broker: SocketAddr, name: &str, messages: &[(String, String)]) -> JoinHandle<()> {
    let (name, messages) = (name.to_owned(), messages.to_vec());
    if version == 5 {
        tokio::spawn(at_5(broker, name, messages))
    } else {
        tokio::spawn(at_3_1_1(broker, name, messages))
    }
}

/// Between two attempts.
const PAUSE: Duration = Duration::from_millis(20);

async fn at_5(broker: SocketAddr, name: String, messages: Vec<(String, String)>) {
    use rumqttc::v5::mqttbytes::QoS;
    use rumqttc::v5::mqttbytes::v5::Packet;
    use rumqttc::v5::{AsyncClient, Event, MqttOptions};

    let mut options = MqttOptions::new(format!("lasting {name}"), "127.0.0.1", broker.port());
    options.set_clean_start(false).set_credentials(&name, logins::password(&name));
    options.set_connect_properties(rumqttc::v5::mqttbytes::v5::ConnectProperties::new());
    options.set_session_expiry_interval(Some(3_600));
    let (client, mut events) = AsyncClient::new(options, messages.len() + 1);
    for (topic, payload) in &messages {
        client.try_publish(topic, QoS::AtLeastOnce, false, payload.clone()).unwrap();
    }
    let mut open = messages.len();
    while open > 0 {
        match events.poll().await {
            Ok(Event::Incoming(Packet::PubAck(_))) => open -= 1,
            Ok(_) => {}
            Err(_) => tokio::time::sleep(PAUSE).await,
        }
    }
}

async fn at_3_1_1(broker: SocketAddr, name: String, messages: Vec<(String, String)>) {
    use rumqttc::{AsyncClient, Event, MqttOptions, Packet, QoS};

    let mut options = MqttOptions::new(format!("lasting {name}"), "127.0.0.1", broker.port());
    options.set_clean_session(false).set_credentials(&name, logins::password(&name));
    let (client, mut events) = AsyncClient::new(options, messages.len() + 1);
    for (topic, payload) in &messages {
        client.try_publish(topic, QoS::AtLeastOnce, false, payload.clone()).unwrap();
    }
    let mut open = messages.len();
    while open > 0 {
        match events.poll().await {
            Ok(Event::Incoming(Packet::PubAck(_))) => open -= 1,
            Ok(_) => {}
            Err(_) => tokio::time::sleep(PAUSE).await,
        }
    }
}
