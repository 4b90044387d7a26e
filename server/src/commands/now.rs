//! `propstick now`: what it is like under each cover and what to do, in about ten lines.

mod page;
mod wrap;

use std::io::IsTerminal;

use clap::Args;
use serde_json::Value;

use super::owner::Owner;
use super::{Failed, Where};
use crate::clock::Clock;
use crate::engine::{Command, Input, Pace};
use crate::house::Opened;
use crate::store::StoreError;
use crate::store::folder::readings_path;
use crate::web::Views;

#[derive(Args)]
pub(super) struct NowArgs {
    #[command(flatten)]
    at: Where,
    /// Say why as well, with all advice, doubts and cautions, and the damp in full.
    #[arg(long)]
    full: bool,
    /// Print the answers as JSON.
    #[arg(long, conflicts_with = "full")]
    json: bool,
}

/// Longest lines on a terminal, in characters: longer ones are hard to read.
const WIDEST: usize = 100;

/// What is said of one structure.
struct Told {
    name: String,
    now: Value,
    advice: Value,
}

pub(super) fn run(args: &NowArgs) -> Result<(), Failed> {
    let data = &args.at.data;
    if !readings_path(data).is_file() {
        return Err(Failed::given(format!(
            "{}: there are no readings in it; name the folder with --data, or start `propstick serve` first",
            data.display()
        )));
    }
    let (garden, told) = match Opened::open(data, None, Pace::Live) {
        Ok(opened) => from_folder(opened)?,
        Err(StoreError::Owned { path }) => from_owner(&Owner::of(&path)?)?,
        Err(e) => return Err(e.into()),
    };
    if args.json {
        let all: Vec<Value> =
            told.iter().map(|t| serde_json::json!({"name": t.name, "now": t.now, "advice": t.advice})).collect();
        say!("{}", serde_json::to_string_pretty(&all).unwrap_or_default());
        return Ok(());
    }
    if told.is_empty() {
        say!("No garden is set up yet. Start Propstick with --garden FILE; the README has a small one.");
    }
    for line in page::lines(&garden, &told, args.full, width()) {
        say!("{line}");
    }
    Ok(())
}

/// How wide the terminal is; none where another program reads.
fn width() -> Option<usize> {
    let told = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let seen = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let wide = told.or_else(|| std::io::stdout().is_terminal().then(seen).flatten());
    wide.filter(|columns| *columns > 0).map(|columns: usize| columns.min(WIDEST))
}

/// Nobody has the folder: what is not worked out yet is worked out now, and the vents are judged as of now.
fn from_folder(mut opened: Opened) -> Result<(String, Vec<Told>), Failed> {
    let now = Clock::System.now();
    opened.engine.step(Input::Command(Command::CatchUp))?;
    opened.engine.step(Input::Tick(now))?;
    let garden = opened.engine.garden();
    let views = Views::open(opened.folder.path())?;
    let mut told = Vec::new();
    for s in &garden.structures {
        let said = views.now(&garden, &s.slug, now).map_err(|p| Failed::work(p.title))?;
        let advice = views.advice(&garden, &s.slug, now).map_err(|p| Failed::work(p.title))?;
        told.push(Told { name: s.name.clone(), now: value(&said)?, advice: value(&advice)? });
    }
    Ok((garden.name.clone(), told))
}

fn from_owner(owner: &Owner) -> Result<(String, Vec<Told>), Failed> {
    let get = |path: &str| owner.get(path, &[]);
    let all = get("structures")?;
    let mut told = Vec::new();
    for s in all["structures"].as_array().into_iter().flatten() {
        let slug = s["slug"].as_str().unwrap_or_default();
        told.push(Told {
            name: s["name"].as_str().unwrap_or_default().to_owned(),
            now: get(&format!("structures/{slug}/now"))?,
            advice: get(&format!("structures/{slug}/advice"))?,
        });
    }
    Ok((all["garden"]["name"].as_str().unwrap_or_default().to_owned(), told))
}

fn value(answer: &impl serde::Serialize) -> Result<Value, Failed> {
    serde_json::to_value(answer).map_err(|e| Failed::work(e.to_string()))
}
