//! The data folder that a file goes into: ours for the while, or that of a running program, which is then asked.

use std::fs::File;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono_tz::Tz;
use propstick_garden::instant::to_rfc3339;
use propstick_garden::model::Garden;
use propstick_garden::wording::grouped;
use serde_json::{Value, json};

use super::super::Failed;
use crate::clock::system_now;
use crate::engine::{Command, Input, Pace};
use crate::files::import::{How, Identity, OnDisk, Uploads, known, press, take_in};
use crate::house::Opened;
use crate::store::folder::{garden_path, owner_of, readings_path};
use crate::store::garden::GardenDb;
use crate::store::imports::{NewOrigin, Origin};
use crate::store::{Readings, StoreError};

/// The folder.
pub(super) enum Folder {
    /// Nobody else has it.
    Ours(Box<Opened>),
    /// A running program has it.
    Theirs(Box<Owner>),
}

/// A running program, and the token it takes.
pub(super) struct Owner {
    address: String,
    token: String,
    readings: Readings,
    garden: Garden,
}

impl Folder {
    pub(super) fn open(data: &Path) -> Result<Folder, Failed> {
        match Opened::open(data, None, Pace::Live) {
            Ok(opened) => Ok(Folder::Ours(Box::new(opened))),
            Err(StoreError::Owned { path }) => {
                let Some((address, token)) = owner_of(&path) else {
                    return Err(Failed::work(format!(
                        "{}: another Propstick has this folder and left no address; try again in a moment",
                        path.display()
                    )));
                };
                let readings = Readings::open(&readings_path(&path))?;
                let garden = garden(&path).unwrap_or_else(Garden::empty);
                Ok(Folder::Theirs(Box::new(Owner { address, token, readings, garden })))
            }
            Err(e) => Err(e.into()),
        }
    }

    /// The import that took in the very same file: number, label and zone.
    pub(super) fn known(&self, identity: &Identity) -> Result<Option<(i64, String, Option<String>)>, Failed> {
        let before = match self {
            Folder::Ours(opened) => known(&Readings::open(&opened.folder.readings())?, identity)?,
            Folder::Theirs(owner) => known(&owner.readings, identity)?,
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
            Folder::Theirs(owner) => owner.take_in(path, &name, &how, &label, again),
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
            Folder::Theirs(owner) => owner.garden.clone(),
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
    let origin = NewOrigin {
        label,
        made_at: system_now(),
        file: Some(name.to_owned()),
        sha256: identity.sha256.clone(),
        mapping: how.text(),
        zone: how.zone(),
        source: Some(pressed.clone()),
    };
    let taken = press(source, identity, &pressed).and_then(|()| take_in(&mut opened.ledger, source, how, &origin));
    let _ = std::fs::remove_file(&pressed);
    uploads.tidy();
    let taken = taken.map_err(|t| super::not_taken(&t))?;
    let readings = Readings::open(&opened.folder.readings())?;
    let kept = readings.origins()?.into_iter().find(|o| o.id == taken.imported.origin);
    let kept = kept.ok_or_else(|| Failed::work("the import is not there"))?;
    let mut answer = part(&kept);
    let i = taken.imported;
    answer["mapping"] = json!(kept.mapping);
    answer["report"] = serde_json::to_value(&taken.report).map_err(|e| Failed::work(e.to_string()))?;
    answer["stored"] = json!({"readings": i.readings, "twice_same": i.twice_same, "twice_other": i.twice_other,
        "known_same": i.known_same, "known_other": i.known_other});
    Ok(answer)
}

/// An import as the API names its parts.
fn part(o: &Origin) -> Value {
    json!({"id": o.id, "label": o.label, "made_at": to_rfc3339(o.made_at), "file": o.file, "sha256": o.sha256, "zone": o.zone,
        "readings": o.readings, "first": o.first.map(to_rfc3339), "last": o.last.map(to_rfc3339), "devices": o.devices})
}

impl Owner {
    fn take_in(&self, path: &Path, name: &str, how: &How, label: &str, again: bool) -> Result<Value, Failed> {
        let file = File::open(path).map_err(|e| Failed::given(format!("cannot be read: {e}")))?;
        let sent = ureq::post(format!("http://{}/api/uploads", self.address))
            .query("name", name)
            .header("Authorization", format!("Bearer {}", self.token))
            .header("Content-Type", "application/octet-stream")
            .config()
            .http_status_as_error(false)
            .build()
            .send(file);
        let upload = answer(sent)?;
        let mapping = match how {
            How::Mapping(_) => Some(how.text()),
            How::Ours(_) => None,
        };
        let order = json!({"upload": upload["upload"], "mapping": mapping, "label": label, "again": again});
        let sent = ureq::post(format!("http://{}/api/imports", self.address))
            .header("Authorization", format!("Bearer {}", self.token))
            .header("Content-Type", "application/json")
            .config()
            .http_status_as_error(false)
            .build()
            .send(order.to_string());
        answer(sent)
    }
}

/// What the running program answered; a refusal in its own words.
fn answer(sent: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Result<Value, Failed> {
    let mut got = sent.map_err(|e| Failed::work(format!("the running Propstick did not answer: {e}")))?;
    let status = got.status().as_u16();
    let text = got
        .body_mut()
        .with_config()
        .limit(64 << 20)
        .read_to_string()
        .map_err(|e| Failed::work(format!("the running Propstick broke off: {e}")))?;
    let value: Value = serde_json::from_str(&text).unwrap_or(Value::Null);
    if (200..300).contains(&status) {
        return Ok(value);
    }
    let title = value["title"].as_str().unwrap_or("the running Propstick did not take it").to_owned();
    let given = value["value"].as_str().map(|v| format!(" ({v})")).unwrap_or_default();
    let says = format!("{title}{given}");
    Err(if status < 500 { Failed::given(says) } else { Failed::work(says) })
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
pub(super) fn list(data: &Path, as_json: bool) -> Result<(), Failed> {
    let path = readings_path(data);
    if !path.is_file() {
        return Err(Failed::given(format!("{}: there is no readings.db in it", data.display())));
    }
    let all = Readings::open(&path)?.origins()?;
    if as_json {
        for origin in &all {
            say!("{}", part(origin));
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
        Folder::Theirs(owner) => {
            let sent = ureq::delete(format!("http://{}/api/imports/{number}", owner.address))
                .header("Authorization", format!("Bearer {}", owner.token))
                .config()
                .http_status_as_error(false)
                .build()
                .call();
            answer(sent)?["readings"].as_u64().unwrap_or(0)
        }
    };
    say!("Import {number} is taken back: {removed} readings are gone, and what is left is as if it had never been.");
    Ok(())
}
