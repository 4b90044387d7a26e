//! The live boards against the broker of this program, with a ledger that is nothing but a list.

use std::net::SocketAddr;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use propstick_garden::took::{Publish, Settled};
use propstick_wire::message::{Receipt, Settings, State};
use propstick_wire::{BoardUrn, QueueId};
use tokio::sync::mpsc;

use super::*;
use crate::transport::embedded::{Config, Embedded};
use crate::transport::rights::{Access, Admission, Who, may_publish, may_subscribe};
use crate::transport::topic::Interest;
use crate::transport::{Ack, Stop, Stopper, Stored, Transport};

/// A second of the test is so many of the garden.
const HURRY: i64 = 20;
/// So long it is watched whether a board sends what it must not: a dozen reports would fit in.
const WATCHED: Duration = Duration::from_secs(2);
const PASSWORD: &str = "a password of the test";

fn now() -> Millis {
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    let gone = BEGAN.get_or_init(Instant::now).elapsed();
    UNTIL.plus(DAY / 24 + gone.as_millis() as i64 * HURRY)
}

struct Logins;

impl Access for Logins {
    fn authenticate<'a>(&'a self, login: Option<(&'a str, &'a [u8])>, _: SocketAddr) -> Admission<'a> {
        let who = login.filter(|(_, password)| *password == PASSWORD.as_bytes());
        Box::pin(async move { who.map(|(name, _)| Who::Board { part: name.to_owned() }) })
    }

    fn may_publish(&self, who: &Who, topic: &str) -> bool {
        may_publish(who, topic, &[])
    }

    fn may_subscribe(&self, who: &Who, filter: &str) -> bool {
        may_subscribe(who, filter)
    }
}

/// A broker with its ledger.
struct Served {
    inbox: mpsc::Receiver<(Envelope, Ack)>,
    outbox: mpsc::Sender<Publish>,
    stopper: Stopper,
    road: tokio::task::JoinHandle<()>,
    at: SocketAddr,
}

async fn serve(listen: SocketAddr) -> Served {
    let (events, mut heard) = mpsc::channel(16);
    tokio::spawn(async move { while heard.recv().await.is_some() {} });
    let interest = Interest::new(Vec::new()).unwrap();
    let deadline = Instant::now() + Duration::from_secs(10);
    // After a stop the port may be taken for a moment.
    let road = loop {
        match Embedded::bind(Config::new(listen, now), interest.clone(), Arc::new(Logins), events.clone()).await {
            Ok(road) => break road,
            Err(error) => assert!(Instant::now() < deadline, "{error}"),
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    };
    let at = road.local_addr();
    let (send, inbox) = mpsc::channel(256);
    let (outbox, take) = mpsc::channel(256);
    let (stopper, stop) = Stop::pair();
    let road = tokio::spawn(async move { road.run(send, take, stop).await.unwrap() });
    Served { inbox, outbox, stopper, road, at }
}

impl Served {
    /// Takes messages until `enough` of what came so far, sending receipts where `receipts`.
    async fn until(&mut self, came: &mut Vec<Took>, receipts: bool, enough: impl Fn(&[Took]) -> bool) {
        let deadline = Instant::now() + Duration::from_secs(30);
        while !enough(came) {
            let left = deadline.saturating_duration_since(Instant::now());
            let (message, ack) = tokio::time::timeout(left, self.inbox.recv()).await.expect("in time").unwrap();
            let took = read(&message, &Book::default());
            assert!(!took.iter().any(|took| matches!(took, Took::Reject(_))), "{took:?}");
            ack.fire(Stored::Yes);
            if let Some(Took::Settled(pack)) = took.last().filter(|_| receipts) {
                self.send_receipt(pack).await;
            }
            came.extend(took);
        }
    }

    /// Takes what comes within `time`, without a receipt.
    async fn hear_for(&mut self, time: Duration, came: &mut Vec<Took>) {
        let deadline = tokio::time::Instant::now() + time;
        while let Ok(Some((message, ack))) = tokio::time::timeout_at(deadline, self.inbox.recv()).await {
            ack.fire(Stored::Yes);
            came.extend(read(&message, &Book::default()));
        }
    }

    async fn send_receipt(&self, pack: &Settled) {
        let mut buffer = [0; 96];
        let receipt = Receipt { queue: QueueId(pack.queue), upto: pack.last, at_s: now().0 / 1_000 };
        let payload = receipt.write(&mut buffer).unwrap().as_bytes().to_vec();
        let topic = BoardUrn::parse(&pack.device).unwrap().receipt_topic().to_string();
        self.outbox.send(Publish { topic, payload, retain: true }).await.unwrap();
    }
}

fn settled(came: &[Took]) -> BTreeMap<String, Vec<(u64, u64)>> {
    let mut packs: BTreeMap<String, Vec<(u64, u64)>> = BTreeMap::new();
    for took in came {
        if let Took::Settled(pack) = took {
            packs.entry(pack.device.clone()).or_default().push((pack.first, pack.last));
        }
    }
    packs
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn boards_go_on_where_the_history_ended_and_forget_only_what_a_receipt_covers() {
    let mut history = History::new(5, UNTIL.plus(-2 * DAY), UNTIL);
    let mut upto: BTreeMap<String, u64> = BTreeMap::new();
    for took in history.by_ref().flat_map(|message| read(&message, &Book::default())) {
        if let Took::Settled(pack) = took {
            upto.insert(pack.device, pack.last);
        }
    }
    let live = history.into_live();
    let mut served = serve("127.0.0.1:0".parse().unwrap()).await;
    let at = served.at;
    let logins = boards()
        .iter()
        .map(|urn| (BoardUrn::parse(urn).unwrap().topic_part().to_string(), PASSWORD.to_owned()))
        .collect();
    let (stopper, stop) = Stop::pair();
    let boards = tokio::spawn(live.run(at, logins, now, 1, stop));

    // A broker that never gives a receipt: each board sends its oldest pack and waits.
    let mut came = Vec::new();
    let mut oldest = BTreeMap::new();
    served.until(&mut came, false, |came| settled(came).len() == 6).await;
    served.hear_for(WATCHED, &mut came).await;
    for (device, packs) in settled(&came) {
        let before = upto.get(&device).copied().unwrap_or(0);
        assert_eq!(packs.len(), 1, "{device}: one pack in flight");
        // Or a little before, where the last receipt of the history was one of those that are lost.
        assert!(packs[0].0 <= before + 1 && before < packs[0].1, "{device}: {packs:?} after {before}");
        oldest.insert(device, packs[0].0);
    }
    let online = came.iter().filter(|took| matches!(took, Took::Board(_))).count();
    assert!(online >= 6, "{online}");

    // It goes and comes back empty at the same address: everything is sent again, and now receipts flow.
    served.stopper.stop();
    served.road.await.unwrap();
    let mut served = serve(at).await;
    let mut came = Vec::new();
    served.until(&mut came, true, |came| settled(came).values().filter(|packs| packs.len() >= 3).count() == 6).await;
    for (device, packs) in settled(&came) {
        let mut expected = oldest[&device];
        for (first, last) in packs {
            assert_eq!(first, expected, "{device}: nothing is left out or sent again");
            expected = last + 1;
        }
    }
    let new: Vec<Millis> =
        came.iter().filter_map(|took| if let Took::Reading(r) = took { Some(r.t) } else { None }).collect();
    assert!(new.iter().any(|t| *t > UNTIL.plus(HOUR)), "{new:?}");

    // Settings are followed and echoed.
    let mut buffer = [0; 128];
    let settings =
        Settings { revision: 9, sample_s: 60, report_s: 120, heater: propstick_wire::message::Heater::Off, off: &[] };
    let topic = BoardUrn::parse(PLANS[0].urn).unwrap().settings_topic().to_string();
    let payload = settings.write(&mut buffer).unwrap().as_bytes().to_vec();
    served.outbox.send(Publish { topic, payload, retain: true }).await.unwrap();
    let echoes = |took: &Took, echoed: u32| matches!(took, Took::Board(state) if State::parse(&state.payload).unwrap().settings == Some(echoed));
    served.until(&mut came, true, |came| came.iter().any(|took| echoes(took, 9))).await;

    // At the end each says that it goes.
    stopper.stop();
    let offline = |came: &[Took]| {
        let gone = |took: &&Took| matches!(took, Took::Board(state) if State::parse(&state.payload).unwrap().online == Some(false));
        came.iter().filter(gone).count()
    };
    let before = offline(&came);
    served.until(&mut came, true, |came| offline(came) >= before + 6).await;
    boards.await.unwrap();
    served.stopper.stop();
    served.road.await.unwrap();
}
