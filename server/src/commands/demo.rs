//! `propstick demo`.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use propstick_garden::decode::mapping::Book;
use propstick_garden::instant::from_rfc3339;
use propstick_garden::model::{Garden, parse_garden};
use propstick_garden::record::Untold;
use propstick_wire::millis::HOUR;
use propstick_wire::{BoardUrn, Millis};

use super::Failed;
use super::running::{self, Pages, Running};
use crate::clock::{Clock, system_now};
use crate::config::{Config, MQTT_LISTEN, Road, WEB_LISTEN};
use crate::demo::{self, Entry, History};
use crate::engine::{Pace, Told};
use crate::house::{Building, Health, Historian, Opened, hash_password, new_password};
use crate::store::garden::{BoardLogin, GardenDb};

/// Messages between two words of progress.
const WORD_EVERY: u64 = 4_096;

#[derive(Args)]
pub(super) struct DemoArgs {
    /// Keep the data in this folder, which must be empty; without it they are thrown away at the end.
    #[arg(long, value_name = "FOLDER")]
    keep: Option<PathBuf>,
    /// Seed of the weather and the faults.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// End the history then and stop the clock there; the same seed and time give the same garden. Without it the history ends now and
    /// the boards go on live.
    #[arg(long, value_name = "TIME")]
    until: Option<String>,
    /// Days of history.
    #[arg(long, default_value_t = 365, value_parser = clap::value_parser!(u32).range(1..=3_660))]
    days: u32,
    /// Where the pages are served.
    #[arg(long, default_value = WEB_LISTEN, value_name = "ADDRESS")]
    web: SocketAddr,
    /// Where the boards publish.
    #[arg(long, default_value = MQTT_LISTEN, value_name = "ADDRESS")]
    mqtt: SocketAddr,
    /// Seconds between two samples of the live boards.
    #[arg(long, default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=3_600))]
    sample_s: u32,
}

pub(super) fn run(args: DemoArgs) -> Result<(), Failed> {
    running::log();
    for (key, address) in [("--web", args.web), ("--mqtt", args.mqtt)] {
        if !address.ip().is_loopback() {
            return Err(Failed::given(format!("{key} {address}: the demo stays on this machine, such as 127.0.0.1:0")));
        }
    }
    let until = match &args.until {
        None => None,
        Some(text) => Some(
            from_rfc3339(text)
                .ok_or_else(|| Failed::given(format!("--until {text}: expected a time like 2026-03-01T08:00:00Z")))?,
        ),
    };
    let (folder, thrown_away) = folder(args.keep.as_deref())?;
    let done = play(&args, until, &folder);
    if thrown_away {
        let _ = std::fs::remove_dir_all(&folder);
    }
    done
}

fn play(args: &DemoArgs, until: Option<Millis>, folder: &Path) -> Result<(), Failed> {
    let end = until.unwrap_or_else(system_now);
    let begin = end.plus(-i64::from(args.days) * 24 * HOUR);
    let garden =
        parse_garden(&demo::garden_text(begin)).map_err(|e| Failed::work(format!("the demo's garden: {e}")))?;
    let opened = Opened::open(folder, Some(garden), Pace::Recorded)?;
    let clock = until.map_or(Clock::System, Clock::Stopped);
    let health = Arc::new(Health::new(clock.now()));
    let windows = opened.windows(clock, Arc::clone(&health));
    let config = Config { road: Road::Embedded { listen: args.mqtt }, web_listen: args.web, mappings: Vec::new() };
    running::runtime()?.block_on(async {
        let pages = Pages::open(&opened.folder, windows.clone(), config.web_listen).await?;
        say!("Pages:  http://{}/", pages.address);
        say!("Laying down {} days of an invented garden...", args.days);
        let seed = args.seed;
        let told = Arc::clone(&health);
        let laid = tokio::task::spawn_blocking(move || lay_down(opened, seed, begin, end, &told)).await;
        let (mut opened, history) = laid.map_err(|e| Failed::work(e.to_string()))??;
        health.building(None);
        let _ = windows.live.send(crate::engine::Change::all());
        if until.is_some() {
            say!("There it is, with its clock stopped. Ctrl-C ends it.");
            pages.until_stopped().await;
            return Ok(());
        }
        let logins = logins(folder)?;
        opened.engine.set_pace(Pace::Live)?;
        let stop = pages.stop.clone();
        let running = Running::start(opened, &config, windows, pages).await?;
        let Some(mqtt) = running.roads.mqtt else { return Err(Failed::work("the demo has no broker")) };
        say!("There it is; its boards go on live over mqtt://{mqtt}. Ctrl-C ends it.");
        let boards = history.into_live();
        let boards = tokio::spawn(boards.run(mqtt, logins, system_now, args.sample_s, stop));
        let done = running.until_stopped().await;
        boards.abort();
        done
    })
}

/// Runs the invented history through ledger and engine.
fn lay_down(
    opened: Opened,
    seed: u64,
    begin: Millis,
    end: Millis,
    health: &Health,
) -> Result<(Opened, History), Failed> {
    let mut history = History::new(seed, begin, end);
    let total = history.messages_hint();
    let progress = |done| {
        let what = "Laying down the history of the demo".to_owned();
        health.building(Some(Building { done, total: total.max(done), what }));
    };
    progress(0);
    let garden = opened.engine.garden();
    let mut historian =
        Historian::begin(opened, Book::default()).map_err(|e| Failed::work(format!("cannot start: {e}")))?;
    let mut done = 0;
    while let Some(envelope) = history.next() {
        tell(&mut historian, &garden, history.told_before(envelope.arrived))?;
        historian.take(&envelope)?;
        done += 1;
        if done % WORD_EVERY == 0 {
            progress(done);
        }
    }
    tell(&mut historian, &garden, history.told_before(end))?;
    historian.pass_until(end)?;
    Ok((historian.end()?, history))
}

/// Tells what the grower told.
fn tell(historian: &mut Historian, garden: &Garden, told: Vec<(Millis, Entry)>) -> Result<(), Failed> {
    let wrong = |e: Untold| Failed::work(format!("the demo's diary: {e}"));
    for (at, entry) in told {
        let told = match entry {
            Entry::Did(did) => Told::Did(did.event(garden, at, &|_| None).map_err(wrong)?, None, None),
            Entry::Saw(saw) => Told::Saw(saw.observation(garden, at).map_err(wrong)?, None, None),
        };
        historian.tell(at, told)?;
    }
    Ok(())
}

/// Makes a login for each board of the demo.
fn logins(folder: &Path) -> Result<Vec<(String, String)>, Failed> {
    let mut db = GardenDb::open(&crate::store::folder::garden_path(folder))?;
    let mut all = Vec::new();
    for urn in demo::boards() {
        let urn = BoardUrn::parse(&urn).map_err(|e| Failed::work(e.to_string()))?;
        let name = urn.topic_part().to_string();
        let password = new_password().map_err(Failed::work)?;
        let hash = hash_password(&password).map_err(Failed::work)?;
        db.keep_login(&BoardLogin { name: name.clone(), board: true, hash }, system_now())?;
        all.push((name, password));
    }
    Ok(all)
}

/// The folder to keep, or one that is thrown away.
fn folder(keep: Option<&Path>) -> Result<(PathBuf, bool), Failed> {
    let Some(path) = keep else {
        let name = format!("propstick-demo-{}-{}", std::process::id(), system_now().0);
        return Ok((std::env::temp_dir().join(name), true));
    };
    if std::fs::read_dir(path).is_ok_and(|mut d| d.next().is_some()) {
        return Err(Failed::given(format!("{}: is not empty; the demo begins in an empty folder", path.display())));
    }
    Ok((path.to_owned(), false))
}
