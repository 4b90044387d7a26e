//! What only the road to an outside broker can show: a broker that dies, forgets, is silent or away.

use std::time::Duration;

use propstick::transport::RoadEvent;

use crate::logins::{BOARD, PROGRAM, branch, report};
use crate::raw::{Hello, Raw, qos_1};
use crate::road::{Kind, Road, Wishes};

async fn road(wishes: Wishes) -> Option<Road> {
    Road::start(Kind::Outside, wishes).await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn broker_killed_and_started_without_its_store_is_subscribed_to_anew() {
    let Some(mut road) = road(Wishes::new(5)).await else { return };
    let topic = report(BOARD, "3f9c21a7/1-1");
    road.client(BOARD).await.publish_acknowledged(&topic, "before", qos_1(1)).await;
    road.ledger.until_stored("before").await;
    let broker = road.mosquitto.as_mut().unwrap();
    broker.kill();
    broker.lose_store();
    broker.start_again().await;
    road.until_news("the loss to be told", |news| matches!(news, RoadEvent::Lost { .. })).await;
    road.until_connected().await;
    road.client(BOARD).await.publish_acknowledged(&topic, "after", qos_1(1)).await;
    road.ledger.until_stored("after").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn session_lasts_while_the_program_is_away() {
    let Some(mut road) = road(Wishes::new(5)).await else { return };
    road.stop().await;
    let mut client = road.client(BOARD).await;
    let payloads: Vec<String> = (1..=10).map(|n| format!("message {n}")).collect();
    for (number, payload) in (1..).zip(&payloads) {
        client.publish_acknowledged(&report(BOARD, "3f9c21a7/1-1"), payload, qos_1(number)).await;
    }
    road.run().await;
    road.ledger.until_stored("message 10").await;
    assert_eq!(road.ledger.stored(), payloads);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn own_messages_reach_a_broker_that_was_away() {
    let Some(mut road) = road(Wishes::new(5)).await else { return };
    road.mosquitto.as_mut().unwrap().kill();
    road.until_news("the loss to be told", |news| matches!(news, RoadEvent::Lost { .. })).await;
    let topic = branch(BOARD, "receipt");
    for n in 1..=100 {
        road.send(&topic, &format!("upto {n}"), true).await;
    }
    // They outlive attempts that fail.
    road.unread_news();
    for _ in 0..2 {
        road.until_news("another loss to be told", |news| matches!(news, RoadEvent::Lost { .. })).await;
    }
    let broker = road.mosquitto.as_mut().unwrap();
    broker.lose_store();
    broker.start_again().await;
    let mut client = road.client(BOARD).await;
    client.subscribe(&[&topic]).await;
    while client.hear_message().await.1 != "upto 100" {}
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn broker_that_is_not_there_is_tried_again_until_it_is() {
    let Some(mut road) = Road::prepare(Kind::Outside, Wishes::new(5)).await else { return };
    road.mosquitto.as_mut().unwrap().kill();
    road.run().await;
    road.until_news("three failures", |news| matches!(news, RoadEvent::Lost { in_a_row: 3, .. })).await;
    road.mosquitto.as_mut().unwrap().start_again().await;
    road.until_connected().await;
    road.fence().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn silence_of_a_connected_broker_is_said_and_connected_anew() {
    let wishes = Wishes { deaf_after: Some(Duration::from_secs(1)), ..Wishes::new(5) };
    let Some(mut road) = road(wishes).await else { return };
    // A retained message is old news: it must not count as a sign of life.
    road.until_news("the silence to be said", |news| *news == RoadEvent::HeardNothing { for_s: 1 }).await;
    road.until_connected().await;
    road.fence().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn client_id_taken_by_another_is_taken_back() {
    let Some(mut road) = road(Wishes::new(5)).await else { return };
    let mut thief = Raw::connect(road.broker, &Hello::new(5, "propstick-of-the-test").login(PROGRAM)).await;
    road.until_news("the loss to be told", |news| matches!(news, RoadEvent::Lost { .. })).await;
    thief.hear_to_the_end().await;
    road.until_connected().await;
    road.fence().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn thousand_messages_from_a_backlog_are_stored_in_order() {
    let Some(mut road) = road(Wishes::new(5)).await else { return };
    road.stop().await;
    let mut client = road.client(BOARD).await;
    let topic = report(BOARD, "3f9c21a7/1-1");
    for number in 1..=1_000 {
        client.publish_acknowledged(&topic, &number.to_string(), qos_1(number)).await;
    }
    road.run().await;
    road.ledger.until_stored("1000").await;
    assert_eq!(road.ledger.stored(), (1..=1_000).map(|n| n.to_string()).collect::<Vec<_>>());
}
