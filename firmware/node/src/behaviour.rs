//! How a board behaves, one rule at a time. (Whole lives of boards, with loss and repeats, are in the tests crate.)

use crate::{
    Action, Actions, Anchor, Channel, Channels, Event, Node, Pack, Record, Setup, Stamp, Uptime, Values, Vitals,
};
use propstick_wire::message::{BoardSettings, Receipt, State};
use propstick_wire::senml::{self, MAX_PACK_BYTES, MAX_RECORDS, Time};
use propstick_wire::{BoardUrn, Decimal, Millis, QueueId};
use std::string::{String, ToString};
use std::vec::Vec;

static AIR: [Channel; 2] = [
    Channel { name: "air-temperature", unit: "Cel", places: 2 },
    Channel { name: "air-humidity", unit: "%RH", places: 2 },
];
const QUEUE: QueueId = QueueId(0x3f9c_21a7);
const NOON: Millis = Millis(1_772_971_200_000);
const MINUTE: u64 = 60_000;

fn setup() -> Setup {
    Setup {
        board: BoardUrn::parse("urn:dev:mac:02005efffe10a2b3").unwrap(),
        channels: Channels::new(&AIR).unwrap(),
        sleeps: true,
        queue: QUEUE,
        seed: 1,
        settings: BoardSettings::default(),
    }
}

fn fresh<const N: usize>() -> Node<N> {
    Node::start(setup(), core::iter::empty(), Uptime(0))
}

fn air(temperature: i32, humidity: i32) -> Values {
    let mut values = Values::NONE;
    values.set(0, temperature);
    values.set(1, humidity);
    values
}

fn receipt(queue: QueueId, upto: u64) -> Event<'static> {
    Event::Receipt(Receipt { queue, upto, at_s: 0 })
}

fn published(actions: &Actions) -> Option<Pack> {
    actions.iter().find_map(|action| if let Action::Publish(pack) = action { Some(pack) } else { None })
}

fn text<const N: usize>(node: &Node<N>, pack: &Pack) -> String {
    node.pack_text(pack, &mut [0; MAX_PACK_BYTES]).unwrap().to_string()
}

/// A board with `n` samples five minutes apart, taken with a clock that stood at noon at the start.
fn with_samples<const N: usize>(n: u64) -> Node<N> {
    let mut node = fresh::<N>();
    node.step(Event::Clock(NOON), Uptime(0));
    for k in 0..n {
        node.step(Event::Sampled(air(612, 9541)), Uptime(k * 5 * MINUTE));
    }
    node
}

#[test]
fn start_samples_at_once_and_connects_to_report() {
    let mut node = fresh::<4>();
    let actions: Vec<Action> = node.step(Event::Tick, Uptime(0)).iter().collect();
    assert_eq!(actions, [Action::Sample, Action::Connect]);
}

#[test]
fn sample_is_kept_before_it_is_published() {
    let mut node = fresh::<4>();
    node.step(Event::Tick, Uptime(0));
    node.step(Event::Connected, Uptime(10));
    let actions: Vec<Action> = node.step(Event::Sampled(air(612, 9541)), Uptime(20)).iter().collect();
    assert!(matches!(actions[..], [Action::Keep(Record::Sample(_)), Action::Publish(_)]), "{actions:?}");
}

#[test]
fn pack_of_two_samples_reads_as_in_the_contract() {
    let mut node = with_samples::<4>(1);
    node.step(Event::Sampled(air(608, 9560)), Uptime(5 * MINUTE));
    let pack = published(&node.step(Event::Connected, Uptime(5 * MINUTE))).unwrap();
    assert_eq!((pack.queue, pack.first, pack.last), (QUEUE, 1, 2));
    assert_eq!(
        text(&node, &pack),
        r#"[{"bn":"urn:dev:mac:02005efffe10a2b3_","bt":1772971200,"n":"air-temperature","u":"Cel","v":6.12},{"n":"air-humidity","u":"%RH","v":95.41},{"n":"air-temperature","u":"Cel","v":6.08,"t":300},{"n":"air-humidity","u":"%RH","v":95.6,"t":300}]"#
    );
}

#[test]
fn samples_without_a_clock_count_back_from_sending() {
    let mut node = fresh::<4>();
    node.step(Event::Sampled(air(612, 9541)), Uptime(0));
    node.step(Event::Sampled(air(608, 9560)), Uptime(5 * MINUTE));
    let pack = published(&node.step(Event::Connected, Uptime(7 * MINUTE))).unwrap();
    let text = text(&node, &pack);
    let times: Vec<Time> = senml::Pack::parse(&text).unwrap().records().map(|record| record.time).collect();
    assert_eq!(times, [-420_000, -420_000, -120_000, -120_000].map(Time::Relative));
    assert!(!text.contains("\"bt\""), "{text}");
}

#[test]
fn clock_found_later_dates_earlier_samples_and_is_kept_as_an_anchor() {
    let mut node = fresh::<4>();
    node.step(Event::Sampled(air(612, 9541)), Uptime(0));
    let anchored = node.step(Event::Clock(NOON), Uptime(2 * MINUTE));
    let ahead_ms = NOON.0 - 120_000;
    let anchor = Action::Keep(Record::Anchor(Anchor { queue: QUEUE, ahead_ms }));
    assert!(anchored.iter().any(|action| action == anchor));
    let pack = published(&node.step(Event::Connected, Uptime(3 * MINUTE))).unwrap();
    assert!(text(&node, &pack).contains(r#""bt":1772971080,"#));
    assert!(!node.step(Event::Clock(Millis(0)), Uptime(3 * MINUTE)).iter().any(|a| matches!(a, Action::Keep(_))));
    assert_eq!(node.counts().bad_clock, 1);
}

#[test]
fn only_a_receipt_of_this_queue_makes_it_forget() {
    let mut node = with_samples::<8>(3);
    node.step(Event::Connected, Uptime(15 * MINUTE));
    node.step(receipt(QueueId(1), 3), Uptime(15 * MINUTE));
    node.step(receipt(QUEUE, 4), Uptime(15 * MINUTE));
    assert_eq!((node.samples().count(), node.counts().strange_receipts), (3, 2), "another queue, and never sent");
    let actions = node.step(receipt(QUEUE, 2), Uptime(15 * MINUTE));
    assert!(actions.iter().any(|action| action == Action::Forget { queue: QUEUE, upto: 2 }));
    assert_eq!(node.samples().map(|sample| sample.n).collect::<Vec<_>>(), [3]);
    node.step(receipt(QUEUE, 2), Uptime(15 * MINUTE));
    assert_eq!((node.samples().count(), node.counts().strange_receipts), (1, 2), "a repeat is nothing strange");
}

#[test]
fn receipt_before_anything_was_sent_is_strange_even_of_this_queue() {
    let mut node = with_samples::<8>(3);
    node.step(receipt(QUEUE, 3), Uptime(15 * MINUTE));
    assert_eq!((node.samples().count(), node.counts().strange_receipts), (3, 1));
}

#[test]
fn one_pack_is_in_flight_and_the_next_waits_for_its_receipt() {
    let mut node = with_samples::<64>(60);
    let now = Uptime(300 * MINUTE);
    let pack = published(&node.step(Event::Connected, now)).unwrap();
    assert!(pack.first == 1 && pack.last < 60, "two records of some 50 bytes each do not fit 60 times: {pack:?}");
    assert_eq!(published(&node.step(Event::Tick, now.plus(1_000))), None);
    let next = published(&node.step(receipt(QUEUE, pack.last), now.plus(2_000))).unwrap();
    assert_eq!((next.first, next.last), (pack.last + 1, 60));
    let done: Vec<Action> = node.step(receipt(QUEUE, 60), now.plus(3_000)).iter().collect();
    assert!(done.contains(&Action::Disconnect), "{done:?}");
}

#[test]
fn pack_of_short_records_ends_at_the_allowed_number() {
    static SHORT: [Channel; 1] = [Channel { name: "light", unit: "lx", places: 0 }];
    let mut node: Node<128> =
        Node::start(Setup { channels: Channels::new(&SHORT).unwrap(), ..setup() }, core::iter::empty(), Uptime(0));
    node.step(Event::Clock(NOON), Uptime(0));
    let mut values = Values::NONE;
    values.set(0, 5);
    for k in 0..100 {
        node.step(Event::Sampled(values), Uptime(k * 1_000));
    }
    let pack = published(&node.step(Event::Connected, Uptime(100_000))).unwrap();
    assert_eq!((pack.first, pack.last), (1, 96));
    assert_eq!(senml::Pack::parse(&text(&node, &pack)).unwrap().records().count(), MAX_RECORDS);
}

#[test]
fn eight_channels_of_long_values_stay_within_the_bytes_of_a_pack() {
    static LONG: [Channel; 8] =
        [Channel { name: "soil-temperature-2.of-the-far-bed-by-the-door", unit: "Cel", places: 9 }; 8];
    let mut node: Node<64> =
        Node::start(Setup { channels: Channels::new(&LONG).unwrap(), ..setup() }, core::iter::empty(), Uptime(0));
    node.step(Event::Clock(NOON), Uptime(0));
    let mut values = Values::NONE;
    (0..8).for_each(|place| values.set(place, i32::MIN + 1));
    for k in 0..12 {
        node.step(Event::Sampled(values), Uptime(k * MINUTE + k));
    }
    let mut sent = 0;
    let mut pack = published(&node.step(Event::Connected, Uptime(20 * MINUTE)));
    while let Some(this) = pack {
        let text = text(&node, &this);
        let samples = this.last - this.first + 1;
        assert!(text.len() <= MAX_PACK_BYTES);
        assert_eq!(senml::Pack::parse(&text).unwrap().records().count() as u64, samples * 8, "whole samples only");
        sent += samples;
        pack = published(&node.step(receipt(QUEUE, this.last), Uptime(20 * MINUTE)));
    }
    assert_eq!(sent, 12);
}

#[test]
fn clock_set_back_begins_a_new_pack() {
    let mut node = with_samples::<8>(2);
    node.step(Event::Clock(NOON), Uptime(10 * MINUTE));
    node.step(Event::Sampled(air(608, 9560)), Uptime(10 * MINUTE));
    let pack = published(&node.step(Event::Connected, Uptime(10 * MINUTE))).unwrap();
    assert_eq!((pack.first, pack.last), (1, 2), "sample 3 is dated like sample 1");
}

#[test]
fn pack_without_a_receipt_is_sent_again_then_the_connection_given_up() {
    let mut node = with_samples::<8>(1);
    let mut now = Uptime(1_000);
    let first = published(&node.step(Event::Connected, now)).unwrap();
    for _ in 1..crate::PACK_TRIES {
        now = now.plus(crate::RECEIPT_WAIT_MS);
        let again = published(&node.step(Event::Tick, now)).unwrap();
        assert_eq!((again.first, again.last), (first.first, first.last));
    }
    now = now.plus(crate::RECEIPT_WAIT_MS);
    let given_up = node.step(Event::Tick, now);
    assert!(given_up.iter().any(|action| action == Action::Disconnect));
    assert!(!node.step(Event::Tick, now.plus(14 * MINUTE)).iter().any(|action| action == Action::Connect), "backs off");
    assert!(node.step(Event::Tick, now.plus(17 * MINUTE)).iter().any(|action| action == Action::Connect));
}

#[test]
fn connection_that_never_comes_is_given_up() {
    let mut node = fresh::<4>();
    node.step(Event::Tick, Uptime(0));
    let actions = node.step(Event::Tick, Uptime(crate::CONNECT_LIMIT_MS));
    assert!(actions.iter().any(|action| action == Action::Disconnect));
}

#[test]
fn full_queue_drops_its_oldest_and_counts_it() {
    let mut node = with_samples::<3>(3);
    let actions = node.step(Event::Sampled(air(608, 9560)), Uptime(15 * MINUTE));
    assert!(actions.iter().any(|action| action == Action::Forget { queue: QUEUE, upto: 1 }));
    assert_eq!(node.samples().map(|sample| sample.n).collect::<Vec<_>>(), [2, 3, 4]);
    assert_eq!(node.counts().dropped, 1);
}

#[test]
fn sample_without_any_value_is_none() {
    let mut node = fresh::<4>();
    let actions = node.step(Event::Sampled(Values::NONE), Uptime(0));
    assert!(!actions.iter().any(|action| matches!(action, Action::Keep(_))));
    assert_eq!(node.samples().count(), 0);
}

#[test]
fn restart_sends_earlier_samples_first_under_their_own_queue() {
    let mut before = with_samples::<8>(2);
    let records: Vec<_> = before.samples().map(|sample| before.record_bytes(&Record::Sample(*sample))).collect();
    before.step(Event::Tick, Uptime(MINUTE));
    let mut node: Node<8> =
        Node::start(Setup { queue: QueueId(5), ..setup() }, records.iter().map(|record| &record[..]), Uptime(0));
    node.step(Event::Clock(Millis(NOON.0 + 900_000)), Uptime(0));
    node.step(Event::Sampled(air(600, 9600)), Uptime(0));
    let pack = published(&node.step(Event::Connected, Uptime(10))).unwrap();
    assert_eq!((pack.queue, pack.first, pack.last), (QUEUE, 1, 2));
    let pack = published(&node.step(receipt(QUEUE, 2), Uptime(20))).unwrap();
    assert_eq!((pack.queue, pack.first, pack.last), (QueueId(5), 1, 1));
}

#[test]
fn samples_of_two_queues_never_share_a_pack_even_where_the_numbers_run_on() {
    let at = |ms| Stamp::Utc(Millis(NOON.0 + ms));
    let sample = |queue, n, at| Record::Sample(crate::Sample { queue, n, at, values: air(612, 9541) });
    let records =
        [sample(QueueId(1), 3, at(0)), sample(QueueId(2), 4, at(1_000))].map(|r| fresh::<8>().record_bytes(&r));
    let mut node: Node<8> = Node::start(setup(), records.iter().map(|record| &record[..]), Uptime(0));
    let pack = published(&node.step(Event::Connected, Uptime(10))).unwrap();
    assert_eq!((pack.queue, pack.first, pack.last), (QueueId(1), 3, 3));
}

#[test]
fn restart_with_the_same_random_number_takes_another() {
    let before = with_samples::<8>(1);
    let records: Vec<_> = before.samples().map(|sample| before.record_bytes(&Record::Sample(*sample))).collect();
    let node: Node<8> = Node::start(setup(), records.iter().map(|record| &record[..]), Uptime(0));
    assert_eq!(node.queue(), QueueId(QUEUE.0 + 1));
}

#[test]
fn restart_dates_earlier_samples_by_their_anchor_and_counts_those_without() {
    let mut before = fresh::<8>();
    before.step(Event::Sampled(air(612, 9541)), Uptime(MINUTE));
    let sample = before.record_bytes(&Record::Sample(*before.samples().next().unwrap()));
    let anchor = before.record_bytes(&Record::Anchor(Anchor { queue: QUEUE, ahead_ms: NOON.0 }));
    let start = |records: &[&[u8]]| -> Node<8> {
        Node::start(Setup { queue: QueueId(5), ..setup() }, records.iter().copied(), Uptime(0))
    };
    let dated = start(&[&sample, &anchor]);
    assert_eq!(dated.samples().next().unwrap().at, Stamp::Utc(Millis(NOON.0 + 60_000)));
    let undated = start(&[&sample]);
    assert_eq!((undated.samples().count(), undated.counts().undated), (0, 1));
    let torn = start(&[&sample[..40], &anchor]);
    assert_eq!((torn.samples().count(), torn.counts().unreadable), (0, 1));
}

#[test]
fn settings_are_followed_and_echoed_and_a_refused_key_shows() {
    let mut node = fresh::<4>();
    node.step(Event::Tick, Uptime(0));
    node.step(Event::Connected, Uptime(0));
    let message = r#"{"v":1,"revision":7,"sample_s":60,"report_s":5,"off":["air-humidity"]}"#;
    let actions = node.step(Event::Settings(message), Uptime(10));
    assert!(actions.iter().any(|action| action == Action::PublishState), "the revision is echoed");
    node.step(Event::Sampled(air(612, 9541)), Uptime(20));
    assert_eq!(node.samples().next().unwrap().values.at(1), None, "switched off");
    let vitals = Vitals {
        boot: 18,
        reset: "power-on",
        fw: "0.3.1",
        battery_v: Some(Decimal::new(391, 2)),
        signal_dbw: Some(-97),
        faults: &["soil-temperature-2:no-answer"],
    };
    let mut buffer = [0; 1024];
    let said = State::parse(node.state_text(&vitals, Uptime(30), &mut buffer).unwrap()).unwrap();
    assert_eq!((said.settings, said.queued, said.dropped, said.queue), (Some(7), Some(1), Some(0), Some(QUEUE)));
    let faults: Vec<String> = said.faults().map(|fault| fault.to_string()).collect();
    assert_eq!(faults, ["soil-temperature-2:no-answer", "settings-report_s:refused"]);
    assert!(node.step(Event::Tick, Uptime(30)).wake <= Uptime(60_010), "the new sample period counts");
    node.step(Event::Settings("nonsense"), Uptime(40));
    assert_eq!((node.counts().bad_settings, node.settings().sample_s), (1, 60));
}

#[test]
fn board_that_stays_connected_reports_without_cutting() {
    let mut node: Node<8> = Node::start(Setup { sleeps: false, ..setup() }, core::iter::empty(), Uptime(0));
    node.step(Event::Tick, Uptime(0));
    node.step(Event::Sampled(air(612, 9541)), Uptime(10));
    node.step(Event::Connected, Uptime(20));
    let actions = node.step(receipt(QUEUE, 1), Uptime(30));
    assert!(!actions.iter().any(|action| action == Action::Disconnect));
    node.step(Event::Sampled(air(612, 9541)), Uptime(5 * MINUTE));
    assert_eq!(published(&node.step(Event::Tick, Uptime(6 * MINUTE))), None, "not before the report is due");
    assert!(published(&node.step(Event::Tick, Uptime(16 * MINUTE))).is_some());
    node.step(receipt(QUEUE, 2), Uptime(16 * MINUTE));
    node.step(Event::Disconnected, Uptime(17 * MINUTE));
    assert!(node.step(Event::Tick, Uptime(17 * MINUTE + 5_000)).iter().any(|action| action == Action::Connect));
}

#[test]
fn sleeping_board_listens_a_moment_for_its_settings() {
    let mut node = fresh::<4>();
    node.step(Event::Tick, Uptime(0));
    let actions = node.step(Event::Connected, Uptime(100));
    assert!(!actions.iter().any(|action| action == Action::Disconnect));
    let actions = node.step(Event::Tick, Uptime(100 + crate::LISTEN_MS));
    assert!(actions.iter().any(|action| action == Action::Disconnect));
}
