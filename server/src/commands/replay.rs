//! `propstick replay`.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::sync::Arc;

use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use propstick_garden::fold::{DayKind, WantedDegreeDays, date_of};
use propstick_garden::instant::{from_rfc3339, to_rfc3339};
use propstick_garden::model::Garden;
use propstick_garden::record::{Did, Saw};
use propstick_garden::took::{Envelope, Via};
use propstick_wire::Millis;
use serde::Deserialize;
use serde_json::{Value, json};

use super::Failed;
use super::running::{self, Pages};
use crate::clock::Clock;
use crate::config::Config;
use crate::engine::{Pace, Told};
use crate::house::{Health, Historian, Opened};
use crate::store::garden::told::Wanted;
use crate::web::Views;

/// Longest line of a recording, in bytes.
const LONGEST_LINE: usize = 256 << 10;

#[derive(Args)]
pub(super) struct ReplayArgs {
    /// Recording: one JSON object a line. {"recv", "topic", "payload", "qos", "retain", "dup"} is a message; {"recv", "event"} a note, and
    /// time passes until it; {"recv", "did"} and {"recv", "seen"} are what people told then, as the API takes it, and {"recv", "undo": {"did": N}} or
    /// {"seen": N} takes the so-manieth of them back; {"server_clock", "true_time"} says that from here on the server's clock showed the one when it was the other.
    recording: PathBuf,
    /// Empty folder for the data.
    #[arg(long, value_name = "FOLDER")]
    into: PathBuf,
    /// Garden file.
    #[arg(long, value_name = "FILE")]
    garden: PathBuf,
    /// Configuration file, for its mappings and where to serve.
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
    /// Let time pass until then after the last line.
    #[arg(long, value_name = "TIME")]
    until: Option<String>,
    /// Print as JSON what came of it.
    #[arg(long, value_enum, value_delimiter = ',', value_name = "WHAT,...")]
    print: Vec<Print>,
    /// Keep the pages up afterwards, with the clock stopped.
    #[arg(long)]
    serve: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Print {
    /// Alerts that were raised.
    Alerts,
    /// Advice that was given.
    Advice,
    /// What was refused.
    Rejects,
    /// Figures of the days.
    Days,
    /// What people told: things done, seen and heard.
    Told,
}

/// A line of a recording.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    recv: Option<Time>,
    topic: Option<String>,
    payload: Option<Value>,
    #[serde(default = "at_least_once")]
    qos: u8,
    #[serde(default)]
    retain: bool,
    #[serde(default)]
    dup: bool,
    event: Option<Value>,
    did: Option<Did>,
    seen: Option<Saw>,
    undo: Option<Undo>,
    server_clock: Option<Time>,
    true_time: Option<Time>,
}

/// Which of the things told is taken back: the so-manieth of its kind in the recording, from 1.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Undo {
    did: Option<i64>,
    seen: Option<i64>,
}

fn at_least_once() -> u8 {
    1
}

/// RFC 3339, or seconds since 1970.
#[derive(Deserialize)]
#[serde(untagged)]
enum Time {
    Text(String),
    Seconds(f64),
}

impl Time {
    fn instant(&self) -> Option<Millis> {
        match self {
            Time::Text(text) => from_rfc3339(text),
            Time::Seconds(s) => Millis::from_seconds(*s),
        }
    }
}

pub(super) fn run(args: ReplayArgs) -> Result<(), Failed> {
    running::log();
    let config = Config::read(args.config.as_deref())?;
    let garden = running::garden(&args.garden)?;
    if std::fs::read_dir(&args.into).is_ok_and(|mut d| d.next().is_some()) {
        return Err(Failed::given(format!(
            "{}: is not empty; a recording goes into a folder of its own",
            args.into.display()
        )));
    }
    let until = args.until.as_deref().map(|t| Time::Text(t.to_owned()).instant().ok_or(t)).transpose();
    let until = until.map_err(|t| Failed::given(format!("--until {t}: expected a time like 2026-03-01T08:00:00Z")))?;
    let file = File::open(&args.recording)
        .map_err(|e| Failed::given(format!("{}: cannot be read: {e}", args.recording.display())))?;
    let opened = Opened::open(&args.into, Some(garden.clone()), Pace::Recorded)?;
    let mut history =
        Historian::begin(opened, propstick_garden::decode::mapping::Book { mappings: config.mappings.clone() })
            .map_err(|e| Failed::work(format!("cannot start: {e}")))?;
    let name = args.recording.display().to_string();
    let read = play(BufReader::new(file), &name, &garden, &mut history)?;
    let end = until.into_iter().chain(read.last).max().unwrap_or(Millis(0));
    history.pass_until(end)?;
    let opened = history.end()?;
    say_aside!(
        "{name}: {} messages, {} notes and {} things told, until {}",
        read.messages,
        read.notes,
        read.told,
        to_rfc3339(end)
    );
    if !args.print.is_empty() {
        print(&opened, &args, (read.first.unwrap_or(end), end))?;
    }
    if !args.serve {
        return Ok(());
    }
    let clock = Clock::Stopped(end);
    let health = Arc::new(Health::new(end));
    let windows = opened.windows(clock, health);
    running::runtime()?.block_on(async {
        let pages = Pages::open(&opened.folder, windows, config.web_listen).await?;
        say_aside!("Pages:  http://{}/  (the clock stands at {})", pages.address, to_rfc3339(end));
        pages.until_stopped().await;
        Ok(())
    })
}

/// What a recording held.
#[derive(Default)]
struct Read {
    messages: u64,
    notes: u64,
    told: u64,
    /// So many things done, and things seen, were told: their numbers in the empty folder.
    did: i64,
    seen: i64,
    first: Option<Millis>,
    last: Option<Millis>,
}

fn play(lines: impl BufRead, name: &str, garden: &Garden, history: &mut Historian) -> Result<Read, Failed> {
    let mut read = Read::default();
    let mut ahead = 0;
    for (k, line) in lines.lines().enumerate() {
        let wrong = |what: String| Failed::given(format!("{name}, line {}: {what}", k + 1));
        let line = line.map_err(|e| wrong(e.to_string()))?;
        if line.trim().is_empty() {
            continue;
        }
        if line.len() > LONGEST_LINE {
            return Err(wrong(format!("{} bytes; at most {LONGEST_LINE} are read", line.len())));
        }
        let line: Line = serde_json::from_str(&line).map_err(|e| wrong(e.to_string()))?;
        let time =
            |t: &Time| t.instant().ok_or_else(|| wrong("a time like 2026-03-01T08:00:00Z was expected".to_owned()));
        if let (Some(shown), Some(truly)) = (&line.server_clock, &line.true_time) {
            ahead = time(shown)?.since(time(truly)?);
            read.notes += 1;
            continue;
        }
        let recv = line.recv.as_ref().ok_or_else(|| wrong("recv is missing".to_owned()))?;
        let arrived = time(recv)?.plus(ahead);
        read.first = Some(read.first.map_or(arrived, |f| f.min(arrived)));
        read.last = read.last.max(Some(arrived));
        let is_told = line.did.is_some() || line.seen.is_some() || line.undo.is_some();
        match (line.topic, line.payload, line.event, is_told) {
            (None, None, None, true) => {
                let told = read.told(line.did, line.seen, line.undo, garden, arrived).map_err(wrong)?;
                history.tell(arrived, told)?;
            }
            (Some(topic), Some(payload), None, false) => {
                let payload = match payload {
                    Value::String(text) => text.into_bytes(),
                    other => other.to_string().into_bytes(),
                };
                let (qos, retain, dup) = (line.qos, line.retain, line.dup);
                history.take(&Envelope { arrived, via: Via::Replay, topic, payload, qos, retain, dup })?;
                read.messages += 1;
            }
            (None, None, Some(_), false) => {
                history.pass_until(arrived)?;
                read.notes += 1;
            }
            _ => {
                return Err(wrong(
                    "either topic and payload, or event, or did, or seen, or undo, or server_clock and true_time"
                        .to_owned(),
                ));
            }
        }
    }
    Ok(read)
}

impl Read {
    /// What one line tells. Which advice was followed is taken as it stands: another program may number its advice otherwise.
    fn told(
        &mut self,
        did: Option<Did>,
        seen: Option<Saw>,
        undo: Option<Undo>,
        garden: &Garden,
        at: Millis,
    ) -> Result<Told, String> {
        self.told += 1;
        match (did, seen, undo) {
            (Some(did), None, None) => {
                self.did += 1;
                let advised = |_| Some(did.target.clone().unwrap_or_default());
                let event = did.event(garden, at, &advised).map_err(|e| e.to_string())?;
                Ok(Told::Did(event, None, None))
            }
            (None, Some(saw), None) => {
                self.seen += 1;
                Ok(Told::Saw(saw.observation(garden, at).map_err(|e| e.to_string())?, None, None))
            }
            (None, None, Some(Undo { did: Some(n), seen: None })) if (1..=self.did).contains(&n) => {
                Ok(Told::DidNot(n, None))
            }
            (None, None, Some(Undo { did: None, seen: Some(n) })) if (1..=self.seen).contains(&n) => {
                Ok(Told::SawNot(n, None))
            }
            (None, None, Some(_)) => Err(format!(
                "undo: {{\"did\": 1 to {}}} or {{\"seen\": 1 to {}}} was expected, one of those told before it",
                self.did, self.seen
            )),
            _ => Err("only one of did, seen, undo".to_owned()),
        }
    }
}

fn print(opened: &Opened, args: &ReplayArgs, (first, end): (Millis, Millis)) -> Result<(), Failed> {
    let views = Views::open(opened.folder.path())?;
    let garden = opened.engine.garden();
    let mut out = serde_json::Map::new();
    let to_value = |v: Result<Value, serde_json::Error>| v.map_err(|e| Failed::work(e.to_string()));
    for what in &args.print {
        match what {
            // No watch exists yet that could raise one.
            Print::Alerts => {
                out.insert("alerts".to_owned(), json!([]));
            }
            Print::Advice => {
                let made = views
                    .advice_made(&garden, (Millis(i64::MIN), Millis(i64::MAX)), end)
                    .map_err(|p| Failed::work(p.title))?;
                out.insert("advice".to_owned(), to_value(serde_json::to_value(&made))?);
            }
            Print::Rejects => {
                let rejects = views.rejects(None, 1_000).map_err(|p| Failed::work(p.title))?;
                out.insert("rejects".to_owned(), to_value(serde_json::to_value(&rejects))?);
            }
            Print::Told => {
                let wanted = Wanted { undone: true, ..Wanted::all() };
                let did = views.events(&garden, &wanted, end).map_err(|p| Failed::work(p.title))?;
                let seen = views.observations(&garden, &wanted, end).map_err(|p| Failed::work(p.title))?;
                for part in [to_value(serde_json::to_value(&did))?, to_value(serde_json::to_value(&seen))?] {
                    out.extend(part.as_object().cloned().unwrap_or_default());
                }
            }
            Print::Days => {
                let (from, to): (NaiveDate, NaiveDate) = (date_of(garden.zone, first), date_of(garden.zone, end));
                let count = (to - from).num_days().unsigned_abs() + 1;
                let mut by_structure = serde_json::Map::new();
                for s in &garden.structures {
                    let days = views
                        .days(
                            &garden,
                            &s.slug,
                            DayKind::Civil,
                            (from, count),
                            &WantedDegreeDays::horizontal(&[0.0, 5.0, 10.0], None),
                            end,
                        )
                        .map_err(|p| Failed::work(p.title))?;
                    by_structure.insert(s.slug.clone(), to_value(serde_json::to_value(&days))?);
                }
                out.insert("days".to_owned(), by_structure.into());
            }
        }
    }
    say!("{}", serde_json::to_string_pretty(&Value::Object(out)).unwrap_or_default());
    Ok(())
}
