//! Messages: stored, acknowledged, refused, repeated, retained, too long.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use propstick::transport::RoadEvent;
use propstick_garden::took::Via;

use crate::ledger::Answer;
use crate::logins::{BOARD, DEVICE, branch, report};
use crate::publisher::publish_all;
use crate::raw::{Heard, Hello, Raw, packet, qos_1};
use crate::road::{Kind, MAX_PACKET, Road, Wishes};
use crate::within;

pub async fn message_stored_is_acknowledged_and_arrives_as_it_was_sent(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let topic = report(BOARD, "3f9c21a7/1050-1051");
    road.client(BOARD).await.publish_acknowledged(&topic, "two samples", qos_1(7)).await;
    let envelope = road.ledger.until_stored("two samples").await;
    assert_eq!(envelope.topic, topic);
    assert_eq!((envelope.qos, envelope.retain, envelope.dup), (1, false, false));
    assert_eq!(envelope.via, if kind == Kind::Embedded { Via::Broker } else { Via::Outside });
    let now_ms = SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis();
    let age_ms = i128::try_from(now_ms).unwrap() - i128::from(envelope.arrived.0);
    assert!((0..60_000).contains(&age_ms), "{age_ms} ms old");

    road.client(DEVICE).await.publish_acknowledged("site/east/air", "foreign", qos_1(8)).await;
    assert_eq!(road.ledger.until_stored("foreign").await.topic, "site/east/air");
}

pub async fn message_without_an_answer_from_the_ledger_comes_again_and_is_stored(kind: Kind, wishes: Wishes) {
    let wishes = Wishes { store_timeout: Duration::from_millis(200), ..wishes };
    let Some(road) = Road::start(kind, wishes).await else { return };
    road.ledger.answer(Answer::Withhold);
    let message = (report(BOARD, "3f9c21a7/1-1"), "once more".to_owned());
    let publishing = publish_all(road.wishes.version, road.broker, BOARD, &[message]);
    road.ledger.until_offered("once more", 2).await;
    road.ledger.answer(Answer::Store);
    road.ledger.until_stored("once more").await;
    within("the acknowledgement", publishing).await.unwrap();
    // Answers that come too late harm nothing.
    road.ledger.release();
    road.fence().await;
}

pub async fn message_refused_comes_again_until_it_is_stored_and_the_next_follows(kind: Kind, wishes: Wishes) {
    let Some(mut road) = Road::start(kind, wishes).await else { return };
    road.ledger.answer(Answer::Refuse);
    let messages = ["first", "second"].map(|payload| (report(BOARD, "3f9c21a7/1-1"), payload.to_owned()));
    let publishing = publish_all(road.wishes.version, road.broker, BOARD, &messages);
    let seen = road.ledger.until_offered("first", 3).await;
    assert!(seen.stored.is_empty());
    road.ledger.answer(Answer::Store);
    road.ledger.until_stored("first").await;
    road.ledger.until_stored("second").await;
    within("the acknowledgements", publishing).await.unwrap();
    if kind == Kind::Outside {
        let lost = road.unread_news().into_iter().filter(|news| matches!(news, RoadEvent::Lost { .. })).count();
        assert!(lost >= 2, "it connects again for each refusal, and says so: {lost}");
    }
    // What was offered together with a refused message may come twice. Behind a fence nothing comes again.
    road.fence().await;
    let before = road.ledger.seen().offered.len();
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), before + 1);
}

pub async fn message_sent_twice_reaches_the_ledger_twice_and_both_are_acknowledged(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let mut client = road.client(BOARD).await;
    let topic = report(BOARD, "3f9c21a7/1-1");
    client.publish_acknowledged(&topic, "the same", qos_1(5)).await;
    client.publish_acknowledged(&topic, "the same", qos_1(5).again()).await;
    client.publish_acknowledged(&topic, "another", qos_1(6)).await;
    road.ledger.until_stored("another").await;
    assert_eq!(road.ledger.stored(), ["the same", "the same", "another"]);
}

pub async fn message_delivered_as_retained_is_flagged_and_a_fresh_one_is_not(kind: Kind, wishes: Wishes) {
    let Some(mut road) = Road::prepare(kind, Wishes { logins: false, ..wishes }).await else { return };
    let topic = branch(BOARD, "state");
    if kind == Kind::Outside {
        // It lay at the broker before the program came.
        road.client("board").await.publish_acknowledged(&topic, "old", qos_1(1).retained()).await;
    }
    road.run().await;
    road.until_connected().await;
    if kind == Kind::Outside {
        assert!(road.ledger.until_stored("old").await.retain);
    }
    let mut client = road.client("board").await;
    client.publish_acknowledged(&topic, "new", qos_1(2).retained()).await;
    assert!(!road.ledger.until_stored("new").await.retain);

    let mut listener = road.client("listener").await;
    listener.subscribe(&[&topic]).await;
    assert_eq!(listener.hear_message().await, (topic.clone(), "new".to_owned(), true));
    client.publish_acknowledged(&topic, "newer", qos_1(3).retained()).await;
    assert_eq!(listener.hear_message().await, (topic, "newer".to_owned(), false));
}

pub async fn message_at_qos_0_and_at_qos_2_is_stored_too(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let mut client = road.client(DEVICE).await;
    client.publish("site/east/air", b"at most once", qos_1(0).qos(0)).await;
    road.ledger.until_stored("at most once").await;
    client.publish("site/east/air", b"exactly once", qos_1(3).qos(2)).await;
    assert_eq!(client.hear().await, Heard::Other(5), "PUBREC");
    client.say(&packet(0x62, &[0, 3])).await;
    assert_eq!(client.hear().await, Heard::Other(7), "PUBCOMP");
    road.ledger.until_stored("exactly once").await;
}

pub async fn message_too_long_is_not_delivered_and_the_next_one_is(kind: Kind, wishes: Wishes) {
    let Some(mut road) = Road::start(kind, wishes).await else { return };
    let topic = report(BOARD, "3f9c21a7/1-1");
    for number in 1..=3 {
        let mut client = road.client(BOARD).await;
        client.publish(&topic, &vec![b'x'; 2 * MAX_PACKET], qos_1(number)).await;
        let answer = client.hear().await;
        if kind == Kind::Embedded {
            assert!(!matches!(answer, Heard::PubAck { .. }), "{answer:?}");
        }
    }
    road.client(BOARD).await.publish_acknowledged(&topic, "short", qos_1(4)).await;
    road.ledger.until_stored("short").await;
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 2, "nothing but the short one and the fence");
    let news = road.unread_news();
    assert!(news.is_empty(), "one long message must not end the road's own connection: {news:?}");
}

pub async fn message_outside_all_contracts_passes_without_the_ledger(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, Wishes { logins: false, ..wishes }).await else { return };
    let mut listener = road.client("listener").await;
    listener.subscribe(&["elsewhere/#"]).await;
    road.client("speaker").await.publish_acknowledged("elsewhere/a", "not for us", qos_1(1)).await;
    assert_eq!(listener.hear_message().await.1, "not for us");
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 1, "the fence alone");
}

pub async fn own_message_goes_out_is_kept_and_does_not_come_back(kind: Kind, wishes: Wishes) {
    // A mapping as wide as can be must not make the program hear itself.
    let Some(road) = Road::start(kind, Wishes { logins: false, mapping: "#", ..wishes }).await else { return };
    let topic = branch(BOARD, "receipt");
    let mut listener = road.client("listener").await;
    listener.subscribe(&[&topic]).await;
    road.send(&topic, "upto 1", true).await;
    assert_eq!(listener.hear_message().await, (topic.clone(), "upto 1".to_owned(), false));
    road.send(&topic, "upto 2", true).await;
    assert_eq!(listener.hear_message().await.1, "upto 2");
    let mut late = Raw::connect(road.broker, &Hello::new(road.wishes.version, "late")).await;
    late.subscribe(&[&topic]).await;
    assert_eq!(late.hear_message().await, (topic.clone(), "upto 2".to_owned(), true));
    // A broker may deliver once for each of two filters that fit, so the fence may come twice.
    road.fence().await;
    let offered = road.ledger.seen().offered;
    assert!(offered.iter().all(|envelope| envelope.topic != topic), "{offered:?}");
}
