//! The data folder that a file goes into: ours for the while, or that of a running program, which is then asked.

use std::fs::File;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono_tz::Tz;
use propstick_garden::instant::to_rfc3339;
use propstick_garden::model::Garden;
use propstick_garden::wording::grouped;
use serde::Serialize;
use serde_json::{Value, json};

use super::super::Failed;
use super::super::owner::Owner;
use crate::clock::system_now;
use crate::engine::{Command, Input, Pace};
use crate::files::import::{How, Identity, OnDisk, Uploads, known, new_origin, press, take_in};
use crate::house::Opened;
use crate::store::folder::{garden_path, readings_path};
use crate::store::garden::GardenDb;
use crate::store::{Readings, StoreError};
use crate::web::{ImportAnswer, ImportPart};

/// The folder.
pub(super) enum Folder {
    /// Nobody else has it.
    Ours(Box<Opened>),
    /// A running program has it.
    Theirs(Box<Theirs>),
}

/// The folder of a running program.
pub(super) struct Theirs {
    owner: Owner,
    readings: Readings,
    garden: Garden,
}

impl Folder {
    pub(super) fn open(data: &Path) -> Result<Folder, Failed> {
        match Opened::open(data, None, Pace::Live) {
            Ok(opened) => Ok(Folder::Ours(Box::new(opened))),
            Err(StoreError::Owned { path }) => {
                let owner = Owner::of(&path)?;
                let readings = Readings::open(&readings_path(&path))?;
                let garden = garden(&path).unwrap_or_else(Garden::empty);
                Ok(Folder::Theirs(Box::new(Theirs { owner, readings, garden })))
            }
            Err(e) => Err(e.into()),
        }
    }

    /// The import that took in the very same file: number, label and zone.
    pub(super) fn known(&self, identity: &Identity) -> Result<Option<(i64, String, Option<String>)>, Failed> {
        let before = match self {
            Folder::Ours(opened) => known(&Readings::open(&opened.folder.readings())?, identity)?,
            Folder::Theirs(theirs) => known(&theirs.readings, identity)?,
        };
        Ok(before.into_iter().next().map(|o| (o.id, o.label, o.zone)))
    }

    /// Takes a file in; gives what came of it as the API says it.
    pub(super) fn take_in(
        &mut self,
        path: &Path,
        source: &OnDisk<'_>,
        identity: &Identity,
        how: How,
        label: Option<&str>,
        again: bool,
    ) -> Result<Value, Failed> {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let label = label.unwrap_or(&name).to_owned();
        match self {
            Folder::Ours(opened) => take_in_here(opened, source, identity, &how, &name, label),
            Folder::Theirs(theirs) => send(&theirs.owner, path, &name, &how, &label, again),
        }
    }

    /// Works everything out that came, and lets the folder go.
    pub(super) fn close(self) -> Result<(), Failed> {
        let Folder::Ours(mut opened) = self else { return Ok(()) };
        opened.engine.step(Input::Command(Command::LookInLedger))?;
        opened.engine.step(Input::Command(Command::CatchUp))?;
        opened.engine.settle()?;
        Ok(())
    }

    /// Says which of the devices are placed nowhere, and what to write so that they are.
    pub(super) fn say_what_is_not_placed(&self, taken: &Value) {
        let garden = match self {
            Folder::Ours(opened) => opened.engine.garden().as_ref().clone(),
            Folder::Theirs(theirs) => theirs.garden.clone(),
        };
        let first = taken["first"].as_str().unwrap_or("2020-01-01T00:00:00Z");
        let series = taken["report"]["series"].as_array().cloned().unwrap_or_default();
        for device in taken["devices"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            let channels: Vec<String> = series
                .iter()
                .filter(|s| s["device"] == device)
                .filter_map(|s| s["channel"].as_str())
                .filter(|c| !garden.placements.iter().any(|p| p.urn == device && p.channel == *c))
                .map(|c| format!("\"{c}\""))
                .collect();
            if channels.is_empty() {
                continue;
            }
            say!("");
            say!("Nothing is worked out from these readings until the garden file says where they were taken:");
            say!("");
            say!("    [[placement]]");
            say!("    device = \"{device}\"");
            say!("    channels = [{}]", channels.join(", "));
            say!("    spot = \"...\"");
            say!("    from = \"{first}\"");
        }
    }
}

fn take_in_here(
    opened: &mut Opened,
    source: &OnDisk<'_>,
    identity: &Identity,
    how: &How,
    name: &str,
    label: String,
) -> Result<Value, Failed> {
    static NUMBER: AtomicU64 = AtomicU64::new(0);
    let scratch = format!("import-{}-{}", std::process::id(), NUMBER.fetch_add(1, Ordering::Relaxed));
    let uploads = Uploads::below(opened.folder.path());
    let pressed = uploads.scratch(&scratch).map_err(|e| Failed::work(e.to_string()))?;
    let origin = new_origin(identity, how, (label, name), system_now(), &pressed);
    let taken = press(source, identity, &pressed).and_then(|()| take_in(&mut opened.ledger, source, how, &origin));
    let _ = std::fs::remove_file(&pressed);
    uploads.tidy();
    let taken = taken.map_err(|t| super::not_taken(&t))?;
    let readings = Readings::open(&opened.folder.readings())?;
    let kept = readings.origins()?.into_iter().find(|o| o.id == taken.imported.origin);
    let kept = kept.ok_or_else(|| Failed::work("the import is not there"))?;
    as_json(&ImportAnswer::taken(&kept, taken.imported))
}

fn as_json(answer: &impl Serialize) -> Result<Value, Failed> {
    serde_json::to_value(answer).map_err(|e| Failed::work(e.to_string()))
}

fn send(owner: &Owner, path: &Path, name: &str, how: &How, label: &str, again: bool) -> Result<Value, Failed> {
    let file = File::open(path).map_err(|e| Failed::given(format!("cannot be read: {e}")))?;
    let upload = owner.send("uploads", name, file)?;
    let mapping = match how {
        How::Mapping(_) => Some(how.text()),
        How::Ours(_) => None,
    };
    let order = json!({"upload": upload["upload"], "mapping": mapping, "label": label, "again": again});
    owner.post("imports", &order)
}

/// The zone of the garden kept in a data folder, if there is one.
pub(super) fn garden_zone(data: &Path) -> Option<Tz> {
    garden(data).filter(|g| !g.structures.is_empty()).map(|g| g.zone)
}

fn garden(data: &Path) -> Option<Garden> {
    let path = garden_path(data);
    if !path.is_file() {
        return None;
    }
    GardenDb::open_reader(&path).and_then(|db| db.garden()).ok().flatten()
}

/// Lists the imports of a data folder.
pub(super) fn list(data: &Path, in_json: bool) -> Result<(), Failed> {
    let path = readings_path(data);
    if !path.is_file() {
        return Err(Failed::given(format!("{}: there is no readings.db in it", data.display())));
    }
    let all = Readings::open(&path)?.origins()?;
    if in_json {
        for origin in &all {
            say!("{}", as_json(&ImportPart::from(origin))?);
        }
        return Ok(());
    }
    if all.is_empty() {
        say!("Nothing was imported.");
    }
    for o in &all {
        let span = match (o.first, o.last) {
            (Some(first), Some(last)) => format!("{} to {}", to_rfc3339(first), to_rfc3339(last)),
            _ => "nothing left".to_owned(),
        };
        let zone = o.zone.as_deref().map_or(String::new(), |zone| format!(", times read in {zone}"));
        let (readings, made_at) = (grouped(o.readings), to_rfc3339(o.made_at));
        say!("{:>4}  {}: {readings} readings, {span}{zone}; taken in {made_at}", o.id, o.label);
        say!("      {}", o.devices.join(", "));
    }
    Ok(())
}

/// Takes an import back whole.
pub(super) fn take_back(data: &Path, number: i64) -> Result<(), Failed> {
    let path = readings_path(data);
    let there = path.is_file() && Readings::open(&path)?.origins()?.iter().any(|o| o.id == number);
    if !there {
        return Err(Failed::given(format!("{number}: there is no such import; `propstick import --list` shows them")));
    }
    let removed = match Folder::open(data)? {
        Folder::Ours(mut opened) => {
            let done = opened.ledger.take_back(number)?.readings as u64;
            Folder::Ours(opened).close()?;
            done
        }
        Folder::Theirs(theirs) => theirs.owner.delete(&format!("imports/{number}"))?["readings"].as_u64().unwrap_or(0),
    };
    say!("Import {number} is taken back: {removed} readings are gone, and what is left is as if it had never been.");
    Ok(())
}
