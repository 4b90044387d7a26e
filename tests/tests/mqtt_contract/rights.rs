//! Who may say and hear what.

use crate::logins::{BOARD, DEVICE, OTHER_BOARD, branch, report};
use crate::raw::{Heard, Hello, Raw, qos_1};
use crate::road::{Kind, Road, Wishes};

pub async fn stranger_is_not_let_in(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let plain = || Hello::new(road.wishes.version, "stranger");
    let wrong_word = Hello { login: Some((BOARD.to_owned(), "guess".to_owned())), ..plain() };
    for hello in [plain(), plain().login("nobody"), wrong_word] {
        let (_, answer) = Raw::dial(road.broker, &hello).await;
        // 3.1.1: 4 and 5; MQTT 5: bad user name or password, not authorised.
        let expected: &[u8] = if road.wishes.version == 5 { &[0x86, 0x87] } else { &[4, 5] };
        assert!(matches!(answer, Heard::ConnAck { code, .. } if expected.contains(&code)), "{answer:?}");
    }
}

pub async fn message_on_anothers_topic_is_never_delivered(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let forbidden = [
        (BOARD, branch(OTHER_BOARD, "state")),
        (BOARD, report(OTHER_BOARD, "3f9c21a7/1-1")),
        (BOARD, branch(BOARD, "receipt")),
        (BOARD, "site/east/air".to_owned()),
        (DEVICE, branch(BOARD, "state")),
        (DEVICE, report(BOARD, "3f9c21a7/1-1")),
        (DEVICE, "elsewhere".to_owned()),
    ];
    for (name, topic) in &forbidden {
        let mut client = road.client(name).await;
        client.publish(topic, b"forbidden", qos_1(1)).await;
        let answer = client.hear().await;
        match (kind, road.wishes.version) {
            (Kind::Embedded, 5) => {
                assert_eq!(answer, Heard::PubAck { number: 1, code: Some(0x87) }, "{name} {topic}");
                assert_eq!(client.ping().await, Heard::Other(13), "the connection lives on");
            }
            (Kind::Embedded, _) => assert_eq!(answer, Heard::Closed, "{name} {topic}"),
            // What mosquitto answers is its own affair.
            (Kind::Outside, _) => {}
        }
    }
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 1, "the fence alone");
}

pub async fn will_on_a_forbidden_topic_is_never_delivered(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    for topic in [branch(OTHER_BOARD, "state"), branch(BOARD, "receipt"), "$refused".to_owned()] {
        let (client, answer) = Raw::dial(road.broker, &road.hello(BOARD).will(&topic, "forbidden", true)).await;
        if kind == Kind::Embedded {
            let expected = if road.wishes.version == 5 { 0x87 } else { 5 };
            assert_eq!(answer, Heard::ConnAck { session: false, code: expected }, "{topic}");
        }
        client.cut();
    }
    // An allowed will of a client lost later: when it is there, an earlier one would be there too.
    let allowed = road.hello(BOARD).will(&branch(BOARD, "state"), "allowed", false);
    Raw::connect(road.broker, &allowed).await.cut();
    road.ledger.until_stored("allowed").await;
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 2, "the allowed will and the fence");
}

pub async fn subscription_wider_than_the_rights_hears_nothing_of_others(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let (own, others) = (branch(BOARD, "receipt"), branch(OTHER_BOARD, "receipt"));
    let wide = ["#", "+/+/+/+", "propstick/v1/+/receipt", "propstick/#", "+/v1/#", &others, "$refused", "$SYS/#"];
    let mut client = road.client(BOARD).await;
    for filter in wide {
        let codes = client.subscribe(&[filter]).await;
        if kind == Kind::Embedded {
            let denied = if road.wishes.version == 5 { 0x87 } else { 0x80 };
            assert_eq!(codes, [denied], "{filter}");
        }
    }
    // All at once, with one among them that is allowed: that one alone is granted.
    let mut together = wide.to_vec();
    together.push(&own);
    let codes = client.subscribe(&together).await;
    assert_eq!(codes.last(), Some(&1));
    if kind == Kind::Embedded {
        assert!(codes[..wide.len()].iter().all(|code| *code >= 0x80), "{codes:?}");
    }
    road.send(&others, "for the other", true).await;
    road.send(&own, "for me", true).await;
    assert_eq!(client.hear_message().await.1, "for me", "what was sent before must not be heard");

    let mut device = road.client(DEVICE).await;
    let codes = device.subscribe(&["#", "site/east/air"]).await;
    if kind == Kind::Embedded {
        assert!(codes.iter().all(|code| *code >= 0x80), "{codes:?}");
    }
    assert_eq!(device.ping().await, Heard::Other(13), "no message, only the answer to the ping");
}
