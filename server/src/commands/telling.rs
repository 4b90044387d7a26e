//! What `did`, `seen` and `heard` have in common: times as one says them, and the way to the running program or to a folder of our own.

use std::sync::mpsc::sync_channel;

use chrono::{NaiveTime, TimeZone};
use clap::Args;
use propstick_garden::fold::local;
use propstick_garden::instant::{from_rfc3339, to_rfc3339};
use propstick_garden::model::Garden;
use propstick_garden::record::{Did, Saw};
use propstick_wire::Millis;
use serde_json::Value;

use super::owner::{Owner, refused};
use super::{Failed, Where};
use crate::clock::Clock;
use crate::engine::{Command, Input, Pace, Told};
use crate::house::Opened;
use crate::store::StoreError;
use crate::store::folder::garden_path;
use crate::store::garden::GardenDb;
use crate::store::garden::told::{Undone, Wanted};
use crate::web::{EventPart, ObservationPart, Views};

/// As many are listed.
const LISTED: u32 = 30;

#[derive(Args)]
pub(super) struct TellingArgs {
    #[command(flatten)]
    pub(super) data: Where,
    /// When it was: a time of today on the garden's clocks, such as 10:40, or an instant such as 2026-03-01T10:40:00Z. Now if left out.
    #[arg(long, value_name = "TIME", global = true)]
    pub(super) at: Option<String>,
    /// List what was told, the newest last.
    #[arg(long)]
    pub(super) list: bool,
    /// Take back what was told under that number.
    #[arg(long, value_name = "NUMBER", conflicts_with = "list")]
    pub(super) undo: Option<i64>,
}

/// Which of the two records a command writes in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Book {
    /// Things done.
    Events,
    /// Things seen or heard.
    Observations,
}

impl Book {
    fn path(self) -> &'static str {
        match self {
            Book::Events => "events",
            Book::Observations => "observations",
        }
    }
}

/// A data folder of our own, or the program that has it.
pub(super) enum Teller {
    Ours(Box<Opened>),
    Theirs { owner: Owner, garden: Box<Garden> },
}

impl Teller {
    pub(super) fn open(at: &Where) -> Result<Teller, Failed> {
        let none = || {
            Failed::given(format!(
                "{}: no garden is set up in it; name the folder with --data, or start Propstick with --garden FILE first",
                at.data.display()
            ))
        };
        if !garden_path(&at.data).is_file() {
            return Err(none());
        }
        let garden = GardenDb::open_reader(&garden_path(&at.data))?.garden()?.ok_or_else(none)?;
        match Opened::open(&at.data, None, Pace::Live) {
            Ok(opened) => Ok(Teller::Ours(Box::new(opened))),
            Err(StoreError::Owned { path }) => {
                Ok(Teller::Theirs { owner: Owner::of(&path)?, garden: Box::new(garden) })
            }
            Err(e) => Err(e.into()),
        }
    }

    pub(super) fn garden(&self) -> Garden {
        match self {
            Teller::Ours(opened) => Garden::clone(&opened.engine.garden()),
            Teller::Theirs { garden, .. } => Garden::clone(garden),
        }
    }

    /// Tells a thing done; gives it in a sentence.
    pub(super) fn did(&mut self, did: &Did) -> Result<String, Failed> {
        let opened = match self {
            Teller::Theirs { .. } => {
                return self.send(Book::Events.path(), &serde_json::to_value(did).unwrap_or_default());
            }
            Teller::Ours(opened) => opened,
        };
        let (garden, now) = (opened.engine.garden(), Clock::System.now());
        let views = Views::open(opened.folder.path())?;
        let event =
            views.event_told(did, &garden, now).map_err(|p| refused(&serde_json::to_value(&p).unwrap_or_default()))?;
        let (tx, rx) = sync_channel(1);
        step(opened, Told::Did(event, None, Some(tx)), now)?;
        let kept = rx.recv().map_err(|e| Failed::work(e.to_string()))?;
        Ok(EventPart::of(&kept.one, &garden, now).say)
    }

    /// Tells a thing seen or heard; gives it in a sentence.
    pub(super) fn saw(&mut self, saw: &Saw) -> Result<String, Failed> {
        let opened = match self {
            Teller::Theirs { .. } => {
                return self.send(Book::Observations.path(), &serde_json::to_value(saw).unwrap_or_default());
            }
            Teller::Ours(opened) => opened,
        };
        let (garden, now) = (opened.engine.garden(), Clock::System.now());
        let seen = saw.observation(&garden, now).map_err(|e| Failed::given(e.to_string()))?;
        let (tx, rx) = sync_channel(1);
        step(opened, Told::Saw(seen, None, Some(tx)), now)?;
        let kept = rx.recv().map_err(|e| Failed::work(e.to_string()))?;
        Ok(ObservationPart::of(&kept.one, &garden, now).say)
    }

    /// Takes back what was told under a number; gives it in a sentence.
    pub(super) fn undo(&mut self, book: Book, id: i64) -> Result<String, Failed> {
        let opened = match self {
            Teller::Theirs { .. } => return self.send(&format!("{}/{id}/undo", book.path()), &Value::Null),
            Teller::Ours(opened) => opened,
        };
        let (garden, now) = (opened.engine.garden(), Clock::System.now());
        match book {
            Book::Events => {
                let (tx, rx) = sync_channel(1);
                step(opened, Told::DidNot(id, Some(tx)), now)?;
                let one = undone(id, rx.recv().map_err(|e| Failed::work(e.to_string()))?)?;
                Ok(EventPart::of(&one, &garden, now).say)
            }
            Book::Observations => {
                let (tx, rx) = sync_channel(1);
                step(opened, Told::SawNot(id, Some(tx)), now)?;
                let one = undone(id, rx.recv().map_err(|e| Failed::work(e.to_string()))?)?;
                Ok(ObservationPart::of(&one, &garden, now).say)
            }
        }
    }

    /// What was told last, the newest last, each with its number; those taken back, too.
    fn list(&self, book: Book) -> Result<Vec<(i64, String, bool)>, Failed> {
        let answer = match self {
            Teller::Theirs { owner, .. } => {
                owner.get(book.path(), &[("limit", &LISTED.to_string()), ("undone", "true")])?
            }
            Teller::Ours(opened) => {
                let (views, garden) = (Views::open(opened.folder.path())?, opened.engine.garden());
                let (wanted, now) = (Wanted { undone: true, limit: LISTED, ..Wanted::all() }, Clock::System.now());
                let told = match book {
                    Book::Events => views.events(&garden, &wanted, now).map(serde_json::to_value),
                    Book::Observations => views.observations(&garden, &wanted, now).map(serde_json::to_value),
                };
                told.map_err(|p| Failed::work(p.title))?.map_err(|e| Failed::work(e.to_string()))?
            }
        };
        let one = |v: &Value| {
            let say = v["say"].as_str().unwrap_or_default().to_owned();
            (v["id"].as_i64().unwrap_or(0), say, !v["undone_at"].is_null())
        };
        Ok(answer[book.path()].as_array().into_iter().flatten().rev().map(one).collect())
    }

    fn send(&self, path: &str, body: &Value) -> Result<String, Failed> {
        let Teller::Theirs { owner, .. } = self else { return Err(Failed::work("nobody else has this folder")) };
        Ok(owner.post(path, body)?["say"].as_str().unwrap_or_default().to_owned())
    }

    /// Ends the work in a folder of our own.
    pub(super) fn close(self) -> Result<(), Failed> {
        if let Teller::Ours(opened) = self {
            opened.engine.settle()?;
        }
        Ok(())
    }
}

/// Does what `--list` and `--undo` ask for; false if neither was given.
pub(super) fn looked_up(args: &TellingArgs, book: Book) -> Result<bool, Failed> {
    if !args.list && args.undo.is_none() {
        return Ok(false);
    }
    let mut teller = Teller::open(&args.data)?;
    if let Some(id) = args.undo {
        say!("Taken back: {}.", lowered(&teller.undo(book, id)?));
    } else {
        let all = teller.list(book)?;
        if all.is_empty() {
            say!("Nothing was told yet.");
        }
        for (id, told, undone) in all {
            say!("{id:>5}  {told}{}", if undone { "  (taken back)" } else { "" });
        }
    }
    teller.close()?;
    Ok(true)
}

/// When it was, as RFC 3339; none for now.
pub(super) fn instant(at: Option<&str>, garden: &Garden, now: Millis) -> Result<Option<String>, Failed> {
    let Some(text) = at else { return Ok(None) };
    if from_rfc3339(text).is_some() {
        return Ok(Some(text.to_owned()));
    }
    let wrong = || {
        Failed::given(format!(
            "--at {text}: expected a time of today such as 10:40, or an instant such as 2026-03-01T10:40:00Z"
        ))
    };
    let time = NaiveTime::parse_from_str(text, "%H:%M").map_err(|_| wrong())?;
    let today = local(garden.zone, now).date_naive().and_time(time);
    // In autumn the same time comes twice: the later one, if it is not ahead.
    let of = garden.zone.from_local_datetime(&today);
    let all = [of.latest(), of.earliest()].into_iter().flatten().map(|t| Millis(t.timestamp_millis()));
    let at = all.clone().find(|at| *at <= now).or_else(|| all.clone().next()).ok_or_else(wrong)?;
    if at > now {
        let says = "lies ahead; for another day give the whole instant, such as 2026-03-01T10:40:00Z";
        return Err(Failed::given(format!("--at {text}: {says}")));
    }
    Ok(Some(to_rfc3339(at)))
}

/// A sentence to go on with after a colon: its own first letter is small again, unless it begins with a name.
pub(super) fn lowered(said: &str) -> String {
    let mut chars = said.chars();
    chars.next().map(|first| first.to_lowercase().chain(chars).collect()).unwrap_or_default()
}

fn step(opened: &mut Opened, told: Told, now: Millis) -> Result<(), Failed> {
    opened.engine.step(Input::Tick(now))?;
    opened.engine.step(Input::Command(Command::Told(Box::new(told), now)))?;
    opened.engine.step(Input::Command(Command::CatchUp))?;
    Ok(())
}

fn undone<T>(id: i64, undone: Undone<T>) -> Result<T, Failed> {
    match undone {
        Undone::Now(one) => Ok(one),
        Undone::Before(_) => {
            let says = "was taken back before, and that stays so. If it was right after all, tell it again";
            Err(Failed::given(format!("number {id} {says}")))
        }
        Undone::Unknown => Err(Failed::given(format!("there is no number {id}; --list shows the numbers"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, now: &str) -> Result<Option<String>, String> {
        let garden = Garden { zone: chrono_tz::Europe::Dublin, ..Garden::empty() };
        instant(Some(text), &garden, from_rfc3339(now).unwrap()).map_err(|failed| failed.says)
    }

    #[test]
    fn time_of_today_is_on_the_gardens_clocks_and_never_ahead() {
        assert_eq!(at("10:40", "2026-06-01T12:00:00Z").unwrap().unwrap(), "2026-06-01T09:40:00Z");
        assert_eq!(at("2026-05-01T10:40:00Z", "2026-06-01T12:00:00Z").unwrap().unwrap(), "2026-05-01T10:40:00Z");
        assert!(at("13:01", "2026-06-01T12:00:00Z").unwrap_err().contains("lies ahead"));
        assert!(at("ten", "2026-06-01T12:00:00Z").unwrap_err().contains("10:40"));
        // 25 October 2026: 01:30 comes at 00:30Z and again at 01:30Z.
        assert_eq!(at("01:30", "2026-10-25T01:00:00Z").unwrap().unwrap(), "2026-10-25T00:30:00Z");
        assert_eq!(at("01:30", "2026-10-25T02:00:00Z").unwrap().unwrap(), "2026-10-25T01:30:00Z");
    }
}
