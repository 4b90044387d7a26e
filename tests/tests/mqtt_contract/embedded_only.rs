//! What only the broker in the program can show: the acknowledgement itself, its refusal, and its limits.

use std::time::{Duration, Instant};

use propstick::transport::TransportError;
use propstick::transport::embedded::{Config, Embedded};
use propstick::transport::topic::Interest;
use propstick_wire::Millis;

use crate::ledger::Answer;
use crate::logins::{BOARD, DEVICE, OTHER_BOARD, Table, branch, report};
use crate::raw::{Flags, Heard, Hello, Raw, qos_1};
use crate::road::{Kind, Road, Wishes};
use crate::sockets::open_sockets;
use crate::within;

async fn road(wishes: Wishes) -> Road {
    Road::start(Kind::Embedded, wishes).await.expect("nothing is missing for this road")
}

/// The same at both versions.
macro_rules! at_both_versions {
    ($($name:ident),* $(,)?) => {
        mod mqtt_5 {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() { super::$name(super::Wishes::new(5)).await; })*
        }
        mod mqtt_3_1_1 {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() { super::$name(super::Wishes::new(4)).await; })*
        }
    };
}

at_both_versions!(
    acknowledgement_waits_for_the_commit,
    acknowledgement_never_comes_where_the_ledger_does_not_answer_in_time,
    refusals_by_the_hundred_acknowledge_nothing_and_leak_nothing,
    client_id_in_use_under_another_login_is_refused,
    anyone_on_loopback_may_not_speak_for_the_program,
    report_sent_as_retained_is_stored_but_not_kept,
    own_message_is_kept_though_clients_filled_the_broker,
    will_of_a_client_that_is_back_already_is_not_stored,
    wrong_logins_in_a_row_are_not_looked_at_for_a_while,
);

async fn acknowledgement_waits_for_the_commit(wishes: Wishes) {
    let road = road(wishes).await;
    road.ledger.answer(Answer::Withhold);
    let mut client = road.client(BOARD).await;
    client.publish(&report(BOARD, "3f9c21a7/1-1"), b"held", qos_1(9)).await;
    road.ledger.until_offered("held", 1).await;
    // The broker has served others meanwhile, so it had every occasion to answer this one.
    for _ in 0..3 {
        assert_eq!(road.client(OTHER_BOARD).await.ping().await, Heard::Other(13));
    }
    assert!(!client.has_unread(), "an answer came before the commit");
    road.ledger.release();
    assert!(matches!(client.hear().await, Heard::PubAck { number: 9, .. }));
}

async fn acknowledgement_never_comes_where_the_ledger_does_not_answer_in_time(wishes: Wishes) {
    let limit = Duration::from_millis(300);
    let mut road = road(Wishes { store_timeout: limit, ..wishes }).await;
    road.ledger.answer(Answer::Withhold);
    for flags in [qos_1(1), qos_1(1).qos(2)] {
        let mut client = road.client(BOARD).await;
        let began = Instant::now();
        client.publish(&report(BOARD, "3f9c21a7/1-1"), b"unanswered", flags).await;
        assert_eq!(client.hear_to_the_end().await, []);
        assert!(began.elapsed() >= limit, "{:?}", began.elapsed());
    }
    // The hooks have ended, so the end is prompt.
    let took = road.stop().await;
    assert!(took < Duration::from_millis(500), "{took:?}");
}

async fn refusals_by_the_hundred_acknowledge_nothing_and_leak_nothing(wishes: Wishes) {
    let mut road = road(wishes).await;
    road.ledger.answer(Answer::Refuse);
    let topic = report(BOARD, "3f9c21a7/1-1");
    for round in 0..200 {
        let mut client = road.client(BOARD).await;
        let flags = Flags { dup: round > 0, ..qos_1(1) };
        client.publish(&topic, b"again and again", flags).await;
        assert_eq!(client.hear_to_the_end().await, [], "round {round}");
    }
    assert_eq!(road.ledger.seen().offered.len(), 200);
    road.ledger.answer(Answer::Store);
    road.client(BOARD).await.publish_acknowledged(&topic, "again and again", qos_1(1).again()).await;
    road.ledger.until_stored("again and again").await;
    until_all_closed(&road).await;
    let took = road.stop().await;
    assert!(took < Duration::from_millis(500), "{took:?}");
}

/// Waits until the broker has noticed that its clients are gone.
async fn until_all_closed(road: &Road) {
    within("the broker to close every socket", async {
        while open_sockets(road.broker.port()) > 0 {
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
    })
    .await;
}

async fn client_id_in_use_under_another_login_is_refused(wishes: Wishes) {
    let road = road(wishes).await;
    let mut client = road.client(BOARD).await;
    for name in [OTHER_BOARD, DEVICE] {
        let thief = Hello::new(road.wishes.version, BOARD).login(name);
        let (_, answer) = Raw::dial(road.broker, &thief).await;
        let expected = if road.wishes.version == 5 { 0x85 } else { 2 };
        assert_eq!(answer, Heard::ConnAck { session: false, code: expected });
    }
    client.publish_acknowledged(&report(BOARD, "3f9c21a7/1-1"), "undisturbed", qos_1(1)).await;
}

async fn anyone_on_loopback_may_not_speak_for_the_program(wishes: Wishes) {
    let road = road(Wishes { logins: false, ..wishes }).await;
    for topic in [branch(BOARD, "receipt"), branch(BOARD, "settings"), "$refused".to_owned(), "$SYS/x".to_owned()] {
        let mut client = road.client("anyone").await;
        client.publish(&topic, b"forbidden", qos_1(1)).await;
        let answer = client.hear().await;
        let denied = Heard::PubAck { number: 1, code: Some(0x87) };
        assert_eq!(answer, if road.wishes.version == 5 { denied } else { Heard::Closed }, "{topic}");
    }
    let mut client = road.client("anyone").await;
    let codes = client.subscribe(&["$refused", "$SYS/#", "$share/g/#", "#"]).await;
    assert!(codes[..3].iter().all(|code| *code >= 0x80), "{codes:?}");
    assert_eq!(codes[3], 1);
    // A login that is not there lets nobody in, not even as anyone.
    let (_, answer) = Raw::dial(road.broker, &Hello::new(road.wishes.version, "x").login(BOARD)).await;
    assert!(matches!(answer, Heard::ConnAck { code, .. } if code != 0), "{answer:?}");
}

async fn report_sent_as_retained_is_stored_but_not_kept(wishes: Wishes) {
    let road = road(Wishes { logins: false, ..wishes }).await;
    let mut client = road.client("board").await;
    client.publish_acknowledged(&report(BOARD, "3f9c21a7/1-1"), "report", qos_1(1).retained()).await;
    client.publish_acknowledged(&branch(BOARD, "state"), "state", qos_1(2).retained()).await;
    assert_eq!(road.ledger.stored(), ["report", "state"]);
    let mut listener = road.client("listener").await;
    listener.subscribe(&["propstick/#"]).await;
    assert_eq!(listener.hear_message().await.1, "state");
    assert_eq!(listener.ping().await, Heard::Other(13), "nothing else was kept");
}

async fn own_message_is_kept_though_clients_filled_the_broker(wishes: Wishes) {
    let road = road(Wishes { logins: false, max_retained: 2, ..wishes }).await;
    let mut client = road.client("filler").await;
    for (number, topic) in [(1, "a"), (2, "b"), (3, "c")] {
        client.publish(topic, b"x", qos_1(number).retained()).await;
        client.hear().await;
    }
    let topic = branch(BOARD, "receipt");
    road.send(&topic, "upto 1", true).await;
    // The second goes the same way: when it is heard, the first has been kept.
    let mut listener = road.client("listener").await;
    listener.subscribe(&[&branch(OTHER_BOARD, "receipt")]).await;
    road.send(&branch(OTHER_BOARD, "receipt"), "upto 2", false).await;
    listener.hear_message().await;
    let mut late = road.client("late").await;
    late.subscribe(&["#"]).await;
    let kept = [late.hear_message().await, late.hear_message().await, late.hear_message().await];
    assert!(kept.contains(&(topic, "upto 1".to_owned(), true)), "{kept:?}");
    assert_eq!(late.ping().await, Heard::Other(13), "the third of the clients was not kept");
}

async fn will_of_a_client_that_is_back_already_is_not_stored(wishes: Wishes) {
    let road = road(wishes).await;
    let topic = branch(BOARD, "state");
    let hello = road.hello(BOARD).will(&topic, "gone", false);
    let mut first = Raw::connect(road.broker, &hello).await;
    let mut second = Raw::connect(road.broker, &hello).await;
    first.hear_to_the_end().await;
    second.publish_acknowledged(&topic, "here", qos_1(1)).await;
    // The end of the second is told after that of the first.
    second.cut();
    road.ledger.until_stored("gone").await;
    assert_eq!(road.ledger.stored(), ["here", "gone"]);
}

async fn wrong_logins_in_a_row_are_not_looked_at_for_a_while(wishes: Wishes) {
    let road = road(wishes).await;
    let wrong = Hello { login: Some((BOARD.to_owned(), "guess".to_owned())), ..road.hello(BOARD) };
    for _ in 0..5 {
        let (_, answer) = Raw::dial(road.broker, &wrong).await;
        assert!(matches!(answer, Heard::ConnAck { code: 0x86 | 4, .. }), "{answer:?}");
    }
    let (_, answer) = Raw::dial(road.broker, &road.hello(BOARD)).await;
    assert!(matches!(answer, Heard::ConnAck { code, .. } if code != 0), "the right word comes too late: {answer:?}");
    // Others are not shut out.
    road.fence().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn board_login_made_for_a_wildcard_is_nobody() {
    let road = road(Wishes::new(5)).await;
    for name in ["+", "#"] {
        let (_, answer) = Raw::dial(road.broker, &Hello::new(5, "x").login(name)).await;
        assert!(matches!(answer, Heard::ConnAck { code, .. } if code != 0), "{name}: {answer:?}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn will_with_a_delay_is_stored_after_it_and_only_for_a_client_that_stays_away() {
    let road = road(Wishes::new(5)).await;
    let delayed = |name: &str, payload: &str| Hello {
        lasting: true,
        will_delay_s: 1,
        ..road.hello(name).will(&branch(name, "state"), payload, false)
    };
    let came_back = delayed(BOARD, "came back");
    drop(Raw::connect(road.broker, &came_back).await);
    until_all_closed(&road).await;
    let _back = Raw::connect(road.broker, &came_back).await;
    let began = Instant::now();
    Raw::connect(road.broker, &delayed(OTHER_BOARD, "stayed away")).await.cut();
    road.ledger.until_stored("stayed away").await;
    assert!(began.elapsed() >= Duration::from_secs(1), "{:?}", began.elapsed());
    assert_eq!(road.ledger.stored(), ["stayed away"]);
}

#[tokio::test]
async fn address_in_use_is_named() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let listen = taken.local_addr().unwrap();
    let (events, _) = tokio::sync::mpsc::channel(1);
    let interest = Interest::new(Vec::new()).unwrap();
    let access = std::sync::Arc::new(Table { logins: true });
    match Embedded::bind(Config::new(listen, || Millis(0)), interest, access, events).await {
        Err(error @ TransportError::Bind { .. }) => assert!(error.to_string().contains(&listen.to_string()), "{error}"),
        Err(error) => panic!("{error}"),
        Ok(_) => panic!("bound twice"),
    }
}
