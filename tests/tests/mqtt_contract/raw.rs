//! A client that says and hears bytes: what a well-behaved client library hides shows here.

use std::net::SocketAddr;
use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

use crate::within;

/// How a client introduces itself.
#[derive(Clone)]
pub struct Hello {
    /// 4 for MQTT 3.1.1, 5 for MQTT 5.
    pub version: u8,
    pub client_id: String,
    pub login: Option<(String, String)>,
    /// Topic, payload, retained.
    pub will: Option<(String, String, bool)>,
    /// Whether the broker is to keep the session.
    pub lasting: bool,
    pub will_delay_s: u32,
}

impl Hello {
    pub fn new(version: u8, client_id: &str) -> Hello {
        Hello { version, client_id: client_id.to_owned(), login: None, will: None, lasting: false, will_delay_s: 0 }
    }

    pub fn login(mut self, name: &str) -> Hello {
        self.login = Some((name.to_owned(), crate::logins::password(name)));
        self
    }

    pub fn will(mut self, topic: &str, payload: &str, retain: bool) -> Hello {
        self.will = Some((topic.to_owned(), payload.to_owned(), retain));
        self
    }

    /// The packet that says it.
    pub fn packet(&self) -> Vec<u8> {
        let mut flags = u8::from(!self.lasting) << 1;
        let mut tail = text(&self.client_id);
        if let Some((topic, payload, retain)) = &self.will {
            flags |= 0x04 | 0x08 | u8::from(*retain) << 5;
            if self.version == 5 {
                tail.push(5);
                tail.push(0x18);
                tail.extend(self.will_delay_s.to_be_bytes());
            }
            tail.extend(text(topic));
            tail.extend(text(payload));
        }
        if let Some((name, password)) = &self.login {
            flags |= 0xC0;
            tail.extend(text(name));
            tail.extend(text(password));
        }
        let mut body = text("MQTT");
        body.extend([self.version, flags, 0, 60]);
        if self.version == 5 {
            body.push(5);
            body.push(0x11);
            body.extend(if self.lasting { 3_600_u32 } else { 0 }.to_be_bytes());
        }
        body.extend(tail);
        packet(0x10, &body)
    }
}

/// What came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    ConnAck {
        session: bool,
        code: u8,
    },
    /// `code` only where one was sent (MQTT 5).
    PubAck {
        number: u16,
        code: Option<u8>,
    },
    Publish {
        topic: String,
        payload: String,
        retain: bool,
    },
    SubAck {
        codes: Vec<u8>,
    },
    Other(u8),
    Closed,
}

pub struct Raw {
    stream: TcpStream,
    version: u8,
}

impl Raw {
    /// Connects and introduces itself; returns what the broker answered.
    pub async fn dial(broker: SocketAddr, hello: &Hello) -> (Raw, Heard) {
        let mut raw = Raw::silent(broker, hello.version).await;
        raw.say(&hello.packet()).await;
        let answer = raw.hear().await;
        (raw, answer)
    }

    /// As [`Raw::dial`], where the broker must agree.
    pub async fn connect(broker: SocketAddr, hello: &Hello) -> Raw {
        let (raw, answer) = Raw::dial(broker, hello).await;
        assert!(matches!(answer, Heard::ConnAck { code: 0, .. }), "{} was refused: {answer:?}", hello.client_id);
        raw
    }

    /// Connects and says nothing.
    pub async fn silent(broker: SocketAddr, version: u8) -> Raw {
        let stream = within("connecting", TcpStream::connect(broker)).await.expect("a broker that listens");
        stream.set_nodelay(true).unwrap();
        Raw { stream, version }
    }

    /// Sends bytes. A broker that closes while we write is no failure here: what it says is what counts.
    pub async fn say(&mut self, bytes: &[u8]) {
        let _ = within("writing", self.stream.write_all(bytes)).await;
    }

    pub async fn publish(&mut self, topic: &str, payload: &[u8], flags: Flags) {
        let bytes = publish_packet(self.version, topic, payload, flags);
        self.say(&bytes).await;
    }

    /// Publishes at QoS 1 and waits for the acknowledgement.
    pub async fn publish_acknowledged(&mut self, topic: &str, payload: &str, flags: Flags) {
        self.publish(topic, payload.as_bytes(), flags).await;
        let number = flags.number;
        let answer = self.hear().await;
        assert!(
            matches!(answer, Heard::PubAck { number: of, code: None | Some(0 | 0x10) } if of == number),
            "{payload}: {answer:?}"
        );
    }

    /// Subscribes at QoS 1 and returns the broker's codes. Messages that come before them are skipped.
    pub async fn subscribe(&mut self, filters: &[&str]) -> Vec<u8> {
        let mut body = vec![0, 9];
        if self.version == 5 {
            body.push(0);
        }
        for filter in filters {
            body.extend(text(filter));
            body.push(1);
        }
        self.say(&packet(0x82, &body)).await;
        loop {
            match self.hear().await {
                Heard::SubAck { codes } => return codes,
                Heard::Closed => panic!("closed instead of answering a subscription"),
                _ => {}
            }
        }
    }

    /// A round trip that proves that the broker has dealt with all that was said before.
    pub async fn ping(&mut self) -> Heard {
        self.say(&[0xC0, 0]).await;
        self.hear().await
    }

    /// The next packet, or the end of the connection.
    pub async fn hear(&mut self) -> Heard {
        within("an answer of the broker", self.next()).await
    }

    /// The next message of a subscription.
    pub async fn hear_message(&mut self) -> (String, String, bool) {
        loop {
            match self.hear().await {
                Heard::Publish { topic, payload, retain } => return (topic, payload, retain),
                Heard::Closed => panic!("closed while waiting for a message"),
                _ => {}
            }
        }
    }

    /// Everything up to the end of the connection.
    pub async fn hear_to_the_end(&mut self) -> Vec<Heard> {
        let mut all = Vec::new();
        loop {
            match self.hear().await {
                Heard::Closed => return all,
                heard => all.push(heard),
            }
        }
    }

    /// Whether a byte has come that was not read.
    pub fn has_unread(&self) -> bool {
        self.stream.try_read(&mut [0; 1]).is_ok()
    }

    /// Ends the connection as a power cut at the other end would: with a reset, without a farewell.
    pub fn cut(self) {
        let _ = self.stream.set_zero_linger();
    }

    async fn next(&mut self) -> Heard {
        let Some((first, body)) = self.read_packet().await else { return Heard::Closed };
        let version_5 = self.version == 5;
        match first >> 4 {
            2 => Heard::ConnAck { session: body[0] == 1, code: body[1] },
            3 => {
                let topic_end = 2 + usize::from(body[0]) * 256 + usize::from(body[1]);
                let mut at = topic_end + if first & 0x06 == 0 { 0 } else { 2 };
                if first & 0x06 == 0x02 {
                    let mut ack = vec![0x40, 2];
                    ack.extend(&body[topic_end..at]);
                    self.say(&ack).await;
                }
                if version_5 {
                    let (length, bytes) = length_of(&body[at..]);
                    at += length + bytes;
                }
                Heard::Publish {
                    topic: String::from_utf8_lossy(&body[2..topic_end]).into_owned(),
                    payload: String::from_utf8_lossy(&body[at..]).into_owned(),
                    retain: first & 1 == 1,
                }
            }
            4 => Heard::PubAck { number: u16::from_be_bytes([body[0], body[1]]), code: body.get(2).copied() },
            9 => {
                let (length, bytes) = if version_5 { length_of(&body[2..]) } else { (0, 0) };
                Heard::SubAck { codes: body[2 + length + bytes..].to_vec() }
            }
            kind => Heard::Other(kind),
        }
    }

    async fn read_packet(&mut self) -> Option<(u8, Vec<u8>)> {
        let first = self.stream.read_u8().await.ok()?;
        let (mut length, mut shift) = (0, 0);
        loop {
            let byte = self.stream.read_u8().await.ok()?;
            length |= usize::from(byte & 0x7F) << shift;
            shift += 7;
            if byte & 0x80 == 0 {
                break;
            }
        }
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body).await.ok()?;
        Some((first, body))
    }
}

/// How a message is sent.
#[derive(Clone, Copy)]
pub struct Flags {
    pub qos: u8,
    pub number: u16,
    pub retain: bool,
    pub dup: bool,
}

/// At QoS 1 under this number.
pub fn qos_1(number: u16) -> Flags {
    Flags { qos: 1, number, retain: false, dup: false }
}

impl Flags {
    pub fn retained(self) -> Flags {
        Flags { retain: true, ..self }
    }

    pub fn again(self) -> Flags {
        Flags { dup: true, ..self }
    }

    pub fn qos(self, qos: u8) -> Flags {
        Flags { qos, ..self }
    }
}

pub fn publish_packet(version: u8, topic: &str, payload: &[u8], flags: Flags) -> Vec<u8> {
    let mut body = text(topic);
    if flags.qos > 0 {
        body.extend(flags.number.to_be_bytes());
    }
    if version == 5 {
        body.push(0);
    }
    body.extend(payload);
    packet(0x30 | u8::from(flags.dup) << 3 | flags.qos << 1 | u8::from(flags.retain), &body)
}

/// Any packet: its first byte, the length, the rest.
pub fn packet(first: u8, body: &[u8]) -> Vec<u8> {
    let mut bytes = vec![first];
    let mut length = body.len();
    loop {
        let byte = u8::try_from(length % 128).unwrap();
        length /= 128;
        bytes.push(if length > 0 { byte | 0x80 } else { byte });
        if length == 0 {
            break;
        }
    }
    bytes.extend(body);
    bytes
}

fn text(text: &str) -> Vec<u8> {
    let mut bytes = u16::try_from(text.len()).unwrap().to_be_bytes().to_vec();
    bytes.extend(text.as_bytes());
    bytes
}

/// A variable length and how many bytes it took.
fn length_of(bytes: &[u8]) -> (usize, usize) {
    let taken = bytes.iter().take_while(|byte| **byte & 0x80 != 0).count() + 1;
    let length = bytes[..taken].iter().rev().fold(0, |sum, byte| sum << 7 | usize::from(byte & 0x7F));
    (length, taken)
}

/// Longest wait anywhere in these tests for something that must come.
pub const PATIENCE: Duration = Duration::from_secs(20);
