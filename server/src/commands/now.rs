//! `propstick now`.

use chrono::DateTime;
use chrono_tz::Tz;
use clap::Args;
use serde_json::Value;

use super::{Failed, Where};
use crate::clock::Clock;
use crate::engine::{Command, Input, Pace};
use crate::house::Opened;
use crate::store::StoreError;
use crate::store::folder::{owner_of, readings_path};
use crate::web::Views;

#[derive(Args)]
pub(super) struct NowArgs {
    #[command(flatten)]
    at: Where,
    /// Print the answers as JSON.
    #[arg(long)]
    json: bool,
}

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
        Err(StoreError::Owned { path }) => match owner_of(&path) {
            Some((address, token)) => from_owner(&address, &token)?,
            None => {
                return Err(Failed::work(format!(
                    "{}: another Propstick has this folder and is still starting; try again in a moment",
                    path.display()
                )));
            }
        },
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
    print(&garden, &told);
    Ok(())
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

fn from_owner(address: &str, token: &str) -> Result<(String, Vec<Told>), Failed> {
    let get = |path: &str| -> Result<Value, Failed> {
        let text = ureq::get(format!("http://{address}/api/{path}"))
            .header("Authorization", format!("Bearer {token}"))
            .call()
            .and_then(|mut r| r.body_mut().read_to_string())
            .map_err(|e| Failed::work(format!("the running Propstick did not answer: {e}")))?;
        serde_json::from_str(&text).map_err(|e| Failed::work(e.to_string()))
    };
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

fn print(garden: &str, told: &[Told]) {
    let Some(first) = told.first() else { return };
    say!("{garden}, {}", at(&first.now));
    let width = told.iter().map(|t| t.name.chars().count()).max().unwrap_or(0);
    for t in told {
        say!();
        say!("{:width$}  {}", t.name, air(&t.now));
        for advice in t.advice["advice"].as_array().into_iter().flatten() {
            for part in ["say", "because", "doubt"] {
                if let Some(text) = advice[part].as_str().filter(|s| !s.is_empty()) {
                    let lead = if part == "say" { "" } else { "  " };
                    say!("{:width$}  {lead}{text}", "");
                }
            }
        }
    }
}

fn at(now: &Value) -> String {
    let zone: Tz = now["zone"].as_str().and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC);
    match now["at"].as_str().and_then(|t| DateTime::parse_from_rfc3339(t).ok()) {
        Some(t) => format!("{} ({})", t.with_timezone(&zone).format("%A %-d %B, %H:%M"), zone.name()),
        None => String::new(),
    }
}

/// The air at the first spot that has any, its age, and the day's range.
fn air(now: &Value) -> String {
    let reading = |quantity: &str| {
        now["spots"]
            .as_array()
            .into_iter()
            .flatten()
            .flat_map(|s| s["readings"].as_array().into_iter().flatten())
            .find(|r| r["quantity"] == quantity && r["value"].is_number())
    };
    let Some(t) = reading("air-temperature") else { return "no reading yet".to_owned() };
    let mut said = format!("{:.1} °C", t["value"].as_f64().unwrap_or_default());
    if let Some(rh) = reading("air-humidity") {
        said += &format!(", {:.0} %RH", rh["value"].as_f64().unwrap_or_default().min(100.0));
    }
    if let Some(dew) = now["derived"]["dew_point_c"]["value"].as_f64() {
        said += &format!(", dew point {dew:.1} °C");
    }
    let minutes = t["age_s"].as_i64().unwrap_or_default() / 60;
    said += &match (t["state"].as_str(), minutes) {
        (Some("fresh"), 0) => "; just now".to_owned(),
        (Some("fresh"), 1) => "; a minute ago".to_owned(),
        (Some("fresh"), m) => format!("; {m} minutes ago"),
        (_, m) if m < 120 => format!("; NOT HEARD for {m} minutes"),
        (_, m) => format!("; NOT HEARD for {} hours", m / 60),
    };
    let of_day = |f: &str| now["today"][f]["value"].as_f64();
    if let (Some(low), Some(high)) = (of_day("min_c"), of_day("max_c")) {
        said += &format!("; today {low:.1} to {high:.1} °C");
    }
    said
}
