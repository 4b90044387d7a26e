//! `propstick import`.

mod ask;
mod folder;
mod hints;
mod show;

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use clap::Args;
use propstick_garden::table::propose::Proposal;
use propstick_garden::table::{Clock, Order, Report, Stamp};
use serde_json::json;

use super::{Failed, Where};
use crate::clock::system_now;
use crate::files::import::{
    How, Identity, ImportTrouble, OnDisk, Suggestion, mapping_from, order_from, rehearse, stamp_from, suggest,
};
use folder::Folder;

/// Files shorter than this are done before anybody could wonder.
const LONG_FILE: u64 = 8 << 20;

#[derive(Args)]
pub(super) struct ImportArgs {
    #[command(flatten)]
    at: Where,
    /// Files of loggers, or exports of our own.
    #[arg(value_name = "FILE", required_unless_present_any = ["list", "take_back"])]
    files: Vec<PathBuf>,
    /// Read them by this mapping file, without asking. Without it a mapping is worked out from the whole file, and shown.
    #[arg(long = "as", value_name = "MAPPING")]
    mapping: Option<PathBuf>,
    /// What the logger is called: a-z, 0-9 and '-'. Its device is then urn:propstick:NAME.
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// What the import is to be called in the list of imports; the file's name if left out.
    #[arg(long)]
    label: Option<String>,
    /// Zone of the times in the file: one such as Europe/Dublin, a fixed offset such as +01:00, or UTC.
    #[arg(long, value_parser = zone, allow_hyphen_values = true)]
    zone: Option<Clock>,
    /// Order of day, month and year: ymd, dmy or mdy.
    #[arg(long, value_parser = order)]
    order: Option<Order>,
    /// Column with the time, where several hold different times.
    #[arg(long, value_name = "COLUMN")]
    time: Option<String>,
    /// Which end of its interval the time of a sum or mean is: start or end.
    #[arg(long, value_parser = stamp)]
    stamp: Option<Stamp>,
    /// Unit of a column, such as "Temp=degF".
    #[arg(long = "unit", value_name = "COLUMN=UNIT", value_parser = pair)]
    units: Vec<(String, String)>,
    /// Quantity of a column, such as "T2=air-temperature"; "T2=-" leaves it out.
    #[arg(long = "quantity", value_name = "COLUMN=QUANTITY", value_parser = pair)]
    quantities: Vec<(String, String)>,
    /// Show what would be read and set aside; store nothing.
    #[arg(long)]
    dry_run: bool,
    /// Take the files in without asking, where nothing is left to be asked.
    #[arg(long)]
    yes: bool,
    /// Write the mapping that was worked out into this file, open points as comments; store nothing.
    #[arg(long, value_name = "MAPPING")]
    write_mapping: Option<PathBuf>,
    /// Take a file in although the very same was taken in before.
    #[arg(long)]
    again: bool,
    /// Print as JSON what came of each file, one line each.
    #[arg(long)]
    json: bool,
    /// List the imports.
    #[arg(long, conflicts_with_all = ["files", "take_back"])]
    list: bool,
    /// Take an import back whole.
    #[arg(long, value_name = "NUMBER", conflicts_with = "files")]
    take_back: Option<i64>,
}

fn zone(text: &str) -> Result<Clock, String> {
    text.parse().map_err(|_| "expected a zone such as Europe/Dublin, an offset such as +01:00, or UTC".to_owned())
}

fn order(text: &str) -> Result<Order, String> {
    order_from(text).ok_or_else(|| "expected ymd, dmy or mdy".to_owned())
}

fn stamp(text: &str) -> Result<Stamp, String> {
    stamp_from(text).ok_or_else(|| "expected start or end".to_owned())
}

/// A column and what is said of it; the last '=' parts them, as names of columns may have one.
fn pair(text: &str) -> Result<(String, String), String> {
    let (column, said) = text.rsplit_once('=').ok_or("expected COLUMN=VALUE")?;
    Ok((column.trim().to_owned(), said.trim().to_owned()))
}

pub(super) fn run(args: &ImportArgs) -> Result<(), Failed> {
    super::running::log();
    if args.list {
        return folder::list(&args.at.data, args.json);
    }
    if let Some(number) = args.take_back {
        return folder::take_back(&args.at.data, number);
    }
    let mapping = args.mapping.as_deref().map(read_mapping).transpose()?;
    let stores = !args.dry_run && args.write_mapping.is_none();
    let mut folder = if stores { Some(Folder::open(&args.at.data)?) } else { None };
    let mut failed = Vec::new();
    for path in &args.files {
        if let Err(trouble) = one(args, path, mapping.as_ref(), folder.as_mut()) {
            say_aside!("{}: {}", path.display(), trouble.says);
            failed.push(trouble);
        }
    }
    if let Some(folder) = folder {
        folder.close()?;
    }
    match failed.as_slice() {
        [] => Ok(()),
        [one] if args.files.len() == 1 => Err(Failed { code: one.code, says: "nothing was taken in".to_owned() }),
        all => {
            let code = all.iter().map(|f| f.code).max().unwrap_or(1);
            Err(Failed { code, says: format!("{} of {} files were not taken in", all.len(), args.files.len()) })
        }
    }
}

fn read_mapping(path: &Path) -> Result<How, Failed> {
    let text =
        std::fs::read_to_string(path).map_err(|e| Failed::given(format!("{}: cannot be read: {e}", path.display())))?;
    mapping_from(&text).map_err(|what| Failed::given(format!("{}: {what}", path.display())))
}

/// Looks at one file and, if it is to be, takes it in.
fn one(args: &ImportArgs, path: &Path, mapping: Option<&How>, folder: Option<&mut Folder>) -> Result<(), Failed> {
    let progress = Progress::of(path);
    let told = |done, all| progress.told(done, all);
    let source = OnDisk::open(path, &told).map_err(|e| Failed::given(format!("cannot be read: {e}")))?;
    let identity = source.identify().map_err(|e| Failed::given(format!("cannot be read to its end: {e}")))?;
    if let Some(folder) = folder.as_deref()
        && !args.again
        && let Some(before) = folder.known(&identity)?
    {
        let (id, label, zone) = before;
        let zone = zone.map(|z| format!(", times in {z}")).unwrap_or_default();
        return Err(Failed::given(format!(
            "the very same file is in already as import {id} ({label}{zone}). To read it otherwise, take that back first: \
             propstick import --take-back {id}; to have it twice, say --again"
        )));
    }
    progress.begin("looked through");
    let (how, shown) = match (mapping, identity.form) {
        (Some(how), _) => (how.clone(), None),
        (None, Some(form)) => (How::Ours(form), None),
        (None, None) => match understand(args, path, &source, &identity)? {
            Some((how, report)) => (how, Some(report)),
            None => return Ok(()),
        },
    };
    let Some(folder) = folder else {
        let report = match shown {
            Some(report) => report,
            None => rehearse(&source, &how, system_now()).map_err(|t| not_taken(&t))?,
        };
        if args.json {
            say!("{}", json!({"file": path, "sha256": identity.sha256, "mapping": how.text(), "report": report}));
        } else {
            show::found(path, &json!(report), show::Tense::Would);
        }
        return Ok(());
    };
    if let Some(report) = &shown {
        if !args.json {
            show::found(path, &json!(report), show::Tense::Would);
        }
        if !args.yes && !ask::yes("Take it in?")? {
            return Err(Failed::given("not taken in, as you say"));
        }
    }
    progress.begin("read");
    let taken = folder.take_in(path, &source, &identity, how, args.label.as_deref(), args.again)?;
    if args.json {
        say!("{taken}");
    } else {
        show::taken(path, &taken, shown.is_none());
        folder.say_what_is_not_placed(&taken);
    }
    Ok(())
}

/// Works out how a file is read, asking a person where one is there to be asked. None where only the mapping was wanted.
fn understand(
    args: &ImportArgs,
    path: &Path,
    source: &OnDisk<'_>,
    identity: &Identity,
) -> Result<Option<(How, Report)>, Failed> {
    let mut hints = hints::given(args, path);
    loop {
        let suggestion = suggest(source, identity, &hints, system_now()).map_err(|t| not_taken(&t))?;
        match suggestion {
            Suggestion::Lost(lost) => return Err(Failed::given(show::lost(&lost))),
            Suggestion::Open(proposal) => {
                hints::were_taken(&hints, &proposal)?;
                if !args.json {
                    show::proposal(path, &proposal);
                }
                if let Some(file) = &args.write_mapping {
                    return write_mapping(file, &proposal).map(|()| None);
                }
                if !args.json && std::io::stdin().is_terminal() && ask::questions(&proposal, &mut hints)? {
                    continue;
                }
                if args.json {
                    say!("{}", json!({"file": path, "mapping": proposal.text, "questions": proposal.questions}));
                }
                return Err(Failed::given(show::open(&proposal)));
            }
            Suggestion::Understood(proposal, report) => {
                hints::were_taken(&hints, &proposal)?;
                if !args.json {
                    show::proposal(path, &proposal);
                }
                if let Some(file) = &args.write_mapping {
                    return write_mapping(file, &proposal).map(|()| None);
                }
                return Ok(Some((How::Mapping(Box::new(proposal.mapping)), report)));
            }
            Suggestion::Ours(form, report) => return Ok(Some((How::Ours(form), report))),
        }
    }
}

fn write_mapping(file: &Path, proposal: &Proposal) -> Result<(), Failed> {
    use std::io::Write;
    let mut new = std::fs::File::create_new(file)
        .map_err(|e| Failed::given(format!("--write-mapping {}: cannot be made: {e}", file.display())))?;
    new.write_all(proposal.text.as_bytes())
        .map_err(|e| Failed::work(format!("--write-mapping {}: {e}", file.display())))?;
    say_aside!("The mapping stands in {}. Nothing was taken in.", file.display());
    Ok(())
}

fn not_taken(trouble: &ImportTrouble) -> Failed {
    match trouble {
        ImportTrouble::Store(_) => Failed::work(trouble.to_string()),
        _ => Failed::given(trouble.to_string()),
    }
}

/// Says now and then how far a long file is.
struct Progress<'a> {
    path: &'a Path,
    /// What is being done with it.
    stage: Mutex<(&'static str, u64)>,
}

impl<'a> Progress<'a> {
    fn of(path: &'a Path) -> Progress<'a> {
        Progress { path, stage: Mutex::new(("", 0)) }
    }

    /// From now on this is done with the file; nothing is said of a stage without words.
    fn begin(&self, words: &'static str) {
        if let Ok(mut stage) = self.stage.lock() {
            *stage = (words, 0);
        }
    }

    fn told(&self, done: u64, all: u64) {
        if all < LONG_FILE {
            return;
        }
        let fifths = done * 5 / all;
        let Ok(mut stage) = self.stage.lock() else { return };
        let (words, said) = *stage;
        if fifths > said && !words.is_empty() {
            stage.1 = fifths;
            say_aside!("{}: {} % {words}", self.path.display(), fifths * 20);
        }
    }
}
