//! Clients that come, go, are lost or replaced, and the end of the road.

use std::time::Duration;

use tokio::net::TcpStream;

use crate::ledger::Answer;
use crate::logins::{BOARD, branch, report};
use crate::raw::{Heard, Raw, qos_1};
use crate::road::{Kind, Road, Wishes};

pub async fn client_lost_leaves_its_last_will_with_the_ledger(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let topic = branch(BOARD, "state");
    let mut client = Raw::connect(road.broker, &road.hello(BOARD).will(&topic, "gone", true)).await;
    client.publish_acknowledged(&topic, "here", qos_1(1).retained()).await;
    client.cut();
    let envelope = road.ledger.until_stored("gone").await;
    assert_eq!((envelope.topic, envelope.retain), (topic, false));
    assert_eq!(road.ledger.stored(), ["here", "gone"]);
}

pub async fn client_that_says_goodbye_leaves_no_will(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let hello = road.hello(BOARD).will(&branch(BOARD, "state"), "gone", false);
    let mut client = Raw::connect(road.broker, &hello).await;
    client.say(&[0xE0, 0]).await;
    assert_eq!(client.hear().await, Heard::Closed);
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 1, "the fence alone");
}

pub async fn client_id_taken_over_ends_the_first_connection_and_the_second_works(kind: Kind, wishes: Wishes) {
    let Some(road) = Road::start(kind, wishes).await else { return };
    let topic = report(BOARD, "3f9c21a7/1-1");
    let mut first = road.client(BOARD).await;
    first.publish_acknowledged(&topic, "by the first", qos_1(1)).await;
    let mut second = road.client(BOARD).await;
    let last_words = first.hear_to_the_end().await;
    assert!(last_words.iter().all(|heard| matches!(heard, Heard::Other(14))), "{last_words:?}");
    second.publish_acknowledged(&topic, "by the second", qos_1(1)).await;
    road.ledger.until_stored("by the second").await;
}

pub async fn end_with_open_clients_and_messages_on_the_way_is_prompt(kind: Kind, wishes: Wishes) {
    let Some(mut road) = Road::start(kind, wishes).await else { return };
    let mut idle = Vec::new();
    for name in ["a", "b", "c"] {
        idle.push(Raw::connect(road.broker, &crate::raw::Hello::new(road.wishes.version, name).login(BOARD)).await);
    }
    let _never_introduced = Raw::silent(road.broker, road.wishes.version).await;
    road.ledger.answer(Answer::Withhold);
    let mut speaker = road.client(BOARD).await;
    speaker.publish(&report(BOARD, "3f9c21a7/1-1"), b"on the way", qos_1(1)).await;
    road.ledger.until_offered("on the way", 1).await;
    let took = road.stop().await;
    assert!(took < Duration::from_secs(2), "{took:?}");
    if kind == Kind::Embedded {
        let last_words = speaker.hear_to_the_end().await;
        assert!(!last_words.iter().any(|heard| matches!(heard, Heard::PubAck { .. })), "{last_words:?}");
        assert!(TcpStream::connect(road.broker).await.is_err(), "it must not listen any more");
    }
}

pub async fn road_run_again_goes_on(kind: Kind, wishes: Wishes) {
    let Some(mut road) = Road::start(kind, wishes).await else { return };
    for run in 1..=3_u16 {
        let payload = format!("in run {run}");
        road.client(BOARD).await.publish_acknowledged(&report(BOARD, "3f9c21a7/1-1"), &payload, qos_1(run)).await;
        road.ledger.until_stored(&payload).await;
        road.stop().await;
        road.run().await;
        road.until_connected().await;
    }
    road.fence().await;
    assert_eq!(road.ledger.seen().offered.len(), 4, "each once, and the fence");
}
