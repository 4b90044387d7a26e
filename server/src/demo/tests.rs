use std::collections::{BTreeMap, BTreeSet, HashMap};

use propstick_garden::decode::{Book, read};
use propstick_garden::model::{Role, parse_garden};
use propstick_garden::took::{Envelope, Reason, Took};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::boards::{BENCH, CORNER, FRAME, MIDDLE, NEW, OLD, PLANS};
use super::faults::Faults;
use super::queue::HELD_MOST;
use super::world::STEP_MS;
use super::*;

#[cfg(feature = "embedded-broker")]
mod alive;
mod year;

/// 2026-06-21 00:00 UTC.
const UNTIL: Millis = Millis(1_782_000_000_000);
const FROM: Millis = Millis(UNTIL.0 - 365 * DAY);

/// A number that stands for messages as they are, byte for byte.
fn print_of(messages: impl Iterator<Item = Envelope>) -> (u64, usize) {
    let mut print = 0xcbf2_9ce4_8422_2325_u64;
    let mut count = 0;
    for message in messages {
        count += 1;
        let at = message.arrived.0.to_le_bytes();
        for byte in at.iter().chain(message.topic.as_bytes()).chain(&message.payload).chain(&[u8::from(message.dup)]) {
            print = (print ^ u64::from(*byte)).wrapping_mul(0x100_0000_01b3);
        }
    }
    (print, count)
}

#[test]
fn history_of_one_seed_is_the_same_every_time_and_of_another_is_not() {
    let ten_days = |seed| print_of(History::new(seed, UNTIL.plus(-10 * DAY), UNTIL));
    let (print, count) = ten_days(7);
    assert_eq!(ten_days(7), (print, count));
    assert_ne!(ten_days(8).0, print);
    assert!(count > 5_000, "{count}");
}

#[test]
fn history_arrives_in_order_and_about_as_much_as_the_hint_says() {
    let history = History::new(1, FROM, UNTIL);
    let hint = history.messages_hint();
    let (mut count, mut twice, mut before) = (0_u64, 0, FROM);
    for message in history {
        assert!(before <= message.arrived && message.arrived < UNTIL, "{message:?}");
        assert!(message.qos == 1 && !message.retain);
        before = message.arrived;
        count += 1;
        twice += u64::from(message.dup);
    }
    let far_off = (count as f64 / hint as f64 - 1.0).abs();
    assert!(far_off < 0.03, "{count} messages, hint {hint}");
    // One pack in 700.
    assert!((150..500).contains(&twice), "{twice}");
}

#[test]
fn history_from_an_odd_instant_samples_at_full_five_minutes_and_a_board_s_own_seconds() {
    let from = UNTIL.plus(-DAY + 123_457);
    let mut seen = BTreeSet::new();
    for took in History::new(2, from, UNTIL).flat_map(|message| read(&message, &Book::default())) {
        if let Took::Reading(reading) = took {
            assert!(reading.t >= from);
            seen.insert((reading.series.device, reading.t.0 % STEP_MS));
        }
    }
    let planned =
        PLANS.iter().enumerate().filter(|(n, _)| *n != NEW).map(|(_, plan)| (plan.urn.to_owned(), plan.phase_ms));
    assert_eq!(seen, planned.collect());
}

#[test]
fn history_of_no_length_is_empty() {
    assert_eq!(History::new(1, UNTIL, UNTIL).count(), 0);
    assert_eq!(History::new(1, UNTIL, FROM).count(), 0);
}

#[test]
fn every_message_reads_back_with_the_planned_refusals_and_no_other() {
    // All faults but the replacement lie in the last 90 days.
    let (days, from) = (90, UNTIL.plus(-90 * DAY));
    let book = Book::default();
    let mut readings: HashMap<(String, String), Vec<i64>> = HashMap::new();
    let (mut refused, mut states) = (Vec::new(), 0);
    for message in History::new(1, from, UNTIL) {
        for took in read(&message, &book) {
            match took {
                Took::Reading(reading) => {
                    readings.entry((reading.series.device, reading.series.channel)).or_default().push(reading.t.0);
                }
                Took::Reject(reject) => refused.push(reject),
                Took::Board(_) => states += 1,
                Took::Settled(_) => {}
            }
        }
    }
    // The pack cut short is refused once, as a whole; the others are one field of one sample each.
    let mut reasons: Vec<Reason> = refused.iter().map(|reject| reject.reason).collect();
    reasons.sort();
    let mut planned: Vec<Reason> = Faults::new(UNTIL, replaced_at(from)).planned_refusals().collect();
    planned.sort();
    assert_eq!(reasons, planned, "{refused:#?}");
    assert!(planned.len() == 4 && states >= 6 * days, "{states}");

    let sent: usize = readings.values().map(Vec::len).sum();
    readings.values_mut().for_each(|times| {
        times.sort_unstable();
        times.dedup();
    });
    let apart: usize = readings.values().map(Vec::len).sum();
    assert!((20..2_000).contains(&(sent - apart)), "{} repeated", sent - apart);
    let count = |board: usize, channel: &str| readings[&(PLANS[board].urn.to_owned(), channel.to_owned())].len();
    let near = |got: usize, want: usize| assert!(got <= want && got + 8 >= want, "{got} of {want}");
    let steps = (days * DAY / STEP_MS) as usize;
    assert_eq!(readings.len(), 15);
    near(count(MIDDLE, "air-temperature"), steps);
    // Two days and a twentieth unheard, of which the queue kept a day; the last reports are still to come.
    near(count(FRAME, "air-temperature"), steps - (2.05 * 288.0) as usize + HELD_MOST);
    // A loose wire for 101 minutes.
    near(count(OLD, "air-temperature"), steps - 20);
    assert_eq!(count(CORNER, "soil-temperature") + 1, count(CORNER, "air-temperature"), "-127 is no reading");
    assert_eq!(count(BENCH, "air-humidity") + 1, count(BENCH, "air-temperature"), "nan is no reading");
}

#[test]
fn board_replaced_is_heard_until_then_and_its_follower_from_then_on() {
    let replaced = replaced_at(FROM);
    let garden = parse_garden(&garden_text(FROM)).unwrap();
    let mut heard: HashMap<String, (Millis, Millis)> = HashMap::new();
    // Ten days around it are enough; what came before decides nothing.
    let (from, until) = (replaced.plus(-5 * DAY), replaced.plus(5 * DAY));
    let mut history = History::new(4, from, until);
    history.faults = Faults::new(UNTIL, replaced);
    for took in history.flat_map(|message| read(&message, &Book::default())) {
        if let Took::Reading(reading) = took {
            let channel = &reading.series.channel;
            let urn = reading.series.device;
            let placed = garden.placements.iter().any(|p| p.urn == urn && p.channel == *channel && p.holds(reading.t));
            assert!(placed, "{urn} {channel} at {:?} is placed nowhere", reading.t);
            let (_, last) = heard.entry(urn).or_insert((reading.t, reading.t));
            *last = reading.t.max(*last);
        }
    }
    let (old, new) = (heard[PLANS[OLD].urn], heard[PLANS[NEW].urn]);
    assert!(old.1 < replaced && replaced.since(old.1) < 20 * MINUTE, "{old:?}");
    assert!(new.0.since(replaced) >= 20 * MINUTE && new.0.since(replaced) < 30 * MINUTE, "{new:?}");
    assert_eq!(heard.len(), PLANS.len());
}

#[test]
fn overflow_leaves_a_numbered_gap_and_the_outage_none() {
    let book = Book::default();
    let mut upto: BTreeMap<String, u64> = BTreeMap::new();
    let mut gaps = Vec::new();
    let mut late = 0;
    for message in History::new(3, UNTIL.plus(-70 * DAY), UNTIL) {
        for took in read(&message, &book) {
            match took {
                Took::Settled(pack) => {
                    let before = upto.entry(pack.device.clone()).or_default();
                    if pack.first > *before + 1 {
                        gaps.push((pack.device.clone(), pack.first - *before - 1));
                    }
                    *before = pack.last.max(*before);
                }
                Took::Reading(reading) if reading.arrived.since(reading.t) > 2 * HOUR => late += 1,
                _ => {}
            }
        }
    }
    let [(device, missing)] = gaps.as_slice() else { panic!("{gaps:?}") };
    assert_eq!(device, PLANS[FRAME].urn);
    assert!((290..=310).contains(missing), "{missing}");
    // Three hours of five, of fifteen series, and most of the frame's day.
    assert!((15 * 35..15 * 40 + 2 * HELD_MOST).contains(&late), "{late}");
}

#[test]
fn garden_text_is_a_garden_whose_spots_all_have_a_board() {
    let text = garden_text(FROM);
    let garden = parse_garden(&text).unwrap();
    assert!(!text.contains("= \"@"), "{text}");
    assert_eq!((garden.lat, garden.lon), (LAT_DEG, LON_DEG));
    let urns = boards();
    assert!(garden.placements.iter().all(|p| urns.contains(&p.urn)));
    for at in [FROM, UNTIL] {
        let placed = garden.placements.iter().filter(|p| p.holds(at)).count();
        assert_eq!(placed, 15);
        for spot in &garden.spots {
            assert!(garden.placements.iter().any(|p| p.spot == spot.slug && p.holds(at)), "{}", spot.slug);
        }
    }
    assert!(garden.outside_spot().is_some());
    assert!(garden.spots.iter().any(|spot| spot.role == Role::Frost));
    // The openings as the model has them.
    for (slug, shape) in [("tunnel", cover::TUNNEL), ("low-tunnel", cover::LOW_TUNNEL), ("frame", cover::FRAME)] {
        let structure = garden.structure(slug).unwrap();
        assert_eq!(structure.area_m2, Some(shape.floor_m2));
        for position in structure.vents.iter().flat_map(|vent| &vent.positions) {
            let of_all = position.area_m2.unwrap() * structure.vents.len() as f64;
            assert_eq!(of_all, shape.open_m2[position.notch as usize], "{slug} {}", position.words);
        }
    }
}

#[test]
fn diary_of_a_year_is_in_order_and_all_of_it_can_be_told() {
    use std::collections::BTreeMap;
    let garden = parse_garden(&garden_text(FROM)).unwrap();
    let mut history = History::new(1, FROM, UNTIL);
    let (mut before, mut counts) = (FROM, BTreeMap::<String, u32>::new());
    let mut take = |told: Vec<(Millis, Entry)>, end: Millis| {
        for (at, entry) in told {
            assert!(before <= at && at < end, "{entry:?}");
            before = at;
            let kind = match entry {
                Entry::Did(did) => did.event(&garden, at, &|_| None).map(|e| e.kind.word()).unwrap(),
                Entry::Saw(saw) => saw.observation(&garden, at).map(|seen| seen.seen.kind()).unwrap(),
            };
            *counts.entry(kind.to_owned()).or_default() += 1;
        }
    };
    while let Some(message) = history.next() {
        let told = history.told_before(message.arrived);
        take(told, message.arrived);
    }
    take(history.told_before(UNTIL), UNTIL);
    for (kind, least) in [("vent", 500), ("water", 80), ("fleece", 20), ("found", 5), ("look", 250), ("finger", 8)] {
        assert!(counts.get(kind).is_some_and(|n| *n >= least), "{kind}: {counts:?}");
    }
}
